"""Parts of a study in other processes: what comes of them, what is refused, and what happens when nobody waits."""

from __future__ import annotations

import os
import signal
import time

import numpy as np
import pytest

import worked_examples
from engcalc.case.file import read_case
from engcalc.errors import Cancelled, InputError, InputFault
from engcalc.studies.choice import core_search as module
from engcalc.studies.choice.core_builds import Room
from engcalc.studies.choice.core_search import CoreSearch, Least, in_parts, resolved_case
from engcalc.studies.choice.least_core import least_core
from engcalc.studies.crew import Crew, nobody_stops_it

pytestmark = pytest.mark.fresh
CAR = read_case(worked_examples.folder() / "two-turbo-track-car.heatcase.json")
ROOMY, TIGHT = Room(0.50, 0.76, 0.07), Room(0.40, 0.60, 0.05)


def where(answer: int) -> tuple[int, int]:
    return os.getpid(), answer


def refused() -> None:
    raise InputError((InputFault("coolant.base", "x", "water would do"),))


def killed_but_in(process: int) -> int:
    """The process that does this, ended at once unless it is the one that is named."""
    if os.getpid() != process:
        os.kill(os.getpid(), signal.SIGKILL)
    return process


def goes_on_for(seconds: float) -> None:
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        nobody_stops_it()
        time.sleep(0.05)


def test_parts_are_done_in_other_processes_and_come_back_in_the_order_asked():
    with Crew(2) as crew:
        asked = [crew.ask(where, k) for k in range(4)]
        found = [one.result(nobody_stops_it) for one in asked]
    assert [answer for _, answer in found] == [0, 1, 2, 3]
    assert os.getpid() not in {process for process, _ in found}


def test_on_one_core_all_is_done_here_and_only_what_is_wanted():
    done = []
    with Crew(1) as crew:
        asked = [crew.ask(done.append, k) for k in range(2)]
        asked[1].result(nobody_stops_it)
        asked[1].result(nobody_stops_it)
    assert done == [1]


def test_what_the_work_refuses_is_told_as_here():
    with Crew(2) as crew, pytest.raises(InputError, match="water would do"):
        crew.ask(refused).result(nobody_stops_it)


def test_where_the_other_processes_end_this_one_does_all():
    with Crew(2) as crew:
        assert crew.ask(killed_but_in, os.getpid()).result(nobody_stops_it) == os.getpid()
        assert crew.ask(where, 7).result(nobody_stops_it) == (os.getpid(), 7)


def test_who_waits_no_more_stops_the_others_too():
    """The work would go on for a minute."""

    def gives_up() -> None:
        raise Cancelled("nobody waits")

    begun = time.monotonic()
    with Crew(2) as crew:
        asked = crew.ask(goes_on_for, 60.0)
        crew.ask(where, 0).result(nobody_stops_it)  # both are there
        with pytest.raises(Cancelled, match="nobody waits"):
            asked.result(gives_up)
    assert time.monotonic() - begun < 30.0


@pytest.fixture
def few_builds(monkeypatch):
    monkeypatch.setattr(module, "TUBE_WIDTHS", (0.032,))
    monkeypatch.setattr(module, "ROWS", (1, 2))
    monkeypatch.setattr(module, "FINS_PER_INCH", (22,))
    monkeypatch.setattr(module, "PASSES", (1,))


@pytest.mark.parametrize("room", [ROOMY, TIGHT], ids=["fits", "nothing fits"])
def test_the_least_core_is_the_same_with_any_number_of_processes(few_builds, room):
    alone = least_core(CAR, room)
    with Crew(2) as crew:
        shared = least_core(CAR, room, crew=crew)
    assert (shared.least, shared.front, shared.text) == (alone.least, alone.front, alone.text)
    assert (shared.nothing_fits is None) == (room is ROOMY)
    if alone.checked is not None and shared.checked is not None:
        of_both = zip(shared.checked.duties, alone.checked.duties, strict=True)
        assert all((a.peak, a.holds_probability) == (b.peak, b.holds_probability) for a, b in of_both)
    if alone.nothing_fits is not None and shared.nothing_fits is not None:
        assert shared.nothing_fits.growths == alone.nothing_fits.growths
        assert shared.nothing_fits.probability == alone.nothing_fits.probability


def test_parts_keep_every_core_and_none_is_larger_than_what_is_solved_together(few_builds):
    search = CoreSearch(CAR, resolved_case(CAR), ROOMY, Least.VOLUME)
    cores = [search.core(search.builds()[0], tubes) for tubes in range(10, 51)]
    for members in (1, 64, 200, 600):
        parts = in_parts(cores, members, module.WORTH_PARTING)
        assert [core for part in parts for core in part] == cores
        assert max(map(len, parts)) * members <= module.MOST_DRAWN + members
    few = in_parts(cores[:5], 200, module.WORTH_PARTING)
    assert [len(part) for part in few] == [5]


def test_a_core_in_two_parts_holds_as_likely_as_in_one(few_builds, monkeypatch):
    search = CoreSearch(CAR, resolved_case(CAR), ROOMY, Least.VOLUME)
    cores = [search.core(search.builds()[0], tubes) for tubes in (30, 38, 44, 46, 48, 50)]
    parted = search.probabilities(cores)
    monkeypatch.setattr(module, "WORTH_PARTING", 10**9)
    assert len(in_parts(cores, 200, module.WORTH_PARTING)) == 1
    assert np.array_equal(search.probabilities(cores), parted)
