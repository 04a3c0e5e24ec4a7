"""Fuels against published values."""

from itertools import pairwise

import pytest

from engcalc.properties.fuel import FUELS, Fuel, Ignition

BTU_PER_GALLON = 1055.056 / 3.785412e-3  # J/m3


def test_every_fuel_has_its_data() -> None:
    assert set(FUELS) == set(Fuel)
    for data in FUELS.values():
        assert data.source


@pytest.mark.parametrize(
    ("fuel", "MJ_per_kg", "ratio"),
    [
        (Fuel.PETROL, 43.4, 14.65),
        (Fuel.DIESEL, 42.8, 14.5),
        (Fuel.PETROL_E10, 41.7, 14.05),
        (Fuel.LPG, 46.4, 15.7),
        (Fuel.HYDROGEN, 120.0, 34.3),
    ],
)
def test_heating_value_and_air_need(fuel: Fuel, MJ_per_kg: float, ratio: float) -> None:
    """Heywood (1988), Table D.4, and common practice, from memory; fuels themselves vary by 1 %."""
    assert FUELS[fuel].lower_heating_value == pytest.approx(MJ_per_kg * 1e6, rel=0.01)
    assert FUELS[fuel].stoichiometric_ratio == pytest.approx(ratio, rel=0.01)


@pytest.mark.parametrize(
    ("fuel", "low", "high"),
    [(Fuel.PETROL_E10, 112_114, 116_090), (Fuel.DIESEL, 128_450, 128_488)],
)
def test_heat_per_gallon(fuel: Fuel, low: float, high: float) -> None:
    """Alternative Fuels Data Center, Properties of Fuels, lower heating values in Btu/gal (E10; low-sulphur diesel)."""
    heat = FUELS[fuel].lower_heating_value * FUELS[fuel].density / BTU_PER_GALLON
    assert low * 0.997 < heat < high * 1.003


def test_ethanol_lies_between_petrol_and_itself() -> None:
    """More ethanol: less heat, less air, and by nearly the same share, so heat per kg of air changes little."""
    chain = [FUELS[f] for f in (Fuel.PETROL, Fuel.PETROL_E10, Fuel.ETHANOL_E85)]
    for rich, lean in pairwise(chain):
        assert lean.lower_heating_value < rich.lower_heating_value
        assert lean.stoichiometric_ratio < rich.stoichiometric_ratio
    per_air = [f.lower_heating_value / f.stoichiometric_ratio for f in chain]
    assert max(per_air) / min(per_air) < 1.02


def test_only_diesel_ignites_by_compression() -> None:
    assert [f for f in Fuel if FUELS[f].ignition is Ignition.COMPRESSION] == [Fuel.DIESEL]
