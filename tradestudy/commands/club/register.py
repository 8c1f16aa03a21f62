"""The register of a club: every build with its weights and flights, and what all of them say of the next wing."""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from tradestudy.commands.logbook.built_wing import design_of_built_wing
from tradestudy.errors import CommandError
from tradestudy.physics.air import GRAVITY
from tradestudy.quantities import in_unit
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.study.logbook.club_folder import member_studies
from tradestudy.study.logbook.flights import STOCK, Flight
from tradestudy.study.logbook.read_logbook import read_logbook
from tradestudy.study.logbook.wings_file import BuiltWing, built_wings
from tradestudy.study.measurements import Measurements
from tradestudy.study.reader import read_study
from tradestudy.study.schema.fitted import FACTOR_NAMES, FACTORS
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.fit.fit_result import overlay
from tradestudy.uncertainty.fit.hand_readings import by_hand, known_flight_readings
from tradestudy.uncertainty.fit.least_squares import Fit, fit_factors
from tradestudy.uncertainty.fit.next_measurement import RangeBand
from tradestudy.uncertainty.fitted_inputs import BAND_END
from tradestudy.uncertainty.logbook.flown_wings import FlownWings
from tradestudy.uncertainty.logbook.register import flown_of_fit, labels_of, next_wing
from tradestudy.uncertainty.logbook.shared_factors import NAMES, SharedFactors, unlikeness

_AnyPath = str | os.PathLike[str]


class Register(NamedTuple):
    """The register in the units shown to the user, and the TOML text with the factors of the next wing."""

    document: dict[str, Any]
    overlay: str


class _Book(NamedTuple):
    """One member: the study, its wings and flights, and the fit to them."""

    study: Study
    name: str
    wings: FlownWings
    built: dict[str, BuiltWing]
    used: list[Flight]
    aside: int
    fit: Fit
    notes: list[str]


def register(folder: _AnyPath, next_study: _AnyPath | None = None, report_progress: Progress = no_progress) -> Register:
    """Return the register of the studies and logbooks in a folder, and what they say of the wing of ``next_study``.

    Without ``next_study`` the next wing is like the first study of the folder, and has not flown.

    Raises
    ------
    StudyFileError, LogbookError
        A study, a logbook or a file of built wings has errors.
    CommandError
        The folder holds no study, or one that holds fitted factors.
    """
    books: list[_Book] = []
    paths = member_studies(Path(folder))
    if next_study is not None:
        paths = [path for path in paths if path.resolve() != Path(next_study).resolve()]
    if not paths:
        raise CommandError(f"{folder} holds no other study than that of the next builder.")
    members = [read_study(path) for path in [*paths, *([Path(next_study)] if next_study else [])]]
    names = Counter(study.study.name for study in members)
    for study in members:
        report_progress(f"reading {study.path.name} and its flights")
        # a study that was copied for the next member keeps its name
        called = study.study.name if names[study.study.name] == 1 else f"{study.study.name} ({study.path.stem})"
        books.append(_book(study, called, books))
    report_progress("what all wings of the type share")
    last = books.pop() if next_study else None
    studies = [one.study for one in books] + ([last.study] if last else [])
    labels = labels_of([*studies, *([] if last else [studies[0]])])
    flown = [flown_of_fit(one.fit, label) for one, label in zip(books, labels, strict=False)]
    wing = last.wings.stock if last else books[0].wings.stock
    own = last.fit if last and last.fit.groups else None
    found, shared = next_wing(wing, flown, labels[-1], own)
    chances = unlikeness(flown)
    document = {
        "folder": str(folder),
        "members": [_member(one, float(chance)) for one, chance in zip(books, chances, strict=True)],
        "factors": _factor_rows(shared, found.fit),
        "next": {
            "study": (last or books[0]).name,
            "is_named": last is not None,
            "flights": len(last.used) if last else 0,
            "range_km": {"before": _kilometres(found.before), "after": _kilometres(found.after)},
            "alike": _alike(labels),
        },
        "notes": [note for one in [*books, *([last] if last else [])] for note in one.notes],
    }
    source = f"{sum(len(one.used) for one in books)} flights of {len(books)} members of a club"
    return Register(document, overlay(wing, found.fit, source, (last or books[0]).study.text))


def _book(study: Study, own: str, earlier: list[_Book]) -> _Book:
    """Return the book of one member, whose name is ``own``.

    What stands alike in the study of an ``earlier`` one was copied, and counts once. This holds for the known flight
    and the load test.
    """
    path = study.path
    if study.fitted is not None:
        raise CommandError(f"{path} holds a table [fitted]; a register starts from studies without it.")
    flown, tested = (_copied_from(study, name, earlier) for name in ("known_flight", "load_test"))
    counted = replace(
        study, known_flight=None if flown else study.known_flight, load_test=None if tested else study.load_test
    )
    notes = [
        f"{name} of {own} is that of {whose}, and counts once"
        for name, whose in (("known_flight", flown), ("load_test", tested))
        if whose
    ]
    built, book = built_wings(path), read_logbook(path)
    wings = FlownWings(counted, {name: design_of_built_wing(study, one) for name, one in built.items()})
    used, aside = wings.believed(book.counted)
    known = len(known_flight_readings(wings.stock))
    groups = [*by_hand(wings.stock, Measurements(path, "")), *wings.groups(used)[known:]]
    notes += [f"{own}, line {one.line} of the logbook is not used: {why}" for one, why in aside]
    aside_by_pilot = len(book.flights) - len(book.counted)
    return _Book(study, own, wings, built, used, len(aside) + aside_by_pilot, fit_factors(wings.stock, groups), notes)


def _copied_from(study: Study, table: str, earlier: list[_Book]) -> str:
    """Return the name of an earlier study that holds the same table, or an empty text."""
    own = getattr(study, table)
    return next((one.name for one in earlier if own and getattr(one.study, table) == own), "")


def _member(one: _Book, chance: float) -> dict[str, Any]:
    """Return the entry of one member. ``chance`` says how likely the flights differ so much from the others'."""
    plain = one.wings.fit([])
    ratios: dict[str, list[float]] = {}
    for flight in one.used:
        for each in one.wings.expected(plain, flight):
            if each.unit == "mAh":
                ratios.setdefault(flight.wing, []).append(float(np.log(each.measured / each.middle)))
    names = [STOCK, *one.built]
    return {
        "study": one.name,
        "file": str(one.study.path),
        "builds": [_build(one, name, ratios.get(name, [])) for name in names],
        "set_aside": one.aside,
        "unlike_pct": round(in_unit(chance, "%"), 2),
    }


def _build(one: _Book, name: str, ratios: list[float]) -> dict[str, Any]:
    """Return the entry of one wing. Weight and balance of the stock wing are those of its study."""
    flights = [flight for flight in one.used if flight.wing == name]
    entry: dict[str, Any] = {
        "wing": name,
        "flights": len(flights),
        "minutes": round(sum(in_unit(flight.time, "min") for flight in flights)),
        "charge_over_expected": round(float(np.exp(np.mean(ratios))), 3) if ratios else None,
    }
    if name == STOCK:
        stock = one.study.stock
        weight, place = stock.flying_weight, stock.balance_from_nose
        return entry | _weights(weight, weight, place, place) | {"load_tested": None}
    made = one.built[name]
    design = one.wings.designs[name]
    wing = one.wings.stock.of_design(design.choice, design.variables)
    mark = float(wing.speed_sweep.level(wing.best_cruise_speed).centre_of_gravity)
    return (
        entry
        | _weights(made.weight, wing.weight / GRAVITY, made.balance_from_nose, mark)
        | {"load_tested": made.load_tested.isoformat() if made.load_tested else None}
    )


def _weights(weight: float | None, designed: float, place: float | None, mark: float) -> dict[str, Any]:
    def shown(value: float | None, unit: str) -> float | None:
        return None if value is None else round(in_unit(value, unit), 1)

    return {
        "weight_g": shown(weight, "g"),
        "designed_weight_g": shown(designed, "g"),
        "balance_mm": shown(place, "mm"),
        "designed_balance_mm": shown(mark, "mm"),
    }


def _factor_rows(shared: SharedFactors, fit: Fit) -> list[dict[str, Any]]:
    """Return one row for each factor: the median of the type, and the next wing, each with nine in ten between."""
    rows = []
    for place, about in enumerate(FACTORS):
        off, prior = float(fit.deviation[place]), float(fit.prior[place])
        mean, spread = float(shared.common_mean[place]), float(np.sqrt(shared.common_covariance[place, place]))
        ends = {
            "type": (mean, spread),
            "next": (float(fit.mean[place]), off),
            "before": (0.0, prior),
        }
        row: dict[str, Any] = {"name": about.name, "words": about.words, "share": round(float(shared.share[place]), 2)}
        for name, (middle, deviation) in ends.items():
            low, high = np.exp([middle - BAND_END * deviation, middle + BAND_END * deviation])
            row |= {
                name: round(float(np.exp(middle)), 4),
                f"{name}_band": [round(float(low), 4), round(float(high), 4)],
            }
        rows.append(row)
    return rows


def _kilometres(band: RangeBand) -> dict[str, float]:
    return {name: round(in_unit(float(value), "km"), 2) for name, value in band._asdict().items()}


def _alike(labels: list[tuple[Any, ...]]) -> dict[str, int]:
    """Return for each factor how many members' wings share it with the next one."""
    return {
        name: sum(one[place] == labels[-1][place] for one in labels[:-1])
        for place, name in enumerate(NAMES)
        if name in FACTOR_NAMES
    }
