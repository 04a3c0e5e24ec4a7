"""The live paper and the working beside it: the same report that is exported, and nothing but the working."""

from __future__ import annotations

import pytest

from engcalc.studies.check import check
from reports.kinds import ReportKind
from ui.window.views.paper.view import PaperView, WorkingView


@pytest.fixture
def checked(context_of):
    """The context of an example with its answer."""

    def of(name: str):
        context = context_of(name)
        context.check = check(context.case, members=0)
        return context

    return of


@pytest.mark.parametrize(
    ("name", "kind"),
    [("van-no-heat", ReportKind.CUSTOMER), ("bench-exchanger", ReportKind.LESSON)],
)
def test_the_live_paper_is_of_the_kind_that_is_exported(show, checked, name, kind):
    view = show(PaperView(checked(name)))
    key = view.question().key
    assert kind in key


def test_the_working_view_shows_its_pages(show, checked, answered):
    view = show(WorkingView(checked("van-no-heat")))
    assert len(answered(view)) >= 1
    assert not view.export.isVisible()
