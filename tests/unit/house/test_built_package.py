"""What a built package and a source archive hold, as their build tool lists them, and the licences of libraries."""

import re
import tomllib
from importlib.metadata import PackageNotFoundError, files, metadata, requires
from pathlib import Path

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder
from helpers.places import ROOT


def paths_within(*folders):
    """Return the files below folders as paths from the root of the repository, without compiled modules."""
    files = (one for folder in folders for one in (ROOT / folder).rglob("*") if one.is_file())
    return {one.relative_to(ROOT).as_posix() for one in files if not {"__pycache__"} & set(one.parts)}


def paths_of(builder):
    return {Path(one.distribution_path).as_posix() for one in builder(str(ROOT)).recurse_included_files()}


def test_an_installed_package_holds_every_file_of_the_package_and_the_studies():
    expected = paths_within("tradestudy") | {f"tradestudy/{one}" for one in paths_within("studies")}
    assert {"tradestudy/data/foams.toml", "tradestudy/studies/godwit.toml", "tradestudy/py.typed"} <= expected
    assert paths_of(WheelBuilder) == expected


def test_the_source_archive_holds_studies_tests_and_documents():
    documents = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "results/README.md"}
    missing = (paths_within("tradestudy", "studies", "tests", "results/example") | documents) - paths_of(SdistBuilder)
    assert missing == set()


# licence of a row -> what its libraries say of themselves
SAYS = {
    "MIT": r"MIT",
    "BSD": r"BSD",
    "Apache 2.0": r"Apache",
    "PSF, ISC": r"PSF|Python Software|ISC",
    "LGPL": r"LGPL|Lesser General",
    "MPL 2.0": r"MPL|Mozilla",
    "public domain, BSD, one file GPL": r"Public Domain",
}
COPYLEFT = re.compile(r"GPL|MPL-|General Public|Mozilla")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def said_of_itself(library):
    """Return what a library says of its licence: its expression, the first words of its text, its classifiers."""
    data = metadata(library)
    classifiers = [one for one in data.get_all("Classifier") or [] if one.startswith("License")]
    return " ".join([data.get("License-Expression") or "", (data.get("License") or "")[:80], *classifiers])


def names_of(requirements):
    """Return the names of libraries that are required in any case, each in small letters with hyphens."""
    plain = [one for one in requirements if "extra ==" not in one]
    return {re.match(r"[\w.-]+", one)[0].lower().replace("_", "-") for one in plain}


def required(libraries):
    """Return libraries and, in turn, all installed ones that they require."""
    found, todo = set(), set(libraries)
    while todo:
        name = todo.pop()
        found.add(name)
        try:
            todo |= names_of(requires(name) or []) - found
        except PackageNotFoundError:  # of another system or another version of Python
            found.discard(name)
    return found


def listed_licences():
    """Return library -> licence, from the table of licences."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Licences")[2].partition("\n## ")[0]
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in text.splitlines() if line.startswith("|")]
    of = {}
    for licence, *cells in rows[2:]:
        names = re.sub(r"\(.*?\)", "", ", ".join(cells))
        of |= dict.fromkeys(re.findall(r"[\w-]+", names), licence)
    return of


@pytest.mark.parametrize(
    "library", sorted(names_of(sum(PROJECT["optional-dependencies"].values(), PROJECT["dependencies"])))
)
def test_every_dependency_is_listed_under_its_licence(library):
    assert re.search(SAYS[listed_licences()[library]], said_of_itself(library))


def test_every_licence_that_asks_something_of_changed_copies_is_listed():
    direct = names_of(sum(PROJECT["optional-dependencies"].values(), PROJECT["dependencies"]))
    asking = {one for one in required(direct) if COPYLEFT.search(said_of_itself(one))}
    assert {"casadi", "tqdm", "certifi"} <= asking
    row = dict.fromkeys(asking, "") | listed_licences()
    assert {one for one in asking if row[one] not in ("LGPL", "MPL 2.0")} == {"docutils"}
    # its file under the GPL belongs to the editor Emacs (its COPYING: tools/editors/emacs/rst.el)
    assert row["docutils"].endswith("one file GPL") and not [one for one in files("docutils") if one.suffix == ".el"]
