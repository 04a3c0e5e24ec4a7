"""A least core is sought once, whatever else is typed of the job, and anew where anything it follows from changes."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.errors import Cancelled
from engcalc.studies.choice import core_search, kept_cores
from engcalc.studies.choice.core_builds import Room, with_core
from engcalc.studies.choice.core_search import Least
from engcalc.studies.choice.kept_cores import KeptCores
from engcalc.studies.choice.least_core import least_core

TEXT = read_case(worked_examples.folder() / "track-day-car.heatcase.json")
ROOM = Room(0.60, 0.75, 0.05)


@pytest.fixture
def searches(monkeypatch):
    """The searches that were begun, of few builds; each is answered by the one done here, unless it can be stopped."""
    begun = []
    for name, few in (("TUBE_WIDTHS", (0.042,)), ("ROWS", (1,)), ("PASSES", (1,)), ("FINS_PER_INCH", (22,))):
        monkeypatch.setattr(core_search, name, few)
    found = least_core(TEXT, ROOM)

    def counted(*asked, cancelled=None, **how):
        begun.append(asked)
        return least_core(*asked, cancelled=cancelled, **how) if cancelled else found

    monkeypatch.setattr(kept_cores, "least_core", counted)
    return begun


def test_another_job_starts_no_search_and_stands_in_the_answer(searches):
    kept = KeptCores()
    first = kept.least_core(TEXT, ROOM)
    renamed = TEXT.with_value("job.title", "Another title")
    again = kept.least_core(renamed, ROOM)
    assert len(searches) == 1
    assert again.least == first.least
    assert again.text.get("job.title") == "Another title"
    case = resolve(renamed)
    assert isinstance(case, Case)
    assert again.text == with_core(renamed, case, first.least.core)
    assert again.checked.case.job.title == "Another title"


def test_what_the_core_follows_from_starts_a_search(searches):
    kept = KeptCores()
    kept.least_core(TEXT, ROOM)
    kept.least_core(TEXT.with_value("limits.margin", "4 K"), ROOM)
    kept.least_core(TEXT, Room(0.60, 0.75, 0.06))
    kept.least_core(TEXT, ROOM, Least.MASS)
    assert len(searches) == 4


def test_the_searches_asked_for_last_are_kept(searches):
    kept = KeptCores(most=1)
    for room in (ROOM, Room(0.60, 0.75, 0.06), ROOM):
        kept.least_core(TEXT, room)
    assert len(searches) == 3


def test_a_search_that_was_stopped_is_not_kept(searches):
    kept = KeptCores()
    with pytest.raises(Cancelled):
        kept.least_core(TEXT, ROOM, cancelled=lambda: True)
    assert kept.least_core(TEXT, ROOM).least is not None
    assert len(searches) == 2
