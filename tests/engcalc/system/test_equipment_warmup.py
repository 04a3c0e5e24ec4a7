"""Pumps that stand cold, warmers, exhaust heat and mapped thermostats in the warm-up: an adaptive solver beside it."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from warmup_equations import BLOCK, CORE, ENGINE, SENSOR, STATES, right_hand_side
from warmup_equations import start as start_of

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import conditions_of, table_of
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.engine import engine_heat
from engcalc.components.surface import surface_growth
from engcalc.system.in_time.drive import Drive, steady_drive
from engcalc.system.in_time.lumps import block_to_air, prepare_lumps, row_load
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare

ROAD = {"vehicle_speed": "50 km/h", "ambient": "-7 degC", "heater": "off"}
FULL = {"brake_power": "84 kW", "engine_speed": "5500 rpm", "vehicle_speed": "150 km/h", "ambient": "0 degC"}
STANDS = {"pump_cold": "stands when cold", "pump_starts": "60 degC"}
DIESEL = {"fuel": "diesel"}  # no late ignition after the start, which the oracle leaves out
BEFORE = 351.0  # K; before the valve opens
BOX, OIL, EXHAUST = (
    {"kind": "gearbox warmer"},
    {"kind": "oil warmer", "conductance": "300 W/K"},
    {"kind": "exhaust heat", "stops": "55 degC"},
)


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


def drive_of(case: Case, duration: float, step: float = 1.0) -> Drive:
    """The case's first duty from a start at ambient."""
    return steady_drive(conditions_of(case.duties[:1]), case.duties[0].ambient, duration, step)


def warmed(duty: dict[str, Any], duration: float = 1800.0, step: float = 1.0, **sections: Any) -> Warmup:
    case = case_of(duties=[duty], **sections)
    return warm_up(prepare(case), drive_of(case, duration, step))


def at(w: Warmup, time: float, series: str = "coolant") -> float:
    return float(np.interp(time, w.time, getattr(w, series)[:, 0]))


# a pump that stands


def test_a_standing_pump_agrees_with_an_adaptive_solver() -> None:
    # phase by phase: the oracle's own pump at rest until the coolant has 60 degC, then as it always turns
    case = case_of(duties=[ROAD], circuit=STANDS, thermostat={"hysteresis": "0 K"}, engine=DIESEL)
    plant, drive = prepare(case), drive_of(case, 480.0, 0.5)
    rests = replace(plant, circuit=replace(plant.circuit, pump=replace(plant.circuit.pump, ratio=np.zeros(1))))

    def called(_: float, y: np.ndarray) -> float:
        return float(y[ENGINE] - 333.15)

    called.terminal = True  # as solve_ivp asks
    cold = solve_ivp(
        right_hand_side(rests, drive),
        (0.0, 480.0),
        start_of(drive),
        "BDF",
        rtol=1e-6,
        atol=1e-4,
        events=called,
        max_step=5.0,
    )
    begins = float(cold.t[-1])
    warm = solve_ivp(
        right_hand_side(plant, drive),
        (begins, 480.0),
        cold.y[:, -1],
        "BDF",
        rtol=1e-6,
        atol=1e-4,
        t_eval=np.arange(np.ceil(begins / 5.0) * 5.0, 480.1, 5.0),
        max_step=5.0,
    )
    w = warm_up(plant, drive)
    assert float(w.pump_stood[0]) == pytest.approx(begins, abs=1.0)
    assert 60.0 < begins < 400.0
    compared = np.flatnonzero((warm.t > begins + 10.0) & (warm.y[ENGINE] < BEFORE))  # after the first rush of the slug
    assert compared.size >= 4
    for series, state in (("coolant", ENGINE), ("sensor", SENSOR)):
        own = [at(w, t, series) for t in warm.t[compared]]
        assert own == pytest.approx(warm.y[state][compared].tolist(), abs=0.2)  # a start half a step apart is 0.1 K


def test_until_the_pump_starts_the_engine_warms_alone() -> None:
    stands, turns = warmed(ROAD, circuit=STANDS), warmed(ROAD)
    begins = float(stands.pump_stood[0])
    assert at(stands, 0.9 * begins) > at(turns, 0.9 * begins) + 2.0
    assert at(stands, 0.9 * begins, "heater_out") < 273.15  # the heater gets nothing
    assert at(turns, 0.9 * begins, "heater_out") > 313.15
    assert stands.coolant[stands.time <= begins, 0].max() == pytest.approx(333.15, abs=2.0)  # sampled every 5 s
    after = stands.coolant[(stands.time > begins) & (stands.time < begins + 120.0), 0]
    assert after.min() < 333.15 - 1.0  # the cold slug of the heater's branch
    assert float(turns.pump_stood[0]) == 0.0
    assert abs(float(stands.energy_error[0])) < 1e-9


@pytest.mark.parametrize(
    ("heater", "how", "stood"), [("off", "starts it", True), ("low", "starts it", False), ("low", "waits for it", True)]
)
def test_a_heater_that_is_on_calls_for_the_pump(heater: str, how: str, stood: bool) -> None:
    w = warmed({**ROAD, "heater": heater}, 600.0, circuit={**STANDS, "pump_for_heat": how})
    assert (float(w.pump_stood[0]) > 100.0) is stood


@pytest.mark.parametrize(("share", "turns"), [(0.049, False), (0.05, True)])
def test_a_heater_counts_as_on_from_a_twentieth_of_its_air(share: float, turns: bool) -> None:
    case = case_of(duties=[ROAD], circuit=STANDS)
    w = warm_up(prepare(case), drive_of(case, 30.0).asking(heater_air_share=np.full((1, 1), share)))
    assert (float(w.pump_stood[0]) == 0.0) is turns


def test_it_starts_as_warm_as_was_entered_and_stays_on() -> None:
    stood = [float(warmed(ROAD, circuit={**STANDS, "pump_starts": f"{T} degC"}).pump_stood[0]) for T in (30, 60, 80)]
    assert stood[0] < stood[1] < stood[2]
    hot = case_of(duties=[ROAD], circuit=STANDS)
    begun = warm_up(prepare(hot), replace(drive_of(hot, 60.0), start=np.full(1, 343.15)))
    assert float(begun.pump_stood[0]) == 0.0


@pytest.mark.parametrize("drive", ["belt", "electric"])
def test_where_it_settles_is_the_operating_point_of_the_turning_pump(drive: str) -> None:
    case = case_of(duties=[ROAD], circuit={**STANDS, "pump_drive": drive}, thermostat={"hysteresis": "0 K"})
    w = warm_up(prepare(case), drive_of(case, 7200.0))
    settled = float(solve(prepare(case), conditions_of(case.duties)).coolant_out[0])
    assert float(w.coolant[-1, 0]) == pytest.approx(settled, abs=0.1)


# warmers and exhaust heat


def augmented(plant: Plant, drive: Drive) -> Any:
    """The oracle's equations with the exchangers' heat and a gearbox as one more state, written down once more."""
    base, L, box = right_hand_side(plant, drive), prepare_lumps(plant), plant.equipment
    load = row_load(plant, drive)
    Ta = float(drive.conditions.ambient[0])
    UA_oil, UA_box, G = (float(x[0]) for x in (box.oil_UA, box.gear_UA, box.gear_to_air))
    C_e, C_b = float(L.engine[0]), float(L.block[0])
    wind = surface_growth(drive.conditions.vehicle_speed[0])
    ratio = float((block_to_air(plant, L, wind) / L.block_to_coolant)[0])

    def rates(t: float, y: np.ndarray) -> np.ndarray:
        dy, T = base(t, y[:-1]), y[ENGINE]
        inner = y[BLOCK] + ratio * (y[BLOCK] - Ta)
        heat = engine_heat(plant.engine, load, np.array([inner]))
        through = max(float(np.ravel(heat.brake_power - heat.accessory_power)[0]), 0.0)
        flap = min(max((float(box.stops[0]) - T) / 5.0, 0.0), 1.0)
        to_oil, to_box = UA_oil * (T - inner), UA_box * (T - y[-1])
        from_exhaust = float(box.recovery[0]) * float(np.ravel(heat.heat_exhaust)[0]) * flap
        dy[ENGINE] += (from_exhaust - to_oil - to_box) / C_e
        dy[BLOCK] += to_oil / C_b
        lost = 0.4 * (1.0 - float(plant.engine.driveline_efficiency[0])) * through
        return np.append(dy, (lost + to_box - G * (y[-1] - Ta)) / float(box.gear_capacity[0]))

    return rates


@pytest.mark.parametrize("extra", [[OIL], [BOX], [EXHAUST], [OIL, BOX, EXHAUST]])
def test_exchangers_agree_with_an_adaptive_solver(extra: list[dict[str, str]]) -> None:
    case = case_of(
        duties=[{**ROAD, "heater": "low"}], circuit={"extra": extra}, thermostat={"hysteresis": "0 K"}, engine=DIESEL
    )
    plant, drive = prepare(case), drive_of(case, 900.0, 0.5)
    times = np.arange(20.0, 901.0, 20.0)
    y0 = np.append(start_of(drive), float(drive.start[0]))
    assert y0.size == STATES + 1
    found = solve_ivp(
        augmented(plant, drive), (0.0, 900.0), y0, "BDF", rtol=1e-6, atol=1e-4, t_eval=times, max_step=10.0
    )
    w, cold = warm_up(plant, drive), found.y[ENGINE] < BEFORE
    assert cold.sum() >= 6
    # the heater's film is renewed every 10 s: in the first minutes its outlet stays behind, in proportion to that time
    renewed_often = warm_up(plant, drive, renew_every=2.0)
    for series, state, own in (("coolant", ENGINE, w), ("block", BLOCK, w), ("heater_out", CORE, renewed_often)):
        assert [at(own, t, series) for t in times[cold]] == pytest.approx(found.y[state][cold].tolist(), abs=0.1)
    assert abs(float(w.energy_error[0])) < 1e-9


def test_warmers_slow_the_coolant_and_exhaust_heat_speeds_it() -> None:
    plain = warmed(ROAD).time_to(333.15)[0]
    oil, box, exhaust = (warmed(ROAD, circuit={"extra": [item]}) for item in (OIL, BOX, EXHAUST))
    assert oil.time_to(333.15)[0] > plain + 5.0
    assert at(oil, 120.0, "block") > at(warmed(ROAD), 120.0, "block") + 1.0  # the oil is sooner warm
    assert box.time_to(333.15)[0] > plain + 60.0
    assert exhaust.time_to(323.15)[0] < 0.9 * warmed(ROAD).time_to(323.15)[0]
    assert float(exhaust.exhaust_heat[0]) > 1e5
    assert float(oil.exhaust_heat[0]) == 0.0


@pytest.mark.parametrize("side", ["outlet", "inlet"])
@pytest.mark.parametrize("duty", [ROAD, {**ROAD, "ambient": "-15 degC", "heater": "high"}, FULL])
def test_a_long_warm_up_ends_at_the_operating_point(side: str, duty: dict[str, str]) -> None:
    case = case_of(
        duties=[duty],
        circuit={"extra": [OIL, BOX, EXHAUST]},
        thermostat={"hysteresis": "0 K", "side": side, "kind": "heated wax"},
    )
    w = warm_up(prepare(case), drive_of(case, 3.0 * 3600.0))
    settled = solve(prepare(case), conditions_of(case.duties))
    assert float(w.coolant[-1, 0]) == pytest.approx(float(settled.coolant_out[0]), abs=0.15)


def test_a_standing_pump_leaves_the_exchangers_nothing() -> None:
    w = warmed(ROAD, 100.0, circuit={**STANDS, "extra": [OIL, BOX, EXHAUST]})
    alone = warmed(ROAD, 100.0, circuit=STANDS)
    assert w.coolant.tolist() == alone.coolant.tolist()
    assert float(w.exhaust_heat[0]) == 0.0


@pytest.mark.parametrize(("conductance", "near"), [("300 W/K", 0.1), ("5000 W/K", 0.8)])
def test_longer_steps_come_close_and_a_warmer_too_strong_for_them_does_not_swing(conductance: str, near: float) -> None:
    strong = {
        "extra": [
            {"kind": "oil warmer", "conductance": conductance},
            {"kind": "gearbox warmer", "conductance": conductance, "mass": "10 kg"},
        ]
    }
    fine, coarse = (warmed(ROAD, 900.0, step, circuit=strong, engine=DIESEL) for step in (0.25, 4.0))
    times = [t for t in np.arange(60.0, 601.0, 30.0) if at(fine, t) < BEFORE]
    assert len(times) >= 3
    assert [at(coarse, t) for t in times] == pytest.approx([at(fine, t) for t in times], abs=near)
    assert (np.diff(coarse.coolant[coarse.time < times[-1], 0]) > 0.0).all()


# a mapped valve


@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_load_opens_a_mapped_valve_lower_and_light_running_does_not(side: str) -> None:
    valve = {"side": side, "rating": "103 degC", "mapped_shift": "20 K", "hysteresis": "0 K"}
    still = {"airflow": {"fan_power": "1 W"}}  # so that nothing but the valve differs
    mapped = {"thermostat": {**valve, "kind": "heated wax"}, **still}
    light, full = warmed(ROAD, **mapped), warmed(FULL, **mapped)
    plain = {key: text for key, text in valve.items() if key != "mapped_shift"}
    assert light.coolant.tolist() == warmed(ROAD, thermostat=plain, **still).coolant.tolist()
    assert float(light.opens_lowest[0]) == float(light.opens_usual[0]) == pytest.approx(376.15)
    assert float(full.opens_lowest[0]) == pytest.approx(356.15, abs=1e-3)
    lower = warmed(FULL, thermostat={**plain, "rating": "83 degC"}, **still)
    assert at(full, 1800.0) == pytest.approx(at(lower, 1800.0), abs=0.1)


def test_the_opening_follows_the_load_with_the_lag_of_the_wax() -> None:
    # light running, then full load: the shift is 20 K (1 - exp(-t/10 s)), an exponential from memory
    case = case_of(duties=[ROAD, FULL], thermostat={"kind": "valve", "mapped_shift": "20 K", "time_constant": "40 s"})
    light, full = (conditions_of((duty,)) for duty in case.duties)
    which = np.repeat([0, 1], [600, 40])[:, None]
    w = warm_up(prepare(case), Drive(1.0, which, table_of([light, full], light), light.ambient))
    down = float(w.opens_usual[0] - w.opens_lowest[0])
    assert down == pytest.approx(20.0 * (1.0 - np.exp(-1.0)), rel=0.02)  # steps of 1 s


def test_members_answer_as_alone_and_as_one_whose_equipment_differs() -> None:
    case = case_of(
        duties=[{**FULL, "ambient": "-10 degC"}],
        thermostat={"kind": "heated wax"},
        circuit={**STANDS, "extra": [OIL, BOX, EXHAUST]},
    )
    three = {
        "thermostat.mapped_shift": np.array([0.0, 12.0, 25.0]),
        "circuit.pump_starts": np.array([233.15, 313.15, 353.15]),
        "circuit.extra[0].conductance": np.array([0.0, 150.0, 400.0]),
        "circuit.extra[1].conductance": np.array([0.0, 100.0, 400.0]),
        "circuit.extra[2].recovery": np.array([0.0, 0.2, 0.4]),
    }
    drive = drive_of(case, 900.0, 2.0)
    together = warm_up(prepare(with_values(case, three)), drive)
    for i in range(3):
        one = warm_up(prepare(with_values(case, {path: x[i : i + 1] for path, x in three.items()})), drive)
        for f in fields(Warmup):
            if f.name not in ("time", "engine"):
                own = getattr(together, f.name)[..., i]
                assert getattr(one, f.name)[..., 0] == pytest.approx(own, rel=1e-9, abs=1e-6), f.name
        for name in ("T_feed", "T_oil", "fan"):
            own = getattr(together.engine, name)[..., i]
            assert getattr(one.engine, name)[..., 0] == pytest.approx(own, rel=1e-9, abs=1e-6), name
    # the first has nothing of it all
    bare = warm_up(prepare(case_of(duties=[{**FULL, "ambient": "-10 degC"}])), drive)
    assert together.coolant[:, 0] == pytest.approx(bare.coolant[:, 0], abs=1e-6)
