"""The form through its own widgets: every shape of field, errors in words beside it, units, undo."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableWidget,
    QWidget,
)
from widgets import by_name, choose_word, open_sections

from engcalc.case.catalogue import catalogue
from engcalc.case.declare import DetailLevel, FileShape
from engcalc.units import UnitSystem
from ui.window.accessible import name_of
from ui.window.form.fields import Field
from ui.window.form.panel import FormPanel
from ui.window.main_window import MainWindow
from ui.window.start_page import WayIn


def field_of(widget: QWidget) -> Field:
    while not isinstance(widget, Field):
        widget = widget.parentWidget()
    return widget


def opened(window: MainWindow, *sections: str) -> FormPanel:
    form = window.workspace.form
    form.set_depth(DetailLevel.DETAIL)
    open_sections(form, sections)
    return form


def text_of(window: MainWindow, path: str) -> str:
    return window.document.text.typed(path)


# -- numbers ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "path", "typed", "si"),
    [
        # what people type, and what it is in SI; conversions from NIST SP 811 (2008), appendix B.8
        ("Coolant: Cap opening pressure", "coolant.cap_pressure", "15 psig", 15 * 6894.757),
        ("Coolant: Cap opening pressure", "coolant.cap_pressure", "1,5 bar", 150000.0),
        ("Engine: Rated power", "engine.rated_power", "210 PS", 210 * 735.4988),
        ("Air flow: Free flow of one fan", "airflow.fan_free_flow", "400 cfm", 400 * 4.719474e-4),
        ("Engine: Speed at rated power", "engine.rated_speed", "3000 rpm", 50.0),
        ("Thermostat: Stamped rating", "thermostat.rating", "88 °C", 361.15),
        ("Radiator: Core depth", "radiator.core_depth", '2"', 0.0508),
        ("Radiator: Fin pitch", "radiator.fin_pitch", "18 /in", 0.0254 / 18),
        ("Limits: Room for the core, width", "limits.room_width", "640 mm", 0.64),
    ],
)
def test_what_people_type_is_kept_and_read(case, keys, name, path, typed, si):
    opened(case, path.partition(".")[0])
    line = keys(case, name, typed)
    assert line.text() == typed == text_of(case, path)
    section, key = path.split(".")
    assert getattr(getattr(case.document.resolve(), section), key)[0] == pytest.approx(si, rel=1e-6)


def test_a_bare_number_takes_the_unit_beside_it(case, keys):
    opened(case, "radiator")
    line = keys(case, "Radiator: Core height", "380", leave=False)
    assert line.text() == "380"
    assert text_of(case, "radiator.core_height") == "380 mm"
    assert case.document.faults == ()


def test_a_bare_number_beside_per_cent_is_per_cent(case, keys):
    opened(case, "coolant")
    line = keys(case, "Coolant: Concentration by volume", "40")
    assert line.text() == "40 %"


def test_what_two_sides_come_to_stands_beneath_and_a_builder_finds_opening_and_room_at_once(case, keys):
    """The area was told nowhere, "usual 50000 to 300000 mm2" was; opening and room stood under All entries alone."""
    form = case.workspace.form
    form.set_depth(DetailLevel.REFINE)
    open_sections(form, ("airflow", "limits"))
    line = keys(case, "Air flow: Open area of the grille", "600 mm x 220 mm")
    assert field_of(line).hint.text() == "= 0.132 m2; usual 0.05 to 0.3 m2"
    for name in ("Room for the core, depth", "Wanted probability of holding"):
        assert by_name(case, f"Limits: {name}", QLineEdit).isVisible()


def test_choosing_another_unit_converts_the_shown_text(case, keys, qtbot):
    opened(case, "thermostat")
    line = keys(case, "Thermostat: Stamped rating", "88 °C")
    units = by_name(case, "Thermostat: Stamped rating, unit", QComboBox)
    units.setFocus()
    qtbot.keyClick(units, Qt.Key.Key_Down)
    assert line.text() == "190.4 °F"  # 88 * 1.8 + 32
    case.document.undo()
    assert line.text() == "88 °C"


def test_the_default_and_its_source_and_the_usual_range_are_shown(case, qtbot):
    opened(case, "vehicle")
    choose_word(qtbot, case, "Vehicle: Vehicle class", "delivery van")
    line = by_name(case, "Vehicle: Vehicle mass", QLineEdit)
    assert line.placeholderText() == "2600 kg"
    hint = field_of(line).hint.text()
    assert "typical, by class: delivery van" in hint
    assert "usual 900 to 3500 kg" in hint
    assert line.toolTip() == line.whatsThis() == "With load, without trailer."
    assert hint in line.accessibleDescription()
    line.setFocus()
    said = by_name(case, "Help for the field", QLabel).text()
    assert said == "Vehicle: Vehicle mass (m). With load, without trailer."


def test_a_derived_default_follows_what_it_is_derived_from(case, keys):
    opened(case, "thermostat")
    line = by_name(case, "Thermostat: Fully open", QLineEdit)
    keys(case, "Thermostat: Stamped rating", "80 degC")
    assert line.placeholderText() == "92 °C"
    assert "12 K above the start to open" in field_of(line).hint.text()


def test_a_value_outside_the_usual_range_is_a_hint_not_an_error(case, keys):
    opened(case, "vehicle")
    line = keys(case, "Vehicle: Vehicle mass", "9 t")
    assert "not the usual" in field_of(line).hint.text()
    assert not field_of(line).error.isVisibleTo(case)
    assert case.document.faults == ()


@pytest.mark.parametrize(
    ("name", "path", "typed", "said"),
    [
        ("Radiator: Core height", "radiator.core_height", "tall", "one number"),
        ("Radiator: Core height", "radiator.core_height", "380 kg", "the unit is not one for a length"),
        ("Radiator: Core height", "radiator.core_height", "-5 mm", "20 mm to 4 m would do"),
        ("Radiator: Core height", "radiator.core_height", "9**9**9 m", "unit"),
        ("Vehicle: Vehicle mass", "vehicle.mass", "1,234 kg", "is 1.234 or 1234 meant"),
        ("Coolant: Concentration by volume", "coolant.concentration", "101 %", "0 % to 100 % would do"),
        ("Thermostat: Stamped rating", "thermostat.rating", "10 delta degC", "not a difference"),
        ("Limits: Margin wanted under the limit", "limits.margin", "5 bar", "temperature difference"),
    ],
)
def test_an_error_stands_in_words_beside_the_field_at_once(case, keys, name, path, typed, said):
    form = opened(case, path.partition(".")[0])
    line = keys(case, name, typed, leave=False)
    error = field_of(line).error
    assert error.isVisibleTo(case)
    assert said.casefold() in error.text().casefold()
    assert line.text() == typed == text_of(case, path)
    assert error.text() in line.accessibleDescription()
    assert name in by_name(form, "What is to mend", QLabel).text()
    keys(case, name, "")
    assert not error.isVisibleTo(case)
    assert not by_name(form, "What is to mend", QLabel).isVisibleTo(case)


def test_a_megabyte_is_refused_in_words_and_kept(case):
    opened(case, "radiator")
    line = by_name(case, "Radiator: Core height", QLineEdit)
    line.setText("7" * 1_000_000)  # as a paste does
    assert "At most 200 characters" in field_of(line).error.text()
    assert len(text_of(case, "radiator.core_height")) == 1_000_000


def test_basis_and_uncertainty_by_keyboard(case, keys, qtbot):
    opened(case, "vehicle")
    keys(case, "Vehicle: Vehicle mass", "1500 kg")
    more = by_name(case, "Vehicle: Vehicle mass, basis and uncertainty")
    more.setFocus()
    qtbot.keyClick(more, Qt.Key.Key_Space)
    choose_word(qtbot, case, "Vehicle: Vehicle mass, basis", "measured")
    keys(case, "Vehicle: Vehicle mass, uncertainty", "20 kg")
    assert case.document.text.get("vehicle.mass") == {"value": "1500 kg", "basis": "measured", "uncertainty": "20 kg"}
    assert "measured ± 20 kg" in field_of(more).hint.text()
    keys(case, "Vehicle: Vehicle mass, uncertainty", "20 bar")
    assert "mass" in field_of(more).error.text()


# -- the other shapes ---------------------------------------------------------------------------------------------


def test_words_are_chosen_and_left_open_again(case, qtbot):
    opened(case, "engine")
    combo = by_name(case, "Engine: Fuel", QComboBox)
    assert combo.currentText() == "not stated: petrol E10"
    choose_word(qtbot, case, "Engine: Fuel", "diesel")
    assert text_of(case, "engine.fuel") == "diesel"
    choose_word(qtbot, case, "Engine: Fuel", "")
    assert case.document.text.get("engine") is None


def test_a_word_that_is_not_in_the_list_is_shown_as_typed_with_its_fault(case):
    opened(case, "engine")
    case.document.edit("engine.fuel", "plutonium")
    combo = by_name(case, "Engine: Fuel", QComboBox)
    assert combo.currentText() == "as typed: plutonium"
    assert "diesel" in field_of(combo).error.text()
    case.document.undo()
    assert combo.currentText() == "not stated: petrol E10"


def test_free_text_and_lists_of_texts(case, keys, qtbot):
    opened(case, "job", "evidence.before")
    keys(case, "The job: Customer", "Örsted & Søn")
    codes = by_name(case, "Before the repair: Trouble codes")
    codes.setFocus()
    qtbot.keyClicks(codes, "P0128")
    qtbot.keyClick(codes, Qt.Key.Key_Return)
    assert codes.toPlainText() == "P0128\n"
    qtbot.keyClicks(codes, "P0117")
    assert text_of(case, "job.customer") == "Örsted & Søn"
    assert case.document.text.get("evidence.before.codes") == ["P0128", "P0117"]


def test_facts_have_three_answers(case, qtbot):
    opened(case, "evidence.after")
    name = "After the repair: The coolant level is low"
    choose_word(qtbot, case, name, False)
    assert case.document.text.get("evidence.after.seen") == {"level_low": False}
    choose_word(qtbot, case, name, None)
    assert case.document.text.get("evidence.after") is None


def test_a_table_of_minutes_and_temperatures(case, qtbot):
    opened(case, "evidence.before")
    table = by_name(case, "Before the repair: Minutes and coolant temperature", QTableWidget)
    for row, column, text in ((0, 0, "0"), (0, 1, "-12"), (1, 0, "5"), (1, 1, "31 degC"), (2, 0, "10"), (2, 1, "hot")):
        table.setFocus()
        table.setCurrentCell(row, column)
        if table.state() is not QTableWidget.State.EditingState:
            qtbot.keyClick(table.viewport(), Qt.Key.Key_F2)
        editor = case.focusWidget()
        qtbot.keyClicks(editor, text)
        qtbot.keyClick(editor, Qt.Key.Key_Return)
        table.setCurrentCell(-1, -1)
    assert case.document.text.get("evidence.before.curve") == [["0", "-12 °C"], ["5", "31 degC"], ["10", "hot"]]
    assert field_of(table).error.text().startswith("Row 3: ")
    assert table.rowCount() == 4


def test_a_table_takes_rows_from_the_clipboard(case, qapp):
    opened(case, "evidence.before")
    table = by_name(case, "Before the repair: Minutes and coolant temperature", QTableWidget)
    qapp.clipboard().setText("0\t-12 degC\n5;31 degC\n")
    table.paste()
    assert case.document.text.get("evidence.before.curve") == [["0", "-12 degC"], ["5", "31 degC"]]


def test_a_log_names_its_file_and_columns(case, keys):
    opened(case, "evidence.before")
    keys(case, "Before the repair: Log", "morning.csv")
    assert case.document.text.get("evidence.before.log") == {"file": "morning.csv"}
    columns = by_name(case, "Before the repair: Log, columns", QTableWidget)
    columns.show_rows([("coolant", "ECT (C)")])
    columns._changed()
    assert case.document.text.get("evidence.before.log") == {"file": "morning.csv", "columns": {"coolant": "ECT (C)"}}


# -- lists of items -----------------------------------------------------------------------------------------------


def test_the_duties_of_the_class_stand_in_and_can_be_written_out(case, qtbot):
    opened(case, "duties")
    write_out = next(w for w in case.findChildren(QWidget) if getattr(w, "text", str)() == "Write these out")
    qtbot.waitUntil(lambda: write_out.height() > 10)  # the section that opened is laid out
    qtbot.mouseClick(write_out, Qt.MouseButton.LeftButton)
    names = [duty["name"] for duty in case.document.text.get("duties")]
    assert names[0] == "Idle"
    assert len(names) == 4
    assert by_name(case, "Duty 4: Grade", QLineEdit).text() == "6 %"


def test_a_new_item_is_in_sight_with_the_keyboard_in_it(case, qtbot):
    opened(case, "duties")
    case.activateWindow()  # the scrolling follows the program's focus, which only an active window has
    qtbot.waitUntil(case.isActiveWindow)
    for count in range(1, 5):
        add = by_name(case, "Duty: Add")
        add.setFocus()
        qtbot.keyClick(add, Qt.Key.Key_Space)
        name = case.focusWidget()
        assert name.accessibleName() == f"Duty {count}: Name"
        qtbot.waitUntil(lambda name=name: name.visibleRegion().boundingRect() == name.rect(), timeout=2000)


def test_items_come_double_move_and_go_by_keyboard(case, keys, qtbot):
    opened(case, "duties")

    def press(name):
        button = by_name(case, name)
        button.setFocus()
        qtbot.keyClick(button, Qt.Key.Key_Space)

    def grades():
        return [duty.get("grade") for duty in case.document.text.get("duties") or []]

    press("Duty: Add")
    keys(case, "Duty 1: Grade", "3 %")
    press("Duty 1: Copy")
    keys(case, "Duty 2: Grade", "6 %")
    press("Duty 2: Up")
    assert grades() == ["6 %", "3 %"]
    assert case.focusWidget().accessibleName() == "Duty 1: Down"
    press("Duty 1: Down")
    assert grades() == ["3 %", "6 %"]
    press("Duty 1: Remove")
    assert grades() == ["6 %"]
    case.document.undo()
    assert grades() == ["3 %", "6 %"]
    assert by_name(case, "Duty 2: Grade", QLineEdit).text() == "6 %"


def test_a_pressure_reading_asks_for_a_pressure(case, keys, qtbot):
    opened(case, "evidence.before")
    case.document.insert_item("evidence.before.spots", 0, {"what": "upper_hose"})
    name = "Before the repair, reading 1: Reading"
    assert by_name(case, f"{name}, unit", QComboBox).currentText() == "°C"
    choose_word(qtbot, case, "Before the repair, reading 1: What was read", "pressure")
    assert by_name(case, f"{name}, unit", QComboBox).currentText() == "bar"
    keys(case, name, "14 psi")
    assert case.document.faults == ()


def test_a_flow_of_the_rig_is_given_by_mass_or_by_volume(case, keys):
    opened(case, "rig")
    case.document.insert_item("rig", 0, {})
    line = keys(case, "Point 1: Hot flow", "0.4", leave=False)
    units = by_name(case, "Point 1: Hot flow, unit", QComboBox)
    assert (units.currentText(), text_of(case, "rig[0].hot_flow")) == ("kg/s", "0.4 kg/s")
    keys(case, "Point 1: Hot flow", "40 L/min")
    assert units.currentText() == "L/min"
    assert not field_of(line).error.isVisibleTo(case)


def test_a_fault_of_a_whole_item_stands_in_its_card(case):
    form = opened(case, "circuit")
    case.document.insert_item("circuit.extra", 0, {"name": "Gearbox"})
    section = next(s for s in form.sections if s.plan.path == "circuit")
    assert "heat" in section.lists[0].cards[0].error.text()


# -- the whole form -----------------------------------------------------------------------------------------------


def test_every_input_of_the_catalogue_has_a_field_with_a_name_of_its_own(case):
    for path in (
        "duties",
        "rig",
        "problems",
        "airflow.upstream",
        "circuit.extra",
        "evidence.before.heater_changes",
        "evidence.before.schedule",
        "evidence.before.spots",
        "evidence.after.heater_changes",
        "evidence.after.schedule",
        "evidence.after.spots",
    ):
        case.document.insert_item(path, 0, {})
    form = opened(case, *(section.plan.path for section in case.workspace.form.sections))
    shown = {field.path.replace("[0]", "[]") for field in form.binding.fields()}
    assert {entry.path for entry in catalogue()} - shown == set()
    names = [field.name for field in form.binding.fields() if field not in form.first.fields()]
    assert len(names) == len(set(names))
    for field in form.binding.fields():
        assert field.editor.accessibleName() == field.name
        assert field.label.buddy() is field.editor
        assert field.label.text()


def test_names_follow_labels():
    assert name_of("radiator.core_height") == "Radiator: Core height"
    assert name_of("duties[1].grade") == "Duty 2: Grade"
    assert name_of("evidence.after.spots[0].value") == "After the repair, reading 1: Reading"
    assert {e.input.shape for e in catalogue()} == set(FileShape)


def test_undo_and_redo_by_key_from_within_a_field(case, keys, qtbot):
    opened(case, "radiator")
    line = keys(case, "Radiator: Core height", "380 mm")
    keys(case, "Radiator: Core width", "500 mm")
    line.setFocus()
    standard = QKeySequence.StandardKey
    undo, redo = (QKeySequence.keyBindings(key)[0][0] for key in (standard.Undo, standard.Redo))
    for _ in range(2):
        qtbot.keyClick(line, undo.key(), undo.keyboardModifiers())
    assert (line.text(), text_of(case, "radiator.core_width")) == ("", "")
    assert not case.document.dirty
    qtbot.keyClick(line, redo.key(), redo.keyboardModifiers())
    assert line.text() == "380 mm"


def test_the_other_units_change_no_text_that_was_typed(case, keys, executor, qtbot):
    form = opened(case, "radiator", "vehicle", "thermostat")
    keys(case, "Radiator: Core height", "380 mm")
    keys(case, "Thermostat: Stamped rating", "190 °F")
    executor.run()
    text, case_before = case.document.text, case.document.resolve()
    typed = {f.path: f.findChild(QLineEdit).text() for f in form.binding.fields() if f.findChild(QLineEdit)}
    held = len(executor.held)
    qtbot.mouseClick(by_name(case, "Units: US customary"), Qt.MouseButton.LeftButton)
    assert case.settings.system is UnitSystem.US
    assert by_name(case, "Radiator: Core width", QLineEdit).placeholderText() == "25.2 in"  # 640 mm / 25.4
    assert by_name(case, "Vehicle: Vehicle mass", QLineEdit).placeholderText() == "3197 lb"  # 1450 kg / 0.45359237
    assert {f.path: f.findChild(QLineEdit).text() for f in form.binding.fields() if f.findChild(QLineEdit)} == typed
    assert case.document.text is text
    assert case.document.resolve() is case_before
    assert len(executor.held) == held
    qtbot.mouseClick(by_name(case, "Units: SI"), Qt.MouseButton.LeftButton)
    assert by_name(case, "Radiator: Core width", QLineEdit).placeholderText() == "640 mm"


def test_what_a_rig_cannot_have_measured_stands_beside_its_flow(case):
    opened(case, "rig")
    point = {
        "hot_flow": "90 kg/s",
        "cold_flow": "0.24 kg/s",
        "hot_in": "62 degC",
        "hot_out": "54.2 degC",
        "cold_in": "21.3 degC",
        "cold_out": "43.3 degC",
    }
    case.document.insert_item("rig", 0, point)
    line = by_name(case, "Point 1: Hot flow", QLineEdit)
    assert "no exchanger passes on more than 9.83 kW" in field_of(line).error.text()
    case.document.edit("rig[0].hot_flow", "0.163 kg/s")
    assert field_of(line).error.text() == ""


def test_the_spread_of_a_pitch_is_shown_in_fins_to_the_inch_as_a_difference_of_them(case, qtbot):
    opened(case, "radiator")
    hint = field_of(by_name(case, "Radiator: Fin pitch", QLineEdit)).hint
    assert "± 0.11 mm" in hint.text()  # 8 % of 1.4 mm
    qtbot.mouseClick(by_name(case, "Units: US customary"), Qt.MouseButton.LeftButton)
    assert "± 1.5 /in" in hint.text()  # 8 % of 18.1 to the inch, not one over 0.11 mm, which is 227


def test_a_fault_in_a_hidden_field_is_named_and_gone_to(case, qtbot):
    form = case.workspace.form
    assert by_name(form, "Show: Six entries", QPushButton).isChecked()
    case.document.edit("radiator.louver_angle", "steep")
    mend = by_name(form, "What is to mend", QLabel)
    assert "Radiator: Louver angle" in mend.text()
    mend.linkActivated.emit("radiator.louver_angle")
    line = by_name(case, "Radiator: Louver angle", QLineEdit)
    assert line.hasFocus()
    assert by_name(form, "Show: All entries", QPushButton).isChecked()


def test_the_depth_hides_detail_but_nothing_that_says_something(case):
    form = opened(case, "radiator")
    case.document.edit("radiator.louver_angle", "25 deg")
    form.set_depth(DetailLevel.REFINE)
    assert by_name(case, "Radiator: Louver angle").isVisibleTo(case)
    assert not by_name(case, "Radiator: Louver pitch").isVisibleTo(case)
    form.set_depth(DetailLevel.FIRST)
    assert not by_name(case, "Radiator: Louver angle").isVisibleTo(case)
    assert any("1 more value is typed" in label.text() for label in form.findChildren(QLabel))


@pytest.mark.parametrize("way", [WayIn.RADIATOR, WayIn.LESSON])
def test_a_way_in_opens_its_sections_and_begins_at_the_top(window, executor, qtbot, way):
    window.start(way)
    executor.run()
    form = window.workspace.form
    qtbot.wait(50)  # the sections are laid out
    assert form.area.verticalScrollBar().value() == 0
    first = "What is wanted" if way is WayIn.LESSON else "The job: Why the vehicle is here"
    assert by_name(window, first, QComboBox).hasFocus()


def test_of_a_long_text_the_beginning_is_in_sight_once_the_keyboard_goes(case, keys):
    case.workspace.open_step("paper")
    line = keys(case, "The job: Title", "A title that is much longer than the line in which it stands, by far")
    assert not line.hasFocus()
    assert line.cursorPosition() == 0


def test_a_word_is_read_as_people_write_it(case):
    list_ = by_name(case, "Before the repair: Coolant read with", QComboBox)
    assert not any("_" in list_.itemText(at) for at in range(list_.count()))
    assert any(list_.itemData(at) == "scan_tool" for at in range(list_.count())), "the file keeps its own spelling"


def test_a_bare_number_is_in_millimetres_for_every_side_of_the_room(case, keys):
    opened(case, "limits")
    for side in ("height", "width", "depth"):
        keys(case, f"Limits: Room for the core, {side}", "640")
        assert text_of(case, f"limits.room_{side}") == "640 mm"


def test_another_step_helps_with_no_field_of_the_step_before(window, keys, qtbot):
    window.start(WayIn.RADIATOR)
    window.workspace.open_step("vehicle")
    form = window.workspace.form
    open_sections(form, ("engine", "coolant", "cabin"))
    keys(window, "Coolant: Cap opening pressure", "1.3 bar")
    window.workspace.open_step("duties")
    assert by_name(form, "Help for the field", QLabel).text() == ""


@pytest.mark.parametrize(
    ("name", "begins"),
    [
        ("Radiator: Fin pitch", "Radiator: Fin pitch (Fₚ). "),
        ("Coolant: Concentration by volume", "Coolant: Concentration by volume (φ). "),
        ("Radiator: Core depth", "Radiator: Core depth. "),  # F_d: no d stands below the line
    ],
)
def test_the_help_for_a_field_shows_no_symbol_as_it_is_typed(case, keys, name, begins):
    """It said "Ambient temperature (T_amb)" to a technician."""
    form = opened(case, "radiator", "coolant")
    keys(case, name, "20", leave=False)
    said = by_name(form, "Help for the field", QLabel).text()
    assert said.startswith(begins)
    assert "_" not in said


def test_the_usual_units_of_a_flow_are_in_sight_without_scrolling(window):
    """L/min stood thirteenth of fifteen in a list that showed ten."""
    window.start(WayIn.LESSON)
    form = window.workspace.form
    open_sections(form, ("problems",))
    by_name(form, "Problem: Add").click()
    for stream, first in (("Hot", {"kg/s", "lb/min", "L/min", "gpm"}), ("Cold", {"kg/s", "lb/min", "m3/h", "cfm"})):
        units = by_name(form, f"Problem 1: {stream} flow, unit", QComboBox)
        offered = [units.itemText(place) for place in range(units.count())]
        assert set(offered[:4]) == first
        assert {"L/min", "L/s", "L/h", "mL/min", "gpm", "kg/s", "g/s", "kg/h"} <= set(
            offered[: units.maxVisibleItems()]
        )
