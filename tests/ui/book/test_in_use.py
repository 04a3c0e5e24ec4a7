"""The book while cases are worked on: jobs laid out as files, cases kept anew with their job, own rates, deletion."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

import worked_examples
from engcalc.case.file import SUFFIX, parse_case
from engcalc.case.resolve import resolve
from engcalc.causes.base_rates import base_rates
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.counted_rates import counted_rates
from engcalc.causes.outcomes import Outcome
from engcalc.errors import FileFault, InputError
from ui.book.claims import claims_with_truth, counted_jobs, keep_diagnosis, own_rates_of
from ui.book.in_use import BookInUse
from ui.book.jobs import show_job
from ui.book.laid_out import jobs_folder
from ui.book.store import Book

SEEN = Outcome("low_coolant", "seen", "a hose", "yes")
WITH_LOG = {"evidence": {"before": {"log": {"file": "drives/cold.csv"}}}}
LOG = b"time [s],coolant [degC]\n0,4\n60,9\n"


@pytest.fixture
def used(tmp_path: Path) -> BookInUse:
    found = BookInUse(tmp_path / "shop.jobbook")
    found.make()
    return found


def test_a_job_is_laid_out_with_what_its_case_names(used, case):
    kept = used.keep(case("van", customer="Ada Example", files={"drives/cold.csv": LOG}, sections=WITH_LOG))
    path, said = used.lay_out(kept.job)
    assert said == ""
    assert path == jobs_folder(used.path) / "job-00001" / "van.heatcase.json"
    assert (path.parent / "drives" / "cold.csv").read_bytes() == LOG
    assert json.loads(path.read_bytes())["job"]["customer"] == "Ada Example"
    assert used.is_known(path)
    assert used.job_of(path) == kept.job


def test_a_case_saved_anew_goes_to_the_job_that_it_came_from(used, case):
    job = used.keep(case("van", customer="Ada Example")).job
    path, _ = used.lay_out(job)
    text = json.loads(path.read_bytes())
    text["job"]["customer"] = "Bo Example"  # neither vehicle nor customer tells the job now
    path.write_text(json.dumps(text), "utf-8")
    assert used.keep(path).job == job
    with Book.open(used.path) as book:
        assert len(show_job(book, job).cases) == 2


def test_what_was_worked_on_outside_is_not_written_over(used, case):
    job = used.keep(case("van", customer="Ada Example")).job
    path, _ = used.lay_out(job)
    changed = path.read_bytes().replace(b"Ada", b"Eva")
    path.write_bytes(changed)
    again, said = used.lay_out(job)
    assert (again.read_bytes(), "changed outside" in said) == (changed, True)
    used.keep(path)
    assert used.lay_out(job) == (path, "")


def test_an_older_state_on_the_disk_gives_way_to_the_newest(used, case):
    place = case("van", customer="Ada Example")
    job = used.keep(place).job
    path, _ = used.lay_out(job)
    older = path.read_bytes()
    place.write_bytes(older.replace(b"Ada", b"Eva"))
    used.keep(place)
    again, said = used.lay_out(job)
    assert (b"Eva" in again.read_bytes(), said) == (True, "")


def test_a_case_that_is_in_no_book_has_no_job(used, case):
    path = case("van")
    assert used.job_of(path) is None
    assert used.job_of(None) is None
    assert not used.is_known(path)
    used.keep(path)
    assert BookInUse(used.path).job_of(path) == 1  # told by its content


def test_a_job_that_is_not_there_is_named(used):
    with pytest.raises(InputError, match="99"):
        used.lay_out(99)


def test_without_a_book_every_question_says_so(tmp_path):
    gone = BookInUse(tmp_path / "gone.jobbook")
    for ask in (lambda: gone.find(""), lambda: gone.lay_out(1), gone.honesty, lambda: gone.outcomes(1)):
        with pytest.raises(FileFault, match="no job book"):
            ask()


def test_a_customer_taken_out_leaves_no_files_laid_out(used, case):
    job = used.keep(case("van", customer="Ada Example")).job
    other = used.keep(case("estate", customer="Bo Example")).job
    mine, theirs = used.lay_out(job)[0], used.lay_out(other)[0]
    said = used.forget("ada example")
    assert "Ada Example was taken out" in said[0]
    assert not mine.parent.exists()
    assert theirs.exists()


def test_how_a_job_ended_closes_it(used, case):
    job = used.keep(case("van", customer="Ada Example")).job
    assert [line.job for line in used.find("", open_only=True)] == [job]
    said = used.record(job, SEEN)
    assert said.startswith(f"Job {job} is closed. Found: The coolant is low")
    assert used.find("", open_only=True) == ()
    assert used.outcomes(job) == (SEEN,)
    found, counts = used.honesty()
    assert (found.claims, counts) == (0, (1, 1))


def test_own_rates_are_those_of_the_command_line(used, case):
    path = case("van", reason="no heat", sections={"vehicle": {"class": "delivery van"}})
    used.record(used.keep(path).job, SEEN)
    found = resolve(parse_case(path.read_bytes(), "van"))
    with Book.open(used.path) as book:
        expected = counted_rates(counted_jobs(book), "no heat", "delivery van")
        assert own_rates_of(book, found) == used.own_rates(found)
    own = used.own_rates(found)
    assert own.per_cent == expected.per_cent
    assert own.per_cent["low_coolant"] > 100.0 / 41.0  # one job of 41, and what was expected of the 40
    assert "1 job" in own.basis
    assert used.own_rates(found) is own  # not counted anew while nothing happened
    used.record(1, Outcome("healthy", "seen", "", "yes"))
    assert used.own_rates(found).per_cent["healthy"] > own.per_cent["healthy"]


def test_odds_become_a_claim_before_the_outcome_only(book, case, little_diagnosis):
    from ui.book.jobs import add_case, record_outcome

    job = add_case(book, case("van")).job
    kept, said = keep_diagnosis(book, job, little_diagnosis)
    assert (kept, f"job {job}" in said) == (True, True)
    record_outcome(book, job, SEEN)
    (claim,) = claims_with_truth(book)
    assert claim.odds == {cause.fault: cause.probability for cause in little_diagnosis.causes}
    rates = little_diagnosis.base_rates
    assert claim.shipped == dict(base_rates(rates.reason, rates.rates).rates)
    assert keep_diagnosis(book, job, little_diagnosis)[0] is False
    assert keep_diagnosis(book, None, little_diagnosis)[0] is False


def test_odds_of_two_faults_and_those_after_a_repair_are_no_claim(book, case, little_diagnosis):
    from ui.book.jobs import add_case

    job = add_case(book, case("van")).job
    best = little_diagnosis.causes[0]
    pair = replace(little_diagnosis, causes=(replace(best, fault="low_coolant+fan_dead"), *little_diagnosis.causes[1:]))
    assert "low_coolant+fan_dead" not in CAUSES
    assert "two faults" in keep_diagnosis(book, job, pair)[1]
    after = replace(little_diagnosis, base_rates=replace(little_diagnosis.base_rates, repaired=True))
    assert "after a repair" in keep_diagnosis(book, job, after)[1]


def test_the_visits_of_a_vehicle_show_what_was_measured(used):
    folder = worked_examples.folder()
    first = used.keep(folder / f"van-no-heat{SUFFIX}").job
    second = used.keep(folder / f"van-repaired{SUFFIX}").job
    used.record(second, Outcome("thermostat_stuck_open", "seen", "thermostat", "yes"))
    visits = used.history(first, fits=False)
    assert [visit.job for visit in visits] == [first, second]
    assert [visit.job for visit in used.history(second, fits=False)] == [first, second]
    before, after = visits[1].runs
    assert (before.record, after.record) == ("before", "after")
    assert before.time_to[353.15] is None  # the valve stood open
    assert 300.0 < after.time_to[353.15] < 1500.0
    assert after.time_to[333.15] < after.time_to[343.15] < after.time_to[353.15]
    assert visits[1].outcome.replaced == "thermostat"


def test_a_visit_whose_case_has_faults_is_told_and_the_others_are_shown(used, case):
    good = used.keep(case("a", registration="ZZ 1")).job
    used.keep(case("b", registration="ZZ 1", sections={"engine": {"fuel": "coal"}}))
    found = used.history(good)
    assert [bool(visit.unread) for visit in found] == [False, True]
    assert "coal" in found[1].unread
