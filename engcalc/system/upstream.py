"""Heat of the coolers that stand in the air ahead of the radiator, by what each cools and what the duty asks.

- condenser: its heat while the air conditioning is on. "By the weather" it is on in warm air only, the more the warmer.
- charge air: from boost (``components.charge_air``); a stated heat is that at rated power and goes in proportion.
- oil: a stated heat is that at rated power and goes with the heat into the engine's metal.
- constant: the same in every duty.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.case.sections import Sections
from engcalc.components.accessories import condenser_heat, conditioning_share, has_condenser
from engcalc.components.charge_air import charge_air, cooler_heat
from engcalc.components.engine import EngineHeat, Load, PreparedEngine
from engcalc.units import Array

RATED_AMBIENT = 298.15  # K; air at which a heat at rated power counts, SAE J1349 reference air, from memory
_LEAST = 1.0  # W


class Cools(Enum):
    """What a cooler ahead cools; the values are the words of the case file."""

    CONDENSER = "condenser"
    CHARGE_AIR = "charge air"
    OIL = "oil"
    CONSTANT = "constant"


@dataclass(frozen=True, eq=False)
class Upstream:
    """The coolers ahead of a case, those of a kind together; heats in W."""

    condenser: Array
    oil: Array  # at rated power
    constant: Array
    charge: tuple[tuple[Array | None, Array], ...]  # stated heat at rated power or None, effectiveness
    has_condenser: bool

    @property
    def has_any(self) -> bool:
        """Whether any heat at all may come from them."""
        return self.by_load or bool(np.any(self.condenser + self.constant > 0.0))

    @property
    def by_load(self) -> bool:
        """Whether what the engine does counts."""
        return bool(self.charge) or bool(np.any(self.oil > 0.0))


def prepare_upstream(case: Sections) -> Upstream:
    """The coolers ahead of a case."""
    zero = np.zeros(1)
    sums, charge = dict.fromkeys(Cools, zero), []
    for cooler in case.airflow.upstream:
        kind = Cools(cooler.kind)
        if kind is Cools.CHARGE_AIR:
            charge.append((cooler.heat, cooler.effectiveness))
        elif cooler.heat is not None:
            sums[kind] = sums[kind] + cooler.heat
    return Upstream(condenser_heat(case), sums[Cools.OIL], sums[Cools.CONSTANT], tuple(charge), has_condenser(case))


def air_conditioning(upstream: Upstream, asked: Array, ambient: Array) -> Array:
    """Share of its heat [-] at which the air conditioning runs; ``asked`` -1 off, 0 by the weather, else that share."""
    return conditioning_share(upstream.has_condenser, asked, ambient)


def upstream_heat(
    upstream: Upstream, engine: PreparedEngine, load: Load, heat: EngineHeat | None, conditions: Conditions
) -> Array:
    """Heat [W] that the coolers ahead have to give off in each duty; ``heat`` is needed where load counts."""
    runs = air_conditioning(upstream, conditions.air_conditioning, conditions.ambient)
    steady = upstream.constant + upstream.condenser * runs
    if heat is None or not upstream.by_load:
        return np.asarray(steady)
    rated_metal = engine.share_rated * engine.fuel_rated
    share = heat.heat_to_metal / np.maximum(rated_metal, _LEAST)
    total = steady + upstream.oil * share
    if not upstream.charge:
        return np.asarray(total)
    now = charge_air(engine, heat.fuel_power, load.engine_speed, conditions.ambient, conditions.altitude)
    rated = charge_air(engine, engine.fuel_rated, engine.rated_speed, np.full(1, RATED_AMBIENT), np.zeros(1))
    for stated, effectiveness in upstream.charge:
        own = cooler_heat(now, effectiveness)
        if stated is not None:
            at_rated = cooler_heat(rated, effectiveness)
            # an engine whose numbers give no boost at rated power: the stated heat goes with that into the metal
            own = stated * np.where(at_rated > _LEAST, own / np.maximum(at_rated, _LEAST), share)
        total = total + own
    return np.asarray(total)
