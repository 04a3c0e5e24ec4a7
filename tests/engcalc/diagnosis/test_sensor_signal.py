"""What the coolant sensor's own signal tells, on invented logs and on real healthy trips with faults planted in them.

Real trips: M. Weber, Automotive OBD-II Dataset, Karlsruhe Institute of Technology, DOI 10.35097/1130: no fault was
reported of any of them. Rates of looking are our own: common practice, no source.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from made_up_members import vehicle
from real_logs import real_log

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.evidence.likelihood import Likelihood
from engcalc.diagnosis.evidence.observations import Observed, observed
from engcalc.diagnosis.evidence.sensor_signal import SignalLook, look_at_signal, signal_sights
from engcalc.diagnosis.evidence.sights import SeenItem
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.logs.sensors import judge
from engcalc.vehicle.run import Run, run_of

SMALL = Effort(prior=32, steps=1, first=24, round=400, rounds=2)
TRIPS = ("winter-a", "winter-b", "summer-a", "summer-b")
Curve = Callable[[float], float]


def case_of(name: str = "x.csv") -> Case:
    found = resolve(
        CaseText({"format": FORMAT, "engine": {"fuel": "diesel"}, "evidence": {"before": {"log": {"file": name}}}})
    )
    assert isinstance(found, Case), found
    return found


def warming(t: float) -> float:
    return 90.0 - 80.0 * np.exp(-t / 400.0)


def invented(coolant: Curve, second: Curve | None = None) -> LogRecord:
    head = "Time (s),Engine RPM (rpm),Vehicle speed (km/h),Coolant temperature (degC)"
    rows = [f"{t},1800,60,{coolant(t):.0f}" for t in range(0, 1200, 2)]
    found = read_log("\n".join([head, *rows]).encode())
    if second is None:
        return found
    other = read_log("\n".join([head, *(f"{t},1800,60,{second(t):.0f}" for t in range(0, 1200, 2))]).encode())
    traces, notes = judge({**found.traces, Channel.COOLANT_2: other.traces[Channel.COOLANT]})
    return replace(found, traces=traces, notes=(*found.notes, *notes))


def planted(name: str, change: Callable[[float, float], float]) -> LogRecord:
    """A real trip with its coolant changed: from seconds since the first row and what was read [degC]."""
    rows = list(csv.reader(io.StringIO(real_log(name).read_bytes().decode("latin-1"))))
    column = next(i for i, head in enumerate(rows[0]) if "Coolant" in head)
    first = seconds(rows[1][0])
    for row in rows[1:]:
        if row[column]:
            row[column] = f"{change(seconds(row[0]) - first, float(row[column])):.0f}"
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return read_log(out.getvalue().encode("latin-1"))


def seconds(clock: str) -> float:
    h, m, s = clock.split(":")
    return 3600.0 * float(h) + 60.0 * float(m) + float(s)


def run(log: LogRecord) -> Run:
    return run_of(case_of(), "before", {"before": log})


def evidence(log: LogRecord) -> Observed:
    return observed(run(log))


def one(found: list[SeenItem], item: str) -> SeenItem:
    (sight,) = (s for s in found if s.item == item)
    return sight


def bad_connection(t: float, x: float) -> float:
    """A plug that works loose twice: 29 K low for eleven minutes, 20 K low for one and a half."""
    return x - 29.0 if 500.0 <= t < 1160.0 else x - 20.0 if 300.0 <= t < 390.0 else x


def dropouts(t: float, x: float) -> float:
    """An open circuit for two seconds, three times."""
    return -40.0 if any(at <= t < at + 2.0 for at in (400.0, 610.0, 800.0)) else x


# ---- what is seen -----------------------------------------------------------------------------------------------


def test_a_steady_signal_was_looked_at_and_nothing_seen() -> None:
    sight = one(signal_sights(run(invented(warming))), "signal")
    assert not sight.seen
    assert evidence(invented(warming)).jumps is False


@pytest.mark.parametrize(
    ("fault", "look"),
    [
        (lambda t: warming(t) - (25.0 if t >= 600 else 0.0), SignalLook.CERTAIN),
        (lambda t: 130.0 if t in (600, 602) else warming(t), SignalLook.LONE),
        (lambda t: 130.0 if t in (400, 600) else warming(t), SignalLook.CERTAIN),
        (lambda t: -40.0 if t == 600 else warming(t), SignalLook.LONE),
        (lambda t: -40.0 if t in (400, 600) else warming(t), SignalLook.CERTAIN),
        (lambda t: warming(t) + 4.0 * (1 - abs((t // 2) % 4 - 2)), SignalLook.STEADY),
        (lambda t: warming(t) + 6.0 * (1 - abs((t // 2) % 4 - 2)), SignalLook.DOUBTFUL),
    ],
    ids=["lasts", "lone", "twice", "dropout", "dropouts", "2.8 K rms", "4.2 K rms"],
)
def test_what_is_seen_of_a_signal(fault: Curve, look: SignalLook) -> None:
    assert look_at_signal(run(invented(fault))) is look


def test_another_sensors_fault_says_nothing_of_this_one() -> None:
    """Two coolant sensors, the second jumps: the first is steady."""
    found = run(invented(warming, lambda t: warming(t) - 10.0 - (30.0 if (t // 100) % 2 else 0.0)))
    assert found.log is not None
    assert found.log.faults
    assert look_at_signal(found) is SignalLook.STEADY


def test_a_second_sensor_that_reads_hotter_parts_and_a_colder_one_does_not() -> None:
    """A sensor at the radiator's outlet is cold while the valve is shut: that is no fault."""
    parts = {
        name: one(signal_sights(run(invented(warming, second))), "sensors_part").seen
        for name, second in (
            ("cold", lambda _: 15.0),
            ("near", lambda t: warming(t) + 9.0),
            ("hot", lambda t: warming(t) + 12.0),
        )
    }
    assert parts == {"cold": False, "near": False, "hot": True}


def test_rates_are_those_of_the_table() -> None:
    members = vehicle(ERRATIC=np.array([0.0, 1.0, 0.0]), LEVEL=np.array([0.0, 0.0, 0.3]))
    (certain,) = signal_sights(run(invented(lambda t: warming(t) - (25.0 if t >= 600 else 0.0))))
    assert certain.probability(members) == pytest.approx([1e-4, 0.8, 0.02], abs=4e-6)
    assert np.exp(certain.log_likelihood(members, vague=True)) == pytest.approx([1e-4, 0.8, 0.02], abs=4e-6)
    wrong = vehicle(SENSOR_ERROR=np.array([0.0, 20.0]))
    part = one(signal_sights(run(invented(warming, lambda t: warming(t) + 12.0))), "sensors_part")
    assert part.probability(wrong) == pytest.approx([0.02, 0.7], abs=3e-3)


def test_jumps_count_once() -> None:
    """The same jumps are one sight, and the curve says nothing more of whether the sensor jumps."""
    found = evidence(invented(lambda t: warming(t) - (25.0 if (t // 100) % 2 else 0.0)))
    assert [s.item for s in found.sights] == ["signal"]
    healthy, erratic = Likelihood(found), Likelihood(found, erratic=True)
    assert healthy.vector.inverse == pytest.approx(erratic.vector.inverse)
    (curve,) = (r for r in found.readings if r.item == "curve")
    assert curve.noise == 30.0


# ---- real trips -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", TRIPS)
def test_real_healthy_trips_are_free_of_it(name: str) -> None:
    log = read_log(real_log(name))
    assert log.faults == ()
    assert look_at_signal(run(log)) is SignalLook.STEADY


@pytest.mark.parametrize("name", TRIPS)
@pytest.mark.parametrize("fault", [bad_connection, dropouts])
def test_what_is_planted_in_a_real_trip_is_seen(name: str, fault: Callable[[float, float], float]) -> None:
    assert look_at_signal(run(planted(name, fault))) is SignalLook.CERTAIN


def judged(log: LogRecord) -> Diagnosis:
    return diagnose(case_of(), {"before": log}, effort=SMALL)


@pytest.mark.parametrize("fault", [bad_connection, dropouts])
def test_at_screening_the_sensor_is_named(fault: Callable[[float, float], float]) -> None:
    found = judged(planted("winter-a", fault))
    assert found.best.fault == "sensor_erratic"
    assert found.best.probability > 0.7
