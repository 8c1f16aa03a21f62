"""A fit from files: one reading moves its factor alone, and a study that holds a fit is refused."""

import pytest
from helpers.places import GODWIT

from tradestudy.commands.fit import fit
from tradestudy.errors import CommandError


def test_a_fuller_pack_moves_its_capacity_alone_and_a_fitted_study_is_refused(tmp_path, godwit_study):
    """Check a pack that holds 2 % more than its cells say: by a label and a charger of 2 % each, it is half of that."""
    cells = godwit_study.pack
    charge = 1.02 * cells.parallel * cells.cell_numbers["capacity"] / 3.6  # mAh
    measured = tmp_path / "measured.toml"
    measured.write_text(f'[pack]\ncapacity = "{charge:.1f} mAh"\n', encoding="utf-8")
    found = fit(GODWIT, measured)
    factors = {row["name"]: row["factor"] for row in found.document["factors"]}
    assert factors.pop("pack_capacity") == pytest.approx(1.02**0.5, abs=3e-4)  # in logarithms; written to 4 digits
    assert list(factors.values()) == pytest.approx([1.0] * len(factors), abs=1e-4)
    fitted = tmp_path / "godwit.toml"
    fitted.write_text(GODWIT.read_text(encoding="utf-8") + found.overlay, encoding="utf-8")
    with pytest.raises(CommandError, match="holds a table"):
        fit(fitted, measured)
