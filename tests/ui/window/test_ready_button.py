"""A usual duty from the form's menu: added as one step, and not before the form is mended."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.units import UnitSystem
from engcalc.words.sizing.ready_words import READY_LABELS
from engcalc.words.texts import form_texts
from ui.document import Document
from ui.window.form.binding import Binding
from ui.window.form.ready import ReadyButton


@pytest.fixture
def button(qtbot):
    document = Document.read(worked_examples.folder() / "track-day-car.heatcase.json")
    binding = Binding(document, UnitSystem.SI)
    made = ReadyButton(binding)
    qtbot.addWidget(made)
    yield made, document
    binding.close()


def test_a_chosen_duty_is_added_and_undo_takes_it_back(button):
    made, document = button
    before = document.text
    assert [action.text() for action in made.menu.actions()] == list(READY_LABELS.values())
    made.menu.actions()[list(READY_LABELS).index("tow")].trigger()
    duties = document.text.get("duties")
    assert len(duties) == len(before.get("duties")) + 1
    assert duties[-1]["trailer_mass"] == "1500 kg"
    assert document.faults == ()
    document.undo()
    assert document.text == before


def test_a_case_with_faults_is_mended_first(button):
    made, document = button
    document.edit("engine.rated_power", "many")
    made.add_duty("tow")
    assert made.wrong.text() == form_texts.FIRST_MEND
