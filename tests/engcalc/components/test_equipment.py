"""Mapped valves by load, warmers of gearbox oil, heat out of the exhaust: their laws at points worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.components.engine import EngineHeat, load_of_fuel, prepare_engine
from engcalc.components.equipment import (
    Equipment,
    flap_open,
    gearbox_loss,
    outlet_with_flap,
    prepare_equipment,
    settled_gearbox,
)
from engcalc.components.thermostat import load_shift, prepare_valve, valve_under_load


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, **sections}))
    assert isinstance(found, Case), found
    return found


def one(x: float) -> np.ndarray:
    return np.full(1, x)


def fitted(**values: float) -> Equipment:
    none = dict.fromkeys(("oil_UA", "gear_UA", "gear_to_air", "gear_loss", "recovery", "stops"), 0.0)
    return Equipment(**{name: one(x) for name, x in {**none, "gear_capacity": 28e3, **values}.items()})


@pytest.mark.parametrize(
    ("kind", "shift"), [("wax", 0.0), ("none", 0.0), ("unknown", 0.0), ("heated wax", 15.0), ("valve", 15.0)]
)
def test_the_shift_at_full_load_follows_from_the_kind(kind: str, shift: float) -> None:
    # 100 to 110 degC in light running, 82 to 90 under load: C. Holley, MACS, 9 February 2022; 15 K lies between
    assert case_of(thermostat={"kind": kind}).thermostat.mapped_shift == pytest.approx([shift])
    given = {} if shift == 0.0 else {"mapped_shift": "22 K"}
    assert case_of(thermostat={"kind": kind, **given}).thermostat.mapped_shift == pytest.approx([22.0 if given else 0])


def test_a_shift_typed_for_plain_wax_is_refused() -> None:
    found = resolve(CaseText({"format": FORMAT, "thermostat": {"kind": "wax", "mapped_shift": "10 K"}}))
    assert not isinstance(found, Case)
    assert [f.path for f in found.faults] == ["thermostat.mapped_shift"]
    assert "heated wax and valve" in found.faults[0].wanted


def test_the_opening_falls_between_part_load_and_full_load() -> None:
    valve = prepare_valve(case_of(thermostat={"kind": "heated wax", "mapped_shift": "20 K", "rating": "103 degC"}))
    load = np.array([0.0, 0.6, 0.75, 0.9, 1.3])  # the law's corners, and midway
    assert load_shift(valve, load) == pytest.approx([0.0, 0.0, 10.0, 20.0, 20.0])
    moved = valve_under_load(valve, load)
    assert moved.start - 273.15 == pytest.approx([103.0, 103.0, 93.0, 83.0, 83.0])
    assert moved.full - moved.start == pytest.approx(12.0)
    assert valve.is_mapped
    assert not moved.is_mapped  # what load did is done


def test_load_is_fuel_per_turn_over_that_at_rated_power() -> None:
    engine = prepare_engine(case_of())
    fuel, n = float(engine.fuel_rated[0]), float(engine.rated_speed[0])
    found = load_of_fuel(engine, np.array([fuel, 0.5 * fuel, 0.5 * fuel, 0.0, 0.0]), np.array([n, n, n / 2, n, 0.0]))
    assert found == pytest.approx([1.0, 0.5, 1.0, 0.0, 0.0])


def test_a_settled_gearbox_balances_its_own_loss() -> None:
    box, loss, T, ambient = fitted(gear_UA=150.0, gear_to_air=4.0), 800.0, 363.15, 263.15
    a, b = settled_gearbox(box, one(loss))
    given = float(a[0]) - float(b[0]) * (T - ambient)
    T_gear = T + given / 150.0  # what gives that much to the coolant
    assert loss == pytest.approx(given + 4.0 * (T_gear - ambient))
    nothing = settled_gearbox(replace(box, gear_UA=one(0.0)), one(loss))
    assert [float(x[0]) for x in nothing] == [0.0, 0.0]


def made(brake: float, accessories: float) -> EngineHeat:
    """The heat of an engine of which these powers [W] count."""
    zero = one(0.0)
    return EngineHeat(
        fuel_power=zero,
        brake_power=one(brake),
        accessory_power=one(accessories),
        friction_power=zero,
        heat_to_metal=zero,
        heat_exhaust=zero,
        heat_rest=zero,
        extra_heat=zero,
        indicated_efficiency=zero,
        balance_impossible=np.zeros(1, np.bool_),
    )


def test_gearbox_loss_is_a_share_of_what_the_driveline_loses() -> None:
    case = case_of(
        circuit={"extra": [{"kind": "gearbox warmer", "mass": "50 kg"}]}, vehicle={"driveline_efficiency": "90 %"}
    )
    box, aside = prepare_equipment(case), 400.0
    # 30 kW through a driveline that loses a tenth: 3 kW, of which 40 % (common practice) in the gearbox
    assert gearbox_loss(box, made(30e3 + aside, aside)) == pytest.approx([1200.0])
    assert gearbox_loss(box, made(-5e3, aside)) == pytest.approx([0.0])
    assert float(box.gear_capacity[0]) == pytest.approx(50.0 * 700.0)
    # 45 % aluminium of 900, 45 % steel of 470, 10 % oil of 2000 J/(kg K), handbook values from memory: 817; some 15 %
    assert float(box.gear_capacity[0]) / 50.0 == pytest.approx(0.45 * 900 + 0.45 * 470 + 0.1 * 2000, rel=0.16)
    assert float(box.gear_to_air[0]) == pytest.approx(5.0)


def test_the_flap_shuts_over_its_last_kelvins() -> None:
    found = flap_open(fitted(recovery=0.3, stops=343.15), 343.15 + np.array([-50.0, -5.0, -2.5, 0.0, 20.0]))
    assert found == pytest.approx([1.0, 1.0, 0.5, 0.0, 0.0])


@pytest.mark.parametrize("base", [20e3, 33.5e3, 34.2e3, 34.31e3, 40e3])
def test_the_outlet_with_a_flap_solves_its_own_balance(base: float) -> None:
    part, U, exhaust = fitted(recovery=0.25, stops=343.15), 100.0, 12e3
    T = outlet_with_flap(part, one(base), one(U), one(exhaust))
    assert base + 0.25 * exhaust * float(flap_open(part, T)[0]) == pytest.approx(U * float(T[0]), rel=1e-12)


def test_members_answer_as_alone() -> None:
    stops, base = np.array([333.15, 343.15, 353.15]), np.array([20e3, 34.2e3, 40e3])
    together = outlet_with_flap(replace(fitted(recovery=0.25), stops=stops), base, one(100.0), one(12e3))
    alone = [
        float(outlet_with_flap(fitted(recovery=0.25, stops=s), one(b), one(100.0), one(12e3))[0])
        for s, b in zip(stops, base, strict=True)
    ]
    assert together == pytest.approx(alone)
