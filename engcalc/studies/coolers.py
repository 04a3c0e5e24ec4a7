"""What every cooler beside the radiator does in a duty: in the air ahead of it and in the coolant."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import Conditions
from engcalc.system.balance import Setting, prepare_setting
from engcalc.system.oil_coolers import CoolerPlace, InCoolant, OilCooler, passed
from engcalc.system.plant import Plant
from engcalc.system.state import OperatingPoint
from engcalc.system.upstream import UNBOUNDED, heats_of
from engcalc.units import Array

SHORT = 0.01  # -; of the heat asked, that may be missing before it is said
_TINY = 1e-9
_STANDS = 1e-6  # W/K; a stream below this counts as standing


class CoolerStream(StrEnum):
    """What takes a cooler's heat."""

    AIR = "air"
    COOLANT = "coolant"


@dataclass(frozen=True)
class CoolerInDuty:
    """One cooler in one duty.

    ``heat`` and ``asked`` [W]; the latter None where a cooler takes what there is. ``enters`` and ``leaves`` [K] are
    the air or the coolant that passes it, ``drop`` [Pa] what that loses on the way. ``oil_in`` and ``oil_out`` [K] are
    those of oil in the coolant, ``oil_most`` [K] what it may get to; None of other coolers.
    """

    path: str  # of the item in the case; empty for a condenser that nobody entered
    name: str
    kind: str  # the word of the case
    stream: CoolerStream
    heat: float
    asked: float | None
    enters: float
    leaves: float
    drop: float
    oil_in: float | None = None
    oil_out: float | None = None
    oil_most: float | None = None

    @property
    def short(self) -> float:
        """Heat [W] that is asked and that it does not pass; 0 where what is missing is not worth a word."""
        missing = 0.0 if self.asked is None else self.asked - self.heat
        if self.asked is not None and missing > SHORT * self.asked:
            return missing
        return 0.0


def coolers_in_duty(
    case: Case, plant: Plant, conditions: Conditions, point: OperatingPoint
) -> tuple[CoolerInDuty, ...]:
    """Every cooler of a case in one duty at its settled point; empty where nothing was solved."""
    there = plant.airway.upstream.coolers or plant.oil_coolers
    if not there or not bool(point.solved[0]):
        return ()
    setting = prepare_setting(plant, conditions)
    return (*_ahead(case, setting, point), *_in_coolant(case, setting, point))


def _ahead(case: Case, setting: Setting, point: OperatingPoint) -> list[CoolerInDuty]:
    upstream = setting.plant.airway.upstream
    C_air = point.core.C_air
    in_front = 1 if upstream.comes_warm else 0  # the air of the bay stands first in the stack
    heats = heats_of(setting.ahead, C_air)[in_front:]
    dynamic = 0.5 * setting.air.fluid.rho * point.air_velocity**2
    found = []
    for i, (cooler, in_stack, (heat, before)) in enumerate(
        zip(upstream.coolers, setting.ahead[in_front:], heats, strict=True)
    ):
        entered = i < len(case.airflow.upstream)
        item = case.airflow.upstream[i] if entered else None
        asked = _as_float(in_stack.asked)
        enters = _as_float(setting.conditions.ambient) + _as_float(before)
        C_own = _as_float(cooler.share) * _as_float(C_air)
        found.append(
            CoolerInDuty(
                path=f"airflow.upstream[{i}]" if entered else "",
                name=(item.name or "") if item is not None else "",
                kind=cooler.cools.value,
                stream=CoolerStream.AIR,
                heat=_as_float(heat),
                asked=None if asked >= UNBOUNDED else asked,
                enters=enters,
                leaves=enters + (_as_float(heat) / C_own if C_own > _STANDS else 0.0),
                drop=0.0 if item is None else _as_float(item.flow_resistance * item.face_share * dynamic),
            )
        )
    return found


def _in_coolant(case: Case, setting: Setting, point: OperatingPoint) -> list[CoolerInDuty]:
    streams = {
        CoolerPlace.ENGINE: (point.coolant_mass_flow, point.wax),
        CoolerPlace.HOT_TANK: (point.radiator_mass_flow, point.coolant_out),
        CoolerPlace.COLD_TANK: (point.radiator_mass_flow, point.core.T_coolant_out),
    }
    return [
        _oil_cooler(case, setting, point, built, cooler, *streams[cooler.place])
        for built, cooler in zip(setting.plant.oil_coolers, setting.oil, strict=True)
    ]


def _oil_cooler(
    case: Case, setting: Setting, point: OperatingPoint, built: OilCooler, cooler: InCoolant, flow: Array, T: Array
) -> CoolerInDuty:
    """One cooler of oil, in coolant of ``flow`` [kg/s] that comes at ``T`` [K]."""
    item = case.circuit.extra[built.item]
    C_flow = flow * point.core.flows.coolant.cp
    C = _as_float(cooler.share) * _as_float(C_flow)
    heat = _as_float(passed(cooler, C_flow, T))
    enters = _as_float(T)
    flows = C > _STANDS
    oil_in = _as_float(cooler.hottest)
    if flows:
        oil_in = enters + heat / (C * _reached(_as_float(cooler.reach) / C))
    circuit = setting.plant.circuit
    stated = circuit.total if cooler.place is CoolerPlace.ENGINE else circuit.stated[0]
    ratio = _as_float(flow / point.coolant_density) / max(_as_float(stated), _TINY)
    return CoolerInDuty(
        path=f"circuit.extra[{built.item}]",
        name=item.name or "",
        kind=cooler.place.value,
        stream=CoolerStream.COOLANT,
        heat=heat,
        asked=_as_float(cooler.asked),
        enters=enters,
        leaves=enters + (heat / C if flows else 0.0),
        drop=_as_float(item.coolant_drop) * ratio**2,
        oil_in=oil_in,
        oil_out=oil_in - heat / _as_float(built.C_oil),
        oil_most=_as_float(cooler.hottest),
    )


def _reached(NTU: float) -> float:
    """The share [-] of the heat that the coolant would take if it left as hot as the oil may be."""
    return float(-np.expm1(-NTU))


def _as_float(values: Array) -> float:
    return float(np.asarray(values).ravel()[0])
