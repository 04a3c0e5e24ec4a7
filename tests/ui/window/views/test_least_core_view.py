"""The least core in the window: sought in the room that is typed, chosen, put into the case, taken back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QComboBox, QPushButton
from widgets import by_name

from engcalc.case.resolve import resolve
from engcalc.studies.choice import core_search as module
from engcalc.studies.choice.core_builds import with_core
from engcalc.words.sizing.least_core_words import NO_ROOM, least_core_sentences
from ui.window.views.studies.least import LeastCorePage


@pytest.fixture(autouse=True)
def few_builds(monkeypatch):
    """A handful of builds: the search itself has tests of its own."""
    monkeypatch.setattr(module, "TUBE_WIDTHS", (0.042,))
    monkeypatch.setattr(module, "ROWS", (1,))
    monkeypatch.setattr(module, "FINS_PER_INCH", (22,))
    monkeypatch.setattr(module, "PASSES", (1,))


@pytest.fixture
def roomy(context_of):
    """The track-day car on its lap, with room for a larger core."""
    context = context_of("track-day-car")
    for _ in range(2):  # the duties before the lap: any core holds them
        context.document.remove_item("duties", 0)
    for name, size in (("height", "600 mm"), ("width", "750 mm"), ("depth", "50 mm")):
        context.document.edit(f"limits.room_{name}", size)
    context.document.resolve()
    return context


def test_without_a_room_it_says_what_to_enter(show, context_of):
    assert show(LeastCorePage(context_of("track-day-car"))).line.text == NO_ROOM


def test_part_of_a_room_names_the_rest(show, context_of):
    context = context_of("track-day-car")
    context.document.edit("limits.room_height", "600 mm")
    context.document.resolve()
    assert "Room for the core, width" in show(LeastCorePage(context)).line.text


def test_the_answer_is_the_engines_and_goes_into_the_case_in_one_step(show, roomy, asked_first, answered, qtbot):
    page = show(asked_first(LeastCorePage(roomy)))
    found = answered(page)
    assert page.said.texts == least_core_sentences(found, roomy.system)
    assert page.pictures.cards[0].view.plot.words.title == "Cores that hold"
    combo = by_name(page, "Core to put into the case", QComboBox)
    assert combo.count() == len(found.front)
    before = roomy.document.text
    qtbot.mouseClick(by_name(page, "Put this core into the case", QPushButton), Qt.MouseButton.LeftButton)
    assert roomy.document.text == found.text
    core = resolve(roomy.document.text).radiator
    assert float(core.core_height[0]) == pytest.approx(found.least.core.height, abs=1e-6)
    assert roomy.document.undo_name == "Put a core into the case"
    roomy.document.undo()
    assert roomy.document.text == before


def test_what_was_typed_since_the_search_stays(show, roomy, asked_first, answered, qtbot):
    page = show(asked_first(LeastCorePage(roomy)))
    answered(page)
    roomy.document.edit("job.customer", "A. Customer")
    qtbot.mouseClick(by_name(page, "Put this core into the case", QPushButton), Qt.MouseButton.LeftButton)
    assert roomy.document.text.typed("job.customer") == "A. Customer"
    assert roomy.document.text.typed("radiator.passes") == "1"


def _tap(view, key, qtbot):
    box = view.spots_of(key)[0].box
    at = QPoint(round(0.5 * (box.left + box.right)), round(0.5 * (box.top + box.bottom)))
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=at)


def test_a_point_of_the_picture_goes_into_the_case_by_mouse_and_by_key(show, roomy, asked_first, answered, qtbot):
    """The largest core by a click, the least by the arrow keys; each one step that undo takes back."""
    page = show(asked_first(LeastCorePage(roomy)))
    found = answered(page)
    view, before = page.pictures.cards[0].view, roomy.document.text
    assert len(found.front) > 1
    assert set(view.taps) == {str(i) for i in range(len(found.front))}
    largest = max(range(len(found.front)), key=lambda i: found.front[i].volume)
    _tap(view, str(largest), qtbot)
    taken = found.front[largest].core
    assert roomy.document.text == with_core(before, resolve(before), taken)
    assert roomy.document.undo_name == "Put a core into the case"
    roomy.document.undo()
    assert roomy.document.text == before
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Return)
    assert roomy.document.text == before  # nothing was pointed at yet
    qtbot.keyClick(view, Qt.Key.Key_Right)
    assert view.accessibleDescription().startswith("Put into the case: ")
    qtbot.keyClick(view, Qt.Key.Key_Return)
    assert roomy.document.text == found.text
    roomy.document.undo()
    assert roomy.document.text == before


def test_where_nothing_fits_it_says_why_and_offers_nothing(show, roomy, asked_first, answered):
    roomy.document.edit("limits.room_height", "300 mm")
    roomy.document.resolve()
    page = show(asked_first(LeastCorePage(roomy)))
    found = answered(page)
    assert found.nothing_fits is not None
    button = by_name(page, "Put this core into the case", QPushButton)
    assert not button.isEnabled()
    assert not button.isVisible(), "an empty list and the bare head of a table stood there"
    assert not page.table.isVisible()
