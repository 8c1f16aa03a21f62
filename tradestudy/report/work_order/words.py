"""Words that several steps of the work share: where the wing lies, sizes of a part, and glue with its times."""

from __future__ import annotations

from tradestudy.report.bench_tables import duration, glue_grams
from tradestudy.report.body_slots import PartPlace
from tradestudy.report.words.phrases import number_text
from tradestudy.results.cutting import GlueJoint
from tradestudy.results.design import Design

# names of the joints in the table of glue
JOINER, FOAM, RODS, BOARDS = "joiner in its channel", "foam to foam", "rods in their slots", "boards and motor mount"
FILM, FINS = "film on foam", "fins"


def bed_words(design: Design) -> str:
    """Return words for what the wing lies on, upper side up."""
    return "in the lower beds" if design.cut.beds_kept else "on the jig blocks"


def joining_side(design: Design) -> str:
    """Return the side from which the channel of the joiner is opened: the one that is up when halves are glued."""
    return "lower" if design.cut.beds_kept else "upper"


def joining_words(design: Design) -> str:
    """Return words for what the wing lies on while its halves and its joiner are glued."""
    return "upside down in the upper beds" if design.cut.beds_kept else "on the jig blocks"


def box_words(place: PartPlace) -> str:
    """Return the sizes of a part in words: along the span, along the chord, and its depth."""
    wide, long, deep = (number_text(length, 1) for length in (place.size[1], place.size[0], place.depth))
    return f"{wide} mm wide, {long} mm long, {deep} mm"


def glued_with(joint: GlueJoint) -> str:
    """Return words on the glue of a joint, its amount and its times."""
    return (
        f"With {joint.glue}, {glue_grams(joint)} g in all: {duration(joint.open_min)} to put together, "
        f"hold for {duration(joint.hold_min)}, load after {duration(joint.cure_min)}."
    )
