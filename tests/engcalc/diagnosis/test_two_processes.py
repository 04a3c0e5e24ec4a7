"""A batch on two processes is the batch on one: the same members, in the same order, whatever becomes of the other."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from dataclasses import fields, replace
from functools import partial
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.members import two_processes
from engcalc.diagnosis.members.simulated import Batch, Hypothesis, Problem, Simulated, problem_of, simulate
from engcalc.diagnosis.members.two_processes import TwoProcesses, halves
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.errors import InputError, InputFault
from engcalc.vehicle.run import runs_of

pytestmark = pytest.mark.fresh

KEYS = ("healthy", "thermostat_stuck_open", "sensor_reads_low", "low_coolant")


def problem(driving: str, side: str = "outlet") -> Problem:
    spot = {"what": "coolant", "at": "5 min", "value": "40 degC", "instrument": "scan_tool"}
    record = {"ambient": "6 degC", "heater_setting": "low", "driving": driving, "spots": [spot]}
    sections = {"thermostat": {"side": side}, "evidence": {"before": record}}
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return problem_of(found, *runs_of(found, "before", {}))


def batch_of(p: Problem, members: int, layouts: int = 1) -> Batch:
    rng = np.random.default_rng(3)
    made = []
    for i, key in enumerate(KEYS):
        h = Hypothesis((CAUSES[key],), i % layouts)
        made.append((h, rng.standard_normal((members, len(p.unknowns) + h.severities))))
    return made


@pytest.fixture(scope="module")
def both() -> Iterator[TwoProcesses]:
    with TwoProcesses() as two:
        yield two


def same(a: Simulated, b: Simulated) -> None:
    for f in fields(a):
        if isinstance(getattr(b, f.name), np.ndarray):
            assert getattr(a, f.name) == pytest.approx(getattr(b, f.name), rel=1e-9), f.name
    for mine, other in ((a.states, b.states), (a.histories, b.histories)):
        assert mine.keys() == other.keys()
        assert all(mine[k] == pytest.approx(other[k]) for k in other)
    assert a.settled.keys() == b.settled.keys()


@pytest.mark.parametrize("driving", ["town", "unknown"])
def test_members_come_out_as_in_one_process(both: TwoProcesses, driving: str) -> None:
    p = problem(driving)
    batch = batch_of(p, 80, len(p.layouts))
    batch = [batch[0], (batch[1][0], batch[1][1][:0]), *batch[2:]]  # one without members is left out by either
    for a, b in zip(both.simulate(p, batch), simulate(p, batch), strict=True):
        same(a, b)


def test_the_parts_are_of_about_equal_work_and_leave_nothing_out() -> None:
    p = problem("town")
    sizes = (100, 60, 50, 10)
    batch = [(h, z[:n]) for (h, z), n in zip(batch_of(p, 100), sizes, strict=True)]
    here, there = halves(p, batch)
    assert sorted([*here, *there]) == [0, 1, 2, 3]
    assert {sum(sizes[i] for i in part) for part in (here, there)} == {110}


def test_an_ensemble_is_not_cut_where_there_are_several() -> None:
    p = problem("town", "unknown")
    assert len(p.layouts) == 2
    batch = [pair for layout in range(2) for pair in ((replace(h, layout=layout), z) for h, z in batch_of(p, 10))]
    here, there = halves(p, batch)
    assert not {batch[i][0].layout for i in here} & {batch[i][0].layout for i in there}
    assert len(here) == len(there)


def test_an_ensemble_is_cut_where_the_parts_would_be_far_apart() -> None:
    """1,600 members with one place of the valve and 80 with the other: one process would wait for the other."""
    p = problem("town", "unknown")
    sizes = {0: 400, 1: 20}
    batch = [(replace(h, layout=i), z[:n]) for i, n in sizes.items() for h, z in batch_of(p, 400)]
    here, there = halves(p, batch)
    assert sorted([*here, *there]) == list(range(8))
    work = sorted(sum(len(batch[i][1]) for i in part) for part in (here, there))
    assert work == [80 + 400, 1200]  # half of the 1,120 that is over but for an ensemble, in whole entries
    even = [(replace(h, layout=i), z) for i in range(2) for h, z in batch_of(p, 400)]
    parts = [{even[i][0].layout for i in part} for part in halves(p, even)]
    assert not parts[0] & parts[1]


@pytest.mark.parametrize(
    ("driving", "side", "members", "there"),
    [
        ("town", "outlet", 20, False),  # both parts would be small ensembles: nothing is spared
        ("town", "outlet", 80, True),  # half of 320 members
        ("unknown", "outlet", 10, False),  # 160 members of four ways, in one ensemble
        ("town", "unknown", 10, True),  # one of two places of the valve, whose ensemble the first process is spared
    ],
)
def test_a_part_goes_over_where_it_saves_more_than_it_takes(driving: str, side: str, members: int, there: bool) -> None:
    class Watched(TwoProcesses):
        def _sent(self, *given: Any) -> Any:
            sent.append(given)

    sent: list[Any] = []
    p = problem(driving, side)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(two_processes, "simulate", lambda _problem, batch, *_rest: list(batch))
        batch = [((replace(h, layout=i)), z) for i in range(len(p.layouts)) for h, z in batch_of(p, members)]
        with Watched() as two:
            two.simulate(p, batch)
    assert bool(sent) == there


def test_one_drive_for_all_ways_is_one_ensemble() -> None:
    """What is asked of a check does not hang on how the record was driven: the ways then run as one."""
    p = problem("unknown")
    drive = p.runs[0].drive
    h = Hypothesis((CAUSES["healthy"],), 0)
    z = np.zeros((3, len(p.unknowns)))
    ways = simulate(p, [(replace(h, layout=i), z) for i in range(4)], None, drive)
    for found in ways:
        same(found, ways[0])


def test_a_cause_that_is_not_in_the_list_stays_here(both: TwoProcesses) -> None:
    p = problem("town")
    own = replace(CAUSES["low_coolant"], key="made_up")
    batch = [(Hypothesis((own,), 0), z) for _, z in batch_of(p, 80)[3:] * 4]
    found = both.simulate(p, batch)
    for a, b in zip(found, simulate(p, batch), strict=True):
        same(a, b)


def test_where_the_other_process_ends_this_one_does_all() -> None:
    p = problem("town")
    batch = batch_of(p, 80)
    with TwoProcesses() as two:
        two.simulate(p, batch)
        kill_the_other(two)
        for a, b in zip(two.simulate(p, batch), simulate(p, batch), strict=True):
            same(a, b)
        assert two._crew.alone


def kill_the_other(two: TwoProcesses) -> None:
    pool = two._crew._pool
    assert pool is not None
    for process in pool._processes.values():
        process.kill()


def process_and(answer: int) -> tuple[int, int]:
    return os.getpid(), answer


def killed_but_in(process: int) -> int:
    """The process that does this, ended at once unless it is the one that is named."""
    if os.getpid() != process:
        os.kill(os.getpid(), signal.SIGKILL)
    return process


def refused() -> None:
    raise InputError((InputFault("coolant.base", "x", "water would do"),))


def test_other_work_goes_to_the_other_process_once_a_batch_is_under_way(both: TwoProcesses) -> None:
    p = problem("town")
    found = both.beside(partial(process_and, 7))
    both.simulate(p, batch_of(p, 80))
    process, answer = found()
    assert answer == 7
    assert process != os.getpid()


def test_while_it_works_batches_run_here_alone() -> None:
    p = problem("town")
    batch = batch_of(p, 80)

    class Watched(TwoProcesses):
        def _sent(self, *given: Any) -> Any:
            sent.append(given)
            return super()._sent(*given)

    sent: list[Any] = []
    with Watched() as two:
        found = two.beside(partial(time.sleep, 60.0))  # s; it is not waited for
        two.simulate(p, batch)
        assert len(sent) == 1  # the first batch went first
        for a, b in zip(two.simulate(p, batch), simulate(p, batch), strict=True):
            same(a, b)
        assert len(sent) == 1
        kill_the_other(two)
    assert found is not None


def test_other_work_is_done_here_where_it_was_not_handed_over_or_the_other_process_ends() -> None:
    with TwoProcesses() as two:
        found = two.beside(partial(process_and, 3))  # no batch ever ran
        assert found() == (os.getpid(), 3)
        found = two.beside(partial(killed_but_in, os.getpid()))
        two._hand_over()
        assert found() == os.getpid()


def test_what_the_work_refuses_is_told_as_here(both: TwoProcesses) -> None:
    p = problem("town")
    found = both.beside(refused)
    both.simulate(p, batch_of(p, 80))
    with pytest.raises(InputError, match=r"coolant.base"):
        found()


def test_a_whole_check_comes_over_as_it_is_made_here(both: TwoProcesses) -> None:
    p = problem("town")
    case = resolve(CaseText({"format": FORMAT, "vehicle": {"class": "small car"}}))
    assert isinstance(case, Case)
    found = both.beside(partial(check_with_records, case, {}))
    both.simulate(p, batch_of(p, 80))
    there, here = found(), check_with_records(case, {})
    assert there.check.verdict is here.check.verdict
    assert conclude(there.check) == conclude(here.check)
