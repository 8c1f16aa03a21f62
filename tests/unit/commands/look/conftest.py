"""The Godwit opened for looks, shared by the tests of this folder."""

import pytest

from tradestudy.commands.look.work import Work


@pytest.fixture(scope="session")
def work(godwit_study):
    """Return the Work on the Godwit, without draws."""
    return Work(godwit_study)
