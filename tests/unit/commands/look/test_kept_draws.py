"""Draws that an earlier command kept are found when a study is opened, and only for the same text."""

from dataclasses import fields

from helpers.wings.half_way import half_way

from tradestudy.commands.assess import effects_key
from tradestudy.commands.kept_results import RECOMMENDED, RECORD, inputs_text, results_folder
from tradestudy.commands.look.looks import look
from tradestudy.commands.look.work import Work
from tradestudy.commands.study_session import StudySession
from tradestudy.results.inputs import SpreadPercentiles, SpreadResult
from tradestudy.results.json_form import json_data
from tradestudy.search.engines.record import Record
from tradestudy.search.search_task import to_json


def test_kept_draws(godwit_study, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    work = Work(godwit_study)
    assert work.draws is None and work.recommended is None
    names = [each.name for each in fields(SpreadPercentiles)]
    drawn = SpreadResult(
        SpreadPercentiles(**{name: [9.0, 10.0, 12.0] for name in names}), {}, [], 50, dict.fromkeys(names, 0.8)
    )
    wing = half_way(StudySession(godwit_study, "assess", tasks=1)).result
    wing.feasible = True
    record = Record(results_folder(godwit_study) / RECORD, inputs_text(godwit_study))
    record.keep([(RECOMMENDED, to_json(wing))])
    record.keep([(effects_key(wing.choice, wing.variables), [[], None, json_data(drawn), None])])
    record.close()
    medians = look(work, {"variables": {"span_mm": 1400, "cruise_speed_kmh": 60}})
    assert work.read_draws() and work.draws == drawn
    assert work.recommended.variables == wing.variables
    seen = look(work, {"variables": {"span_mm": 1400, "cruise_speed_kmh": 60}})
    assert seen.expected and not seen.about
    assert seen.numbers.range_km == 0.8 * medians.numbers.range_km
    edited = work.edited({"fly.reserve": "25 %"})
    assert edited.draws == drawn and not edited.draws_are_own
    assert look(edited, {"variables": {"cruise_speed_kmh": 60}}).about
