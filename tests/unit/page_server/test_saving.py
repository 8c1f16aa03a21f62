"""What the page writes: within the folder of the study, and never over a study whose difference nobody has seen."""

import os
from types import SimpleNamespace

import pytest
from helpers.wings import plover

from tradestudy.errors import CommandError
from tradestudy.page_server.safety.named_files import checked_edit
from tradestudy.page_server.saving import save_study, save_wing
from tradestudy.results.design import DesignChoices, DesignVariables
from tradestudy.study.logbook.wings_file import built_wings
from tradestudy.study.reader import read_study


@pytest.fixture()
def study(tmp_path):
    """Return the Plover with another wind and a longer span."""
    read = read_study(plover.written(tmp_path))
    return checked_edit(read, {"fly.wind": "3 m/s", "stretch.longest": "1800 mm"})


def files(study):
    return {file.name: file.read_bytes() for file in study.path.parent.iterdir()}


def test_a_new_file_shows_its_changes_first(study):
    before = files(study)
    shown = save_study(study, "windy", False, None)
    assert files(study) == before
    assert not shown["exists"] and shown["over"] is None and not shown["saved"]
    rows = {row["key"]: row for row in shown["difference"]}
    assert set(rows) == {"fly.wind", "stretch.longest"} or set(rows) == {"fly.wind", "stretch.span"}
    assert rows["fly.wind"]["now"] == "3 m/s"
    assert save_study(study, "windy", True, None)["saved"]
    assert read_study(study.path.with_name("windy.toml")).fly.wind == 3.0
    assert files(study)["plover.toml"] == before["plover.toml"]


def test_comments_of_the_file_are_kept(tmp_path):
    path = plover.written(tmp_path)
    path.write_text("# mine\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    edited = checked_edit(read_study(path), {"fly.wind": "3 m/s"})
    save_study(edited, "windy", True, None)
    assert path.with_name("windy.toml").read_text(encoding="utf-8").startswith("# mine\n")


def test_a_study_that_is_there_is_replaced_only_as_it_was_shown(study):
    other = study.path.with_name("other.toml")
    other.write_text('[study]\nname = "Other"\n[fly]\nwind = "9 m/s"\n', encoding="utf-8")
    before = other.read_bytes()
    shown = save_study(study, "other", False, None)
    assert (
        shown["exists"]
        and {"key": "fly.wind", "was": "9 m/s", "now": "3 m/s"}.items()
        <= next(row for row in shown["difference"] if row["key"] == "fly.wind").items()
    )
    for over in (None, "0" * 64):  # agreed without having seen it
        assert not save_study(study, "other", True, over)["saved"]
        assert other.read_bytes() == before
    other.write_text(before.decode() + "# changed since\n", encoding="utf-8")
    again = save_study(study, "other", True, shown["over"])
    assert not again["saved"] and again["over"] != shown["over"]
    assert save_study(study, "other", True, again["over"])["saved"]
    assert read_study(other).fly.wind == 3.0


@pytest.mark.parametrize("name", ["../out", "/tmp/out", "a/b", "a\\b", "..", "", "con", "<b>"])
def test_names_that_lead_elsewhere_are_refused(study, name):
    before = files(study)
    with pytest.raises(CommandError):
        save_study(study, name, True, None)
    assert files(study) == before


@pytest.mark.skipif(os.name == "nt", reason="links need a permission there")
@pytest.mark.parametrize("name", ["out.toml", "plover.wings.toml"])
def test_links_that_lead_out_are_not_written_through(study, tmp_path, name):
    target = tmp_path.parent / f"{tmp_path.name}-target"
    study.path.with_name(name).symlink_to(target)
    with pytest.raises(CommandError, match="leads out"):
        save_study(study, "out", True, None) if name == "out.toml" else save_wing(study, wing(), "long")
    assert not target.exists()


def wing():
    choices = DesignChoices(4, 2, 3.0, 2, "10x6", "4S2P")
    return SimpleNamespace(choices=choices, variables=DesignVariables(100.0, 26.0, 2.0, 170.0, 8.0, 50.0, 0.0))


def test_a_wing_is_saved_once_under_its_name(study):
    saved = save_wing(study, wing(), "long-one")
    assert saved == {"file": "plover.wings.toml", "name": "long-one"}
    kept = built_wings(study.path)["long-one"]
    assert (kept.choice["parallel"], kept.variables["sweep_deg"]) == (2, 26.0)
    with pytest.raises(CommandError, match="stands in"):
        save_wing(study, wing(), "long-one")
    for name in ("stock", "../x", "<script>", ""):
        with pytest.raises(CommandError):
            save_wing(study, wing(), name)


def test_a_wing_of_another_stock_wing_is_not_saved_beside_the_study(study):
    heavier = checked_edit(study, {"stock.flying_weight": "1800 g", "fly.wind": "2 m/s"})
    with pytest.raises(CommandError, match="stock.flying_weight was set"):
        save_wing(heavier, wing(), "long-one")
    assert not study.path.with_name("plover.wings.toml").exists()
