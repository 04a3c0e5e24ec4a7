"""A reading far over what valve and fan hold, and odds beside what was found: no face says healthy of either."""

from __future__ import annotations

from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.checks.found_causes import surely_at_fault
from engcalc.diagnosis.evidence.held import HELD, HELD_WITHIN, log_of_so_hot
from engcalc.diagnosis.evidence.likelihood import Likelihood
from engcalc.diagnosis.evidence.observations import PLACES, Observed, ReadingGroup
from engcalc.diagnosis.hottest import read_hot
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.units import UnitSystem
from engcalc.vehicle.run import records
from engcalc.words.diagnosis.causes_told import customer_lines, odds_lines

LITTLE = Effort(prior=24, first=16, round=400, rounds=2)
HELD_AT = np.array([361.15, 361.15, 393.15])  # K; 88 degC, and one whose valve opens late


def simulated(coolant: float = 361.15) -> Any:
    """Three vehicles that show ``coolant`` [K], whatever the time."""
    shown = np.full(3, coolant)
    return SimpleNamespace(
        opens=HELD_AT,
        fan_wanted=np.array([0.0, 366.15, 0.0]),
        members=3,
        coolant=shown,
        shown=shown,
        at=lambda _series, times: np.broadcast_to(shown, (len(times), 3)),
    )


def case_of(value: str, instrument: str, **seen: bool) -> Any:
    spot = {"what": "coolant", "value": value, "at": "25 min", "instrument": instrument}
    record = {"ambient": "33 degC", "driving": "town", "heater_setting": "low", "spots": [spot], "seen": seen}
    tree = {"format": "heatdocket-case/1", "vehicle": {"class": "large car"}, "evidence": {"before": record}}
    return resolve(CaseText(tree))


@cache
def found_of(value: str, instrument: str, **seen: bool) -> Diagnosis:
    return diagnose(case_of(value, instrument, **seen), {}, effort=LITTLE)


def test_up_to_what_valve_and_fan_hold_nothing_is_counted_and_over_it_a_normal_law() -> None:
    read, predicted = np.array([340.0, 375.0]), np.array([[335.0, 350.0, 376.0], [360.0, 371.0, 370.0]])
    held = np.array([367.15, 367.15, 367.15])
    found = log_of_so_hot(read, predicted, held, 3.0)
    over = np.array([375.0 - 367.15, 375.0 - 371.0, 375.0 - 370.0])
    law = stats.norm(scale=np.hypot(4.0, 3.0))  # common practice, no source: 4 K in use, 3 K of the instrument
    assert found == pytest.approx(law.logpdf(over) - law.logpdf(0.0))
    assert log_of_so_hot(read - 8.0, predicted, held, 3.0)[0] == 0.0


def test_the_likelihood_counts_it_once_for_a_group_and_never_for_what_is_no_coolant() -> None:
    values = (345.0, 390.0, 389.0)
    curve = ReadingGroup("curve", "curve", PLACES["sensor"], (600.0, 1200.0, 1300.0), values, 2.0)
    vent = ReadingGroup("spots[0]", "vent", PLACES["vent"], (1300.0,), (400.0,), 2.0)
    s, law = simulated(), Likelihood(Observed((curve,), (), ()))
    counted = law.too_hot(s, law.predicted(s))
    held = np.array([369.15, 374.15, 401.15])  # 8 K over where the valve opens, or over where the fan goes off
    wanted = -0.5 * np.maximum(390.0 - held, 0.0) ** 2 / (16.0 + 4.0)
    assert counted[0] == pytest.approx(wanted)
    assert not counted[1:].any()
    assert HELD == 8.0
    assert HELD_WITHIN == 4.0
    of_vent = Likelihood(Observed((vent,), (), ()))
    assert not of_vent.too_hot(simulated(), np.full((1, 3), 300.0)).any()
    unnamed = Likelihood(Observed((curve,), (), ()), 12.0)
    assert not unnamed.too_hot(s, unnamed.predicted(s)).any()  # nobody knows what holds it there


def test_a_slip_of_the_hot_reading_takes_its_weight_along() -> None:
    hot = ReadingGroup("spots[0]", "coolant", PLACES["coolant"], (1200.0,), (395.0,), 2.0)
    law, s = Likelihood(Observed((hot,), (), ())), simulated()
    predicted = np.full((1, 3), 361.15)
    counted = law.too_hot(s, predicted)
    assert counted[0, 0] < -10.0
    slipped = np.log(0.03 * np.sqrt(2.0 * np.pi) / 100.0)  # anywhere in 100 K
    found = law.of_readings(predicted, np.zeros((1, 3)), counted)
    assert found[0] == pytest.approx(slipped, abs=0.05)


@pytest.mark.parametrize(
    ("value", "instrument", "most"), [("121 degC", "scan_tool", 0.1), ("113 degC", "scan_tool", 0.5)]
)
def test_a_vehicle_read_at_its_limit_is_hardly_healthy(value: str, instrument: str, most: float) -> None:
    found = found_of(value, instrument)
    assert found.probability("healthy") < most
    assert found.probability("healthy") < found_of("92 degC", instrument).probability("healthy") - 0.4


def test_of_a_reading_at_the_limit_no_line_says_just_no_fault() -> None:
    found = found_of("121 degC", "dash_gauge")
    told = " ".join((*odds_lines(found, UnitSystem.SI), *customer_lines(found)))
    assert found.probability("healthy") > 0.1  # a dash gauge may well be off
    assert "No fault: the temperature that was read so high is wrong" in told
    assert "No fault that these readings would show" not in told


@pytest.mark.parametrize(("value", "hot"), [("109.9 degC", False), ("110 degC", True)])
def test_a_reading_is_hot_from_five_kelvin_under_the_limit(value: str, hot: bool) -> None:
    case = case_of(value, "scan_tool")
    assert read_hot(case, records(case)["before"], np.zeros(0)) is hot
    curve = np.array([300.0, float(case.limits.coolant_limit[0]) - 5.0])
    assert read_hot(case_of("90 degC", "scan_tool"), records(case_of("90 degC", "scan_tool"))["before"], curve)


def test_beside_a_fault_that_was_found_there_is_no_healthy_vehicle() -> None:
    found = found_of("113 degC", "dash_gauge", fan_runs_when_hot=False)
    assert found.probability("healthy") == 0.0
    assert found.best.fault == "fan_not_running"
    assert found.best.probability > 0.8
    assert sum(c.probability for c in found.causes) == pytest.approx(1.0)


def test_what_spoke_for_a_healthy_vehicle_goes_to_the_found_fault_alone() -> None:
    plain, seen = found_of("90 degC", "scan_tool"), found_of("90 degC", "scan_tool", cap_holds_pressure=False)
    assert plain.probability("healthy") > 0.8
    assert seen.probability("cap_weak") > 0.8
    assert seen.probability("healthy") == 0.0
    others = [c for c in seen.causes if c.fault not in ("cap_weak", "healthy")]
    assert all(c.probability <= plain.probability(c.fault) + 0.03 for c in others)


def test_dirt_on_a_vehicle_that_runs_well_leaves_it_healthy() -> None:
    assert surely_at_fault({"face_dirty": True, "seals_missing": True}) == frozenset()
    assert surely_at_fault({"fan_fuse_good": False}) == {"fan_not_running"}
    assert surely_at_fault({"level_low": True, "bubbles_when_running": True}) == {"low_coolant"}
    found = found_of("90 degC", "scan_tool", face_dirty=True)
    told = odds_lines(found, UnitSystem.SI)
    assert found.probability("healthy") > 0.5
    assert any(line.startswith("Nothing else that these readings would show: about ") for line in told)
    assert not any("No fault" in line for line in told)
