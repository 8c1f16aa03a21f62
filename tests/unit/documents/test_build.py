"""The documents are built without a warning, fetch nothing from elsewhere, and can be searched.

The builder changes its libraries, so it runs in a process of its own. All pages are read and their links resolved. As
HTML a few are written, since the list beside each of all pages takes long.
"""

import re
import subprocess
import sys

import pytest
from helpers.places import ROOT

from tradestudy.documents.__main__ import build_documents

pytestmark = pytest.mark.thorough

# what a browser would load by itself; links that a reader may follow are none of these
_LOADED = re.compile(
    r"""<(?:script|img|iframe|source)[^>]*\bsrc=["']([^"']+)|<link[^>]*\bhref=["']([^"']+)|url\(([^)]+)\)"""
)
READ_ALL = """
import sys
from pathlib import Path
from sphinx.application import Sphinx
from tradestudy.documents import build
folder = Path(sys.argv[1])
sources = build.write_sources(folder / "sources")
sphinx = Sphinx(sources, None, folder / "none", folder / "trees", "dummy", build.SETTINGS, status=None,
                exception_on_warning=True)
sphinx.build(force_all=True)
print(len(sphinx.env.found_docs))
"""
# the pages by hand and one that is made
BUILD_A_FEW = """
import sys
from tradestudy.documents import build
from tradestudy.documents.__main__ import build_documents
mission = build.key_pages()["keys/mission"]
build.GENERATED = ("keys/mission",)
build.key_pages = lambda: {"keys/mission": mission}
build.command_pages = build.python_pages = lambda: {}
sys.exit(build_documents(sys.argv[1:]))
"""
FAULTY = """
import sys
from tradestudy.documents import build
from tradestudy.documents.__main__ import build_documents
build.pages = lambda: {"index": "# A page\\n[gone](gone.md)"}
sys.exit(build_documents(sys.argv[1:]))
"""


def ran(code, *words):
    """Return a piece of code that has run in a process of its own."""
    command = [sys.executable, "-c", code, *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=300)


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = tmp_path_factory.mktemp("documents") / "built"
    done = ran(BUILD_A_FEW, folder)
    assert (done.returncode, done.stdout, done.stderr) == (0, f"Written: {folder / 'index.html'}\n", "")
    return folder


def test_all_pages_are_read_and_their_links_resolved_without_a_warning(tmp_path):
    done = ran(READ_ALL, tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert int(done.stdout) > 100


def test_a_fault_in_a_page_ends_the_build(tmp_path):
    done = ran(FAULTY, tmp_path / "built")
    assert done.returncode == 2 and "gone.md" in done.stderr and "Traceback" not in done.stderr


def loaded(text):
    return ["".join(found).strip("'\" ") for found in _LOADED.findall(text)]


def test_nothing_is_fetched_from_elsewhere(built):
    files = [file for file in built.rglob("*") if file.suffix in (".html", ".css")]
    fetched = {one for file in files for one in loaded(file.read_text(encoding="utf-8"))}
    assert len(fetched) > 5
    assert [one for one in fetched if re.match(r"(https?:)?//", one)] == []


def test_a_fetched_font_is_found():
    assert loaded("@font-face { src: url('https://elsewhere/a.woff') }") == ["https://elsewhere/a.woff"]
    assert loaded('<script src="//elsewhere/a.js">') == ["//elsewhere/a.js"]


def test_search_knows_keys_and_words_of_the_guide(built):
    index = (built / "searchindex.js").read_text(encoding="utf-8")
    assert all(word in index for word in ("tip_set_back", "keys/mission", "what_to_believe"))


def test_the_drawing_stands_in_the_page_with_its_description(built):
    text = (built / "measure.html").read_text(encoding="utf-8")
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="measures"' in text
    words = re.sub(r"<[^>]+>", " ", (ROOT / "tradestudy/documents/wing_measures.svg").read_text(encoding="utf-8"))
    for label in ("span", "root chord", "tip chord", "set-back", "washout", "balance mark", "rods", "pack", "elevon"):
        assert label in words.partition("washout.")[2]


def test_wrong_arguments_and_a_missing_library_are_told(monkeypatch, capsys, tmp_path):
    assert build_documents([]) == 2 and build_documents(["--help"]) == 2
    assert "python -m tradestudy.documents FOLDER" in capsys.readouterr().err
    monkeypatch.setitem(sys.modules, "sphinx.application", None)
    assert build_documents([str(tmp_path / "out")]) == 2
    assert 'pip install "tradestudy[documents]"' in capsys.readouterr().err and not (tmp_path / "out").exists()
