"""The likelihood against scipy's distributions, and what each kind of reading is taken for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import special, stats

from engcalc.case.case import Case, with_values
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.record import VisibleState
from engcalc.diagnosis.evidence.codes import CODES
from engcalc.diagnosis.evidence.likelihood import MISREAD_SPAN, POWER, Likelihood
from engcalc.diagnosis.evidence.observations import (
    FACTS,
    KEY_ON_SIMULATED,
    PLACES,
    WINDOW,
    Observed,
    ReadingGroup,
    observed,
)
from engcalc.diagnosis.evidence.reading_vector import FREEDOM, SCALES
from engcalc.diagnosis.members.simulated import Hypothesis, Simulated, problem_of, simulate
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord, Trace
from engcalc.vehicle.discrepancy import (
    CORRELATION,
    DISCREPANCY,
    FORGOTTEN,
    MINUTE,
    NOISE,
    ROUNDING,
    SLOW,
    SLOW_TIME,
)
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


def case_of(**record: Any) -> Case:
    noted = {key: value for key, value in {**RECORD, **record}.items() if value is not None}
    found = resolve(CaseText({"format": FORMAT, "evidence": {"before": noted}}))
    assert isinstance(found, Case), found
    return found


def evidence_of(**record: Any) -> Observed:
    return observed(run_of(case_of(**record), "before", {}))


@pytest.fixture(scope="module")
def members() -> Simulated:
    case = case_of()
    problem = problem_of(case, (run_of(case, "before", {}), 1.0))
    k = len(problem.unknowns)
    batch = [
        (h := Hypothesis((CAUSES[f],), 0), np.zeros((1, k + h.severities)))
        for f in ("healthy", "thermostat_stuck_open", "low_coolant", "heater_core_restricted", "gas_in_coolant")
    ]
    from engcalc.diagnosis.members.simulated import joined

    return joined(simulate(problem, batch))


def test_the_likelihood_is_the_sum_of_normal_densities_over_the_scales() -> None:
    curve = ReadingGroup("curve", "coolant curve", PLACES["sensor"], (60.0, 180.0, 600.0), (300.0, 310.0, 330.0), NOISE)
    hose = ReadingGroup("spots[0]", "upper_hose", PLACES["upper_hose"], (300.0,), (295.0,), 2.0)
    added = 4.0  # K, by the load that wanders, in the first minute alone
    likelihood = Likelihood(Observed((curve, hose), (), (), (added,)))
    predicted = np.array([[301.0, 290.0], [312.0, 295.0], [327.0, 300.0], [297.0, 300.0]])
    t, share = np.array([*curve.times, *hose.times]), np.array([1.0, 1.0, 1.0, hose.place.share])
    each = np.outer(share, share)
    grown = 1.0 - np.exp(-t / CORRELATION)
    shape = each * np.outer(grown, grown) * np.exp(-np.abs(t[:, None] - t) / CORRELATION)
    x = t / SLOW_TIME
    for part, size in ((1.0 - np.exp(-x), 1.0), (x * np.exp(1.0 - x), 0.5)):
        shape = shape + SLOW**2 * size * each * part[:, None] * part
    kept = added * np.exp(-(t - 60.0) / FORGOTTEN)
    shape = shape + (each * np.outer(kept, kept) + np.diag([0.0, 0.0, 0.0, hose.place.error**2])) / DISCREPANCY**2
    noise = np.diag([NOISE**2] * 3 + [hose.noise**2]) + ROUNDING * np.eye(4)
    weight = np.exp(likelihood.vector.log_weight)
    assert weight.sum() == pytest.approx(1.0)
    values, power = np.array([*curve.values, *hose.values]), POWER + (1.0 - POWER) / 3.0
    for m in range(2):
        terms = []
        for w, s in zip(weight, SCALES, strict=True):
            covariance = noise + s**2 * shape
            alone = stats.multivariate_normal.logpdf(predicted[:3, m], values[:3], covariance[:3, :3])
            whole = stats.multivariate_normal.logpdf(predicted[:, m], values, covariance)
            given = np.logaddexp(np.log(0.97) + whole - alone, np.log(0.03 / MISREAD_SPAN))  # the hose, in full
            terms.append(np.log(w) + power * alone + given)
        # scipy's density holds (2 pi)^(n/2), common to all hypotheses and left out by the product
        wanted = special.logsumexp(terms) + 0.5 * (3.0 * power + 1.0) * np.log(2.0 * np.pi)
        assert likelihood.of_readings(predicted, *np.zeros((2, 4, 2)))[m] == pytest.approx(wanted, abs=1e-9)


def test_a_late_reading_has_the_tails_of_students_t() -> None:
    # Long after the start the discrepancy, its slow part included, is Student's t with FREEDOM degrees; noise is small.
    reading = ReadingGroup("curve", "coolant curve", PLACES["sensor"], (1e5,), (300.0,), 1e-3)
    off = np.array([[300.0, 303.0, 306.0, 312.0]])
    found = Likelihood(Observed((reading,), (), ())).of_readings(off, *np.zeros((2, 1, 4)))[...]
    wanted = stats.t.logpdf(off[0] - 300.0, FREEDOM, scale=DISCREPANCY * np.sqrt(1.0 + SLOW**2))
    # eight scales stand for a continuum, within a third of a nat; a normal density would be off by several
    assert found - found[0] == pytest.approx(wanted - wanted[0], abs=0.35)


def test_at_the_known_start_there_is_no_discrepancy() -> None:
    reading = ReadingGroup("curve", "coolant curve", PLACES["sensor"], (0.0,), (300.0,), NOISE)
    found = Likelihood(Observed((reading,), (), ())).of_readings(np.array([[300.0, 304.5]]), *np.zeros((2, 1, 2)))
    assert found[0] - found[1] == pytest.approx(0.5 * 4.5**2 / (NOISE**2 + ROUNDING))


def test_instruments_and_surfaces() -> None:
    upper = {"what": "upper_hose", "at": "5 min", "value": "20 degC"}
    spots = [
        {**upper, "instrument": "clamp", "surface": "rubber"},
        {**upper, "instrument": "infrared", "surface": "bare_metal"},
        {"what": "coolant", "at": "9 min", "value": "90 degC", "instrument": "dash_gauge"},
    ]
    found = evidence_of(spots=spots)
    clamp = next(r for r in found.readings if r.item == "spots[0]")
    assert clamp.values[0] - 273.15 == pytest.approx(23.0)  # a clamp reads 2 to 4 K low; common practice, no source
    assert [s.what for s in found.sights] == ["gauge in its middle"]  # from 75 to 105 degC it tells no more
    assert any("bare metal" in text for text in found.unused)


def test_key_on_is_evidence_only_after_a_long_stand() -> None:
    assert "key_on" in evidence_of().items
    assert "key_on" not in evidence_of(soak="1 h").items
    assert "key_on" not in evidence_of(block_heater="yes").items
    assert "key_on" not in evidence_of(ambient=None).items, "nothing was read that the coolant could agree with"


def test_intake_air_tells_of_the_sensor_at_key_on_alone() -> None:
    spot = {"what": "intake_air", "at": "0 s", "value": "-5 degC"}
    found = next(r for r in evidence_of(spots=[spot]).readings if r.item == "spots[0]")
    assert (found.times, found.values[0] - 273.15) == ((0.0,), pytest.approx(-5.0))
    for late, record in (({**spot, "at": "9 min"}, {}), (spot, {"soak": "1 h"}), (spot, {"block_heater": "yes"})):
        assert any("key-on" in text for text in evidence_of(spots=[late], **record).unused)


def test_intake_air_in_a_log_counts_at_its_start() -> None:
    trace = {
        channel: Trace(
            np.arange(0.0, 1200.0, 5.0), np.linspace(T, T + rise, 240), np.ones(240, bool), np.ones(240, bool)
        )
        for channel, T, rise in ((Channel.COOLANT, 283.15, 60.0), (Channel.INTAKE_AIR, 269.15, 20.0))
    }
    log = LogRecord(trace, {}, (), (), (), (), (), True, 240)
    case = case_of(start_temperature=None)
    found = observed(run_of(case, "before", {"before": log}))
    intake = next(r for r in found.readings if r.item == "key_on_intake")
    assert intake.values == (pytest.approx(269.15),)
    cold = {fault: of_start(case, log, fault) for fault in ("healthy", "sensor_reads_high")}
    assert cold["sensor_reads_high"] > cold["healthy"] + 3.0  # 14 K apart: the sensor reads high, or a hot stand


def of_start(case: Case, log: LogRecord, fault: str) -> float:
    """Log likelihood of intake air and coolant at key-on under a cause of median severity."""
    run = run_of(case, "before", {"before": log})
    problem, h = problem_of(case, (run, 1.0)), Hypothesis((CAUSES[fault],), 0)
    (s,) = simulate(problem, [(h, np.zeros((1, len(problem.unknowns) + h.severities)))])
    found = observed(run)
    reading = tuple(r for r in found.readings if r.item == "key_on_intake")
    likelihood = Likelihood(Observed(reading, (), ()))
    return float(
        likelihood.of_readings(likelihood.predicted(s), likelihood.by_pace(s), np.zeros(likelihood.predicted(s).shape))[
            0
        ]
    )


def test_an_opening_read_in_the_pot_says_that_a_valve_was_there() -> None:
    found = evidence_of(spots=[{"what": "valve_starts", "value": "86 degC", "instrument": "immersed"}])
    assert [(s.what, s.seen) for s in found.sights] == [("thermostat_missing", False)]
    opened = evidence_of(
        spots=[{"what": "valve_open", "value": "97 degC", "instrument": "immersed"}], seen={"thermostat_missing": False}
    )
    assert {(s.item, s.seen) for s in opened.sights} == {
        ("seen.thermostat_missing", False),
        ("pot.thermostat_opens_hot", True),
    }


def test_after_a_block_heater_key_on_is_held_against_where_it_brought_the_coolant() -> None:
    heated = {"block_heater": "yes", "block_heater_time": "4 h"}
    plain, power = case_of(**heated), {"engine.block_heater_power": np.full(1, 500.0)}
    assert "key_on" not in observed(run_of(plain, "before", {})).items  # its power is not known
    rises = []
    for start in (268.15 + 25.0, 268.15 + 5.0):
        case = with_values(plain, {**power, "evidence.before.start_temperature": np.full(1, start)})
        run = run_of(case, "before", {})
        reading = next(r for r in observed(run).readings if r.item == "key_on")
        assert reading.noise == KEY_ON_SIMULATED
        problem = problem_of(case, (run, 1.0))
        healthy = Hypothesis((CAUSES["healthy"],), 0)
        (found,) = simulate(problem, [(healthy, np.zeros((1, len(problem.unknowns))))])
        assert found.start[0] == pytest.approx(start)
        settles = 500.0 / float(case.engine.surface_conductance[0])  # K, would the heater's cold hoses lose as well
        assert 0.85 * settles < found.preheated[0] < 1.25 * settles
        rises.append(float(reading.place.predict(found, np.zeros(1))[0, 0]))
        assert rises[-1] == pytest.approx(start - 268.15 - found.preheated[0])
    assert rises[0] - rises[1] == pytest.approx(20.0)


def test_a_sensor_circuit_code_takes_the_trust_from_the_sensor() -> None:
    spot = [{"what": "coolant", "at": "9 min", "value": "60 degC"}]
    plain, coded = evidence_of(spots=spot), evidence_of(spots=spot, codes=["P0118"])
    noise = {
        e: next(r.noise for r in found.readings if r.item == "spots[0]")
        for e, found in (("plain", plain), ("coded", coded))
    }
    assert noise["coded"] > 10.0 * noise["plain"]
    assert "codes.P0118" in coded.items
    assert evidence_of(codes=["P0300"]).unused


def test_a_curve_counts_by_its_means_over_windows(members: Simulated) -> None:
    pairs = [[i / 10.0, f"{-4 + i // 3} degC"] for i in range(120)]
    curve = next(r for r in evidence_of(curve=pairs).readings if r.item == "curve")
    times, shown = 6.0 * np.arange(120.0), 269.15 + np.arange(120) // 3
    counted = times >= 0.5 * MINUTE
    for i, (at, value) in enumerate(zip(curve.times, curve.values, strict=True)):
        inside = counted & (times // WINDOW == i)
        assert at == pytest.approx(times[inside].mean())
        assert value == pytest.approx(shown[inside].mean())
        each = np.stack([np.interp(times[inside], members.time, column) for column in members.shown.T])
        found = curve.place.predict(members, np.array([at]))
        assert found[0] == pytest.approx(each.mean(axis=1))


def test_a_lone_pair_is_a_window_of_its_own(members: Simulated) -> None:
    curve = next(r for r in evidence_of(curve=[[4.0, "40 degC"], [9.0, "70 degC"]]).readings if r.item == "curve")
    assert curve.times == (240.0, 540.0)
    wanted = members.at(members.shown, np.array(curve.times))
    assert curve.place.predict(members, np.array(curve.times)) == pytest.approx(wanted)


def test_a_curve_that_jumps_within_minutes_is_seen_to() -> None:
    seen = {}
    for name, jump in (("smooth", 0.0), ("jumps", 14.0)):
        pairs = [[i / 4.0, f"{-4 + i // 2 + jump * (i % 3 == 0)} degC"] for i in range(120)]
        seen[name] = next(s.seen for s in evidence_of(curve=pairs).sights if s.item == "signal")
    assert seen == {"smooth": False, "jumps": True}


@pytest.mark.parametrize("name", [*FACTS, *CODES])
def test_facts_and_codes_are_probabilities_with_error_rates(name: str, members: Simulated) -> None:
    p = {**FACTS, **CODES}[name](members)
    assert p.shape == (members.members,)
    assert (p > 0.0).all()
    assert (p < 1.0).all()


def test_facts_follow_the_simulated_state(members: Simulated) -> None:
    healthy, stuck, low, clogged, gas = range(5)
    assert FACTS["level_low"](members)[low] > 0.8
    assert FACTS["level_low"](members)[healthy] < 0.1
    assert FACTS["thermostat_open_when_cold"](members)[stuck] > 0.8
    assert FACTS["bubbles_when_running"](members)[gas] > 0.7 > FACTS["bubbles_when_running"](members)[healthy]
    both = FACTS["heater_hoses_both_hot"](members)
    assert both[clogged] < both[healthy]


def test_codes_follow_the_simulated_state(members: Simulated) -> None:
    def likely(code: str, **states: float) -> float:
        told = {**members.states, **{VisibleState[name]: np.full(members.members, x) for name, x in states.items()}}
        return float(CODES[code](replace(members, states=told))[0])

    for code, state, healthy, faulty in (
        ("P0598", "VALVE_EARLY", 0.0, 15.0),
        ("P0494", "FAN_RUNS", 1.0, 0.2),
        ("P0495", "FAN_ALWAYS", 0.0, 1.0),
        ("P2600", "PUMP", 1.0, 0.05),
        ("P0485", "FAN_RUNS", 1.0, 0.0),
    ):
        assert likely(code, **{state: faulty}) > 5.0 * likely(code, **{state: healthy}), code
    assert CODES["P2181"](members)[1] > CODES["P2181"](members)[0]  # stuck open stays cold


def test_a_code_that_does_not_count_says_why() -> None:
    assert any("regulates hotter by design" in text for text in evidence_of(codes=["P0597"]).unused)
    assert any("intake air's sensor" in text for text in evidence_of(codes=["P0113"]).unused)


def test_leaving_a_piece_out_leaves_the_rest() -> None:
    found = evidence_of(seen={"level_low": True, "vent_cold": False})
    assert set(found.without("seen.level_low").items) == set(found.items) - {"seen.level_low"}
