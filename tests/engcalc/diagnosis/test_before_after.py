"""Before and after: the invented van's repair is proven, and what is no repair is not."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from less_effort import FEW_ROUNDS

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.repair.before_after import BeforeAfter, Proof, Unproven, _proof, at_any_pace, compare, left_open
from engcalc.units import UnitSystem
from engcalc.vehicle import fit
from engcalc.vehicle.run import read_logs, run_of
from engcalc.vehicle.settling import RecordEnd
from engcalc.vehicle.warmup_study import HealthyBand, study
from engcalc.verdict import Verdict
from engcalc.words.diagnosis.proof_words import proof_sentence, proof_sentences
from worked_examples.make_van_logs import AFTER, BEFORE

FOLDER = Path(worked_examples.__file__).parent


@cache
def compared(before: str = BEFORE.file, after: str = AFTER.file) -> BeforeAfter:
    """The repaired van with other logs in the places of its own."""
    text = read_case(FOLDER / "van-repaired.heatcase.json").tree
    evidence = {
        name: {**text["evidence"][name], "log": {"file": file}} for name, file in (("before", before), ("after", after))
    }
    case = resolve(CaseText({**text, "evidence": evidence}))
    assert isinstance(case, Case), case
    found = compare(study(case, read_logs(case, FOLDER), members=80, fits=False))
    assert found is not None
    return found


def test_the_repair_is_proven() -> None:
    found = compared()
    assert found.proof is Proof.REPAIRED
    assert found.odds > 0.95
    assert found.after_healthy
    assert found.change.after - found.change.before > 40.0  # K
    assert found.change.time_before is None
    assert found.unproven == (Unproven.NOT_HOT,)


def test_one_vehicle_explains_both_and_the_held_back_opening_is_found() -> None:
    found = compared()
    before, after = found.before.fitted, found.after.fitted
    assert before is not None
    assert after is not None
    assert before.opening_low <= BEFORE.opening <= before.opening_high  # held back in the generator
    assert after.opening_high < 0.01  # the invented van's new valve is healthy
    assert max(before.rms, after.rms) < 2.5  # K; noise, drift and rounding of the generator come to 1.3
    assert found.before.settled.end is RecordEnd.SETTLED


def test_a_record_alone_tells_what_its_valve_leaves_open() -> None:
    case = resolve(read_case(FOLDER / "van-repaired.heatcase.json"))
    assert isinstance(case, Case), case
    found = left_open(case, run_of(case, "before", read_logs(case, FOLDER)))
    assert found is not None
    assert found.low <= BEFORE.opening <= found.high  # held back in the generator
    assert found.low > 0.01


def test_the_same_record_twice_shows_that_nothing_has_changed() -> None:
    found = compared(after=BEFORE.file)
    assert found.proof in (Proof.SAME, Proof.OPEN)
    assert not found.after_healthy
    assert found.odds == pytest.approx(0.5, abs=0.35)
    assert abs(found.change.after - found.change.before) < 0.01


def test_the_sentence_for_the_customer() -> None:
    said = proof_sentence(compared(), UnitSystem.SI)
    assert said.startswith("36 min after the start the coolant was at ")
    assert said.endswith("now it warms up as a healthy vehicle does.")
    everything = proof_sentences(compared(), UnitSystem.US)
    assert "°F" in everything[0]
    assert any("radiator was never called upon" in s for s in everything)


def test_one_record_alone_proves_nothing() -> None:
    case = resolve(read_case(FOLDER / "van-no-heat.heatcase.json"))
    assert isinstance(case, Case)
    assert compare(study(case, {}, members=20, fits=False)) is None


def test_what_a_pace_adds_to_the_band_of_healthy_vehicles() -> None:
    """A rise of r [K/s] leaves r tau (1 - exp(-t/tau)) that is not forgotten; a valve that holds leaves nothing to add.

    1.645 standard deviations of a pace of 0.3 with tau 400 s, by hand.
    """
    time = np.arange(0.0, 4001.0, 10.0)
    middle = 280.0 + 0.1 * np.minimum(time, 400.0)
    found = at_any_pace(HealthyBand(time, middle - 5.0, middle, middle + 3.0, {}))
    S = 0.1 * 400.0 * (1.0 - np.exp(-1.0))
    assert found.low[40] == pytest.approx(320.0 - np.hypot(5.0, 1.645 * 0.3 * S), abs=1e-9)
    assert found.high[40] == pytest.approx(320.0 + np.hypot(3.0, 1.645 * 0.3 * S), abs=1e-9)
    assert (found.low[-1], found.high[-1]) == (pytest.approx(315.0, abs=1e-3), pytest.approx(323.0, abs=1e-3))


def test_a_record_that_ends_too_early_does_not_show_that_nothing_has_changed() -> None:
    """Whatever the odds, a vehicle that may still warm up is not said to be as it was."""
    before = SimpleNamespace(verdict=SimpleNamespace(verdict=Verdict.OVERCOOLING), measured=None)
    for verdict, proof in ((None, Proof.OPEN), (Verdict.OVERCOOLING, Proof.SAME), (Verdict.HOLDS, Proof.OPEN)):
        after = SimpleNamespace(study=SimpleNamespace(verdict=SimpleNamespace(verdict=verdict)))
        assert _proof(before, 0.3, False, after) is proof


# ---- readings by hand -----------------------------------------------------------------------------------------------


def by_hands(before: dict[str, object], after: dict[str, object]) -> BeforeAfter | None:
    """The repaired van as read by hand: each record without its log."""
    text = read_case(FOLDER / "van-repaired.heatcase.json").tree
    dropped = ("log", "spots", "curve", "codes", "seen")
    evidence = {
        name: {**{k: v for k, v in text["evidence"][name].items() if k not in dropped}, "soak": "12 h", **own}
        for name, own in (("before", before), ("after", after))
    }
    case = resolve(CaseText({**text, "evidence": evidence}))
    assert isinstance(case, Case), case
    return compare(study(case, {}, members=40, fits=False))


def spot(what: str, at: str, value: str, **more: str) -> dict[str, str]:
    return {"what": what, "at": at, "value": value, "instrument": "clamp", "surface": "rubber", **more}


# Where the schedule is not noted, half an hour is run. What shows in a few minutes is run for these alone.
SHORT = {"schedule": [{"vehicle_speed": "40 km/h", "heater": "high", "duration": "13 min"}]}
PAIRS_BEFORE, PAIRS_AFTER = [[5, "12 degC"], [12, "26 degC"]], [[5, "33 degC"], [12, "60 degC"]]


def test_two_typed_pairs_are_laid_side_by_side_and_said_to_be_too_few() -> None:
    found = by_hands({**SHORT, "curve": PAIRS_BEFORE}, {**SHORT, "curve": PAIRS_AFTER})
    assert found is not None
    assert found.proof is Proof.OPEN
    assert Unproven.TOO_FEW in found.unproven
    assert Unproven.TIMES not in found.unproven
    assert found.change.after - found.change.before == pytest.approx(34.0)
    assert found.odds > 0.8


def test_hoses_read_by_hand_enter_the_fit_beside_the_curve() -> None:
    warm, cold = (
        [spot("upper_hose", at, T) for at, T in (("6 min", a), ("10 min", b))]
        for a, b in (("25 degC", "45 degC"), ("-7 degC", "-5 degC"))
    )
    curve = PAIRS_AFTER  # the same in both records: what tells them apart is the hoses alone
    alone, hoses = (
        by_hands({**SHORT, "curve": curve, "spots": before}, {**SHORT, "curve": curve, "spots": after})
        for before, after in (([], []), (warm, cold))
    )
    assert alone is not None
    assert hoses is not None
    assert Unproven.TOO_FEW in alone.unproven
    assert Unproven.TOO_FEW not in hoses.unproven
    before, after = hoses.before.fitted, hoses.after.fitted
    assert before is not None
    assert after is not None
    assert before.opening > after.opening  # a hose that warms behind a valve that should be shut
    assert hoses.odds > alone.odds + 0.1


def test_single_coolant_readings_by_hand_are_compared_without_any_curve() -> None:
    def read(value: str) -> dict[str, object]:
        return {**SHORT, "spots": [spot("coolant", "12 min", value, surface="painted")]}

    found = by_hands(read("23 degC"), read("60 degC"))
    assert found is not None
    assert (found.proof, Unproven.TOO_FEW in found.unproven) == (Proof.OPEN, True)
    assert found.change.before - 273.15 == pytest.approx(26.0)  # a clamp reads 3 K low
    assert found.odds > 0.5


def test_readings_far_apart_in_time_are_said_to_be_that(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two minutes count as the same time: 12 min against 9 min is too far."""
    monkeypatch.setattr(fit, "CLOUD", FEW_ROUNDS)
    found = by_hands({**SHORT, "curve": PAIRS_BEFORE}, {**SHORT, "curve": [[5, "33 degC"], [9, "50 degC"]]})
    assert found is not None
    assert Unproven.TIMES in found.unproven


def test_a_reading_without_its_time_is_no_course() -> None:
    once = {"spots": [{"what": "coolant", "value": "38 degC", "instrument": "scan_tool"}]}
    assert by_hands(once, once) is None
