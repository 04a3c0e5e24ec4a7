"""The round of the Tab key through the form, and the form of a lesson."""

from __future__ import annotations

import re
from itertools import groupby

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QLabel,
    QWidget,
)
from pytestqt.qtbot import QtBot
from widgets import by_name, open_sections

from engcalc.case.declare import DetailLevel
from ui.window.form.panel import FormPanel
from ui.window.start_page import WayIn


def test_a_lesson_shows_first_what_a_lesson_needs_to_the_eye_and_to_the_tab_key(window, qtbot):
    """Coolant, radiator and duties stood above the streams of an exchanger."""
    window.start(WayIn.LESSON)
    form = window.workspace.form
    open_sections(form, ("hot_stream", "rig"))
    shown = [section for section in form.sections if section.isVisible()]
    qtbot.waitUntil(lambda: len({section.y() for section in shown}) == len(shown))
    by_place = [section.plan.path for section in sorted(shown, key=lambda section: section.y())]
    bench = ["hot_stream", "cold_stream", "exchanger", "rig", "problems"]
    assert by_place == [*bench, "radiator", "coolant", "duties"]
    headings = {id(section.heading): section.plan.path for section in shown}
    met = met_by_tab(form, qtbot)
    assert [headings[id(widget)] for widget in met if id(widget) in headings] == by_place


MOST_STOPS = 400  # of the Tab key in a form


def met_by_tab(form: FormPanel, qtbot: QtBot) -> list[QWidget]:
    """Every widget of the form that the Tab key meets, from its first field to where it leaves the form."""
    first = form.first_field()
    assert first is not None
    first.setFocus()
    found = []
    while form.isAncestorOf(now := QApplication.focusWidget()) and len(found) < MOST_STOPS:
        found.append(now)
        qtbot.keyClick(now, Qt.Key.Key_Tab)
    assert len(found) < MOST_STOPS  # else it goes in a circle
    return found


def places(form: FormPanel, met: list[QWidget]) -> list[tuple[int, int]]:
    """Where the fields, headings and buttons stand in the form, one after another: down, then across."""
    origin = QPoint(0, 0)
    tops = [next((field for field in form.binding.fields() if field.isAncestorOf(one)), one) for one in met]
    points = [top.mapTo(form.area.widget(), origin) for top in tops]
    return [(point.y(), point.x()) for point in points]


def test_tab_meets_what_was_opened_later_where_it_stands(window, qtbot):
    """Fields of a section, of a card and of another depth came at the end of the round, behind everything else."""
    window.start(WayIn.LESSON)
    window.resize(1400, 900)
    form = window.workspace.form
    open_sections(form, ("problems", "exchanger", "hot_stream"))
    for name in ("Problem: Add", "Point: Add", "Problem: Add"):
        by_name(form, name).click()
    by_name(form, "Point 1: Copy").click()
    form.set_depth(DetailLevel.DETAIL)
    QApplication.processEvents()
    met = met_by_tab(form, qtbot)
    names = [one.accessibleName() for one in met]
    assert names[names.index("Section: Hot stream on the bench") + 1] == "Hot stream on the bench: Fluid"
    exchanger, rig = (names.index(f"Section: {title}") for title in ("Exchanger on the bench", "Bench rig"))
    assert "Exchanger on the bench: Power of the flow in a Wilson plot" in names[exchanger:rig]
    cards = [name for name in names if name.endswith(": Copy")]
    assert cards == [f"{card}: Copy" for card in ("Point 1", "Point 2", "Problem 1", "Problem 2")]
    found = [place for place, _ in groupby(places(form, met))]
    assert found == sorted(found)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Backtab)
    assert QApplication.focusWidget() is met[-1]


def test_the_whole_form_keeps_the_order_of_the_case(window, qtbot):
    window.start(WayIn.LESSON)
    window.workspace.open_step("detail")
    form = window.workspace.form
    form.set_depth(DetailLevel.DETAIL)
    qtbot.waitUntil(lambda: len({section.y() for section in form.sections}) == len(form.sections))
    assert sorted(form.sections, key=lambda section: section.y()) == form.sections


OF_A_VEHICLE = re.compile(
    r"\b(vehicles?|customer|driv\w+|workshop|shop|complaint|repair|cabin|car|engine)\b", re.IGNORECASE
)
NOT_MEANT = ("no vehicle around it", "engine oil")  # what a bench is not, and one of its fluids


def said_by(root: QWidget) -> set[str]:
    """All that a part of the window shows and says, but for the words of lists to choose from."""
    found = set()
    for one in (one for one in root.findChildren(QWidget) if one.isVisibleTo(root)):
        found |= {one.toolTip(), one.accessibleName(), one.accessibleDescription()}
        found |= {one.text()} if isinstance(one, QLabel | QAbstractButton) else set()
    return found


def test_a_lesson_without_a_vehicle_says_no_word_of_one(window):
    """The help of its first entry spoke of why the vehicle is here, and the tip of another of the customer."""
    window.start(WayIn.LESSON)
    workspace = window.workspace
    form, found = workspace.form, set()
    for step in workspace.job.steps[:-1]:  # every entry there is, is of vehicles too
        workspace.open_step(step.key)
        form.set_depth(DetailLevel.DETAIL)
        for section in form.sections:
            if section.isVisible() and section.plan.path in ("hot_stream", "exchanger", "rig", "problems", "job"):
                section.open()
        for view in step.views:
            workspace.stage.show_view(view)
            found |= said_by(workspace.side)
        for field in form.binding.fields():
            field.focused()
            found |= said_by(form) if field.isVisibleTo(workspace) else set()
    for meant in NOT_MEANT:
        found = {text.replace(meant, "") for text in found}
    assert [text for text in sorted(found) if OF_A_VEHICLE.search(text)] == []
