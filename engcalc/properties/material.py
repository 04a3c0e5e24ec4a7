"""Metals: conductivity, density and specific heat near room temperature.

Source, where a line says Incropera: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer (6th ed. 2007),
Table A.1, values at 300 K. Alloys of a kind differ by some 10 % in conductivity; it changes by a few per cent to
100 degC.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Material(StrEnum):
    """What a part is made of; the values are the words of the case file."""

    ALUMINIUM = "aluminium"
    CAST_ALUMINIUM = "cast aluminium"
    COPPER = "copper"
    BRASS = "brass"
    CAST_IRON = "cast iron"
    STEEL = "steel"


@dataclass(frozen=True)
class MaterialData:
    """k [W/(m K)], rho [kg/m3], cp [J/(kg K)]."""

    k: float
    rho: float
    cp: float
    source: str


MATERIALS: dict[Material, MaterialData] = {
    Material.ALUMINIUM: MaterialData(
        193.0, 2730.0, 893.0, "alloy 3003, annealed, as fins are; ASM Handbook vol. 2, from memory"
    ),
    Material.CAST_ALUMINIUM: MaterialData(168.0, 2790.0, 883.0, "alloy 195, cast; Incropera Table A.1"),
    Material.COPPER: MaterialData(401.0, 8933.0, 385.0, "pure; Incropera Table A.1, from memory"),
    Material.BRASS: MaterialData(
        110.0, 8530.0, 380.0, "cartridge brass, 70 % copper; Incropera Table A.1, from memory"
    ),
    Material.CAST_IRON: MaterialData(50.0, 7200.0, 490.0, "grey iron; common practice, from memory"),
    Material.STEEL: MaterialData(63.9, 7832.0, 434.0, "plain carbon, AISI 1010; Incropera Table A.1, from memory"),
}
