"""What a person typed and reads in the window is what the command line answers to the saved file, number by number."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QTableView
from widgets import by_name, open_sections

from engcalc.case.declare import DetailLevel
from engcalc.diagnosis.conclusion import conclude
from engcalc.units import UnitSystem
from engcalc.words.answer.results import BY_KEY
from ui.command.main import RESULT, main
from ui.window.main_window import MainWindow, example_files

# The SI unit of a key in each unit of the screen, from its definition: NIST SP 811 (2008), appendix B.8
FOOT, POUND, BTU = 0.3048, 0.45359237, 1055.05585262  # m, kg, J
IN_UNIT = {
    "": 1.0,
    "%": 100.0,
    "K": 1.0,
    "min": 1.0 / 60.0,
    "rpm": 60.0,
    "kW": 1e-3,
    "W": 1.0,
    "W/K": 1.0,
    "kg/s": 1.0,
    "m/s": 1.0,
    "hp": 1.0 / 745.69987158227,
    "BTU/h": 3600.0 / BTU,
    "BTU/h/°F": 3600.0 / BTU / 1.8,
    "lb/min": 60.0 / POUND,
    "ft/min": 60.0 / FOOT,
}

# For each example what is typed, by the accessible name of its field: a temperature, a power, a fraction, a length, ...
TYPED = {
    "van-no-heat": (
        ("Before the repair: Outside temperature", "-14"),
        ("Before the repair: Coolant reading", "38 °C"),
        ("Coolant: Cap opening pressure", "15 psig"),
        ("Duty 2: Vehicle speed", "45 km/h"),
        ("Thermostat: Stamped rating", "190 °F"),
    ),
    "track-day-car": (
        ("Engine: Rated power", "230 PS"),
        ("Radiator: Core depth", '1.5"'),
        ("Radiator: Fin pitch", "18 /in"),
        ("Air flow: Free flow of one fan", "1500 cfm"),
        ("Duty 3: Engine speed", "5400 rpm"),
        ("Coolant circuit: Pump turns per engine turn", "1,1"),
    ),
    "bench-exchanger": (
        ("Radiator: Core height", "210"),
        ("Duty 1: Air velocity at the core, given", "2,5 m/s"),
        ("Point 1: Hot side out", "63.9 °C"),
        ("Coolant: Concentration by volume", "10 %"),
    ),
}
TYPED_IN = {  # the sections in which all that stands; to open each one takes most of the time
    "van-no-heat": ("evidence.before", "coolant", "duties", "thermostat"),
    "track-day-car": ("engine", "radiator", "airflow", "duties", "circuit"),
    "bench-exchanger": ("radiator", "duties", "rig", "coolant"),
}
CHOSEN = {
    "van-no-heat": ("Before the repair: Heater setting", "low"),
    "track-day-car": ("Engine: Fuel", "petrol E10"),
    "bench-exchanger": ("Radiator: Material", "copper-brass"),
}


@pytest.fixture
def command(capsys) -> Callable[[Path], dict[str, object]]:
    """``heatdocket check --json`` on a file: it knows of the window's case what stands there."""

    def answer(path: Path) -> dict[str, object]:
        code = main(["check", str(path), "--json"])
        out, err = capsys.readouterr()
        assert (code, err) == (RESULT, "")
        return json.loads(out)

    return answer


def opened(window: MainWindow, name: str) -> None:
    window.open_example(next(p for p in example_files() if p.name.startswith(name)))
    form = window.workspace.form
    form.set_depth(DetailLevel.DETAIL)
    open_sections(form, TYPED_IN[name])


def screen(window: MainWindow) -> dict[str, tuple[str, list[str]]]:
    """The table of results as it stands on the screen: unit and numbers by label."""
    table = by_name(window, "Results", QTableView)
    model = table.model()
    cells = [
        [str(model.index(row, column).data()) for column in range(model.columnCount())]
        for row in range(model.rowCount())
    ]
    return {row[0]: (row[2], row[3:]) for row in cells}


def on_screen(key: str, value: float, unit: str) -> float:
    """A number of the command line in the unit that the screen shows."""
    if key.endswith("_degC"):
        return 1.8 * value + 32.0 if unit == "°F" else value
    if key.endswith("_K") and unit == "°F":
        return 1.8 * value
    return value * IN_UNIT[unit]


@pytest.mark.parametrize("name", list(TYPED))
def test_numbers_on_the_screen_are_those_of_the_command_on_the_saved_file(
    window, executor, prompts, keys, qtbot, tmp_path, command, name
):
    opened(window, name)
    for field, typed in TYPED[name]:
        keys(window, field, typed)
    field, word = CHOSEN[name]
    combo = by_name(window, field, QComboBox)
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_Home)
    while combo.currentData() != word:
        qtbot.keyClick(combo, Qt.Key.Key_Down)
    assert window.document.faults == ()
    prompts.saves = tmp_path / "case.heatcase.json"
    qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert not window.document.dirty
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))  # the answer with its odds is asked for by itself
    executor.run()
    answer = command(prompts.saves)
    found = conclude(window.workspace.check)
    conclusion = answer["conclusion"]
    assert (found.state, found.danger, found.capacity) == (
        conclusion["state"],
        conclusion["danger"],
        answer["capacity"]["verdict"],
    )
    assert by_name(window, f"Verdict: {conclusion['label']}").isVisible()
    for system in UnitSystem:
        window.set_system(system)
        compare(screen(window), answer["duties"])


def compare(shown: dict[str, tuple[str, list[str]]], duties: list[dict[str, object]]) -> None:
    """Every row of the screen against every duty: to the three digits or the tenth of a degree that are shown."""
    compared = 0
    for key, row in BY_KEY.items():
        if row.label not in shown:
            continue
        unit, cells = shown[row.label]
        for cell, duty in zip(cells, duties, strict=True):
            if duty[key] is None:
                assert cell == "–"
                continue
            exact = on_screen(key, duty[key], unit)
            tenth = 0.06 if "temperature" in row.kind else 1e-4
            assert math.isclose(float(cell), exact, rel_tol=6e-3, abs_tol=tenth), (key, unit, cell, exact)
            compared += 1
    assert compared > 15 * len(duties)
