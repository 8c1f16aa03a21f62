"""A study as one choice makes it: another motor, pack, scheme or throttle cap in place of its own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tradestudy.catalogue import part
from tradestudy.study.schema import Stretch, Study

from .problem import Choice

CELLS_ACROSS = "pack.cells_across"
WHATEVER_FITS = 0  # cells across, where nobody said how they lie


def decided(study: Study, choice: Choice) -> Study:
    """Return the study with what a choice puts in place of its own parts; again applied, it changes nothing more.

    The stock wing stays what it is: what ties the model to it is worked out from the study as written.
    """
    parts: dict[str, Any] = {"stretch": _by_scheme(study.stretch, choice.scheme or study.stretch.scheme)}
    if choice.motor:  # what the bench told is of the other one
        parts |= {"motor": _changed(study.motor, _named(study.motor_choice, choice.motor)), "motor_test": None}
    if choice.pack:  # a new pack: neither the age nor the measured sag of the one flown today
        other = _named(study.pack_choice, choice.pack)
        chemistries = {part("cells", cell)["chemistry"] for cell in (study.pack.cell, other.cell)}
        parts["pack"] = _changed(study.pack, other, cells_across=other.cells_across or WHATEVER_FITS, health=1.0,
                                 resistance=None,  # a cut-off that does for one chemistry empties cells of another
                                 cut_off=study.pack.cut_off if len(chemistries) == 1 else None)
        parts["defaults_used"] = tuple(used for used in study.defaults_used if used.key != CELLS_ACROSS)
    if study.fitted is not None:  # what was measured of the parts on the stock wing says nothing of others
        alike = {"motor_resistance": choice.motor, "pack_capacity": choice.pack, "pack_resistance": choice.pack}
        parts["fitted"] = study.fitted.model_copy(update={name: 1.0 for name, other in alike.items() if other})
    if choice.throttle_cap is not None:
        parts["controller"] = study.controller.model_copy(update={"throttle_cap": choice.throttle_cap})
    return replace(study, **parts)


def _named(listed: tuple[Any, ...], name: str) -> Any:
    return next(one for one in listed if one.name == name)


def _by_scheme(stretch: Stretch, scheme: str) -> Stretch:
    """What may vary under one scheme: sweep where panels are redrawn, washout where new cores are cut."""
    may_twist = scheme == "scaled" or (scheme == "tip" and stretch.can_cut_cores)
    return stretch.model_copy(update={"scheme": scheme, "sweep": stretch.sweep if scheme == "scaled" else None,
                                      "washout": stretch.washout if may_twist else None})


def _changed(own: Any, other: Any, **more: Any) -> Any:
    """A part with what another one says in place."""
    fields = {name: value for name, value in dict(other).items() if name in type(own).model_fields}
    return own.model_copy(update=fields | more)
