"""Each word has one meaning: a public name is defined in one module, and private vocabulary is not used in names."""

import ast
import re
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).parents[3] / "tradestudy"
MODULES = {path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in sorted(ROOT.rglob("*.py"))}
# words that had several meanings; a name must say what the thing is instead
PRIVATE_WORDS = {"told", "asked", "wanted", "together", "beside"}


def defined_names(source):
    """Yield the names that a module defines at top level: functions, classes, constants."""
    for node in ast.parse(source).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        targets = (
            node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        )
        yield from (target.id for target in targets if isinstance(target, ast.Name))


def homes_of_public_names(modules):
    """Return a dict of public name -> modules that define it.

    A command's file in ``cli`` may repeat the command's name.
    """
    homes = defaultdict(set)
    for module, source in modules.items():
        for name in defined_names(source):
            if not name.startswith("_"):
                homes[name].add(module)
    for name, places in homes.items():
        if any(place.startswith("commands/") for place in places):
            homes[name] = places - {f"cli/{name}.py"}
    return homes


def test_a_public_name_has_one_home():
    assert {name: sorted(places) for name, places in homes_of_public_names(MODULES).items() if len(places) > 1} == {}


def test_a_second_home_is_found():
    twice = MODULES | {"physics/aero/other.py": "def induced_drag_area():\n    pass\nGRAVITY: float = 9.8\n"}
    doubled = {name for name, places in homes_of_public_names(twice).items() if len(places) > 1}
    assert "GRAVITY" in doubled


def test_names_have_no_private_words():
    found = set()
    for module, source in MODULES.items():
        names = {node.id for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Name)}
        names |= {*module.removesuffix(".py").split("/"), *defined_names(source)}
        found |= {(module, name) for name in names if PRIVATE_WORDS & set(re.split("_+", name.lower()))}
    assert found == set()
