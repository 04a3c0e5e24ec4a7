"""The cap's absolute pressure and the boiling points printed for it."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.components.pressure_cap import absolute_pressure, boiling, prepare_cap

SEA = np.zeros(1)


def case_of(**coolant: str) -> Case:
    case = resolve(CaseText({"format": "heatdocket-case/1", "coolant": coolant}))
    assert isinstance(case, Case), case
    return case


def test_half_glycol_at_15_psi_boils_where_service_manuals_say() -> None:
    # printed: 262 degF (127.8 degC) and 265 degF (129.4 degC), makers' service manuals; the lower counts, 2 K carried
    cap = prepare_cap(case_of(cap_pressure="15 psi"))
    assert boiling(cap, SEA)[0] - 273.15 == pytest.approx(128.0, abs=2.0)
    # printed for no pressure: 226 degF, 108 degC
    assert boiling(prepare_cap(case_of(cap_pressure="0 psi")), SEA)[0] - 273.15 == pytest.approx(108.0, abs=2.0)


def test_water_with_a_15_psi_cap() -> None:
    # IAPWS: 204.76 kPa saturates at 120.95 degC; printed 246 to 250 degF
    cap = prepare_cap(case_of(base="water", concentration="0 %", cap_pressure="15 psi"))
    assert boiling(cap, SEA)[0] - 273.15 == pytest.approx(120.95, abs=0.05)


def test_altitude_takes_pressure_from_the_atmosphere_only() -> None:
    # US Standard Atmosphere 1976: 79,495.2 Pa at 2000 m
    cap = prepare_cap(case_of(cap_pressure="1 bar"))
    assert absolute_pressure(cap, np.array([2000.0]))[0] == pytest.approx(179495.2, rel=1e-5)


@pytest.mark.parametrize("coolant", [{"cap_pressure": "0 bar"}, {"tank": "none", "cap_pressure": "1 bar"}])
def test_an_open_system_has_the_atmospheres_pressure(coolant: dict[str, str]) -> None:
    assert absolute_pressure(prepare_cap(case_of(**coolant)), SEA)[0] == pytest.approx(101325.0)


def test_members_broadcast_over_altitudes() -> None:
    cap = prepare_cap(case_of())
    z = np.array([0.0, 1500.0, 4000.0])
    assert boiling(cap, z) == pytest.approx([boiling(cap, z[i : i + 1])[0] for i in range(3)])
    assert np.all(np.diff(boiling(cap, z)) < 0.0)
