"""A run after the repair laid over the run before as it grows: when the proof stands, and what it says."""

from __future__ import annotations

import json
from types import SimpleNamespace

import pytest
from live_courses import TOWN, course

from engcalc.case.file import NO_FOLDER
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.repair.before_after import Proof, compare
from engcalc.errors import InputError
from engcalc.logs.log import read_log
from engcalc.units import UnitSystem
from engcalc.vehicle.run import read_logs
from engcalc.vehicle.warmup_study import study
from engcalc.words.diagnosis.proof_words import proof_sentences, so_far_sentence
from ui.live.before_run import logs_beside, with_before
from ui.live.watch import Watch, with_reading

VEHICLE = {"format": FORMAT, "vehicle": {"class": "family car"}, "job": {"reason": "no heat"}}
ROAD = tuple((v, t) for _ in range(6) for v, t in ((0.0, 15.0), (60.0, 120.0), (80.0, 150.0)))
EARLY, LATE = 200.0, 620.0  # s


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Before: a valve that stands open, in town. After: the same vehicle with a valve that shuts, on the road."""
    folder = tmp_path_factory.mktemp("pair")
    (folder / "before.csv").write_bytes(course("lift=0.4", TOWN, 5.0).log(until=900.0))
    (folder / "after.csv").write_bytes(course("", ROAD, 5.0).log(until=LATE))
    return folder


@pytest.fixture(scope="module")
def grown(folder):
    """Judged early and late."""
    text, logs = with_before(CaseText(VEHICLE), folder / "before.csv")
    watch = Watch(text, "after", "after.csv", logs)
    after = course("", ROAD, 5.0)
    return [watch.judge(after.log(until=until), None) for until in (EARLY, LATE)]


def test_the_proof_is_declared_when_it_stands(grown):
    early, late = grown
    assert (early.proof.proof, early.proof.stands) == (Proof.OPEN, False)
    assert (late.proof.proof, late.proof.stands) == (Proof.REPAIRED, True)
    assert so_far_sentence(early.proof, UnitSystem.SI).startswith("Not proven yet. 3.1 min after the start ")
    assert so_far_sentence(late.proof, UnitSystem.SI).startswith("The repair is proven. 10 min after the start ")


def test_the_run_before_is_laid_over_at_the_heat_put_in(grown):
    """On the road the engine takes more heat: the run in town had as much only later."""
    at = grown[1].proof.at_same_heat
    assert at.ratio > 1.2
    moving = at.time > 10.0  # until then both idle, and take the same
    assert (at.time_before[moving] >= at.time[moving]).all()
    assert at.before[-1] < at.after - 30.0


def test_the_recorded_pair_says_the_same_afterwards(grown, folder):
    evidence = {"before": {"log": {"file": "before.csv"}}, "after": {"log": {"file": "after.csv"}}}
    watch = Watch(CaseText({**VEHICLE, "evidence": evidence}), "after", "after.csv")
    case = watch.case_of(None)
    found = compare(study(case, read_logs(case, folder), fits=False))
    assert found is not None
    assert proof_sentences(found, UnitSystem.SI) == proof_sentences(grown[1].proof, UnitSystem.SI)


def test_the_run_before_comes_from_a_case_or_a_log(folder):
    own = {**VEHICLE, "vehicle": {"class": "pickup"}, "evidence": {"before": {"log": {"file": "before.csv"}}}}
    case = folder / "van.heatcase.json"
    case.write_text(json.dumps(own), encoding="utf-8")
    text, logs = with_before(None, case)
    assert text.tree["vehicle"] == {"class": "pickup"}
    assert set(logs) == {"before"}
    text, _ = with_before(CaseText(VEHICLE), case)  # the vehicle that is named stays
    assert text.tree["vehicle"] == {"class": "family car"}
    assert text.tree["evidence"]["before"] == {"log": {"file": "before.csv"}}
    text, logs = with_before(None, folder / "before.csv")
    assert text.tree["evidence"] == {"before": {"log": {"file": "before.csv"}}}
    assert logs["before"].end == read_log(folder / "before.csv").end


def test_a_case_without_a_run_before_is_refused(folder):
    case = folder / "empty.heatcase.json"
    case.write_text(json.dumps({**VEHICLE, "evidence": {"before": {"codes": ["P0128"]}}}), encoding="utf-8")
    with pytest.raises(InputError, match="before the repair would do"):
        with_before(None, case)


def test_the_log_that_is_being_read_is_not_looked_for():
    text = with_reading(CaseText(VEHICLE), "after", "not-there-yet.csv", ())
    assert logs_beside(text, "after", NO_FOLDER) == {}
    with pytest.raises(InputError, match=r"evidence\.after\.log\.file"):
        logs_beside(text, "before", NO_FOLDER)


def test_both_are_compared_anew_when_the_record_has_grown_by_a_tenth_and_at_the_end(folder, monkeypatch):
    """The fit of both takes seconds: an answer that is due in ten would not wait for it each time."""
    text, logs = with_before(CaseText(VEHICLE), folder / "before.csv")
    watch, made = Watch(text, "after", "after.csv", logs), []
    monkeypatch.setattr("ui.live.watch.compare", lambda *_, **__: made.append(1))
    whole, case = SimpleNamespace(records=()), watch.case_of(None)
    for end, last, times in ((100.0, False, 1), (109.0, False, 1), (110.1, False, 2), (111.0, True, 3)):
        watch._proved(case, whole, end, last, None)
        assert len(made) == times
