"""The proof of a cold engine asks for no more than healthy vehicles of its class show in its weather.

How long real ones take is told in ``tests/road``; here are vehicles drawn anew, from -20 to 25 degC.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import numpy as np
import pytest

from engcalc.case.reading_words import GAUGE_MIDDLE
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.evidence.readings import ways_driven
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.criterion import gauge_middle_by
from engcalc.vehicle.run import runs_of
from engcalc.words.diagnosis.what_follows import proof_after
from engcalc.words.texts import page_texts

AIR = (-20, -8, 5, 25)  # degC
VEHICLES = (("family car", "petrol"), ("delivery van", "diesel"))
K0 = 273.15
FEWEST_PASS = 0.9  # -; of vehicles drawn anew: the slow edge leaves out 1 in 20, drawn from 80
IN_TIME = re.compile(r"in its middle within (\d+) min")
AT_LEAST = re.compile(
    r"scan tool (\d+) min after the start\. In such weather a healthy vehicle is at (-?\d+) °C or more"
)


@cache
def slow_to_warm(vehicle: str, fuel: str, air: int, **before: Any) -> Check:
    """A gauge at a quarter after 20 min in town, the heater high."""
    gauge = {"what": "coolant", "at": "20 min", "value": "quarter", "instrument": "dash_gauge"}
    record = {"ambient": f"{air} degC", "heater_setting": "high", "driving": "town", "spots": [gauge], **before}
    tree = {
        "format": FORMAT,
        "vehicle": {"class": vehicle},
        "engine": {"fuel": fuel},
        "job": {"reason": "slow warm-up"},
        "evidence": {"before": {**record, "engine_off_phases": "no", "seen": {"thermostat_open_when_cold": True}}},
    }
    return check_with_records(resolve(CaseText(tree)), {}, members=80).check


@pytest.mark.parametrize("air", AIR)
@pytest.mark.parametrize(("vehicle", "fuel"), VEHICLES)
def test_no_healthy_vehicle_fails_its_own_proof(vehicle: str, fuel: str, air: int) -> None:
    check = slow_to_warm(vehicle, fuel, air)
    said = proof_after(check, UnitSystem.SI)
    (way,) = ways_driven(check.case, runs_of(check.case, "before", {}), 80, seed=77)
    time, shown = way.shown.time, way.shown.shown
    if asked := IN_TIME.search(said):
        after = time >= 60.0 * float(asked[1])
        passed = (shown[after] >= GAUGE_MIDDLE[0]).all(axis=0)
    elif asked := AT_LEAST.search(said):
        passed = way.shown.at(shown, np.array([60.0 * float(asked[1])]))[0] - K0 > float(asked[2]) - 0.5
        assert check.readings[0].measured - K0 < float(asked[2]), "what was found would pass"
    else:
        assert page_texts.PROOF_BY_ITS_COURSE.removeprefix("{begin}") in said
        return
    low = np.quantile(shown, 0.05, axis=1)
    in_the_band = (shown >= low[:, None]).all(axis=0)
    assert in_the_band.sum() > 40
    assert passed[in_the_band].mean() > 0.98, said
    assert passed.mean() >= FEWEST_PASS, said


def test_in_frost_no_minute_is_asked_for_that_a_healthy_one_may_miss() -> None:
    minutes = [IN_TIME.search(proof_after(slow_to_warm("family car", "petrol", air), UnitSystem.SI)) for air in AIR]
    assert [found and float(found[1]) for found in minutes] == [None, None, None, 30.0]


def test_where_nothing_was_read_no_minute_is_asked_for() -> None:
    tree = {"format": FORMAT, "vehicle": {"class": "family car"}, "job": {"reason": "slow warm-up"}}
    check = check_with_records(resolve(CaseText(tree)), {}, members=8).check
    said = proof_after(check, UnitSystem.SI)
    assert page_texts.PROOF_BY_ITS_COURSE.format(begin=page_texts.FROM_A_COLD_START) in said


def test_a_run_that_began_warm_is_proven_by_one_that_begins_as_warm() -> None:
    said = proof_after(slow_to_warm("family car", "petrol", -8, start_temperature="30 degC"), UnitSystem.SI)
    assert said.startswith("Let it cool to 30 °C. Then drive it again")
    cold = proof_after(slow_to_warm("family car", "petrol", -8, start_temperature="-4 degC"), UnitSystem.SI)
    assert cold.startswith(page_texts.FROM_A_COLD_START)


def test_the_slow_edge_has_to_stay_in_the_middle() -> None:
    time = 60.0 * np.arange(31.0)
    middle = GAUGE_MIDDLE[0]
    rising = np.linspace(middle - 24.0, middle + 36.0, 31)  # there after 12 min
    assert gauge_middle_by(time, rising) == 900.0
    falls = np.where((time > 1000.0) & (time < 1300.0), middle - 1.0, rising)
    assert gauge_middle_by(time, falls) == 1500.0
    assert gauge_middle_by(time, np.minimum(rising, middle - 0.1)) is None
    assert gauge_middle_by(time, np.full(31, middle)) == 0.0
