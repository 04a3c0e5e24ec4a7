"""What is taken as evidence, and how far each piece is trusted: rule by rule, bound by bound, number by number.

Source of the numbers, where none stands beside them: common practice, no source. They are our own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from made_up_members import vehicle
from scipy import special, stats

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.evidence import likelihood as likelihood_module
from engcalc.diagnosis.evidence import observations, reading_vector
from engcalc.diagnosis.evidence.likelihood import Likelihood
from engcalc.diagnosis.evidence.observations import FACTS, PLACES, Observed, ReadingGroup, observed
from engcalc.diagnosis.evidence.sights import system_pressure
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.notes import Note, NoteCode
from engcalc.logs.record import LogRecord, Trace
from engcalc.system.in_time.drive import Preheat
from engcalc.vehicle import discrepancy
from engcalc.vehicle.run import run_of

RECORD = {
    "ambient": "-5 degC",
    "start_temperature": "-4 degC",
    "soak": "10 h",
    "block_heater": "no",
    "heater_setting": "high",
    "engine_off_phases": "no",
    "schedule": [{"vehicle_speed": "70 km/h", "duration": "15 min", "heater": "high"}],
}
CONSTANTS = {
    "NOISE": 1.5,  # K
    "MINUTE": 60.0,  # s
    "WINDOW": 180.0,  # s
    "ROUNDING": 1.0 / 12.0,  # K2; variance of a uniform distribution 1 K wide
    "DISCREPANCY": 3.0,  # K
    "FREEDOM": 4.0,
    "CORRELATION": 300.0,  # s
    "SLOW": 1.5,
    "SLOW_TIME": 600.0,  # s
    "WANDERS": 0.15,
    "MEASURED_WANDERS": 0.05,
    "WARM": 363.15,  # K; 90 degC
    "WARMS_IN": 440.0,  # s
    "WANDER_MEMORY": 300.0,  # s
    "FORGOTTEN": 400.0,  # s
    "PACE": 0.3,
    "MISREAD_SPAN": 100.0,  # K
    "POWER": 0.5,  # fitted to simulated vehicles
    "BROAD_PARTS": (0.0, 0.3, 1.0),
    "ROUGHER": 1.2,
    "SCALES": [1.05, 1.65, 2.4, 3.3, 4.5, 6.3, 9.0, 13.5],  # K
    "KEY_ON": 2.5,  # K
    "KEY_ON_HEATED": 12.0,  # K
    "KEY_ON_SIMULATED": 6.0,  # K
    "SUBSTITUTED": 30.0,  # K
    "GAUGE_NOISE": 6.0,  # K
    "ERRATIC_NOISE": 8.0,  # K
    "INDEPENDENT": 6.0,
    "AT_KEY_ON": 60.0,  # s
    "FAN_HOT": 2.0,  # K
    "COMMANDED": 0.4,
}


@pytest.mark.parametrize("name", CONSTANTS)
def test_constants_are_those_of_the_table(name: str) -> None:
    of = next(
        module for module in (observations, likelihood_module, reading_vector, discrepancy) if hasattr(module, name)
    )
    assert getattr(of, name) == pytest.approx(CONSTANTS[name], rel=1e-12)


def case_of(**record: Any) -> Case:
    noted = {key: value for key, value in {**RECORD, **record}.items() if value is not None}
    found = resolve(CaseText({"format": FORMAT, "evidence": {"before": noted}}))
    assert isinstance(found, Case), found
    return found


def evidence_of(log: LogRecord | None = None, **record: Any) -> Observed:
    return observed(run_of(case_of(**record), "before", {} if log is None else {"before": log}))


def one(found: Observed, item: str) -> ReadingGroup:
    return next(r for r in found.readings if r.item == item)


def spot(what: str, degC: float, **more: str) -> dict[str, Any]:
    return {"spots": [{"what": what, "value": f"{degC} degC", "at": "5 min", "instrument": "immersed", **more}]}


def log_of(start_known: bool = True, **degC: tuple[float, float]) -> LogRecord:
    """Twenty minutes of channels that rise in a straight line."""
    time, ones = np.arange(0.0, 1200.0, 5.0), np.ones(240, bool)
    traces = {
        Channel[name]: Trace(time.copy(), np.linspace(a, b, 240) + 273.15, ones.copy(), ones.copy())
        for name, (a, b) in degC.items()
    }
    return LogRecord(traces, {}, (), (), (), (), (), start_known, 240)


# ---- the agreement at key-on ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("record", "noise"),
    [
        ({}, 2.5),
        ({"soak": "6 h"}, 2.5),
        ({"soak": "5.99 h"}, None),
        ({"soak": None}, None),
        ({"start_temperature": None}, None),
        ({"block_heater": "unknown"}, 12.0),
        ({"block_heater": "unknown", "ambient": "5 degC", "start_temperature": "5 degC"}, 12.0),
        ({"block_heater": "unknown", "ambient": "5.1 degC", "start_temperature": "5 degC"}, 2.5),
        ({"block_heater": "yes"}, None),
    ],
)
def test_coolant_and_air_agree_at_key_on_after_six_hours(record: dict[str, Any], noise: float | None) -> None:
    found = [r for r in evidence_of(**record).readings if r.item == "key_on"]
    assert [(r.times, r.values, r.noise) for r in found] == ([] if noise is None else [((0.0,), (0.0,), noise)])


def test_key_on_is_held_against_coolant_over_air_less_what_heaters_added() -> None:
    members = vehicle()
    reading = one(evidence_of(), "key_on")
    warm = {"start": members.start + 7.0, "preheated": np.full(1, 2.0)}
    assert reading.place.predict(replace(members, **warm), np.zeros(1)) == pytest.approx(np.full((1, 1), 5.0))
    assert reading.place.by_sensor
    assert (reading.place.error, reading.place.share) == (0.0, 0.0)


@pytest.mark.parametrize(("at", "counts"), [("0 s", True), ("60 s", True), ("61 s", False)])
def test_intake_air_counts_within_a_minute_of_the_start(at: str, counts: bool) -> None:
    found = evidence_of(**spot("intake_air", -3.0, at=at, uncertainty="1.5 K"))
    assert ("spots[0]" in found.items) is counts
    assert bool(found.unused) is not counts
    if counts:
        reading = one(found, "spots[0]")
        assert (reading.times, reading.values) == ((0.0,), (pytest.approx(270.15),))
        assert reading.noise == pytest.approx(np.hypot(2.5, 1.5))
        assert reading.place.by_sensor


def test_intake_air_without_a_stated_uncertainty_is_as_good_as_key_on() -> None:
    assert one(evidence_of(**spot("intake_air", -3.0, at="0 s")), "spots[0]").noise == 2.5


@pytest.mark.parametrize(
    ("start_known", "record", "counts"),
    [
        (True, {}, True),
        (False, {}, False),
        (True, {"codes": ["P0111"]}, False),
        (True, {"codes": ["p0112 "]}, False),
        (True, {"codes": ["P0113"]}, False),
        (True, spot("intake_air", -3.0, at="0 s"), False),
        (True, spot("upper_hose", 20.0), True),
        (True, {"soak": "1 h"}, False),
    ],
)
def test_intake_air_of_a_log_counts_unless_it_is_known_better(
    start_known: bool, record: dict[str, Any], counts: bool
) -> None:
    log = log_of(start_known, COOLANT=(-4.0, 60.0), INTAKE_AIR=(-6.0, 10.0))
    found = evidence_of(log, **record)
    assert ("key_on_intake" in found.items) is counts
    if counts:
        reading = one(found, "key_on_intake")
        assert (reading.times, reading.values, reading.noise) == ((0.0,), (pytest.approx(267.15),), 2.5)


# ---- readings by hand -------------------------------------------------------------------------------------------

# Where each place is read in a simulated vehicle, what the model is wrong by there itself [K], its share of what all
# readings are wrong by together.
READ = {
    "sensor": ("shown", 0.0, 1.0),
    "coolant": ("coolant", 1.0, 1.0),
    "upper_hose": ("upper_hose", 5.0, 0.8),
    "lower_hose": ("lower_hose", 5.0, 0.6),
    "heater_inlet_hose": ("heater_in", 3.0, 0.9),
    "heater_outlet_hose": ("heater_out", 5.0, 0.8),
    "vent": ("vent", 5.0, 0.7),
    "cabin": ("cabin", 6.0, 0.4),
    "oil": ("block", 8.0, 0.8),
    "ambient": ("ambient", 0.5, 0.0),
    "valve_starts": ("opens", 1.0, 0.0),
    "valve_open": ("opened", 2.0, 0.0),
}


@pytest.mark.parametrize("name", PLACES)
def test_each_place_is_read_where_it_is_and_trusted_as_the_table_says(name: str) -> None:
    series, error, share = READ[name]
    place = PLACES[name]
    assert (place.error, place.share, place.by_sensor) == (error, share, name == "sensor")
    constant = {"ambient": 283.15, "opens": 361.15, "opened": 373.15}
    members = vehicle({} if series in constant else {series: [10.0, 30.0, 50.0, 80.0]})
    found = place.predict(members, np.array([300.0, 750.0]))
    wanted = [constant[series]] * 2 if series in constant else [293.15, 313.15]
    assert found[:, 0] == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("more", "at", "noise"),
    [
        ({}, 300.0, 1.0),
        ({"at": "15 min"}, 900.0, 1.0),
        ({"at": "20 min"}, 900.0, 1.0),  # after the end it is read at the end
        ({"at": None}, 900.0, np.hypot(1.0, 6.0)),  # 6 K: nobody knows when
        ({"uncertainty": "2.5 K"}, 300.0, 2.5),
        ({"uncertainty": "2.5 K", "at": None}, 900.0, 6.5),
        ({"instrument": "clamp"}, 300.0, 1.0),
    ],
)
def test_a_reading_by_hand_has_its_time_and_its_uncertainty(more: dict[str, Any], at: float, noise: float) -> None:
    said = {key: value for key, value in {**spot("upper_hose", 40.0)["spots"][0], **more}.items() if value is not None}
    reading = one(evidence_of(spots=[said]), "spots[0]")
    bias = -3.0 if said["instrument"] == "clamp" else 0.0
    assert (reading.times, reading.bias) == ((at,), bias)
    assert reading.values == (pytest.approx(313.15 - bias),)
    assert reading.noise == pytest.approx(noise)


@pytest.mark.parametrize(("instrument", "by_sensor"), [("scan_tool", True), ("dash_gauge", True), ("immersed", False)])
def test_a_coolant_reading_is_the_sensors_own_or_one_beside_it(instrument: str, by_sensor: bool) -> None:
    plain, coded = (
        one(evidence_of(**spot("coolant", 60.0, instrument=instrument), codes=codes), "spots[0]")
        for codes in ([], ["P0116"])
    )
    assert plain.place.by_sensor is by_sensor
    assert plain.noise == {"scan_tool": 2.0, "dash_gauge": 8.0, "immersed": 1.0}[instrument]
    assert coded.noise == (30.0 if by_sensor else plain.noise)


@pytest.mark.parametrize(("degC", "middle"), [(74.9, False), (75.0, True), (90.0, True), (105.0, True), (105.1, False)])
def test_a_dash_gauge_in_its_middle_tells_that_alone(degC: float, middle: bool) -> None:
    found = evidence_of(**spot("coolant", degC, instrument="dash_gauge"))
    looks = [s for s in found.sights if s.item == "spots[0]"]
    assert bool(looks) is middle
    assert any(r.item == "spots[0]" for r in found.readings) is not middle
    if middle:
        shown = np.array([60.0, 75.0, 90.0, 105.0, 115.0])
        members = vehicle({"shown": [0.0 * shown, 2.0 * shown, shown, shown]})
        halfway = 273.15 + 1.0 * shown  # at 5 min of a rise over ten
        wanted = stats.norm.cdf((378.15 - halfway) / 6.0) - stats.norm.cdf((348.15 - halfway) / 6.0)
        assert looks[0].probability(members) == pytest.approx(wanted, abs=4e-6)
        assert looks[0].seen


@pytest.mark.parametrize(
    ("said", "at"),
    [
        ({"what": "pressure", "value": "80 kPa", "instrument": "pressure_gauge", "at": "5 min"}, 300.0),
        ({"what": "pressure", "value": "80 kPa", "instrument": "pressure_gauge"}, 900.0),  # not noted when: at the end
    ],
)
def test_a_pressure_is_read_at_its_time_and_the_duty_s_height(said: dict[str, str], at: float) -> None:
    run = run_of(case_of(spots=[said]), "before", {})
    asked = run.drive.conditions
    there = replace(asked, altitude=np.full_like(asked.altitude, 1500.0))
    high = replace(run, drive=replace(run.drive, conditions=there))
    (found,) = (s for s in observed(high).sights if s.item == "spots[0]")
    members = vehicle({"coolant": [20.0, 60.0, 80.0, 110.0]})
    (given,) = run.record.spots
    wanted, low = (
        system_pressure("spots[0]", given, at, run.coolant, height).log_likelihood(members, False)
        for height in (1500.0, 0.0)
    )
    assert found.log_likelihood(members, False) == pytest.approx(wanted)
    assert not np.allclose(wanted, low)


def test_a_block_heater_that_ran_nobody_knows_how_long_takes_the_evidence_of_key_on() -> None:
    run = run_of(case_of(block_heater="yes"), "before", {})
    for hours, counts in ((0.0, False), (0.5, True)):
        heated = Preheat(np.full(1, 500.0), 3600.0 * hours, 0.0, 600.0, sets_start=False)
        found = observed(replace(run, drive=replace(run.drive, preheat=heated)))
        assert [r.noise for r in found.readings if r.item == "key_on"] == ([6.0] if counts else [])


# ---- the curve --------------------------------------------------------------------------------------------------


def test_a_curve_counts_from_half_a_minute_to_the_end_of_the_run() -> None:
    pairs = [
        [0.0, "-4 degC"],
        [0.49, "0 degC"],
        [0.5, "1 degC"],
        [4.0, "10 degC"],
        [14.0, "30 degC"],
        [15.0, "31 degC"],
    ]
    curve = one(evidence_of(curve=pairs), "curve")
    assert curve.times == pytest.approx((30.0, 240.0, 840.0, 900.0))
    assert np.array(curve.values) - 273.15 == pytest.approx([1.0, 10.0, 30.0, 31.0])
    assert (curve.noise, curve.samples) == (1.5, 1.0)
    assert curve.place.by_sensor
    assert (curve.place.error, curve.place.share) == (0.0, 1.0)
    assert one(evidence_of(curve=pairs, codes=["P0119"]), "curve").noise == 30.0


def test_a_curve_before_half_a_minute_alone_is_no_curve() -> None:
    found = evidence_of(curve=[[0.1, "-4 degC"], [0.2, "-4 degC"]])
    assert "curve" not in found.items
    assert found.wandering == ()


def test_the_middle_window_says_of_how_many_samples_a_mean_is() -> None:
    pairs = [[m, "20 degC"] for m in (1.0, 3.1, 3.2, 3.3, 6.1, 6.2, 6.3, 6.4, 6.5)]
    assert one(evidence_of(curve=pairs), "curve").samples == 3.0


@pytest.mark.parametrize(("jump", "seen"), [(3.4, False), (3.6, True)])
def test_a_curve_jumps_from_three_and_a_half_kelvin_about_its_lines(jump: float, seen: bool) -> None:
    """Six samples a window lie +, -, -, +, +, - about a line: their straight line leaves them nearly all of it."""
    sign = np.array([1.0, -1.0, -1.0, 1.0, 1.0, -1.0])
    t = np.arange(6.0)
    left = sign - np.polyval(np.polyfit(t, sign, 1), t)
    size = jump / np.sqrt((left**2).mean())
    pairs = [[3.0 * w + 0.5 * i, f"{20.0 + size * sign[i]:.6f} degC"] for w in range(4) for i in range(6)]
    looks = [s for s in evidence_of(curve=pairs).sights if s.item == "signal"]
    assert [look.seen for look in looks] == [seen]
    members = vehicle(ERRATIC=np.array([0.0, 0.5, 0.6, 1.0]))
    wanted = 0.02 + (0.8 - 0.02) * stats.norm.cdf([-5.0, 0.0, 1.0, 5.0])
    assert looks[0].probability(members) == pytest.approx(wanted, abs=4e-6)
    assert looks[0].of_signal


def test_five_samples_a_window_tell_nothing_of_jumps() -> None:
    pairs = [[3.0 * w + 0.6 * i, f"{20 + 20 * (i % 2)} degC"] for w in range(4) for i in range(5)]
    assert "signal" not in evidence_of(curve=pairs).items


def test_a_wandering_load_adds_a_share_of_the_rise_of_a_usual_course() -> None:
    """15 % where nobody measured the heat: 90 degC less the start's -4 degC, reached with a time constant of 440 s."""
    pairs = [[1.0, "2 degC"], [2.0, "14 degC"], [3.5, "11 degC"]]
    added = evidence_of(curve=pairs).wandering
    minutes = 60.0 * np.arange(5)  # the last window's middle is at 3.5 min
    assert added == pytest.approx(0.15 * np.diff(94.0 * (1.0 - np.exp(-minutes / 440.0))))


@pytest.mark.parametrize(("columns", "share"), [("Speed [km/h]", 0.15), ("Speed [km/h],Engine fuel rate [L/h]", 0.05)])
def test_the_load_of_a_log_wanders_unless_it_measured_the_fuel(columns: str, share: float) -> None:
    """Heat worked out from speeds is as little measured as that of a schedule."""
    numbers = ",".join("3.0" for _ in columns.split(","))
    rows = "".join(f"{t},900,{numbers},{-4 + t // 60}\n" for t in range(0, 600, 2))
    log = read_log(f"Time [s],RPM [rpm],{columns},Coolant [degC]\n{rows}".encode())
    added = evidence_of(log).wandering
    minutes = 60.0 * np.arange(len(added) + 1)
    assert len(added) >= 9
    assert added == pytest.approx(share * np.diff(94.0 * (1.0 - np.exp(-minutes / 440.0))))


def test_what_the_model_is_wrong_by_does_not_depend_on_what_was_read() -> None:
    low, high = (Likelihood(evidence_of(curve=[[m, f"{T} degC"] for m in range(1, 15)])).vector for T in (5, 95))
    assert low.inverse == pytest.approx(high.inverse)
    assert low.log_det == pytest.approx(high.log_det)


def test_from_a_warm_start_a_wandering_load_adds_nothing() -> None:
    assert not any(evidence_of(curve=[[3.0, "95 degC"]], start_temperature="91 degC").wandering)


# ---- codes, facts, the log's own faults -------------------------------------------------------------------------


def test_codes_are_read_as_people_write_them() -> None:
    found = evidence_of(codes=[" p0128", "P0217-00", "P0301", "p0597"])
    assert [s.item for s in found.sights if s.seen] == ["codes.P0128", "codes.P0217"]
    assert len(found.unused) == 2


def test_a_sensor_fault_of_the_log_itself_speaks_of_the_signal_alone() -> None:
    """So that a cause outside the list, which changes no signal, is not half likely to have brought it."""
    plain = log_of(COOLANT=(-4.0, 60.0))
    told = replace(plain, notes=(Note(NoteCode.SENSOR_STUCK, "it stands still", channel="coolant"),))
    assert told.faults
    assert [s.seen for s in evidence_of(plain).sights if s.item == "signal"] == [False]
    (look,) = (s for s in evidence_of(told).sights if s.item == "signal")
    assert look.seen
    assert look.of_signal
    members = vehicle(ERRATIC=np.array([0.0, 1.0]))
    assert look.probability(members) == pytest.approx([0.02, 0.8], abs=4e-6)


def test_facts_are_seen_or_not() -> None:
    case = case_of(seen={"level_low": True, "vent_cold": False})
    found = observed(run_of(case, "before", {}))
    assert {(s.item, s.seen) for s in found.sights} == {("seen.level_low", True), ("seen.vent_cold", False)}


def test_what_is_left_out_is_gone_from_readings_and_sights_alike() -> None:
    found = evidence_of(**spot("upper_hose", 40.0), seen={"level_low": True})
    assert found.items == ("key_on", "spots[0]", "seen.level_low")
    assert found.without("spots[0]").items == ("key_on", "seen.level_low")
    assert found.without("seen.level_low").items == ("key_on", "spots[0]")


# ---- the likelihood ---------------------------------------------------------------------------------------------


def covariance(t: np.ndarray, share: np.ndarray, scale: float, own: np.ndarray, broad: float = 0.0) -> np.ndarray:
    """Of what the model is wrong by, as the module's own text has it, from its numbers."""
    each, x = np.outer(share, share), t / 600.0
    grown = 1.0 - np.exp(-t / 300.0)
    quick = each * np.outer(grown, grown) * np.exp(-np.abs(t[:, None] - t) / 300.0)
    grows, passes = 1.0 - np.exp(-x), x * np.exp(1.0 - x)
    slow = each * (np.outer(grows, grows) + 0.5 * np.outer(passes, passes))
    return scale**2 * (quick + 1.5**2 * slow + np.diag((own / 3.0) ** 2)) + broad**2 * slow


def scale_weights() -> np.ndarray:
    """s^2 is 4 3^2 K2 over a chi-squared number of 4 degrees: scipy's density over log s, on the module's scales."""
    s = np.array(CONSTANTS["SCALES"])
    density = stats.chi2.pdf(36.0 / s**2, 4.0) * 2.0 * 36.0 / s**2  # of log s
    weight = density * np.gradient(np.log(s))
    return np.asarray(weight / weight.sum())


CURVE = ReadingGroup("curve", "curve", PLACES["sensor"], (120.0, 600.0), (300.0, 330.0), 1.5, samples=4.0)
VENT = ReadingGroup("spots[0]", "vent", PLACES["vent"], (700.0,), (310.0,), 3.0)
ADDED = np.array([4.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 3.0, 5.0])  # K, in each minute of a wandering load


def wandered(t: np.ndarray, share: np.ndarray) -> np.ndarray:
    """Covariance of what ADDED has left: forgotten in 400 s, with a memory of 300 s from minute to minute."""
    minute = 60.0 * np.arange(1, 13)
    total = np.zeros((len(t), len(t)))
    for i, j in np.ndindex(total.shape):
        for u, first in zip(minute, ADDED, strict=True):
            for w, second in zip(minute, ADDED, strict=True):
                if u <= t[i] and w <= t[j]:
                    left = first * np.exp(-(t[i] - u) / 400.0) * second * np.exp(-(t[j] - w) / 400.0)
                    total[i, j] += share[i] * share[j] * left * np.exp(-abs(u - w) / 300.0)
    return total


PREDICTED = np.array([[303.0, 300.0], [341.0, 329.0], [322.0, 311.0]])
BY_PACE = np.array([[1.0, 2.0], [4.0, -3.0], [0.0, 2.0]])  # K, by one deviation of a vehicle's pace
PACES, PACE_WEIGHTS = special.roots_hermitenorm(40)  # a standard normal number, by Gauss and Hermite
PACE_WEIGHTS = PACE_WEIGHTS / PACE_WEIGHTS.sum()


@pytest.mark.parametrize(
    ("broad", "erratic", "noise"),
    [(0.0, False, 1.5), (12.0, False, 1.5), (0.0, True, 8.0 / 2.0)],  # K; jumps of 8 K, in a mean of four
)
def test_the_likelihood_by_scipy(broad: float, erratic: bool, noise: float) -> None:
    likelihood = Likelihood(Observed((CURVE, VENT), (), (), tuple(ADDED.tolist())), broad, erratic)
    t, share = np.array([120.0, 600.0, 700.0]), np.array([1.0, 1.0, 0.7])
    values, own = np.array([300.0, 330.0, 310.0]), np.array([0.0, 0.0, 5.0])
    plain = np.diag([noise**2, noise**2, 9.0]) + np.eye(3) / 12.0
    added = wandered(t, share) / 9.0  # goes with the scale, which is 3 K in the middle
    parts = (0.0, 0.3, 1.0) if broad else (0.0,)  # of what is not in the list: not at all to see, some, far
    power = 0.5 + 0.5 / 2.0  # of a curve of two
    found = likelihood.of_readings(PREDICTED, BY_PACE, np.zeros((3, 2)))
    for m in range(2):
        terms = []
        for part in parts:
            for weight, scale in zip(scale_weights(), CONSTANTS["SCALES"], strict=True):
                rough = scale * (1.2 if part > 0.0 else 1.0)
                whole = plain + rough**2 * added + covariance(t, share, rough, own, part * broad)
                of_pace = []
                for z, w in zip(PACES, PACE_WEIGHTS, strict=True):
                    shown = PREDICTED[:, m] - z * BY_PACE[:, m]
                    alone = stats.multivariate_normal.logpdf(shown[:2], values[:2], whole[:2, :2])
                    given = stats.multivariate_normal.logpdf(shown, values, whole) - alone
                    or_misread = np.logaddexp(np.log(0.97) + given, np.log(0.03 / 100.0))  # anywhere in 100 K
                    of_pace.append(np.log(w) + power * alone + or_misread)
                terms.append(np.log(weight / len(parts)) + special.logsumexp(of_pace))
        wanted = special.logsumexp(terms) + 0.5 * (2.0 * power + 1.0) * np.log(2.0 * np.pi)
        assert found[m] == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize(("samples", "noise"), [(1.0, 8.0), (6.0, 8.0 / 6.0**0.5), (50.0, 8.0 / 6.0**0.5)])
def test_jumps_in_a_window_hang_together_from_six_on(samples: float, noise: float) -> None:
    at_start = ReadingGroup("curve", "curve", PLACES["sensor"], (0.0,), (300.0,), 1.5, samples=samples)
    found = Likelihood(Observed((at_start,), (), ()), erratic=True).of_readings(
        np.array([[300.0, 306.0]]), np.zeros((1, 2)), np.zeros((1, 2))
    )
    assert found[0] - found[1] == pytest.approx(0.5 * 6.0**2 / (noise**2 + 1.0 / 12.0))


def test_jumps_trouble_the_sensor_alone_and_never_make_a_reading_better() -> None:
    beside = ReadingGroup("spots[0]", "valve_starts", PLACES["valve_starts"], (0.0,), (300.0,), 1.5)
    doubted = ReadingGroup("curve", "curve", PLACES["sensor"], (0.0,), (300.0,), 30.0)
    for reading in (beside, doubted):
        evidence, off = Observed((reading,), (), ()), np.array([[300.0, 306.0]])
        erratic, plain = (Likelihood(evidence, erratic=e).of_readings(off, *np.zeros((2, 1, 2))) for e in (True, False))
        assert erratic == pytest.approx(plain)


def test_whitened_residuals_are_those_of_the_likeliest_scale() -> None:
    evidence = Observed((CURVE, VENT), (), ())
    likelihood = Likelihood(evidence)
    found = likelihood.whitened(PREDICTED, np.zeros((3, 2)))
    v, off = likelihood.vector, PREDICTED - likelihood.vector.values[:, None]
    terms = [
        w - d - 0.5 * float(v.power @ (L @ off[:, 0]) ** 2)
        for w, d, L in zip(v.log_weight, v.log_det, v.inverse, strict=True)
    ]
    L = v.inverse[int(np.argmax(terms))]
    assert found == pytest.approx(np.sqrt(v.power)[:, None] * (L @ off))
    assert v.power == pytest.approx([0.75, 0.75, 1.0])


def test_whitened_residuals_leave_to_the_pace_what_it_explains() -> None:
    likelihood = Likelihood(Observed((CURVE, VENT), (), ()))
    found = likelihood.whitened(PREDICTED, BY_PACE)
    without = likelihood.whitened(PREDICTED, np.zeros((3, 2)))
    L, a = np.diag([0.75, 0.75, 1.0]) ** 0.5 @ likelihood.vector.inverse, BY_PACE[:, 0]
    near = [i for i, x in enumerate(L) if np.allclose(without, x @ (PREDICTED - likelihood.vector.values[:, None]))]
    whole = np.eye(3) + np.outer(L[near[0]] @ a, L[near[0]] @ a)  # covariance of the whitened readings, pace and all
    assert found.T @ found == pytest.approx(without.T @ np.linalg.inv(whole) @ without)


def test_without_readings_only_what_was_seen_counts() -> None:
    found = evidence_of(soak="1 h", seen={"level_low": True, "bubbles_when_running": False})
    members = vehicle(LEVEL=np.array([0.0, 0.3]), GAS=np.array([0.0, 1.0]))
    likelihood = Likelihood(found)
    assert likelihood.predicted(members).shape == (0, 2)
    assert likelihood.by_pace(members).shape == likelihood.residuals(members).shape == (0, 2)
    assert likelihood.of_readings(*np.zeros((3, 0, 2))).tolist() == [0.0, 0.0]
    low, bubbles = FACTS["level_low"](members), FACTS["bubbles_when_running"](members)
    wrong = 0.03  # of looks are plain wrong
    wanted = np.log(0.5 * wrong + 0.97 * low) + np.log(1.0 - (0.5 * wrong + 0.97 * bubbles))
    assert likelihood(members) == pytest.approx(wanted)
    half = [0.25 + 0.5 * p for p in (low, bubbles)]  # of a cause outside the list it is half known what is seen
    vague = np.log(0.5 * wrong + 0.97 * half[0]) + np.log(1.0 - (0.5 * wrong + 0.97 * half[1]))
    assert Likelihood(found, broad=10.0)(members) == pytest.approx(vague)
    assert Likelihood(found, broad=10.0, erratic=True)(members) == pytest.approx(wanted)
