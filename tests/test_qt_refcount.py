"""PySide6 6.12.0 on CPython 3.11 loses one reference to None on every void call and at last aborts the program."""

from __future__ import annotations

import sys

from PySide6.QtWidgets import QLineEdit


def test_void_calls_lose_no_reference_to_none(qtbot):
    """On CPython 3.12 and later None is immortal (PEP 683): its count never moves and this passes whatever Qt does."""
    edit = QLineEdit()
    qtbot.addWidget(edit)
    before = sys.getrefcount(None)
    for number in range(1000):
        edit.setText(str(number))
    assert before - sys.getrefcount(None) < 50
    assert edit.text() == "999"
