"""Options of the command payload: each mistake is told in one line."""

import pytest
from helpers.places import GODWIT

from tradestudy.__main__ import main
from tradestudy.cli.payload import _size


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--at", "180 mm", "--bay", "nose"], "--at and --bay do not go together: a bay has a place of its own."),
        (["--mass", "-5 g"], "--mass -5 g is not above zero."),
        (["--mass", "200 kg"], "--mass 200 kg is beyond what these wings can carry."),
        (["--mass", "60 g", "--to", "50 g"], "--mass 60 g is above --to 50 g, the largest payload to look at."),
        (["--size", "80x60 mm"], '--size 80x60 mm: give length, width and height, such as "80x60x40 mm".'),
        (["--to", "12 km"], "--to"),
    ],
)
def test_the_message_for_a_wrong_option(capsys, options, words):
    assert main(["payload", str(GODWIT), *options]) == 2
    assert capsys.readouterr().err.strip().startswith(words)


def test_a_size_is_read():
    assert _size("80x60x40 mm") == pytest.approx((0.08, 0.06, 0.04))
