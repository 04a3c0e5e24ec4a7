"""The warm-up against closed forms, an adaptive solver on the same equations, its own balance and the steady point."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from plug_flow import Engine, returned
from scipy.integrate import solve_ivp
from scipy.linalg import expm
from warmup_equations import ENGINE, SENSOR, right_hand_side
from warmup_equations import start as start_of

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import conditions_of, only_given
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.engine import catalyst_heating, engine_heat, engine_load, heat_released, idling_at
from engcalc.system.circuit import circuit_flows
from engcalc.system.in_time.drive import Drive, recorded_drive, steady_drive
from engcalc.system.in_time.lumps import CELLS, block_to_air, hose_conductance, prepare_lumps, quick_weights
from engcalc.system.in_time.step import step as step_of
from engcalc.system.in_time.step_fixed import fix
from engcalc.system.in_time.step_state import State, begin
from engcalc.system.in_time.warmup import run, warm_up
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.units import Array

COLD = {"ambient": "-5 degC", "heater": "low", "vehicle_speed": "50 km/h"}
HOT = {"ambient": "30 degC", "vehicle_speed": "100 km/h", "grade": "5 %"}
NO_PLAY = {"thermostat": {"hysteresis": "0 K"}}


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


def held(case: Case, duration: float, step: float = 1.0) -> Drive:
    """The case's first duty from a start at ambient."""
    return steady_drive(conditions_of(case.duties[:1]), case.duties[0].ambient, duration, step)


def a_trip(seconds: int, ambient: float, fuel_scale: float = 1.0) -> Drive:
    """An invented trip at 1 Hz with ups and downs, from a fixed seed; the fan held off."""
    rng = np.random.default_rng(7)

    def wander(width: int, scale: float) -> Any:
        return np.convolve(rng.normal(size=seconds), np.ones(width) / scale, "same")

    n = 13.0 + 20.0 * np.clip(wander(20, 8.0), 0.0, 1.5)
    v = np.clip(15.0 * wander(60, 8.0) + 8.0, 0.0, 35.0)
    fuel = fuel_scale * (3e-4 + 8e-4 * np.clip(wander(10, 4.0), 0.0, 3.0))
    T = np.full(1, ambient)
    first = only_given(ambient=T, heater_air_share=np.full(1, 1.0 / 3.0), fan_mode=np.full(1, -1.0))
    return recorded_drive(first, T, 1.0, engine_speed=n, vehicle_speed=v, fuel_flow=fuel)


def test_a_standing_engine_soaks_as_the_matrix_exponential_says() -> None:
    # Three linear lumps (hot metal, coolant, block) without any flow have the exact solution exp(A t) y0.
    still = {"engine_speed": "0 rpm", "brake_power": "0 kW", "fuel_flow": "0 kg/h", "ambient": "10 degC"}
    case = case_of(duties=[still])
    plant = prepare(case)
    drive = steady_drive(conditions_of(case.duties), np.full(1, 363.15), 1800.0)
    L = prepare_lumps(plant)
    standing = block_to_air(plant, L, np.ones(1))
    hh, hb, ha = (float(x[0]) for x in (L.hot_to_coolant, L.block_to_coolant, standing))
    C = np.array([float(x[0]) for x in (L.hot, L.engine, L.block)])
    A = np.array([[-hh, hh, 0.0], [hh, -hh - hb, hb], [0.0, hb, -hb - ha]]) / C[:, None]
    over = expm(A * 1800.0) @ np.full(3, 80.0)
    w = warm_up(plant, drive)
    # the tolerance is the midpoint rule's error at 1 s on a fastest mode of some 5 s, over 80 K
    assert w.coolant[-1, 0] - 283.15 == pytest.approx(over[1], rel=1e-4)
    assert w.block[-1, 0] - 283.15 == pytest.approx(over[2], rel=1e-4)
    # a hose in which nothing flows is one lump that loses to the air: 80 K exp(-G t/C)
    left = 80.0 * np.exp(-1800.0 * float((L.upper_to_air / L.upper)[0]))
    assert w.upper_hose[-1, 0] - 283.15 == pytest.approx(left, rel=1e-4)


@pytest.mark.parametrize("side", ["outlet", "inlet"])
def test_an_adaptive_solver_on_the_same_equations_agrees_before_the_valve(side: str) -> None:
    plant = prepare(case_of(thermostat={"hysteresis": "0 K", "side": side}))
    trip = a_trip(240, 268.15)
    w = warm_up(plant, trip)
    s = solve_ivp(
        right_hand_side(plant, trip),
        (0.0, 240.0),
        start_of(trip),
        method="LSODA",
        rtol=1e-6,
        atol=1e-4,
        t_eval=w.time,
        max_step=1.0,
    )  # s; the trip asks for something else every second
    assert np.abs(s.y[SENSOR] - w.sensor[:, 0]).max() < 0.1  # K; our own bound
    assert np.abs(s.y[ENGINE] - w.coolant[:, 0]).max() < 0.1


@pytest.mark.parametrize(
    ("side", "ambient", "bounds"),
    [("outlet", 293.15, {1.0: 0.1}), ("inlet", 293.15, {1.0: 0.2}), ("inlet", 253.15, {1.0: 0.2, 0.5: 0.1})],
)
def test_an_adaptive_solver_on_the_same_equations_agrees_while_the_valve_opens(
    side: str, ambient: float, bounds: dict[float, float]
) -> None:
    """Also where each opening of a valve at the pump's inlet lets an icy slug come back to its own wax.

    Bounds [K] by step [s] are our own: 0.1, but for a valve at the inlet in steps of 1 s, whose error falls with the
    step's square (an icy slug comes back to it, or it opens fully within ten seconds). The coolant stays short of
    boiling, which the equations do not know.
    """
    plant = prepare(case_of(thermostat={"hysteresis": "0 K", "side": side}))
    trip = replace(a_trip(240, ambient, 1.8 if ambient < 273.15 else 1.3), start=np.full(1, 353.15))
    s = solve_ivp(
        right_hand_side(plant, trip),
        (0.0, 240.0),
        start_of(trip),
        method="LSODA",
        rtol=1e-6,
        atol=1e-4,
        t_eval=warm_up(plant, trip).time,
        max_step=10.0,
    )
    for step, bound in bounds.items():
        w = warm_up(plant, replace(trip, step=step, which=np.repeat(trip.which, round(1.0 / step), axis=0)))
        assert w.opening.max() > 0.05
        assert w.coolant.max() < 273.15 + 115.0
        assert np.abs(s.y[SENSOR] - w.sensor[:, 0]).max() < bound


def cold_idle(fuel: str, seconds: float = 240.0) -> tuple[Plant, Drive]:
    """An engine started at -15 degC that idles at the speed it wants, its fan held off."""
    case = case_of(engine={"fuel": fuel}, duties=[{"ambient": "-15 degC", "heater": "low", "fan": "off"}], **NO_PLAY)
    return prepare(case), held(case, seconds)


@pytest.mark.parametrize(("fuel", "bound"), [("petrol", 0.1), ("diesel", 0.01)])
def test_an_adaptive_solver_on_the_same_equations_agrees_on_a_cold_idle(fuel: str, bound: float) -> None:
    """Idle speed and catalyst heating at every instant in the solver, every few seconds and by tables in the steps.

    A petrol engine that heats its catalyst for two minutes warms three times as fast: what is renewed every 5 s then
    lags by 0.2 % of what it has warmed, which dies away once it warms slower. Bounds [K] are our own.
    """
    plant, drive = cold_idle(fuel)
    w = warm_up(plant, drive)
    s = solve_ivp(
        right_hand_side(plant, drive),
        (0.0, 240.0),
        start_of(drive),
        method="LSODA",
        rtol=1e-6,
        atol=1e-4,
        t_eval=w.time,
        max_step=1.0,
    )
    error = np.abs(s.y[ENGINE] - w.coolant[:, 0])
    assert error.max() < bound
    assert error[-1] < 0.05
    assert abs(float(w.energy_error[0])) < 1e-10


def without(plant: Plant, name: str) -> Plant:
    """The same plant whose engine has none of one thing."""
    return replace(plant, engine=replace(plant.engine, **{name: np.zeros(1)}))


def released(plant: Plant, drive: Drive) -> float:
    return float(warm_up(plant, drive).heat_released[0])


def test_a_cold_idle_and_a_cold_catalyst_warm_the_engine() -> None:
    plant, drive = cold_idle("petrol")
    heat, lasts = catalyst_heating(plant.engine, drive.start)
    more, added = released(plant, drive) - released(without(plant, "catalyst_fuel"), drive), float((heat * lasts)[0])
    # warmer oil rubs less and a warmer engine idles slower: a part of the catalyst's heat is made less afterwards
    assert 0.5 * added < more < added
    assert released(plant, drive) > 1.2 * released(without(plant, "cold_idle_rise"), drive)


@pytest.mark.parametrize("step", [1.0, 2.0])
def test_the_catalyst_gets_its_heat_and_no_more(step: float) -> None:
    plant, drive = cold_idle("petrol")
    heat, lasts = catalyst_heating(plant.engine, drive.start)
    drive = replace(drive, step=step)
    assert step * sum(fix(plant, drive, 1).rows.catalyst) == pytest.approx(float((heat * lasts)[0]), rel=1e-12)
    at_once = replace(drive, which=drive.which[:1])  # the first step, before it tells on anything else
    more = released(plant, at_once) - released(without(plant, "catalyst_fuel"), at_once)
    assert more == pytest.approx(step * float(heat[0]), rel=1e-9)


@pytest.mark.parametrize("what", ["fuel_flow", "engine_speed"])
def test_measured_fuel_holds_the_catalysts_share_and_a_standing_engine_heats_none(what: str) -> None:
    plant, drive = cold_idle("petrol", 60.0)
    given = drive.asking(**{what: np.full((1, 1), 2e-4 if what == "fuel_flow" else 0.0)})
    assert released(plant, given) == released(without(plant, "catalyst_fuel"), given)


@pytest.mark.parametrize("share", [0.0, 0.65, 1.3])
def test_heat_between_the_tabulated_idle_speeds_is_a_parabola_through_the_exact_ones(share: float) -> None:
    """At the warm idle, half-way and in frost the weights give the engine's heat itself, and within 0.2 % between."""
    plant, _ = cold_idle("petrol")
    engine, load = plant.engine, engine_load(plant.engine, conditions_of(case_of(duties=[{}]).duties))

    def exact(at: float) -> float:
        T = engine.cold_idle_ends - at * (engine.cold_idle_ends - 293.15)  # the line through 20 degC
        turning = idling_at(engine, load, np.full(1, T))
        return float(heat_released(engine, turning, np.full(1, 293.15))[0][0])

    def tabulated(at: float) -> float:
        half, most = (float(w[0]) for w in quick_weights(np.full(1, at)))
        return exact(0.0) * (1.0 - half - most) + half * exact(0.65) + most * exact(1.3)

    assert tabulated(share) == pytest.approx(exact(share), rel=1e-9)
    between = max(share - 0.3, 0.0)
    assert tabulated(between) == pytest.approx(exact(between), rel=2e-3)


@pytest.mark.parametrize("vehicle", ["small car", "family car", "delivery van", "pickup", "heavy truck", "tractor"])
@pytest.mark.parametrize("duty", [COLD, HOT], ids=["cold", "hot"])
def test_energy_closes(vehicle: str, duty: dict[str, str]) -> None:
    plant = prepare(case := case_of(vehicle={"class": vehicle}, duties=[duty]))
    w = warm_up(plant, held(case, 1800.0))
    assert abs(float(w.energy_error[0])) < 1e-10  # of the heat released; 1e-4 would do
    assert np.isfinite(w.sensor).all()


@pytest.mark.parametrize("duty", [COLD, HOT], ids=["floating", "regulating"])
@pytest.mark.parametrize("vehicle", ["family car", "delivery van"])
def test_the_end_is_the_operating_point(vehicle: str, duty: dict[str, str]) -> None:
    plant = prepare(case := case_of(vehicle={"class": vehicle}, duties=[duty], **NO_PLAY))
    point = solve(plant, conditions_of(case.duties))
    w = warm_up(plant, held(case, 9000.0), record_every=60.0)
    assert w.coolant[-1, 0] == pytest.approx(point.coolant_out[0], abs=0.1)  # K; our own bound, as are the next two
    assert w.opening[-1, 0] == pytest.approx(point.opening[0], abs=0.005)
    assert w.cabin[-1, 0] == pytest.approx(point.cabin[0], abs=0.1)


@pytest.mark.parametrize("step", [1.0, 4.0])
def test_a_valve_that_opens_onto_an_icy_return_comes_to_rest(step: float) -> None:
    """At the outlet, at speed in hard frost. With a lift that was foreseen it hunted in steps of 4 s by 12 K."""
    cold = {"ambient": "-25 degC", "vehicle_speed": "110 km/h"}
    case = case_of(thermostat={"hysteresis": "0 K", "side": "outlet"}, duties=[cold])
    w = warm_up(prepare(case), steady_drive(conditions_of(case.duties), np.full(1, 293.15), 3000.0, step))
    last = w.time > 2500.0
    assert 0.0 < w.opening[-1, 0] < 1.0
    assert np.ptp(w.coolant[last, 0]) < 0.05  # K


def test_with_play_the_end_lies_in_the_span() -> None:
    plant = prepare(case := case_of(duties=[HOT], thermostat={"hysteresis": "5 K"}))
    point = solve(plant, conditions_of(case.duties))
    end = warm_up(plant, held(case, 7200.0), record_every=60.0).coolant[-1, 0]
    assert point.span_low[0] - 0.1 <= end <= point.span_high[0] + 0.1


@pytest.mark.parametrize("flow", ["shut", "leaks"])
def test_a_hose_behind_a_shut_valve_stays_nearer_the_air_than_the_coolant(flow: str) -> None:
    trip = a_trip(500, 263.15, 2.0)
    leak = {"closed_leak": "0 %"} if flow == "shut" else {}
    w = warm_up(prepare(case_of(vehicle={"class": "delivery van"}, thermostat=leak)), trip)
    hose, coolant = w.upper_hose[-1, 0] - 263.15, w.coolant[-1, 0] - 263.15
    assert coolant > 35.0
    assert hose < (0.5 if flow == "shut" else 0.45 * coolant)


def test_the_conductance_of_a_hose_is_that_of_its_wall_in_air() -> None:
    # 0.64 L in 0.62 m of 36 mm bore: a cylinder's wall between log-mean areas and h = 14 W/(m2 K) outside, in series
    bore, length, wall, k, h = 0.0363, 0.617, 4.5e-3, 0.25, 14.0
    outer = bore / 2.0 + wall
    R = np.log(outer / (bore / 2.0)) / (2.0 * np.pi * k * length) + 1.0 / (h * 2.0 * np.pi * outer * length)
    # the plane wall on the outer area leaves out its curvature: some 2 % of the whole
    assert hose_conductance(np.full(1, 0.64e-3), 17.0)[0] == pytest.approx(1.0 / R, rel=0.03)
    small, large = hose_conductance(np.array([0.3e-3, 3e-3]), 17.0)
    assert small < large < 10.0 * small  # less surface for each litre in a wider hose


def test_a_cold_slug_comes_back_as_late_and_as_deep_as_plug_flow_says() -> None:
    """The valve snaps open at 80 degC onto a cold radiator, no air moves and no heater runs.

    Its wax is slow: a quick one would feel the slug before the valve is open, and hold it back.
    The cells' front is smeared where plug flow's is sharp; its middle and the dip of the engine's outlet are to agree.
    """
    duty = {"ambient": "20 degC", "engine_speed": "600 rpm", "brake_power": "3 kW", "fan": "off"}
    case = case_of(
        duties=[duty],
        engine={"surface_conductance": "0 W/K"},
        airflow={"fan_drive": "none"},
        heater={"rated_output": "0 W", "valve": "closed"},
        circuit={"heater_flow": "0 L/min"},
        thermostat={
            "start_to_open": "80 degC",
            "full_open": "80.001 degC",
            "hysteresis": "30 K",
            "time_constant": "20 s",
            "closed_leak": "0 %",
        },
    )
    plant, step = prepare(case), 0.25
    w = warm_up(plant, held(case, 900.0, step), record_every=step)
    opened = int(np.flatnonzero(w.opening[:, 0] > 0.0)[0]) - 1
    t0 = float(np.interp(0.5, w.opening[opened : opened + 20, 0], w.time[opened : opened + 20]))
    T_open = float(w.coolant[opened, 0])
    L = prepare_lumps(plant)
    fluid = plant.coolant.state(np.full(1, T_open - 10.0))  # the valve feels the outlet, which dips by some 20 K
    flows = circuit_flows(plant.circuit, np.ones(1), np.full(1, 10.0), fluid.rho, fluid.mu)
    C_flow, line = float((flows.radiator * fluid.rho * fluid.cp)[0]), float((L.upper + CELLS * L.cell + L.lower)[0])
    made = engine_heat(plant.engine, engine_load(plant.engine, conditions_of(case.duties)), np.full(1, T_open))
    heat = float(made.heat_to_metal[0])
    over = heat / float(L.hot_to_coolant[0])  # hot metal over a coolant that rises slowly
    engine = Engine(
        float(L.hot[0]),
        float(L.engine[0]),
        float(L.block[0]),
        float(L.hot_to_coolant[0]),
        float(L.block_to_coolant[0]),
        heat,
        T_open + over,
        T_open,
        float(w.block[opened, 0]),
    )
    time, out, back = returned(engine, line, C_flow, float(w.lower_hose[opened, 0]), 120.0)
    after = w.time >= t0
    late, shown = w.time[after] - t0, w.lower_hose[after, 0]
    half = 0.5 * (float(back[0]) + float(back[back > back[0] + 1.0][0]))  # of the front, where it arrives

    def arrival(t: Any, T: Any) -> float:
        return float(np.interp(half, *((T[: i + 1], t[: i + 1]) if (i := int(np.argmax(half < T))) else (T, t))))

    delay, plug_delay = arrival(late, shown), arrival(time, back)
    dip, plug_dip = T_open - float(w.coolant[after, 0].min()), T_open - float(out.min())
    assert plug_dip > 10.0  # K; else there would be nothing to see
    assert shown.min() > back.min() - 0.1 * (T_open - back.min())  # what comes back first is as cold as what was there
    assert delay == pytest.approx(plug_delay, rel=0.1)  # issue text
    assert dip == pytest.approx(plug_dip, rel=0.1)  # issue text


def test_three_unlike_members_are_three_single_runs() -> None:
    case = case_of(duties=[COLD])
    changes = {
        "engine.metal_mass": [60.0, 90.0, 140.0],
        "thermostat.closed_leak": [0.0, 0.05, 0.6],
        "heater.rated_output": [0.0, 5000.0, 9000.0],
    }
    many = with_values(case, {k: np.array(v) for k, v in changes.items()})
    together = warm_up(prepare(many), held(case, 900.0))
    for i in range(3):
        single = with_values(case, {k: np.array([v[i]]) for k, v in changes.items()})
        alone = warm_up(prepare(single), held(case, 900.0))
        assert together.sensor[:, i] == pytest.approx(alone.sensor[:, 0], rel=1e-9)
        assert together.cabin[:, i] == pytest.approx(alone.cabin[:, 0], rel=1e-9)


def test_times_to_temperatures_rise_with_temperature_and_never_is_infinite() -> None:
    plant = prepare(case := case_of(duties=[HOT]))
    w = warm_up(plant, held(case, 900.0))
    times = [float(w.time_to(273.15 + T)[0]) for T in (40.0, 60.0, 80.0, 200.0)]
    assert times[0] < times[1] < times[2] < times[3] == np.inf


def test_an_open_valve_and_more_heater_make_the_engine_colder() -> None:
    case = case_of(duties=[{"ambient": "-20 degC", "heater": "high", "vehicle_speed": "40 km/h"}])
    ends = {}
    for name, change in {
        "healthy": {},
        "open": {"thermostat.minimum_opening": np.array([0.3])},
        "more heater": {"heater.rated_output": np.array([9000.0])},
    }.items():
        ends[name] = float(warm_up(prepare(with_values(case, change)), held(case, 1500.0)).sensor[-1, 0])
    assert ends["open"] < ends["more heater"] < ends["healthy"]


@pytest.mark.parametrize("ambient", ["-25 degC", "20 degC"])
def test_heat_made_as_needed_equals_heat_tabulated(ambient: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """While the valve is shut: one that opens or swings would turn a second's difference into a kelvin's."""
    high = {"hysteresis": "0 K", "rating": "105 degC"}
    opens = 378.15  # K
    plant = prepare(case := case_of(duties=[{**COLD, "ambient": ambient}], thermostat=high))
    tabulated = warm_up(plant, held(case, 600.0)).sensor
    monkeypatch.setattr("engcalc.system.in_time.step_fixed._heat_tables", lambda _run: (None, None, ()))
    twice = with_values(case, {"engine.metal_mass": np.repeat(case.engine.metal_mass, 2)})
    made = warm_up(prepare(twice), held(case, 600.0)).sensor
    shut = tabulated[:, 0] < opens
    assert shut.sum() > 60  # five of the ten minutes
    # K; straight lines between nodes of oil friction: half of the budget of 0.1 K
    assert made[shut, 1] == pytest.approx(tabulated[shut, 0], abs=0.05)
    alone = warm_up(plant, held(case, 600.0)).sensor
    assert alone[:, 0] == pytest.approx(made[:, 0], abs=1e-9)


def test_what_is_fixed_stays_and_a_step_writes_the_state_that_it_is_given() -> None:
    fixed = fix(prepare(case := case_of(duties=[COLD])), held(case, 300.0), 1)

    def ran() -> tuple[State, Array]:
        state = begin(fixed)
        return state, run(fixed, state, 0.0, 10.0, None).sensor

    state, first = ran()
    assert np.ptp(first) > 10.0
    assert np.array_equal(ran()[1], first)  # a run leaves nothing behind in what is fixed
    before = state.T
    assert step_of(fixed, state, len(fixed.rows.of) - 1) is state
    assert before != state.T


CLIMB = {"ambient": "35 degC", "vehicle_speed": "30 km/h", "grade": "15 %", "trailer_mass": "1500 kg"}
NO_FAN = {"airflow": {"fan_drive": "none"}}


def test_a_warm_up_stops_at_boiling_and_says_when() -> None:
    """It went on to 249 degC. Plain water under 1 bar of cap boils at 120.4 degC (steam tables: 0.2013 MPa)."""
    water = {"coolant": {"base": "water", "concentration": "0 %", "cap_pressure": "1 bar"}}
    plant = prepare(case := case_of(duties=[CLIMB], **NO_FAN, **water))
    w = warm_up(plant, held(case, 1800.0))
    assert w.boiling[0] - 273.15 == pytest.approx(120.4, abs=0.2)
    assert w.coolant.max() == w.boiling[0]
    assert np.isfinite(w.boiled[0])
    assert (w.coolant[w.time < w.boiled[0] - 5.0] < w.boiling[0]).all()
    assert abs(float(w.energy_error[0])) < 1e-10  # what steam carries off is lost heat
    assert w.time_to(float(w.boiling[0]) + 1.0)[0] == np.inf
    cut = w.until_it_boils()
    assert cut.time[-2] < w.boiled[0] <= cut.time[-1]
    assert cut.coolant[-1, 0] == w.boiling[0]
    assert cut.cabin.shape == cut.coolant.shape


def test_it_boils_the_sooner_the_higher_the_road_and_the_weaker_the_cap() -> None:
    times = {}
    for name, changes in {"low": {}, "high": {"altitude": "2500 m"}, "no cap": {}}.items():
        cap = {"coolant": {"cap_pressure": "0 bar"}} if name == "no cap" else {}
        plant = prepare(case := case_of(duties=[{**CLIMB, "brake_power": "60 kW", **changes}], **NO_FAN, **cap))
        times[name] = float(warm_up(plant, held(case, 1800.0)).boiled[0])
    assert times["no cap"] < times["low"]
    assert times["high"] < times["low"] < np.inf


def test_of_three_members_one_boils_and_is_the_single_run() -> None:
    case = case_of(duties=[{**CLIMB, "trailer_mass": "0 kg", "grade": "7 %"}], **NO_FAN)
    changes = {"airflow.system_loss": [2.0, 400.0, 20.0], "engine.metal_mass": [90.0, 90.0, 140.0]}
    many = with_values(case, {k: np.array(v) for k, v in changes.items()})
    together = warm_up(prepare(many), held(case, 2400.0))
    assert np.isfinite(together.boiled).sum() in (1, 2)
    for i in range(3):
        single = with_values(case, {k: np.array([v[i]]) for k, v in changes.items()})
        alone = warm_up(prepare(single), held(case, 2400.0))
        assert together.boiled[i] == alone.boiled[0]
        assert together.sensor[:, i] == pytest.approx(alone.sensor[:, 0], rel=1e-9)
    assert np.isfinite(together.sensor).all()
