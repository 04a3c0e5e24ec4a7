"""The first entries of a record through their own widgets: what a person with three minutes types and chooses."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QLineEdit
from widgets import by_name, choose_word


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
    choose_word(qtbot, case, "Vehicle: Vehicle class", "bench rig")
    assert not fuel.isVisible()
    said = [label.text() for label in case.findChildren(QLabel) if label.isVisible()]
    assert "2  What it is about" in said
    assert [
        text for text in said if "ehicle" in text and not text.startswith("Vehicle: ")
    ] == []  # but the field's help


def test_how_it_ran_is_one_choice_of_a_list(case, qtbot):
    choose_word(qtbot, case, "Before the repair: How it ran", "town")
    assert case.document.text.typed("evidence.before.driving") == "town"
    assert case.document.faults == ()
    choose_word(qtbot, case, "Before the repair: How it ran", "")
    assert not case.document.dirty


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("schedule", [{"vehicle_speed": "30 km/h", "duration": "5 min"}], "as the schedule of this record says"),
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


def test_a_thing_seen_is_noted_and_taken_out_again(case, qtbot):
    combo = by_name(case, "Before the repair: One thing seen", QComboBox)
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_Down)
    out = by_name(case, "Take out: The upper radiator hose warms while the engine is still cold")
    assert case.document.text.get("evidence.before.seen") == {"upper_hose_warms_early": True}
    out.setFocus()
    qtbot.keyClick(out, Qt.Key.Key_Space)
    assert not case.document.dirty


def test_a_thing_seen_not_to_be_so_is_entered_in_the_first_entries(case, qtbot):
    """A fan that stands still while it is hot: the first entries could only say that it runs."""
    combo = by_name(case, "Before the repair: One thing seen", QComboBox)
    fact = "fan_runs_when_hot"
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_F4)  # opens the list
    for _ in range(combo.findData(fact)):
        qtbot.keyClick(combo.view(), Qt.Key.Key_Down)
    qtbot.keyClick(combo.view(), Qt.Key.Key_Return)
    turn = by_name(case, "Not so: The radiator fan runs when the engine is hot")
    turn.setFocus()
    qtbot.keyClick(turn, Qt.Key.Key_Space)
    assert case.document.text.get("evidence.before.seen") == {fact: False}
    again = by_name(case, "It is so: The radiator fan runs when the engine is hot")
    qtbot.waitUntil(again.isVisible)


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
