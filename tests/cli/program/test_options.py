"""Options that could be misread: a share of draws with and without its sign, and options that need another one."""

import pytest
from helpers.places import GODWIT

from tradestudy.__main__ import main
from tradestudy.cli.completion import optimised, quantities
from tradestudy.cli.options import share_of_draws
from tradestudy.errors import CommandError
from tradestudy.quantities.objectives import PURPOSES, TRADED


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
