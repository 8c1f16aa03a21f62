"""A server of the live page as a process of its own, asked as a browser asks it."""

import http.client
import json
import os
import re
import signal
import subprocess
import sys
import time

from helpers.places import ROOT

_ENVIRONMENT = os.environ | {"PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "ignore"}


class Server:
    """A server in a process and a session of its own, and the cookie that its address gives."""

    def __init__(self, folder, *words):
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tradestudy", "open", "--no-browser", *words],
            cwd=folder,
            env=_ENVIRONMENT,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        lines = [self.process.stdout.readline() for _ in range(2)]
        self.port, self.token = re.search(r"http://127\.0\.0\.1:(\d+)/start\?token=([\w-]+)", "".join(lines)).groups()
        self.cookie = self.ask("GET", f"/start?token={self.token}").getheader("set-cookie").partition(";")[0]

    def ask(self, method, path, body=None, headers=()):
        connection = http.client.HTTPConnection("127.0.0.1", int(self.port), timeout=30)
        connection.request(method, path, body, dict(headers))
        answer = connection.getresponse()
        answer.text = answer.read().decode()
        connection.close()
        return answer

    def post(self, path, token, document):
        own = {
            "Cookie": self.cookie,
            "Origin": f"http://127.0.0.1:{self.port}",
            "Sec-Fetch-Site": "same-origin",
            "X-Page-Token": token,
            "Content-Type": "application/json",
        }
        answer = self.ask("POST", path, json.dumps(document), own)
        return json.loads(answer.text)

    def interrupt(self):
        """Press Ctrl-C, and return the seconds until the end, the exit code and what was printed."""
        began = time.monotonic()
        self.process.send_signal(signal.SIGINT)
        printed = self.process.communicate(timeout=20)
        return time.monotonic() - began, self.process.returncode, "".join(printed)


def page_of(server):
    """Return the token of the page that a server shows, and the id of its study."""
    html = server.ask("GET", "/", headers={"Cookie": server.cookie}).text
    token = re.search(r'name="page-token" content="([\w-]+)"', html)[1]
    return token, json.loads(re.search(r'type="application/json"[^>]*>(.*?)</script>', html, re.DOTALL)[1])["study"]
