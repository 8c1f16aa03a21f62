"""What a builder measured, as inputs: by the ruler's accuracy."""

from helpers.places import GODWIT
from helpers.wings.surfaced import surfaced

from tradestudy.study.reader import read_study
from tradestudy.uncertainty.inputs_with_bands import measured_inputs


def test_chords_of_an_elevon_outlined_by_points_move_together(tmp_path):
    """Check two millimetres less and more on every chord, and on no place along the span."""
    path = tmp_path / "study.toml"
    path.write_text(surfaced(GODWIT.read_text(encoding="utf-8")), encoding="utf-8")
    (found,) = [each for each in measured_inputs(read_study(path)) if each.used.key == "elevon.outline"]
    assert (found.used.value, found.used.low, found.used.high) == ("45, 45, 22 mm", "-2 mm", "+2 mm")
    for sign, side in zip((-1, 1), found.sides, strict=True):
        rows = [[float(length.removesuffix(" mm")) for length in row] for row in side["elevon", "outline"]]
        assert rows == [[70, 45 + 2 * sign], [300, 45 + 2 * sign], [600, 22 + 2 * sign]]
