"""The window may go at any moment: work that is under way ends, and harms nobody."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from PySide6.QtCore import QObject
from shiboken6 import delete

from ui.window.dialogs.background import Background
from ui.window.worker import Checker, ThreadExecutor

LONGEST = 10.0  # s; work here ends by itself, so that a failing test ends too
PROJECT = Path(__file__).parents[3]


@pytest.fixture
def raised(monkeypatch) -> list[object]:
    """What was raised where nobody could catch it."""
    found: list[object] = []
    monkeypatch.setattr(sys, "excepthook", lambda _kind, error, _trace: found.append(error))
    return found


def until(asked: threading.Event, stopped) -> float:
    """Work that goes on until it is told to stop, and how long it went on [s]."""
    asked.set()
    begun = time.monotonic()
    while not stopped() and time.monotonic() < begun + LONGEST:
        time.sleep(0.005)
    return time.monotonic() - begun


def test_work_whose_view_was_deleted_is_stopped_and_tells_nobody(qtbot, raised) -> None:
    begun, took, view = threading.Event(), [], QObject()

    def work(tell, stopped) -> None:
        took.append(until(begun, stopped))
        tell.share(0.5)
        tell.outcome(None)

    Background(view).run_long(work, lambda _answer: took.append(-1.0), lambda _error: took.append(-2.0))
    assert begun.wait(LONGEST)
    delete(view)
    qtbot.wait(20)
    assert raised == []
    assert len(took) == 1
    assert took[0] < LONGEST / 2


def test_a_check_whose_window_was_deleted_tells_nobody(qtbot, raised) -> None:
    begun, go, told = threading.Event(), threading.Event(), []

    def check(case, *, folder, members, progress, cancelled) -> None:
        begun.set()
        go.wait(LONGEST)
        progress(0.5)
        told.append("ended")

    window, executor = QObject(), ThreadExecutor()
    checker = Checker(check, executor)
    checker.setParent(window)
    checker.request(None)
    assert begun.wait(LONGEST)
    delete(window)
    go.set()
    delete(executor)
    qtbot.wait(20)
    assert raised == []
    assert told == ["ended"]


LEFT_IN_THE_ENGINE = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from ui.recovery import default_folder
from ui.window.main_window import MainWindow, example_files
from ui.window.settings import Settings, default_file
from ui.window.views.paper import folded

class Noted:
    "The lock of the PDF engine, which tells that somebody is in it."
    def __init__(self, lock):
        self.lock, self.taken = lock, False
    def __enter__(self):
        self.lock.acquire()
        self.taken = True
    def __exit__(self, *_):
        self.lock.release()

application = QApplication([])
window = MainWindow(Settings(default_file()), default_folder())
window.show()
window.open_example(next(path for path in example_files() if "van" in path.name))
window.workspace.side.show_view("Working")
engine = folded.ENGINE = Noted(folded.ENGINE)
look = QTimer()
look.timeout.connect(lambda: engine.taken and application.exit(0))
look.start(5)
application.exec()
sys.stdout.write("in the engine" if engine.taken else "never got there")
"""


def test_a_program_that_ends_while_pages_are_drawn_ends_well(tmp_path) -> None:
    """Nobody closed the window: the loop ended, and with Python the PDF engine, in which a thread was still at work."""
    folders = {f"XDG_{name}_HOME": str(tmp_path / name) for name in ("CONFIG", "STATE", "DATA", "CACHE")}
    done = subprocess.run(
        [sys.executable, "-c", LEFT_IN_THE_ENGINE],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
        env={**os.environ, **folders, "PYTHONPATH": str(PROJECT), "QT_QPA_PLATFORM": "offscreen"},
    )
    assert done.stdout == "in the engine"
    assert "Error" not in done.stderr
    assert done.returncode == 0
