"""A vehicle's unknowns: nominal at zero, narrowed by what was measured, one member like many."""

from __future__ import annotations

from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from scipy import stats

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.system.in_time.warmup import warm_up
from engcalc.vehicle.run import Run, run_of
from engcalc.vehicle.unknowns import Effect, draw_z, heater_share, normal_share, stratified_z, unknowns_of, vehicles

RECORD = {
    "ambient": "0 degC",
    "heater_setting": "high",
    "engine_off_phases": "no",
    "schedule": [{"vehicle_speed": "50 km/h", "heater": "high", "duration": "10 min"}],
}


def ready(record: dict[str, Any] | None = None, **sections: Any) -> tuple[Case, Run]:
    found = resolve(CaseText({"format": FORMAT, "evidence": {"before": record or RECORD}, **sections}))
    assert isinstance(found, Case), found
    return found, run_of(found, "before", {})


def column(case: Case, run: Run, key: str) -> int:
    return [u.key for u in unknowns_of(case, run)].index(key)


def test_at_zero_the_vehicle_is_the_case() -> None:
    case, run = ready()
    unknowns = unknowns_of(case, run)
    v = vehicles(case, run, unknowns, np.zeros((1, len(unknowns))))
    assert v.case.engine.metal_mass == pytest.approx(case.engine.metal_mass)
    assert v.case.thermostat.full_open == pytest.approx(case.thermostat.full_open)
    assert v.drive.conditions.heater_air_share == pytest.approx(run.drive.conditions.heater_air_share)
    assert v.sensor_bias == pytest.approx(0.0)


def test_one_standard_deviation_moves_by_the_spread() -> None:
    case, run = ready()
    unknowns = unknowns_of(case, run)
    v = vehicles(case, run, unknowns, np.ones((1, len(unknowns))))
    assert v.case.engine.surface_conductance / case.engine.surface_conductance == pytest.approx(np.exp(0.4))
    assert v.case.thermostat.closed_leak / case.thermostat.closed_leak == pytest.approx(np.exp(0.8))
    assert v.case.thermostat.start_to_open - case.thermostat.start_to_open == pytest.approx(3.5)
    assert v.case.thermostat.full_open - case.thermostat.full_open == pytest.approx(3.5)  # moves along
    assert v.drive.conditions.ambient - run.drive.conditions.ambient == pytest.approx(1.0)
    assert v.sensor_bias == pytest.approx(1.0)


def test_a_coolant_heater_of_which_nobody_noted_whether_it_ran_is_an_unknown() -> None:
    heater = {"coolant_heater": "fuel-fired", "coolant_heat": "4 kW"}
    case, run = ready(heater=heater)
    unknowns, at = unknowns_of(case, run), column(case, run, "coolant_heater")
    assert run.drive.conditions.coolant_heater[0, 0] == 0.5
    z = np.zeros((3, len(unknowns)))
    z[:, at] = [-6.0, 0.0, 6.0]
    v = vehicles(case, run, unknowns, z)
    assert v.drive.conditions.coolant_heater[0] == pytest.approx([0.0, 0.5, 1.0], abs=1e-6)
    early = warm_up(v.plant, v.drive, 150.0).coolant[1]  # before the heater reaches its own limit
    assert early[0] < early[1] - 3.0 < early[2] - 6.0  # 2 kW more each, in 150 s into some 70 kJ/K
    for noted, share in (("none", 0.0), ("fuel-fired", 1.0), ("electric", 0.0), ("both", 1.0)):
        case, run = ready({**RECORD, "auxiliary_heater": noted}, heater=heater)
        assert run.drive.conditions.coolant_heater[0, 0] == share
        assert "coolant_heater" not in [u.key for u in unknowns_of(case, run)]
    assert "coolant_heater" not in [u.key for u in unknowns_of(*ready())]


def test_an_unknown_rating_is_wider_and_a_stated_one_as_stated() -> None:
    unknown = ready(thermostat={"rating": "unknown"})
    stamped = ready(thermostat={"rating": "88 degC"})
    stated = ready(thermostat={"rating": {"value": "88 degC", "uncertainty": "0.5 K"}})
    pairs = (unknown, ready(), stamped, stated)
    spreads = [unknowns_of(*pair)[column(*pair, "opening")].spread for pair in pairs]
    assert spreads == pytest.approx([3.5, 3.5, 2.0, 0.5])


def test_a_core_that_is_scaled_to_something_known_is_narrower() -> None:
    point = {
        "rated_heat": "80 kW",
        "rated_coolant_flow": "120 L/min",
        "rated_air_velocity": "6 m/s",
        "rated_inlet_difference": "60 K",
    }
    pairs = [ready(radiator=r) for r in ({}, {"ua_scale": "1.1"}, point, {**point, "scale_to": "none"})]
    spreads = [unknowns_of(*pair)[column(*pair, "radiator")].spread for pair in pairs]
    assert spreads == pytest.approx([0.20, 0.05, 0.05, 0.20])


def test_what_was_typed_is_not_unknown() -> None:
    case, run = ready(coolant={"volume": {"value": "6 L", "uncertainty": "0.3 L"}}, engine={"metal_mass": "60 kg"})
    moves = {m.path: m.spread for m in unknowns_of(case, run)[column(case, run, "capacity")].moves}
    assert moves == pytest.approx({"coolant.volume": 0.05})
    assert "surface" not in {u.key for u in unknowns_of(*ready(engine={"surface_conductance": "20 W/K"}))}


def test_an_unknown_heater_setting_is_anything_from_off_to_high() -> None:
    case, run = ready(
        {
            **RECORD,
            "heater_setting": "unknown",
            "schedule": [
                {"vehicle_speed": "50 km/h", "heater": "unknown", "duration": "5 min"},
                {"vehicle_speed": "50 km/h", "heater": "off", "duration": "5 min"},
            ],
        }
    )
    unknowns = unknowns_of(case, run)
    at = column(case, run, "heater")
    assert unknowns[at].effect is Effect.HEATER_SHARE
    z = np.zeros((3, len(unknowns)))
    z[:, at] = (-5.0, 0.0, 5.0)
    share = vehicles(case, run, unknowns, z).drive.conditions.heater_air_share
    # in frost one in ten leaves it off: the middle one of all is at 4/9 of the others, who have it at low
    assert share[0] == pytest.approx([0.0, 1 / 3, 1.0], abs=1e-4)
    assert share[1] == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("degC", "off", "low", "high"),
    [(-20, 0.1, 0.36, 0.18), (5, 0.1, 0.36, 0.18), (15, 0.5, 0.2, 0.1), (30, 0.9, 0.04, 0.02)],
)
def test_a_heater_that_nobody_noted_is_often_off_low_or_high(degC: float, off: float, low: float, high: float) -> None:
    """Off the more often the warmer it is; of the others 40 % at a third of the air, 20 % at all of it, none under a
    fifth. Common practice, no source."""
    z = NormalDist()
    share = heater_share(np.array([z.inv_cdf((i + 0.5) / 4000) for i in range(4000)]), np.array([273.15 + degC]))
    held = [np.isclose(share, at).mean() for at in (0.0, 1 / 3, 1.0)]
    assert held == pytest.approx([off, low, high], abs=0.002)
    assert share[share > 0.0].min() >= 0.2
    assert (np.diff(share) >= 0.0).all()


def test_a_heater_core_passes_three_tenths_more_or_less() -> None:
    """One standard deviation: exp(0.3) of the preset's conductance; 5 % where a person stated that of its heat."""
    for section, spread in (
        ({}, 0.3),
        ({"heater": {"rated_output": {"value": "6 kW", "uncertainty": "0.3 kW"}}}, 0.05),
    ):
        case, run = ready(**section)
        unknowns, z = unknowns_of(case, run), np.zeros((2, len(unknowns_of(case, run))))
        z[1, column(case, run, "heater_core")] = 1.0
        v = vehicles(case, run, unknowns, z)
        UA = v.plant.heater.UA_rated
        assert UA[1] / UA[0] == pytest.approx(np.exp(spread))
        cabin = warm_up(v.plant, v.drive).cabin[-1]
        assert cabin[1] > cabin[0] + 0.1
    assert "heater_core" not in {u.key for u in unknowns_of(*ready(heater={"rated_output": "6 kW"}))}


def test_a_setting_that_was_noted_blows_a_third_more_or_less() -> None:
    """One standard deviation: exp(0.35) of the air at "high"; common practice, no source."""
    case, run = ready({**RECORD, "heater_setting": "high"})
    unknowns = unknowns_of(case, run)
    z = np.zeros((2, len(unknowns)))
    z[1, column(case, run, "heater")] = 1.0
    share = vehicles(case, run, unknowns, z).drive.conditions.heater_air_share
    assert share[..., 1] / share[..., 0] == pytest.approx(np.exp(0.35))


def test_the_normal_share_is_the_published_one() -> None:
    # Abramowitz & Stegun, Handbook of Mathematical Functions, table 26.1: P(1) = 0.84134, P(1.96) = 0.97500
    assert normal_share(np.array([0.0, 1.0, 1.96])) == pytest.approx([0.5, 0.84134, 0.97500], abs=1e-5)


def test_each_stratum_of_each_column_has_one_member_anywhere_in_it() -> None:
    rng = np.random.default_rng(4)
    z = stratified_z(rng, 40, 5)
    below = stats.norm.cdf(z) * 40
    assert z.shape == (40, 5)
    for column in below.T:
        assert sorted(np.floor(column)) == list(range(40))
    within = below - np.floor(below)
    assert 0.4 < within.mean() < 0.6
    assert within.min() < 0.05
    assert within.max() > 0.95
    assert (
        np.abs(np.corrcoef(stratified_z(rng, 500, 5).T) - np.eye(5)).max() < 0.2
    )  # each column in an order of its own


def test_draws_are_standard_normal_in_every_column() -> None:
    case, run = ready()
    z = draw_z(unknowns_of(case, run), 500, 3)
    assert np.abs(z.mean(axis=0)).max() < 1e-9  # the midpoints of a hypercube are symmetric
    assert z.std(axis=0) == pytest.approx(1.0, abs=0.01)
    assert np.abs(np.corrcoef(z.T) - np.eye(z.shape[1])).max() < 0.2


def test_three_unlike_members_are_three_single_runs() -> None:
    case, run = ready()
    unknowns = unknowns_of(case, run)
    z = np.random.default_rng(5).normal(size=(3, len(unknowns)))
    many = vehicles(case, run, unknowns, z)
    together = warm_up(many.plant, many.drive).sensor + many.sensor_bias
    for i in range(3):
        one = vehicles(case, run, unknowns, z[i : i + 1])
        alone = warm_up(one.plant, one.drive).sensor + one.sensor_bias
        assert together[:, i] == pytest.approx(alone[:, 0], rel=1e-9)
