"""The complaint by buttons, and readings in words by a press: with the keyboard, in three states, in sight."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit, QPushButton, QWidget
from widgets import by_name, choose_word, open_sections

from engcalc.case.declare import DetailLevel
from engcalc.case.reading_words import WORDS
from engcalc.case.sections.job import TOLD_SIGNS
from engcalc.causes.history import LOST_AT, ONSETS, WORKS
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.told_by_customer import TOO_HOT_CAUTION
from ui.window.form.fields import Field
from ui.window.form.told import GROUPS
from ui.window.main_window import MainWindow

SPOT = "evidence.before.spots[0]"


def press(qtbot, root: QWidget, name: str) -> QPushButton:
    """Press a button by the keyboard."""
    button = by_name(root, name, QPushButton)
    button.setFocus()
    qtbot.keyClick(button, Qt.Key.Key_Space)
    return button


def field_of(widget: QWidget) -> Field:
    while not isinstance(widget, Field):
        widget = widget.parentWidget()
    return widget


def test_every_sign_and_every_word_has_its_button(case: MainWindow) -> None:
    assert {sign for _, signs in GROUPS for sign in signs} == set(TOLD_SIGNS)
    for meaning in TOLD_SIGNS.values():
        assert by_name(case, f"Told: {meaning}", QPushButton).isVisible()
    lists = (("Where coolant is lost", LOST_AT), ("How it came on", ONSETS), ("After which work", WORKS))
    for label, words in lists:
        for word in words:
            assert by_name(case, f"The job: {label}: {word}", QPushButton).isVisible()


def test_a_sign_that_holds_for_a_normal_gauge_alone_says_so_on_its_button(case: MainWindow) -> None:
    """Pressed for a gauge that stays low it would point to the heater, away from the thermostat."""
    of_a_normal_gauge = [meaning for meaning in TOLD_SIGNS.values() if "gauge is normal" in meaning]
    assert len(of_a_normal_gauge) == 2
    for meaning in of_a_normal_gauge:
        assert "gauge normal" in by_name(case, f"Told: {meaning}", QPushButton).text()
    low = by_name(case, f"Told: {TOLD_SIGNS['heater_cold_gauge_low']}", QPushButton)
    assert low.text() == "heater cold or lukewarm, gauge low"


def test_a_sign_is_told_told_not_to_be_so_or_was_not_asked(case: MainWindow, qtbot) -> None:
    name = f"Told: {TOLD_SIGNS['hot_at_idle']}"
    seen = []
    for _ in range(3):
        button = press(qtbot, case, name)
        seen.append((case.document.text.get("job"), button.isChecked(), button.accessibleDescription(), button.text()))
    assert seen == [
        ({"told": {"hot_at_idle": True}}, True, "yes", "\u2713 standing"),
        ({"told": {"hot_at_idle": False}}, True, "no", "\u2717 standing"),
        (None, False, "not asked", "standing"),
    ]
    case.document.undo()
    assert case.document.text.get("job.told") == {"hot_at_idle": False}
    assert by_name(case, name, QPushButton).accessibleDescription() == "no"


def test_a_word_of_a_list_is_taken_back_by_a_second_press(case: MainWindow, qtbot) -> None:
    press(qtbot, case, "The job: How it came on: sudden")
    press(qtbot, case, "The job: After which work: pump")
    other = press(qtbot, case, "The job: After which work: none")
    assert case.document.text.get("job") == {"onset": "sudden", "after_work": "none"}
    assert other.isChecked()
    assert not by_name(case, "The job: After which work: pump", QPushButton).isChecked()
    press(qtbot, case, "The job: How it came on: sudden")
    assert case.document.text.typed("job.onset") == ""


def test_tab_goes_to_a_row_and_the_arrow_keys_along_it(case: MainWindow, qtbot) -> None:
    first, second = (
        by_name(case, f"Told: {TOLD_SIGNS[sign]}", QPushButton) for sign in ("hot_at_idle", "hot_at_speed")
    )
    first.setFocus()
    qtbot.keyClick(first, Qt.Key.Key_Left)
    assert case.focusWidget() is first
    qtbot.keyClick(first, Qt.Key.Key_Right)
    assert case.focusWidget() is second
    qtbot.keyClick(second, Qt.Key.Key_Left)
    assert case.focusWidget() is first
    assert second.focusPolicy() is Qt.FocusPolicy.ClickFocus


def test_the_reason_that_follows_stands_in_its_list(case: MainWindow, qtbot) -> None:
    press(qtbot, case, f"Told: {TOLD_SIGNS['hot_at_idle']}")
    combo = by_name(case, "The job: Why the vehicle is here", QComboBox)
    assert combo.currentText() == "not stated: hot at idle"


def test_nobody_asks_for_a_complaint_where_parts_are_to_be_chosen(case: MainWindow, qtbot) -> None:
    choose_word(qtbot, case, "The job: Why the vehicle is here", "sizing")
    assert not by_name(case, f"Told: {TOLD_SIGNS['steam']}", QPushButton).isVisible()


def test_a_dash_gauge_is_read_by_a_press(case: MainWindow, qtbot) -> None:
    choose_word(qtbot, case, "Before the repair: Coolant read with", "dash_gauge")
    button = press(qtbot, case, "Before the repair: Coolant reading: quarter")
    assert case.document.text.typed(f"{SPOT}.value") == "quarter"
    assert button.isChecked()
    line = by_name(case, "Before the repair: Coolant reading", QLineEdit)
    assert line.text() == "quarter"
    assert not field_of(line).faults
    choose_word(qtbot, case, "Before the repair: Coolant read with", "scan_tool")
    assert [f.path for f in field_of(line).faults] == [f"{SPOT}.value"]  # a scan tool reads no words
    assert not [b for b in case.findChildren(QPushButton) if b.accessibleName().endswith("reading: quarter")]


@pytest.mark.parametrize(("typed", "word"), [("1/4", "quarter"), ("middle", "middle"), ("3/4", "three quarters")])
def test_a_gauge_is_typed_in_quarters_too(case: MainWindow, keys, qtbot, typed: str, word: str) -> None:
    choose_word(qtbot, case, "Before the repair: Coolant read with", "dash_gauge")
    keys(case, "Before the repair: Coolant reading", typed)
    assert case.document.text.typed(f"{SPOT}.value") == typed  # as typed: no unit is put behind a word
    assert by_name(case, f"Before the repair: Coolant reading: {word}", QPushButton).isChecked()
    assert not case.document.faults


def test_what_is_too_hot_to_hold_shows_its_caution_at_once(case: MainWindow, qtbot) -> None:
    case.document.put("evidence.before.spots", [{"what": "upper_hose", "instrument": "hand", "value": "hot"}])
    form = case.workspace.form
    form.set_depth(DetailLevel.DETAIL)
    open_sections(form, ["evidence.before"])
    name = next(
        b.accessibleName()
        for b in form.findChildren(QPushButton)
        if b.accessibleName().endswith(": too hot to hold") and b.isVisibleTo(form)
    )
    button = by_name(form, name, QPushButton)
    field = field_of(button)
    assert (field.hint.text(), field.hint.property("tone")) == ("44 to 58 °C", "muted")
    press(qtbot, form, name)
    assert case.document.text.typed(f"{SPOT}.value") == "too hot to hold"
    assert field.hint.text() == TOO_HOT_CAUTION
    assert field.hint.property("tone") == "warn"
    offered = [b for b in field.findChildren(QPushButton) if b.accessibleName().rpartition(": ")[2] in WORDS["hand"]]
    assert len(offered) == len(WORDS["hand"])


def test_every_word_of_a_hand_says_how_warm_that_is_in_the_units_in_use(case: MainWindow, qtbot) -> None:
    """The bands of the engine's own table: 32, 44 and 58 degC are 90, 111 and 136 degF."""
    case.document.put("evidence.before.spots", [{"what": "upper_hose", "instrument": "hand", "value": "hot"}])
    form = case.workspace.form
    form.set_depth(DetailLevel.DETAIL)
    open_sections(form, ["evidence.before"])

    def told() -> list[str]:
        buttons = [b for b in form.findChildren(QPushButton) if b.accessibleName().rpartition(": ")[2] in WORDS["hand"]]
        return [f"{b.text()}: {b.toolTip()}" for b in buttons if b.isVisibleTo(form)]

    assert told() == [
        "cold: under 32 °C",
        "warm: 32 to 44 °C",
        "hot: 44 to 58 °C",
        "too hot to hold: over 58 °C",
    ]
    case.set_system(UnitSystem.US)
    qtbot.waitUntil(lambda: len(told()) == len(WORDS["hand"]))
    assert told()[2] == "hot: 111 to 136 °F"


def test_the_six_words_of_a_gauge_stand_in_three_lines_at_most(case: MainWindow, qtbot) -> None:
    case.resize(1366, 768)
    case.document.put("evidence.before.spots", [{"what": "coolant", "instrument": "dash_gauge", "value": "quarter"}])
    case.workspace.open_step("readings")

    def tops() -> list[int]:
        words = WORDS["dash_gauge"]
        every = [b for b in case.findChildren(QPushButton) if b.accessibleName().rpartition(": ")[2] in words]
        return [b.geometry().y() for b in every if b.isVisible()]

    qtbot.waitUntil(lambda: len(tops()) >= len(WORDS["dash_gauge"]))
    assert len(set(tops())) <= 3
