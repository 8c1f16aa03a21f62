"""Strategies for whole inputs that may be wrong in any way, and what must come of each of them.

A study, a measurements file, a log or a propeller table ends in one of two ways: as an error with file, line and
message, or as an answer of finite numbers. Every function here that is named after an input returns a strategy of its
text. Every function ``outcome_of_...`` tries one text in a folder and returns a word for how it ended. It raises an
AssertionError, or whatever error came up, if the input ended in any other way.
"""

import copy
import json
import math
import re
import tomllib
from dataclasses import asdict
from functools import cache
from pathlib import Path

import numpy as np
from helpers.invented import invented_log
from helpers.places import STUDIES
from helpers.wings import odd_wings
from hypothesis import strategies as st

from tradestudy.errors import MeasurementsError, RunFailed, StudyFileError
from tradestudy.study.measurements import read_measurements
from tradestudy.study.reader import read_study
from tradestudy.study.schema.measured import MEASUREMENT_TABLES
from tradestudy.study.schema.study import STUDY_TABLES

_BOUNDS = re.compile(r"(?:each )?([-\d.e+]+) ?([^\d\s]\S*(?: cm)?)? to ([-\d.e+]+) ?([^\d\s,]\S*(?: cm)?)?")
_QUANTITY = re.compile(r"(-?\d+\.?\d*) ?([^\d.].*)")
_ODD = [1, -1, 0, math.nan, -math.inf, 10**400, True, "", " ", "mm", "1 mm", "1e9 km", "-5 g", [], [[]], ["2 m", "1 m"],
        {}, {"a": 1}, "\x00\x1b[31m", "§ µm", "0x0", "1,5 mm", "none", "unknown", "traced", "../s.toml", "NUL",
        [1, 2, 3], "x" * 300, "\N{RIGHT-TO-LEFT OVERRIDE}"]  # fmt: skip
_FACTORS = (-1, 0, 0.01, 0.1, 0.5, 0.8, 0.9, 0.97, 1.03, 1.1, 1.25, 2, 10, 100)


def toml_text(tables):
    """Return tables as TOML text, one key on each line."""
    lines = []
    for name, table in tables.items():
        is_array = isinstance(table, list) and table and all(isinstance(one, dict) for one in table)
        if not is_array and not isinstance(table, dict):
            lines.insert(0, f"{name} = {_toml_value(table)}")
            continue
        for one in table if is_array else [table]:
            lines += [f"[[{name}]]" if is_array else f"[{name}]"]
            lines += [f"{json.dumps(key)} = {_toml_value(value)}" for key, value in one.items()]
    return "\n".join(lines) + "\n"


def _toml_value(value):
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_toml_value(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml_value, value)) + "]"
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return json.dumps(value)


def _values(kind, present):
    """Return a strategy for the value of a key: near what it is, anywhere in its range, outside it, or absurd."""
    choices = [st.sampled_from(_ODD)]
    if "enum" in kind.form:
        choices += [st.sampled_from(kind.form["enum"])] * 3
    if found := _BOUNDS.match(kind.allowed):
        low, unit, high, other = found.groups()
        ends = [(float(low), unit), (float(high), other or unit)]
        spread = [(end * times, of) for end, of in ends for times in (1, 1, 1.001, 0.999, 0.3, 3)]
        each = st.sampled_from(spread).map(lambda pair: f"{pair[0]:.6g} {pair[1]}" if pair[1] else pair[0])
        choices += [st.lists(each, min_size=1, max_size=3) if kind.form.get("type") == "array" else each] * 3
    if isinstance(present, str) and (found := _QUANTITY.fullmatch(present)):
        number, unit = float(found.group(1)), found.group(2)
        choices += [st.sampled_from(_FACTORS).map(lambda times: f"{times * number:.6g} {unit}")] * 4
    elif isinstance(present, int | float) and not isinstance(present, bool) and abs(present) < 1e9:
        near = [times * present for times in _FACTORS]
        choices += [st.sampled_from([round(one) if isinstance(present, int) else one for one in near])] * 4
    return st.one_of(choices)


@st.composite
def _edited_tables(draw, bases, specs):
    """Draw one of several files, with some of its keys changed, added or left out."""
    tables = copy.deepcopy(draw(st.sampled_from(bases)))
    for _ in range(draw(st.integers(1, 4))):
        name = draw(st.sampled_from(sorted(specs)))
        present = tables.get(name)
        if isinstance(present, list) and present:
            table = present[draw(st.integers(0, len(present) - 1))]
        elif isinstance(present, dict):
            table = present
        else:
            table = {}
            if draw(st.integers(0, 3)):
                continue  # a table that is not there is added less often
            tables[name] = [table] if specs[name].is_array else table
        what = draw(st.sampled_from(["set", "set", "set", "set", "set", "drop", "without", "repeat", "single"]))
        if what == "drop" and table:
            del table[draw(st.sampled_from(sorted(table)))]
        elif what == "without":
            tables.pop(name, None)
        elif what == "repeat" and isinstance(present, list):
            present.append(copy.deepcopy(table))
        elif what == "single" and isinstance(present, list):
            tables[name] = table
        elif what == "set":
            fields = specs[name].model.model_fields
            key = draw(
                st.sampled_from(sorted(table.keys() & fields.keys() or fields)) | st.sampled_from(sorted(fields))
            )
            table[key] = draw(_values(specs[name].key_type(key), table.get(key)))
    return tables


@cache
def _study_bases():
    texts = [odd_wings.ODD[name] for name in ("foam alone", "joiner", "inboard fins", "rods at the top")]
    texts += [(STUDIES / f"{name}.toml").read_text(encoding="utf-8") for name in ("godwit", "dunlin", "lapwing")]
    return [tomllib.loads(text) for text in texts]


def studies():
    """Return a strategy of texts of studies."""
    return _edited_tables(_study_bases(), STUDY_TABLES).map(toml_text)


def measurements():
    """Return a strategy of texts of measurements files."""
    text = (STUDIES / "measured" / "godwit.toml").read_text(encoding="utf-8")
    return _edited_tables([tomllib.loads(text)], MEASUREMENT_TABLES).map(toml_text)


_WORDS = [
    "",
    "-",
    "nan",
    "0",
    "-1",
    "1e9",
    "1e400",
    "12,5",
    "1.000,5",
    "12:30:01",
    "\x00",
    "\x1b[31m",
    "9" * 5000,
    '"',
    ";",
]


@cache
def _flight():
    """Return the text of a flight in a circuit, with as many amps as the cube of its speed asks for."""
    legs = invented_log.circuit(14)
    return invented_log.invented_log(legs, lambda speed, climb: 2e-3 * speed**3 + 3 * climb, rate=1.0).text


@st.composite
def logs(draw):
    """Draw the text of a log: a flight with cells, rows, columns or separators changed."""
    head, *rows = [line.split(",") for line in _flight().splitlines()]
    for _ in range(draw(st.integers(1, 4))):
        column, first = draw(st.integers(0, len(head) - 1)), draw(st.integers(0, len(rows) - 1))
        end = first + draw(st.sampled_from([1, 3, 40, len(rows)]))
        what = draw(st.sampled_from(["word", "cut", "double", "stir", "scale", "join", "head"]))
        word = draw(st.sampled_from(_WORDS))
        if what == "cut":
            rows = rows[:first] + rows[end:] or rows[:1]
        elif what == "double":
            rows = rows + rows[first:end]
        elif what == "stir":
            rows[first:end] = rows[first:end][::-1]
        elif what == "head":
            head = [*head[:column], word, *head[column + 1 :]]
        for row in rows[first:end]:
            if what == "word" and column < len(row):
                row[column] = word
            elif what == "scale" and column < len(row) and re.fullmatch(r"[-\d.]+", row[column]):
                row[column] = f"{draw(st.shared(st.sampled_from(_FACTORS), key='times')) * float(row[column]):.6g}"
            elif what == "join":
                del row[column:]
    separator, comma = draw(st.sampled_from([(",", "."), (",", "."), (";", ","), ("\t", "."), (";", ".")]))
    lines = [separator.join(cell.replace(".", comma) for cell in row) for row in [head, *rows]]
    return draw(st.sampled_from(["\n", "\r\n", "\n\n"])).join(lines)


@st.composite
def propeller_tables(draw):
    """Draw the text of a propeller's CSV file: curves of any size and shape, with cells, rows or heads changed."""
    usual = st.sampled_from([True] * 9 + [False])  # most things are as they should be, in most tables
    count = draw(st.integers(8, 30) if draw(usual) else st.integers(0, 7))
    first = draw(st.sampled_from([0.0, 0.05]) if draw(usual) else st.sampled_from([0.3, -0.1]))
    ratios = np.linspace(first, draw(st.floats(0.85, 1.3) if draw(usual) else st.floats(0.1, 3.0)), count)
    zero = draw(st.floats(0.8, 1.0) if draw(usual) else st.floats(0.1, 3.0))
    ct = draw(st.floats(0.06, 0.2) if draw(usual) else st.sampled_from([1e-9, 0.02, 1.0, 10.0]))
    cp = draw(st.floats(0.4, 0.9)) * ct if draw(usual) else draw(st.floats(0.0, 0.3))
    bent = draw(st.floats(0.8, 1.2) if draw(usual) else st.sampled_from([0.2, 3.0, -1.0]))
    share = np.sign(1 - ratios / zero) * np.abs(1 - ratios / zero) ** abs(bent) * np.sign(bent)
    cells = [
        [f"{value:.5g}" for value in row] for row in zip(ratios, ct * share, cp * (0.4 + 0.6 * share), strict=True)
    ]
    head = ["J", "CT", "CP"]
    if draw(st.booleans()):
        rpm = draw(st.sampled_from(["5000", "5000", "9000", "80", "0"]))
        head, cells = [*head, "rpm"], [[*row, rpm] for row in cells]
    for _ in range(draw(st.sampled_from([0, 0, 0, 1, 2]))):
        word = draw(st.sampled_from(_WORDS))
        row = draw(st.sampled_from([head, *cells]))
        row[draw(st.integers(0, len(row) - 1))] = word
    separator, comma = draw(st.sampled_from([(",", "."), (";", ","), ("\t", "."), (";", "."), (",", "."), (",", ",")]))
    return "\n".join(separator.join(cell.replace(".", comma) for cell in row) for row in [head, *cells])


def _check_faults(error, path):
    """Check that an error names its file, and for each fault a line of it and a message on one line."""
    lines = Path(error.path).read_text(encoding="utf-8", errors="replace").count("\n") + 1
    assert Path(error.path).parent == path.parent and error.exit_code == 2 and error.faults
    for fault in error.faults:
        assert 1 <= fault.line <= lines, fault
        assert fault.message.strip() and "\n" not in fault.message, fault


def _all_finite(values):
    return all(np.isfinite(np.asarray(value, float)).all() for value in values if value is not None)


def outcome_of_study(text, folder, with_model):
    """Return "refused" or "fine" for a study. With its model it is calibrated, and what it refers to is finite."""
    from tradestudy.commands.room_inside import distances_apart, doubts_about, gear_inside, room_inside

    path = folder / "s.toml"
    path.write_text(text, encoding="utf-8")
    try:
        study = read_study(path)
        rooms = room_inside(study)
        gear_inside(study), distances_apart(study)
        assert _all_finite(room.spare_mm for room in rooms)
        if with_model:
            doubts_about(study)
            _check_answer(study)
    except StudyFileError as error:
        _check_faults(error, path)
        return "refused"
    return "fine"


def _check_answer(study):
    from tradestudy.aircraft.anchor.calibration import anchor_of

    anchor = anchor_of(study)
    assert _all_finite(asdict(anchor.reference).values()), anchor.reference
    assert _all_finite(anchor.variables.values()), anchor.variables


def outcome_of_measurements(text, folder):
    """Return "refused" or "fine" for a measurements file."""
    path = folder / "m.toml"
    path.write_text(text, encoding="utf-8")
    try:
        read_measurements(path)
    except MeasurementsError as error:
        _check_faults(error, path)
        return "refused"
    return "fine"


def outcome_of_log(text, folder):
    """Return "refused" or "fine" for a log, or "no steady flight" if it can be read and holds none."""
    from tradestudy.study.flight_logs.read_log import read_log
    from tradestudy.uncertainty.fit.prepared_log import prepared_log_of

    path, described = folder / "log.csv", folder / "m.toml"
    path.write_bytes(text.encode("utf-8"))
    described.write_text(invented_log.COLUMNS, encoding="utf-8")
    measured = read_measurements(described)
    try:
        flight = prepared_log_of(read_log(path, measured), measured)
    except MeasurementsError as error:
        _check_faults(error, path)
        return "refused"
    except RunFailed as error:
        assert str(error).startswith(f"{path} cannot be used:")
        return "no steady flight"
    assert flight.segments
    assert _all_finite((segment.start, segment.duration, segment.ground_speed) for segment in flight.segments)
    return "fine"


def outcome_of_propeller(text, folder):
    """Return "refused" or "fine" for a propeller table of the plainest wing. Its curves are finite from J = 0 to 3."""
    from tradestudy.aircraft.model.power_data import propeller_of
    from tradestudy.physics.propulsion.propeller_table import propeller_coefficients

    path = folder / "s.toml"
    (folder / "mine.csv").write_bytes(text.encode("utf-8"))
    path.write_text(odd_wings.TEXT.replace('size = "9x6"\n', 'size = "9x6"\ntable = "mine.csv"\n'), encoding="utf-8")
    try:
        table = propeller_of(read_study(path), "9x6")
    except StudyFileError as error:
        _check_faults(error, path)
        return "refused"
    thrust, power = propeller_coefficients(table, np.linspace(0.0, 3.0, 61), 600.0)
    assert _all_finite((thrust, power)) and thrust[0] > 0 and power.min() > 0
    return "fine"
