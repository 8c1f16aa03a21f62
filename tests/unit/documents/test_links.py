"""Every link in every Markdown file of the project leads to a file that is there, and to a heading that it has."""

import re
from pathlib import Path

import pytest
from helpers.places import ROOT

PAGES = [
    *sorted(ROOT.glob("*.md")),
    *sorted(page for room in ("studies", "tradestudy", "results", "tests") for page in (ROOT / room).rglob("*.md")),
]
_LINK = re.compile(r"!?\[[^\]]*\]\(([^()\s]+)\)")
_CODE = re.compile(r"```.*?```|`[^`\n]*`", re.DOTALL)


def links(text):
    """Return the targets of all links in a page; what stands in code is no link."""
    return _LINK.findall(_CODE.sub("", text))


def anchors(text):
    """Return the names under which the headings of a page are reached: small letters, hyphens for spaces."""
    headings = re.findall(r"^#+ (.+)$", re.sub(r"```.*?```", "", text, flags=re.DOTALL), flags=re.MULTILINE)
    return {re.sub(r"[^\w -]", "", heading.lower()).strip().replace(" ", "-") for heading in headings}


def dead(page, text):
    """Return the links of a page that lead nowhere."""
    found = []
    for target in links(text):
        if re.match(r"[a-z]+:", target):
            continue
        name, _, anchor = target.partition("#")
        file = (page.parent / name) if name else page
        if not file.exists():
            found.append(target)
        elif anchor and anchor not in anchors(file.read_text(encoding="utf-8")):
            found.append(target)
    return found


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page):
    assert dead(page, page.read_text(encoding="utf-8")) == []


def test_pages_of_the_documents_link_to_one_another_only():
    folder = ROOT / "tradestudy" / "documents"
    away = {
        page.name: [one for one in links(page.read_text(encoding="utf-8")) if "/" in one and page.name != "README.md"]
        for page in folder.glob("*.md")
    }
    assert {name: found for name, found in away.items() if found} == {}


def test_every_page_of_the_documents_can_be_reached_from_the_first_one():
    folder = ROOT / "tradestudy" / "documents"
    first = set(links((folder / "index.md").read_text(encoding="utf-8")))
    assert {page.name for page in folder.glob("*.md")} - first == {"index.md", "README.md"}


def test_every_picture_of_the_examples_is_shown():
    shown = {Path(target).name for page in PAGES for target in links(page.read_text(encoding="utf-8"))}
    assert {file.name for file in (ROOT / "results" / "example").iterdir()} - shown == set()


def test_a_dead_link_is_found():
    text = "# A head, with `code`\n[here](#a-head-with-code) [gone](#gone) [no](no.md) ![no](no.svg) `[code](no.md)`"
    assert dead(ROOT / "README.md", text) == ["#a-head-with-code", "#gone", "no.md", "no.svg"]
    assert anchors(text) == {"a-head-with-code"} and dead(ROOT / "README.md", "[two](#two-commands)") == []
