"""The questions of `tradestudy new` as data: the text of each question and the keys that its answer gives.

Usual ranges are for wings of 0.9 to 2 m span: common practice, no source. The schema states which values are allowed.
"""

from __future__ import annotations

from typing import NamedTuple


class KeySlot(NamedTuple):
    """One key whose value comes from an answer.

    ``label`` is its name in messages, and ``comment`` is the comment after it in the study. If ``optional`` is True,
    the answer may leave it out.
    """

    table: str
    key: str
    label: str
    comment: str
    optional: bool = False


class Question(NamedTuple):
    """One question. ``if_empty`` describes the effect of an empty answer. If it is "", an answer is required."""

    name: str
    title: str
    how: str
    usual: str
    example: str
    more: str
    slots: tuple[KeySlot, ...]
    if_empty: str = ""

    @property
    def flag(self) -> str:
        """Return the command-line option that answers this question."""
        return "--" + self.name.replace("_", "-")


NO_ANSWER = "none"  # answer that skips a question or, for the rods, says that there are none

QUESTIONS: tuple[Question, ...] = (
    Question(
        name="span",
        title="Span",
        how="Lay the wing flat and measure from tip to tip with the tape, without what the fins add.",
        usual="900 to 2000 mm",
        example="1120 mm",
        more='The other sizes are compared with this length. Any unit is allowed: "1120 mm", "112 cm", "44 in".',
        slots=(KeySlot("stock", "span", "span", "tip to tip, by tape, lying flat"),),
    ),
    Question(
        name="chords",
        title="Foam chords: root, tip",
        how="Measure the foam from its leading edge back to the elevon's hinge line, on the centre line and at "
        "the tip.",
        usual="200 to 350 mm at the root, 110 to 220 mm at the tip",
        example="290 mm, 165 mm",
        more="Two lengths, the root first. The elevon is not part of the foam chord; it is the next question.",
        slots=(
            KeySlot("stock", "root_chord", "root chord", "foam on the centre line, without the elevon"),
            KeySlot("stock", "tip_chord", "tip chord", "foam at the tip, without the elevon"),
        ),
    ),
    Question(
        name="elevon_chord",
        title="Elevon chord",
        how="Measure the elevon from its hinge line back to its trailing edge, half way out.",
        usual="25 to 60 mm",
        example="40 mm",
        more="If it tapers, take the middle; root and tip can be given separately later, in [elevon] of the study.",
        slots=(KeySlot("stock", "elevon_chord", "elevon chord", "hinge line to trailing edge, half way out"),),
    ),
    Question(
        name="set_back",
        title="Set-back of the tip",
        how="Lay a straight edge across the nose, square to the centre line, and measure how far behind it the leading "
        "edge of the tip lies.",
        usual="120 to 450 mm",
        example="255 mm",
        more="It gives the sweep, and sweep decides where the wing must balance, so this is never assumed. A floor "
        "with tiles or boards has good straight edges. Measure both tips and take the mean.",
        slots=(
            KeySlot("stock", "tip_set_back", "set-back", "tip leading edge behind a straight edge across the nose"),
        ),
    ),
    Question(
        name="thickness",
        title="Thickness of the root",
        how="Close the calipers, or two boards and a ruler, on the thickest place of the root.",
        usual="28 to 56 mm, 14 to 16 % of the foam chord",
        example="45 mm",
        more="Where it is thickest does not matter here. A hatch or pod above the surface is not part of it.",
        slots=(KeySlot("stock", "root_thickness", "root thickness", "thickest place of the root, by calipers"),),
    ),
    Question(
        name="balance",
        title="Balance",
        how="Lift the wing, ready to fly, on two fingertips; where it stays level, measure from the nose back to the "
        "fingers.",
        usual="110 to 240 mm",
        example="167 mm",
        more="The nose is the leading edge on the centre line. Pack in, camera on, propeller on. An error of 3 mm "
        "matters, so do it three times. It is never assumed.",
        slots=(KeySlot("stock", "balance_from_nose", "balance", "from the nose, ready to fly, on two fingertips"),),
    ),
    Question(
        name="weight",
        title="Flying weight",
        how="Put the wing on the kitchen scale, ready to fly, with its pack.",
        usual="500 g to 3 kg",
        example="1180 g",
        more='In any unit: "1180 g", "1.18 kg", "41.6 oz". It is never assumed.',
        slots=(KeySlot("stock", "flying_weight", "flying weight", "ready to fly with its pack, on the scale"),),
    ),
    Question(
        name="rods",
        title="Rods: diameter, pairs, material",
        how="Measure a rod with the calipers, count the top-and-bottom pairs in each half of the wing, and say whether "
        "they are carbon or glass.",
        usual="2 to 4 mm, 1 to 4 pairs, carbon or glass",
        example="3 mm, 2, carbon",
        more="A pair is one rod near the top skin and one near the bottom skin. Carbon is black, glass pale; it bends "
        "more; left out, glass is assumed. Add how deep the slots reach, if you know it: "
        '"3 mm, 1, glass, 4 mm". Write none for a wing without rods. Change places and lengths in the study under '
        "[rods].",
        slots=(
            KeySlot("rods", "diameter", "rod diameter", "outside, by calipers"),
            KeySlot("rods", "pairs", "pairs of rods", "top-and-bottom pairs in each half wing"),
            KeySlot("rods", "material", "rod material", "carbon or glass", optional=True),
            KeySlot("rods", "slot_depth", "slot depth", "from the skin to the bottom of the slot", optional=True),
        ),
    ),
    Question(
        name="joiner",
        title="Joiner: material, diameter, length",
        how="Say what stiff rod or tube lies across the middle and joins the halves, and measure its outside diameter "
        "and its full length.",
        usual="carbon, 5 to 10 mm thick, a fifth to a third of the span long; none in light wings",
        example="carbon, 6 mm, 300 mm",
        more="It carries the middle where rods end beside the bay, so a heavy wing that flies nearly always has one. "
        'Of a tube give the inside diameter last: "carbon, 10 mm, 500 mm, 8 mm". Its place is assumed behind the bay; '
        "correct it under [joiner] in the study. Write none if there is none.",
        slots=(
            KeySlot("joiner", "material", "joiner material", "carbon or glass"),
            KeySlot("joiner", "diameter", "joiner diameter", "outside, by calipers"),
            KeySlot("joiner", "length", "joiner length", "full length, half of it on each side"),
            KeySlot("joiner", "inside_diameter", "inside diameter", "inside, of a tube", optional=True),
        ),
        if_empty="no joiner is assumed, so rods, foam and film carry the middle",
    ),
    Question(
        name="motor",
        title="Motor and propeller",
        how="Read size and rpm/V off the motor, and diameter x pitch in inches off the propeller.",
        usual="18 to 35 mm, 700 to 2300 rpm/V, 5x3 to 11x7",
        example="22 mm, 1300 rpm/V, 8x5",
        more="The size is that of the stator: the first two digits of a number such as 2814. Many makers write Kv for "
        "rpm/V. Between two sizes take the nearer one, and write its resistance and no-load current into [motor] "
        "of the study afterwards.",
        slots=(
            KeySlot("power", "motor", "motor", "stator size and rpm/V, as printed on it"),
            KeySlot("power", "propeller", "propeller", "diameter x pitch in inches, as moulded on it"),
        ),
    ),
    Question(
        name="pack",
        title="Pack: cells, capacity, weight",
        how="Read cells and capacity off the wrap, and weigh the pack with its leads.",
        usual="3S to 6S, 2000 to 16000 mAh, 150 g to 1.4 kg",
        example="3S2P Li-ion, 6700 mAh, 342 g",
        more="3S2P is three cells in series, two side by side; write 4S LiPo for a pack without cells in parallel. "
        "Capacity and weight may be left out; those of the nearest cell in the catalogue are then used.",
        slots=(
            KeySlot("power", "pack", "pack", "cells and chemistry, printed on the wrap"),
            KeySlot("power", "capacity", "capacity", "of the complete pack, printed on the wrap", optional=True),
            KeySlot("power", "pack_weight", "pack weight", "with its leads, on the scale", optional=True),
        ),
    ),
    Question(
        name="stretch",
        title="Stretch: scheme, longest span",
        how="Choose how the wing may grow, and the longest span that you would build or carry.",
        usual="1.2 to 1.6 times the present span",
        example="scaled, 1550 mm",
        more="scaled: both panels drawn anew and cut by hot wire. plug: a straight piece added at the root. tip: the "
        "panels carried on outward.",
        slots=(
            KeySlot("stretch", "scheme", "scheme", '"scaled" (new cores), "plug" (piece at the root) or "tip"'),
            KeySlot("stretch", "longest", "longest span", "the longest span to try"),
        ),
    ),
    Question(
        name="equipment",
        title="Equipment on board",
        how="Give the numbers of the parts on board; weigh your own later.",
        usual="3 to 7 of them",
        example="1 3 10",
        more="Each has a usual weight, power and drag, and a place that you correct in the study. Motor, speed "
        "controller, propeller and pack are not on this list: they are known already.",
        slots=(),
        if_empty="one part with a usual power of 6 W and a usual drag is assumed",
    ),
    Question(
        name="section",
        title="Section",
        how="Give the airfoil's name, or the name of a coordinate file in the folder of the study.",
        usual="mh45, mh60, e184 and other sections with a reflexed tail",
        example="mh60",
        more='A section traced from the foam goes into the study by hand, as [traced_section] with airfoil = "traced"; '
        "leave this empty until then.",
        slots=(KeySlot("stock", "airfoil", "section", "airfoil database, or a coordinate file in this folder"),),
        if_empty="a usual reflexed section of the measured thickness is assumed",
    ),
    Question(
        name="up_elevon",
        title="Elevon in cruise",
        how="Look at the elevons as trimmed for cruise and measure how far the trailing edge is above the section's "
        "own line; minus is below.",
        usual="0 to 4 mm",
        example="2 mm",
        more="A ruler laid along the bottom of the wing at the hinge helps. Take the mean of both sides.",
        slots=(KeySlot("stock", "up_elevon", "elevon", "trailing edge above the section's own line in cruise"),),
        if_empty="what the section needs is assumed",
    ),
    Question(
        name="flight",
        title="A flight you remember: distance, time, charge",
        how="Take a flight at steady cruise on this pack: distance and time off the display or map, charge put back "
        "by the charger.",
        usual="15 to 120 km, 20 min to 3 h",
        example="36 km, 43 min, 2900 mAh",
        more="It calibrates the estimate with what your wing really uses; no other answer improves the result as "
        "much. Out and home is better than one way, because of the wind.",
        slots=(
            KeySlot("known_flight", "distance", "distance", "by the display or the map"),
            KeySlot("known_flight", "time", "time", "in the air"),
            KeySlot("known_flight", "charge_used", "charge", "put back by the charger, or by the display"),
        ),
        if_empty="the range is that of the uncalibrated model",
    ),
)
QUESTIONS_BY_NAME = {question.name: question for question in QUESTIONS}

# table -> names of the questions to ask again if an assumed value of this table does not fit
FALLBACK_QUESTIONS = {
    "elevon": ("elevon_chord",),
    "fin": ("chords",),
    "bay": ("chords", "thickness"),
    "pack": ("pack",),
    "motor": ("motor",),
    "controller": ("motor",),
    "propeller": ("motor",),
    "fly": ("motor",),
    "drag_item": ("equipment",),
    "equipment": ("equipment",),
    "choices": ("rods", "pack"),
    "power": ("motor", "pack"),
}


def questions_behind(key: str) -> tuple[str, ...]:
    """Return the names of the questions that decide the value of a key such as "stock.span" or "rods[1].pairs"."""
    table, _, rest = key.partition(".")
    table, inner = table.partition("[")[0], rest.partition("[")[0]
    slots = [(question.name, slot) for question in QUESTIONS for slot in question.slots if slot.table == table]
    exact = tuple(name for name, slot in slots if slot.key == inner)
    return exact or FALLBACK_QUESTIONS.get(table) or tuple(dict.fromkeys(name for name, _ in slots))
