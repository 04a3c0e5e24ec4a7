"""Which record of a vehicle is what is expected of it: confirmed, of before no repair, and never a later one."""

from __future__ import annotations

import json
from datetime import date

import pytest

import ui.book.own_history as asked
from engcalc.causes.outcomes import Outcome
from engcalc.diagnosis.odds.own_history import NoPrior
from engcalc.errors import Cancelled
from engcalc.vehicle.own_prior import OwnPrior, changed_since
from engcalc.words.diagnosis.own_history_words import not_used_words
from ui.book.in_use import BookInUse
from ui.book.jobs import add_case, record_outcome
from ui.book.own_history import (
    DatedVisit,
    EarlierRecord,
    FittedRecords,
    HistoryNotUsed,
    NoHistory,
    earlier_record,
    fitted,
    in_order,
    read_day,
)

LOG = b"time [s],coolant [degC]\n" + b"".join(f"{60 * i},{4 + 3 * i}\n".encode() for i in range(20))
RUN = {"before": {"ambient": "5 degC", "log": {"file": "run.csv"}}}
REPAIRED = {**RUN, "after": {"ambient": "7 degC", "log": {"file": "run.csv"}}}
HEALTHY = Outcome("healthy", "measured", "", "unknown")
CURED = Outcome("thermostat_stuck_open", "seen", "thermostat", "yes")


@pytest.fixture
def visit(book, case):
    """``visit(day, evidence, outcome)`` keeps a visit of the one vehicle and gives its job."""

    def keep(day: str, evidence=None, outcome: Outcome | None = None, **job) -> int:
        sections = {"evidence": RUN if evidence is None else evidence, "vehicle": {"class": "delivery van"}}
        path = case(f"of {day}", files={"run.csv": LOG}, sections=sections, registration="ZZ 1", date=day, **job)
        added = add_case(book, path).job
        if outcome is not None:
            record_outcome(book, added, outcome)
        return added

    return keep


@pytest.fixture
def now(case):
    """The case of today's visit, which the book does not have."""
    from engcalc.case.file import read_case

    evidence = {"before": {"ambient": "-2 degC"}}
    sections = {"evidence": evidence, "vehicle": {"class": "family car"}, "base_rates": {"low_coolant": "9 %"}}
    return read_case(case("today", sections=sections, registration="zz-1", date="2026-03-04", complaint="cold"))


def test_the_newest_confirmed_record_counts(book, visit, now):
    visit("2024-03-04", outcome=HEALTHY)
    job = visit("2025-03-04", outcome=HEALTHY)
    visit("2025-06-01", outcome=None)  # nobody confirmed it
    found = earlier_record(book, now)
    assert isinstance(found, EarlierRecord)
    assert (found.job, found.day, found.record) == (job, "2025-03-04", "before")
    assert found.logs == {"run.csv": LOG}
    assert found.changed == changed_since(365.0)
    text = found.text  # the vehicle as it is described now, in its earlier record, and nothing of any visit
    assert text.get("vehicle") == {"class": "family car"}
    assert text.get("evidence") == {"before": RUN["before"]}
    assert text.get("job") == {"reason": "screening"}
    assert text.get("base_rates") is None


def test_after_a_repair_only_the_record_after_it_counts(book, visit, now):
    visit("2024-03-04", outcome=HEALTHY)
    job = visit("2025-03-04", REPAIRED, CURED)
    found = earlier_record(book, now)
    assert (found.job, found.record) == (job, "after")
    assert found.text.get("evidence.before.ambient") == "7 degC"


@pytest.mark.parametrize(
    ("evidence", "outcome", "job"),
    [
        (RUN, CURED, {}),  # nothing was measured after the repair
        (REPAIRED, Outcome("low_coolant", "seen", "hose", "unknown"), {}),  # nobody knows whether it cured
        (RUN, Outcome("low_coolant", "guess", "hose", "unknown"), {}),
        (RUN, Outcome("low_coolant", "seen", "hose", "no"), {}),
        (RUN, None, {"work_done": "new thermostat"}),
        (REPAIRED, None, {}),
    ],
)
def test_what_was_before_a_repair_is_another_vehicle(book, visit, now, evidence, outcome, job):
    visit("2024-03-04", outcome=HEALTHY)
    repaired = visit("2025-03-04", evidence, outcome, **job)
    assert earlier_record(book, now) == HistoryNotUsed(NoHistory.REPAIRED, repaired, "2025-03-04")


@pytest.mark.parametrize(
    "outcome",
    [
        None,
        Outcome("healthy", "guess", "", "unknown"),
        Outcome("healthy", "seen", "", "no"),
        Outcome("low_coolant", "guess", "", "unknown"),
    ],
)
def test_a_record_that_nobody_confirmed_does_not_count(book, visit, now, outcome):
    job = visit("2025-03-04", outcome=outcome)
    assert earlier_record(book, now) == HistoryNotUsed(NoHistory.UNCONFIRMED, job, "2025-03-04")


def test_something_replaced_on_a_healthy_vehicle_is_a_change(book, visit, now):
    job = visit("2025-03-04", outcome=Outcome("healthy", "seen", "coolant and hoses", "yes"))
    assert earlier_record(book, now) == HistoryNotUsed(NoHistory.REPAIRED, job, "2025-03-04")


def test_a_visit_without_a_curve_and_no_visit_at_all(book, visit, now):
    assert earlier_record(book, now) == HistoryNotUsed(NoHistory.NO_VISIT)
    job = visit("2025-03-04", {"before": {"ambient": "5 degC"}}, HEALTHY)
    assert earlier_record(book, now) == HistoryNotUsed(NoHistory.NO_RECORD, job, "2025-03-04")


def test_neither_the_same_visit_nor_a_later_one_counts(book, visit, now):
    job = visit("2026-03-04", outcome=HEALTHY)
    later = visit("2026-05-01", outcome=HEALTHY)
    assert earlier_record(book, now) == HistoryNotUsed(NoHistory.NO_VISIT)
    assert earlier_record(book, now, job) == HistoryNotUsed(NoHistory.NO_VISIT)
    assert earlier_record(book, now, later).job == job


def test_visits_are_in_the_order_of_their_days_where_all_can_be_read():
    visits = [DatedVisit(1, "2026-02-01"), DatedVisit(2, "2025-12-31"), DatedVisit(3, "2026-02-01")]
    assert [visit.job for visit in in_order(visits)] == [2, 1, 3]
    assert [visit.job for visit in in_order([*visits, DatedVisit(4, "spring")])] == [1, 2, 3, 4]
    assert (read_day(" 2026-02-01 "), read_day("1 Feb 2026")) == (date(2026, 2, 1), None)


# ---- fitted ---------------------------------------------------------------------------------------------------------

PRIOR = OwnPrior((), (), {}, 0.3)


@pytest.fixture
def earlier(book, visit, now) -> EarlierRecord:
    visit("2025-03-04", outcome=HEALTHY)
    found = earlier_record(book, now)
    assert isinstance(found, EarlierRecord)
    return found


def fitting(monkeypatch, answer):
    """Put an answer in the place of the fit; gives the cases that it was asked for."""
    cases = []

    def fit(case, logs, changed, **_how):
        cases.append((case, logs, changed))
        return answer

    monkeypatch.setattr(asked, "prior_of_record", fit)
    return cases


def test_a_record_is_fitted_with_its_log(earlier, monkeypatch):
    cases = fitting(monkeypatch, (PRIOR, 0.93))
    found = fitted(earlier)
    assert (found.job, found.day, found.record, found.healthy, found.prior) == (1, "2025-03-04", "before", 0.93, PRIOR)
    case, logs, changed = cases[0]
    assert (case.vehicle.class_, set(logs), changed) == ("family car", {"before"}, earlier.changed)


@pytest.mark.parametrize("why", list(NoPrior))
def test_a_record_that_does_not_look_healthy_is_told(earlier, monkeypatch, why):
    fitting(monkeypatch, (why, 0.4))
    found = fitted(earlier)
    assert found == HistoryNotUsed(NoHistory(why.value), 1, "2025-03-04")
    assert "job 1" in not_used_words(found.why, found.job, found.day)


def test_something_found_in_the_record_rules_it_out(book, visit, now):
    seen = {"before": {**RUN["before"], "seen": {"thermostat_missing": True}}}
    visit("2025-03-04", seen, HEALTHY)
    assert fitted(earlier_record(book, now)).why is NoHistory.NOT_HEALTHY


def test_a_record_without_its_log_is_told(earlier):
    from dataclasses import replace

    assert fitted(replace(earlier, logs={})).why is NoHistory.UNREAD


def test_each_record_is_fitted_once_and_a_stopped_fit_is_not_kept(earlier, monkeypatch):
    from dataclasses import replace

    records = FittedRecords()

    def stopped(*_arguments, **_how):
        raise Cancelled("stopped")

    monkeypatch.setattr(asked, "prior_of_record", stopped)
    with pytest.raises(Cancelled):
        records.of(earlier)
    cases = fitting(monkeypatch, (PRIOR, 0.93))
    assert records.known(earlier) is None
    assert records.of(earlier).prior is PRIOR
    assert records.of(replace(earlier, changed=0.5)).prior.changed == 0.5
    assert len(cases) == 1


def test_every_reason_has_its_words():
    said = [not_used_words(why, 3, "2026-01-02") for why in NoHistory]
    assert len(set(said)) == len(NoHistory)
    assert all("{" not in text for text in said)


def test_the_window_asks_for_the_case_as_it_is_typed(book, case, now):
    path = case("kept", files={"run.csv": LOG}, sections={"evidence": RUN}, registration="ZZ 1", date="2025-01-01")
    used = BookInUse(book.path, book.now)
    job = used.keep(path).job
    with_outcome = used.record(job, HEALTHY)
    assert with_outcome
    assert used.earlier_record(now, None).job == job
    own = json.loads(path.read_bytes())
    own["job"]["date"] = "2026-03-03"
    path.write_text(json.dumps(own), "utf-8")  # typed on, and not kept yet
    assert used.earlier_record(now, path).why is NoHistory.NO_VISIT
