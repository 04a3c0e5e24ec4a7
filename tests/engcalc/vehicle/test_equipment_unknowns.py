"""What is uncertain, or not known at all, of mapped valves, pumps that stand cold, warmers and exhaust heat."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.members.faulty_vehicle import applicable
from engcalc.system.in_time.warmup import warm_up
from engcalc.vehicle.run import run_of
from engcalc.vehicle.unknowns import Moves, Unknown, draw_z, drawn_case, unknowns_of, vehicles

RECORD = {
    "ambient": "0 degC",
    "heater_setting": "off",
    "engine_off_phases": "no",
    "block_heater": "no",
    "auxiliary_heater": "none",
    "schedule": [{"vehicle_speed": "50 km/h", "duration": "10 min"}],
}


def case_of(**sections: Any) -> Case:
    found = resolve(CaseText({"format": FORMAT, "evidence": {"before": RECORD}, **sections}))
    assert isinstance(found, Case), found
    return found


def unknowns(case: Case) -> dict[str, Unknown]:
    return {u.key: u for u in unknowns_of(case, run_of(case, "before", {}))}


def drawn(case: Case, members: int = 400) -> Case:
    found = unknowns_of(case, run_of(case, "before", {}))
    return drawn_case(case, found, draw_z(found, members, 1))


def test_a_plain_vehicle_has_none_of_them() -> None:
    assert not {"mapped", "pump_starts", "extra_0"} & set(unknowns(case_of()))


def test_a_mapped_valve_and_a_standing_pump_vary_about_what_is_typical() -> None:
    case = case_of(thermostat={"kind": "heated wax"}, circuit={"pump_cold": "stands when cold"})
    made = drawn(case)
    assert np.mean(made.thermostat.mapped_shift) == pytest.approx(15.0, abs=0.3)
    assert np.std(made.thermostat.mapped_shift) == pytest.approx(5.0, rel=0.05)
    assert np.mean(made.circuit.pump_starts) == pytest.approx(343.15, abs=0.3)
    assert np.std(made.circuit.pump_starts) == pytest.approx(8.0, rel=0.05)


def test_what_was_typed_counts_with_its_own_uncertainty() -> None:
    sure = case_of(
        thermostat={"kind": "valve", "mapped_shift": "20 K"},
        circuit={"pump_cold": "stands when cold", "pump_starts": "60 degC"},
    )
    assert not {"mapped", "pump_starts"} & set(unknowns(sure))
    stated = case_of(thermostat={"kind": "valve", "mapped_shift": {"value": "20 K", "uncertainty": "2 K"}})
    assert unknowns(stated)["mapped"].spread == pytest.approx(2.0)


def test_of_a_valve_of_unknown_kind_a_small_share_is_mapped() -> None:
    made = drawn(case_of(thermostat={"kind": "unknown"}))
    shift = made.thermostat.mapped_shift
    assert made.thermostat.kind == "heated wax"
    assert np.mean(shift > 0.01) == pytest.approx(0.15, abs=0.01)
    assert shift.max() == pytest.approx(25.0, abs=0.5)  # makers' maps go no lower, C. Holley, MACS 2022: 10 to 28 K
    assert np.median(shift[shift > 0.01]) == pytest.approx(12.5, abs=0.5)  # all alike likely


def test_of_a_pump_of_which_nobody_knows_a_small_share_stands_cold() -> None:
    case = case_of(circuit={"pump_cold": "unknown"})
    run = run_of(case, "before", {})
    found = unknowns_of(case, run)
    v = vehicles(case, run, found, draw_z(found, 200, 1))
    assert v.case.circuit.pump_cold == "stands when cold"
    w = warm_up(v.plant, v.drive, 30.0)
    stood = w.pump_stood > 1.0
    # 15 % have one, and of those the ones that start above the air of 0 degC: (85 - 0)/(85 + 40)
    assert np.mean(stood) == pytest.approx(0.15 * 85.0 / 125.0, abs=0.015)
    assert v.case.circuit.pump_starts.max() <= 358.15
    warmer = w.sensor[np.searchsorted(w.time, 60.0)]
    assert np.median(warmer[stood]) > np.median(warmer[~stood])


def test_of_a_single_draw_that_has_none_the_valve_stays_plain() -> None:
    case = case_of(thermostat={"kind": "unknown"})
    found = unknowns_of(case, run_of(case, "before", {}))
    one = drawn_case(case, found, np.zeros((1, len(found))))
    assert float(one.thermostat.mapped_shift[0]) < 0.001


@pytest.mark.parametrize(
    ("kind", "field"), [("oil warmer", "conductance"), ("gearbox warmer", "conductance"), ("exhaust heat", "recovery")]
)
def test_what_exchangers_pass_on_varies_by_a_third(kind: str, field: str) -> None:
    made = drawn(case_of(circuit={"extra": [{"heat": "1 kW"}, {"kind": kind}]}))
    values = getattr(made.circuit.extra[1], field)
    assert np.std(np.log(values)) == pytest.approx(0.3, rel=0.05)
    assert "extra_0" not in unknowns(case_of(circuit={"extra": [{"heat": "1 kW"}]}))


def test_only_a_share_of_vehicles_has_what_a_share_says() -> None:
    moves = Moves("x", 10.0, low=2.0, share=0.25)
    z = np.array([-3.0, 0.0, 0.6744, 1.1503, 5.0])  # of the normal distribution 0.75 and 0.875 lie below the middle two
    assert moves.moved(np.ones(1), z) == pytest.approx([2.0, 2.0, 2.0, 7.0, 12.0], abs=0.01)


@pytest.mark.parametrize(
    ("circuit", "may"), [({}, False), ({"pump_drive": "electric"}, True), ({"pump_cold": "stands when cold"}, True)]
)
def test_a_pump_that_can_be_switched_off_may_not_be_commanded(circuit: dict[str, str], may: bool) -> None:
    assert ("pump_not_commanded" in {c.key for c in applicable(case_of(circuit=circuit))}) is may
