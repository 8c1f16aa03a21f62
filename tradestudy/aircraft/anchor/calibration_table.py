"""Tables for a report: measured and modelled values of the stock wing, and what was not measured."""

from __future__ import annotations

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight.built_wing import BuiltFactors
from tradestudy.physics.weights.mass import Lump
from tradestudy.quantities import in_unit, with_unit
from tradestudy.results.inputs import CalibrationRow
from tradestudy.study.schema.study import Study

from .drag_calibration import DragCalibration, factor_spreads
from .stiffness_calibration import BEND_PRIOR, TWIST_PRIOR, StiffnessCalibration
from .trim_calibration import TrimCalibration

_LOSSES = BuiltFactors("section and fins", "drag due to lift", "power of the drive")


def calibration_rows(
    study: Study, unlisted: Lump, trim: TrimCalibration, drag: DragCalibration | None, stock: SpeedSweep
) -> tuple[CalibrationRow, ...]:
    """Return the rows of the table "measured and modelled". ``stock`` is the calibrated stock wing."""
    weight, place = study.stock.flying_weight, study.stock.balance_from_nose
    listed = weight - unlisted.mass
    grams = with_unit(unlisted.mass, "g")
    where = f"at {with_unit(unlisted.moment / unlisted.mass, 'mm')}" if unlisted.mass > 1e-4 else "anywhere"
    shape = stock.shape
    modelled = float(shape.all_up_mass)
    balance = (float(shape.moment_without_pack) + float(shape.sliding_mass) * study.pack.from_nose) / modelled
    by_list = (weight * place - unlisted.moment) / listed
    rows = [
        _row("flying weight", weight, listed, modelled, "g", f"mass not listed: {grams}"),
        _row("balance behind the nose", place, by_list, balance, "mm", f"the {grams} not listed, put {where}"),
    ]
    if study.stock.up_elevon is not None:
        rows.append(
            _row(
                "up-elevon in cruise",
                study.stock.up_elevon,
                trim.before,
                trim.after,
                "mm",
                f"pitching-moment offset {trim.offset:+.4f}, at {with_unit(trim.speed, 'km/h')}",
            )
        )
    if drag is not None:
        named = zip(_LOSSES, study.built.factors, drag.factors, drag.spreads, strict=True)
        shares = (
            f"{words} {own * factor:.2f} \N{PLUS-MINUS SIGN} {own * factor * spread:.2f}"
            for words, own, factor, spread in named
        )
        how = f"{', '.join(shares)} times the clean model, at {with_unit(trim.speed, 'km/h')}"
        what = "charge for a kilometre" if drag.unit == "mAh/km" else "charge of the mixed flight"
        rows.append(_row(what, drag.measured, drag.before, drag.after, drag.unit, how))
    return tuple(rows)


def _row(what: str, measured: float, before: float, after: float, unit: str, how: str) -> CalibrationRow:
    """Return one row from SI values."""
    return CalibrationRow(what, in_unit(measured, unit), in_unit(before, unit), in_unit(after, unit), unit, how)


def not_measured(study: Study, trim: TrimCalibration, drag: DragCalibration | None) -> tuple[str, ...]:
    """Return one sentence for each thing that was not measured or cannot be distinguished."""
    sentences = [
        "Weight and balance tell how much is not listed and how far behind the nose it sits, no more. Of it, "
        f"{with_unit(study.stock.not_listed_by_area, '%')} is taken to grow with the surface (paint, adhesive, film) "
        f"and {with_unit(study.stock.not_listed_by_joints, '%')} with the glued joints. The rest stays as it is. The "
        "shares are a judgement, no source."
    ]
    if study.stock.up_elevon is None:
        side = "up" if trim.before >= 0 else "down"
        sentences.append(
            f"Elevon in cruise was not measured (stock.up_elevon): the section's own moment is kept. The model trims "
            f"with {with_unit(abs(trim.before), 'mm', 1)} {side} at {with_unit(trim.speed, 'km/h')}; check "
            "whether your wing does."
        )
    else:
        sentences.append(
            "Section, washout, balance and the elevon's effect cannot be told apart by one trim: the moment "
            "offset includes the sum of their errors."
        )
    if study.fitted:
        sentences.append(
            "Drag, propeller, motor, pack and stiffness carry the factors of [fitted]; what measurements did "
            "not tell there is kept as modelled, within the bands it was fitted with."
        )
    elif drag is None:
        named = ((words, spread) for words, spread in zip(_LOSSES, factor_spreads(study), strict=True) if spread)
        doubts = ", ".join(f"{words} {with_unit(spread, '%')}" for words, spread in named)
        sentences.append(
            "No flight was measured ([known_flight]): losses are those of usual built wings ([built])"
            + (f", right within so much: {doubts}." if doubts else ", held as the study says.")
        )
    else:
        sentences.append(
            "One flight cannot tell drag of the section, drag due to lift and losses of the drive apart: what it asks "
            "for is shared among them by how far each is in doubt. The result lies between the model and the flight, "
            "each weighed by how far it can be trusted."
        )
    return tuple(sentences)


def stiffness_rows(load: StiffnessCalibration | None) -> tuple[CalibrationRow, ...]:
    """Return the rows that a load test adds to the table "measured and modelled"."""
    rows = []
    for place, (each, name) in enumerate(((load.bend, "bending"), (load.twist, "torsion")) if load else ()):
        if load is None or each is None:
            continue
        factor, spread = load.factors[place], load.spreads[place]
        rows.append(
            _row(
                each.what,
                each.measured,
                each.modelled((1.0, 1.0)),
                each.modelled(load.factors),
                each.unit,
                f"stiffness in {name} {factor:.2f} \N{PLUS-MINUS SIGN} {factor * spread:.2f} of the model's",
            )
        )
    return tuple(rows)


def stiffness_not_measured(load: StiffnessCalibration | None) -> tuple[str, ...]:
    """Return one sentence for each thing about stiffness that was not measured or cannot be distinguished."""
    sentences = []
    bend, twist = (load.bend, load.twist) if load else (None, None)
    if bend is None:
        sentences.append(
            f"No bend was read on the bench ([load_test]): stiffness in bending is kept as modelled, right "
            f"within {with_unit(BEND_PRIOR, '%')} or so."
        )
    else:
        sentences.append(
            "One bend cannot tell the rods, their slots, the joiner and the foam between them apart: one "
            "factor on all of them holds along the whole span, also where the wing is made longer."
        )
    if twist is None:
        sentences.append(
            f"No twist was read on the bench ([load_test]): stiffness in torsion is kept as modelled, right "
            f"within {with_unit(TWIST_PRIOR, '%')} or so, by how well the film sticks."
        )
    else:
        sentences.append(
            "One twist cannot tell the film, its bond and the foam apart: the factor holds along the whole "
            "span, so a new covering has to stick as well as the one that was tested."
        )
    if load:
        sentences.append(
            "A test of stiffness says nothing of strength: load factors at which something breaks are kept "
            "as modelled. A proof load tells."
        )
    return tuple(sentences)
