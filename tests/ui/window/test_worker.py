"""The worker: only the newest answer counts, a new request cancels the old one, of those that wait one is kept."""

from __future__ import annotations

import threading
from types import SimpleNamespace

import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import NoSolutionError
from ui.window.worker import FAST, FULL, Answer, Checker, Request, ThreadExecutor, compute

pytestmark = pytest.mark.fresh


@pytest.fixture
def cases() -> list[Case]:
    made = [resolve(CaseText()) for _ in range(3)]
    assert all(isinstance(case, Case) for case in made)
    return made


def echo(case, *, folder, members, progress, cancelled):
    """A check that says what it was asked."""
    progress(1.0)
    return SimpleNamespace(case=case, members=members)


def listening(executor, check=echo):
    checker = Checker(check, executor, refine_after_ms=0)
    heard: list[tuple[object, int]] = []
    checker.answered.connect(lambda answer: heard.append((answer.case, answer.members)))
    return checker, heard


def test_answers_out_of_order_leave_only_the_newest(qtbot, executor, cases):
    checker, heard = listening(executor)
    for case in cases:
        checker.request(case)
    first, second, third = executor.answers()
    for answer, deliver in (third, first, second):
        deliver(answer)
    assert heard == [(cases[2], FAST)]
    checker.close()


def test_an_answer_that_is_overtaken_is_dropped_even_when_it_comes_last_but_one(qtbot, executor, cases):
    checker, heard = listening(executor)
    checker.request(cases[0])
    ((answer, deliver),) = executor.answers()
    checker.request(cases[1])
    deliver(answer)
    assert heard == []
    executor.run()
    assert heard == [(cases[1], FAST)]
    checker.close()


def test_the_fast_answer_is_followed_by_the_uncertain_one(qtbot, executor, cases):
    checker, heard = listening(executor)
    checker.request(cases[0])
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))
    assert checker.busy
    executor.run()
    assert heard == [(cases[0], FAST), (cases[0], FULL)]
    assert not checker.busy
    checker.close()


def test_a_new_request_stops_the_running_one(qtbot, executor, cases):
    seen = []

    def check(case, *, folder, members, progress, cancelled):
        seen.append(cancelled())
        return SimpleNamespace(case=case, members=members)

    checker, heard = listening(executor, check)
    checker.request(cases[0])
    checker.request(cases[1])
    answers = [answer for answer, _ in executor.answers()]
    assert answers[0].reason == "no longer wanted"
    assert seen == [False]  # the first was not even begun
    checker.cancel()
    assert not checker.busy
    checker.close()
    assert heard == []


def test_no_solution_and_a_defect_are_told_apart(qtbot, executor, cases):
    def unsolvable(case, **options):
        raise NoSolutionError("the fan blows the wrong way")

    def broken(case, **options):
        return 1 / 0

    told = []
    for check in (unsolvable, broken):
        checker, _ = listening(executor, check)
        checker.failed.connect(lambda reason, defect: told.append((reason, defect)))
        checker.request(cases[0])
        executor.run()
        assert not checker.busy
        checker.close()
    assert told == [("the fan blows the wrong way", False), ("ZeroDivisionError: division by zero", True)]


def test_the_thread_keeps_only_the_newest_of_what_waits(qtbot, cases):
    begun, go_on = threading.Event(), threading.Event()
    asked = []

    def slow(case, *, folder, members, progress, cancelled):
        asked.append(case)
        begun.set()
        assert go_on.wait(10)
        return SimpleNamespace(case=case, members=members)

    executor = ThreadExecutor()
    checker = Checker(slow, executor, refine_after_ms=100_000)
    heard = []
    checker.answered.connect(lambda answer: heard.append(answer.case))
    checker.request(cases[0])
    assert begun.wait(10)
    checker.request(cases[1])
    checker.request(cases[2])
    go_on.set()
    qtbot.waitUntil(lambda: heard == [cases[2]])
    assert asked == [cases[0], cases[2]]
    checker.close()


def test_the_work_is_not_done_in_the_main_thread(qtbot, cases):
    where = []

    def check(case, *, folder, members, progress, cancelled):
        where.append(threading.get_ident())
        progress(0.5)
        return SimpleNamespace(case=case, members=members)

    checker = Checker(check, ThreadExecutor(), refine_after_ms=100_000)
    with qtbot.waitSignals([checker.answered, checker.progressed]):
        checker.request(cases[0])
    assert where != [threading.get_ident()]
    checker.close()


def test_closing_waits_for_the_thread_and_takes_no_more(qtbot, cases):
    executor = ThreadExecutor()
    checker, heard = listening(executor)
    checker.request(cases[0])
    checker.close()
    checker.request(cases[1])
    assert heard == []
    checker.cancel()


def test_the_worker_gets_a_request_that_cannot_change(cases):
    request = Request(1, cases[0], FAST, threading.Event())
    answer = compute(echo, request, lambda _share: None)
    assert isinstance(answer, Answer)
    with pytest.raises(AttributeError, match="cannot assign"):
        request.number = 2
