"""The one thread that computes with live studies. A model runs one design at a time, so this is its lock too."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from dataclasses import dataclass, field
from typing import Any


class Superseded(Exception):
    """Error: a newer request of the same tab has taken the place of this one."""


@dataclass
class _Call:
    """A call that waits, or that is under way."""

    slot: Hashable
    function: Callable[..., Any]
    arguments: tuple[Any, ...]
    future: Future = field(default_factory=Future)


class OneThread:
    """A thread that makes calls one after another. Of those with one slot, only the newest waits.

    A slot is a tab and what it wants. A newer call takes the place of the one that waits in its slot, so tabs take
    turns however fast one of them sends. The thread ends with the process and never delays that.
    """

    def __init__(self) -> None:
        self._waiting: list[_Call] = []
        self._change = threading.Condition()
        self._closed = False
        threading.Thread(target=self._work, name="live studies", daemon=True).start()

    def call(self, slot: Hashable, function: Callable[..., Any], *arguments: Any) -> Future:
        """Return the future of a call. It raises Superseded if a newer call takes its place.

        A ``slot`` that is None is never superseded.
        """
        call = _Call(slot, function, arguments)
        with self._change:
            place = next((i for i, each in enumerate(self._waiting) if slot is not None and each.slot == slot), None)
            old = None
            if place is None:
                self._waiting.append(call)
            else:
                old, self._waiting[place] = self._waiting[place], call
            self._change.notify()
        if old is not None:
            old.future.set_exception(Superseded())
        return call.future

    def close(self) -> None:
        """Drop what waits. What is under way comes to nothing."""
        with self._change:
            self._closed = True
            dropped, self._waiting = self._waiting, []
            self._change.notify()
        for each in dropped:
            each.future.cancel()

    def _work(self) -> None:
        while True:
            with self._change:
                while not self._waiting and not self._closed:
                    self._change.wait()
                if self._closed:
                    return
                call = self._waiting.pop(0)
            if not call.future.set_running_or_notify_cancel():
                continue
            try:
                result, error = call.function(*call.arguments), None
            except BaseException as raised:
                result, error = None, raised
            with self._change:
                if self._closed:
                    return
            if error is not None:
                call.future.set_exception(error)
            else:
                call.future.set_result(result)
