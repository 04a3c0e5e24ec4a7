"""Heater core and cabin: the rated point comes back, limits, balances, monotone truths."""

from __future__ import annotations

from dataclasses import fields, replace

import ht
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engcalc.case.case import Case
from engcalc.case.presets import CLASSES
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.components.heater import (
    AIR_SHARE,
    HeaterFlows,
    HeaterResult,
    heater_conductance,
    heater_exchange,
    prepare_heater,
)


def case_of(class_name: str = "family car", **sections: dict[str, object]) -> Case:
    case = resolve(CaseText({"format": "heatdocket-case/1", "vehicle": {"class": class_name}, **sections}))
    assert isinstance(case, Case), case
    return case


def flows(**values: object) -> HeaterFlows:
    plain = {
        "coolant_mass_flow": 0.25,
        "coolant_cp": 3550.0,
        "T_coolant_in": 363.15,
        "ambient": 263.15,
        "air_density": 1.2,
        "air_cp": 1006.0,
        "air_share": 1.0,
    }
    return HeaterFlows(**{k: np.atleast_1d(np.asarray(v, dtype=float)) for k, v in {**plain, **values}.items()})


def test_rated_point_comes_back() -> None:
    heater = prepare_heater(case_of())
    at = flows(coolant_mass_flow=heater.rated_coolant, coolant_cp=3533.7, T_coolant_in=353.15, ambient=273.15)
    result = heater_exchange(heater, at)
    assert result.heat[0] == pytest.approx(6500.0, rel=2e-4)  # cp at 85 degC read off CoolProp's AEG to 0.1
    assert result.vent[0] - 273.15 == pytest.approx(6500 / (0.1 * 1006), rel=1e-3)


def test_conductance_agrees_with_ht_at_the_rated_point() -> None:
    heater = prepare_heater(case_of())
    C_air, C_coolant = 0.1 * 1006.0, float(heater.rated_coolant[0]) * 3533.7
    eps = ht.effectiveness_from_NTU(float(heater.UA_rated[0]) / C_air, C_air / C_coolant, subtype="crossflow")
    assert eps * C_air * 80 == pytest.approx(6500, rel=1e-4)


@pytest.mark.parametrize("name", sorted(CLASSES))
def test_every_class_has_a_heater_that_can_be(name: str) -> None:
    assert prepare_heater(case_of(name)).rated_possible.all()


TUBES = [(28, 26.0, 1.2), (25, 26.0, 1.6), (25, 32.0, 1.4), (22, 36.0, 1.8), (22, 26.0, 1.8)]
"""How many, width and height outside [mm], walls of 0.25 mm, 0.2 m long: sizes of a car's heater core, own estimate."""


def film_of(many: int, width: float, height: float, flow: float) -> tuple[float, float]:
    """Conductance [W/K] of the coolant's film in smooth flat tubes, and Re; flow [L/min] of half glycol at 85 degC.

    Nu of developed laminar flow by Shah & London (1978) as ht has it, and Hausen's (1943) entrance. CoolProp's AEG:
    1035 kg/m3, 3534 J/(kg K), 0.413 W/(m K), 0.93 mPa s.
    """
    a, b, length = (width - 0.5) * 1e-3, (height - 0.5) * 1e-3, 0.2
    Dh = 2.0 * a * b / (a + b)
    G = flow / 6e4 * 1035.0 / (many * a * b)
    Re = G * Dh / 0.93e-3
    Gz = Re * (3534.0 * 0.93e-3 / 0.413) * Dh / length
    Nu = ht.conv_internal.Nu_laminar_rectangular_Shan_London(b / a) + 0.0668 * Gz / (1.0 + 0.04 * Gz ** (2.0 / 3.0))
    return Nu * 0.413 / Dh * 2.0 * (a + b) * length * many, Re


@pytest.mark.parametrize("tubes", TUBES)
def test_conductance_follows_the_coolant_as_laminar_tubes_do(tubes: tuple[int, float, float]) -> None:
    heater = prepare_heater(case_of())
    rated, Re = film_of(*tubes, 10.0)
    assert Re < 1000.0
    for share in (0.1, 0.25, 0.5, 1.5, 2.0):
        film, Re = film_of(*tubes, 10.0 * share)
        assert Re < 2300.0
        ours = heater_conductance(heater, heater.rated_air, share * heater.rated_coolant)[0] / heater.UA_rated[0]
        assert ours == pytest.approx(1.0 / (AIR_SHARE + (1.0 - AIR_SHARE) * rated / film), rel=0.10)


def test_the_air_holds_what_such_tubes_leave_of_the_resistance() -> None:
    UA = float(prepare_heater(case_of()).UA_rated[0])
    left = [1.0 - UA / film_of(*tubes, 10.0)[0] for tubes in TUBES]
    assert min(left) < AIR_SHARE < max(left)
    assert np.mean(left) == pytest.approx(AIR_SHARE, abs=0.05)


def test_a_weak_pump_cools_the_return_and_hardly_the_air() -> None:
    """A quarter of the flow: the air loses a tenth of its rise, the coolant falls by more than three times as much."""
    heater = prepare_heater(case_of())
    full, weak = (
        heater_exchange(heater, flows(coolant_mass_flow=share * heater.rated_coolant[0])) for share in (1.0, 0.25)
    )
    rise = [float((r.vent - r.core_air_in)[0]) for r in (full, weak)]
    fall = [float(363.15 - r.coolant_out[0]) for r in (full, weak)]
    assert 0.75 < rise[1] / rise[0] < 0.95
    assert 3.0 < fall[1] / fall[0] < 3.8


def test_an_impossible_rated_point_is_said_and_stays_finite() -> None:
    heater = prepare_heater(case_of(heater={"rated_output": "20 kW"}))
    assert not heater.rated_possible[0]
    assert np.isfinite(heater_exchange(heater, flows()).heat).all()


@pytest.mark.parametrize("still", ["coolant_mass_flow", "air_share"])
def test_no_flow_gives_no_heat(still: str) -> None:
    result = heater_exchange(prepare_heater(case_of()), flows(**{still: 0.0}))
    assert result.heat[0] == 0.0
    for field in fields(result):
        assert np.isfinite(getattr(result, field.name)).all(), field.name


def test_no_heater_gives_no_heat() -> None:
    result = heater_exchange(prepare_heater(case_of(heater={"rated_output": "0 W"})), flows())
    assert result.heat[0] == 0.0
    assert result.vent[0] == pytest.approx(263.15)


def test_full_cold_blend_blows_ambient_air() -> None:
    result = heater_exchange(prepare_heater(case_of(heater={"blend": "cold"})), flows())
    assert (result.heat[0], result.vent[0]) == (0.0, pytest.approx(263.15))


def balance(result: HeaterResult, case: Case, f: HeaterFlows) -> tuple[float, float]:
    """Heat brought to the cabin, and heat that leaves it."""
    theta = float((result.cabin - f.ambient)[0])
    fresh = float(case.heater.fresh_air_share[0])
    return (
        float((result.heat + result.auxiliary)[0]),
        float(case.cabin.heat_loss[0]) * theta + fresh * float((result.air_flow * f.air_cp)[0]) * theta,
    )


@settings(max_examples=80, deadline=None)
@given(
    coolant=st.floats(0, 1),
    share=st.floats(0, 1),
    blend=st.floats(0, 1),
    fresh=st.floats(0, 1),
    aux=st.floats(0, 3000),
    T=st.floats(240, 400),
    amb=st.floats(230, 310),
)
def test_cabin_balance_closes_and_the_vent_is_bounded(
    coolant: float, share: float, blend: float, fresh: float, aux: float, T: float, amb: float
) -> None:
    case = case_of(
        heater={"blend": f"{blend:.6f}", "fresh_air_share": f"{fresh:.6f}", "auxiliary_heat": f"{aux:.3f} W"}
    )
    f = flows(coolant_mass_flow=coolant, air_share=share, T_coolant_in=T, ambient=amb)
    result = heater_exchange(prepare_heater(case), f)
    brought, leaves = balance(result, case, f)
    assert brought == pytest.approx(leaves, rel=1e-9, abs=1e-6)
    if aux == 0:
        assert min(T, amb) - 1e-9 <= result.vent[0] <= max(T, amb) + 1e-9
    given_off = f.coolant_mass_flow * f.coolant_cp * (f.T_coolant_in - result.coolant_out)
    assert given_off[0] == pytest.approx(result.heat[0], rel=1e-9, abs=1e-6)


def test_recirculation_warms_the_cabin() -> None:
    cabins = [
        heater_exchange(prepare_heater(case_of(heater={"fresh_air_share": s})), flows()).cabin[0]
        for s in ("100 %", "50 %", "0 %")
    ]
    assert cabins[0] < cabins[1] < cabins[2]


def test_more_flow_never_gives_less_heat() -> None:
    heater = prepare_heater(case_of())
    for name, values in (
        ("coolant_mass_flow", np.linspace(0, 0.6, 30)),
        ("air_share", np.linspace(0, 1.5, 30)),
        ("T_coolant_in", np.linspace(263.15, 393.15, 30)),
    ):
        assert np.all(np.diff(heater_exchange(heater, flows(**{name: values})).heat) >= 0.0), name


def test_three_unlike_members_are_three_single_runs() -> None:
    heater = prepare_heater(case_of(heater={"fresh_air_share": "40 %", "auxiliary_heat": "900 W"}))
    f = flows(coolant_mass_flow=[0.0, 0.3, 0.01], air_share=[1.0, 0.0, 0.4], T_coolant_in=[300.0, 360.0, 390.0])
    together = heater_exchange(heater, f)
    for i in range(3):
        one = replace(f, **{k.name: getattr(f, k.name)[min(i, getattr(f, k.name).size - 1)][None] for k in fields(f)})
        alone = heater_exchange(heater, one)
        for field in fields(alone):
            value = np.broadcast_to(getattr(together, field.name), (3,))[i]
            assert value == pytest.approx(np.ravel(getattr(alone, field.name))[0], rel=1e-12), field.name


def test_an_auxiliary_heater_limits_itself_to_its_air() -> None:
    heater = prepare_heater(case_of(heater={"auxiliary_heat": "2 kW"}))
    full, creeping, off = (heater_exchange(heater, flows(air_share=s, coolant_mass_flow=0.0)) for s in (1.0, 1e-3, 0.0))
    assert full.auxiliary[0] == 2000.0
    assert full.vent[0] - 263.15 == pytest.approx(2000 / (0.1 * 1006), rel=1e-6)
    assert creeping.vent[0] - 263.15 == pytest.approx(80.0, rel=1e-6)
    assert off.auxiliary[0] == 0.0
