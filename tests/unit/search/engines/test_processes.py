"""What works on any task engine: errors of tasks, and results that are kept while others are computed."""

from concurrent.futures import Future
from types import SimpleNamespace

import pytest
from helpers import cheap_tasks
from helpers.cheap_tasks import answers

from tradestudy.errors import EngineLost
from tradestudy.search.engines.local_processes import LocalProcesses
from tradestudy.search.engines.processes import InProcess, WorkerPool, completed_tasks


def test_a_fault_in_a_task_comes_back_as_it_is():
    for engine in (InProcess(), LocalProcesses(2, "helpers.cheap_tasks")):
        with pytest.raises(ValueError, match="no 4"):
            answers(engine, cheap_tasks.wrong, [4], None)


def test_results_that_are_there_come_before_an_error(monkeypatch):
    """Check that what is finished can be kept where another task ends the work."""
    first, second = Future(), Future()
    first.set_exception(EngineLost("no workers"))
    second.set_result(7)
    futures = iter((first, second))
    pool = WorkerPool(SimpleNamespace(workers=2, submit=lambda *given: next(futures)))
    for tag in ("lost", "found"):
        pool.give(tag, str, cheap_tasks.slow, 1)
    assert pool.take() == ("found", 7)
    with pytest.raises(EngineLost):
        pool.take()


def test_a_worker_has_its_next_task_while_a_result_is_kept():
    """Check that an engine with workers is ahead of what is kept, and that nothing finished is lost if it ends."""
    sent = []

    def submit(function, item):
        if item == 2:
            raise EngineLost("no workers")
        sent.append(item)
        future = Future()
        future.set_result(10 * item)
        return future

    results = completed_tasks(SimpleNamespace(workers=1, submit=submit), cheap_tasks.slow, range(3))
    assert next(results) == (0, 0) and sent == [0, 1]
    assert next(results) == (1, 10)
    with pytest.raises(EngineLost):
        next(results)


def test_this_process_computes_nothing_ahead_of_what_is_kept():
    made, engine = [], InProcess()
    results = completed_tasks(engine, lambda _, item: made.append(item), range(3))
    next(results)
    assert made == [0]
