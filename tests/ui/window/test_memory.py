"""What is done again and again leaves no more behind than what is done once: no widget, no object of Python's.

What Qt itself keeps is not looked at here: see the notes on memory in tests/trust/CAMPAIGN.md.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from ui.window.start_page import WayIn

FEW = 50  # objects: a line's memory of the last text and the like


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
