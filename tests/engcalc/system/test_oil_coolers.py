"""Oil coolers in the coolant: what they pass, where it enters, and what flow and engine feel of it."""

from __future__ import annotations

from typing import Any

import ht
import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.system.in_time.drive import steady_drive
from engcalc.system.in_time.warmup import warm_up
from engcalc.system.oil_coolers import CoolerPlace, Coolers, InCoolant, heat_at, passed
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import OperatingPoint

PULL = {
    "brake_power": "60 kW",
    "engine_speed": "4000 rpm",
    "vehicle_speed": "90 km/h",
    "ambient": "30 degC",
    "fan": "on",
}
PLACES = ("engine", "hot tank", "cold tank")
COOLER = {"kind": "oil cooler", "heat": "9 kW", "conductance": "400 W/K"}


def one(x: float) -> np.ndarray:
    return np.full(1, x)


def answer(case: Case) -> tuple[Plant, OperatingPoint]:
    plant = prepare(case)
    return plant, solve(plant, conditions_of(case.duties))


def with_cooler(build_case: Any, duties: list[dict[str, Any]], side: str = "outlet", **cooler: str) -> Case:
    case = build_case("family car", duties, circuit__extra=[{**COOLER, **cooler}], thermostat__side=side)
    assert isinstance(case, Case)
    return case


@pytest.mark.parametrize(("UA", "C_oil", "C"), [(400.0, 450.0, 6000.0), (900.0, 300.0, 350.0), (50.0, 800.0, 90.0)])
def test_heat_is_that_of_another_library(UA: float, C_oil: float, C: float) -> None:
    """ht (Caleb Bell), effectiveness of cross-flow, the coolant mixed and the oil not."""
    smaller = "mixed Cmin" if C_oil > C else "mixed Cmax"
    NTU, Cr = UA / min(C, C_oil), min(C, C_oil) / max(C, C_oil)
    expected = ht.effectiveness_from_NTU(NTU=NTU, Cr=Cr, subtype=f"crossflow, {smaller}") * min(C, C_oil) * 55.0
    reach = C_oil * -np.expm1(-UA / C_oil)
    cooler = InCoolant(CoolerPlace.ENGINE, one(1e9), one(reach), one(1.0), one(413.15))
    assert passed(cooler, one(C), one(413.15 - 55.0)) == pytest.approx(expected, rel=1e-6)


def test_members_do_not_feel_one_another() -> None:
    coolers: Coolers = tuple(
        InCoolant(CoolerPlace.HOT_TANK, one(asked), one(300.0), one(0.5), one(413.15)) for asked in (2000.0, 9e9)
    )
    C, T = np.array([4000.0, 100.0, 0.0]), np.array([360.0, 390.0, 420.0])
    together = heat_at(coolers, CoolerPlace.HOT_TANK, C, T)
    assert together == pytest.approx([heat_at(coolers, CoolerPlace.HOT_TANK, C[[i]], T[[i]])[0] for i in range(3)])
    assert together[2] == 0.0  # nothing flows, and the coolant is hotter than the oil may be
    assert heat_at(coolers, CoolerPlace.COLD_TANK, C, T) == 0.0


@pytest.mark.parametrize("side", ["outlet", "inlet"])
@pytest.mark.parametrize("place", PLACES)
def test_the_heat_is_all_there_and_enters_at_its_place(build_case: Any, side: str, place: str) -> None:
    """First law round the circuit; what the core meets is T_out + Q/C in the hot tank, T_out otherwise."""
    _, point = answer(with_cooler(build_case, [PULL], side, place=place))
    core, Q = point.core, 9000.0
    C_r = point.radiator_mass_flow * core.flows.coolant.cp
    into = core.flows.T_coolant_in - point.coolant_out
    assert into == pytest.approx(Q / C_r if place == "hot tank" else 0.0, abs=1e-9)
    after = point.tank_out - core.T_coolant_out
    assert after == pytest.approx(Q / C_r if place == "cold tank" else 0.0, abs=1e-9)
    given = point.heat_to_metal + (Q if place == "engine" else 0.0)
    assert point.extra_heat == pytest.approx(Q if place == "engine" else 0.0)
    leaves = core.Q + point.heater_heat + point.hose_heat + point.surface_heat
    assert leaves == pytest.approx(point.heat_to_metal + Q, rel=1e-6)
    assert point.heat_to_coolant == pytest.approx(given - point.surface_heat, rel=1e-6)
    C = point.coolant_mass_flow * core.flows.coolant.cp
    assert point.coolant_out - point.coolant_in == pytest.approx(point.heat_to_coolant / C, rel=1e-9)


def test_the_tank_ahead_of_the_core_costs_least(build_case: Any) -> None:
    """With the valve wide open at the outlet: hotter coolant meets the core, so that it gives off more at the same
    engine outlet. Beside the engine and behind the core all the heat has to pass at the engine's outlet temperature."""
    hot = {**PULL, "brake_power": "75 kW", "ambient": "38 degC"}
    plain = float(answer(build_case("family car", [hot]))[1].coolant_out[0])
    outlet = {
        p: float(answer(with_cooler(build_case, [hot], place=p, hottest="180 degC"))[1].coolant_out[0]) for p in PLACES
    }
    assert plain + 1.0 < outlet["hot tank"] < outlet["cold tank"] - 0.5
    assert outlet["cold tank"] == pytest.approx(outlet["engine"], abs=0.05)


def test_oil_never_gets_hotter_than_it_may(build_case: Any) -> None:
    """A cooler too small passes what its hottest oil lets it, by ``ht``; the shut valve leaves it no coolant."""
    plant, point = answer(with_cooler(build_case, [PULL], place="cold tank", conductance="60 W/K", hottest="120 degC"))
    C_r = float((point.radiator_mass_flow * point.core.flows.coolant.cp)[0])
    C_oil = float(plant.oil_coolers[0].C_oil[0])
    NTU, Cr = 60.0 / min(C_r, C_oil), min(C_r, C_oil) / max(C_r, C_oil)
    subtype = "crossflow, mixed Cmin" if C_r < C_oil else "crossflow, mixed Cmax"
    effectiveness = ht.effectiveness_from_NTU(NTU=NTU, Cr=Cr, subtype=subtype)
    able = effectiveness * min(C_r, C_oil) * (393.15 - point.core.T_coolant_out)
    assert able[0] < 5000.0
    assert point.cold_tank_heat == pytest.approx(able, rel=1e-6)
    cold = {"ambient": "-20 degC", "vehicle_speed": "40 km/h", "heater": "high"}
    _, shut = answer(with_cooler(build_case, [cold], place="cold tank"))
    assert shut.opening[0] < 0.02
    assert shut.cold_tank_heat[0] < 9000.0 - 1.0


def test_an_effectiveness_counts_at_the_stated_flows(build_case: Any) -> None:
    """45 % of C_oil dT at the stated flows of coolant at 90 degC, half glycol: by definition."""
    plant, _ = answer(with_cooler(build_case, [PULL], effectiveness="45 %", place="hot tank"))
    cooler, coolant = plant.oil_coolers[0], prepare(build_case("family car")).coolant.state(one(363.15))
    C = plant.circuit.stated[0] * coolant.rho * coolant.cp
    as_asked = InCoolant(cooler.place, one(1e9), cooler.reach, cooler.share, one(400.0))
    assert passed(as_asked, C, one(380.0)) == pytest.approx(0.45 * cooler.C_oil * 20.0, rel=1e-3)


def test_what_it_takes_from_the_coolant_lowers_the_flow(build_case: Any) -> None:
    open_valve = {**PULL, "brake_power": "75 kW", "ambient": "38 degC"}
    for place in ("engine", "cold tank"):
        free, narrow = (
            answer(with_cooler(build_case, [open_valve], place=place, coolant_drop=drop))
            for drop in ("0 kPa", "20 kPa")
        )
        assert narrow[1].radiator_mass_flow[0] < 0.95 * free[1].radiator_mass_flow[0]
        more = narrow[0].circuit.b_jacket - free[0].circuit.b_jacket
        rho, flow = narrow[0].circuit.pump.reference_density, free[0].circuit.total
        expected = 20e3 / (rho * flow**2) if place == "engine" else 0.0
        assert more == pytest.approx(expected, rel=1e-2)


@pytest.mark.parametrize("place", PLACES)
def test_a_warm_up_ends_where_the_duty_does(build_case: Any, place: str) -> None:
    case = build_case(
        "family car",
        [{**PULL, "brake_power": "90 kW", "ambient": "40 degC"}],
        circuit__extra=[{**COOLER, "place": place}],
        thermostat__hysteresis="0 K",
    )
    plant, point = answer(case)
    ran = warm_up(plant, steady_drive(conditions_of(case.duties), point.coolant_out + 3.0, 2400.0))
    assert ran.coolant[-1] == pytest.approx(point.coolant_out, abs=0.1)  # K; our own bound


def test_a_stated_heat_goes_with_brake_power(build_case: Any) -> None:
    stated = [{"kind": "oil cooler", "at_idle": "1 kW", "at_rated": "9 kW", "place": "hot tank", "hottest": "180 degC"}]
    duties = [{**PULL, "brake_power": f"{power} kW", "fan": "off"} for power in (20, 50)]
    case = build_case("family car", duties, circuit__extra=stated, engine__rated_power="100 kW")
    _, point = answer(case)
    assert point.hot_tank_heat == pytest.approx([1000.0 + 8000.0 * 0.2, 1000.0 + 8000.0 * 0.5], rel=1e-3)
