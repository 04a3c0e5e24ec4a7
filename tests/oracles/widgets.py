"""Widgets as a screen reader finds them: by the accessible name."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QTabBar, QWidget
from pytestqt.qtbot import QtBot

from ui.window.form.panel import FormPanel

W = TypeVar("W", bound=QWidget)


def by_name(root: QWidget, name: str, kind: type[W] = QWidget) -> W:
    """The one widget under ``root`` with this accessible name. LookupError when there is none, or more than one."""
    every = root.findChildren(kind)
    found = [widget for widget in every if widget.accessibleName() == name]
    if len(found) != 1:
        near = sorted({widget.accessibleName() for widget in every if widget.accessibleName()})
        raise LookupError(f"{len(found)} widgets are called {name!r}; there are {near}")
    return found[0]


def choose_word(qtbot: QtBot, root: QWidget, name: str, word: str | None) -> QComboBox:
    """Choose a line of a list with the keyboard."""
    combo = by_name(root, name, QComboBox)
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_Home)
    while combo.currentData() != word:
        before = combo.currentIndex()
        qtbot.keyClick(combo, Qt.Key.Key_Down)
        assert combo.currentIndex() != before, f"{word} is not in the list"
    return combo


def choose_tab(tabs: QTabBar, name: str) -> None:
    """Choose the tab with this text."""
    names = [tabs.tabText(index) for index in range(tabs.count())]
    tabs.setCurrentIndex(names.index(name))


def open_sections(form: FormPanel, paths: Iterable[str]) -> None:
    """Open the sections of a form at these places."""
    for section in form.sections:
        if section.plan.path in paths:
            section.open()
