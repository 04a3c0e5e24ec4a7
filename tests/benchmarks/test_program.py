"""What a person waits for: the window from a cold start, and the check of a case.

Run once for correctness with every test run; for numbers ``python -m pytest --benchmark-enable -n 0 -k benchmark``. The
key to the paint is measured in ``tests/ui/window/test_latency.py``, the signed report in
``tests/reports/pages/test_build.py``.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.check import check

pytestmark = pytest.mark.fresh

PROJECT = Path(__file__).resolve().parents[2]

# A process of its own, from the interpreter's start to the first paint of the program's window, and its end.
UP = """
import sys
sys.path.insert(0, {project!r})
from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
from ui.window import app

class Painted(QObject):
    def eventFilter(self, watched, event):
        if event.type() is QEvent.Type.Paint and isinstance(watched.window(), QMainWindow):
            QApplication.instance().removeEventFilter(self)
            QTimer.singleShot(0, watched.window().close)
        return False

painted, real = Painted(), QApplication.exec
def exec_(*_):
    QApplication.instance().installEventFilter(painted)
    return real()
QApplication.exec = exec_
sys.exit(app.run([]))
"""


def test_the_window_is_up_from_a_cold_start(benchmark, tmp_path) -> None:
    """Budget: 2 s."""
    command = [sys.executable, "-c", UP.format(project=str(PROJECT))]

    def start() -> int:
        return subprocess.run(command, cwd=tmp_path, timeout=120, check=False).returncode

    assert benchmark.pedantic(start, rounds=7 if benchmark.enabled else 1) == 0


@pytest.mark.parametrize("name", ["van-no-heat", "track-day-car"])
def test_a_check_with_two_hundred_members(benchmark, name) -> None:
    case = resolve(read_case(worked_examples.folder() / f"{name}.heatcase.json"))
    assert isinstance(case, Case)
    found = benchmark.pedantic(check, args=(case,), kwargs={"members": 200}, rounds=7 if benchmark.enabled else 1)
    assert all(duty.holds_probability is not None for duty in found.duties)
