"""The progress line on a screen and in a log, and what it makes of pip's words."""

from __future__ import annotations

import os
import pty
import subprocess
import sys

from app.door.building import PipListener
from app.door.progress import Progress
from tests.door.house import ROOT

_STEP = """\
from app.door.progress import Progress
with Progress("Fetching") as progress:
    progress.detail = "first"
    progress.show()
    progress.show()
    progress.detail = "second"
    progress.show()
"""


def _on_a_screen() -> str:
    screen, end = pty.openpty()
    subprocess.run([sys.executable, "-c", _STEP], cwd=ROOT, stdout=end, check=True, timeout=30)
    os.close(end)
    shown = os.read(screen, 65536).decode()
    os.close(screen)
    return shown


def test_on_a_screen_one_line_is_rewritten() -> None:
    shown = _on_a_screen().split("\r\x1b[K")
    assert shown == [
        "",
        "Fetching: 0 s",
        "Fetching: 0 s, first",
        "Fetching: 0 s, second",
        "Fetching: done in 0 s\r\n",
    ]


def test_in_a_log_there_is_a_line_at_the_beginning_and_one_at_the_end() -> None:
    done = subprocess.run(
        [sys.executable, "-c", _STEP], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout == "Fetching …\nFetching: done in 0 s\n"


def test_what_pip_says_becomes_a_few_words() -> None:
    progress = Progress("Installing")
    listener = PipListener(progress)
    said = [
        ("Collecting flask<3.2,>=3.1 (from yardmark==0.1.0)", "package 1: flask"),
        ("Collecting flask-wtf<1.4 (from yardmark==0.1.0)", "package 2: flask-wtf"),
        ("Using cached flask-3.1.3-py3-none-any.whl", "package 2: flask-wtf"),
        (
            "WARNING: Retrying (Retry(total=4, connect=None)) after connection broken",
            "the package index does not answer, trying again",
        ),
        ("Installing collected packages: click, flask, flask-wtf", "unpacking 3 packages"),
    ]
    for line, detail in said:
        listener.heard(line)
        assert progress.detail == detail
