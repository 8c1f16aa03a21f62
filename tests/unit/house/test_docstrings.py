"""Every public function of the physics says what it returns and in which unit.

A unit stands in square brackets, [-] for pure numbers, [bool] for flags, [words] for text. A function that
hands over one of the data classes may name that class instead; the class then has to spell the units of its
fields.
"""

import ast
import re
from pathlib import Path

import pytest

PHYSICS = Path(__file__).parents[3] / "tradestudy" / "physics"
UNIT = re.compile(r"\[(-|bool|words|unit of the|of MAC|(1/)?(kg|k|m|s|N|Pa|J|W|C|A|V|K|rad|ohm|deg|min)\b[^\]\n]*)")


def definitions(kind):
    for path in sorted(PHYSICS.glob("*.py")):
        source = path.read_text(encoding="utf-8")
        for node in ast.parse(source).body:
            if isinstance(node, kind) and not node.name.startswith("_"):
                yield path.stem, node, ast.get_source_segment(source, node)


CLASSES = {node.name: text for _, node, text in definitions(ast.ClassDef)}
FUNCTIONS = {f"{module}.{node.name}": ast.get_docstring(node) or "" for module, node, _ in definitions(ast.FunctionDef)}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_function_says_its_unit(name):
    text = FUNCTIONS[name]
    assert text.split("\n")[0].rstrip().endswith((".", "]")) and len(text.split()) > 3, "no sentence"
    names_a_class = any(re.search(rf"\b{one}\b", text) for one in CLASSES)
    assert UNIT.search(text) or names_a_class, "neither a unit in brackets nor a data class"


@pytest.mark.parametrize("name", CLASSES)
def test_data_class_says_its_units(name):
    text = CLASSES[name]
    holds_classes = sum(re.search(rf"\b{one}\b", text) is not None for one in CLASSES if one != name)
    pure_functions = "Callable" in text  # propulsion's curves hold no quantity themselves
    assert UNIT.search(text) or "SI" in text or holds_classes or pure_functions, "no unit in the class"
