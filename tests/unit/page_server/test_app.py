"""The live page over HTTP, with one small study: looks, edits, jobs, files. Every request is a real ASGI request."""

import json
import shutil
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from helpers.readers import page_jobs
from helpers.readers.asgi_browser import PORT, AsgiBrowser
from helpers.wings import dotterel

from tradestudy.commands.look.looks import after_release, look
from tradestudy.commands.look.work import Work
from tradestudy.page_server.app import application
from tradestudy.page_server.jobs import tasks
from tradestudy.page_server.live import live_study
from tradestudy.page_server.page import LivePage
from tradestudy.page_server.safety.keys import Keys
from tradestudy.study.reader import read_study

HOSTILE = '</script><img src=x onerror=alert(1)><!-- & "'
WING = {"choice": {}, "variables": {"span_mm": 1350.0}}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Return a folder with a study, which is also the folder in which results are written."""
    folder = tmp_path_factory.mktemp("page")
    dotterel.written(folder)
    with pytest.MonkeyPatch.context() as patched:
        patched.chdir(folder)
        yield folder


@pytest.fixture(scope="module")
def page(folder):
    return LivePage(Keys(PORT), folder, read_study(folder / "dotterel.toml"))


@pytest.fixture(scope="module")
def browser(page):
    """Return a browser at the page of the study. Its process for what follows a look is not warmed."""
    made = AsgiBrowser(application(page), page.keys)
    yield made
    made.close(page)


@pytest.fixture(scope="module", autouse=True)
def quick_jobs():
    """Let job processes answer at once. What they do is tested without them."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(tasks, "warm_job", page_jobs.nothing)
        yield


@pytest.fixture(scope="module")
def study(browser):
    """Return the id of the study, as the page holds it."""
    html = browser.get("/").body.decode()
    state = html.partition('type="application/json"')[2].partition(">")[2].partition("</script>")[0]
    return json.loads(state)["study"]


def test_the_page_carries_the_token_and_no_script_or_style_of_its_own(browser, page, study):
    html = browser.get("/").body.decode()
    assert html.count(page.keys.page_token) == 1
    assert "style=" not in html and "<style" not in html and " onload=" not in html and " onclick=" not in html
    for script in html.split("<script")[1:]:
        assert 'type="application/json"' in script.partition(">")[0] or 'src="/static/' in script.partition(">")[0]
    for address in set(part.partition('"')[0] for part in html.split('="/static/')[1:]):
        assert browser.get(f"/static/{address}").status == 200
    assert "http://" not in html.replace("http://www.w3.org/", "") and "https://" not in html


@pytest.mark.parametrize("name", ["page.py", "../page.py", "..%2fpage.py", "live.css/", "nothing.js"])
def test_no_other_file_is_served(browser, name):
    assert browser.get(f"/static/{name}").status == 404


def test_a_look_is_that_of_the_same_wing(browser, study, page):
    answer = browser.post("/look", {"study": study, "wing": WING, "tab": "a", "sequence": 7}).document
    assert (answer["study"], answer["sequence"]) == (study, 7)
    seen = look(Work(page._given), WING)
    assert answer["wing"]["variables"]["cruise_speed_kmh"] == pytest.approx(seen.variables.cruise_speed_kmh)
    assert answer["wing"]["variables"]["extension_mm"] == pytest.approx(35.0)
    again = browser.post("/look", {"study": study, "wing": answer["wing"], "pinned": [WING]}).document
    assert again["wing"] == answer["wing"]


@pytest.mark.parametrize(
    "wing",
    [
        {"variables": {"span_mm": "long"}},
        {"variables": {"span_mm": 1e9}},
        {"variables": {"spam_mm": 1300}},
        {"choice": {"propeller": HOSTILE}},
        {"other": 1},
        {"variables": [1]},
    ],
    ids=str,
)
def test_wings_that_cannot_be_are_refused_in_one_sentence(browser, study, wing):
    answer = browser.post("/look", {"study": study, "wing": wing})
    assert answer.status in (400, 422)
    assert "Traceback" not in answer.document["error"] and "\n" not in answer.document["error"].strip()
    assert answer.headers["content-type"] == "application/json"


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{",
        b'{"study": NaN}',
        b'{"study": 1}',
        b'{"study": "\\ud800"}',
        b"[" * 100_000,
        b'{"study": null, "wing": 3}',
        b"\xff",
    ],
    ids=lambda body: body[:20].decode("latin-1"),
)
def test_bodies_that_are_no_request_are_refused(browser, body):
    for path in ("/look", "/after", "/edit", "/save/study", "/search", "/note", "/log", "/card", "/new"):
        answer = browser.post(path, parts=[body])
        assert answer.status == 400 and answer.document["error"].endswith(".")


def test_a_study_that_is_not_open_is_said_to_be_so(browser):
    for path in ("/look", "/after", "/edit", "/bands", "/save/study", "/save/report", "/season"):
        assert browser.post(path, {"study": "0" * 16, "wing": WING, "set": {"fly.wind": "1 m/s"}}).status == 404


def test_tabs_have_each_their_own_study(browser, study):
    edited = browser.post("/edit", {"study": study, "set": {"fly.reserve": "40 %"}}).document
    assert edited["study"] != study and edited["changes"][0]["key"] == "fly.reserve"
    both = {name: browser.post("/look", {"study": name, "wing": WING}).document for name in (study, edited["study"])}
    assert both[study]["strip"] != both[edited["study"]]["strip"]
    again = browser.post("/look", {"study": study, "wing": WING}).document
    assert again == both[study]  # the edit of another tab changes nothing here
    same = browser.post("/edit", {"study": study, "set": {"fly.reserve": "40 %"}}).document
    assert same["study"] == edited["study"]


def test_edits_that_are_refused_name_each_fault_and_no_file_is_read(browser, study, folder):
    (folder.parent / "outside.dat").write_text("hushhush", encoding="utf-8")
    (folder / "inside.dat").write_text("hushhush 1 2", encoding="utf-8")
    wrong = browser.post("/edit", {"study": study, "set": {"fly.wind": "3 apples", "fly.moon": "1"}})
    assert wrong.status == 422 and len(wrong.document["faults"]) == 2
    for name in ("../outside.dat", "inside.dat", str(folder.parent / "outside.dat")):
        refused = browser.post("/edit", {"study": study, "set": {"stock.airfoil": name}})
        assert refused.status == 422 and b"hushhush" not in refused.body


def test_the_newest_of_a_tab_wins_and_the_other_tab_gets_its_answer(browser, study, page, monkeypatch):
    go = threading.Event()
    page._live.call(None, go.wait, 10)
    with ThreadPoolExecutor(8) as pool:

        def ask(number, tab):
            wing = {"variables": {"span_mm": 1300.0 + number}}
            return pool.submit(browser.post, "/look", {"study": study, "wing": wing, "tab": tab, "sequence": number})

        mine = []
        for number in range(6):
            mine.append(ask(number, "mine"))
            while len(page._live._waiting) < 1 or not all(each.done() for each in mine[:-1]):
                pass
        other = ask(50, "other")
        while len(page._live._waiting) < 2:
            pass
        go.set()
        statuses = [each.result(20).status for each in mine]
    assert statuses == [409] * 5 + [200]
    assert mine[-1].result().document["wing"]["variables"]["extension_mm"] == pytest.approx(12.5)
    assert other.result().document["wing"]["variables"]["extension_mm"] == pytest.approx(35.0)
    assert mine[0].result().document == {"superseded": True}


def test_what_follows_a_look_comes_from_another_process_and_says_the_same(browser, study, page):
    answer = browser.post("/after", {"study": study, "wing": WING, "sequence": 3, "tab": "a"}).document
    own = after_release(Work(page._given), WING)
    assert answer["sequence"] == 3 and answer["flags"] == own.flags
    refused = browser.post("/after", {"study": study, "wing": {"variables": {"span_mm": 1e9}}})
    assert refused.status == 422 and "span" in refused.document["error"]


def test_hostile_names_are_text(browser, folder):
    # a name that the page shows twice: within the HTML, and within its first state for the script
    text = (folder / "dotterel.toml").read_text(encoding="utf-8")
    hostile = f"[[pack_choice]]\nname = '{HOSTILE}'\ncell = \"21700 5.0 Ah\"\nseries = 4\nparallel = 3\n"
    (folder / "hostile.toml").write_text(text + hostile, encoding="utf-8")
    page = browser.get("/", query="file=hostile.toml").body.decode()
    assert page.count("onerror") >= 2
    for forbidden in ("<img src=x", "</script><", "<!--"):
        assert forbidden not in page
    listed = browser.post("/studies").body.decode()
    assert "hostile.toml" in listed
    missing = browser.get("/", query="file=%3Cimg%20src=x%20onerror=alert(1)%3E.toml")
    assert missing.status == 400 and missing.headers["content-type"].startswith("text/plain")
    assert missing.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("file", ["../page.toml", "/etc/passwd", "%2e%2e/x.toml", "settings.ini", "nothing.toml"])
def test_other_files_are_not_opened(browser, file):
    assert browser.get("/", query=f"file={file}").status == 400


def test_a_search_is_queued_shown_and_stopped(browser, study, monkeypatch):
    monkeypatch.setattr(tasks, "search_job", page_jobs.waiting)
    first = browser.post("/search", {"study": study, "kind": "best"}).document
    second = browser.post("/search", {"study": study, "kind": "spans"}).document
    assert first["expected_seconds"] > 1
    assert browser.post("/search/progress", {"search": second["search"]}).document["ahead"] == 1
    assert browser.post("/search", {"study": study, "kind": "moon"}).status == 400
    assert browser.post("/search/stop", {"search": "other"}).status == 400
    for each in (second, first):
        browser.post("/search/stop", {"search": each["search"]})
        done = browser.until_done(each["search"], 2.0)
        assert (done["state"], done["result"]) == ("stopped", None)


def test_notes_are_checked_before_they_wait(browser, study):
    assert browser.post("/note", {"study": study, "text": "it flew"}).status == 400
    unknown = browser.post("/note", {"study": study, "text": "34 min, 4000 mAh", "wing": "long"})
    assert unknown.status == 400 and "no built wing long" in unknown.document["error"]
    for log in ("../outside.csv", "/etc/passwd", "flight.csv"):
        asked = browser.post("/note", {"study": study, "text": "34 min", "options": {"log": log}})
        assert asked.status == 400
    assert browser.post("/card", {"study": study, "wind": "90 m/s"}).status == 400


def test_a_log_is_kept_beside_the_study_with_the_names_of_its_columns(browser, study, folder):
    rows = "".join(f"{n},4.{n % 3},{12 + 0.1 * (n % 2)},{n % 9}\n" for n in range(40))
    text = f"# logger\nTime (s),amps,Speed(m/s),Course(deg)\n{rows}"
    asked = browser.post("/log", {"study": study, "name": "one.csv", "text": text, "columns": None}).document
    assert asked["heads"] == ["Time (s)", "amps", "Speed(m/s)", "Course(deg)"]
    guesses = {one["name"]: one["guess"] for one in asked["quantities"]}
    assert (guesses["time"], guesses["amps"], guesses["volts"]) == ("Time (s)", "amps", "")
    columns = {"time": "Time (s)", "amps": ["amps", "A"], "ground_speed": "Speed(m/s)", "course": [4, "deg"]}
    given = {"study": study, "name": "one.csv", "text": text, "columns": columns}
    done = browser.until_done(browser.post("/log", given).document["search"])
    assert done["state"] == "done", done.get("error")
    assert done["result"]["rows"] == 40 and done["result"]["lines"]
    assert (folder / "logs" / "one.csv").read_text(encoding="utf-8") == text
    assert browser.post("/log", {**given, "columns": {"time": "Time (s)"}}).status == 200  # the same log, other columns
    assert browser.post("/log", {**given, "text": text + rows}).status == 400  # another log of that name
    for name in ("../one.csv", "a/one.csv", "one.toml", ".csv", "nul.csv", "dotterel.toml"):
        assert browser.post("/log", {**given, "name": name}).status == 400
    assert browser.post("/log", {**given, "name": "two.csv", "columns": {"moon": "x"}}).status == 400
    assert {file.name for file in (folder / "logs").iterdir()} == {"one.csv", "one.toml"}


def test_a_wing_is_saved_and_listed(browser, study):
    assert browser.post("/save/wing", {"study": study, "wing": WING, "name": "long-one"}).document["name"] == "long-one"
    assert browser.post("/wings", {"study": study}).document["wings"] == ["stock", "long-one"]
    assert browser.post("/save/wing", {"study": study, "wing": WING, "name": "long-one"}).status == 400


def test_a_study_is_saved_after_its_difference_was_shown(browser, study, folder):
    edited = browser.post("/edit", {"study": study, "set": {"fly.wind": "3 m/s"}}).document["study"]
    shown = browser.post("/save/study", {"study": edited, "name": "windy"}).document
    assert [row["key"] for row in shown["difference"]] == ["fly.wind"] and not (folder / "windy.toml").exists()
    saved = browser.post("/save/study", {"study": edited, "name": "windy", "agreed": True, "over": shown["over"]})
    assert saved.document["saved"] and read_study(folder / "windy.toml").fly.wind == 3.0


def test_the_start_without_a_file(folder, tmp_path, monkeypatch):
    shutil.copy(folder / "dotterel.toml", tmp_path / "mine.toml")
    page = LivePage(Keys(PORT), tmp_path)
    browser = AsgiBrowser(application(page), page.keys)
    try:
        assert browser.get("/").status == 200
        listed = browser.post("/studies").document
        assert [one["file"] for one in listed["studies"]] == ["mine.toml"] and len(listed["demos"]) > 3
        assert browser.post("/questions", {"units": "imperial"}).document["questions"][0]["name"] == "span"
        assert browser.post("/answer", {"question": "span", "text": "1120 mm"}).document["text"] == "1120 mm"
        refused = browser.post("/answer", {"question": "span", "text": "1120"})
        assert (refused.status, refused.document["suggestion"]) == (422, "1120 mm")
        assert browser.post("/new", {"name": "a", "answers": {}}).status == 400
        assert browser.post("/demo", {"name": "lapwing"}).document == {"file": "studies/lapwing.toml"}
        assert browser.get("/", query="file=../mine.toml").status == 400
    finally:
        browser.close(page)


def test_a_live_study_takes_what_a_search_has_found_since(page, monkeypatch):
    live = live_study.LiveStudy("name", Work(page._given))
    before = live.controls
    live.read_again()
    assert live.controls is before
    monkeypatch.setattr(live.work, "read_draws", lambda: setattr(live.work, "recommended", "kept") or True)
    live.read_again()
    assert live.controls is before  # no draws: the numbers stay


def test_a_study_whose_file_was_broken_meanwhile_is_told_so_line_by_line(browser, study, folder):
    file = folder / "dotterel.toml"
    before = file.read_text(encoding="utf-8")
    try:
        file.write_text(before.replace('span = "1280 mm"', 'span = "<b>"', 1), encoding="utf-8")
        answer = browser.get("/")
        assert answer.status == 422 and answer.headers["content-type"].startswith("text/plain")
        assert b"stock.span" in answer.body and b"line" in answer.body
        assert browser.post("/look", {"study": study, "wing": WING}).status == 200  # what is open stays open
    finally:
        file.write_text(before, encoding="utf-8")
    assert browser.get("/").status == 200
