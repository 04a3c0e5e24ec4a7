"""The steps in the window: opened by mouse and keyboard, named for a screen reader, and still under the pointer."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QTabBar,
    QTextBrowser,
    QWidget,
)
from widgets import by_name

from engcalc.case.file import write_case
from engcalc.case.text import FORMAT, CaseText
from ui.window import errands
from ui.window.jobs.rail import StepButton, StepMark
from ui.window.jobs.steps import JOBS, VIEW_TIPS
from ui.window.main_window import MainWindow
from ui.window.start_page import WayIn
from ui.window.views.side import VERDICT, VIEWS

NOTEBOOK = (1366, 768)  # a small screen, in pixels
WAYS = {WayIn.COMPLAINT: JOBS[0], WayIn.RADIATOR: JOBS[1], WayIn.LESSON: JOBS[2]}
STEPS = [(way, number) for way, job in WAYS.items() for number in range(1, len(job.steps) + 1)]
IDS = [f"{way.name.lower()}-{WAYS[way].steps[number - 1].key}" for way, number in STEPS]


def rail_button(window: MainWindow, number: int) -> StepButton:
    return window.workspace.rail.buttons[number - 1]


@pytest.fixture
def at_work(window, qtbot) -> MainWindow:
    """A window of a small screen with a complaint begun."""
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    window.resize(*NOTEBOOK)
    window.start(WayIn.COMPLAINT)
    qtbot.waitUntil(lambda: rail_button(window, 7).height() > 20)
    return window


# -- opening ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("way", "number"), STEPS, ids=IDS)
def test_every_step_opens_by_mouse_with_what_belongs_to_it(window, qtbot, way, number):
    window.start(way)
    step = WAYS[way].steps[number - 1]
    button = rail_button(window, number)
    qtbot.waitUntil(lambda: button.height() > 20)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    work = window.workspace
    assert work.step is step
    assert button.isChecked()
    assert work.side.name == step.opens_at(work.standing)
    assert work.side.isVisible()
    assert work.form.isVisible() is (step.form is not None or step.whole_form)
    assert by_name(window, f"Step {number}, {step.title}") is button
    assert button.toolTip().startswith(step.tip)
    assert button.accessibleDescription().startswith(button.said)


@pytest.mark.parametrize("way", list(WayIn))
def test_every_step_opens_by_its_digit_and_takes_the_keyboard(window, qtbot, way):
    window.start(way)
    window.activateWindow()
    for number, step in enumerate(WAYS[way].steps, 1):
        qtbot.keyClick(window, Qt.Key(Qt.Key.Key_0 + number), Qt.KeyboardModifier.ControlModifier)
        assert window.workspace.step is step
        inside = window.workspace.form if window.workspace.form.isVisible() else window.workspace.rail
        assert inside.isAncestorOf(window.focusWidget())


def test_the_arrow_keys_move_in_the_rail_and_space_opens(at_work, qtbot):
    rail_button(at_work, 1).setFocus()
    for _ in range(3):
        qtbot.keyClick(at_work.focusWidget(), Qt.Key.Key_Down)
    assert at_work.focusWidget() is rail_button(at_work, 4)
    assert at_work.workspace.step.key == "complaint", "moving is not opening"
    qtbot.keyClick(at_work.focusWidget(), Qt.Key.Key_Space)
    assert at_work.workspace.step.key == "repair"
    qtbot.keyClick(at_work.focusWidget(), Qt.Key.Key_End)
    assert at_work.focusWidget() is rail_button(at_work, 7)
    qtbot.keyClick(at_work.focusWidget(), Qt.Key.Key_Home)
    qtbot.keyClick(at_work.focusWidget(), Qt.Key.Key_Up)
    assert at_work.focusWidget() is rail_button(at_work, 1)


def test_f6_goes_round_rail_entries_and_view(at_work, executor, qtbot):
    executor.run()
    work = at_work.workspace
    work.rail.go_to_rail()
    for region in (work.form, work.side, work.rail):
        qtbot.keyClick(at_work, Qt.Key.Key_F6)
        assert region.isAncestorOf(at_work.focusWidget()), region


def test_beside_one_entry_the_view_has_the_width_and_no_line_is_cut(at_work, executor, qtbot):
    """Refill was cut at its right edge on a notebook, with half the width empty beneath “What was done”."""
    executor.run()
    work = at_work.workspace
    work.open_step("readings")
    work.splitter.setSizes([500, 500])  # as a person drags it
    dragged = work.splitter.sizes()
    work.open_step("repair")
    qtbot.waitUntil(work.side.view.isVisible)
    executor.run()

    def is_whole() -> bool:
        scrolled = [area for area in work.side.view.findChildren(QScrollArea) if area.isVisible()]
        return bool(scrolled) and all(area.horizontalScrollBar().maximum() == 0 for area in scrolled)

    qtbot.waitUntil(is_whole)
    assert work.splitter.sizes()[0] >= work.form.minimumWidth()
    work.open_step("proof")
    assert work.splitter.sizes() == dragged, "what was dragged stays"


def test_the_views_of_a_step_are_those_that_the_window_has():
    there = {VERDICT, *VIEWS}
    assert all(set(step.views) <= there for job in JOBS for step in job.steps)
    assert set(JOBS[0].step("detail").views) == there, "every view stands beside every detail"


def test_a_view_out_of_the_menu_stands_beside_the_entries_of_the_step(at_work, qtbot):
    errands.show_view(at_work, "Studies")
    assert at_work.workspace.side.name == "Studies"
    assert at_work.workspace.step.key == "complaint"
    assert at_work.workspace.form.isVisible()
    qtbot.mouseClick(by_name(at_work, "View: Verdict", QPushButton), Qt.MouseButton.LeftButton)
    assert at_work.workspace.side.name == VERDICT


def test_another_reason_gives_another_job_and_the_menu_follows(at_work):
    at_work.document.edit("job.reason", "sizing")
    assert at_work.workspace.step.key == "vehicle"
    view = next(a.menu() for a in at_work.menuBar().actions() if a.text() == "&View")
    assert [a.text() for a in view.actions()[:3]] == ["&1 Vehicle", "&2 Duties", "&3 Parts"]
    at_work.document.undo()
    assert at_work.workspace.step.key == "complaint"


def test_a_case_opens_where_help_is_wanted_most(window, tmp_path):
    path = tmp_path / "begun.heatcase.json"
    tree = {"format": FORMAT, "job": {"reason": "no heat"}, "vehicle": {"class": "delivery van"}}
    write_case(CaseText(tree), path)
    window.open_path(path)
    assert window.workspace.step.key == "readings"
    assert rail_button(window, 2).said.startswith(StepMark.NEXT.word)
    assert rail_button(window, 1).said == f"{StepMark.DONE.word} · no heat, delivery van"


# -- going to a field ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "value", "step", "name"),
    [
        ("evidence.before.ambient", "warm", "readings", "Before the repair: Outside temperature"),
        ("evidence.after.ambient", "warm", "proof", "After the repair: Outside temperature"),
        ("radiator.core_height", "tall", "detail", "Radiator: Core height"),
    ],
)
def test_what_is_to_mend_leads_to_its_step_and_marks_it(at_work, path, value, step, name):
    at_work.document.edit(path, value)
    work = at_work.workspace
    number = [one.key for one in work.job.steps].index(step) + 1
    if step != "detail":
        assert rail_button(at_work, number).said == f"{StepMark.WRONG.word} · 1"
    work.form.go_to(path)
    assert work.step.key == step
    assert at_work.focusWidget() is by_name(at_work, name, QLineEdit)


def test_an_export_is_noted_on_the_rail(at_work):
    at_work.workspace.note_export(at_work.document.text)
    assert rail_button(at_work, 6).said == "done · exported"
    at_work.document.edit("job.customer", "A. Driver")
    assert rail_button(at_work, 6).said == "open · changed since the export"


# -- in sight, and still ------------------------------------------------------------------------------------------


def in_sight(window: MainWindow, widget: QWidget) -> bool:
    """Whether all of a widget is on the page without scrolling."""
    area = window.workspace.form.area.viewport()
    corner = widget.mapTo(area, QPoint(0, 0))
    return widget.isVisible() and corner.y() >= 0 and corner.y() + widget.height() <= area.height()


def test_all_six_entries_are_in_sight_on_a_small_screen(at_work, executor, qtbot):
    """At 1366 x 768 pixels, each in its step."""
    executor.run()
    work = at_work.workspace
    seen: set[str] = set()
    for key in ("complaint", "readings"):
        work.open_step(key)
        shown = [field for field in work.form.first.fields() if field.isVisible()]
        qtbot.waitUntil(lambda shown=shown: all(in_sight(at_work, field) for field in shown))
        seen |= {field.label.text() for field in shown}
    assert {text[0] for text in seen if text[0].isdigit()} == set("123456")


def test_the_answer_is_in_sight_in_every_step(at_work):
    for step in at_work.workspace.job.steps:
        at_work.workspace.open_step(step.key)
        bar = at_work.workspace.results.verdict
        assert bar.isVisible()
        assert bar.width() > 0.95 * at_work.width()


def places(window: MainWindow) -> dict[str, QPoint]:
    """Where each entry that is in sight stands in the window."""
    fields = [field for field in window.workspace.form.binding.fields() if field.isVisible()]
    return {field.name: field.editor.mapTo(window, QPoint(0, 0)) for field in fields}


@pytest.mark.parametrize("typed", ["9", "9 kg", "90 furlongs of something that is much longer than the line"])
def test_a_faulty_entry_moves_nothing(at_work, executor, keys, qtbot, typed):
    at_work.workspace.open_step("readings")
    executor.run()
    qtbot.wait(50)
    before = places(at_work)
    line = keys(at_work, "Before the repair: Outside temperature", typed, leave=False)
    qtbot.wait(50)
    assert places(at_work) == before
    assert len(before) > 5
    if typed != "9":
        field = next(f for f in at_work.workspace.form.binding.fields() if f.editor is line)
        assert field.error.isVisible()
        assert field.error.height() == field.hint.height_at(field.error.width())
        assert field.error.text() in by_name(at_work, "Help for the field", QLabel).text()


def test_the_wheel_changes_nothing(at_work, executor):
    executor.run()
    at_work.workspace.open_step("detail")
    before, turned = at_work.document.text, 0
    for widget in at_work.findChildren(QWidget):
        if widget.isVisible() and isinstance(widget, QComboBox | QTabBar):
            at = widget.currentIndex()
            turn(widget)
            assert widget.currentIndex() == at
            turned += 1
    assert turned > 5
    assert at_work.document.text == before


def test_what_turns_by_the_wheel_leaves_it_to_the_page():
    """Lists, tabs, sliders and number boxes: each kind is made in one place, which gives the wheel back."""
    kinds = ("QComboBox(", "QTabBar(", "QSlider(", "QSpinBox(", "QDoubleSpinBox(", "QDial(", "QDateEdit(")
    files = list((Path(errands.__file__).parent).rglob("*.py"))
    lines = [line.strip() for path in files for line in path.read_text("utf-8").splitlines()]
    assert [line for line in lines if any(kind in line for kind in kinds)] == []
    assert len(files) > 80


def test_a_step_opened_by_mouse_waits_for_its_first_entry(at_work, qtbot):
    qtbot.mouseClick(rail_button(at_work, 2), Qt.MouseButton.LeftButton)
    assert at_work.focusWidget() is by_name(at_work, "Before the repair: Outside temperature", QLineEdit)
    qtbot.mouseClick(rail_button(at_work, 3), Qt.MouseButton.LeftButton)
    assert at_work.focusWidget() is rail_button(at_work, 3), "a step without entries keeps the keyboard in the rail"


def test_help_of_a_field_goes_with_its_step(at_work, qtbot):
    help_line = by_name(at_work, "Help for the field", QLabel)
    qtbot.mouseClick(rail_button(at_work, 2), Qt.MouseButton.LeftButton)
    assert help_line.text().startswith("Before the repair: Outside temperature")
    at_work.workspace.open_step("answer")
    at_work.workspace.open_step("repair")
    assert help_line.text() == ""


def test_hint_and_fault_never_stand_both(at_work, executor, keys):
    at_work.workspace.open_step("readings")
    executor.run()
    field = next(f for f in at_work.workspace.form.first.fields() if f.path == "evidence.before.ambient")
    both: list[bool] = []
    shown = field.error.setVisible

    def watched(visible: bool) -> None:
        shown(visible)
        both.append(field.hint.isVisible() and field.error.isVisible())

    field.error.setVisible = watched
    keys(at_work, field.name, "9 kg", leave=False)
    assert field.error.isVisible()
    keys(at_work, field.name, "9 degC", leave=False)
    assert field.hint.isVisible()
    assert both, "the fault was shown"
    assert not any(both), "Qt lays out at once what comes into sight: both would push the form down"


def test_every_view_says_what_it_shows(at_work):
    at_work.workspace.open_step("detail")
    buttons = [b for b in at_work.workspace.stage.findChildren(QPushButton) if b.property("view") in VIEW_TIPS]
    assert {b.property("view"): b.toolTip() for b in buttons if b.isVisible()} == dict(VIEW_TIPS)
    view = next(a.menu() for a in at_work.menuBar().actions() if a.text() == "&View")
    views = next(a.menu() for a in view.actions() if a.text() == "&View beside the step")
    assert [a.toolTip() for a in views.actions()] == list(VIEW_TIPS.values())
    assert views.toolTipsVisible()


@pytest.mark.parametrize("percent", [100, 200])
def test_views_that_have_no_room_as_buttons_are_a_list(at_work, executor, qtbot, percent):
    """Thirteen buttons were cut to two letters each at twice the size of text."""
    at_work.set_text_size(percent)
    executor.run()
    at_work.workspace.open_step("detail")
    qtbot.wait(20)
    stage = at_work.workspace.stage
    buttons = [b for b in stage.findChildren(QPushButton) if b.property("view") and b.isVisible()]
    assert all(b.width() >= b.sizeHint().width() for b in buttons), "none is cut"
    assert stage.list.isVisible() is (percent == 200) is not bool(buttons)
    if percent == 200:
        stage.list.setCurrentText("Refill")
        stage.list.textActivated.emit("Refill")
        assert at_work.workspace.side.name == "Refill"
        assert at_work.workspace.side.isVisible()


def turn(widget: QWidget) -> None:
    middle = widget.rect().center()
    none = Qt.KeyboardModifier.NoModifier
    for delta in (-120, 120):
        event = QWheelEvent(
            middle,
            widget.mapToGlobal(middle),
            QPoint(),
            QPoint(0, delta),
            Qt.MouseButton.NoButton,
            none,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(widget, event)


@pytest.mark.parametrize("percent", [100, 150, 200])
def test_a_step_fits_a_small_screen_at_every_size_of_text(at_work, executor, qtbot, percent):
    at_work.set_text_size(percent)
    executor.run()
    for step in at_work.workspace.job.steps[:5]:
        at_work.workspace.open_step(step.key)
        qtbot.wait(20)
        assert at_work.width() == NOTEBOOK[0]
        both = at_work.workspace.form.isVisible() and at_work.workspace.side.isVisible()
        assert both is (step.form is not None and percent < 200)


def test_entries_and_view_take_turns_where_both_do_not_fit(at_work, qtbot):
    at_work.set_text_size(200)
    work = at_work.workspace
    qtbot.waitUntil(lambda: not work.side.isVisible())
    qtbot.mouseClick(by_name(at_work, "View: Verdict", QPushButton), Qt.MouseButton.LeftButton)
    assert work.side.isVisible()
    assert not work.form.isVisible()
    qtbot.mouseClick(by_name(at_work, "View: Entries", QPushButton), Qt.MouseButton.LeftButton)
    assert work.form.isVisible()


# -- help ---------------------------------------------------------------------------------------------------------


def test_f1_helps_with_the_step_that_is_open(window, monkeypatch):
    shown: list[tuple[str, str]] = []

    def read(dialog: errands.ReadingDialog) -> int:
        text = dialog.findChild(QTextBrowser).toPlainText()
        shown.append((dialog.windowTitle(), text))
        return 0

    monkeypatch.setattr(errands.ReadingDialog, "exec", read)
    help_action = next(
        a for m in window.menuBar().actions() for a in m.menu().actions() if a.shortcut().toString() == "F1"
    )
    help_action.trigger()
    window.start(WayIn.COMPLAINT)
    window.workspace.open_step("proof")
    help_action.trigger()
    assert [title for title, _ in shown] == ["Help: Start", "Help: Proof"]
    assert "Run the vehicle the same way again" in shown[1][1]
    assert "The view at hand: Before/after" in shown[1][1]
    assert VIEW_TIPS["Before/after"] in shown[1][1]


def test_a_log_dropped_on_proof_is_of_after_the_repair(at_work, tmp_path, qtbot):
    log = tmp_path / "after.csv"
    log.write_text("time_s,coolant_degC\n" + "".join(f"{60 * i},{20 + 2 * i}\n" for i in range(20)), encoding="utf-8")
    at_work.workspace.open_step("proof")
    at_work.workspace.import_log(Path(log))
    qtbot.waitUntil(lambda: at_work.document.text.get("evidence.after.log") is not None, timeout=20_000)
    assert at_work.document.text.get("evidence.before") is None
