"""Inputs varied on workers come back in their order, each once, whatever happens to a worker."""

from types import SimpleNamespace

from tradestudy.search.engines.processes import LostTask
from tradestudy.uncertainty import variants


def test_inputs_keep_their_order_and_a_lost_one_is_computed_here(monkeypatch):
    told = []
    inputs = [SimpleNamespace(used=SimpleNamespace(key=name)) for name in "abc"]

    def out_of_order(engine, function, items, words):
        assert engine == "workers" and [words(item) for item in items] == ["a", "b", "c"]
        yield 2, function(None, items[2])
        yield 0, LostTask("a")
        yield 1, function(None, items[1])

    monkeypatch.setattr(variants, "completed_tasks", out_of_order)
    monkeypatch.setattr(variants, "input_variants", lambda study, tables, design, one, nominal: one.used.key)
    found = variants.design_variants(None, {}, None, inputs, told.append, "workers", "nominal").inputs
    assert found == ["a", "b", "c"]
    assert told[-1] == "effect of each uncertain input: 3 of 3"
