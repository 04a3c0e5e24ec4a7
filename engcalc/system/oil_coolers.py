"""Coolers that give the heat of oil to the coolant: beside the engine, or in one of the radiator's tanks.

Each has oil of a steady flow and coolant of its share of the stream at its place, and passes

    Q = least(asked, C [1 - exp(-w/C)] dT),  C = share C_stream,  w = C_oil [1 - exp(-UA/C_oil)]

with dT the hottest that its oil may be, less the coolant that comes to it: cross-flow of unmixed oil through mixed
coolant (Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, Table 11.3, both of its cases). Oil gets as hot as
it takes to pass what is asked, never hotter than that: what is then missing stays in the oil.

- engine: coolant as warm as the thermostat feels it, of the engine's flow; its heat counts as the engine's.
- hot tank: coolant from the engine's outlet on its way into the core, which it enters the hotter.
- cold tank: coolant out of the core. The engine gets it back the warmer, the core has no part in it.

Oil counts as engine oil of 100 degC (``properties.oil``).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

import numpy as np

from engcalc.case.sections import Sections
from engcalc.case.sections.circuit import OIL_COOLER
from engcalc.components.engine import EngineHeat, PreparedEngine
from engcalc.properties.oil import oil_state
from engcalc.system.arithmetic import ARRAYS, Arithmetic
from engcalc.system.circuit import CoolantNetwork, reference_coolant
from engcalc.system.upstream import conductance_of
from engcalc.units import Array

OIL_T = 373.15  # K; at which the oil's density and specific heat count; common practice, no source
_TINY = 1e-9  # W/K
_LEAST_FLOW = 1e-9  # m3/s


class CoolerPlace(Enum):
    """Where a cooler sits in the coolant; the values are the words of the case file."""

    ENGINE = "engine"
    HOT_TANK = "hot tank"
    COLD_TANK = "cold tank"


@dataclass(frozen=True, eq=False)
class OilCooler:
    """One cooler as it is built."""

    item: int  # of ``circuit.extra``
    place: CoolerPlace
    always: Array  # W
    at_idle: Array  # W
    at_rated: Array  # W
    C_oil: Array  # W/K
    reach: Array  # W/K, ``w`` above
    share: Array  # -, of the stream at its place
    hottest: Array  # K


@dataclass(frozen=True, slots=True, eq=False)
class InCoolant:
    """A cooler in a duty, or its table over the rows of a drive."""

    place: CoolerPlace
    asked: Any  # W
    reach: Any  # W/K
    share: Any  # -
    hottest: Any  # K

    def at(self, row: int) -> InCoolant:
        """The cooler in one row of its table."""
        return InCoolant(self.place, self.asked[row], self.reach, self.share, self.hottest)


Coolers = tuple[InCoolant, ...]


def prepare_oil_coolers(case: Sections, circuit: CoolantNetwork) -> tuple[OilCooler, ...]:
    """The coolers of a case in its coolant."""
    oil = oil_state(np.full(1, OIL_T))
    found = []
    for i, item in enumerate(case.circuit.extra):
        if item.kind != OIL_COOLER:
            continue
        place = CoolerPlace(item.place)
        zero = np.zeros(1)
        C_oil = np.maximum(item.oil_flow * oil.rho * oil.cp, _TINY)
        UA = item.conductance
        if item.effectiveness is not None:
            UA = conductance_of(item.effectiveness, C_oil, item.stream_share * _stated_stream(circuit, place))
        stated = item.heat is None
        found.append(
            OilCooler(
                i,
                place,
                zero if item.heat is None else item.heat,
                item.at_idle if stated and item.at_idle is not None else zero,
                item.at_rated if stated and item.at_rated is not None else zero,
                C_oil,
                C_oil * -np.expm1(-UA / C_oil),
                item.stream_share,
                item.hottest,
            )
        )
    return tuple(found)


def _stated_stream(circuit: CoolantNetwork, place: CoolerPlace) -> Array:
    """Capacity rate [W/K] of the stream at a place where the stated flows come out."""
    fluid = reference_coolant()
    flow = np.maximum(circuit.total if place is CoolerPlace.ENGINE else circuit.stated[0], _LEAST_FLOW)
    return np.asarray(flow * fluid.rho * fluid.cp)


def coolers_in_coolant(coolers: tuple[OilCooler, ...], engine: PreparedEngine, heat: EngineHeat) -> Coolers:
    """Every cooler in each duty: its heat at rest and at rated power, by brake power between."""
    share = np.clip(heat.brake_power / engine.rated_power, 0.0, 1.0)
    return tuple(
        InCoolant(
            one.place,
            one.always + one.at_idle + (one.at_rated - one.at_idle) * share,
            one.reach,
            one.share,
            one.hottest,
        )
        for one in coolers
    )


def passed(cooler: InCoolant, C_stream: Any, T: Any, f: Arithmetic = ARRAYS) -> Any:
    """Heat [W] that a cooler gives to a stream [W/K] that comes to it at T [K]."""
    C = cooler.share * C_stream + _TINY
    able = C * -f.expm1(-cooler.reach / C) * f.most(cooler.hottest - T, 0.0)
    return f.least(cooler.asked, able)


def heat_at(coolers: Coolers, place: CoolerPlace, C_stream: Any, T: Any, f: Arithmetic = ARRAYS) -> Any:
    """Heat [W] of all coolers at a place; 0 where there is none."""
    return sum((passed(one, C_stream, T, f) for one in coolers if one.place is place), 0.0)
