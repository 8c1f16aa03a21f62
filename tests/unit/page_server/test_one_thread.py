"""The thread of live studies: the newest value of a tab wins, tabs take turns, and errors come back."""

import threading
import time

import pytest

from tradestudy.page_server.live.one_thread import OneThread, Superseded


@pytest.fixture()
def held():
    """Return a thread whose first call waits, and the event that lets it go on."""
    thread, go = OneThread(), threading.Event()
    first = thread.call(None, go.wait, 10)
    while not first.running():
        time.sleep(0.001)
    yield thread, go, first
    go.set()
    thread.close()


def test_the_newest_of_a_tab_wins_and_other_tabs_keep_their_turn(held):
    thread, go, _ = held
    done = []
    mine = [thread.call(("a", "look"), done.append, f"a{number}") for number in range(60)]
    other = thread.call(("b", "look"), done.append, "b")
    after = thread.call(("a", "after"), done.append, "after")
    newest = thread.call(("a", "look"), done.append, "a60")
    go.set()
    for each in (newest, other, after):
        each.result(5)
    assert done == ["a60", "b", "after"]
    for each in mine:
        with pytest.raises(Superseded):
            each.result(0)


def test_calls_without_a_slot_are_all_made_in_order(held):
    thread, go, _ = held
    done = []
    calls = [thread.call(None, done.append, number) for number in range(5)]
    go.set()
    calls[-1].result(5)
    assert done == [0, 1, 2, 3, 4]


def test_an_error_comes_back_and_the_thread_goes_on(held):
    thread, go, _ = held
    failing, fine = thread.call(None, int, "x"), thread.call(None, int, "7")
    go.set()
    with pytest.raises(ValueError):
        failing.result(5)
    assert fine.result(5) == 7


def test_a_cancelled_call_is_not_made(held):
    thread, go, _ = held
    done = []
    dropped = thread.call(None, done.append, 1)
    dropped.cancel()
    last = thread.call(None, done.append, 2)
    go.set()
    last.result(5)
    assert done == [2]


def test_the_end_drops_what_waits_and_what_is_under_way(held):
    thread, go, first = held
    waiting = thread.call(None, int, "1")
    thread.close()
    go.set()
    assert waiting.cancelled()
    with pytest.raises(TimeoutError):
        first.result(0.2)
