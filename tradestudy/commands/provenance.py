"""The origin of a result: its inputs, the versions of the software, and the stock wing."""

from __future__ import annotations

import hashlib
import importlib.metadata
import platform

import tradestudy
from tradestudy.aircraft.anchor.calibration import Anchor
from tradestudy.aircraft.anchor.full_throttle_defaults import PACK_CURRENT
from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.assessment.notes import scatter_notes, sources_used
from tradestudy.aircraft.model.section_data import section_facts
from tradestudy.aircraft.shape.stock_shape import stock_wing
from tradestudy.catalogue import catalogue_parts
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.inputs import Assumed, LedgerCase
from tradestudy.results.result import Result
from tradestudy.results.trade import Purposes
from tradestudy.study.schema.study import Study


def stock_result(study: Study, anchor: Anchor, command: str, excluded: list[str]) -> Result:
    """Return a Result that holds the stock wing in full, and the sources of all data."""
    return Result(
        study_name=study.study.name,
        note=study.study.note,
        study_file=study.path.name,
        study_text=study.text,
        command=command,
        versions=versions(),
        defaults_used=[
            Assumed(used.key, used.value, used.origin, used.band, used.moves, used.is_choice)
            for used in study.defaults_used
        ],
        stock=assess_design(study, anchor.data, anchor.choice, anchor.variables, "stock", active=[]),
        excluded=list(excluded),
        notes=[*anchor.flags, *_pack_notes(study), *scatter_notes(study)],
        sources=sources_used(study),
        calibration=list(anchor.calibration),
        calibration_notes=list(anchor.not_measured),
        purposes=purposes(study),
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


def inputs_text(study: Study) -> str:
    """Return a text of all inputs of a result outside this package: study, companion files, and library versions."""
    own = study.propeller
    names = [
        name for name in (study.stock.airfoil, study.stock.tip_airfoil, own.table, own.blade, own.blade_section) if name
    ]
    files = [study.file_path(name) for name in names]
    digests = [hashlib.sha256(file.read_bytes()).hexdigest() for file in files if file.is_file()]
    return "\n".join([study.text, *digests, *(f"{name} {number}" for name, number in versions().items())])


def versions() -> dict[str, str]:
    """Return the versions of this package, of Python, and of the libraries that affect numbers."""
    names = ("numpy", "scipy", "openmdao", "aerosandbox", "neuralfoil")
    return {
        "tradestudy": tradestudy.__version__,
        "python": platform.python_version(),
        **{name: importlib.metadata.version(name) for name in names},
    }
