"""Headless Chromium, driven through its debugging pipe: JSON messages that end in a zero byte, on two file descriptors.

The protocol is published by the makers of Chromium at https://chromedevtools.github.io/devtools-protocol/.
"""

import base64
import json
import os
import select
import shutil
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
PATIENCE = 60  # s, after which a browser that does not answer is given up
# the browser reads descriptor 3 and writes descriptor 4, whatever the pipes are here
_AS_THIRD_AND_FOURTH = """
import fcntl, os, sys
ends = [fcntl.fcntl(int(end), fcntl.F_DUPFD, 10) for end in sys.argv[1:3]]
os.dup2(ends[0], 3), os.dup2(ends[1], 4)
os.execvp(sys.argv[3], sys.argv[3:])
"""


class DrivenBrowser:
    """One page of a browser of its own. Use it as a context; ``complaints`` are errors of console, page and network."""

    def __init__(self, profile, dark=False):
        program = next((found for found in map(shutil.which, BROWSERS) if found), None)
        if program is None:
            pytest.skip(f"no browser installed ({', '.join(BROWSERS)}): Debian has one in the package chromium")
        their_in, self._out = os.pipe()
        self._in, their_out = os.pipe()
        command = [program, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run",
                   "--disable-background-networking", "--remote-debugging-pipe", f"--user-data-dir={profile}",
                   "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
                   f"--blink-settings=preferredColorScheme={0 if dark else 1}", "about:blank"]  # fmt: skip
        self._process = subprocess.Popen(
            [sys.executable, "-S", "-c", _AS_THIRD_AND_FOURTH, str(their_in), str(their_out), *command],
            pass_fds=(their_in, their_out),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "HOME": str(profile)},
        )
        os.close(their_in)
        os.close(their_out)
        self._rest, self._number, self.complaints, self._session, self._events = b"", 0, [], None, []
        try:
            self._attach()
        except BaseException:
            self._end()
            raise

    def _attach(self):
        target = next(one for one in self("Target.getTargets")["targetInfos"] if one["type"] == "page")
        attached = self("Target.attachToTarget", targetId=target["targetId"], flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self(f"{domain}.enable")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        with suppress(RuntimeError, OSError):
            self._session = None
            self("Browser.close")
        self._end()

    def _end(self):
        os.close(self._in)
        os.close(self._out)
        try:
            self._process.wait(5)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(PATIENCE)

    def __call__(self, method, **parameters):
        """Send one command and return its answer."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        number = self._number
        while True:
            answer = self._next()
            if answer.get("id") == number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                return answer["result"]
            self._note(answer)

    def _next(self):
        limit = time.monotonic() + PATIENCE
        while b"\0" not in self._rest:
            ready, _, _ = select.select([self._in], [], [], max(0.0, limit - time.monotonic()))
            piece = os.read(self._in, 1 << 20) if ready else b""
            if not piece:
                raise RuntimeError("the browser does not answer")
            self._rest += piece
        message, _, self._rest = self._rest.partition(b"\0")
        return json.loads(message)

    def _note(self, event):
        known, method = event.get("params", {}), event.get("method")
        self._events.append(method)
        if method == "Fetch.requestPaused":
            self._answer(known["requestId"])
        if method == "Runtime.exceptionThrown":
            details = known["exceptionDetails"]
            self.complaints.append(details.get("exception", {}).get("description") or details["text"])
        elif method == "Runtime.consoleAPICalled" and known["type"] in ("error", "warning", "assert"):
            self.complaints.append(" ".join(str(each.get("value", each)) for each in known["args"]))
        elif method == "Log.entryAdded" and known["entry"]["level"] in ("error", "warning"):
            self.complaints.append(f"{known['entry']['text']} {known['entry'].get('url', '')}")

    def spare(self, ending, answer):
        """Answer requests whose address has this ending here, with JSON, so that they never reach the server."""
        self._spared = base64.b64encode(json.dumps(answer).encode()).decode()
        self("Fetch.enable", patterns=[{"urlPattern": f"*{ending}"}])

    def _answer(self, request):
        self._number += 1
        head = {"name": "Content-Type", "value": "application/json"}
        parameters = {"requestId": request, "responseCode": 200, "responseHeaders": [head], "body": self._spared}
        message = {"id": self._number, "method": "Fetch.fulfillRequest", "params": parameters}
        os.write(self._out, json.dumps(message | {"sessionId": self._session}).encode() + b"\0")

    def size(self, width, height, phone=False):
        """Set the size of the window. [px]"""
        self("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=phone)

    def open(self, address):
        """Open an address and wait until it has loaded."""
        self._events.clear()
        found = self("Page.navigate", url=address)
        if "errorText" in found:
            raise RuntimeError(f"{address}: {found['errorText']}")
        self._until_loaded()

    def reload(self):
        """Load the page again and wait until it has loaded."""
        self._events.clear()
        self("Page.reload")
        self._until_loaded()

    def _until_loaded(self):
        while "Page.loadEventFired" not in self._events:
            self._note(self._next())

    def run(self, script):
        """Return what an expression or a promise comes to, as JSON data."""
        found = self("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in found:
            details = found["exceptionDetails"]
            raise RuntimeError(details.get("exception", {}).get("description") or details["text"])
        return found["result"].get("value")

    def until(self, script, seconds=20.0):
        """Wait until an expression is true, and return it."""
        limit = time.monotonic() + seconds
        while not (found := self.run(script)):
            if time.monotonic() > limit:
                raise RuntimeError(f"not within {seconds} s: {script}")
            time.sleep(0.02)
        return found

    def press(self, key, code=None, virtual=0):
        """Press and release one key."""
        for kind in ("rawKeyDown", "keyUp"):
            self("Input.dispatchKeyEvent", type=kind, key=key, code=code or key, windowsVirtualKeyCode=virtual)

    def picture(self, file, whole=False):
        """Save a picture of the window, or of the whole page."""
        found = self("Page.captureScreenshot", captureBeyondViewport=whole)
        Path(file).write_bytes(base64.b64decode(found["data"]))
