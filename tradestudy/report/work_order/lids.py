"""What the build sheet says of lids, flush and raised, and of parts that each half wing has.

All of it is common practice without a source.
"""

from __future__ import annotations

from tradestudy.report.body_slots import PartPlace, places_of
from tradestudy.report.words.phrases import comma_list, number_text
from tradestudy.results.design import Design


def on_both_sides(place: PartPlace) -> str:
    """Return words for the place of a part that each half wing has, or no words for one across the centre line."""
    if place.on_centre or place.single:
        return ""
    return f", one in each half wing, its middle {number_text(abs(place.middle[1]), 1)} mm from the centre line"


def _raised(design: Design, lid: PartPlace) -> float:
    """Return how far a lid stands above the skin, 0 if it is flush. [mm]"""
    bay = next((each for each in design.cut.bays if lid.name == f"lid {each.name}"), None)
    return max(-lid.above, 0.0) if bay and bay.raised_lid_mm else 0.0


def lid_words(design: Design, lid: PartPlace) -> str:
    """Return words on how a lid is made."""
    raised = _raised(design, lid)
    if not raised:
        bay = next(
            (each for each in places_of(design.body) if f"lid {each.name.removeprefix('bay ')}" == lid.name), None
        )
        if bay is None or bay.above < 0:
            return ", sliced from the foam of its bay."
        return (
            " where it is thinnest. First cut round the bay's outline from above, blade upright; then slice the lid "
            "off level with the top of the bay. Its upper side stays the skin of the wing."
        )
    return (
        f", raised: its top is flat and stands {number_text(raised, 1)} mm above the skin at most, where the wing is "
        "thinnest. Once the rods are in and sanded, close its sides there with strips of foam at least 8 mm wide, "
        "on the skin beside the bay: until then the wing lies upside down. Slope them down to the skin over "
        "three times that height, and round all edges."
    )


def lid_steps(design: Design) -> list[str]:
    """Return the steps on what keeps lids shut. A raised one also has a hook, since the air stream lifts it."""
    lids = [place for place in places_of(design.body) if place.kind == "lid"]
    raised = [lid.name for lid in lids if _raised(design, lid)]
    steps = []
    if len(raised) < len(lids):
        flush = "Other lids" if raised else "Lids"
        steps.append(
            f"{flush}: cover them, hinge each along its front edge with film or tape, hold it shut by tape or magnets."
        )
    if raised:
        steps.append(
            f"{comma_list(raised).capitalize()}: stands in the air stream, which lifts it. Cover it. Give it a hook at "
            "the front: a tongue of plywood or sheet that goes 15 mm under the skin. Hold it shut at the back by "
            "two magnets or by tape across it. Shake the wing upside down with the pack in: it stays shut."
        )
    return steps
