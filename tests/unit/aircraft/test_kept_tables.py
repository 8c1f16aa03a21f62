"""Tables that a process makes once: how many are kept, and what a process takes over from another."""

import pickle

import pytest

from tradestudy.aircraft import kept_tables


@pytest.fixture
def doubled(monkeypatch):
    """Return a function of kept tables, and the values for which it was called."""
    monkeypatch.setattr(kept_tables, "_kept", {})
    made = []

    @kept_tables.kept_tables(2)
    def double(value):
        made.append(value)
        return [2 * value]

    return double, made


def test_a_table_is_made_once_and_the_last_ones_are_kept(doubled):
    double, made = doubled
    assert [double(value) for value in (1, 2, 1, 3, 2, 1)] == [[2], [4], [2], [6], [4], [2]]
    assert made == [1, 2, 3, 1]


def test_a_process_makes_no_table_that_it_took_over(doubled):
    double, made = doubled
    double(1)
    sent = pickle.loads(pickle.dumps(kept_tables.tables_in_use()))
    for known in kept_tables._kept.values():
        known.clear()
    kept_tables.take_over(sent)
    assert double(1) == [2] and made == [1]


def test_a_search_space_carries_its_tables_to_a_worker(turnstone_space, monkeypatch):
    sent = pickle.dumps(turnstone_space.for_workers())
    monkeypatch.setattr(kept_tables, "_kept", {})
    pickle.loads(sent)
    names = {name.rpartition(".")[2]: len(known) for name, known in kept_tables._kept.items()}
    assert names["_table"] and names["_blade_polars"] and names["_generic_propeller"]
