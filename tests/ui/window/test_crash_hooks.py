"""A defect in a slot, on a thread or in Qt: kept, said in plain words, and the window lives on."""

from __future__ import annotations

import sys
import threading

import pytest
from PySide6.QtCore import Qt, QTimer, qWarning
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QPushButton

from ui import crashes
from ui.window import errands
from ui.window.crash_hooks import CrashHooks
from ui.window.dialogs.background import Background
from ui.window.dialogs.plain_text import PlainTextDialog

SECRET = "Jane Customer 4711"


def fails() -> None:
    raise ZeroDivisionError(SECRET)


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "crashes"


@pytest.fixture
def hooked(case, folder, qtbot):
    hooks = CrashHooks(case, folder)
    yield case
    hooks.remove()


def test_a_defect_in_a_slot_is_said_and_the_work_is_kept(hooked, tmp_path, folder, capsys, qtbot):
    button = QPushButton()
    qtbot.addWidget(button)
    button.clicked.connect(fails)
    hooked.document.edit("radiator.core_height", "half typed")
    with qtbot.captureExceptions():
        sys.excepthook, pytest_hook = hooked.findChild(CrashHooks)._raised, sys.excepthook
        try:
            button.click()
        finally:
            sys.excepthook = pytest_hook
    said = hooked.statusBar().currentMessage()
    assert said.startswith("A defect of Heatdocket: ZeroDivisionError. Unsaved work was kept.")
    assert SECRET not in said
    assert "half typed" in next((tmp_path / "unsaved").glob("*.json")).read_text(encoding="utf-8")
    assert "ZeroDivisionError" in capsys.readouterr().err
    kept = crashes.report(folder)
    assert "ZeroDivisionError in the window" in kept
    assert SECRET not in kept
    assert hooked.document.undo_name is not None  # the window works on
    hooked.document.undo()
    assert hooked.isVisible()


def test_work_that_cannot_be_kept_is_said(hooked, monkeypatch):
    monkeypatch.setattr(hooked, "keep_unsaved", lambda: False)
    hooked.findChild(CrashHooks)._say("ValueError")
    assert "could not be kept: save the case now" in hooked.statusBar().currentMessage()


def test_a_defect_on_a_thread_is_said_in_the_window_s_own(hooked, folder, qtbot, capsys):
    threading.excepthook = hooked.findChild(CrashHooks)._raised_on_thread
    thread = threading.Thread(target=fails)
    thread.start()
    thread.join()
    qtbot.waitUntil(lambda: "ZeroDivisionError" in hooked.statusBar().currentMessage())
    assert "ZeroDivisionError in a thread" in crashes.report(folder)
    assert SECRET in capsys.readouterr().err


def test_a_defect_of_work_beside_the_window_is_kept(hooked, folder, qtbot):
    failed = []
    background = Background(hooked)
    background.run(fails, lambda _: None, failed.append)
    qtbot.waitUntil(lambda: bool(failed))
    assert "ZeroDivisionError in work beside the window" in crashes.report(folder)


@pytest.mark.qt_no_exception_capture
def test_what_qt_complains_of_is_kept_without_its_words(hooked, folder):
    qWarning(f"QPixmap::load: cannot open {'/'.join(('', 'home', SECRET))}")
    qWarning(f"{SECRET} is odd")
    kept = crashes.report(folder)
    assert "Complaint of QPixmap::load" in kept
    assert "Complaint of Qt\n" in kept
    assert "test_crash_hooks" not in kept  # a test is no module of the program
    assert SECRET not in kept


def test_the_hooks_put_back_what_was_there(case, folder):
    before = sys.excepthook, threading.excepthook
    CrashHooks(case, folder).remove()
    assert (sys.excepthook, threading.excepthook) == before
    crashes.note(ValueError(), "the window")
    assert crashes.report(folder) == ""


def test_the_menu_shows_the_report_and_copies_it(hooked, folder, monkeypatch, qtbot):
    monkeypatch.setattr(crashes, "default_folder", lambda: folder)
    crashes.note(ZeroDivisionError(SECRET), "the window")
    shown = []

    def look() -> None:
        dialog = hooked.findChild(PlainTextDialog)
        dialog.copy.click()
        shown.append(dialog.text.toPlainText())
        QGuiApplication.clipboard().clear()
        qtbot.keyClick(dialog, Qt.Key.Key_Return)
        shown.append(dialog.isVisible())
        dialog.copy.click()
        dialog.reject()

    QTimer.singleShot(0, look)
    errands.show_crashes(hooked)
    assert shown[1] is False, "return closes what was only read"
    assert "ZeroDivisionError in the window" in shown[0]
    assert QGuiApplication.clipboard().text() == shown[0]
