"""What is done again and again leaves no more behind than what is done once: no widget, no object of Python's, and of
lists and numbers nothing that Qt keeps. What a monkey finds over 20,000 steps: tests/trust/CAMPAIGN.md.
"""

from __future__ import annotations

import ctypes
import gc
import os
import subprocess
import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QLayout, QWidget
from shiboken6 import isValid

from ui.window import errands, memory, theme
from ui.window.job_book.actions import JobBookActions
from ui.window.job_book.book_dialog import ask_whether_sure
from ui.window.main_window import MainWindow
from ui.window.plain import says_yes
from ui.window.prompts import Prompts
from ui.window.rhythm import upright
from ui.window.start_page import WayIn
from ui.window.still_combo import StillCombo, StillNumber, own_sheet

FEW = 50  # objects: a line's memory of the last text and the like
LEFT_OF_ONE = 300  # bytes; a third of what Qt keeps of one, some times what the count itself is off by


def settle() -> None:
    for _ in range(3):
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QApplication.processEvents()


def test_cases_opened_and_left_leave_no_widget_and_no_object(window, executor) -> None:
    window.show()
    seen = []
    for _ in range(4):
        window.start(next(iter(WayIn)))
        settle()
        window.show_start()
        executor.held.clear()  # it keeps what was asked of it
        settle()
        gc.collect()
        seen.append((len(QApplication.allWidgets()), len(gc.get_objects())))
    before, after = seen[-2:]
    assert after[0] == before[0]
    assert after[1] - before[1] < FEW


def deleted_and_held() -> list[str]:
    """Widgets and layouts that Qt has deleted and of which Python still holds its side."""
    of_qt = [one for one in gc.get_objects() if isinstance(one, QLayout | QWidget)]
    return [type(one).__name__ for one in of_qt if not isValid(one)]


def test_a_change_of_the_look_leaves_nothing_of_a_case_with_python(window, executor) -> None:
    """Of lists, too, whose layouts are Qt's own: once Python has been handed one, it holds it for good."""
    window.start(next(iter(WayIn)))
    settle()
    gc.collect()
    before = len(deleted_and_held())
    for look in (theme.Look.DARK, theme.Look.LIGHT):
        window.set_look(look)
        window.show_start()
        settle()
        window.start(next(iter(WayIn)))
    executor.held.clear()
    window.show_start()
    settle()
    gc.collect()
    assert deleted_and_held()[before:] == []


ASKED: dict[str, Callable[[MainWindow], object]] = {
    "help": errands.show_help,
    "cautions": errands.show_cautions,
    "glossary": errands.show_glossary,
    "about": errands.show_about,
    "crashes": errands.show_crashes,
    "identity": errands.signing_identity,
    "letterhead": errands.letterhead,
    "problem sheets": errands.problem_sheets,
    "check a report": errands.check_report,
    "whom one knows": errands.whom_you_know,
    "no report yet": lambda window: Prompts().tell(window, "Title", "Words"),
    "unsaved": lambda window: Prompts().unsaved(window, "case"),
    "saved elsewhere": lambda window: Prompts().changed_outside(window, "case"),
    "yes or no": lambda window: says_yes(window, "Title", "Words"),
    "take out a customer": lambda window: ask_whether_sure(window, "A. Nobody"),
    "job book": lambda window: JobBookActions(window).job_book(),
    "screening": lambda window: JobBookActions(window).screening(),
}


@pytest.mark.parametrize("asked", ASKED)
def test_a_dialog_that_was_left_leaves_no_widget(window, asked: str) -> None:
    """What is shown above all else is left, and the window has as many widgets as before."""
    window.show()

    def leave() -> None:
        shown = QApplication.activeModalWidget()
        assert isinstance(shown, QDialog)
        left.append(shown.windowTitle())
        shown.reject()

    counts, left = [], []
    for _ in range(3):
        QTimer.singleShot(0, leave)
        ASKED[asked](window)
        settle()
        gc.collect()
        counts.append(len(window.findChildren(QWidget)))
    assert len(left) == 3
    assert counts[0] == counts[1] == counts[2]


class HeldByTheLibrary(ctypes.Structure):
    """What ``mallinfo2`` of the GNU C library tells (malloc.h)."""

    _fields_ = [
        *((name, ctypes.c_size_t) for name in ("arena", "ordblks", "smblks", "hblks", "hblkhd")),
        *((name, ctypes.c_size_t) for name in ("usmblks", "fsmblks", "uordblks", "fordblks", "keepcost")),
    ]


def held() -> int:
    """Bytes that this process holds of the C library."""
    library = ctypes.CDLL(None)
    if not hasattr(library, "mallinfo2"):
        pytest.skip("this C library does not tell what is held of it")
    library.mallinfo2.restype = HeldByTheLibrary
    told = library.mallinfo2()
    return int(told.uordblks + told.hblkhd)


def editable() -> StillCombo:
    found = StillCombo()
    found.setEditable(True)
    own_sheet(found.lineEdit())
    return found


@pytest.mark.parametrize("make", [StillCombo, StillNumber, editable])
def test_lists_and_numbers_leave_nothing_with_the_style_sheet(qtbot, make: Callable[[], QWidget]) -> None:
    """Qt 6.11 keeps some 1 kB of each of these without a sheet of its own: twice for one that can be typed into.

    Not shown: of what is painted Qt keeps pictures for a while, up to 10 MB.
    """
    many, after = 100, []
    window = QWidget()
    qtbot.addWidget(window)
    theme.apply(QApplication.instance())
    theme.dress(window)
    column = upright(window)
    for _ in range(5):
        page = QWidget()
        inside = upright(page)
        for _ in range(many):
            inside.addWidget(make())
        column.addWidget(page)
        settle()
        column.removeWidget(page)
        page.hide()
        page.deleteLater()
        settle()
        gc.collect()
        after.append(held())
    left = [(now - before) / many for before, now in pairwise(after)]
    assert min(left) < LEFT_OF_ONE  # what is kept of each is kept in every round


def test_memory_of_a_case_that_was_left_is_given_back(window, qtbot, monkeypatch) -> None:
    asked = []
    monkeypatch.setattr(memory, "_library", lambda: Library(asked))
    window.start(next(iter(WayIn)))
    assert not window.gives_back.isActive()
    window.show_start()
    assert window.gives_back.isActive()
    window.gives_back.timeout.emit()
    assert asked == [0]
    window.gives_back.stop()


class Library:
    """Stands for the C library, and notes what it was asked to keep."""

    def __init__(self, asked: list[int]) -> None:
        self.malloc_trim = lambda kept: asked.append(kept) or 1


def test_where_the_c_library_cannot_be_asked_nothing_is_given_back(monkeypatch) -> None:
    monkeypatch.setattr(memory, "_library", lambda: None)
    memory.keep_arrays_apart()
    assert not memory.give_back()


def test_an_array_lies_in_pages_of_its_own_and_goes_back_at_once() -> None:
    """In a process of its own, for the C library is told once: 100 arrays of 1 MB, every other one freed."""
    told = """
import ctypes
from test_memory import HeldByTheLibrary
from ui.window.memory import keep_arrays_apart
keep_arrays_apart()
library = ctypes.CDLL(None)
library.mallinfo2.restype = HeldByTheLibrary
bytearray(30_000_000)  # once freed, left alone the library would put all smaller ones into the heap
held = [bytearray(1_000_000) for _ in range(100)]
print(library.mallinfo2().hblkhd // 1_000_000, end=" ")
del held[::2]
print(library.mallinfo2().hblkhd // 1_000_000)
"""
    held()  # skips where the library tells nothing
    here = Path(__file__)
    path = os.pathsep.join((str(here.parents[3]), str(here.parent)))
    done = subprocess.run(
        [sys.executable, "-c", told], capture_output=True, text=True, check=True, env={**os.environ, "PYTHONPATH": path}
    )
    all_of_them, half = (int(word) for word in done.stdout.split())
    assert all_of_them >= 100
    assert half < 60
