"""Coolant above 100 degC, where CoolProp's glycols end and the extension is ours, against published values.

Glycols: ASHRAE Handbook, Fundamentals (2005, SI), chapter 21, tables of inhibited ethylene and propylene glycol by
volume, 105 to 125 degC, as reprinted in the data of the building simulation program EnergyPlus (FluidProperties.cc);
density also in lb/ft3 from the same chapter's I-P table, reprinted in the Viega design manual IM-PR 566442 (2014),
Table 5-16, page 113.
"""

import numpy as np
import pytest

from engcalc.properties.coolant import EXTENSION_DEVIATION, T_RANGE, Base, CoolantMixture, thermo

T_HOT = np.array([105.0, 110.0, 115.0, 120.0, 125.0]) + 273.15  # K

# {base: {volume fraction: (density kg/m3, specific heat J/(kg K), conductivity W/(m K), viscosity mPa s)}}
HOT = {
    "ethylene glycol": {
        0.1: (
            (968.73, 965.01, 961.17, 957.21, 953.12),
            (4120, 4129, 4138, 4147, 4155),
            (0.614, 0.614, 0.614, 0.613, 0.612),
            (0.33, 0.32, 0.30, 0.29, 0.28),
        ),
        0.3: (
            (995.81, 991.81, 987.68, 983.43, 979.07),
            (3886, 3901, 3915, 3929, 3943),
            (0.504, 0.505, 0.505, 0.504, 0.504),
            (0.46, 0.43, 0.41, 0.38, 0.36),
        ),
        0.5: (
            (1018.76, 1014.46, 1010.03, 1005.48, 1000.81),
            (3609, 3628, 3647, 3667, 3686),
            (0.416, 0.417, 0.417, 0.417, 0.417),
            (0.65, 0.60, 0.56, 0.53, 0.49),
        ),
        0.6: (
            (1028.99, 1024.52, 1019.94, 1015.23, 1010.40),
            (3454, 3476, 3498, 3520, 3542),
            (0.379, 0.380, 0.380, 0.380, 0.380),
            (0.71, 0.66, 0.61, 0.57, 0.53),
        ),
    },
    "propylene glycol": {
        0.1: (
            (961.99, 958.17, 954.24, 950.18, 945.99),
            (4211, 4219, 4227, 4235, 4243),
            (0.609, 0.609, 0.608, 0.608, 0.606),
            (0.33, 0.32, 0.30, 0.28, 0.27),
        ),
        0.3: (
            (972.03, 967.56, 962.97, 958.26, 953.41),
            (4082, 4095, 4109, 4123, 4137),
            (0.485, 0.485, 0.485, 0.484, 0.482),
            (0.50, 0.47, 0.45, 0.43, 0.41),
        ),
        0.5: (
            (978.16, 973.20, 968.11, 962.89, 957.55),
            (3860, 3879, 3898, 3918, 3937),
            (0.382, 0.381, 0.380, 0.379, 0.378),
            (0.74, 0.69, 0.64, 0.60, 0.57),
        ),
        0.6: (
            (979.90, 974.74, 969.45, 964.03, 958.49),
            (3714, 3736, 3758, 3780, 3802),
            (0.335, 0.335, 0.334, 0.333, 0.332),
            (0.85, 0.79, 0.74, 0.69, 0.65),
        ),
    },
}


@pytest.mark.parametrize("base", sorted(HOT))
@pytest.mark.parametrize("phi", [0.1, 0.3, 0.5, 0.6])
def test_hot_glycol_agrees_with_the_ashrae_tables(base: str, phi: float) -> None:
    """Within the stated deviation and half of the table's last digit (k 0.0005 W/(m K), mu 0.005 mPa s)."""
    state = thermo(T_HOT, np.full(5, phi), Base(base))
    rho, cp, k, mu = (np.array(row, dtype=float) for row in HOT[base][phi])
    assert np.all(np.abs(state.rho / rho - 1) < 2e-4)  # printed to 0.01 kg/m3; the smooth curves differ by 0.01 %
    assert np.all(np.abs(state.cp / cp - 1) < 5e-4)  # printed to 1 J/(kg K)
    assert np.all(np.abs(state.k - k) < EXTENSION_DEVIATION["k"] * k)
    assert np.all(np.abs(state.mu * 1e3 - mu) < EXTENSION_DEVIATION["mu"] * mu)


def test_stated_deviation_is_not_larger_than_needed() -> None:
    """The worst viscosity comes close to what is stated, so the number is measured, not padded."""
    worst = max(
        float(np.max(np.abs(thermo(T_HOT, np.full(5, phi), Base(base)).mu * 1e3 / np.array(rows[3]) - 1)))
        for base, table in HOT.items()
        for phi, rows in table.items()
    )
    assert 0.06 < worst < EXTENSION_DEVIATION["mu"]


@pytest.mark.parametrize(
    ("F", "published"),
    [
        (220.0, (60.57, 61.45, 62.27, 63.01, 63.70, 64.34)),
        (240.0, (60.05, 60.90, 61.70, 62.43, 63.10, 63.71)),
        (250.0, (59.77, 60.62, 61.40, 62.12, 62.78, 63.39)),
    ],
)
def test_hot_ethylene_density_in_pounds(F: float, published: tuple[float, ...]) -> None:
    """The I-P table lies 0.11 % above the SI table of the same chapter throughout, hence 0.15 %."""
    phi = np.arange(1, 7) / 10
    rho = thermo(np.full(6, (F + 459.67) / 1.8), phi, Base.ETHYLENE).rho / 16.018463  # kg/m3 per lb/ft3
    assert rho == pytest.approx(published, rel=1.5e-3)


# Saturated liquid water: rho [kg/m3], cp [J/(kg K)], k [W/(m K)], mu [Pa s]; IAPWS-95, IAPWS R12-08 and R15-11
WATER_HOT = {
    110.0: (950.948, 4228.33, 0.680347, 2.54611e-4),
    120.0: (943.107, 4243.51, 0.682242, 2.32034e-4),
    140.0: (926.134, 4282.58, 0.682526, 1.96643e-4),
}


@pytest.mark.parametrize("celsius", sorted(WATER_HOT))
def test_hot_water(celsius: float) -> None:
    state = thermo(np.array([celsius + 273.15]), np.zeros(1), Base.WATER)
    rho, cp, k, mu = WATER_HOT[celsius]
    assert state.rho[0] == pytest.approx(rho, rel=5e-4)
    assert state.cp[0] == pytest.approx(cp, rel=1e-3)
    assert state.k[0] == pytest.approx(k, rel=1e-3)
    assert state.mu[0] == pytest.approx(mu, rel=3e-3)


def test_hot_water_against_a_printed_table() -> None:
    """Incropera, Table A.6, 400 K, from memory: 1/v = 937.2, cp 4256, k 0.688, mu 217e-6 (three digits)."""
    state = thermo(np.array([400.0]), np.zeros(1), Base.WATER)
    assert state.rho[0] == pytest.approx(937.2, rel=1e-3)
    assert state.cp[0] == pytest.approx(4256.0, rel=2e-3)
    assert state.k[0] == pytest.approx(0.688, rel=1e-2)  # an older conductivity formulation, 0.8 % above IAPWS R15-11
    assert state.mu[0] == pytest.approx(217e-6, rel=1e-2)


@pytest.mark.parametrize("base", [Base.ETHYLENE, Base.PROPYLENE])
def test_no_step_at_the_joint(base: Base) -> None:
    """The two sides of 100 degC meet: 1 mK apart the properties differ by what their slopes give."""
    mix = CoolantMixture(base, np.linspace(0.0, 0.6, 13))
    below, above = mix.state(np.full(13, 373.1495)), mix.state(np.full(13, 373.1505))
    for name in ("rho", "cp", "k", "mu"):
        assert np.all(np.abs(getattr(above, name) / getattr(below, name) - 1) < 3e-5), name


@pytest.mark.parametrize("base", [Base.ETHYLENE, Base.PROPYLENE])
def test_hot_end_stays_between_water_and_the_quadratics(base: Base) -> None:
    """At 140 degC, where no table was found, the continued cubic agrees with the quadratic through 0 to 100 degC."""
    phi = np.array([0.1, 0.25, 0.4, 0.5, 0.6])
    mix, T = CoolantMixture(base, phi), np.linspace(273.15, 373.15, 41)
    low = mix.state(np.repeat(T[:, None], phi.size, axis=1))
    hot = mix.state(np.full(phi.size, T_RANGE[1]))
    for name in ("rho", "cp", "k"):
        quadratic = np.array([np.polyval(np.polyfit(T, column, 2), T_RANGE[1]) for column in getattr(low, name).T])
        assert getattr(hot, name) == pytest.approx(quadratic, rel=EXTENSION_DEVIATION["k"]), name
