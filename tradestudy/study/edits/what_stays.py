"""What stays as measured when keys of a study are set: `notes_on_edits`, `edited_stock_keys`."""

from __future__ import annotations

from tradestudy.quantities import short_with_unit
from tradestudy.study.schema.study import Study

# tables that describe the stock wing as it was weighed and flown
_STOCK_WING = (
    "stock", "traced_section", "elevon", "linkage", "fin", "foam", "covering", "rods", "joiner", "bay", "pocket",
    "power", "pack", "motor", "controller", "propeller", "equipment", "drag_item",
)  # fmt: skip
_WEIGHED = ("stock.flying_weight", "stock.balance_from_nose", "stock.balance_ahead_of_tip")


def edited_stock_keys(study: Study) -> list[str]:
    """Return the keys that were set and that describe the stock wing."""
    return [edit.key for edit in study.edits if edit.key.partition(".")[0].partition("[")[0] in _STOCK_WING]


def notes_on_edits(study: Study) -> list[str]:
    """Return sentences without a full stop on measurements that keep their values although keys were set."""
    changed = edited_stock_keys(study)
    described = [key for key in changed if key not in _WEIGHED]
    if not described:
        return []
    weight = short_with_unit(study.stock.flying_weight, "g", 5)
    notes = [
        f"{', '.join(described)} {'describe' if len(described) > 1 else 'describes'} the stock wing: its weight "
        f"({weight}) and balance stay as measured, and the model is calibrated to them again"
    ]
    if "stock.flying_weight" not in changed and any(key.endswith((".mass", ".pack_weight")) for key in described):
        notes.append(
            "a heavier part on the list leaves less that is not listed, and so the same flying weight; set "
            "stock.flying_weight too where the stock wing would fly at another one"
        )
    if study.known_flight is not None:
        notes.append("the known flight counts as flown by the stock wing as it is now described")
    if study.fitted is not None:
        notes.append("the factors of fit were measured with the stock wing of the file")
    return notes
