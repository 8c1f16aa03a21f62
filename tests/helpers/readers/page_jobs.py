"""Jobs for tests of the page's job processes: they take no time, or as long as a test wants."""

import os
import time

from tradestudy.errors import CommandError, Fault, StudyFileError
from tradestudy.page_server.jobs.job_process import JobStopped


def doubled(report, number):
    report(f"doubling {number}")
    return 2 * number


def endless(report, file):
    """Write a file, and then work without end and without a word."""
    report("working")
    file.write_text(str(os.getpid()), encoding="utf-8")
    while True:
        time.sleep(0.01)


def counting(report, file):
    """Count until the job is stopped, and return the count."""
    file.write_text(str(os.getpid()), encoding="utf-8")
    count = 0
    try:
        while True:
            count += 1
            report(f"step {count}")
            time.sleep(0.01)
    except JobStopped:
        return count


def talking(report, file):
    """Say something again and again, and leave a stop to the process."""
    file.write_text(str(os.getpid()), encoding="utf-8")
    while True:
        report("still at it")
        time.sleep(0.01)


def refused(report, sentence):
    report.warn("a warning")
    raise CommandError(sentence)


def contradicted(report):
    raise StudyFileError("a.toml", [Fault(3, "stock.span", "stock.span is too long.")])


def broken(report):
    raise ZeroDivisionError("first\nsecond")


def ended(report):
    os._exit(3)


def nothing(report, *given):
    pass


def waiting(report, *given):
    """Say something again and again, whatever is given."""
    while True:
        report("searching")
        time.sleep(0.01)
