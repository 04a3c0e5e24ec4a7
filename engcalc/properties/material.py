"""Metals: conductivity, density and specific heat near room temperature.

Alloys of a kind differ by some 10 % in conductivity; it changes by a few per cent up to 100 degC.
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


_BOOK = "Heat and Mass Transfer Data Book, property values of metals at 20 degC"
_HANDBOOK = "Mechanical Engineers' Handbook, vol. 4, Table 1, 300 K"

MATERIALS: dict[Material, MaterialData] = {
    Material.ALUMINIUM: MaterialData(193.0, 2730.0, 893.0, "alloy 3003, annealed; ASM Handbook vol. 2, from memory"),
    Material.CAST_ALUMINIUM: MaterialData(168.0, 2790.0, 883.0, f"alloy 195, cast; {_BOOK}"),
    Material.COPPER: MaterialData(401.0, 8933.0, 385.0, f"pure; {_HANDBOOK}"),
    Material.BRASS: MaterialData(110.7, 8522.0, 385.0, f"70 % copper; {_BOOK}"),
    Material.CAST_IRON: MaterialData(52.0, 7272.0, 420.0, f"under 4 % carbon; {_BOOK}"),
    Material.STEEL: MaterialData(63.9, 7832.0, 434.0, f"AISI 1010; {_BOOK}"),
}
