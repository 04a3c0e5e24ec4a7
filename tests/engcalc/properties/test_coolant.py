"""Coolant properties up to 100 degC, freezing, boiling and compositions, against published values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.errors import RangeError
from engcalc.properties.coolant import (
    BOILING_UNCERTAINTY,
    FIT_DEVIATION,
    Base,
    CoolantMixture,
    Validity,
    boiling_point,
    boiling_point_raoult,
    density,
    freezing_point,
    mass_fraction,
    saturation_pressure,
    saturation_temperature,
    thermo,
    validity,
    volume_fraction,
    water_mole_fraction,
)

ATMOSPHERE = 101325.0  # Pa
PSI_15 = 103421.0  # Pa
GLYCOLS = [Base.ETHYLENE, Base.PROPYLENE]


def one(value: float) -> np.ndarray:
    return np.array([value])


def celsius(value: float) -> np.ndarray:
    return np.array([value + 273.15])


# --- water -----------------------------------------------------------------------------------------------------------

# rho [kg/m3], cp [J/(kg K)], k [W/(m K)], mu [Pa s] at 1 atm: IAPWS-95, IAPWS R12-08 and R15-11
WATER = {
    20.0: (998.207, 4184.05, 0.59801, 1.00160e-3),
    40.0: (992.216, 4179.4, 0.62849, 6.5273e-4),
    60.0: (983.196, 4184.95, 0.65100, 4.6604e-4),
    80.0: (971.790, 4196.8, 0.66699, 3.5405e-4),
    90.0: (965.310, 4205.2, 0.67279, 3.1418e-4),
    100.0: (958.395, 4215.4, 0.67727, 2.8161e-4),
}


@pytest.mark.parametrize("T", sorted(WATER))
@pytest.mark.parametrize("base", list(Base))
def test_water_and_the_water_end_of_both_glycols(T: float, base: Base) -> None:
    state = thermo(celsius(T), one(0.0), base)
    rho, cp, k, mu = WATER[T]
    assert state.rho[0] == pytest.approx(rho, rel=2e-4)  # the fit's own deviation is 5e-5; 100 degC there is at 2 bar
    assert state.cp[0] == pytest.approx(cp, rel=5e-4)
    assert state.k[0] == pytest.approx(k, rel=5e-4)
    assert state.mu[0] == pytest.approx(mu, rel=2e-3)


def test_water_agrees_with_if97_region_1() -> None:
    """IAPWS-IF97 (R7-97), Table 5: 300 K and 3 MPa, v = 1.00215168e-3 m3/kg, cp = 4.17301218 kJ/(kg K).

    Compression from 1 atm to 3 MPa accounts for 0.13 % of density.
    """
    state = thermo(one(300.0), one(0.0), Base.WATER)
    assert state.rho[0] * (1 + 4.5e-10 * (3e6 - ATMOSPHERE)) == pytest.approx(1 / 1.00215168e-3, rel=2e-4)
    assert state.cp[0] == pytest.approx(4173.01218, rel=3e-3)


def test_water_viscosity_and_conductivity_at_298_kelvin() -> None:
    """IAPWS R12-08 Table 4: 889.735100 uPa s; R15-11 Table 4: 607.712868 mW/(m K); both at 298.15 K and 998 kg/m3."""
    state = thermo(one(298.15), one(0.0), Base.WATER)
    assert state.mu[0] == pytest.approx(889.735100e-6, rel=2e-3)
    assert state.k[0] == pytest.approx(0.607712868, rel=2e-3)  # 998 kg/m3 is water at 2 MPa: k 0.1 % higher there


# --- glycols ---------------------------------------------------------------------------------------------------------

# ASHRAE Handbook, Fundamentals, chapter 31, density of ethylene glycol solutions [lb/ft3], 10 to 60 % by volume;
# reprinted in the Viega design manual IM-PR 566442 (2014), Table 5-16, page 113
DENSITY_LB_FT3 = {
    60.0: (63.42, 64.45, 65.43, 66.34, 67.20, 68.02),
    100.0: (62.93, 63.93, 64.86, 65.73, 66.55, 67.32),
    180.0: (61.51, 62.42, 63.28, 64.07, 64.80, 65.49),
}


@pytest.mark.parametrize("F", sorted(DENSITY_LB_FT3))
def test_ethylene_density_in_pounds(F: float) -> None:
    """0.15 %: this table lies 0.11 % above the SI table of the same chapter, from which CoolProp's fit was made."""
    rho = density(np.full(6, (F + 459.67) / 1.8), np.arange(1, 7) / 10, Base.ETHYLENE)
    assert rho / 16.018463 == pytest.approx(DENSITY_LB_FT3[F], rel=1.5e-3)  # kg/m3 per lb/ft3


# ASHRAE Handbook, Fundamentals (2005, SI), chapter 21: rho, cp, k, mu [mPa s] of inhibited glycols by volume, as
# reprinted in the data of the building simulation program EnergyPlus (FluidProperties.cc)
ASHRAE = [
    (Base.ETHYLENE, 0.5, -30.0, (1089.04, 3088, 0.333, 43.98)),
    (Base.ETHYLENE, 0.5, -20.0, (1086.87, 3126, 0.344, 22.07)),
    (Base.ETHYLENE, 0.5, 0.0, (1081.08, 3203, 0.364, 8.09)),
    (Base.ETHYLENE, 0.5, 50.0, (1058.09, 3396, 0.399, 1.78)),
    (Base.ETHYLENE, 0.5, 90.0, (1030.95, 3551, 0.414, 0.82)),
    (Base.ETHYLENE, 0.3, 20.0, (1045.25, 3645, 0.453, 2.20)),
    (Base.ETHYLENE, 0.1, 20.0, (1013.34, 3972, 0.545, 1.21)),
    (Base.ETHYLENE, 0.6, 80.0, (1049.48, 3345, 0.375, 1.10)),
    (Base.PROPYLENE, 0.5, -25.0, (1062.11, 3358, 0.329, 110.59)),
    (Base.PROPYLENE, 0.5, 0.0, (1052.71, 3455, 0.349, 18.40)),
    (Base.PROPYLENE, 0.5, 80.0, (1001.05, 3763, 0.382, 1.12)),
    (Base.PROPYLENE, 0.3, 20.0, (1028.35, 3848, 0.445, 3.06)),
    (Base.PROPYLENE, 0.6, 90.0, (994.63, 3647, 0.337, 1.10)),
]


def test_cold_end_of_the_source_reads_thin() -> None:
    """The same table, half ethylene glycol at -35 degC: 66.93 mPa s; CoolProp's curve is 10 % thinner at its end."""
    mu = thermo(celsius(-35.0), one(0.5), Base.ETHYLENE).mu[0]
    assert mu * 1e3 == pytest.approx(66.93, rel=0.10)


@pytest.mark.parametrize(("base", "phi", "T", "published"), ASHRAE)
def test_glycol_agrees_with_the_ashrae_tables(base: Base, phi: float, T: float, published: tuple[float, ...]) -> None:
    """Viscosity 5 %: CoolProp's smooth curve strays that far from the printed table; the others to their digits."""
    state = thermo(celsius(T), one(phi), base)
    rho, cp, k, mu = published
    assert state.rho[0] == pytest.approx(rho, rel=2e-4)
    assert state.cp[0] == pytest.approx(cp, rel=5e-4)
    assert state.k[0] == pytest.approx(k, rel=5e-3)
    assert state.mu[0] * 1e3 == pytest.approx(mu, rel=0.05)


# Melinder (2010), Properties of secondary working fluids, pure glycol by mass, 80 degC, as CoolProp's MEG and MPG give
# it: other measurements than ASHRAE's of inhibited glycols, which lie up to 0.9 % (density) and 3.8 % (viscosity) away
MELINDER = [
    (Base.ETHYLENE, 0.527, (1029.2, 3538.0, 0.4143, 1.031e-3)),
    (Base.PROPYLENE, 0.5, (994.9, 3760.0, 0.3910, 1.088e-3)),
]


@pytest.mark.parametrize(("base", "w", "published"), MELINDER)
def test_glycol_agrees_with_melinder(base: Base, w: float, published: tuple[float, ...]) -> None:
    state = thermo(celsius(80.0), volume_fraction(base, one(w)), base)
    for ours, theirs, within in zip(
        (state.rho[0], state.cp[0], state.k[0], state.mu[0]), published, (0.01, 0.01, 0.03, 0.05), strict=True
    ):
        assert ours == pytest.approx(theirs, rel=within)


def test_density_alone_reads_the_same_as_the_state() -> None:
    T, phi = celsius(60.0), one(0.4)
    state = thermo(T, phi, Base.ETHYLENE)
    assert density(T, phi, Base.ETHYLENE) == state.rho
    assert state.Pr == state.mu * state.cp / state.k


@pytest.mark.parametrize("base", GLYCOLS)
def test_join_to_water_is_smooth(base: Base) -> None:
    """Below 10 % no source: the run from water to 10 % has neither a step nor a kink at 10 %, and stays between."""
    T = celsius(80.0)
    for name in ("rho", "cp", "k", "mu"):

        def value(phi: float, name: str = name) -> float:
            return float(getattr(thermo(T, one(phi), base), name)[0])

        left, right = value(0.1) - value(0.0999), value(0.1001) - value(0.1)
        assert left == pytest.approx(right, rel=0.05), name
        ends = sorted((value(0.0), value(0.1)))
        assert ends[0] < value(0.05) < ends[1], name


def test_fit_deviation_is_small() -> None:
    for base in Base:
        worst = FIT_DEVIATION[base]
        assert max(worst["rho"], worst["cp"], worst["k"]) < 3e-3
        assert worst["mu"] < 1e-2


# --- truths that hold everywhere -------------------------------------------------------------------------------------

TEMPERATURES = st.floats(233.15, 413.15)
FRACTIONS = st.floats(0.0, 0.6)
BASES = st.sampled_from(list(Base))


@given(TEMPERATURES, FRACTIONS, BASES)
def test_finite_and_positive_everywhere(T: float, phi: float, base: Base) -> None:
    state = thermo(one(T), one(phi), base)
    assert 850 < state.rho[0] < 1150
    assert 2500 < state.cp[0] < 4700
    assert 0.25 < state.k[0] < 0.70
    assert 1.5e-4 < state.mu[0] < 3.0
    assert 1.0 < state.Pr[0] < 1e5


@given(TEMPERATURES, st.floats(0.1, 20.0), FRACTIONS, BASES)
def test_warming_thins(T: float, step: float, phi: float, base: Base) -> None:
    pair = thermo(np.array([T, T + step]), np.full(2, phi), base)
    assert pair.mu[1] < pair.mu[0]
    if T > 283.15:
        assert pair.rho[1] < pair.rho[0]


@given(st.floats(0.0, 0.59), st.floats(1e-3, 0.01), st.sampled_from(GLYCOLS), st.floats(7e4, 3e5))
def test_more_glycol_freezes_lower_and_boils_higher(phi: float, step: float, base: Base, p: float) -> None:
    pair = np.array([phi, phi + step])
    assert np.diff(freezing_point(base, pair))[0] < 0
    assert np.diff(boiling_point_raoult(base, pair, np.full(2, p)))[0] > 0
    assert np.diff(boiling_point(base, pair, np.full(2, p)))[0] > 0


@given(FRACTIONS, BASES, st.floats(5e4, 3e5), st.floats(100.0, 1e4))
def test_pressure_raises_boiling(phi: float, base: Base, p: float, step: float) -> None:
    safe = boiling_point(base, np.full(2, phi), np.array([p, p + step]))
    assert safe[1] > safe[0]
    assert np.all(safe <= boiling_point_raoult(base, np.full(2, phi), np.array([p, p + step])))


@given(st.floats(0.0, 1.0), st.sampled_from(GLYCOLS))
def test_volume_and_mass_fraction_round_trip(phi: float, base: Base) -> None:
    assert volume_fraction(base, mass_fraction(base, one(phi)))[0] == pytest.approx(phi, abs=1e-12)


# --- freezing --------------------------------------------------------------------------------------------------------

# Engine makers' tables by volume: (a) an operator's manual, OMSU31337 (2013), "freeze protection limit"; (b) a
# generator-set installation manual, rev. 4 (2007), Table 24; (c) a service manual (2000) for ethylene glycol;
# (d) Lange's Handbook of Chemistry, Table 5.13
FREEZING_C = [
    (Base.ETHYLENE, 0.40, -24.0),  # a
    (Base.ETHYLENE, 0.50, -37.0),  # a, c
    (Base.ETHYLENE, 0.60, -52.0),  # a
    (Base.ETHYLENE, 0.56, -46.0),  # c
    (Base.ETHYLENE, 0.30, -16.0),  # b
    (Base.PROPYLENE, 0.40, -21.0),  # a, b
    (Base.PROPYLENE, 0.50, -33.0),  # a, b
    (Base.PROPYLENE, 0.60, -49.0),  # a, b
    (Base.PROPYLENE, 0.30, -12.0),  # b
    (Base.PROPYLENE, 0.25, -8.9),  # d
    (Base.PROPYLENE, 0.50, -33.3),  # d
]


@pytest.mark.parametrize(("base", "phi", "published"), FREEZING_C)
def test_freezing_point(base: Base, phi: float, published: float) -> None:
    """2.1 K: (a) and (b) differ by up to 2 K between themselves (60 % ethylene glycol -52 and -54 degC)."""
    assert freezing_point(base, one(phi))[0] - 273.15 == pytest.approx(published, abs=2.1)


def test_half_glycol_meets_the_standard() -> None:
    """ASTM D3306, from memory: at 50 % by volume it freezes at or below -36.4 (ethylene), -31 degC (propylene)."""
    assert freezing_point(Base.ETHYLENE, one(0.5))[0] <= 273.15 - 36.4
    assert freezing_point(Base.PROPYLENE, one(0.5))[0] <= 273.15 - 31.0


# --- boiling ---------------------------------------------------------------------------------------------------------


def test_saturation_line_of_water() -> None:
    """IAPWS-IF97 (R7-97), Tables 35 and 36."""
    assert saturation_pressure(np.array([300.0, 500.0, 600.0])) == pytest.approx(
        [3536.58941, 2.63889776e6, 12.3443146e6], rel=1e-8
    )
    assert saturation_temperature(np.array([0.1e6, 1e6, 10e6])) == pytest.approx(
        [372.755919, 453.035632, 584.149488], rel=1e-8
    )


@pytest.mark.parametrize("T", [300.0, 373.15, 420.0])
def test_saturation_line_round_trip(T: float) -> None:
    assert saturation_temperature(saturation_pressure(one(T)))[0] == pytest.approx(T, rel=1e-8)


def test_mole_fractions_and_raoult() -> None:
    """Raoult's law on IAPWS-95 water, worked apart: x 0.7555, 0.8027; 108.03 and 130.09, 106.25 and 128.07 degC."""
    assert water_mole_fraction(Base.ETHYLENE, one(0.5))[0] == pytest.approx(0.7555, abs=5e-5)
    assert water_mole_fraction(Base.PROPYLENE, one(0.5))[0] == pytest.approx(0.8027, abs=5e-5)
    p = np.array([ATMOSPHERE, ATMOSPHERE + PSI_15])
    half = np.full(2, 0.5)
    assert boiling_point_raoult(Base.ETHYLENE, half, p) - 273.15 == pytest.approx([108.03, 130.09], abs=0.02)
    assert boiling_point_raoult(Base.PROPYLENE, half, p) - 273.15 == pytest.approx([106.25, 128.07], abs=0.02)


# (a) the generator-set manual's Table 24 (2007), boiling at atmospheric pressure; (b) school text, 50/50 at 15 psi:
# 262 degF; (c) a service manual (2000), 50/50 at 15 psi: 265 degF
BOILING_F = [
    (Base.ETHYLENE, 0.3, 0.0, 220.0),  # a
    (Base.ETHYLENE, 0.4, 0.0, 222.0),  # a
    (Base.ETHYLENE, 0.5, 0.0, 226.0),  # a
    (Base.ETHYLENE, 0.6, 0.0, 230.0),  # a
    (Base.PROPYLENE, 0.3, 0.0, 216.0),  # a
    (Base.PROPYLENE, 0.4, 0.0, 219.0),  # a
    (Base.ETHYLENE, 0.5, PSI_15, 262.0),  # b
    (Base.ETHYLENE, 0.5, PSI_15, 265.0),  # c
]


@pytest.mark.parametrize(("base", "phi", "gauge", "F"), BOILING_F)
def test_boiling_point_is_on_the_safe_side(base: Base, phi: float, gauge: float, F: float) -> None:
    """Never above a printed value by more than its rounding (0.5 degF), never below it by more than the uncertainty."""
    published = (F + 459.67) / 1.8
    safe = boiling_point(base, one(phi), one(ATMOSPHERE + gauge))[0]
    assert published - BOILING_UNCERTAINTY < safe < published + 0.3


def test_half_glycol_boils_above_the_standards_floor() -> None:
    """ASTM D3306, from memory: 50 % by volume boils at 108 (ethylene) and 104 degC (propylene) at least, at 1 atm."""
    p = one(ATMOSPHERE)
    assert boiling_point_raoult(Base.ETHYLENE, one(0.5), p)[0] - 273.15 == pytest.approx(108.0, abs=0.1)
    assert boiling_point(Base.PROPYLENE, one(0.5), p)[0] - 273.15 == pytest.approx(104.0, abs=0.1)


def test_water_boils_as_the_saturation_line_says() -> None:
    p = np.array([70e3, ATMOSPHERE, ATMOSPHERE + PSI_15])
    assert boiling_point(Base.WATER, np.zeros(3), p) == pytest.approx(saturation_temperature(p), rel=1e-12)
    assert boiling_point(Base.WATER, one(0.0), one(ATMOSPHERE + PSI_15))[0] - 273.15 == pytest.approx(120.95, abs=0.02)


# --- composition -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("base", "phi", "w"),
    [
        (Base.ETHYLENE, 0.25, 0.2710),
        (Base.ETHYLENE, 0.33, 0.3545),
        (Base.ETHYLENE, 0.50, 0.5272),
        (Base.ETHYLENE, 0.60, 0.6259),
        (Base.PROPYLENE, 0.25, 0.2571),
        (Base.PROPYLENE, 0.50, 0.5093),
    ],
)
def test_volume_to_mass(base: Base, phi: float, w: float) -> None:
    """By hand from densities at 20 degC: 1113.2, 1036.2, 998.2 kg/m3 (pure glycol 1.113 g/mL in an engine manual)."""
    assert mass_fraction(base, one(phi))[0] == pytest.approx(w, abs=6e-5)


# --- validity, members, errors ---------------------------------------------------------------------------------------


def test_validity_names_each_reason() -> None:
    T = np.array([80.0, 120.0, -20.0, 80.0, 150.0, 80.0]) + 273.15
    phi = np.array([0.5, 0.5, 0.2, 0.8, 0.5, 0.05])
    assert validity(T, phi, Base.ETHYLENE).tolist() == [
        Validity.FITTED,
        Validity.EXTENDED_HOT,
        Validity.BELOW_FREEZING,
        Validity.OUTSIDE_CONCENTRATION,
        Validity.EXTENDED_HOT | Validity.OUTSIDE_TEMPERATURE,
        Validity.JOINED,
    ]
    assert validity(celsius(120.0), one(0.0), Base.WATER).tolist() == [Validity.FITTED]
    assert validity(celsius(-5.0), one(0.0), Base.WATER).tolist() == [Validity.BELOW_FREEZING]


def test_neat_concentrate_is_answered_as_60_percent_and_flagged() -> None:
    neat, sixty = (CoolantMixture(Base.ETHYLENE, one(f)) for f in (1.0, 0.6))
    assert neat.state(celsius(80.0)).rho == sixty.state(celsius(80.0)).rho
    assert neat.validity(celsius(80.0))[0] & Validity.OUTSIDE_CONCENTRATION


def test_a_solvers_wild_guess_stays_physical() -> None:
    for base in Base:
        state = thermo(np.array([50.0, 1000.0]), np.array([0.5, 0.5]), base)
        for name in ("rho", "cp", "k", "mu"):
            assert np.all(getattr(state, name) > 0)


@pytest.mark.parametrize("base", list(Base))
def test_three_unlike_members_are_three_single_runs(base: Base) -> None:
    """One of them below freezing and past the range; one in the joined part."""
    T, phi, p = np.array([263.15, 363.15, 400.0]), np.array([0.04, 0.5, 0.95]), np.array([9e4, 2e5, 2.4e5])
    mix = CoolantMixture(base, phi)
    together = mix.state(T)
    for i in range(3):
        single = CoolantMixture(base, phi[i : i + 1])
        state = single.state(T[i : i + 1])
        for name in ("rho", "cp", "k", "mu", "Pr"):
            assert getattr(together, name)[i] == pytest.approx(getattr(state, name)[0], rel=1e-12), name
        assert mix.freezing_point[i] == pytest.approx(single.freezing_point[0], rel=1e-12)
        assert mix.boiling_point(p)[i] == pytest.approx(single.boiling_point(p[i : i + 1])[0], rel=1e-12)
        assert mix.validity(T)[i] == single.validity(T[i : i + 1])[0]


def test_cells_by_members() -> None:
    """Temperatures may have cells before the members; one mixture may serve many temperatures."""
    mix = CoolantMixture(Base.ETHYLENE, np.array([0.3, 0.5]))
    T = np.array([[280.0, 300.0], [340.0, 360.0], [380.0, 400.0]])
    grid = mix.state(T)
    assert grid.mu.shape == (3, 2)
    for row in range(3):
        assert grid.mu[row] == pytest.approx(mix.state(T[row]).mu, rel=1e-12)
    assert CoolantMixture(Base.ETHYLENE, one(0.5)).state(np.linspace(280, 400, 7)).rho.shape == (7,)
    assert mix.state(celsius(80.0)).rho.shape == (2,)
    assert mix.state(np.array(353.15)).rho == pytest.approx(mix.state(celsius(80.0)).rho, rel=1e-15)


def test_a_mixture_cannot_be_changed_behind_its_back() -> None:
    phi = np.array([0.3, 0.5])
    mix = CoolantMixture(Base.ETHYLENE, phi)
    phi[0] = 0.0
    assert mix.volume_fraction[0] == 0.3
    with pytest.raises(ValueError, match="read-only"):
        mix.freezing_point[0] = 0.0


@pytest.mark.parametrize("bad", [-0.1, 1.01, float("nan")])
def test_impossible_fraction_is_refused(bad: float) -> None:
    with pytest.raises(RangeError, match=r"volume fraction: .* was given; 0 to 1 would do"):
        CoolantMixture(Base.ETHYLENE, np.array([0.5, bad]))


@pytest.mark.parametrize("bad", [0.0, -5.0, float("nan"), 1e9])
def test_impossible_pressure_is_refused(bad: float) -> None:
    with pytest.raises(RangeError, match="absolute pressure"):
        boiling_point(Base.ETHYLENE, one(0.5), one(bad))
