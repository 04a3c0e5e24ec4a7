"""The first entries of a record through their own widgets: what a person with three minutes types and chooses."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QLineEdit, QPushButton
from widgets import by_name, choose_word

BEFORE, SEEN = "evidence.before", "Before the repair: One thing seen"
FAN_RUNS = "The radiator fan runs when the engine is hot"


def test_six_entries_by_keyboard_alone_make_the_case_of_the_technician(case, keys, qtbot):
    choose_word(qtbot, case, "The job: Why the vehicle is here", "no heat")
    keys(case, "The job: Complaint", "Never warm")
    choose_word(qtbot, case, "Vehicle: Vehicle class", "delivery van")
    keys(case, "Before the repair: Outside temperature", "-10")
    choose_word(qtbot, case, "Before the repair: Heater setting", "high")
    keys(case, "Before the repair: Coolant reading", "55")
    keys(case, "Before the repair: Time of the coolant reading", "20")
    choose_word(qtbot, case, "Before the repair: One thing seen", None)
    combo = by_name(case, "Before the repair: One thing seen", QComboBox)
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_Down)
    qtbot.keyClick(case.focusWidget(), Qt.Key.Key_Space)  # yes
    tree = {k: v for k, v in case.document.text.tree.items() if k != "format"}
    assert tree == {
        "job": {"reason": "no heat", "complaint": "Never warm"},
        "vehicle": {"class": "delivery van"},
        "evidence": {
            "before": {
                "ambient": "-10 °C",
                "heater_setting": "high",
                "seen": {"upper_hose_warms_early": True},
                "spots": [{"value": "55 °C", "at": "20 min"}],
            }
        },
    }
    assert case.document.faults == ()


def test_tab_goes_from_the_first_entry_to_the_last(case, qtbot):
    wanted = [
        "The job: Why the vehicle is here",
        "The job: Complaint",
        "Vehicle: Vehicle class",
        "Engine: Fuel",
        "Before the repair: Outside temperature",
        "Before the repair: Heater setting",
        "Before the repair: Coolant reading",
        "Before the repair: Time of the coolant reading",
        "Before the repair: How it ran",
        "Before the repair: One thing seen",
    ]
    met = []
    by_name(case, wanted[0]).setFocus()
    while len(met) < 40 and wanted[-1] not in met:
        met.append(case.focusWidget().accessibleName())
        qtbot.keyClick(case.focusWidget(), Qt.Key.Key_Tab)
    assert [name for name in met if name in wanted] == wanted


def test_a_radiator_to_size_is_not_asked_for_readings(case, qtbot):
    reading = by_name(case, "Before the repair: Coolant reading", QLineEdit)
    assert reading.isVisible()
    choose_word(qtbot, case, "The job: Why the vehicle is here", "sizing")
    assert not reading.isVisible()
    assert by_name(case, "Vehicle: Vehicle class", QComboBox).isVisible()
    case.document.edit("evidence.before.spots[0].value", "80 degC")
    assert reading.isVisible()  # what is there is shown
    choose_word(qtbot, case, "The job: Why the vehicle is here", "no heat")
    assert by_name(case, "The job: Complaint").isVisible()


def test_a_bench_rig_is_not_asked_for_a_fuel(case, qtbot):
    fuel = by_name(case, "Engine: Fuel", QComboBox)
    choose_word(qtbot, case, "The job: Why the vehicle is here", "lesson")
    assert fuel.isVisible()
    choose_word(qtbot, case, "What it is about", "bench rig")
    assert not fuel.isVisible()
    said = [label.text() for label in case.findChildren(QLabel) if label.isVisible()]
    assert "2  What it is about" in said
    assert [text for text in said if "ehicle" in text] == []


def test_how_it_ran_is_one_choice_of_a_list(case, qtbot):
    choose_word(qtbot, case, "Before the repair: How it ran", "town")
    assert case.document.text.typed("evidence.before.driving") == "town"
    assert case.document.faults == ()
    choose_word(qtbot, case, "Before the repair: How it ran", "")
    assert not case.document.dirty


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("schedule", [{"vehicle_speed": "30 km/h", "duration": "5 min"}], "as its schedule says"),
        ("log", {"file": "drive.csv"}, "as the log shows"),
    ],
)
def test_a_record_that_tells_how_it_ran_says_so(case, key, value, words):
    combo = by_name(case, "Before the repair: How it ran", QComboBox)
    assert combo.currentText() == "not stated"
    case.document.put(f"evidence.before.{key}", value)
    assert combo.currentText() == words
    case.document.edit("evidence.before.driving", "motorway")
    assert combo.currentText() == "motorway"


def test_the_fuel_is_asked_with_the_class(case, qtbot):
    """A diesel takes half the fuel of a petrol engine at idle: the class alone does not tell it."""
    combo = by_name(case, "Engine: Fuel", QComboBox)
    assert combo.isVisible()
    choose_word(qtbot, case, "Engine: Fuel", "diesel")
    assert case.document.text.typed("engine.fuel") == "diesel"


@pytest.mark.parametrize(
    "name",
    [
        "Before the repair: Heater setting",
        "Before the repair: How it ran",
        "Before the repair: Outside temperature, unit",
    ],
)
@pytest.mark.parametrize("focused", [False, True])
def test_the_wheel_over_a_closed_list_changes_nothing(case, name, focused):
    """A list that was chosen from keeps the keyboard; who then scrolls the page must not change what was chosen."""
    keys = {
        "Before the repair: Heater setting": ("evidence.before.heater_setting", "high"),
        "Before the repair: How it ran": ("evidence.before.driving", "town"),
    }
    if name in keys:
        case.document.edit(*keys[name])
    combo = by_name(case, name, QComboBox)
    if focused:
        combo.setFocus()
    shown, stands = combo.currentText(), case.document.text
    middle = combo.rect().center()
    for turn in (-120, 120):
        event = QWheelEvent(
            middle,
            combo.mapToGlobal(middle),
            QPoint(),
            QPoint(0, turn),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(combo, event)
        assert combo.currentText() == shown
    assert case.document.text == stands


def look_at(case, qtbot, fact: str) -> None:
    """Choose what was looked at, by the keyboard."""
    combo = by_name(case, SEEN, QComboBox)
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_F4)  # opens the list
    for _ in range(combo.findData(fact)):
        qtbot.keyClick(combo.view(), Qt.Key.Key_Down)
    qtbot.keyClick(combo.view(), Qt.Key.Key_Return)


def test_nothing_is_noted_of_what_was_looked_at_before_it_is_answered(case, qtbot):
    """A fan that stands still was entered as running first: the person answers, not the list."""
    fact = "fan_runs_when_hot"
    look_at(case, qtbot, fact)
    assert not case.document.dirty
    answers = [by_name(case, f"{answer}: {FAN_RUNS}") for answer in ("Yes", "No", "Not checked")]
    assert [button.isChecked() for button in answers] == [False, False, False]
    assert answers[0].hasFocus()
    qtbot.keyClick(answers[0], Qt.Key.Key_Right)
    qtbot.keyClick(answers[1], Qt.Key.Key_Space)
    assert case.document.text.get(f"{BEFORE}.seen") == {fact: False}
    assert by_name(case, f"No: {FAN_RUNS}").isChecked()
    by_name(case, f"Yes: {FAN_RUNS}").click()
    assert case.document.text.get(f"{BEFORE}.seen") == {fact: True}


@pytest.mark.parametrize("noted", [None, True, False])
def test_not_checked_notes_nothing_and_takes_out_what_was_noted(case, qtbot, noted):
    look_at(case, qtbot, "fan_runs_when_hot")
    if noted is not None:
        by_name(case, f"{'Yes' if noted else 'No'}: {FAN_RUNS}").click()
    button = by_name(case, f"Not checked: {FAN_RUNS}")
    button.setFocus()
    qtbot.keyClick(button, Qt.Key.Key_Space)
    assert not case.document.dirty
    assert not [w for w in case.findChildren(QPushButton) if w.accessibleName() == f"Yes: {FAN_RUNS}" and w.isVisible()]


def test_the_coolant_reading_is_found_behind_other_readings(case, keys):
    case.document.put_items(
        "evidence.before.spots",
        [
            {"what": "upper_hose", "value": "30 degC", "at": "5 min"},
            {"what": "coolant", "value": "70 degC", "at": "9 min"},
        ],
    )
    assert by_name(case, "Before the repair: Coolant reading", QLineEdit).text() == "70 degC"
    keys(case, "Before the repair: Coolant reading", "71 degC")
    assert case.document.text.typed("evidence.before.spots[1].value") == "71 degC"


def test_a_reading_emptied_again_leaves_no_item(case, keys):
    keys(case, "Before the repair: Coolant reading", "71 degC")
    keys(case, "Before the repair: Coolant reading", "")
    assert case.document.text.get("evidence") is None


def test_the_gauge_may_be_chosen_before_its_value(case, keys, qtbot):
    """Nothing is wrong before a value is typed; then both stand in one reading."""
    choose_word(qtbot, case, "Before the repair: Coolant read with", "dash_gauge")
    assert case.document.faults == ()
    keys(case, "Before the repair: Coolant reading", "three quarters")
    assert case.document.faults == ()
    assert case.document.text.get("evidence.before.spots") == [{"instrument": "dash_gauge", "value": "three quarters"}]
