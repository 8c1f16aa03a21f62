"""A fit as words and numbers in the units shown to the user, and the TOML text to append to the study."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model.model_data import fixed_parts
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.weights.pack_dimensions import pack_mass
from tradestudy.quantities import in_unit, with_unit
from tradestudy.study.measurements import Measurements
from tradestudy.study.schema.fitted import FACTOR_NAMES, FACTORS, table_marks
from tradestudy.uncertainty.fitted_inputs import BAND_END
from tradestudy.uncertainty.inputs_with_bands import RULER, SCALE

from .factored_wing import FitWing
from .least_squares import Fit, predicted
from .next_measurement import next_measurements, range_band_of_fit

_KEPT = 0.9  # share of the standard deviation before the fit; if more is left, the factor was not determined
_MOVED = 0.25  # share of that deviation; a factor that moves by more has not kept its value, however wide it stays
_CORRELATED = 0.6  # correlation above which two factors are hardly distinguished
_PACK_SCATTER = 0.05  # share by which leads and wrap may differ from the usual; common practice, no source
_LEAST_DIRECTION = 1e-4  # ln(factor); combinations with smaller changes are left out
# products of factors that readings may not distinguish -> readings that do
_PAIRS = {
    (
        ("drag", "induced"),
        ("drive_power", "propeller_power"),
    ): "amps in flight give only their product; glides with the motor off separate them",
    (("drag",), ("induced",)): "readings at one speed give only their sum; a slow and a fast speed separate them",
    (
        ("drive_power", "propeller_power"),
        ("motor_resistance",),
    ): "amps show only their combined effect; rpm with amps and volts separates them",
    (
        ("foam_density",),
        ("covering",),
    ): "the covered halves give only their sum; weighing the halves bare separates them",
    (
        ("foam_stiffness",),
        ("film_bond",),
    ): "one bag shows only their combined effect; bend and twist with heavy bags separate them",
}
# sets of factors; no reading correlates factors of different sets
_SETS = (
    ("foam_density", "covering"),
    ("drag", "induced", "drive_power", "propeller_power", "motor_resistance"),
    ("pack_capacity",),
    ("pack_resistance",),
    ("foam_stiffness", "film_bond"),
)


def fit_document(wing: FitWing, fit: Fit, measurements: Measurements, notes: list[str]) -> dict[str, Any]:
    """Return the complete fit in the units shown to the user, for printed output, figures and JSON."""
    mean, covariance = fit.of_model()
    before = range_band_of_fit(wing, np.zeros(len(FACTOR_NAMES)), np.diag(fit.prior[: len(FACTOR_NAMES)] ** 2))
    after = range_band_of_fit(wing, mean, covariance)

    def kilometres(band):
        return {name: round(in_unit(value, "km"), 2) for name, value in band._asdict().items()}

    return {
        "study": wing.study.study.name,
        "factors": _factor_rows(fit),
        "readings": _reading_rows(fit),
        "range_km": {"before": kilometres(before), "after": kilometres(after)},
        "next": [
            {
                "what": one.what,
                "noise": one.noise,
                "band_km": round(in_unit(one.after, "km"), 2),
                "shrinks_pct": round(in_unit(1 - one.after / one.before, "%"), 1) if one.before else 0.0,
            }
            for one in next_measurements(wing, fit)
        ],
        "kept": kept_words(fit),
        "checks": checks(wing, measurements),
        "notes": notes,
    }


def _factor_rows(fit: Fit) -> list[dict[str, Any]]:
    """Return one row for each factor: its value, its 90 % band after the fit, and its band before."""
    rows = []
    for place, about in enumerate(FACTORS):
        mean, off, prior = fit.mean[place], fit.deviation[place], fit.prior[place]
        low, high = np.exp([mean - BAND_END * off, mean + BAND_END * off])
        rows.append(
            {
                "name": about.name,
                "words": about.words,
                "factor": round(float(np.exp(mean)), 4),
                "low": round(float(low), 4),
                "high": round(float(high), 4),
                "low_before": round(float(np.exp(-BAND_END * prior)), 4),
                "high_before": round(float(np.exp(BAND_END * prior)), 4),
                "told": bool(off < _KEPT * prior or abs(mean) > _MOVED * prior),
            }
        )
    return rows


def _reading_rows(fit: Fit) -> list[dict[str, Any]]:
    """Return one row for each reading: measured and modelled values, and deviation over standard deviation."""
    rows = []
    for group in fit.groups:
        models = (predicted(group, fit.names, logs) for logs in (np.zeros(len(fit.names)), fit.mean))
        columns = [in_unit(values, group.unit).tolist() for values in (group.measured, *models)]
        for label, spread, measured, before, after in zip(group.labels, group.spread, *columns, strict=True):
            rows.append(
                {
                    "kind": group.kind,
                    "what": label,
                    "unit": group.unit,
                    "measured": round(measured, 4),
                    "before": round(before, 4),
                    "after": round(after, 4),
                    "off_before_pct": round(in_unit(before / measured - 1, "%"), 2),
                    "off_after_pct": round(in_unit(after / measured - 1, "%"), 2),
                    "spread_pct": round(in_unit(float(spread), "%"), 2),
                    "spreads_off": round(float(np.log(after / measured) / spread), 2),
                }
            )
    return rows


def kept_words(fit: Fit) -> list[str]:
    """Return one sentence for each factor that the readings do not determine or cannot distinguish."""
    words = {factor.name: factor.words for factor in FACTORS}
    wide = [place for place in range(len(FACTORS)) if fit.deviation[place] > _KEPT * fit.prior[place]]
    moved = [FACTORS[place].words for place in wide if abs(fit.mean[place]) > _MOVED * fit.prior[place]]
    kept = [FACTORS[place].words for place in wide if FACTORS[place].words not in moved]
    sentences = (
        [f"No measurement says anything about {_listed(kept)}: these keep their earlier values."] if kept else []
    )
    if moved:
        sentences.append(f"The measurements move {_listed(moved)}, but leave the band as wide as before.")
    for pair, way in _PAIRS.items():
        sums = np.array([[name in names for name in FACTOR_NAMES] for names in pair], float)
        common = sums @ fit.of_model()[1] @ sums.T
        if abs(common[0, 1]) > _CORRELATED * np.sqrt(common[0, 0] * common[1, 1]):
            one, other = (" and ".join(words[name] for name in names) for names in pair)
            sentences.append(f"The measurements hardly separate {one} from {other}: {way}.")
    for group in fit.groups:
        deviations = np.log(predicted(group, fit.names, fit.mean) / group.measured) / group.spread
        for place in np.flatnonzero(abs(deviations) > 3):
            sentences.append(
                f"{group.kind}, {group.labels[place]}: {abs(deviations[place]):.0f} standard deviations off the model, "
                "so it has less weight. Check this reading."
            )
    return sentences


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def checks(wing: FitWing, measurements: Measurements) -> list[str]:
    """Return sentences on weights and balance that contradict the study. No factor covers these: correct the study."""
    study, weighed = wing.study, measurements.weighed
    sentences: list[str] = []
    parts = {name: lump.mass for name, lump in fixed_parts(study).items()}
    parts |= {thing.name: thing.mass for thing in study.equipment}
    rows = [("stock.flying_weight", weighed.all_up, study.stock.flying_weight)]
    pack = weighed.pack
    if pack is None and weighed.all_up is not None and weighed.without_pack is not None:
        pack = weighed.all_up - weighed.without_pack
    with_leads = pack_mass(study.pack.cell_numbers["mass"], study.pack.series * study.pack.parallel)
    if study.pack.weight is not None:
        rows.append(("the pack (pack.weight)", pack, with_leads))
    elif pack is not None and abs(pack - with_leads) > _PACK_SCATTER * with_leads:
        sentences.append(
            f"The pack weighs {with_unit(pack, 'g')}; its cells with leads and wrap usually come to "
            f"{with_unit(with_leads, 'g')}. Write pack.weight into the study."
        )
    for part in measurements.part:
        if part.name in parts:
            rows.append((part.name, part.weight, parts[part.name]))
        else:
            sentences.append(f'The study has no part "{part.name}"; it has {_listed(list(parts))}.')
    for name, measured, stated in rows:
        if measured is not None and abs(measured - stated) > max(SCALE * stated, 0.001):
            sentences.append(
                f"{name}: the scale says {with_unit(measured, 'g')}, the study {with_unit(stated, 'g')}. Put it "
                "right in the study; what is not listed takes up the difference until then."
            )
    place = weighed.balance_from_nose
    if place is not None and abs(place - study.stock.balance_from_nose) > RULER:
        sentences.append(
            f"stock.balance_from_nose: measured {with_unit(place, 'mm')}, the study says "
            f"{with_unit(study.stock.balance_from_nose, 'mm')}. Put it right in the study."
        )
    if weighed.all_up is not None and measurements.flown and abs(weighed.all_up * GRAVITY / wing.weight - 1) > SCALE:
        sentences.append("Flights are compared with the wing as heavy as the study says.")
    return sentences


def overlay(wing: FitWing, fit: Fit, source: str, text: str) -> str:
    """Return the TOML text to append to the study: fitted factors, and independent combinations of their errors.

    ``source`` names the measurements. ``text`` is the study's text: fingerprints of its tables are included.
    """
    mean, _ = fit.of_model()
    lines = [
        f"# Factors on the model of the stock wing {wing.study.study.name}, fitted to {source}.",
        "# Use it with --fitted; fit again when the wing is changed.",
        "[fitted]",
    ]
    lines += [f"{name} = {np.exp(value):.6f}" for name, value in zip(FACTOR_NAMES, mean, strict=True)]
    rows = [f"  [{', '.join(f'{value:.6f}' for value in row)}]," for row in directions(fit)]
    if rows:
        lines += ["directions = [  # of ln(factor), in the order above, one standard deviation each", *rows, "]"]
    marks = [f'"{table} {mark}"' for table, mark in table_marks(text).items()]
    lines += ["wing = [  # what the study's tables held", *(f"  {mark}," for mark in marks), "]"]
    return "\n".join(lines) + "\n"


def directions(fit: Fit) -> list[np.ndarray]:
    """Return independent combinations of errors as rows (11,) of ln(factor).

    Each has the size of one standard deviation.
    """
    _, covariance = fit.of_model()
    rows = []
    for names in _SETS:
        places = [FACTOR_NAMES.index(name) for name in names]
        sizes, ways = np.linalg.eigh(covariance[np.ix_(places, places)])
        for size, way in sorted(zip(sizes, ways.T, strict=True), key=lambda pair: -pair[0]):
            row = np.zeros(len(FACTOR_NAMES))
            row[places] = np.sqrt(max(size, 0.0)) * way * np.sign(way[abs(way).argmax()])
            if abs(row).max() > _LEAST_DIRECTION:
                rows.append(row)
    return rows
