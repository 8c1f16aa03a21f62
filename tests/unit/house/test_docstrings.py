"""Every public function and data class of the physics states shape, unit and source of its arguments and result.

The rules, for public functions, methods and properties:

* All arguments and the result are annotated, those of private functions too.
* A unit is in square brackets: [m], [-] for pure numbers, [bool], [words]. If the result is a number, its unit is
  outside the section "Parameters".
* Every argument that is a number is named in the docstring, followed by its unit. For arguments shared with another
  function, the docstring may say "as for ``other``" instead.
* If an array is an argument or the result, its shape is in round brackets, as in (...), (..., n_strip) or (n, 2).
* The source is a year of publication, a standard, a text, "common practice" or "from memory". If none is needed, the
  docstring has a word such as "definition" or "geometry".

A data class states the unit of every number and the shape of its arrays, in its docstring or in comments on its fields.
"""

import ast
import re
from pathlib import Path

import pytest

PHYSICS = Path(__file__).parents[3] / "tradestudy" / "physics"
SYMBOLS = "kg|k|m|s|N|Pa|J|W|C|A|V|K|Ah|Wh|rad|ohm|deg|min"
ONE_UNIT = rf"(-|bool|words|as given|unit of the [^\]\n,]*|of MAC|(1/)?({SYMBOLS})\b[^\]\n]*)"
UNIT = re.compile(rf"\[{ONE_UNIT}(, {ONE_UNIT})*\]|\bSI\b")
SIZE = r"(\.\.\.|\d+|[a-z]|\d [a-z]|n_\w+|count|order)( [-+*] (\d+|(\d )?([a-z]|n_\w+)))*( or \d+)?"
SHAPE = re.compile(rf"\((\.\.\.|{SIZE},( {SIZE})?(, {SIZE})*)\)")
SOURCE = re.compile(
    r"\b(1[6-9]|20)\d\d\b|\bISO\b|\b(any|aerodynamics) text|common practice|from memory|judgement|measured|\bsource"
    r"|\bdefinition|\bgeometry|\balgebra|\bchain rule|\bstatics|\bintegration|\binterpolation|\bnumerics|\bbookkeeping"
    r"|as for ``|as in ``",
    re.IGNORECASE,
)
NUMBER = re.compile(r"\b(float|int|complex|ndarray|Any)\b")
ARRAY = re.compile(r"\b(ndarray|Any)\b")
PARAMETERS = re.compile(r"Parameters\n-+\n.*?(?=\n\n[A-Z]\w+\n-+\n|\Z)", re.DOTALL)
REACH = 240  # largest number of characters between the name of an argument and its unit


def public(tree):
    """Yield (name, node) of public functions and classes of a module, and of their public methods."""
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for inner in node.body:
                    if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                        yield f"{node.name}.{inner.name}", inner


def arguments(node):
    """Return the arguments of a function, except ``self`` and ``cls``."""
    every = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs, node.args.vararg, node.args.kwarg]
    return [each for each in every if each is not None and each.arg not in ("self", "cls")]


def annotation(node):
    return "" if node is None else ast.unparse(node)


def not_annotated(node):
    """Return the names of arguments without a type, and "return" if the result has no type."""
    bare = [each.arg for each in arguments(node) if each.annotation is None]
    return bare + (["return"] if node.returns is None and node.name != "__init__" else [])


def function_faults(node):
    """Return one phrase for each part that is missing in the docstring of a function."""
    text = ast.get_docstring(node) or ""
    rest = PARAMETERS.sub("", text)
    first, text = text.split("\n\n")[0].rstrip(), " ".join(text.split())
    faults = []
    if not first.endswith((".", "]", ":")) or len(text.split()) < 4:
        faults.append("no sentence")
    types = [annotation(each.annotation) for each in arguments(node)] + [annotation(node.returns)]
    shared = "as for ``" in text or "As for ``" in text
    in_sentences = "Parameters\n" not in (ast.get_docstring(node) or "") and any(map(NUMBER.search, types[:-1]))
    units = len(UNIT.findall(" ".join(rest.split()))) - (in_sentences and not shared)  # one unit belongs to an argument
    if NUMBER.search(types[-1]) and units < 1 and not re.search(r"\bSI\b", rest):
        faults.append("no unit of the result")
    for each in arguments(node):
        if not NUMBER.search(annotation(each.annotation)):
            continue
        named = list(re.finditer(rf"\b({each.arg}|{each.arg.replace('_', ' ')})\b", text, re.IGNORECASE))
        if not any(UNIT.search(text[place.end() : place.end() + REACH]) for place in named) and not (
            shared and not named
        ):
            faults.append(f"no unit of {each.arg}" if named else f"{each.arg} is not named")
    if any(ARRAY.search(one) for one in types) and not SHAPE.search(text):
        faults.append("no shape")
    if not SOURCE.search(text):
        faults.append("no source")
    return faults


def class_faults(node, source):
    """Return one phrase for each part that is missing in the docstring of a data class."""
    text, lines = ast.get_docstring(node) or "", source.splitlines()
    faults = [] if len(text.split()) > 3 else ["no sentence"]
    fields = [one for one in node.body if isinstance(one, ast.AnnAssign) and NUMBER.search(annotation(one.annotation))]
    for field in fields:
        if not (UNIT.search(text) or UNIT.search(" ".join(lines[field.lineno - 1 : field.end_lineno]))):
            faults.append(f"no unit of {annotation(field.target)}")
    if any(ARRAY.search(annotation(one.annotation)) for one in fields):
        if not SHAPE.search("\n".join(lines[node.lineno - 1 : node.end_lineno])):
            faults.append("no shape")
    return faults


def faults_of(source):
    """Return {name: faults} for every public function and class in the source of a module."""
    return {
        name: class_faults(node, source) if isinstance(node, ast.ClassDef) else function_faults(node)
        for name, node in public(ast.parse(source))
    }


MODULES = {".".join(path.relative_to(PHYSICS).with_suffix("").parts): path for path in sorted(PHYSICS.rglob("*.py"))}
FAULTS = {
    f"{module}.{name}": faults
    for module, path in MODULES.items()
    for name, faults in faults_of(path.read_text(encoding="utf-8")).items()
}


def test_docstrings_state_shape_unit_and_source():
    assert {name: faults for name, faults in FAULTS.items() if faults} == {}


def test_functions_are_annotated():
    bare = {
        f"{module}.{node.name}": not_annotated(node)
        for module, path in MODULES.items()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
    }
    assert {name: missing for name, missing in bare.items() if missing} == {}


GOOD = '''
def lift(pressure: np.ndarray, area: float) -> np.ndarray:
    """Return the lift (...) of an area [m^2] at a dynamic pressure (...) [Pa]; a definition. [N]"""
'''
SECTIONS = '''
def lift(pressure: float) -> float:
    """Return the lift, a definition. [N]

    Parameters
    ----------
    pressure : float
        Dynamic pressure. [Pa]
    """
'''
RESULT = '''
def sweep(wing: StockWing) -> float:
    """Return the sweep of the leading edge, geometry. [rad]"""
'''
CLASS = '''
class Point(NamedTuple):
    """One point in flight, all (...)."""

    speed: np.ndarray  # [m/s]
'''


def test_the_rules_accept_what_keeps_them():
    assert faults_of(GOOD) == {"lift": []}
    assert faults_of(SECTIONS) == {"lift": []}
    assert faults_of(RESULT) == {"sweep": []}
    assert faults_of(CLASS) == {"Point": []}


@pytest.mark.parametrize(
    ("source", "before", "after", "fault"),
    [
        (GOOD, " (...)", "", "no shape"),
        (GOOD, "; a definition", "", "no source"),
        (GOOD, "(...)", "(1926, any text)", "no shape"),
        (GOOD, "an area [m^2]", "a wing", "area is not named"),
        (GOOD, " [Pa]; a definition. [N]", "; a definition.", "no unit of pressure"),
        (
            GOOD,
            " [m^2] at a dynamic pressure (...) [Pa]; a definition. [N]",
            " and pressure (...). [N]",
            "no unit of the result",
        ),
        (SECTIONS, " [N]", "", "no unit of the result"),
        (RESULT, " [rad]", "", "no unit of the result"),
        (CLASS, "[m/s]", "", "no unit of speed"),
        (CLASS, ", all (...)", "", "no shape"),
    ],
)
def test_the_rules_reject_what_is_left_out(source, before, after, fault):
    assert before in source
    (faults,) = faults_of(source.replace(before, after)).values()
    assert fault in faults


def test_bare_arguments_are_seen():
    node = ast.parse("def lift(pressure, area: float): ...").body[0]
    assert not_annotated(node) == ["pressure", "return"]
