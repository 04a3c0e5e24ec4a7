"""A window in a folder of its own, with answers to its questions and an executor that the test lets run."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from widgets import by_name

from ui.window import theme
from ui.window.main_window import MainWindow
from ui.window.menus import Menus
from ui.window.prompts import Prompts, SavedElsewhere, Unsaved
from ui.window.settings import Settings
from ui.window.start_page import WayIn
from ui.window.theme import Look
from ui.window.worker import Answer, Deliver, Work

NOON = datetime(2031, 5, 6, 12, 0, 0)


class HeldExecutor:
    """Holds all work until the test runs it, in whatever order."""

    def __init__(self) -> None:
        self.held: list[tuple[Work, Deliver]] = []

    def submit(self, work: Work, deliver: Deliver) -> None:
        self.held.append((work, deliver))

    def close(self) -> None:
        self.held.clear()

    def answers(self) -> list[tuple[Answer, Deliver]]:
        """Compute everything held, deliver nothing."""
        held, self.held = self.held, []
        return [(work(), deliver) for work, deliver in held]

    def run(self) -> None:
        """Compute and deliver everything held."""
        for answer, deliver in self.answers():
            deliver(answer)


class Answers(Prompts):
    """Answers the window's questions and keeps what it was told."""

    def __init__(self) -> None:
        self.opens: Path | None = None
        self.saves: Path | None = None
        self.answer = Unsaved.DISCARD
        self.outside = SavedElsewhere.CANCEL
        self.asked: list[str] = []
        self.told: list[str] = []

    def open_name(self, *_: object) -> Path | None:
        return self.opens

    def save_name(self, *_: object) -> Path | None:
        return self.saves

    def unsaved(self, _parent: QWidget, name: str) -> Unsaved:
        self.asked.append(name)
        return self.answer

    def changed_outside(self, _parent: QWidget, name: str) -> SavedElsewhere:
        self.asked.append(name)
        return self.outside

    def tell(self, _parent: QWidget, _title: str, text: str) -> None:
        self.told.append(text)


@pytest.fixture
def prompts() -> Answers:
    return Answers()


@pytest.fixture
def executor() -> HeldExecutor:
    return HeldExecutor()


@pytest.fixture
def qtbot(qtbot: QtBot) -> QtBot:
    """Qt's hands and eyes; a part that is shown by itself wears the program's sheet, as it does in a window."""
    keep = qtbot.addWidget

    def add_dressed(widget: QWidget, **options: object) -> None:
        if widget.parentWidget() is None:
            theme.dress(widget)
        keep(widget, **options)

    qtbot.addWidget = add_dressed
    return qtbot


@pytest.fixture
def looked() -> Iterator[None]:
    """The program's own look during a test, the one before it afterwards."""
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    font, palette = application.font(), application.palette()
    theme.apply(application, Look.LIGHT)
    yield
    application.setFont(font)
    application.setPalette(palette)


@pytest.fixture
def make_window(qtbot, looked, tmp_path, prompts, executor) -> Callable[..., MainWindow]:
    def make(**options: object) -> MainWindow:
        arguments = {"executor": executor, "prompts": prompts, "now": lambda: NOON, **options}
        window = MainWindow(Settings(tmp_path / "settings" / "window.ini"), tmp_path / "unsaved", **arguments)
        Menus(window)
        window.settings.look = Look.LIGHT
        qtbot.addWidget(window)
        window.resize(1280, 900)
        window.show()
        qtbot.waitExposed(window)
        return window

    return make


@pytest.fixture
def window(make_window) -> MainWindow:
    return make_window()


@pytest.fixture
def case(window) -> MainWindow:
    """A window with a new case, begun by a complaint, the whole form in sight."""
    window.start(WayIn.COMPLAINT)
    window.workspace.open_step("detail")
    return window


@pytest.fixture
def keys(qtbot) -> Callable[..., QWidget]:
    """Type into the widget with this accessible name, as a person does: go there, select all, type."""

    def type_into(root: QWidget, name: str, text: str, leave: bool = True) -> QWidget:
        widget = by_name(root, name)
        widget.setFocus()
        qtbot.keyClick(widget, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        if text == "":
            qtbot.keyClick(widget, Qt.Key.Key_Delete)
        qtbot.keyClicks(widget, text)
        if leave:
            qtbot.keyClick(widget, Qt.Key.Key_Tab)
        return widget

    return type_into
