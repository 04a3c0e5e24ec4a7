"""The program as it is started: what it imports before its window is up, a case on the command line, a defect."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from engcalc.case.file import write_case
from engcalc.case.text import FORMAT, CaseText

PROJECT = Path(__file__).resolve().parents[3]
HEAVY = ("CoolProp", "pyhanko", "cryptography", "pypdfium2", "engcalc.studies", "pint")

RUN = """
import sys
sys.path.insert(0, {project!r})
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
from ui.window import app

def look():
    window = next(w for w in QApplication.topLevelWidgets() if isinstance(w, QMainWindow))
    if {wanted!r} not in window.windowTitle():
        return
    print("title:", window.windowTitle())
    print("met:", *[name for name in {heavy!r} if name in sys.modules])
    timers[0].stop()
    window.close()

timers = []
real = QApplication.exec
def exec_(*_):
    timer = QTimer()
    timers.append(timer)
    timer.timeout.connect(look)
    timer.start(0)
    return real()
QApplication.exec = exec_
print("ended:", app.run({argv!r}))
"""


def run(tmp_path: Path, argv: list[str], wanted: str) -> list[str]:
    code = RUN.format(project=str(PROJECT), argv=argv, wanted=wanted, heavy=HEAVY)
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=False, cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def test_the_window_is_up_before_anything_heavy_is_imported(tmp_path):
    assert run(tmp_path, [], "Heatdocket") == ["title: Heatdocket", "met:", "ended: 0"]


def test_a_case_on_the_command_line_is_opened(tmp_path):
    write_case(CaseText({"format": FORMAT}), tmp_path / "mine.heatcase.json")
    lines = run(tmp_path, ["mine.heatcase.json"], "mine")
    assert lines[0] == "title: mine[*] \u2013 Heatdocket"
    met = set(lines[1].split()[1:])
    assert not met & {"CoolProp", "pyhanko"}
