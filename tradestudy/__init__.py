"""An optimisation workbench for stretching the span of small electric tailless foam wings.

From Python: ``import tradestudy as ts``, then ``study = ts.load("studies/godwit.toml")`` and ``ts.assess(study)``,
``ts.optimise(study)``, ``ts.stretch(study)``, ``ts.front(study)`` or ``ts.run(study)``, each of which returns a Result;
``ts.save(result, folder)`` writes it. Names are imported when they are first used.

This module imports nothing of ours when it loads, which keeps the rooms free of import circles.
"""

from importlib import import_module as _import_module
from typing import Any as _Any

__version__ = "0.1.0"

# name -> module that defines it, with a colon and its name there if that is another one
_NAMES = {
    "load": "tradestudy.commands",
    **dict.fromkeys(("edit", "keys", "check", "new"), "tradestudy.commands.python.studies"),
    "SI": "tradestudy.study.edits.typed_value",
    "assess": "tradestudy.commands.assess",
    "optimise": "tradestudy.commands.optimise",
    **dict.fromkeys(("stretch", "front", "run"), "tradestudy.commands.trade"),
    "bands": "tradestudy.commands.assess",
    **dict.fromkeys(("cruise", "compare"), "tradestudy.commands.python.wings"),
    "spread": "tradestudy.commands.python.wings:wing_spread",
    "grid": "tradestudy.commands.python.wings:wing_grid",
    "fit": "tradestudy.commands.fit",
    "log": "tradestudy.commands.log",
    "note": "tradestudy.commands.logbook.note",
    "card": "tradestudy.commands.logbook.card",
    "figure": "tradestudy.report.figures.maps.by_name",
    "buildsheet": "tradestudy.report.build_sheet.sheet:save_build_sheet",
    "payload": "tradestudy.commands.payload.curves",
    "flips": "tradestudy.commands.flips",
    "variants": "tradestudy.commands.variants.from_python",
    "problem": "tradestudy.commands.problem",
    "save": "tradestudy.report.folder",
    "Study": "tradestudy.study.schema.study",
    "Design": "tradestudy.results.design",
    **dict.fromkeys(("Result", "result_from_json"), "tradestudy.results.result"),
    **dict.fromkeys(("OwnLimit", "EvaluatedWing"), "tradestudy.search.own.functions"),
    "TradestudyError": "tradestudy.errors",
}


def __getattr__(name: str) -> _Any:
    if name not in _NAMES:
        raise AttributeError(f"module 'tradestudy' has no attribute {name!r}")
    module, _, own = _NAMES[name].partition(":")
    return getattr(_import_module(module), own or name)


def __dir__() -> list[str]:
    return sorted([*globals(), *_NAMES])
