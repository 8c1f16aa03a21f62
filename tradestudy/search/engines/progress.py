"""What long work reports to a person while it runs: one callback, with a second one for warnings."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str], object]  # called with one sentence on what is being done


def no_progress(sentence: str) -> None:
    """Report nothing."""


def warning_callback(report_progress: Progress) -> Progress:
    """Return the callback for warnings: the attribute ``warn`` of a progress callback where it has one, else itself."""
    return getattr(report_progress, "warn", report_progress)
