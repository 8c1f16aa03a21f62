"""Units are converted in one room: no other room has a factor that converts one unit into another.

A factor is a conversion if it can be nothing else (3.6, 3600, degrees from radians). It is also one if a unit is named
next to it. The unit may be in a sentence, in a name that ends in a unit, or a text. The same factor in a formula, a
tolerance or a scale is no conversion.
"""

import ast
from pathlib import Path

import pytest

from tradestudy.quantities import UNITS, unit_of_name

ROOT = Path(__file__).parents[3] / "tradestudy"
NOTHING_ELSE = {3.6, 3.6e-3, 3600.0}
NEXT_TO_A_UNIT = {1e3, 1e-3, 1e4, 1e-4, 1e6, 1e-6, 100.0, 0.01, 60.0}
ANGLES = {"degrees", "radians", "deg2rad", "rad2deg"}
SPELT = {unit for units in UNITS.values() for unit in units if unit}
# rooms that read or print values, which may call `from_si` and `to_si`
READING_AND_WRITING = ("quantities", "study", "commands", "report", "cli", "aircraft/assessment", "aircraft/workshop")

# file, or folder with a slash at its end -> reason why it may have conversions
SENTENCE = "a sentence of physics, which imports no other room"
TO_BE_READ = "values read, and sentences for a person, that are not yet converted by name"
ALLOWED = {
    "quantities/": "where units are converted",
    "physics/sections/polar.py": "the section model wants degrees",
    "physics/sections/coordinate_file.py": SENTENCE,
    "physics/sections/unnamed_section.py": SENTENCE,
    "aircraft/model/power_data.py": "a table of a propeller as its file has it",
    "report/page/span_slider.py": "places on a drawing, in per cent of its width and height",
    "study/": TO_BE_READ,
}


def number(node):
    """Return the value of a literal number, or None."""
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return number(node.operand)
    return node.value if isinstance(node, ast.Constant) and type(node.value) in (int, float) else None


def is_pi(node):
    return isinstance(node, ast.Attribute) and node.attr == "pi"


def factors(node):
    """Return the factors and divisors of a product, from the left."""
    if isinstance(node, ast.BinOp) and isinstance(node.op, (ast.Mult, ast.Div)):
        return [*factors(node.left), *factors(node.right)]
    return [node]


def turns_angles(node):
    """Return whether a quotient converts an angle or rotation: pi over 180, 180 over pi, or pi over 60."""
    above = factors(node.left)
    if is_pi(node.right):
        return any(number(one) == 180 for one in above)
    return number(node.right) in (180, 60) and any(map(is_pi, above))


def is_constant(node):
    """Return whether an expression consists of literal numbers only, as a constant in its usual unit does."""
    names = {one.id for one in ast.walk(node) if isinstance(one, ast.Name)}
    return names <= {"np", "math"} and any(number(one) is not None for one in ast.walk(node))


def ends_in_unit(name):
    return isinstance(name, str) and "_" in name and name.isidentifier() and unit_of_name(name)[1] != ""


def named(node):
    """Return the name or key from which an expression reads its value, through calls such as float()."""
    while isinstance(node, ast.Call) and len(node.args) == 1 and isinstance(node.func, ast.Name):
        node = node.args[0]
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        return node.attr
    key = node.slice if isinstance(node, ast.Subscript) else None
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "get" and node.args:
        key = node.args[0]
    return key.value if isinstance(key, ast.Constant) else None


def names_a_unit(parent, child, parents):
    """Return whether the expression around a value names a unit."""
    if isinstance(parent, ast.FormattedValue):
        return True
    if isinstance(parent, ast.keyword):
        return ends_in_unit(parent.arg)
    if isinstance(parent, ast.Dict):
        keys = [key for key, value in zip(parent.keys, parent.values, strict=True) if value is child]
        return any(isinstance(key, ast.Constant) and ends_in_unit(key.value) for key in keys)
    if isinstance(parent, (ast.Assign, ast.AnnAssign, ast.NamedExpr)):
        targets = parent.targets if isinstance(parent, ast.Assign) else [parent.target]
        return any(ends_in_unit(named(target)) for target in targets)
    if isinstance(parent, (ast.Call, ast.Tuple, ast.List)):
        beside = parent.args if isinstance(parent, ast.Call) else parent.elts
        return any(isinstance(one, ast.Constant) and one.value in SPELT for one in beside)
    if isinstance(parent, ast.Return):
        while parent in parents and not isinstance(parent, ast.FunctionDef):
            parent = parents[parent]
        return ends_in_unit(getattr(parent, "name", ""))
    return False


def is_next_to_a_unit(node, parents):
    child, parent = node, parents.get(node)
    while parent is not None and not isinstance(child, ast.stmt) and not isinstance(parent, ast.Compare):
        if names_a_unit(parent, child, parents):
            return True
        child, parent = parent, parents.get(parent)
    return False


def conversions(source, may_call=False):
    """Return (line, text) of every conversion in the source of a module. ``may_call`` allows from_si and to_si."""
    tree = ast.parse(source)
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    nodes = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            named_by_room = isinstance(node.func, ast.Attribute)
            name = node.func.attr if named_by_room else getattr(node.func, "id", "")
            converts = name in ANGLES and named_by_room or name in ("from_si", "to_si") and not may_call
            if converts and node.args and not is_constant(node.args[0]):
                nodes.append(node)
        elif isinstance(node, ast.BinOp) and isinstance(node.op, (ast.Mult, ast.Div)):
            pair = [(node.right, node.left)] + [(node.left, node.right)] * isinstance(node.op, ast.Mult)
            for one, other in pair:
                factor = number(one)
                if factor is None or number(other) is not None:
                    continue
                if (
                    factor in NOTHING_ELSE
                    or factor in NEXT_TO_A_UNIT
                    and (ends_in_unit(named(other)) or is_next_to_a_unit(node, parents))
                ):
                    nodes.append(node)
            if isinstance(node.op, ast.Div) and (
                turns_angles(node) or number(node.left) == 1 and number(node.right) in NOTHING_ELSE
            ):
                nodes.append(node)
    return sorted({(node.lineno, ast.unparse(node)) for node in nodes})


FILES = {str(path.relative_to(ROOT)): path for path in sorted(ROOT.rglob("*.py"))}


def allowance(file):
    return next((each for each in ALLOWED if file == each or each.endswith("/") and file.startswith(each)), None)


def conversions_in(file):
    return conversions(FILES[file].read_text(encoding="utf-8"), file.startswith(READING_AND_WRITING))


def test_no_file_converts_by_hand():
    found = {file: conversions_in(file) for file in FILES if allowance(file) is None}
    assert {file: each for file, each in found.items() if each} == {}


@pytest.mark.parametrize("place", ALLOWED)
def test_every_allowance_is_needed(place):
    assert any(conversions_in(file) for file in FILES if allowance(file) == place)


@pytest.mark.parametrize(
    "planted",
    [
        'text = f"{1e3 * span:.0f} mm"',
        'text = {"span_mm": 1e3 * float(span)}',
        "numbers(auw_g=round(1e3 * mass, 1))",
        "span = 1e-3 * band.span_mm",
        'mass = row["auw_g"] / 1e3',
        'rows.append(("weight", 1e3 * mass, "g"))',
        "speed = 3.6 * state.speed",
        "speed = text / 3.6",
        "charge = units / 3600",
        "angle = np.degrees(sweep)",
        "angle = math.radians(text)",
        "range_km = reach / 1e3",
        "angle = sweep * 180 / np.pi",
        "angle = text * np.pi / 180",
        "def reach_km(values):\n    return max(values) / 1e3",
        'value = from_si(speed, "km/h", "speed")',
        "KMH = 1 / 3.6",
        "turns = 2 * np.pi * rpm / 60",
        'said = f"{left / 60:.0f} min"',
        'share = 0.01 * design.get("reserve_pct")',
    ],
)
def test_a_planted_conversion_is_found(planted):
    assert len(conversions(planted)) == 1
    assert len(conversions(f"def deep():\n    if True:\n{'        '}" + planted.replace("\n", "\n        "))) == 1


@pytest.mark.parametrize(
    "formula",
    [
        "step = 1e-3 * span",
        "lines = 100 * count",
        "rough = reynolds / 1e6",
        "tolerance = 1e-6 * abs(force)",
        "assert abs(lift - weight) < 0.01 * weight",
        "MOST = np.radians(25)",
        "GRID = np.radians(np.arange(-20.0, 10.1, 5.0))",
        "area = 0.5 * span * chord",
        'KMH = to_si(1, "km/h", "speed")',
        "turns = 60 * wide",
        "beam = 60 * moment / length**2",
        'text = f"{0.5 * (low + high):.1f}"',
        "found = at_edge(span_mm=span, auw_g=mass)",
        "sure = value_mm > 100 * least",
    ],
)
def test_a_formula_is_no_conversion(formula):
    assert conversions(formula) == []
