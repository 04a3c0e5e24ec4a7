"""Metals against published values."""

import pytest

from engcalc.properties.material import MATERIALS, Material


def test_every_metal_has_its_data() -> None:
    assert set(MATERIALS) == set(Material)
    for data in MATERIALS.values():
        assert data.source


# Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, Table A.1, 300 K, from memory: k, rho, cp
INCROPERA = {
    Material.CAST_ALUMINIUM: (168.0, 2790.0, 883.0),
    Material.COPPER: (401.0, 8933.0, 385.0),
    Material.BRASS: (110.0, 8530.0, 380.0),
    Material.STEEL: (63.9, 7832.0, 434.0),
}


@pytest.mark.parametrize("material", list(INCROPERA))
def test_metal(material: Material) -> None:
    """2 %: the two books differ so far on brass."""
    data = MATERIALS[material]
    assert (data.k, data.rho, data.cp) == pytest.approx(INCROPERA[material], rel=0.02)


def test_heat_per_volume_is_alike() -> None:
    """Metals hold 2 to 4 MJ/(m3 K): Dulong and Petit's rule on like atomic volumes."""
    for data in MATERIALS.values():
        assert 2.0e6 < data.rho * data.cp < 4.0e6


def test_fins_conduct_better_than_castings() -> None:
    assert MATERIALS[Material.COPPER].k > MATERIALS[Material.ALUMINIUM].k > MATERIALS[Material.BRASS].k
    assert MATERIALS[Material.BRASS].k > MATERIALS[Material.STEEL].k > MATERIALS[Material.CAST_IRON].k
