"""Rules for modules: which room may import which, where outside libraries may be imported, how long a module may be."""

import ast
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3] / "tradestudy"
LONGEST = 400  # most lines of a module
MOST_FILES = 15  # most files of a folder, without ``__init__.py`` and pages

GROUND = {"errors", "files", "notebook", "quantities", "catalogue"}
BELOW_AIRCRAFT = GROUND | {"physics", "study", "results"}
# room -> rooms of the project that it may import, besides itself
MAY_IMPORT = {
    "errors": set(),
    "files": {"errors"},
    "notebook": {"errors"},
    "quantities": {"errors"},
    "catalogue": {"errors", "quantities"},
    "physics": {"errors"},
    "study": GROUND | {"physics"},
    "results": {"errors", "notebook", "quantities"},
    "aircraft": BELOW_AIRCRAFT,
    "search": BELOW_AIRCRAFT | {"aircraft"},
    "uncertainty": BELOW_AIRCRAFT | {"aircraft", "search"},
    "commands": BELOW_AIRCRAFT | {"aircraft", "search", "uncertainty"},
    "report": GROUND | {"results"},
    # long work has processes of its own, which start and end as those of a search do
    "page_server": GROUND | {"study", "results", "commands", "report", "search"},
    # the terminal reads and prints values with units
    "cli": GROUND | {"study", "results", "commands", "report", "page_server"},
    "documents": {"errors", "study", "commands", "cli"},
    "__main__": {"errors", "cli"},
    # names are imported only when they are used, see below
    "tradestudy": {"errors", "study", "results", "commands", "report"},
}
ANYONE_MAY = {"tradestudy"}  # the root of the package: version number, and names that are imported when they are used
# outside library -> modules and rooms that may import it
DOORS = {
    "openmdao": {"aircraft", "search", "commands.problem"},
    "matplotlib": {"report"},
    "ezdxf": {"report.build_sheet.template_files"},
    "trimesh": {"report.build_sheet.body_file"},
    "aerosandbox": {"physics.sections", "aircraft.assessment.second_opinion"},
    "neuralfoil": {"physics.sections"},
    "pydantic": {"study"},
    "tomlkit": {"study.edits"},
    "pydantic_core": {"study"},
    "typer": {"cli", "documents.command_pages"},
    "sphinx": {"documents.build"},
    "rich": {"cli"},
    "jinja2": {"report", "page_server.pages"},
    "markupsafe": {"report", "page_server"},
    "starlette": {"page_server"},
    "uvicorn": {"page_server.serve"},
    "pandas": {"notebook"},
    "xarray": {"notebook"},
    "distributed": {"search.engines.cluster"},
    "threadpoolctl": {"search.engines.cluster"},
}
EVERYWHERE = {"tradestudy", "numpy", "scipy"}


def module_name(path):
    parts = path.relative_to(ROOT.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(module):
    return (module.split(".") + ["tradestudy"])[1] if "." in module else "tradestudy"


MODULES = {module_name(path): path for path in sorted(ROOT.rglob("*.py"))}


@cache
def imports(module, at_load=False):
    """Return (line, full name) of everything a module imports. ``at_load`` leaves out imports inside functions."""
    path = MODULES[module]
    package = module if path.name == "__init__.py" else module.rpartition(".")[0]
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped = set()
    for node in ast.walk(tree):
        typing_only = isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        if typing_only or at_load and isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            skipped |= {id(inner) for inner in ast.walk(node)}
    found = []
    for node in ast.walk(tree):
        if at_load and id(node) in skipped:
            continue
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parents = package.split(".")[: len(package.split(".")) - node.level + 1]
                base = ".".join([*parents, base]).rstrip(".")
            for alias in node.names:
                inner = f"{base}.{alias.name}"
                found.append((node.lineno, inner if inner in MODULES else base))
    return found


def test_every_room_is_in_the_table():
    assert {room_of(module) for module in MODULES} <= set(MAY_IMPORT)


def test_rooms_import_only_what_the_table_allows():
    broken = []
    for module in MODULES:
        room = room_of(module)
        for line, name in imports(module):
            other = room_of(name) if name.split(".")[0] == "tradestudy" else room
            if other != room and other not in ANYONE_MAY | MAY_IMPORT[room]:
                broken.append(f"{module}:{line} imports {name}")
    assert not broken


def test_outside_libraries_come_in_by_few_doors():
    broken = []
    for module in MODULES:
        place = module.removeprefix("tradestudy.")
        for line, name in imports(module):
            library = name.split(".")[0]
            if library in EVERYWHERE or library in sys.stdlib_module_names:
                continue
            doors = DOORS.get(library, set())
            if not any(place == door or place.startswith(f"{door}.") for door in doors):
                broken.append(f"{module}:{line} imports {library}, whose doors are {sorted(doors)}")
    assert not broken


@pytest.mark.parametrize("module", ["tradestudy.physics.sections.airfoil", "tradestudy.physics.sections.polar"])
def test_section_libraries_load_only_when_needed(module):
    # `check` must start fast, and these two libraries take a second to load
    loaded = {name.split(".")[0] for _, name in imports(module, at_load=True)}
    assert not loaded & {"aerosandbox", "neuralfoil"}


@pytest.mark.parametrize("module", ["tradestudy.search.optimum", "tradestudy.commands.trade"])
def test_a_search_loads_no_library_that_it_does_not_need(module):
    # every worker loads the first; OpenMDAO and scipy.stats take 0.4 s of processor time each
    reached, following = set(), [module]
    while following:
        name = following.pop()
        if name not in reached:
            reached.add(name)
            following += [inner for _, inner in imports(name, at_load=True)] if name in MODULES else []
    assert "scipy.optimize" in reached
    assert not [name for name in reached if name.startswith(("openmdao", "scipy.stats", "matplotlib", "pandas"))]


def circle_in(edges):
    """Return the first circle in edges (name -> names) as a list of names, or None."""
    done, path = set(), []

    def circle_from(name):
        if name in path:
            return [*path[path.index(name) :], name]
        if name in done:
            return None
        path.append(name)
        for other in sorted(edges.get(name, ())):
            if circle := circle_from(other):
                return circle
        done.add(path.pop())
        return None

    return next((circle for name in edges if (circle := circle_from(name))), None)


def test_no_import_circles():
    # imports inside functions count too, except those of the package root
    edges = {
        module: {
            name for _, name in imports(module, at_load=module == "tradestudy") if name in MODULES and name != module
        }
        for module in MODULES
    }
    assert circle_in(edges) is None


@pytest.mark.parametrize("room", sorted({room_of(module) for module in MODULES if module.count(".") > 2}))
def test_no_circles_between_folders_of_a_room(room):
    """Check imports between folders. Files of a room that are in none of its folders are left out."""

    def folder(module):
        return ".".join(module.split(".")[2:-1]) or "."

    edges = {}
    for module in MODULES:
        if room_of(module) == room:
            inner = {name for _, name in imports(module) if name in MODULES and room_of(name) == room}
            edges.setdefault(folder(module), set()).update(folder(name) for name in inner)
    apart = {name: others - {name, "."} for name, others in edges.items() if name != "."}
    assert circle_in(apart) is None


def test_a_circle_is_found():
    assert circle_in({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b", "c", "b"]
    assert circle_in({"a": {"b", "c"}, "b": {"c"}, "c": set()}) is None


def test_no_module_is_too_long():
    lines = {module: len(path.read_text(encoding="utf-8").splitlines()) for module, path in MODULES.items()}
    assert {module: count for module, count in lines.items() if count > LONGEST} == {}


def test_no_folder_holds_too_many_files():
    counted = Counter(path.parent for path in MODULES.values() if path.name != "__init__.py")
    crowded = {str(folder.relative_to(ROOT)): count for folder, count in counted.items() if count > MOST_FILES}
    assert set(crowded) <= {"cli"}  # one file for each command


def test_root_imports_nothing_of_ours():
    assert not [name for _, name in imports("tradestudy", at_load=True) if name.startswith("tradestudy")]


def test_the_walk_sees_relative_and_late_imports():
    """Test `imports` itself, with modules known to have a relative import and an import inside a function."""
    assert "tradestudy.physics.aero.horseshoe" in {
        name for _, name in imports("tradestudy.physics.aero.lattice", at_load=True)
    }
    assert "aerosandbox" in {name for _, name in imports("tradestudy.physics.sections.airfoil")}
    assert "tradestudy.aircraft.components.complex_step" in {
        name for _, name in imports("tradestudy.aircraft.components.flow")
    }
