"""The tests' own machinery: folders of their own, also for subprocesses, and leaks that are caught."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

LEAKS = """
import threading
import pytest
from PySide6.QtCore import QThread, QTimer
from PySide6.QtWidgets import QWidget

kept = []

def test_window(qtbot):
    kept.append(QWidget())
    kept[-1].show()

def test_timer(qtbot):
    kept.append(QTimer())
    kept[-1].start(100000)

def test_qt_thread(qtbot):
    kept.append(QThread())
    kept[-1].start()

def test_thread(qtbot):
    done = threading.Event()
    kept.append(done)
    threading.Thread(target=done.wait, name="left").start()

def test_clean(qtbot):
    widget = QWidget()
    qtbot.addWidget(widget)
    widget.show()
    kept[2].quit()
    kept[2].wait()
    kept[3].set()
"""


def test_home_is_not_the_persons_own():
    home = Path.home()
    assert home.parent.name.startswith("heatdocket-tests-")
    assert stat.S_IMODE(Path(os.environ["XDG_RUNTIME_DIR"]).stat().st_mode) == 0o700
    code = "import pathlib, platformdirs as p; print(pathlib.Path.home(), p.user_config_dir('heatdocket'))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(home), str(home.parent / "config" / "heatdocket")]


def test_a_window_timer_or_thread_left_behind_fails_its_test(tmp_path):
    own = Path(__file__).with_name("conftest.py")
    (tmp_path / "conftest.py").write_text(own.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "test_leaks.py").write_text(LEAKS, encoding="utf-8")
    needed = os.pathsep.join([str(own.parents[1]), str(own.parent / "oracles")])
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-rE", "--rootdir", str(tmp_path), str(tmp_path)],
        env={**os.environ, "PYTHONPATH": needed},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "5 passed, 4 errors" in done.stdout, done.stdout + done.stderr
    for words in ("window", "timer", "thread <PySide6", "thread left"):
        assert f"left behind: {words}" in done.stdout
