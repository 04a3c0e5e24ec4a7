"""Refill and bleed, typed in as a person does; what is expected is worked out by hand."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QComboBox, QLineEdit, QPushButton
from widgets import by_name

from engcalc.case.resolve import resolve
from engcalc.units import UnitSystem
from engcalc.words.lesson.bench_words import NO_REFILL
from engcalc.words.page.cautions import ALL
from ui.window.views.refill.view import RefillView


@pytest.fixture
def view(show, context_of) -> RefillView:
    return show(RefillView(context_of("van-no-heat")))


@pytest.fixture
def type_in(qtbot):
    def into(view, name: str, text: str) -> QLineEdit:
        line = by_name(view, name, QLineEdit)
        line.setFocus()
        line.selectAll()
        qtbot.keyClicks(line, text)
        view.refresh()  # as the window does after each change
        return line

    return into


def said(view, head: str) -> str:
    return "\n".join(view.said[head].texts)


def test_the_cases_coolant_is_filled_in(view):
    lines = {line.accessibleName(): line for line in view.findChildren(QLineEdit)}
    assert lines["Coolant: Concentration by volume"].placeholderText() == "50 %"
    assert lines["Refill and bleed: Strength of what goes in"].placeholderText() == "100 %"
    assert lines["Refill and bleed: Already drained or lost"].text() == ""
    assert "With 50 % ethylene glycol first ice forms at" in said(view, "In the system")
    assert "which coolants may be mixed; no computation can" in said(view, "In the system")
    assert "The maker's filling and bleeding procedure" in view.note.text()


def test_a_refractometers_reading_among_the_readings_is_taken_over_with_one_click(view, qtbot):
    document = view.context.document
    assert not view.take.isVisible()
    document.insert_item(
        "evidence.before.spots", 0, {"what": "freezing_point", "value": "-24 degC", "instrument": "propylene_scale"}
    )
    view.refresh()
    assert "first ice at -24 °C on the scale of propylene glycol" in said(view, "In the system")
    document.put("refill.drained", "4 L")
    qtbot.mouseClick(view.take, Qt.MouseButton.LeftButton)
    assert document.text.get("refill") == {"drained": "4 L", "refractometer": "-24 degC", "scale": "propylene glycol"}
    assert "Read on the scale of propylene glycol, but the coolant is ethylene glycol" in said(view, "In the system")
    assert by_name(view, "Refill and bleed: Freezing point read", QLineEdit).text() == "-24 degC"
    assert not view.take.isVisible()
    document.undo()
    view.refresh()
    assert document.text.get("refill") == {"drained": "4 L"}
    assert view.take.isVisible()


def test_the_refill_follows_each_key_and_belongs_to_the_case(view, type_in):
    assert "Nothing has to come out or go in: the full system" in said(view, "Refill")
    type_in(view, "Coolant: Coolant volume", "10 L")
    type_in(view, "Coolant: Concentration by volume", "30 %")
    type_in(view, "Refill and bleed: Concentration wanted", "50")
    # 10 L at 30 % to 50 % with concentrate: 10 (0.5 - 0.3)/(1 - 0.3) = 2.857 L
    assert "Let 2.9 L out, then fill in 2.9 L of concentrate: the full system is then at 50 %." in said(view, "Refill")
    type_in(view, "Refill and bleed: Already drained or lost", "4")
    # 6 L at 30 % hold 1.8 L of glycol, 5 L are wanted: 3.2 L of concentrate and 0.8 L of water
    assert "Nothing has to come out, then fill in 3.2 L of concentrate and 0.8 L of water" in said(view, "Refill")
    document = view.context.document
    assert document.text.get("refill") == {"target": "50 %", "drained": "4 L"}
    assert document.dirty
    document.undo()
    view.refresh()
    assert document.text.get("refill") == {"target": "50 %"}
    assert "Let 2.9 L out" in said(view, "Refill")


def test_a_refractometer_reading_takes_the_place_of_what_was_filled_in(view, type_in, qtbot):
    type_in(view, "Coolant: Coolant volume", "10 L")
    type_in(view, "Refill and bleed: Concentration wanted", "50 %")
    type_in(view, "Refill and bleed: Freezing point read", "-16 degC")
    # first ice of 30 % ethylene glycol lies near -16 degC (ASHRAE Fundamentals, chapter 31: -15.9 degC, from memory)
    assert "The reading stands for 30 %" in said(view, "In the system")
    assert "Let 2.9 L out" in said(view, "Refill") or "Let 2.8 L out" in said(view, "Refill")
    view.context.document.edit("refill.scale", "propylene glycol")
    view.refresh()
    assert "Read on the scale of propylene glycol, but the coolant is ethylene glycol" in said(view, "In the system")


def test_trapped_air_by_level_and_by_pressure(view, type_in):
    assert said(view, "Trapped air") == ""
    type_in(view, "Refill and bleed: Already drained or lost", "6 L")
    type_in(view, "Refill and bleed: Filled in so far", "5.2 L")
    assert said(view, "Trapped air").startswith("0.8 L of what came out has not gone in again")
    type_in(view, "Refill and bleed: Level fell by", "30 mm")
    type_in(view, "Refill and bleed: Area of the tank", "100 cm2")
    # 30 mm over 100 cm2 is 0.3 L, the temperature being the same
    assert "0.3 L of air came out" in said(view, "Trapped air")
    type_in(view, "Refill and bleed: Fall under pressure", "0.1 L")
    type_in(view, "Refill and bleed: Pressure of the tester", "1 bar")
    # Boyle: 0.1 L (1.013 + 1)/1 = 0.2 L
    assert "at most 0.2 L of air" in said(view, "Trapped air")


def test_what_does_not_read_is_said_beneath_its_line_and_what_is_shown_is_named_as_older(view, type_in):
    type_in(view, "Refill and bleed: Already drained or lost", "3000 L")
    field = next(f for f in view.binding.fields() if f.path == "refill.drained")
    assert "0 L to 500 L would do" in field.error.text()
    assert field.error.isVisible()
    assert "one thing to mend" in view.note.text()


def test_the_steps_follow_the_system_and_carry_their_cautions(view, choose):
    steps = view.said["Filling and bleeding"]
    assert any("Look for bleed screws" in step for step in steps.texts)
    hot_cap = next(c.text for c in ALL if c.key == "hot_cap")
    opened = next(i for i, step in enumerate(steps.texts) if step.startswith("Let the engine cool"))
    assert hot_cap in steps.texts[opened + 1 : opened + 3], "the caution stands where the person acts"
    combo = by_name(view, "Refill and bleed: Filled by", QComboBox)
    combo.setCurrentIndex(combo.findData("vacuum"))
    combo.activated.emit(combo.currentIndex())
    view.context.document.edit("circuit.pump_drive", "electric")
    view.context.document.edit("coolant.tank", "overflow bottle")
    view.refresh()
    assert any("Fit the vacuum filler" in step for step in steps.texts)
    assert any("bleeding function" in step for step in steps.texts)
    assert any("bottle" in step for step in steps.texts)


def test_all_of_it_is_copied_as_text(view, qtbot):
    qtbot.mouseClick(by_name(view, "Copy refill and bleeding", QPushButton), Qt.MouseButton.LeftButton)
    text = QGuiApplication.clipboard().text()
    assert "In the system\n- With 50 %" in text
    assert "\n1. Look up the maker's" in text
    assert "   Caution: Never open the cap" in text
    assert "\nTrapped air\n" not in text, "a heading without anything beneath it"


def test_other_units_change_what_is_shown_and_nothing_that_is_typed(view, type_in):
    type_in(view, "Refill and bleed: Already drained or lost", "4 L")
    before = view.context.document.text
    view.context.system = UnitSystem.US
    view.refresh()
    assert "qt" in said(view, "Refill")
    assert view.context.document.text == before


def test_a_case_that_never_read_says_what_to_do(show, context_of):
    context = context_of("van-no-heat")
    context.document.edit("coolant.volume", "wrong")
    view = show(RefillView(context))
    assert view.note.text().startswith("There is no case without faults yet")
    assert said(view, "Refill") == ""
    assert not view.copy_table()


def test_plain_water_has_no_mixture(show, context_of, type_in):
    context = context_of("van-no-heat")
    context.document.edit("coolant.base", "water")
    view = show(RefillView(context))
    assert "With plain water first ice forms at 0 °C" in said(view, "In the system")
    assert "concentrate" not in said(view, "Refill")
    type_in(view, "Refill and bleed: Freezing point read", "-10 degC")
    assert "water has no refractometer scale" in said(view, "In the system")
    assert resolve(context.document.text).refill.refractometer is not None


def test_a_bench_has_nothing_to_fill(show, context_of):
    view = show(RefillView(context_of("double-pipe")))
    assert view.note.text() == NO_REFILL
    assert not view.copy_table()
