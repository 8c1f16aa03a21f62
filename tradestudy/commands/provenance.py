"""The origin of a result: the stock wing, and the sources of all data."""

from __future__ import annotations

from tradestudy.aircraft.anchor.calibration import Anchor
from tradestudy.aircraft.anchor.full_throttle_defaults import PACK_CURRENT
from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.assessment.notes import scatter_notes, sources_used
from tradestudy.aircraft.model.section_data import section_facts
from tradestudy.aircraft.shape.stock_shape import stock_wing
from tradestudy.catalogue import catalogue_parts
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.inputs import Assumed, LedgerCase, SetKey
from tradestudy.results.result import Result
from tradestudy.results.trade import Purposes
from tradestudy.study.edits.what_stays import notes_on_edits
from tradestudy.study.schema.study import Study

from .kept_results import versions


def stock_result(study: Study, anchor: Anchor, command: str, excluded: list[str], inputs: str) -> Result:
    """Return a Result that holds the stock wing in full, and the sources of all data.

    ``inputs`` is the hash of all inputs.
    """
    return Result(
        study_name=study.study.name,
        note=study.study.note,
        units=study.study.units,
        study_file=study.path.name,
        study_text=study.text,
        command=command,
        versions=versions(),
        inputs=inputs,
        defaults_used=[
            Assumed(used.key, used.value, used.origin, used.band, used.moves, used.is_choice)
            for used in study.defaults_used
        ],
        set_keys=[SetKey(*edit) for edit in study.edits],
        stock=assess_design(study, anchor.data, anchor.choice, anchor.variables, "stock", active=[]),
        excluded=list(excluded),
        notes=[*notes_on_edits(study), *anchor.flags, *_pack_notes(study), *scatter_notes(study)],
        sources=sources_used(study),
        calibration=list(anchor.calibration),
        calibration_notes=list(anchor.not_measured),
        purposes=purposes(study),
        currency=study.shopping.currency or "",
        sections=section_facts(study, stock_wing(study)),
        ledger=[LedgerCase(**case) for case in catalogue_parts("whole_aircraft").values()],
    )


def purposes(study: Study) -> Purposes:
    """Return the purpose that the study maximises, and the assumptions for all purposes.

    They are in the units shown to the user.
    """
    fly = study.fly
    assumed = at_edge(
        wind_ms=fly.wind,
        farthest_out_km=fly.farthest_out,
        full_throttle_share_pct=fly.full_throttle_share,
        reserve_pct=fly.reserve,
    )
    return Purposes(fly.purpose, **rounded(assumed, 4))


def _pack_notes(study: Study) -> list[str]:
    """Return a caution if the stock wing draws more current than a usual cell of its kind allows."""
    return [
        f"the pack draws {used.value} at full throttle, 10 % in hand, more than a usual cell of its kind allows: "
        "look up what its maker says and write it under pack.maximum_current"
        for used in study.defaults_used
        if used.key == PACK_CURRENT
    ]
