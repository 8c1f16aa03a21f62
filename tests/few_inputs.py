"""Fewer inputs with bands, so that tests of what is printed need not work out a hundred."""

from collections import Counter

from tradestudy.uncertainty import input_effects

OF_EACH_KIND = 3


def keep_few_inputs(monkeypatch, module=input_effects):
    """Let a module that asks for inputs with bands see the first three of each kind alone."""
    whole = module.inputs_of

    def few(*asked):
        seen = Counter()
        for one in whole(*asked):
            seen[one.kind] += 1
            if seen[one.kind] <= OF_EACH_KIND:
                yield one

    monkeypatch.setattr(module, "inputs_of", lambda *asked: list(few(*asked)))
