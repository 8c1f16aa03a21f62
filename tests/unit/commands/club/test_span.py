"""One span for the studies of a folder: who is a member, and which studies cannot have a common one."""

import pytest
from helpers.places import STUDIES

from tradestudy.commands.club import span
from tradestudy.errors import CommandError, RunFailed
from tradestudy.search.engines.local_processes import LocalProcesses

LAPWING = (STUDIES / "lapwing.toml").read_text(encoding="utf-8")


def write(folder, name, *edits):
    text = LAPWING
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    (folder / f"{name}.toml").write_text(f'[study]\nname = "{name}"\n\n{text}', encoding="utf-8")


def test_each_study_is_a_member_with_its_own_equipment(tmp_path, monkeypatch):
    asked = []

    def document(session, members, by_number):
        asked.append([(one.name, one.count, one.space.study.stock.flying_weight) for one in members])
        return {"span_mm": 1300.0}

    monkeypatch.setattr(span, "span_document", document)
    write(tmp_path, "anna")
    write(tmp_path, "bea", ("1640 g", "1700 g"))
    assert span.folder_span(tmp_path) == {"span_mm": 1300.0, "study": str(tmp_path)}
    assert asked == [[("anna", 1, pytest.approx(1.64)), ("bea", 1, pytest.approx(1.70))]]


def test_members_share_workers_and_each_has_a_record(tmp_path, monkeypatch):
    seen = []

    def document(session, members, by_number):
        seen.extend((one.space.engine, one.space.record.folder) for one in members)
        return {}

    monkeypatch.setattr(span, "span_document", document)
    (folder := tmp_path / "flock").mkdir()
    write(folder, "anna")
    write(folder, "bea", ("1640 g", "1700 g"))
    span.folder_span(folder, records=tmp_path / "out", workers=2)
    engines, records = zip(*seen, strict=True)
    assert isinstance(engines[0], LocalProcesses) and engines[1] is engines[0]
    assert records == (tmp_path / "out" / "anna", tmp_path / "out" / "bea")


def test_wings_of_two_types_have_no_common_span(tmp_path):
    write(tmp_path, "anna")
    write(tmp_path, "bea", ('root_chord = "320 mm"', 'root_chord = "345 mm"'))
    with pytest.raises(CommandError, match="different types"):
        span.folder_span(tmp_path)


def test_wings_for_two_purposes_have_no_common_span(tmp_path):
    write(tmp_path, "anna")
    write(tmp_path, "bea", ("[limits]", '[fly]\npurpose = "usual_flight"\n\n[limits]'))
    with pytest.raises(CommandError, match="one purpose"):
        span.folder_span(tmp_path)


def test_one_member_alone_has_no_common_span(tmp_path):
    write(tmp_path, "anna")
    with pytest.raises(RunFailed, match="one member"):
        span.folder_span(tmp_path)
