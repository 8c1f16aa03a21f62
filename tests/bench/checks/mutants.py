"""Single wrong operators and numbers put into physics, limits and search: do the tests that reach them fail?

Run: python tests/bench/checks/mutants.py 20 --seed 3, with cosmic-ray and coverage installed. Each mutant is one change
at a place drawn by chance, made by cosmic-ray in a copy of the project in a temporary folder. The tests that reach the
changed statement run quickest first, until one fails. Which test reaches which line is measured once and kept in the
folder --map; remove it when code or tests have changed.
"""

import argparse
import ast
import queue
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from concurrent.futures import ThreadPoolExecutor
from importlib.util import cache_from_source
from itertools import accumulate
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator
from reached_lines import PYTEST, ROOT, reached_lines, variables

MUTATED = ("physics", "search", "quantities/limits.py", "aircraft/model/limit_bounds.py")
SIGNS = ("Add", "Sub", "Mul", "Div", "Pow")  # exchanged for one another, and // and % for these; shifts only crash
ORDERS = ("Eq", "NotEq", "Lt", "LtE", "Gt", "GtE")
KINDS = [
    *(f"ReplaceBinaryOperator_{old}_{new}" for old in (*SIGNS, "FloorDiv", "Mod") for new in SIGNS if old != new),
    *(f"ReplaceComparisonOperator_{old}_{new}" for old in ORDERS for new in ORDERS if old != new),
    *(f"ReplaceComparisonOperator_{pair}" for pair in ("Is_IsNot", "IsNot_Is")),
    *(f"ReplaceBinaryOperator_{pair}" for pair in ("BitOr_BitAnd", "BitAnd_BitOr")),
    *(f"ReplaceUnaryOperator_{pair}" for pair in ("Delete_Not", "USub_UAdd")),
    *(f"Replace{pair}" for pair in ("TrueWithFalse", "FalseWithTrue", "AndWithOr", "OrWithAnd")),
    *(f"Replace{pair}" for pair in ("BreakWithContinue", "ContinueWithBreak")),
    *("AddNot", "NumberReplacer", "ZeroIterationForLoop"),
]
LEFT_OUT = shutil.ignore_patterns(".git", ".venv", ".*_cache", "__pycache__")  # of a copy of the project
_SAME_FILE = 9  # rooms shared by a file and its tests: more than there are
_FIRST = 8  # tests that run before the others of a mutant
OPERATORS = {kind: get_operator(f"core/{kind}")() for kind in KINDS}


def places(path):
    """Yield each place of a file that can be changed: (path, line, [(kind, its number in the file), ...])."""
    source, found, seen = path.read_text(encoding="utf-8"), defaultdict(list), Counter()
    for node in ast_nodes(get_ast(source)):
        for kind, operator in OPERATORS.items():
            for start, _ in operator.mutation_positions(node):
                found[start].append((kind, seen[kind]))
                seen[kind] += 1
    nodes = list(ast.walk(ast.parse(source)))
    spared = [getattr(node, field, None) for node in nodes for field in ("annotation", "returns")]
    spared += [each for node in nodes for each in getattr(node, "decorator_list", ())]
    for start, changes in sorted(found.items()):
        if not any(a and (a.lineno, a.col_offset) <= start < (a.end_lineno, a.end_col_offset) for a in spared):
            yield path, start[0], changes


def statement(source, line):
    """Return the lines of the innermost statement at a line; of a block, those before its body."""
    found = range(line, line + 1)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= node.end_lineno:
            end = node.body[0].lineno if hasattr(node, "body") else node.end_lineno + 1
            found = range(node.lineno, end) if line < end else found
    return found


def chosen_tests(path, line, reached, seconds, limit):
    """Return the tests that reach a statement, up to a sum of times: those of its file, one of each function, then all.

    Tests of the same room go before others, then quick ones. A statement that runs on import belongs to every test that
    reaches its file.
    """
    own = path.relative_to(ROOT).as_posix()
    lines = reached.get(own, {})
    reaching = (lines.get(str(at), ()) for at in statement(path.read_text(encoding="utf-8"), line))
    tests = set().union(*reaching) or set().union(*lines.values())
    ordered = sorted(tests, key=lambda test: (-shared_rooms(own, test), seconds[test]))
    one = set({test.partition("[")[0]: test for test in reversed(ordered)}.values())
    first = [test for test in ordered if shared_rooms(own, test) == _SAME_FILE or test in one]
    ordered = list(dict.fromkeys(first + ordered))
    spent = accumulate(seconds[test] for test in ordered)
    return [test for test, sum_of in zip(ordered, spent, strict=True) if sum_of <= limit]


def shared_rooms(path, test):
    """Return how many folders, and file, a test has in common with a file of the project, counted from the top."""
    rooms = [path.split("/")[1:], test.partition("::")[0].replace("test_", "").split("/")[2:]]
    return next((place for place, (one, other) in enumerate(zip(*rooms, strict=False)) if one != other), _SAME_FILE)


def run_tests(tests, copy, limit):
    """Run tests in a copy of the project until one fails, and return how it ends, and which failed."""
    listed = copy / "chosen_tests.txt"
    listed.write_text("\n".join(tests), encoding="utf-8")
    command = [sys.executable, *PYTEST, "-x", f"@{listed}"]
    try:
        done = subprocess.run(command, cwd=copy, env=variables(copy), timeout=limit, capture_output=True, text=True)
    except subprocess.TimeoutExpired:
        return "timeout", ""
    failed = "".join(re.findall(r"^(?:FAILED|ERROR) (\S+)", done.stdout, re.MULTILINE)[:1])
    gone = done.returncode == 4 and "not found:" in done.stdout + done.stderr  # a test of the map
    return "survived" if done.returncode == 0 else "old map" if gone else "killed", failed


def outcome(mutant, tests, copies, limit):
    """Return how one mutant ends, the test that failed, its line before and after, and the seconds taken."""
    path, line, (kind, number) = mutant
    source = path.read_text(encoding="utf-8")
    changed = mutate_code(source, OPERATORS[kind], number)
    shown = [text.splitlines()[line - 1].strip() for text in (source, changed)]
    if not tests:
        return "no test", "", shown, 0.0
    copy, start, ended = copies.get(), time.monotonic(), "survived"
    target = copy / path.relative_to(ROOT)
    target.write_text(changed, encoding="utf-8")
    # a few alone, since many files take long to collect; the others file by file, which share fixtures
    for part in filter(None, (tests[:_FIRST], sorted(tests[_FIRST:]))):
        ended, by = run_tests(part, copy, limit)
        if ended != "survived":
            break
    target.write_text(source, encoding="utf-8")
    Path(cache_from_source(str(target))).unlink(missing_ok=True)
    copies.put(copy)
    return ended, by, shown, time.monotonic() - start


def drawn_mutants(count, seed, code=MUTATED):
    """Return mutants at places drawn by chance, and the number of all places and of files."""
    roots = [ROOT / "tradestudy" / name for name in code]
    files = [file for root in roots for file in (sorted(root.rglob("*.py")) if root.is_dir() else [root])]
    found, by_chance = [place for file in files for place in places(file)], random.Random(seed)
    sample = sorted(by_chance.sample(found, count))
    return [(path, line, by_chance.choice(changes)) for path, line, changes in sample], len(found), len(files)


def main():
    """Draw the mutants, run them and print a line for each, with the change of those that were not killed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", type=int, nargs="?", default=20, help="number of mutants")
    parser.add_argument("--seed", type=int, default=3)
    parser.add_argument("--seconds", type=float, default=60.0, help="longest sum of the times of tests for one mutant")
    parser.add_argument("--workers", type=int, default=1, help="mutants at the same time, each in its copy")
    parser.add_argument("--map", type=Path, default=Path(tempfile.gettempdir()) / "tests_by_line")
    parser.add_argument("--rooms", nargs="*", default=(), help="rooms of tests, as unit/physics published; all if none")
    parser.add_argument("--code", nargs="*", default=MUTATED, help="rooms or files to mutate, as physics/propulsion")
    given = parser.parse_args()
    reached, seconds = reached_lines(given.map, given.rooms)
    sample, count, files = drawn_mutants(given.count, given.seed, given.code)
    print(f"{len(sample)} mutants of {count} places in {files} files, seed {given.seed}", flush=True)
    with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(given.workers) as pool:
        copies, ends = queue.Queue(), Counter()
        for worker in range(given.workers):
            copies.put(Path(shutil.copytree(ROOT, Path(folder) / str(worker), ignore=LEFT_OUT)))

        chosen = [chosen_tests(path, line, reached, seconds, given.seconds) for path, line, _ in sample]
        first = sorted({test for tests in chosen for test in tests[:_FIRST]})
        control, by = run_tests(first, copies.queue[0], None) if first else ("survived", "")
        if control != "survived":
            sys.exit(f"In a copy of the project without any mutant a test fails: {by or control}")

        def ended(mutant, tests):
            return mutant, len(tests), outcome(mutant, tests, copies, 60 + 5 * sum(seconds[test] for test in tests))

        for (path, line, (kind, _)), tests, (end, by, (before, after), taken) in pool.map(ended, sample, chosen):
            ends[end] += 1
            place = f"{path.relative_to(ROOT / 'tradestudy').as_posix()}:{line}"
            print(f"{end:9} {taken:5.0f} s {tests:5} tests  {place}  {kind}  {by}", flush=True)
            if end != "killed":
                print(f"          - {before}\n          + {after}", flush=True)
    print(", ".join(f"{number} {end}" for end, number in ends.most_common()))


if __name__ == "__main__":
    main()
