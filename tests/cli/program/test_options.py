"""Options that could be misread: a share of draws with and without its sign, and options that need another one."""

import shutil
from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.places import GODWIT, STUDIES

from tradestudy.__main__ import main
from tradestudy.cli.completion import optimised, quantities
from tradestudy.cli.front import print_builds
from tradestudy.cli.options import share_of_draws
from tradestudy.cli.terminal import use_units
from tradestudy.errors import CommandError
from tradestudy.quantities.objectives import PURPOSES, TRADED
from tradestudy.results.trade import BuildsTrade, FrontQuantity

MEASURED = STUDIES / "measured" / "godwit.toml"


@pytest.mark.parametrize(("text", "share"), [("80 %", 0.8), ("80", 0.8), ("0.8", 0.8), ("97.5%", 0.975)])
def test_a_share_of_draws_may_lack_its_sign(text, share):
    assert share_of_draws("--chance", text) == pytest.approx(share)


@pytest.mark.parametrize("text", ["1", "40", "100", "0.4", "much", "80 km"])
def test_other_shares_are_refused(text):
    with pytest.raises(CommandError, match="^--chance "):
        share_of_draws("--chance", text)


def test_a_chance_alone_is_refused(capsys):
    assert main(["optimise", str(GODWIT), "--chance", "80 %"]) == 2
    assert capsys.readouterr().err.startswith("--chance goes with --robust")


def test_a_front_offers_what_it_accepts(capsys, monkeypatch):
    """Pack energy and price change in steps, and payload is set: they are accepted as the second quantity alone."""
    monkeypatch.setattr("tradestudy.cli.session.open_session", lambda *given, **more: pytest.fail("work has begun"))
    in_steps = {"pack_energy", "price"}
    offered = [{name for name, _ in offers("")} for offers in (optimised, quantities)]
    assert offered == [set(TRADED) - in_steps - {"payload"}, set(TRADED)]
    assert main(["front", "--help"]) == 0
    of = " ".join(capsys.readouterr().out.split()).partition("--of QUANTITY")[2].partition("--against")[0]
    assert all((name in of) == (name in offered[0]) for name in TRADED)
    for name in in_steps:
        assert main(["front", str(GODWIT), "--of", name]) == 2
        assert f"--of {name}: this quantity changes in steps; give it as --against" in capsys.readouterr().err
    for asked, words in (
        (["--of", "payload"], "--of payload: give it as --against"),
        (["--against", "payload", "--against", "span"], "--against payload: give it alone"),
        (["--of", "endurance", "--against", "payload"], "only the study's purpose can be optimised"),
    ):
        assert main(["front", str(GODWIT), *asked]) == 2
        assert words in " ".join(capsys.readouterr().err.split())
    assert main(["front", str(GODWIT), "--of", "pack_enrgy"]) == 2
    assert "Did you mean" not in capsys.readouterr().err


def test_the_way_out_and_home_has_one_name():
    assert "out_and_home" in TRADED and "out_and_home" in PURPOSES and "radius" not in TRADED


@pytest.mark.parametrize("command", [["note", GODWIT, "34 min"], ["fit", GODWIT, MEASURED], ["club", STUDIES]])
def test_commands_of_a_club_and_its_logbooks_take_units(capsys, command):
    assert main([*map(str, command), "--units", "ells"]) == 2
    assert capsys.readouterr().err.startswith('--units "ells" is not known. Allowed: metric, imperial.')


@pytest.fixture
def metric_again():
    yield
    use_units("metric")


@pytest.mark.usefixtures("metric_again")
def test_a_register_is_told_in_inches_and_ounces(capsys, tmp_path):
    shutil.copy(STUDIES / "lapwing.toml", tmp_path)
    assert main(["club", str(tmp_path), "--units", "imperial"]) == 0
    printed = capsys.readouterr().out
    assert "weight oz" in printed and "balance in" in printed and "weight g" not in printed


def test_a_front_of_builds_is_as_wide_as_a_terminal(capsys):
    """The numbers are a table of 80 columns; what each is built with, and what ends it, stands below."""
    sample = sample_result()
    builds = [
        replace(wing, numbers=replace(wing.numbers, build_price=30.0, price_per_km_gained=2.0, loaded_range_km=61.0))
        for wing in sample.span_trade[:3]
    ]
    axes = [FrontQuantity(*each) for each in (("range_km", "range", "km", 1), ("build_price", "price", "EUR", -1))]
    print_builds(replace(sample, builds=builds, builds_traded=BuildsTrade(axes[0], axes[1:], 1), currency="EUR"))
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    table = lines[: lines.index(next(line for line in lines if line.startswith("A: ")))]
    assert len(table) <= 12
    told = " ".join(" ".join(lines).split())
    assert f"B: {builds[1].choices.words}. Limited by: " in told and "Its payload is ended by: stall speed." in told
