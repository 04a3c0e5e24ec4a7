"""From nothing to a chosen core in the window: what each page promises, the check of the changed case keeps."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QPushButton
from widgets import by_name

from engcalc.case.resolve import resolve
from engcalc.studies.check import check
from engcalc.studies.choice import core_search as module
from ui.window.views.studies.candidates import CandidatesPage
from ui.window.views.studies.least import LeastCorePage

WITHIN_KELVIN, WITHIN_POINTS = 0.2, 0.02


@pytest.fixture(autouse=True)
def few_builds(monkeypatch):
    """The build that all of them lead to, and one of more rows."""
    monkeypatch.setattr(module, "TUBE_WIDTHS", (0.032,))
    monkeypatch.setattr(module, "ROWS", (1, 2))
    monkeypatch.setattr(module, "FINS_PER_INCH", (22,))
    monkeypatch.setattr(module, "PASSES", (1,))


HARDEST = ("Hot lap", "Way to the grid", "Grid, engine idles")  # one after the other; the others hold with any core


@pytest.fixture
def car(context_of):
    """The example's car in its hardest duties. All six are asked on the command line: ``test_two_turbo_car.py``."""
    context = context_of("two-turbo-track-car")
    text = context.document.text
    duties = [duty for duty in text.get("duties") if duty["name"] in HARDEST]
    context.document.take_text(text.with_value("duties", duties), "Leave duties out")
    context.document.resolve()
    return context


def kept(promised, document) -> bool:
    """Whether the check of the case as it is now says of every duty what was promised."""
    now = check(resolve(document.text))
    assert len(now.duties) == len(promised.duties) == len(HARDEST)
    for told, again in zip(promised.duties, now.duties, strict=True):
        assert again.verdict is told.verdict
        assert again.peak == pytest.approx(told.peak, abs=WITHIN_KELVIN)
        assert again.holds_probability == pytest.approx(told.holds_probability, abs=WITHIN_POINTS)
    return all(duty.verdict == "holds" for duty in now.duties)


def test_the_least_core_is_found_put_in_checked_again_and_taken_back(show, car, asked_first, answered, qtbot):
    page, before = show(asked_first(LeastCorePage(car))), car.document.text
    found = answered(page)
    assert found.checked is not None
    assert found.probability >= 0.9
    assert len(page.table.rows.text.rows) == len(found.front)
    qtbot.mouseClick(by_name(page, "Put this core into the case", QPushButton), Qt.MouseButton.LeftButton)
    assert kept(found.checked, car.document)
    car.document.undo()
    assert car.document.text == before


def test_three_parts_stand_side_by_side_and_the_one_that_holds_is_put_in(show, car, asked_first, answered, qtbot):
    page = show(asked_first(CandidatesPage(car)))
    found = answered(page)
    assert [c.part.name for c in found.candidates[1:]] == ["North 42 single", "North 56 double", "South 66 two-pass"]
    choice = by_name(page, "Part to put into the case", QComboBox)
    choice.setCurrentIndex(2)
    qtbot.mouseClick(by_name(page, "Put this part into the case", QPushButton), Qt.MouseButton.LeftButton)
    assert kept(found.candidates[3].checked, car.document)
    assert not all(duty.verdict == "holds" for duty in found.candidates[0].checked.duties)
