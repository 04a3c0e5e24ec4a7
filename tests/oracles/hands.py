"""What a person does at the window, by mouse and keys on what is seen there, counted.

How long a person takes for one of them is an assumption: an entry 4 s, a click 2 s (common practice of counting
keystrokes: a reached key or pointer about 1 s to 1.5 s, with a pause to think; no source). What the program computes
meanwhile is not counted.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeVar

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QAbstractButton, QCheckBox, QComboBox, QLineEdit, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

ENTRY_S, CLICK_S = 4.0, 2.0  # s; both assumed
PATIENCE_MS = 20_000  # until a widget has to be there
BOX_PX = 8  # from the left edge of a box to its middle

W = TypeVar("W", bound=QWidget)


@dataclass
class Hands:
    """What a person does, counted."""

    qtbot: QtBot
    entries: list[str] = field(default_factory=list)
    clicks: list[str] = field(default_factory=list)

    def click(self, root: QWidget, name: str) -> None:
        """Press a button with the mouse."""
        button = self.found(root, name, QAbstractButton)
        assert button.isEnabled(), f"{name} is grey"
        self.clicks.append(name)
        box = isinstance(button, QCheckBox)  # the row of one is wider than what takes a click
        place = QPoint(BOX_PX, button.height() // 2) if box else button.rect().center()
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton, pos=place)

    def choose(self, root: QWidget, name: str, data: object) -> None:
        """Open a list and click the line that stands for this: two clicks."""
        combo = self.found(root, name, QComboBox)
        row = combo.findData(data)
        assert row >= 0, f"{data} is not in the list of {name}"
        self.clicks += [f"{name}: open", f"{name}: {combo.itemText(row)}"]
        combo.showPopup()
        lines = combo.view()
        line = combo.model().index(row, combo.modelColumn())
        lines.scrollTo(line)
        place = lines.visualRect(line).center()
        self.qtbot.mouseMove(lines.viewport(), place)
        self.qtbot.mouseClick(lines.viewport(), Qt.MouseButton.LeftButton, pos=place)

    def enter(self, root: QWidget, name: str, text: str) -> None:
        """Go to a line, type over what stands there, and leave it."""
        line = self.found(root, name, QLineEdit)
        self.entries.append(name)
        line.window().activateWindow()  # a window manager does so once a list has closed; here there is none
        self.qtbot.mouseClick(line, Qt.MouseButton.LeftButton)
        self.qtbot.waitUntil(line.hasFocus, timeout=PATIENCE_MS)
        line.selectAll()
        self.qtbot.keyClicks(line, text)
        self.qtbot.keyClick(line, Qt.Key.Key_Tab)

    def found(self, root: QWidget, name: str, kind: type[W]) -> W:
        """The widget, scrolled into sight once it is laid out: a step builds its entries when it is opened."""

        def called_so() -> list[W]:
            return [w for w in root.findChildren(kind) if _name(w) == name and w.isVisible() and w.height() > 1]

        def is_there() -> None:
            assert len(called_so()) == 1, f"{name!r} is not among {sorted({_name(w) for w in root.findChildren(kind)})}"

        self.qtbot.waitUntil(is_there, timeout=PATIENCE_MS)
        (widget,) = called_so()
        _bring_into_sight(widget)
        return widget

    @property
    def seconds(self) -> float:
        """How long it takes by the assumptions."""
        return ENTRY_S * len(self.entries) + CLICK_S * len(self.clicks)

    def told(self) -> str:
        """The count for a person."""
        return (
            f"{len(self.entries)} entries, assumed {ENTRY_S:.0f} s each, and {len(self.clicks)} clicks, assumed "
            f"{CLICK_S:.0f} s each: {self.seconds:.0f} s\n"
            f"  entries: {'; '.join(self.entries)}\n  clicks: {'; '.join(self.clicks)}"
        )


def _name(widget: QWidget) -> str:
    """What a screen reader calls it: its own name, else what stands on it."""
    text = widget.text() if isinstance(widget, QAbstractButton) else ""
    return widget.accessibleName() or text.replace("&", "")


def _bring_into_sight(widget: QWidget) -> None:
    """Turn the wheel until it is seen; a person does so without a click."""
    around = widget.parentWidget()
    while around is not None:
        if isinstance(around, QScrollArea) and around.widget() is not None:
            around.ensureWidgetVisible(widget)
        around = around.parentWidget()
