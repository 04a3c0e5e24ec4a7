"""A vehicle's own history in the job book, as ``diagnose`` and ``report`` ask for it and tell of it."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from less_effort import FEW

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.causes.outcomes import Outcome
from engcalc.diagnosis.members.simulated import simulate
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.vehicle.own_prior import OwnHistory, OwnPrior, Place
from ui.book import own_history
from ui.book.jobs import add_case, record_outcome
from ui.book.store import Book
from ui.command.diagnosing import Expected, own_history_in, own_history_json


@pytest.fixture(scope="module")
def van_found() -> Diagnosis:
    found = resolve(read_case(worked_examples.folder() / f"van-no-heat{SUFFIX}"))
    assert isinstance(found, Case)
    return diagnose(found, {}, effort=FEW)


def asked_with_book(book: Path, case: Path, *, without: bool = False) -> argparse.Namespace:
    return argparse.Namespace(book=book, case=case, without_history=without, json=True)


def test_the_job_book_tells_what_is_expected_of_the_vehicle(tmp_path, monkeypatch):
    repaired, found = (worked_examples.folder() / f"{name}{SUFFIX}" for name in ("van-repaired", "van-no-heat"))
    fitted = OwnHistory(1, "2026-01-16", "after", 0.95, OwnPrior((), (), {}, 0.3))
    monkeypatch.setattr(own_history, "fitted", lambda earlier, **_how: replace(fitted, job=earlier.job))
    monkeypatch.setattr(own_history, "FITTED", own_history.FittedRecords())
    with Book.open(tmp_path / "shop.jobbook", make=True) as book:
        add_case(book, repaired)
        record_outcome(book, 1, Outcome("thermostat_stuck_open", "seen", "thermostat", "yes"))
    again = tmp_path / f"again{SUFFIX}"
    again.write_text(found.read_text("utf-8").replace("2026-01-14", "2027-01-14").replace("4711", "4900"), "utf-8")
    expected = own_history_in(asked_with_book(book.path, again), simulate)
    assert (expected.history.job, expected.why, expected.lines) == (1, None, ())
    assert own_history_in(asked_with_book(book.path, again, without=True), simulate) == Expected()
    before = own_history_in(asked_with_book(book.path, found), simulate)  # before the repair
    assert before.history is None
    assert before.why == before.lines[0]
    assert "the job book has no earlier visit of this vehicle" in before.why


def test_json_says_where_an_expectation_is_from(van_found):
    own = [u for u in van_found.kept.problem.unknowns if not u.of_record]
    place = Place(np.zeros(len(own)), 0.25 * np.eye(len(own)))
    prior = OwnPrior(tuple(u.key for u in own), tuple(u.spread for u in own), {"outlet": place}, 0.2)
    odds = {"thermostat_stuck_open": 0.4, "healthy": 0.3}
    known = replace(van_found, own=OwnHistory(4, "2025-03-04", "before", 0.94, prior), by_class=odds)
    told = own_history_json(known)
    assert told["odds_by_class"] == odds
    assert "would have about 4 in 10 in place of" in told["moved"]
    assert (told["job"], told["date"], told["record"]) == (4, "2025-03-04", "before")
    assert (told["healthy_probability"], told["changed_share_of_variance"]) == (0.94, 0.2)
    assert told["narrowest"]["spread_of_class"] == pytest.approx(0.4**0.5)  # 1 - 0.8 * 0.75 of the variance is left
    assert told["narrower_by_bits"] == pytest.approx((len(own) - 1) * 0.5 * np.log2(2.5), abs=0.5)  # of heat less
    assert own_history_json(van_found) is None
