"""The page in a real browser without network: slider, dots, sorting, width and console, at three widths.

Headless Chromium opens a page that contains the report three times, 360, 820 and 1440 px wide. A script operates it and
prints the results. The tests are skipped, with the reason, if no browser is installed.
"""

import html
import json
import os
import re
import shutil
import subprocess
from dataclasses import replace

import pytest
from helpers.invented.invented_numbers import outline_of
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import made
from helpers.readers.page_figures import differences

from tradestudy.report.figures import all_figures as figures_module
from tradestudy.report.page import page as page_module
from tradestudy.report.page import policy
from tradestudy.report.page.page import page
from tradestudy.report.page.wing_view import wings_along_span
from tradestudy.results.outline import Outline

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
WIDTHS = (360, 820, 1440)
PATIENCE = 60  # s, after which a browser that hangs is stopped

# runs before the page's own script: records all complaints of the console and the page's policy
WATCH = """<script>
window.complaints = [];
["error", "warn"].forEach(function (kind) {
  console[kind] = function () { complaints.push([].join.call(arguments)); }; });
addEventListener("error", function (event) { complaints.push(event.message || event.target.outerHTML); }, true);
addEventListener("securitypolicyviolation", function (event) { complaints.push(event.violatedDirective); });
</script>"""

DRIVE = r"""<script>
function figures(place) {
  return Array.from(place.querySelectorAll("[data-key]"), function (each) {
    return [each.dataset.key, +(each.dataset.times || 1), each.textContent];
  });
}
function drive(window) {
  var page = window.document, told = {width: window.innerWidth, scroll: page.documentElement.scrollWidth};
  var slider = page.getElementById("span-slide"), view = page.getElementById("view").parentNode;
  var shape = function () { return view.querySelector("[data-part=shape]").getAttribute("d"); };
  told.hidden = page.getElementById("slide").hidden;
  told.folded = {screens: page.documentElement.scrollHeight / 900, words: page.body.innerText.split(/\s+/).length,
    stops: Array.from(page.querySelectorAll("a[href], button, input, summary, [tabindex]"), function (each) {
      return each.tabIndex >= 0 && !each.disabled && each.checkVisibility({contentVisibilityAuto: true}); })
      .filter(Boolean).length};
  page.querySelector("nav a[href='#build']").click();
  var spots = Array.from(page.querySelectorAll("#figure-span_trade .spot")).filter(function (spot) {
    return spot.checkVisibility(); });
  spots[0].focus();
  spots[0].dispatchEvent(new window.KeyboardEvent("keydown", {key: "ArrowRight", bubbles: true}));
  told.stepped = [page.activeElement === spots[1], spots[0].tabIndex, spots[1].tabIndex];
  told.steps = [];
  for (var step = 0; step <= +slider.max; step += 1) {
    slider.value = step;
    slider.dispatchEvent(new window.Event("input"));
    told.steps.push({words: slider.getAttribute("aria-valuetext"), shape: shape(), stops: view.querySelector(
      "[data-field=stops]").textContent, figures: figures(view.querySelector(".view")).concat(
      figures(view.querySelector(".figures-row")))});
  }
  page.getElementById("span-back").click();
  told.back = +slider.value;
  var seen = function (spots) { return Array.from(page.querySelectorAll(spots)).filter(function (spot) {
    return spot.checkVisibility(); }); };
  told.dots = seen("#figure-weight_range .spot").map(function (spot, at) {
    if (at % 2) { spot.focus(); } else { spot.dispatchEvent(new window.Event("mouseenter")); }
    var readout = page.querySelector("#figure-weight_range .readout");
    return {words: readout.textContent, figures: figures(readout)};
  });
  var spot = seen("#figure-span_trade .spot[data-step]")[0];
  spot.click();
  told.clicked = [+spot.dataset.step, +slider.value];
  page.getElementById("span-back").click();
  page.querySelectorAll("details").forEach(function (each) { each.open = true; });
  var table = page.querySelector("section[aria-labelledby=others] table"), head = table.tHead.rows[0].cells[4];
  told.sorted = [0, 1].map(function () {
    head.querySelector("button").click();
    return [head.getAttribute("aria-sort"), Array.from(table.tBodies[0].rows, function (row) {
      return row.cells[4].textContent; })];
  });
  head.querySelector("button").focus();
  told.focused = page.activeElement === head.querySelector("button");
  told.unfolded = page.documentElement.scrollWidth;
  var words = "h1, h2, h3, p, dt, dd, li, label, .slide button, figcaption, output";
  told.clipped = Array.from(page.querySelectorAll(words))
    .filter(function (each) {
      var box = each.getBoundingClientRect();
      return box.width && !each.closest(".scroll, .plot, .skip, .unseen, nav") && !each.matches(".unseen, .skip") &&
        (box.left < -1 || box.right > window.innerWidth + 1 || each.scrollWidth > each.clientWidth + 1 &&
         window.getComputedStyle(each).display !== "inline"); })
    .map(function (each) { return each.outerHTML.slice(0, 120); });
  told.complaints = window.complaints;
  return told;
}
addEventListener("load", function () {
  var out = document.getElementById("told");
  try {
    out.textContent = JSON.stringify(Array.from(document.querySelectorAll("iframe"), function (frame) {
      return drive(frame.contentWindow); }));
  } catch (error) { out.textContent = JSON.stringify(String(error.stack || error)); }
});
</script>"""


def browser():
    """Return a browser command, or None."""
    return next((found for found in map(shutil.which, BROWSERS) if found), None)


def in_browser(*options, file):
    """Return the text that headless Chromium prints for a file with these options. Skips if it cannot start."""
    program = browser()
    if program is None:
        pytest.skip(f"no browser installed ({', '.join(BROWSERS)}): Debian has one in the package chromium")
    command = [program, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
               "--disable-background-networking", "--host-resolver-rules=MAP * ~NOTFOUND",
               f"--user-data-dir={file.parent / 'profile'}", *options, file.as_uri()]  # fmt: skip
    environment = {**os.environ, "HOME": str(file.parent)}
    done = subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE, env=environment)
    if done.returncode and not done.stdout:
        pytest.skip(f"{program} does not start here: {done.stderr.strip().splitlines()[-1:]}")
    return done.stdout


@pytest.fixture(scope="module")
def result():
    """Return the invented result with an outline for every wing of its span trade."""
    sample = sample_result()
    trade = [
        replace(wing, outline=made(Outline, outline_of(0.5 * wing.numbers.span_mm, 0.2 * wing.numbers.span_mm)))
        for wing in sample.span_trade
    ]
    return replace(sample, span_trade=trade, note="A note with a very long word: " + "Stretch" * 30)


@pytest.fixture(scope="module")
def told(result, tmp_path_factory):
    """Return what the script printed at each width."""
    with pytest.MonkeyPatch.context() as patched:
        wanted = ("planform", "span_trade", "weight_range", "speed")
        patched.setattr(figures_module, "FIGURES", {name: figures_module.FIGURES[name] for name in wanted})
        text = page(result)
    # the policy is unchanged except for one more script, which records complaints
    watched = text.replace("script-src ", f"script-src '{hash_of(WATCH)}' ", 1)
    watched = watched.replace("<title>", WATCH + "<title>", 1)
    frames = "".join(
        f'<iframe width="{width}" height="900" style="border:0" srcdoc="{html.escape(watched)}"></iframe>'
        for width in WIDTHS
    )
    file = tmp_path_factory.mktemp("browser") / "driver.html"
    file.write_text(f'<!DOCTYPE html><meta charset="utf-8"><pre id="told"></pre>{frames}{DRIVE}', encoding="utf-8")
    printed = in_browser("--dump-dom", "--virtual-time-budget=10000", file=file)
    found = json.loads(html.unescape(re.search(r'<pre id="told">(.*?)</pre>', printed, re.S)[1]))
    assert isinstance(found, list), found
    return found


def hash_of(script):
    """Return the hash by which the content security policy allows a script."""
    return policy.hash_of(script.removeprefix("<script>").removesuffix("</script>"))


def test_page_fits_every_width_without_a_complaint(told):
    assert [each["width"] for each in told] == list(WIDTHS)
    for each in told:
        assert each["complaints"] == []
        assert each["scroll"] <= each["width"] and each["unfolded"] <= each["width"]
        assert each["clipped"] == []


def test_page_is_short_until_folds_are_opened(told):
    for each, screens in zip(told, (14, 12, 8), strict=True):
        assert each["folded"]["screens"] <= screens
        assert each["folded"]["words"] <= 3000
        assert each["folded"]["stops"] < 40


def test_arrow_keys_step_through_the_dots_of_a_figure(told):
    for each in told:
        assert each["stepped"] == [True, -1, 0]


def test_slider_moves_planform_numbers_and_marks(told, result):
    summary, wings = json.loads(result.to_json()), wings_along_span(result)
    for each in told:
        assert not each["hidden"] and len(each["steps"]) == len(wings) == 10
        assert len({step["shape"] for step in each["steps"]}) >= len({wing.numbers.span_mm for wing in wings})
        for step, wing in zip(each["steps"], wings, strict=True):
            assert step["words"].startswith(f"{wing.numbers.span_mm:.0f} mm, ")
            assert f"{0.5 * wing.numbers.span_mm:.1f} " in step["shape"]  # the tip, in mm from the centre line
            assert differences(step["figures"], summary) == []
            shown = {stored_in for stored_in, *_ in step["figures"] if stored_in.endswith("/numbers/span_mm")}
            assert [by_place(summary, place) for place in shown] == [wing.numbers.span_mm]
        assert wings[each["back"]] is result.recommended
        assert each["clicked"][0] == each["clicked"][1]
        assert any("stall speed" in step["stops"] for step in each["steps"])


def by_place(summary, place):
    for name in place.split("/"):
        summary = summary[int(name)] if isinstance(summary, list) else summary[name]
    return summary


def test_dots_of_the_weight_range_line_tell_their_wing(told, result):
    summary = json.loads(result.to_json())
    for each in told:
        assert len(each["dots"]) == len(result.front)
        for index, (dot, wing) in enumerate(zip(each["dots"], result.front, strict=True)):
            assert dot["words"].startswith(
                f"{'ABCDEF'[index]}: span {wing.numbers.span_mm:.0f} mm, range "
                f"{wing.numbers.range_km:.1f} km, weight {wing.numbers.auw_g:.0f} g"
            )
            assert differences(dot["figures"], summary) == []
            assert {place.split("/")[1] for place, *_ in dot["figures"]} == {str(index)}


def test_tables_sort_both_ways_by_number(told, result):
    gains = sorted(wing.numbers.range_km for wing in (*result.alternatives, *result.steps))
    for each in told:
        up, down = each["sorted"]
        assert up == ["ascending", [f"{gain:.0f}" for gain in gains]]
        assert down == ["descending", [f"{gain:.0f}" for gain in reversed(gains)]]
        assert each["focused"]


def test_script_is_small_and_the_policy_knows_no_other():
    text = page_module.SCRIPT.read_text(encoding="utf-8")
    assert len(text.encode()) < 15_000  # the largest size allowed
    assert not re.search(r"fetch|XMLHttpRequest|WebSocket|import\(|eval|innerHTML|localStorage", text)
