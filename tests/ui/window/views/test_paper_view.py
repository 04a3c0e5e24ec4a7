"""The live paper and the working beside it: the same report that is exported, and nothing but the working."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.studies.check import check
from engcalc.words.texts import view_texts
from reports.kinds import ReportKind
from ui.window.views.paper.folded import whole_line
from ui.window.views.paper.view import PaperView, WorkingView


@pytest.fixture
def checked(context_of):
    """The context of an example with its answer."""

    def of(name: str):
        context = context_of(name)
        context.check = check(context.case, members=8)
        return context

    return of


@pytest.mark.parametrize(
    ("name", "kind"),
    [("van-no-heat", ReportKind.CUSTOMER), ("bench-exchanger", ReportKind.LESSON)],
)
def test_the_live_paper_is_of_the_kind_that_is_exported(qtbot, checked, name, kind):
    view = PaperView(checked(name))  # not shown: its pages would be made
    qtbot.addWidget(view)
    key = view.question().key
    assert kind in key


def test_no_paper_is_made_of_a_first_look(show, context_of):
    """At each key the chances are left out at first: a duty that holds by its numbers alone may then be marginal."""
    context = context_of("track-day-car")
    context.check = check(context.case, members=0)
    assert context.check.first_look
    view = show(PaperView(context))
    assert view.question() == view_texts.NO_ANSWER
    context.check = check(context.case, members=8)
    assert not context.check.first_look
    assert ReportKind.CUSTOMER in view.question().key or ReportKind.SIZING in view.question().key


def is_white(picture, row):
    return all(picture.pixelColor(x, row).lightness() > 240 for x in range(picture.width()))


def test_no_line_of_print_is_cut_through():
    page = np.array([0, 1, 1, 1, 1, 0, 1, 0], bool)
    assert [whole_line(page, row) for row in range(9)] == [0, 1, 1, 5, 5, 5, 6, 7, 8]


def test_the_working_is_folded_by_its_steps(show, checked, answered):
    view = show(WorkingView(checked("double-pipe")))
    folds = answered(view)
    titles = [(fold.level, fold.title) for fold in folds]
    assert titles[:2] == [(0, "Working of measured point 1, red"), (1, "Both streams")]
    assert (0, "Working of the Wilson plot") in titles
    assert all(fold.pictures for fold in folds if fold.level == 1)
    for picture in (picture for fold in folds for picture in fold.pictures):
        edges = (0, 5, picture.height() - 6, picture.height() - 1)
        assert all(is_white(picture, row) for row in edges), "no print stands at the edge"
    parts = view.folded.parts
    assert [part.heading.isChecked() for part in parts[:3]] == [True, True, False]
    closed = parts[2]
    assert not any(label.isVisible() for label in closed._pictures)
    closed.heading.click()
    assert all(label.isVisible() and label.height() > 50 for label in closed._pictures)
    other = next(i for i, part in enumerate(parts) if i and part.fold.level == 0)
    assert not parts[other + 1].isVisible()  # steps of a working that is closed
    view.folded.show_folds(folds)
    assert [part.heading.isChecked() for part in view.folded.parts[:4]] == [True, True, True, False]
    view.folded.all_button.click()
    assert all(part.heading.isChecked() for part in view.folded.parts)
    assert view.folded.all_button.text() == "Close all steps"
