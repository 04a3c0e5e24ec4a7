"""A log that cannot be of the fuel that was entered is asked about."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import VehicleState
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.vehicle.fuel_doubt import THROTTLED, UNTHROTTLED, fuel_doubt, idle_pressure
from engcalc.verdict import FindingCode
from engcalc.words.answer.answer import carrying
from engcalc.words.answer.plainly import FUEL_DOUBTED, plain
from engcalc.words.answer.reasons import reasons


def case_of(fuel: str) -> Case:
    found = resolve(
        CaseText(
            {
                "format": FORMAT,
                "engine": {"fuel": fuel},
                "evidence": {"before": {"log": {"file": "log.csv"}, "ambient": "10 degC"}},
            }
        )
    )
    assert isinstance(found, Case)
    return found


def log_of(pressure: float, seconds: int = 120, speed: float = 0.0, rpm: float = 850.0) -> LogRecord:
    rows = [f"{t},{20 + 0.05 * t:.0f},{rpm:g},{speed:g},{pressure / 1e3:g}" for t in range(seconds)]
    header = "time (s),coolant (C),engine speed (rpm),vehicle speed (km/h),manifold pressure (kPa)"
    return read_log("\n".join([header, *rows]).encode())


@pytest.mark.parametrize(
    ("fuel", "pressure", "looks_like"),
    [
        ("petrol E10", 100e3, "diesel"),
        ("petrol E10", 28e3, None),
        ("diesel", 100e3, None),
        ("diesel", 28e3, "petrol"),
        ("LPG", 95e3, "diesel"),
        ("petrol", 70e3, None),
        ("diesel", 70e3, None),
        ("petrol", UNTHROTTLED + 1e3, "diesel"),
        ("petrol", UNTHROTTLED - 1e3, None),
        ("diesel", THROTTLED - 1e3, "petrol"),
        ("diesel", THROTTLED + 1e3, None),
    ],
)
def test_the_intake_at_idle_tells_the_ignition(fuel: str, pressure: float, looks_like: str | None) -> None:
    """28 kPa: five idles of a petrol 1.5 L (carOBD data set); 100 kPa: starts of a diesel (DOI 10.35097/1130)."""
    found = fuel_doubt(case_of(fuel), "before", log_of(pressure))
    assert [f.words["looks_like"] for f in found] == ([] if looks_like is None else [looks_like])


def test_only_idling_counts_and_enough_of_it() -> None:
    assert idle_pressure(log_of(28e3, speed=50.0)) is None
    assert idle_pressure(log_of(28e3, rpm=2500.0)) is None
    assert idle_pressure(log_of(28e3, rpm=0.0)) is None
    assert idle_pressure(log_of(28e3, seconds=15)) is None
    assert idle_pressure(log_of(28e3)) == pytest.approx(28e3)


def test_the_check_asks_in_words() -> None:
    found = check_with_records(case_of("petrol E10"), {"before": log_of(100e3)}, members=0).check
    assert FindingCode.FUEL_DOUBTED in {f.code for f in found.findings}
    told = " ".join(reason.text for reason in reasons(found))
    assert "looks like a diesel engine's" in told
    assert "The fuel entered is petrol E10. Which is right?" in told
    assert np.isfinite(found.duties[0].point.coolant_out[0])


@pytest.mark.parametrize(("pressure", "doubted"), [(99e3, True), (28e3, False)])
def test_nothing_is_green_while_the_fuel_is_doubted(pressure: float, doubted: bool) -> None:
    """A warm-up in time was told in green as healthy, over a log that is not of the fuel entered."""
    case = resolve(
        CaseText(
            {
                "format": FORMAT,
                "engine": {"fuel": "petrol E10"},
                "evidence": {
                    "before": {
                        "ambient": "20 degC",
                        "heater_setting": "off",
                        "driving": "country road",
                        "spots": [{"what": "coolant", "value": "90 degC", "at": "30 min", "instrument": "scan_tool"}],
                    }
                },
            }
        )
    )
    assert isinstance(case, Case)
    check = check_with_records(case, {"before": log_of(pressure)}, members=20).check
    found = conclude(check)
    assert (found.state, found.fuel_doubted, found.green) == (VehicleState.HEALTHY, doubted, not doubted)
    assert ("looks like a diesel engine's" in " ".join(carrying(check))) is doubted
    assert (plain(check).if_left == FUEL_DOUBTED) is doubted
