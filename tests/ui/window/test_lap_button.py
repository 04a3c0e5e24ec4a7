"""A lap from a file in the form: its duties come as one step, and what is wrong with the file is said."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.units import UnitSystem
from engcalc.words.texts import form_texts
from ui.document import Document
from ui.window.form.binding import Binding
from ui.window.form.lap import LapButton

FOLDER = worked_examples.folder()


@pytest.fixture
def button(qtbot):
    document = Document.read(FOLDER / "track-day-car.heatcase.json")
    binding = Binding(document, UnitSystem.SI)
    made = LapButton(binding, lambda _parent, _folder: str(FOLDER / "lap.csv"))
    qtbot.addWidget(made)
    yield made, document
    binding.close()


def test_a_chosen_lap_comes_as_duties_and_undo_takes_it_back(button):
    made, document = button
    before = document.text
    made.button.click()
    duties = document.text.get("duties")
    assert len(duties) == len(before.get("duties")) + 6
    assert duties[-1]["name"].startswith("lap, ")
    assert document.faults == ()
    document.undo()
    assert document.text == before


def test_a_file_that_is_no_lap_is_told_and_changes_nothing(button, tmp_path):
    made, document = button
    before = document.text
    (tmp_path / "bad.csv").write_text("time [s],speed [km/h],throttle [%]\n0,1,1\n1,fast,1\n2,1,1\n")
    made.add_lap(tmp_path / "bad.csv")
    assert "bad.csv line 3, speed" in made.wrong.text()
    assert document.text is before


def test_a_case_with_faults_is_mended_first(button):
    made, document = button
    document.edit("engine.rated_power", "many")
    made.button.click()
    assert made.wrong.text() == form_texts.FIRST_MEND
