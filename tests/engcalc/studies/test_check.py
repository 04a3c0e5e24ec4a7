"""The check of whole cases: the three invented examples, and truths that hold for any case."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import worked_examples
from engcalc.case.case import Case
from engcalc.case.catalogue import catalogue, entry
from engcalc.case.declare import FileShape
from engcalc.case.file import read_case
from engcalc.case.presets import CLASSES
from engcalc.case.resolve import resolve
from engcalc.case.sections.thermostat import BLEED_HOLE
from engcalc.case.text import CaseText
from engcalc.components.core import evaluate
from engcalc.components.pressure_cap import over_vapour, prepare_cap
from engcalc.errors import Cancelled
from engcalc.studies.check import check
from engcalc.studies.checked import Check
from engcalc.system.plant import prepare
from engcalc.system.state import Status
from engcalc.units import parse
from engcalc.verdict import FindingCode, Verdict
from engcalc.words.answer.results import RESULTS

EXAMPLES = Path(worked_examples.__file__).parent


def example(name: str) -> Check:
    case = resolve(read_case(EXAMPLES / f"{name}.heatcase.json"))
    assert isinstance(case, Case), case
    assert case.warnings == ()
    return check(case)


def case_of(class_name: str = "family car", **sections: object) -> Case:
    case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": class_name}, **sections}))
    assert isinstance(case, Case), case
    return case


def codes(found: Check, duty: int) -> set[FindingCode]:
    return {f.code for f in found.duties[duty].findings}


@pytest.mark.parametrize(
    ("name", "verdict"),
    [("van-no-heat", Verdict.OVERCOOLING), ("track-day-car", Verdict.UNDERSIZED), ("bench-exchanger", Verdict.HOLDS)],
)
def test_the_three_examples_give_their_verdicts(name: str, verdict: Verdict) -> None:
    found = example(name)
    assert found.verdict is verdict
    for duty in found.duties:
        heat = duty.point.heat_to_metal + duty.point.extra_heat
        assert abs(duty.point.energy_residual[0]) < 1e-6 * heat[0]


def test_the_van_is_a_fault_on_the_road_and_lacks_heat_at_idle() -> None:
    found = example("van-no-heat")
    assert [d.verdict for d in found.duties] == [Verdict.HOLDS, Verdict.OVERCOOLING, Verdict.OVERCOOLING, Verdict.HOLDS]
    assert FindingCode.HEAT_LIMITED in codes(found, 0)
    assert found.readings == ()  # those are held against warm-ups in the layer above


def test_the_track_car_is_short_on_the_air_side() -> None:
    found = example("track-day-car")
    assert [d.verdict for d in found.duties] == [Verdict.HOLDS, Verdict.HOLDS, Verdict.UNDERSIZED]
    lap = found.duties[2]
    limits = next(f for f in lap.findings if f.code is FindingCode.WHAT_LIMITS)
    assert limits.numbers["given_at_limit"] < limits.numbers["handed"]
    assert limits.words["limiting"] == "air side"
    assert lap.limiting_ambient is not None
    assert lap.limiting_ambient < 303.15
    assert any(o.quantity == "coolant temperature" for o in found.validity)


def test_the_bench_agrees_with_its_measured_points() -> None:
    found = example("bench-exchanger")
    assert len(found.rig) == 4
    for point in found.rig:
        assert abs(point.balance) < 0.03  # SAE J1994 (2020)
        assert abs(point.E_n) < 1.0
        assert -0.10 < point.UA.difference < 0.25  # what such predictions are good for


def test_a_missing_valve_is_compared_with_a_healthy_one() -> None:
    duties = [{"vehicle_speed": "70 km/h", "ambient": "-5 degC"}]
    missing = check(case_of(thermostat={"kind": "none"}, duties=duties), members=0)
    healthy = check(case_of(duties=duties), members=0)
    assert missing.duties[0].verdict is Verdict.OVERCOOLING
    assert FindingCode.VALVE_MISSING in {f.code for f in missing.findings}
    assert missing.duties[0].healthy.coolant_out[0] == pytest.approx(healthy.duties[0].healthy.coolant_out[0], abs=1e-6)


def test_a_healthy_class_vehicle_is_never_overcooled() -> None:
    for name in CLASSES:
        found = check(
            case_of(
                name,
                duties=[{"ambient": "-15 degC", "heater": "high"}, {"vehicle_speed": "60 km/h", "ambient": "-15 degC"}],
            ),
            members=0,
        )
        assert all(d.verdict is not Verdict.OVERCOOLING for d in found.duties), name


def test_a_healthy_valve_leaks_no_more_than_its_bleed_hole() -> None:
    assert parse(entry("thermostat.closed_leak").input.default or "", "fraction").si == BLEED_HOLE
    duties = [{"vehicle_speed": "70 km/h", "ambient": "-5 degC"}]
    leaking = check(case_of(thermostat={"closed_leak": "8 %"}, duties=duties), members=0).duties[0]
    healthy = check(case_of(duties=duties), members=0).duties[0]
    assert leaking.verdict is Verdict.OVERCOOLING
    assert leaking.healthy.coolant_out[0] == pytest.approx(healthy.point.coolant_out[0], abs=1e-6)


@pytest.mark.parametrize(
    ("thermostat", "ambient", "drives", "apart"),
    [
        ({}, "-5 degC", "70 km/h", False),
        ({"minimum_opening": "4 %"}, "-5 degC", "70 km/h", True),
        ({"closed_leak": "8 %"}, "-5 degC", "70 km/h", True),
        ({"closed_leak": "0.1 %"}, "-5 degC", "70 km/h", False),
        ({"maximum_opening": "30 %"}, "45 degC", "160 km/h", True),
    ],
)
def test_the_vehicle_with_a_healthy_valve_is_computed_apart_where_its_own_is_not(
    thermostat: dict[str, str], ambient: str, drives: str, apart: bool
) -> None:
    """Where the valve is as it should be, both are one vehicle, and that is computed once."""
    duty = check(
        case_of(thermostat=thermostat, duties=[{"vehicle_speed": drives, "ambient": ambient}]), members=0
    ).duties[0]
    assert bool(abs(duty.healthy.coolant_out[0] - duty.point.coolant_out[0]) > 1.0) is apart


def test_duties_checked_together_are_duties_checked_alone() -> None:
    duties = [
        {"name": "idle", "ambient": "-10 degC", "heater": "high"},
        {"name": "hill", "vehicle_speed": "70 km/h", "grade": "8 %", "ambient": "40 degC"},
        {"name": "boils", "brake_power": "85 kW", "vehicle_speed": "5 km/h", "ambient": "48 degC", "fan": "off"},
    ]
    together = check(case_of(duties=duties), members=40)
    assert together.duties[2].status is Status.BOILS
    for i, duty in enumerate(duties):
        alone = check(case_of(duties=[duty]), members=40).duties[0]
        assert alone.verdict is together.duties[i].verdict
        for name in ("margin", "limiting_ambient", "air_to_boil", "holds_probability", "spread_low", "spread_high"):
            one, other = getattr(alone, name), getattr(together.duties[i], name)
            assert (one is None) == (other is None), name
            if one is not None:
                assert one == pytest.approx(other, abs=0.05), name


def test_without_members_there_are_no_odds() -> None:
    duty = check(case_of(), members=0).duties[0]
    assert (duty.holds_probability, duty.spread_low, duty.spread_high) == (None, None, None)


def test_the_nominal_lies_within_its_spread() -> None:
    for duty in check(case_of(duties=[{"vehicle_speed": "80 km/h"}]), members=100).duties:
        assert duty.spread_low <= duty.peak <= duty.spread_high


def test_a_doubtful_input_lowers_the_odds() -> None:
    def odds(uncertainty: str) -> float:
        duty = {
            "brake_power": {"value": "50 kW", "uncertainty": uncertainty},
            "vehicle_speed": "70 km/h",
            "ambient": "30 degC",
        }
        p = check(case_of(duties=[duty])).duties[0].holds_probability
        assert p is not None
        return p

    assert odds("25 kW") < odds("1 kW")


@pytest.mark.fresh
def test_cancelled_between_two_parts() -> None:
    with pytest.raises(Cancelled, match="cancelled"):
        check(case_of(), members=0, cancelled=lambda: True)


@pytest.mark.fresh
def test_progress_rises_to_one() -> None:
    told: list[float] = []
    check(case_of(), members=10, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


HOT_PULL = {"brake_power": "80 kW", "vehicle_speed": "60 km/h", "ambient": "40 degC"}


def test_a_shorter_duty_is_judged_by_what_it_reaches() -> None:
    long, short = (
        check(case_of(duties=[{**HOT_PULL, **more}]), members=40).duties[0] for more in ({}, {"duration": "20 s"})
    )
    assert long.verdict is Verdict.UNDERSIZED
    assert float(long.holds_probability or 0.0) < 0.5
    assert short.verdict is not Verdict.UNDERSIZED
    assert float(short.holds_probability or 0.0) >= 0.8
    assert short.point.coolant_out[0] == pytest.approx(long.point.coolant_out[0])  # the settled numbers stay
    assert short.peak is not None
    assert short.start is not None
    assert short.start < short.peak < short.limit
    assert short.margin == pytest.approx(short.limit - short.peak)
    assert short.time_to_limit == long.time_to_limit > 30.0
    assert FindingCode.HOLDS_IN_TIME in {f.code for f in short.findings}


def test_a_duty_ends_just_when_its_limit_is_reached_in_the_time_told() -> None:
    told = check(case_of(duties=[HOT_PULL]), members=0).duties[0].time_to_limit
    assert told is not None
    for share, verdict in ((0.99, Verdict.MARGINAL), (1.01, Verdict.UNDERSIZED)):
        duty = check(case_of(duties=[{**HOT_PULL, "duration": f"{share * told:.3f} s"}]), members=0).duties[0]
        assert duty.verdict is verdict
        assert duty.margin == pytest.approx(0.0, abs=1.0)


def test_the_limiting_ambient_is_that_of_the_peak() -> None:
    duty = {**HOT_PULL, "duration": "3 min"}
    found = check(case_of(duties=[duty]), members=0).duties[0]
    assert found.limiting_ambient is not None
    again = check(case_of(duties=[{**duty, "ambient": f"{found.limiting_ambient - 273.15:.4f} degC"}]), members=0)
    assert again.duties[0].margin == pytest.approx(0.0, abs=0.1)  # K; what is promised of a re-run


def test_the_duties_own_limit_comes_before_the_cases() -> None:
    duty = check(case_of(duties=[{"vehicle_speed": "80 km/h", "limit": "95 degC"}]), members=0).duties[0]
    assert duty.limit == pytest.approx(368.15)


def test_a_cold_cabin_is_said_by_the_temperature_wanted() -> None:
    warm, cold = (
        check(
            case_of(
                duties=[{"vehicle_speed": "40 km/h", "ambient": "-38 degC", "heater": "high"}], cabin={"target": t}
            ),
            members=0,
        )
        for t in ("-5 degC", "22 degC")
    )
    assert FindingCode.CABIN_COLD not in codes(warm, 0)
    assert FindingCode.CABIN_COLD in codes(cold, 0)


@settings(max_examples=15, deadline=None)
@given(cool=st.floats(-20, 45), hotter=st.floats(0.5, 20), power=st.floats(10, 80), speed=st.floats(20, 140))
def test_hotter_air_never_enlarges_the_margin(cool: float, hotter: float, power: float, speed: float) -> None:
    duties = [
        {
            "brake_power": f"{power:.3f} kW",
            "engine_speed": "3000 rpm",
            "vehicle_speed": f"{speed:.3f} km/h",
            "ambient": f"{t:.3f} degC",
            "fan": "on",
        }
        for t in (cool, cool + hotter)
    ]
    # without play: a thermostat that hunts swings the further the colder the slug that comes back
    first, second = check(case_of(duties=duties, thermostat={"hysteresis": "0 K"}), members=0).duties
    if second.margin is not None:
        assert first.margin is not None
        assert second.margin <= first.margin + 1e-6


@settings(max_examples=10, deadline=None)
@given(blocked=st.floats(0.05, 0.8), power=st.floats(30, 80))
def test_a_blocked_face_never_enlarges_the_margin(blocked: float, power: float) -> None:
    duties = [{"brake_power": f"{power:.3f} kW", "vehicle_speed": "70 km/h", "ambient": "30 degC", "fan": "on"}]
    clean = check(case_of(duties=duties), members=0).duties[0]
    dirty = check(case_of(duties=duties, radiator={"blocked_face": f"{blocked:.3f}"}), members=0).duties[0]
    if dirty.margin is not None:
        assert clean.margin is not None
        assert dirty.margin <= clean.margin + 1e-6


def test_no_number_is_nan() -> None:
    for name in sorted(CLASSES):
        for duty in check(case_of(name), members=20).duties:
            for key in ("limit", "margin", "boiling_margin", "air_to_boil", "limiting_ambient", "holds_probability"):
                value = getattr(duty, key)
                assert value is None or np.isfinite(value), (name, key)


def _extremes() -> list[tuple[str, str]]:
    """Every input of a vehicle's sections at either end of what is accepted, and every word of a choice."""
    found = []
    for e in catalogue():
        if e.section in ("job", "rig", "evidence", "duties") or "[]" in e.path or e.input.shape is FileShape.TEXT:
            continue
        found += [(e.path, v) for v in (e.input.options or e.input.limits or ())]
    return found


@settings(max_examples=40, deadline=None)
@given(which=st.sampled_from(_extremes()))
def test_an_input_at_its_limit_gives_an_answer_or_a_fault_and_never_nan(which: tuple[str, str]) -> None:
    path, value = which
    section, key = path.split(".")
    tree = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car"},
        "duties": [
            {"ambient": "-15 degC", "heater": "high"},
            {"brake_power": "60 kW", "vehicle_speed": "60 km/h", "ambient": "35 degC"},
        ],
    }
    tree[section] = {**tree.get(section, {}), key: value}
    case = resolve(CaseText(tree))
    if isinstance(case, Case):
        for duty in check(case, members=12).duties:
            values = [row.getter(duty) for row in RESULTS]
            assert all(v is None or np.isfinite(v) for v in values), which


def test_a_bench_without_heat_says_what_is_missing() -> None:
    def told(**sections: object) -> bool:
        case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": "bench rig"}, **sections}))
        assert isinstance(case, Case), case
        return any(f.code is FindingCode.NO_HEAT_SOURCE for f in check(case, members=0).findings)

    assert told()
    assert not told(circuit={"extra": [{"name": "heater", "heat": "2 kW"}]})


def test_an_open_system_at_altitude_and_high_speed_cavitates_and_a_healthy_cap_does_not() -> None:
    duty = {"brake_power": "15 kW", "engine_speed": "6500 rpm", "vehicle_speed": "60 km/h", "altitude": "1500 m"}
    open_, capped = (check(case_of(duties=[duty], coolant={"tank": t}), members=0) for t in ("none", "surge tank"))
    assert FindingCode.CAVITATES in codes(open_, 0)
    assert FindingCode.CAVITATES not in codes(capped, 0)
    found = next(f.numbers for f in open_.duties[0].findings if f.code is FindingCode.CAVITATES)
    assert 0.0 <= found["left"] < found["needed"]
    assert found["inlet"] == float(open_.duties[0].point.coolant_in[0])


def test_a_cap_on_the_radiator_leaves_the_pump_less_than_a_surge_tank() -> None:
    cap = {"base": "water", "concentration": "0 %"}
    bottle, tank = (prepare_cap(case_of(coolant={**cap, "tank": word})) for word in ("overflow bottle", "surge tank"))
    T, drop, sea = np.full(1, 363.15), np.full(1, 2e4), np.zeros(1)
    left = over_vapour(tank, sea, drop, T)[0]
    # saturation pressure of water at 90 degC: 70.18 kPa (IAPWS-95)
    assert left == pytest.approx(101325.0 + tank.gauge_pressure[0] - 70182.0, rel=1e-3)
    assert over_vapour(bottle, sea, drop, T)[0] == pytest.approx(left - 2e4)


POINT = {"rated_coolant_flow": "120 L/min", "rated_air_velocity": "5 m/s", "rated_inlet_difference": "60 K"}


@pytest.mark.parametrize(
    ("factor", "doubted"), [(0.45, True), (0.595, True), (0.605, False), (1.0, False), (1.595, False), (1.605, True)]
)
def test_a_makers_point_far_from_the_dimensions_is_doubted(factor: float, doubted: bool) -> None:
    """0.6 and 1.6: common practice, no source. The stated heat is a core's of ``factor`` times the conductance."""
    rated = prepare(case_of(radiator={**POINT, "rated_heat": "50 kW"})).rated
    assert rated is not None
    stated = float(evaluate(rated.predicted.core, rated.predicted.flows, ua_scale=factor).Q[0])
    found = check(case_of(radiator={**POINT, "rated_heat": f"{stated} W"}), members=0)
    told = [f for f in found.findings if f.code is FindingCode.RATED_POINT_DOUBTED]
    assert bool(told) is doubted
    if told:
        assert told[0].numbers["ua_scale"] == pytest.approx(factor, rel=1e-6)
        assert told[0].numbers["stated"] == pytest.approx(stated)
        assert told[0].numbers["predicted"] == pytest.approx(float(rated.predicted.Q[0]))


def test_a_makers_point_that_scales_nothing_is_not_doubted() -> None:
    radiator = {**POINT, "rated_heat": "15 kW"}
    codes = [
        {f.code for f in check(case_of(radiator={**radiator, "scale_to": word}), members=0).findings}
        for word in ("rated point", "none")
    ]
    assert [FindingCode.RATED_POINT_DOUBTED in c for c in codes] == [True, False]
