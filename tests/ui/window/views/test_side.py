"""The results side: views are built when chosen, follow the document while in sight, and stop when they are not."""

from __future__ import annotations

import threading

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QPushButton, QScrollArea, QWidget
from widgets import by_name, choose_tab

from engcalc.errors import Cancelled
from engcalc.words.texts import shared_texts, view_texts
from ui.window.jobs.steps import VIEW_TIPS
from ui.window.main_window import example_files
from ui.window.views.side import VERDICT, VIEWS
from ui.window.views.studies.view import STUDIES
from ui.window.views.view import LongView, Question


def open_example(window, name: str) -> None:
    window.open_example(next(path for path in example_files() if path.name.startswith(name)))


@pytest.fixture
def side(window):
    open_example(window, "track-day-car")
    window.workspace.open_step("detail")
    side = window.workspace.side
    for view in side._built.values():
        view.close_view()
    side._built.clear()
    return side


def idle(view) -> bool:
    return not view.page.background.busy


def test_nothing_is_built_before_it_is_chosen(window, side, qtbot):
    assert side._built == {}
    qtbot.mouseClick(by_name(window, "View: Refill", QPushButton), Qt.MouseButton.LeftButton)
    assert list(side._built) == ["Refill"]
    assert side.view.isVisible()
    assert not side.results.isVisible()
    qtbot.mouseClick(by_name(window, "View: Verdict", QPushButton), Qt.MouseButton.LeftButton)
    assert side.results.isVisible()


def test_the_verdict_stays_in_sight_beside_every_view(side, executor):
    executor.run()
    side.show_view("Refill")
    bar = side.results.verdict
    assert bar.isVisible()
    assert bar.accessibleDescription().startswith("Not explained yet")


def test_a_view_in_sight_follows_what_is_typed_and_one_out_of_sight_does_not(window, side, qtbot):
    view = side.show_view("Studies")
    qtbot.waitUntil(lambda: idle(view))
    first = view.page.answer
    window.document.edit("airflow.fan_count", "2")
    qtbot.waitUntil(lambda: view.page.answer is not first and idle(view))
    second = view.page.answer
    assert second.margin > first.margin
    side.show_view("Verdict")
    window.document.edit("airflow.fan_count", "3")
    assert not side._pause.isActive()
    assert view.page.answer is second
    side.show_view("Studies")
    qtbot.waitUntil(lambda: view.page.answer is not second and idle(view))


def test_closing_a_case_ends_the_work_of_its_views(window, side):
    side.show_view("Studies")
    window.new_case()
    assert window.workspace is None


class Slow(LongView):
    """A view whose work waits until it is let go, and looks whether anybody still wants it."""

    def __init__(self, context) -> None:
        super().__init__(context)
        self.let_go, self.begun = threading.Event(), threading.Event()
        self.number, self.shown, self.early = 1, [], []
        self.line.setParent(self)

    def question(self):
        number, let_go, begun = self.number, self.let_go, self.begun

        def work(tell, stopped):
            tell(0.5)
            tell.early(-number)
            begun.set()
            while not let_go.wait(0.005):
                if stopped():
                    raise Cancelled("nobody waits")
            return number

        return Question((number,), work)

    def show_answer(self, answer) -> None:
        self.shown.append(answer)

    def show_early(self, answer) -> None:
        self.early.append(answer)

    def show_nothing(self) -> None:
        self.shown.append(None)


@pytest.mark.fresh
def test_long_work_is_mentioned_shows_how_far_it_is_and_can_be_stopped(show, context_of, qtbot):
    view = show(Slow(context_of("track-day-car")))
    qtbot.waitUntil(lambda: view.line.text == shared_texts.ANSWER_TO_WHAT_IS_TYPED_NOW_IS_BEING)
    assert view.line._bar.value() == 50
    qtbot.waitUntil(lambda: view.early == [-1])
    qtbot.mouseClick(next(b for b in view.findChildren(QPushButton) if b.text() == "Stop"), Qt.MouseButton.LeftButton)
    assert view.line.text == view_texts.STOPPED_EARLY
    view.refresh()
    assert not view.background.busy, "what was stopped stays so until it is wanted"
    assert view.line.text == view_texts.STOPPED_EARLY
    view.let_go.set()
    qtbot.mouseClick(
        next(b for b in view.findChildren(QPushButton) if b.text() == "Work it out"), Qt.MouseButton.LeftButton
    )
    qtbot.waitUntil(lambda: view.shown == [1])
    assert view.line.text == ""


@pytest.mark.fresh
def test_another_question_is_asked_though_the_one_before_was_stopped(show, context_of, qtbot):
    view = show(Slow(context_of("track-day-car")))
    view.stop()
    view.number = 2
    view.let_go.set()
    view.refresh()
    qtbot.waitUntil(lambda: view.shown == [2])


def test_an_answer_that_is_overtaken_is_dropped(show, context_of, qtbot):
    view = show(Slow(context_of("track-day-car")))
    assert view.begun.wait(10)
    view.number = 2
    view.refresh()
    view.let_go.set()
    qtbot.waitUntil(lambda: view.shown == [2])
    view.refresh()
    assert view.shown == [2, 2], "the same question is not worked out again"
    assert not view.background.busy


def test_a_view_out_of_sight_waits_for_nothing(show, context_of, qtbot):
    view = show(Slow(context_of("track-day-car")))
    assert view.begun.wait(10)
    view.leave()
    view.let_go.set()
    view.background.close()
    assert view.shown == []


def test_a_defect_is_said_and_does_not_end_the_window(show, context_of, qtbot):
    view = Slow(context_of("track-day-car"))
    view.question = lambda: Question((), lambda _tell, _stopped: 1 / 0)
    show(view)
    qtbot.waitUntil(lambda: "ZeroDivisionError" in view.line.text)
    assert "A defect of Heatdocket" in view.line.text


def test_copying_goes_to_the_view_in_sight(window, side, qtbot, executor):
    executor.run()
    assert side.copy_table()
    view = side.show_view("Studies")
    qtbot.waitUntil(lambda: idle(view))
    assert side.copy_picture()
    assert not side.copy_table()
    assert by_name(view, "What each change gains")


# ---- menus and readability ------------------------------------------------------------------------------------------


def test_each_step_has_its_key_and_each_view_its_place_in_the_menu(window, side):
    assert (VERDICT, *VIEWS) == tuple(VIEW_TIPS)
    view_menu = next(a.menu() for a in window.menuBar().actions() if a.text() == "&View")
    steps = view_menu.actions()[: len(window.workspace.job.steps)]
    assert [a.shortcut().toString() for a in steps] == [f"Ctrl+{n}" for n in range(1, len(steps) + 1)]
    views = next(a.menu() for a in view_menu.actions() if a.text() == "&View beside the step")
    actions = [*steps, *views.actions()]
    views.actions()[list(VIEW_TIPS).index("Refill")].trigger()
    assert side.name == "Refill"
    window.new_case()
    assert not any(a.isEnabled() for a in actions)


def clipped(root: QWidget) -> list[str]:
    """Labels and buttons in sight whose text needs more room than it has."""
    found = []
    for widget in root.findChildren(QWidget):
        if widget.isVisible() and isinstance(widget, QLabel | QAbstractButton) and widget.text():
            wanted = widget.minimumSizeHint()
            if widget.width() < wanted.width() or widget.height() < wanted.height():
                found.append(f"{type(widget).__name__} {widget.text()!r}: {widget.size()} of {wanted}")
    return found


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("name", ["Refill", "Warm-up", "Studies"])
def test_every_text_of_a_view_fits_a_small_screen(window, side, qtbot, percent, name):
    window.resize(1366, 768)  # a small notebook, in pixels
    window.set_text_size(percent)
    view = side.show_view(name)
    page = getattr(view, "page", view)
    if hasattr(page, "background"):
        qtbot.waitUntil(lambda: page.answer is not None, timeout=60_000)
    qtbot.waitUntil(lambda: not clipped(view))
    assert window.width() == 1366
    for area in view.findChildren(QScrollArea):
        if area.isVisible():
            assert area.widget().width() <= area.viewport().width(), "it scrolls sideways"


@pytest.mark.parametrize("study", list(STUDIES))
def test_every_text_of_a_study_fits_at_twice_the_size(window, side, qtbot, study, executor):
    executor.run()
    window.resize(1366, 768)
    window.set_text_size(200)
    view = side.show_view("Studies")
    choose_tab(view.tabs, study)
    page = view.page
    if hasattr(page, "background"):
        qtbot.waitUntil(lambda: page.answer is not None or not page.background.busy, timeout=120_000)
    qtbot.waitUntil(lambda: not clipped(view))
    assert window.width() == 1366


def test_every_character_of_the_views_has_a_glyph(window, side, qtbot):
    metrics = QFontMetrics(QApplication.font())
    texts = set()
    for name in ("Refill", "Warm-up", "Studies"):
        view = side.show_view(name)
        page = getattr(view, "page", view)
        if hasattr(page, "background"):
            qtbot.waitUntil(lambda page=page: page.answer is not None, timeout=60_000)
        texts |= {w.text() for w in view.findChildren(QWidget) if isinstance(w, QLabel | QAbstractButton)}
    assert len(texts) > 60
    assert {c for text in texts for c in text if c > " " and not metrics.inFontUcs4(ord(c))} == set()
