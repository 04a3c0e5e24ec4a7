"""Taking members out of an ensemble."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from engcalc.case.case import with_values
from engcalc.case.conditions import conditions_of
from engcalc.system.balance import balance, prepare_setting
from engcalc.system.members import count_members, take_members
from engcalc.system.plant import prepare


def test_arrays_of_one_member_and_other_things_stay() -> None:
    alone, many = np.ones(1), np.arange(5.0)
    taken = take_members((alone, many, "word", None, 3.0), np.array([4, 0]), 5)
    assert taken[0] is alone
    assert taken[1].tolist() == [4.0, 0.0]
    assert taken[2:] == ("word", None, 3.0)


def test_a_narrowed_plant_balances_as_it_did_in_the_whole(build_case: Any) -> None:
    case = build_case(duties=[{"vehicle_speed": "60 km/h"}])
    spread = {
        "radiator.core_height": np.linspace(0.2, 0.5, 7),
        "coolant.concentration": np.linspace(0.0, 0.6, 7),
        "circuit.pump_flow": np.linspace(1e-3, 3e-3, 7),
        "thermostat.closed_leak": np.linspace(0.0, 0.3, 7),
    }
    setting = prepare_setting(prepare(with_values(case, spread)), conditions_of(case.duties))
    assert count_members(setting) == 7
    x, pick = np.linspace(350.0, 380.0, 7), np.array([5, 1, 2])
    whole = balance(setting, x, None)
    part = balance(take_members(setting, pick, 7), x[pick], None)
    assert part.residual == pytest.approx(whole.residual[pick], rel=1e-9)
    assert part.flows.heater == pytest.approx(whole.flows.heater[pick], rel=1e-9)
