"""``tradestudy open``: a real server on this machine alone, its address, its end with Ctrl-C, and the missing extra."""

import importlib.util
import os
import socket
import sys
import time

import pytest
from helpers.readers.asked_server import Server, page_of
from helpers.wings import dotterel

from tradestudy.__main__ import main


@pytest.fixture()
def folder(tmp_path):
    dotterel.written(tmp_path)
    return tmp_path


@pytest.mark.thorough
@pytest.mark.skipif(os.name == "nt", reason="a test cannot press Ctrl-C there")
def test_ctrl_c_ends_the_server_while_a_search_runs(folder):
    server = Server(folder, "dotterel.toml")
    try:
        assert server.ask("GET", "/").status == 403
        token, study = page_of(server)
        look = server.post("/look", token, {"study": study, "wing": {"variables": {"span_mm": 1350}}})
        assert look["study"] == study
        search = server.post("/search", token, {"study": study, "kind": "spans"})["search"]
        until = time.monotonic() + 20
        while not (progress := server.post("/search/progress", token, {"search": search}))["words"]:
            assert progress["state"] == "running" and time.monotonic() < until
            time.sleep(0.05)
        children = children_of(server.process.pid)
        assert children
        seconds, code, printed = server.interrupt()
        assert seconds < 2.0
        assert code == 130
        assert "Traceback" not in printed and printed.strip().endswith("Stopped.")
        until = time.monotonic() + 1.0
        while alive := [child for child in children if is_alive(child)]:
            assert time.monotonic() < until, alive
            time.sleep(0.02)
        assert (folder / "results" / "dotterel" / "record.sqlite").exists()  # what was finished is kept
    finally:
        server.process.kill()
        server.process.communicate()


def children_of(pid):
    """Return the processes that a process has started, where /proc lists them."""
    found = []
    for name in os.listdir("/proc") if os.path.isdir("/proc/self") else ():
        if name.isdigit():
            try:
                with open(f"/proc/{name}/stat", encoding="utf-8") as file:
                    parent = int(file.read().rpartition(")")[2].split()[1])
            except OSError:
                continue
            found += [int(name)] if parent == pid else []
    return found


def is_alive(pid):
    try:
        with open(f"/proc/{pid}/stat", encoding="utf-8") as file:
            return file.read().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_the_server_is_bound_to_this_machine_alone(monkeypatch):
    from tradestudy.page_server import serve

    with serve._socket(0) as made:
        assert made.getsockname()[0] == "127.0.0.1"
        port = made.getsockname()[1]
        for address in {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}:
            if not address.startswith("127."):
                with socket.socket() as other, pytest.raises(OSError):
                    other.settimeout(1)
                    other.connect((address, port))


def test_a_port_that_is_taken_is_said_to_be_so(folder, capsys):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        assert main(["open", str(folder / "dotterel.toml"), "--no-browser", "--port", str(port)]) == 2
    assert f"Port {port} cannot be used" in capsys.readouterr().err


def test_without_the_extra_one_line_says_what_to_install(folder, monkeypatch, capsys):
    known = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == "starlette" else known(name))
    assert main(["open", str(folder / "dotterel.toml")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert 'pip install "tradestudy[page]"' in line


def test_errors_of_the_study_are_told_before_the_server_starts(folder, capsys):
    (folder / "dotterel.toml").write_text("[stock]\n", encoding="utf-8")
    assert main(["open", str(folder / "dotterel.toml")]) == 2
    assert "problems; nothing was run" in capsys.readouterr().err


@pytest.mark.parametrize("system, display, opens", [("linux", "", False), ("linux", ":0", True), ("darwin", "", True)])
def test_a_browser_is_opened_only_where_there_is_a_window(monkeypatch, system, display, opens):
    from tradestudy.page_server import serve

    monkeypatch.setattr(sys, "platform", system)
    monkeypatch.setenv("DISPLAY", display)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert serve._has_browser() is opens
