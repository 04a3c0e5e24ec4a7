"""The coolers that stand in the air ahead of the radiator, as exchangers in a stack.

Each has its share x of the face, stands behind those before it or beside the one before it, and gives off, into its
share of the air,

    Q = least(asked, C [1 - exp(-w/C)] dT),  C = x C_air,  w = C_h [1 - exp(-UA/C_h)]

with dT what the stream that it cools enters hotter than the air that comes to it, C_h that stream's capacity rate.
It is the cross-flow of an unmixed stream through mixed air (Incropera & DeWitt, Fundamentals of Heat and Mass Transfer,
Table 11.3, both of its cases); a condenser's C_h is without bound, so that w is UA. The air mixes behind each of the
stack's rows. UA is that of the rated point at every flow.

- condenser: asked is its heat while the air conditioning is on. "By the weather" it is on in warm air only, the more
  the warmer.
- charge air: enters as hot as the boost makes it (``components.charge_air``), C_h goes with the engine's air. A stated
  heat is that at rated power, and is asked in proportion.
- oil: asked is a stated heat at rated power, that goes with the heat into the engine's metal.
- constant: the same in every duty.

Air that comes in warmer than outside (``airflow.intake_rise``) meets the first of them so.

What enters a condenser or an oil cooler is at most ``UPSTREAM_MOST`` hotter than the outside air: then it gives off
less than it is asked to.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import Any

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.case.sections import Sections
from engcalc.components.accessories import condenser_heat, conditioning_share, has_condenser
from engcalc.components.charge_air import CP, charge_air
from engcalc.components.engine import EngineHeat, Load, PreparedEngine
from engcalc.system.arithmetic import ARRAYS, Arithmetic
from engcalc.units import Array

RATED_AMBIENT = 298.15  # K; air at which a heat at rated power counts, SAE J1349 reference air, from memory
RATED_AIR = 9.6e3  # W/(m2 K); outside air of 8 m/s over its own face, with which an effectiveness counts; no source
# K; over the outside air, that a condenser or an oil cooler gets at most: a compressor that reaches its highest
# pressure stops, and oil is no hotter. Common practice, no source
UPSTREAM_MOST = 60.0
MOST_TAKEN = 0.995  # -; of what the charge air is hotter, that an effectiveness can stand for with ever more air
UNBOUNDED = 1e9  # W and W/K; stands for no bound, and may be averaged over rows
_LEAST = 1.0  # W
_TINY = 1e-9  # W/K


class CooledStream(Enum):
    """What a cooler ahead cools; the values are the words of the case file."""

    CONDENSER = "condenser"
    CHARGE_AIR = "charge air"
    OIL = "oil"
    CONSTANT = "constant"


@dataclass(frozen=True, eq=False)
class CoolerAhead:
    """One cooler as it is built; ``heat`` [W] and ``conductance`` [W/K] are None where they are not stated."""

    cools: CooledStream
    share: Array  # -, of the face
    beside: bool  # the one before it; else behind all before it
    heat: Array | None
    conductance: Array | None
    effectiveness: Array  # -, of charge air at rated power


@dataclass(frozen=True, eq=False)
class Upstream:
    """The coolers ahead of a case, from the front; ``face`` of the core [m2]."""

    coolers: tuple[CoolerAhead, ...]
    face: Array
    has_condenser: bool
    intake_rise: Array  # K, by which the air comes in warmer than outside

    @property
    def has_any(self) -> bool:
        """Whether any heat at all may come from them."""
        stated = any(bool(np.any(_stated(one) > 0.0)) for one in self.coolers)
        return self.by_load or self.comes_warm or stated

    @property
    def comes_warm(self) -> bool:
        """Whether the air is warmer than outside before it meets a cooler."""
        return bool(np.any(self.intake_rise > 0.0))

    @property
    def by_load(self) -> bool:
        """Whether what the engine does counts."""
        return any(
            one.cools is CooledStream.CHARGE_AIR or (one.cools is CooledStream.OIL and bool(np.any(_stated(one) > 0.0)))
            for one in self.coolers
        )


@dataclass(frozen=True, slots=True, eq=False)
class InStack:
    """A cooler in a duty, or its tables over the rows of a drive."""

    share: Any  # -, of the face
    beside: bool  # the one before it
    asked: Any  # W, that it gives off at most
    hot: Any  # K over the outside air, at which what it cools enters, or may enter at most
    reach: Any  # W/K, ``w`` above

    def at(self, row: int) -> InStack:
        """The cooler in one row of its tables."""
        return InStack(self.share, self.beside, self.asked[row], self.hot[row], self.reach[row])


Stack = tuple[InStack, ...]


def prepare_upstream(case: Sections, face: Array) -> Upstream:
    """The coolers ahead of a case whose core has a face [m2]."""
    coolers = [
        CoolerAhead(
            CooledStream(one.kind), one.face_share, one.placed == "beside", one.heat, one.conductance, one.effectiveness
        )
        for one in case.airflow.upstream
    ]
    stated = has_condenser(case)
    if not stated and np.any(condenser_heat(case) > 0.0):
        whole = np.ones(1)
        coolers.append(CoolerAhead(CooledStream.CONDENSER, whole, False, condenser_heat(case), None, whole))
    return Upstream(tuple(coolers), face, stated, case.airflow.intake_rise)


def _stated(cooler: CoolerAhead) -> Array:
    return np.zeros(1) if cooler.heat is None else cooler.heat


def air_conditioning(upstream: Upstream, asked: Array, ambient: Array) -> Array:
    """Share of its heat [-] at which the air conditioning runs; ``asked`` -1 off, 0 by the weather, else that share."""
    return conditioning_share(upstream.has_condenser, asked, ambient)


def stack_ahead(
    upstream: Upstream, engine: PreparedEngine, load: Load, heat: EngineHeat | None, conditions: Conditions
) -> Stack:
    """Every cooler ahead in each duty; ``heat`` is needed where load counts."""
    runs = air_conditioning(upstream, conditions.air_conditioning, conditions.ambient)
    share_of_rated = np.zeros(1)
    if heat is not None:
        share_of_rated = heat.heat_to_metal / np.maximum(engine.share_rated * engine.fuel_rated, _LEAST)
    parts = {CooledStream.CONDENSER: runs, CooledStream.OIL: share_of_rated, CooledStream.CONSTANT: np.ones(1)}
    stack = [_warm_bay(upstream.intake_rise)] if upstream.comes_warm else []
    for cooler in upstream.coolers:
        if cooler.cools is CooledStream.CHARGE_AIR:
            assert heat is not None  # ``by_load`` says that it is needed
            stack.append(_of_charge_air(cooler, upstream.face, engine, load, heat, conditions))
            continue
        reach = np.full(1, UNBOUNDED) if cooler.conductance is None else cooler.conductance
        asked = _stated(cooler) * parts[cooler.cools]
        stack.append(InStack(cooler.share, cooler.beside, asked, np.full(1, UPSTREAM_MOST), reach))
    return tuple(stack)


def _warm_bay(rise: Array) -> InStack:
    """Air that comes in warmer by a rise [K], as a first cooler over the whole face that knows no bound."""
    endless = np.full(1, UNBOUNDED)
    return InStack(np.ones(1), False, endless, rise, endless)


def _of_charge_air(
    cooler: CoolerAhead,
    face: Array,
    engine: PreparedEngine,
    load: Load,
    heat: EngineHeat,
    conditions: Conditions,
) -> InStack:
    """A charge-air cooler in each duty."""
    now = charge_air(engine, heat.fuel_power, load.engine_speed, conditions.ambient, conditions.altitude)
    rated = charge_air(engine, engine.fuel_rated, engine.rated_speed, np.full(1, RATED_AMBIENT), np.zeros(1))
    C_rated = rated.flow * CP
    C_now = np.maximum(now.flow * CP, _TINY)
    UA = cooler.conductance
    if UA is None:
        UA = conductance_of(cooler.effectiveness, C_rated, RATED_AIR * cooler.share * face)
    reach = C_now * -np.expm1(-UA / C_now)
    found = InStack(cooler.share, cooler.beside, np.full(1, UNBOUNDED), now.rise, reach)
    if cooler.heat is None:
        return found
    # a stated heat goes with what the charge air holds over the outside air; of an engine whose numbers give no boost
    # at rated power with the heat into the metal, and then nothing is known of its charge air
    held = now.flow * CP * now.rise
    at_rated = rated.flow * CP * rated.rise
    boosted = at_rated > _LEAST
    metal = heat.heat_to_metal / np.maximum(engine.share_rated * engine.fuel_rated, _LEAST)
    asked = cooler.heat * np.where(boosted, held / np.maximum(at_rated, _LEAST), metal)
    hot = np.where(boosted, now.rise, UPSTREAM_MOST)
    return replace(found, asked=asked, hot=hot, reach=np.full(1, UNBOUNDED))


def conductance_of(effectiveness: Array, C_hot: Array, C_air: Array) -> Array:
    """Conductance [W/K] with which a cooler takes a share [-] of what its hot stream is hotter than the air.

    Capacity rates [W/K] of the hot stream, unmixed, and of the air, mixed. What even ever more conductance could not
    take counts as ``MOST_TAKEN``.
    """
    of_air = np.minimum(effectiveness * C_hot / np.maximum(C_air, _TINY), MOST_TAKEN)
    taken = np.minimum(-np.log1p(-of_air) * C_air / np.maximum(C_hot, _TINY), MOST_TAKEN)
    return np.asarray(-C_hot * np.log1p(-taken))


def heats_of(stack: Stack, C_air: Any, f: Arithmetic = ARRAYS) -> list[tuple[Any, Any]]:
    """Heat [W] of each cooler, and by how much the air [K] that comes to it is warmer than outside.

    ``C_air`` [W/K] of all the air through the core.
    """
    before = rise = 0.0 * C_air
    found = []
    for cooler in stack:
        if not cooler.beside:
            before = rise
        C = cooler.share * C_air + _TINY
        able = C * -f.expm1(-cooler.reach / C) * f.most(cooler.hot - before, 0.0)
        heat = f.least(cooler.asked, able)
        rise = rise + heat / (C_air + _TINY)
        found.append((heat, before))
    return found


def warmed_by(stack: Stack, C_air: Any, f: Arithmetic = ARRAYS) -> Any:
    """By how much the coolers ahead warm all the air [K] at a capacity rate [W/K] >= 0."""
    total = 0.0 * C_air
    for heat, _ in heats_of(stack, C_air, f):
        total = total + heat
    return total / (C_air + _TINY)
