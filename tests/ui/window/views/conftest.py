"""Views of the examples in a window of their own; their work really runs on a thread."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox

import worked_examples
from engcalc.case.file import SUFFIX, read_case
from ui.document import Document
from ui.window import theme
from ui.window.settings import Settings
from ui.window.views.view import Context, LongView, View

PATIENCE_MS = 60_000


@pytest.fixture
def document_of() -> Callable[[str], Document]:
    """The document of an example, opened as a new case."""

    def read(name: str) -> Document:
        path = worked_examples.folder() / f"{name}{SUFFIX}"
        return Document(read_case(path), beside=path.parent)

    return read


@pytest.fixture
def context_of(document_of, tmp_path) -> Callable[[str], Context]:
    return lambda name: Context(document_of(name), Settings(tmp_path / "window.ini"))


@pytest.fixture
def show(qtbot, qapp) -> Callable[[View], View]:
    """Show a view and refresh it; afterwards its work is ended."""
    theme.apply(qapp, theme.Look.LIGHT)
    shown: list[View] = []

    def on_screen(view: View) -> View:
        qtbot.addWidget(view)
        view.resize(900, 800)
        view.show()
        view.activateWindow()
        with qtbot.waitActive(view):
            pass
        view.refresh()
        shown.append(view)
        return view

    yield on_screen
    for view in shown:
        view.close_view()
        view.hide()


@pytest.fixture
def answered(qtbot) -> Callable[[View], object]:
    """Wait for a view's answer and return it."""

    def wait(view) -> object:
        qtbot.waitUntil(lambda: not view.background.busy, timeout=PATIENCE_MS)
        return view.answer

    return wait


@pytest.fixture
def asked_first() -> Callable[[LongView], LongView]:
    """Put a page's question to the engine before the page is shown.

    What is kept of it answers the page then: what is waited for is the window alone, however busy the machine.
    """

    def ask(page: LongView) -> LongView:
        question = page.question()
        assert not isinstance(question, str), question
        question.work(lambda *_told: None, lambda: False)
        return page

    return ask


@pytest.fixture
def choose(qtbot) -> Callable[[QComboBox, str], None]:
    """Choose an entry of a list by the keyboard."""

    def by_keys(combo: QComboBox, text: str) -> None:
        combo.setFocus()
        at = combo.findText(text)
        assert at >= 0, [combo.itemText(i) for i in range(combo.count())]
        qtbot.keyClick(combo, Qt.Key.Key_Home)
        while combo.currentIndex() != at:
            before = combo.currentIndex()
            qtbot.keyClick(combo, Qt.Key.Key_Down)
            assert combo.currentIndex() > before

    return by_keys
