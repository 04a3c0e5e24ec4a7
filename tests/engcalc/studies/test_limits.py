"""Limiting ambient and air-to-boil: closed forms, a kink, a jump, and the solver asked again."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.conditions import Conditions, conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.studies.limits import AMBIENT_RANGE, AmbientFound, air_to_boil, excess, limiting_ambient
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare


def case_of(**sections: object) -> Case:
    case = resolve(CaseText({"format": "heatdocket-case/1", **sections}))
    assert isinstance(case, Case), case
    return case


def conditions(n: int, ambient: float = 293.15) -> Conditions:
    duty = case_of(duties=[{}]).duties[0]
    one = conditions_of((duty,))
    return one.replace(ambient=np.full(n, ambient))


def answering(outlet, solved=None):  # a stand-in for the solver; the limit is 115 degC
    def answer(c: Conditions) -> np.ndarray:
        out = outlet(c.ambient)
        good = np.ones(out.shape, dtype=bool) if solved is None else solved(c.ambient)
        return excess(SimpleNamespace(peak=out, solved=good), np.full(1, 388.15))

    return answer


def test_air_to_boil_is_the_standards_formula() -> None:
    # SAE J1393 (2023): ATB = 100 - T_coolant,out + T_ambient; 95 degC out at 38 degC gives 43 degC
    assert air_to_boil(np.array([368.15]), np.array([311.15]))[0] - 273.15 == pytest.approx(43.0)


def test_kelvin_for_kelvin_is_found_exactly() -> None:
    rise = np.array([60.0, 80.0, 100.0])
    found = limiting_ambient(answering(lambda a: a + rise), conditions(3), np.full(3, 388.15))
    assert found.ambient == pytest.approx(388.15 - rise, abs=0.02)
    assert (found.found == AmbientFound.YES).all()


def test_a_regulating_valve_gives_a_kink() -> None:
    def outlet(a: np.ndarray) -> np.ndarray:
        return np.maximum(361.15 + 0.02 * (a - 293.0), 1.3 * (a - 293.0) + 350.0)

    found = limiting_ambient(answering(outlet), conditions(1, 260.0), np.array([388.15]))
    assert found.ambient[0] == pytest.approx(293.0 + 38.15 / 1.3, abs=0.02)


def test_beyond_the_range_is_said() -> None:
    found = limiting_ambient(answering(lambda a: a + np.array([10.0, 300.0])), conditions(2), np.full(2, 388.15))
    assert list(found.found) == [AmbientFound.ABOVE, AmbientFound.BELOW]
    assert found.ambient == pytest.approx([AMBIENT_RANGE[1], AMBIENT_RANGE[0]])


def test_a_jump_over_the_limit_gives_its_cool_side() -> None:
    found = limiting_ambient(answering(lambda a: np.where(a < 310.0, 370.0, 395.0)), conditions(1), np.array([388.15]))
    assert found.ambient[0] == pytest.approx(310.0, abs=0.01)
    assert found.coolant_out[0] <= 388.15


def test_members_that_boil_count_as_over() -> None:
    found = limiting_ambient(
        answering(lambda a: np.minimum(a + 70.0, 388.15), lambda a: a + 70.0 < 388.15),
        conditions(1),
        np.array([388.15]),
    )
    assert found.ambient[0] == pytest.approx(318.15, abs=0.02)


@pytest.mark.parametrize("name", ["family car", "sports car", "delivery van", "heavy truck", "tractor"])
def test_asking_again_at_the_limiting_ambient_gives_the_limit(name: str) -> None:
    # within 0.1 K, as is promised of a re-run
    power = {
        "family car": "45 kW",
        "sports car": "90 kW",
        "delivery van": "70 kW",
        "heavy truck": "300 kW",
        "tractor": "80 kW",
    }[name]
    case = case_of(
        vehicle={"class": name},
        duties=[
            {"brake_power": power, "vehicle_speed": "60 km/h", "ambient": "20 degC"},
            {"brake_power": power, "vehicle_speed": "60 km/h", "ambient": "20 degC", "altitude": "2000 m"},
        ],
    )
    plant, asked = prepare(case), conditions_of(case.duties)
    limit = np.full(2, float(case.limits.coolant_limit[0]))
    found = limiting_ambient(lambda c: excess(solve(plant, c), limit), asked, limit)
    again = solve(plant, asked.replace(ambient=found.ambient))
    yes = found.found == AmbientFound.YES
    assert yes.any()
    assert again.peak[yes] == pytest.approx(limit[yes], abs=0.1)


def test_three_unlike_members_are_three_single_runs() -> None:
    case = case_of(
        duties=[
            {"brake_power": "50 kW", "vehicle_speed": "50 km/h"},
            {"name": "idle"},
            {"brake_power": "85 kW", "vehicle_speed": "10 km/h"},
        ]
    )
    plant, asked = prepare(case), conditions_of(case.duties)
    limit = np.full(3, 388.15)
    together = limiting_ambient(lambda c: excess(solve(plant, c), limit), asked, limit)
    for i in range(3):
        one = conditions_of(case.duties[i : i + 1])
        alone = limiting_ambient(lambda c: excess(solve(plant, c), limit[:1]), one, limit[:1])
        assert alone.found[0] == together.found[i]
        assert alone.ambient[0] == pytest.approx(together.ambient[i], abs=0.05)
