"""Mixture, cap and system pressure as evidence: densities against scipy, the closed system against CoolProp."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from made_up_members import SERIES
from scipy import stats

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.record import HEALTHY_STATE
from engcalc.diagnosis.evidence.observations import observed
from engcalc.diagnosis.evidence.sights import CUSHION, FILLED, MISREAD, SHARE_READ, Measure
from engcalc.diagnosis.members.simulated import Simulated
from engcalc.vehicle.run import run_of

P0 = 101325.0  # Pa


def case_of(spot: dict[str, str], coolant: dict[str, Any]) -> Case | Any:
    return resolve(
        CaseText(
            {
                "format": FORMAT,
                "coolant": coolant,
                "evidence": {"before": {"ambient": "10 degC", "start_temperature": "10 degC", "spots": [spot]}},
            }
        )
    )


def measure(what: str, value: str, instrument: str, coolant: dict[str, Any] | None = None, at: str = "") -> Measure:
    spot = {"what": what, "value": value, "instrument": instrument, **({"at": at} if at else {})}
    case = case_of(spot, coolant or {})
    assert isinstance(case, Case), case
    (found,) = observed(run_of(case, "before", {})).sights
    assert isinstance(found, Measure)
    return found


def members(coolant: float = 363.15, **states: list[float]) -> Simulated:
    """Vehicles that start at 10 degC and stand at ``coolant`` [K] a minute later, with these states."""
    n = max((len(x) for x in states.values()), default=1)
    one = np.ones((2, n))
    series = dict.fromkeys(SERIES, np.stack((np.full(n, 283.15), np.full(n, coolant))))
    told = {state: np.array(states.get(state.name, [value] * n)) for state, value in HEALTHY_STATE.items()}
    marks = dict.fromkeys(("ambient", "start"), 283.15 * one[0]) | dict.fromkeys(
        ("rating", "opens", "opened", "fan_wanted"), 360.0 * one[0]
    )
    return Simulated(time=np.array([0.0, 60.0]), states=told, preheated=0.0 * one[0], **series, **marks)


def test_a_mixture_is_wrong_either_way() -> None:
    found = measure("concentration", "30 %", "ethylene_scale", {"concentration": "50 %"})
    sd = np.sqrt(SHARE_READ**2 + 0.01**2 + FILLED**2)  # 0.01: the refractometer's own, of studies/refill.py
    density = 0.5 * (stats.norm.pdf(0.3, 0.5 - 0.2, sd) + stats.norm.pdf(0.3, 0.5 + 0.2, sd))
    wanted = np.log(MISREAD + (1.0 - MISREAD) * density)
    s = members(MIXTURE=[0.2, 0.0])
    assert found.value == pytest.approx(0.3, abs=1e-3)
    # the freezing point in between, tabled to 1e-4, moves the share by less than that
    assert found.log_likelihood(s, False)[0] == pytest.approx(wanted, abs=1e-3)
    assert found.expected(s) == pytest.approx([0.3, 0.5])


def test_share_and_freezing_point_on_the_same_scale_say_the_same() -> None:
    # first ice of half ethylene glycol by volume: -36 to -37 degC; handbook value, from memory
    share, freezing = (
        measure(what, value, "ethylene_scale").value
        for what, value in (("concentration", "50 %"), ("freezing_point", "-36.5 degC"))
    )
    assert freezing == pytest.approx(share, abs=0.015)


def test_the_other_glycols_scale_reads_another_share_and_is_trusted_less() -> None:
    own, other = (measure("freezing_point", "-30 degC", scale) for scale in ("ethylene_scale", "propylene_scale"))
    assert other.noise > own.noise
    assert abs(other.value - own.value) > 0.02


@pytest.mark.parametrize(("what", "instrument"), [("freezing_point", "scan_tool"), ("coolant", "ethylene_scale")])
def test_a_refractometer_needs_its_scale_and_reads_nothing_else(what: str, instrument: str) -> None:
    found = case_of({"what": what, "value": "-30 degC", "instrument": instrument}, {})
    assert not isinstance(found, Case)
    assert any(fault.path == "evidence.before.spots[0].instrument" for fault in found.faults)


def test_a_share_above_one_is_refused() -> None:
    found = case_of({"what": "concentration", "value": "130 %", "instrument": "ethylene_scale"}, {})
    assert [fault.path for fault in found.faults] == ["evidence.before.spots[0].value"]


def test_a_cap_is_held_against_its_stamped_pressure() -> None:
    found = measure("cap_opens", "0.4 bar", "pressure_gauge", {"cap_pressure": "1.1 bar"})
    weak, healthy = found.log_likelihood(members(CAP=[0.36, 1.0]), False)
    assert weak > healthy + 3.0
    assert healthy == pytest.approx(np.log(MISREAD), abs=0.05)  # a healthy cap gives that only when misread
    assert found.expected(members(CAP=[0.5])) == pytest.approx([0.55e5])


def pressure(value: str = "0.8 bar", **coolant: Any) -> Measure:
    return measure(
        "pressure",
        value,
        "pressure_gauge",
        {"base": "water", "concentration": "0 %", "cap_pressure": "4 bar", **coolant},
        at="1 min",
    )


def test_a_closed_system_of_water_follows_boyle_charles_and_its_vapour() -> None:
    T0, T, a = 283.15, 343.15, CUSHION["surge tank"]
    swell = PropsSI("D", "T", T0, "P", P0, "Water") / PropsSI("D", "T", T, "P", P0, "Water") - 1.0
    vapour = [PropsSI("P", "T", x, "Q", 1, "Water") for x in (T0, T)]
    wanted = (P0 - vapour[0]) * T / T0 * a / (a - swell) + vapour[1] - P0
    middle = np.sort(pressure().branches(members(T))[:, 0])[4]  # the middle of three cushions, each three times over
    assert middle == pytest.approx(wanted, rel=5e-3)  # the fits of the properties


def test_at_the_start_there_is_no_pressure_and_the_cap_sets_the_most() -> None:
    assert pressure().branches(members(283.15)) == pytest.approx(0.0, abs=1.0)
    assert pressure(cap_pressure="0.5 bar").branches(members(383.15)).max() == pytest.approx(0.5e5)


def test_gas_fills_a_cold_system_and_a_leak_empties_a_hot_one() -> None:
    cold = pressure("0.9 bar", cap_pressure="1 bar").log_likelihood(members(293.15, GAS=[0.0, 1.0]), False)
    assert cold[1] > cold[0] + 2.0
    flat = pressure("0.0 bar", cap_pressure="1 bar").log_likelihood(members(363.15, CAP=[1.0, 0.05]), False)
    assert flat[1] > flat[0] + 2.0
    none = pressure("0.1 bar", cap_pressure="1 bar").log_likelihood(members(363.15, LEAK=[0.0, 1.0]), False)
    assert none[1] > none[0]


def test_more_air_is_less_pressure() -> None:
    shown = pressure().branches(members(343.15, LEVEL=[0.0, 0.3]))
    assert (shown[:, 1] < shown[:, 0]).all()


def test_an_open_system_says_why_its_pressure_is_not_used() -> None:
    for what in ("pressure", "cap_opens"):
        case = case_of({"what": what, "value": "0.5 bar", "instrument": "pressure_gauge"}, {"tank": "none"})
        found = observed(run_of(case, "before", {}))
        assert not found.sights
        assert any("open" in text for text in found.unused)


def test_what_is_not_in_the_list_half_knows_what_a_number_would_be() -> None:
    found = measure("cap_opens", "1.1 bar", "pressure_gauge")
    plain, vague = (found.log_likelihood(members(), v)[0] for v in (False, True))
    peak = replace(found, span=1.0).log_likelihood(members(), False)
    assert 0.0 < vague < plain
    assert np.isfinite(peak).all()
