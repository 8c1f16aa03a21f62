"""Progress of long work, reported to the user by one callback for progress and another for warnings."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str], object]  # called with one sentence on the current work


def no_progress(sentence: str) -> None:
    """Do nothing with the sentence."""


def warning_callback(report_progress: Progress) -> Progress:
    """Return the callback for warnings: the attribute ``warn`` of a progress callback, or else the callback itself."""
    return getattr(report_progress, "warn", report_progress)
