"""Measures the time from an event to the screen on the live page of the demo: keys, mouse and finger, 50 events each.

An event is a key press on the slider of the span, or a move of a mouse or a finger that drags it. The time ends with
the first frame that the browser paints after the answer is in the page. The second part runs while a search does.
Events that come while an answer is awaited count once, from the first of them. Usage:

    python tests/bench/speed/live_page.py [events]
    python tests/bench/speed/live_page.py picture results/example/live_page.png

The second line makes the picture of the README instead: a wing of the demo beside a pinned one.
"""

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from helpers.places import GODWIT
from helpers.readers.driven_browser import DrivenBrowser
from helpers.readers.open_page import opened

PICTURE = Path(sys.argv[2]) if sys.argv[1:2] == ["picture"] else None
EVENTS = int(sys.argv[1]) if len(sys.argv) > 1 and not PICTURE else 50
SEARCH = "document.querySelector('[data-search=front]')"
READY = "document.documentElement.dataset.ready"
WATCH = """(() => {
  const slide = document.getElementById("slide-span_mm"), root = document.documentElement;
  window.times = [];
  let started = null;
  slide.addEventListener("input", (event) => { started ??= event.timeStamp; }, { capture: true });
  new MutationObserver(() => {
    if (started === null || root.dataset.shown !== root.dataset.asked) return;
    const from = started;
    started = null;
    requestAnimationFrame(() => { const channel = new MessageChannel();
      channel.port1.onmessage = () => times.push(performance.now() - from);
      channel.port2.postMessage(""); });
  }).observe(root, { attributes: true, attributeFilter: ["data-shown"] });
})()"""


def place(browser):
    """Return the middle of the slider's thumb on the screen, and the length of one step of it. [px]"""
    return browser.run(
        "(() => { const slide = document.getElementById('slide-span_mm'); slide.scrollIntoView({block: 'center'});"
        "const box = slide.getBoundingClientRect(), share = (slide.value - slide.min) / (slide.max - slide.min);"
        "return [box.left + 8 + share * (box.width - 16), box.top + box.height / 2, box.width / 100]; })()"
    )


def measured(browser, way):
    """Return the times of as many events as asked for. [ms]"""
    browser.run("times.length = 0")
    browser.run("document.getElementById('slide-span_mm').focus({preventScroll: true})")
    x, y, step = place(browser)
    if way == "mouse":
        browser("Input.dispatchMouseEvent", type="mousePressed", x=x, y=y, button="left", clickCount=1)
    elif way == "finger":
        browser("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
    for count in range(EVENTS):
        if way == "keys":
            right = count % 40 < 20
            browser.press("ArrowRight" if right else "ArrowLeft", virtual=39 if right else 37)
        else:
            x += step * (1 if count % 40 < 20 else -1)
            if way == "mouse":
                browser("Input.dispatchMouseEvent", type="mouseMoved", x=x, y=y, button="left", buttons=1)
            else:
                browser("Input.dispatchTouchEvent", type="touchMove", touchPoints=[{"x": x, "y": y}])
        time.sleep(0.15)
    if way == "mouse":
        browser("Input.dispatchMouseEvent", type="mouseReleased", x=x, y=y, button="left", clickCount=1)
    elif way == "finger":
        browser("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
    time.sleep(1.0)
    return browser.run("times")


def tell(words, times):
    ordered = sorted(times)
    middle, late = statistics.median(ordered), ordered[int(0.9 * len(ordered))]
    print(f"{words:32} {middle:4.0f} ms median, nine in ten within {late:4.0f} ms, {len(ordered)} answers; "
          f"load of the machine {os.getloadavg()[0]:.1f}")  # fmt: skip


def put(browser, key, value):
    """Type a value into the box of a slider."""
    browser.run(f"document.getElementById('box-{key}').focus(); document.getElementById('box-{key}').select()")
    browser("Input.insertText", text=str(value))
    browser.run("document.activeElement.blur()")
    browser.until("document.documentElement.dataset.asked === document.documentElement.dataset.shown")


def picture(file):
    """Save a picture of the page as PNG with few colours, so that it stays small."""
    from PIL import Image

    with tempfile.TemporaryDirectory() as folder:
        with opened(folder, GODWIT) as address, DrivenBrowser(Path(folder) / "profile") as browser:
            browser.size(1320, 1010)
            browser("Emulation.setScrollbarsHidden", hidden=True)
            browser.open(address)
            browser.until(READY)
            known = "!document.querySelector('[data-field=basis]').textContent.includes('medians')"
            browser.until(known, 300)  # the page works out the values to expect
            put(browser, "span_mm", 1380)
            browser.run("document.getElementById('pin').click()")
            put(browser, "span_mm", 1450)
            time.sleep(15)  # until the band is worked out
            browser.picture(file)
    with Image.open(file) as whole:
        whole.convert("RGB").quantize(96).save(file, optimize=True)
    print(file, file.stat().st_size)


def main():
    with tempfile.TemporaryDirectory() as folder:
        with opened(folder, GODWIT) as address, DrivenBrowser(Path(folder) / "profile") as browser:
            browser.size(1440, 900)
            browser.spare("/expected", {"known": True})  # a search of a minute, which changes what is shown
            browser("Emulation.setTouchEmulationEnabled", enabled=True)
            browser.open(address)
            browser.until(READY)
            browser.run(WATCH)
            time.sleep(20)  # until what follows a first look is worked out
            for way in ("keys", "mouse", "finger"):
                tell(f"{way}, nothing else running", measured(browser, way))
            browser.run('document.querySelector(\'[data-search="front"] [data-do="start"]\').click()')
            browser.until('document.querySelector(\'[data-search="front"] [data-say="state"]\').textContent', 60)
            for way in ("keys", "mouse", "finger"):
                tell(f"{way}, while a search runs", measured(browser, way))
            print(
                "still searching:", not browser.run("document.querySelector('[data-search=\"front\"] progress').hidden")
            )


if __name__ == "__main__":
    picture(PICTURE) if PICTURE else main()
