"""Refill: volume balances, published freezing limits and expansions, and hand-worked exchanges."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.errors import RangeError
from engcalc.properties.coolant import Base, freezing_point
from engcalc.studies.refill import (
    DRAIN_TO_OPEN,
    FilledSystem,
    Joint,
    LevelFall,
    air_by_pressure,
    drain_to_open,
    expansion,
    fraction_of_freezing,
    protection,
    refill,
    refractometer,
    trapped_air,
)

K0 = 273.15
LITRE = 1e-3
GLYCOLS = [Base.ETHYLENE, Base.PROPYLENE]
SEA = np.zeros(1)


def one(x: float) -> np.ndarray:
    return np.array([x])


# --- protection ------------------------------------------------------------------------------------------------------

# Freezing points [degC] as an operator's manual of a tractor maker prints them for 40, 50 and 60 % by volume
MANUAL = [
    (Base.ETHYLENE, 0.40, -24.0),
    (Base.ETHYLENE, 0.50, -37.0),
    (Base.ETHYLENE, 0.60, -52.0),
    (Base.PROPYLENE, 0.40, -21.0),
    (Base.PROPYLENE, 0.50, -33.0),
    (Base.PROPYLENE, 0.60, -49.0),
]


@pytest.mark.parametrize(("base", "phi", "printed"), MANUAL)
def test_printed_freezing_points(base: Base, phi: float, printed: float) -> None:
    found = protection(base, one(phi), one(0.0), SEA)
    # 1 K: printed to whole degrees, and makers' glycols differ; propylene at 60 % is steep (1.7 K per per cent)
    assert found.freezing[0] - K0 == pytest.approx(printed, abs=2.1 if phi == 0.6 and base is Base.PROPYLENE else 1.0)


def test_half_and_half_meets_the_standard_s_freezing_limit() -> None:
    """ASTM D3306: half freezes at -36.4 degC (ethylene) and -31 degC (propylene) at the highest; from memory."""
    assert protection(Base.ETHYLENE, one(0.5), one(0.0), SEA).freezing[0] <= K0 - 36.4
    assert protection(Base.PROPYLENE, one(0.5), one(0.0), SEA).freezing[0] <= K0 - 31.0


def test_boiling_at_a_15_psi_cap() -> None:
    """Half ethylene glycol, 15 psi: printed 262 degF (school text) to 265 degF (car maker's manual, 2000)."""
    found = protection(Base.ETHYLENE, one(0.5), one(103421.0), SEA)
    low, high = (262 - 32) / 1.8, (265 - 32) / 1.8
    assert low - found.boiling_uncertainty <= found.boiling[0] - K0 <= high + 0.1
    assert found.boiling_open[0] - K0 == pytest.approx(107.0, abs=1.5)  # printed 226 degF, on the safe side here


def test_altitude_and_a_missing_cap_lower_the_boiling_point() -> None:
    found = protection(Base.ETHYLENE, one(0.5), np.array([110e3, 110e3, 0.0]), np.array([0.0, 2000.0, 2000.0]))
    assert np.all(np.diff(found.boiling) < 0.0)
    assert found.boiling[2] == found.boiling_open[2]


def test_above_60_per_cent_is_outside_and_said_so() -> None:
    found = protection(Base.ETHYLENE, np.array([0.5, 0.6, 0.7, 1.0]), one(1e5), SEA)
    assert found.outside.tolist() == [False, False, True, True]
    assert not protection(Base.WATER, one(0.7), one(1e5), SEA).outside.any()


# --- what to add -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("capacity", "holds", "now", "target", "product", "drain", "fill", "water"),
    [
        (10.0, 10.0, 0.30, 0.50, 1.0, 10 * 0.2 / 0.7, 10 * 0.2 / 0.7, 0.0),  # exchange for concentrate
        (10.0, 10.0, 0.30, 0.40, 0.5, 5.0, 5.0, 0.0),  # exchange for premix: half of it
        (10.0, 8.0, 0.50, 0.50, 1.0, 0.0, 1.0, 1.0),  # topping up alone, half concentrate and half water
        (10.0, 8.0, 0.50, 0.50, 0.5, 0.0, 2.0, 0.0),  # topping up with premix
        (10.0, 10.0, 0.60, 0.50, 1.0, 10 / 6, 0.0, 10 / 6),  # too strong: water in its place
        (10.0, 4.0, 0.00, 0.50, 1.0, 0.0, 5.0, 1.0),  # 4 L of flushing water left inside
        (10.0, 4.0, 0.00, 0.50, 0.6, 0.0, 10 * 0.5 / 0.6 - 0.0, 0.0),  # ... and a strong premix
        (8.0, 0.0, 0.00, 0.50, 1.0, 0.0, 4.0, 4.0),  # an empty system
    ],
)
def test_hand_worked_refills(
    capacity: float, holds: float, now: float, target: float, product: float, drain: float, fill: float, water: float
) -> None:
    found = refill(FilledSystem(one(capacity * LITRE), one(holds * LITRE), one(now)), one(target), one(product))
    if (holds, product) == (4.0, 0.6):  # x = 10 (0.5)/0.6 = 8.33 L does not fit beside 4 L: 2.33 L must come out
        drain, fill = 10 * 0.5 / 0.6 - 6.0, 10 * 0.5 / 0.6
    assert found.possible[0]
    assert found.drain[0] / LITRE == pytest.approx(drain, abs=1e-9)
    assert found.product[0] / LITRE == pytest.approx(fill, abs=1e-9)
    assert found.water[0] / LITRE == pytest.approx(water, abs=1e-9)
    assert found.reached[0] == pytest.approx(target)


def test_a_premix_weaker_than_the_target_cannot_reach_it() -> None:
    found = refill(FilledSystem(one(10 * LITRE), one(10 * LITRE), one(0.3)), one(0.6), one(0.5))
    assert not found.possible[0]
    assert found.reached[0] == pytest.approx(0.5)  # all of it exchanged: the best that can be had


def test_what_does_not_drain_out_limits_the_target() -> None:
    system = FilledSystem(one(10 * LITRE), one(10 * LITRE), one(0.0), drainable=one(4 * LITRE))
    found = refill(system, one(0.5), one(1.0))
    assert not found.possible[0]
    assert found.reached[0] == pytest.approx(0.4)
    assert refill(system, one(0.4), one(1.0)).possible[0]


SHARE = st.floats(0.0, 1.0)


@given(st.floats(0.5, 40.0), SHARE, SHARE, SHARE, SHARE, SHARE)
def test_volumes_and_glycol_balance(
    litres: float, full: float, now: float, target: float, product: float, out: float
) -> None:
    C = litres * LITRE
    system = FilledSystem(one(C), one(C * full), one(now), drainable=one(C * out))
    found = refill(system, one(target), one(product))
    drain, x, w = found.drain[0], found.product[0], found.water[0]
    assert min(drain, x, w) >= 0.0
    assert drain <= C * min(full, out) + 1e-12
    assert C * full - drain + x + w == pytest.approx(C)
    glycol = (C * full - drain) * now + x * product
    assert glycol / C == pytest.approx(found.reached[0], abs=1e-12)
    if found.possible[0]:
        assert found.reached[0] == pytest.approx(target, abs=1e-5)


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.6), st.floats(0.05, 1.0))
def test_no_smaller_drain_would_do(now: float, target: float, product: float) -> None:
    """A tenth less drained and the rest filled with the stronger or the weaker of what is at hand misses the target."""
    C = 10 * LITRE
    found = refill(FilledSystem(one(C), one(C), one(now)), one(target), one(product))
    if found.possible[0] and found.drain[0] > 1e-6:
        kept = C - 0.9 * found.drain[0]
        reach = [(kept * now + (C - kept) * fill) / C for fill in (0.0, product)]
        assert not min(reach) <= target <= max(reach)


def test_three_members_equal_three_single_runs() -> None:
    C, V, f = np.array([8.0, 10.0, 6.0]) * LITRE, np.array([8.0, 7.0, 6.0]) * LITRE, np.array([0.3, 0.0, 0.7])
    t, p = np.array([0.5, 0.5, 0.4]), np.array([0.4, 1.0, 1.0])  # the first cannot be reached
    joint = refill(FilledSystem(C, V, f), t, p)
    assert joint.possible.tolist() == [False, True, True]
    for i in range(3):
        single = refill(FilledSystem(C[i : i + 1], V[i : i + 1], f[i : i + 1]), t[i : i + 1], p[i : i + 1])
        for name in ("drain", "product", "water", "reached", "possible", "outside"):
            assert getattr(joint, name)[i] == getattr(single, name)[0]


def test_bad_arguments_are_named() -> None:
    with pytest.raises(RangeError, match="target"):
        refill(FilledSystem(one(0.01), one(0.01), one(0.3)), one(1.2), one(1.0))
    with pytest.raises(RangeError, match="capacity"):
        refill(FilledSystem(one(-0.01), one(0.0), one(0.3)), one(0.5), one(1.0))
    with pytest.raises(RangeError, match="concentration"):
        protection(Base.ETHYLENE, one(np.nan), one(0.0), SEA)


# --- expansion and air -----------------------------------------------------------------------------------------------

# Densities of ethylene glycol [lb/ft3] at 60 and 180 degF, by volume: ASHRAE Handbook, Fundamentals, chapter 31, as
# reprinted in a pipe maker's hydronics manual, Table 5-16
DENSITY = [
    (0.1, 63.42, 61.51),
    (0.2, 64.45, 62.42),
    (0.3, 65.43, 63.28),
    (0.4, 66.34, 64.07),
    (0.5, 67.20, 64.80),
    (0.6, 68.02, 65.49),
]


@pytest.mark.parametrize(("phi", "cold", "hot"), DENSITY)
def test_expansion_against_published_densities(phi: float, cold: float, hot: float) -> None:
    grown = expansion(Base.ETHYLENE, one(phi), one(10 * LITRE), one((60 - 32) / 1.8 + K0), one((180 - 32) / 1.8 + K0))
    # each density is rounded to 0.01 lb/ft3, which is 0.02 % of the volume; the fit strays as much again
    assert grown[0] / (10 * LITRE) == pytest.approx(cold / hot - 1.0, abs=4e-4)


def test_water_expands_by_its_own_densities() -> None:
    """IAPWS-95 at 1 atm: 998.207 kg/m3 at 20 degC, 965.310 at 90 degC."""
    grown = expansion(Base.WATER, one(0.0), one(1.0), one(20 + K0), one(90 + K0))
    assert grown[0] == pytest.approx(998.207 / 965.310 - 1.0, rel=2e-3)


def test_a_fall_of_the_level_at_the_same_temperature_is_all_air() -> None:
    fall = LevelFall(one(0.03), one(0.012), one(20 + K0), one(20 + K0))
    found = trapped_air(Base.ETHYLENE, one(0.5), one(8 * LITRE), fall, one(5 * LITRE), one(4.2 * LITRE))
    assert found.released[0] == pytest.approx(0.03 * 0.012)
    assert found.remaining is not None
    assert found.remaining[0] == pytest.approx(0.8 * LITRE)


def test_a_fall_by_cooling_alone_is_no_air() -> None:
    shrunk = -expansion(Base.ETHYLENE, one(0.5), one(8 * LITRE), one(60 + K0), one(20 + K0))
    fall = LevelFall(shrunk / 0.012, one(0.012), one(60 + K0), one(20 + K0))
    assert shrunk[0] > 0.1 * LITRE
    assert trapped_air(Base.ETHYLENE, one(0.5), one(8 * LITRE), fall).released[0] == pytest.approx(0.0, abs=1e-12)


def test_air_by_boyle_s_law() -> None:
    """1 L of air at 101.325 kPa pressed to 202.65 kPa takes half the room."""
    assert air_by_pressure(one(0.5 * LITRE), one(101325.0), SEA)[0] == pytest.approx(LITRE)
    with pytest.raises(RangeError, match="test pressure"):
        air_by_pressure(one(LITRE), one(0.0), SEA)


# --- refractometer ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("base", GLYCOLS)
def test_a_freezing_point_leads_back_to_its_concentration(base: Base) -> None:
    phi = np.linspace(0.01, 0.6, 60)
    back, outside = fraction_of_freezing(base, freezing_point(base, phi))
    np.testing.assert_allclose(back, phi, atol=1e-6)
    assert not outside[:-1].any()


@pytest.mark.parametrize("base", GLYCOLS)
def test_the_right_scale_gives_its_own_reading_back(base: Base) -> None:
    found = refractometer(one(K0 - 25.0), base, base)
    assert found.freezing[0] == pytest.approx(K0 - 25.0, abs=1e-3)
    assert found.fraction[0] == found.as_read[0]


def test_propylene_read_on_the_ethylene_scale_protects_less_than_it_says() -> None:
    """A fluid of the same index freezes higher: printed for 50 % are -37 degC (ethylene), -33 degC (propylene)."""
    found = refractometer(one(K0 - 37.0), Base.ETHYLENE, Base.PROPYLENE)
    assert found.as_read[0] == pytest.approx(0.5, abs=0.005)
    assert found.freezing[0] - K0 == pytest.approx(-33.0, abs=1.5)
    assert found.uncertainty > refractometer(one(K0 - 37.0), Base.ETHYLENE, Base.ETHYLENE).uncertainty


def test_the_two_scales_undo_each_other() -> None:
    there = refractometer(one(K0 - 20.0), Base.ETHYLENE, Base.PROPYLENE)
    back = refractometer(there.freezing, Base.PROPYLENE, Base.ETHYLENE)
    assert back.freezing[0] == pytest.approx(K0 - 20.0, abs=1e-3)


def test_readings_off_the_scale_are_flagged() -> None:
    found = refractometer(np.array([K0 - 60.0, K0 + 5.0, K0 - 30.0]), Base.ETHYLENE, Base.PROPYLENE)
    assert found.outside.tolist() == [True, True, False]
    with pytest.raises(RangeError, match="water has no refractometer scale"):
        refractometer(one(K0 - 5.0), Base.WATER, Base.ETHYLENE)


# --- opening ---------------------------------------------------------------------------------------------------------


def test_more_must_come_out_for_a_lower_joint() -> None:
    assert list(DRAIN_TO_OPEN.values()) == sorted(DRAIN_TO_OPEN.values())
    volume, doubt = drain_to_open(one(8 * LITRE), Joint.UPPER_HOSE)
    assert volume[0] == pytest.approx(2 * LITRE)
    assert 0.0 < doubt[0] < volume[0]
