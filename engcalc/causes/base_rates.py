"""How often each cause is behind a visit, before anything was measured: by the reason for the visit.

Weights, not probabilities: what a vehicle cannot have drops out and the rest is scaled to sum to 1. Basis: common
practice, no source. A workshop that counts its own cases puts its counts in their place (section ``base_rates`` of the
case, or ``base_rates`` of :func:`engcalc.diagnosis.diagnosis.diagnose`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.causes.causes import CauseKey
from engcalc.errors import InputError, InputFault

BASIS = "common practice, no source"
NO_REASON = "screening"
REPAIRED = 0.7  # -; of vehicles after a repair, those with nothing left to find; common practice, no source
PAIR_FACTOR = 1.5  # -; by which a second fault is likelier beside a first one than alone: age, neglect; common practice


@dataclass(frozen=True)
class BaseRates:
    """Probabilities before any reading, summing to 1, the reason they are for, and where they come from.

    ``repaired``: they are for a record made after the repair.
    """

    reason: str
    rates: Mapping[CauseKey, float]
    basis: str
    repaired: bool = False


_RARE = dict.fromkeys(CauseKey, 0.2)
"""Per cent, for what a reason does not name."""

_COLD = {
    CauseKey.HEALTHY: 12,
    CauseKey.STUCK_OPEN: 26,
    CauseKey.MISSING: 1.5,
    CauseKey.OPENS_EARLY: 5,
    CauseKey.SLOW: 0.5,
    CauseKey.LOW_COOLANT: 10,
    CauseKey.LEAK: 2,
    CauseKey.HEATER_CORE: 10,
    CauseKey.HEATER_VALVE: 4,
    CauseKey.HEATER_BLEND: 9,
    CauseKey.HEATER_AIR: 3,
    CauseKey.HEATER_HOSES: 0.5,
    CauseKey.PUMP_WEAK: 3,
    CauseKey.PUMP_NOT_COMMANDED: 4,
    CauseKey.FAN_ON: 1.5,
    CauseKey.SENSOR_LOW: 2,
    CauseKey.SENSOR_ERRATIC: 0.5,
    CauseKey.SENSOR_AIR: 1,
    CauseKey.GAS: 1,
    CauseKey.NOT_IN_LIST: 4,
}

PER_CENT: Mapping[str, Mapping[CauseKey, float]] = {
    "screening": {
        **dict.fromkeys(CauseKey, 0.1),
        CauseKey.HEALTHY: 92,
        CauseKey.STUCK_OPEN: 0.8,
        CauseKey.OPENS_EARLY: 0.5,
        CauseKey.LOW_COOLANT: 0.6,
        CauseKey.LEAK: 0.6,
        CauseKey.CAP: 0.6,
        CauseKey.MIXTURE: 0.8,
        CauseKey.HEATER_CORE: 0.4,
        CauseKey.RADIATOR: 0.4,
        CauseKey.FACE: 0.4,
        CauseKey.FAN_OFF: 0.4,
        CauseKey.SENSOR_LOW: 0.2,
        CauseKey.NOT_IN_LIST: 0.5,
    },
    "no heat": {**_RARE, **_COLD},
    "slow warm-up": {
        **_RARE,
        **_COLD,
        CauseKey.HEALTHY: 18,
        CauseKey.STUCK_OPEN: 34,
        CauseKey.OPENS_EARLY: 8,
        CauseKey.LOW_COOLANT: 5,
        CauseKey.HEATER_CORE: 2,
        CauseKey.HEATER_VALVE: 1,
        CauseKey.HEATER_BLEND: 1.5,
        CauseKey.HEATER_AIR: 1,
        CauseKey.FAN_ON: 3,
        CauseKey.SENSOR_LOW: 5,
        CauseKey.SHUTTER: 0.3,
    },
    "hot at idle": {
        **_RARE,
        CauseKey.HEALTHY: 8,
        CauseKey.FAN_OFF: 28,
        CauseKey.CLUTCH: 28,
        CauseKey.LOW_COOLANT: 14,
        CauseKey.LEAK: 4,
        CauseKey.FACE: 6,
        CauseKey.RADIATOR: 9,
        CauseKey.PUMP_WEAK: 5,
        CauseKey.PUMP_NOT_COMMANDED: 8,
        CauseKey.STUCK_SHUT: 5,
        CauseKey.CAP: 4,
        CauseKey.GAS: 5,
        CauseKey.SENSOR_HIGH: 4,
        CauseKey.FAN_REVERSED: 1,
        CauseKey.SEALS: 2,
        CauseKey.MIXTURE: 1,
        CauseKey.EXCESS_HEAT: 1,
        CauseKey.NOT_IN_LIST: 4,
    },
    "hot at speed": {
        **_RARE,
        CauseKey.HEALTHY: 8,
        CauseKey.RADIATOR: 24,
        CauseKey.FACE: 9,
        CauseKey.LOW_COOLANT: 13,
        CauseKey.LEAK: 4,
        CauseKey.STUCK_SHUT: 9,
        CauseKey.PUMP_WEAK: 8,
        CauseKey.PUMP_NOT_COMMANDED: 8,
        CauseKey.SUCTION_HOSE: 3,
        CauseKey.GAS: 8,
        CauseKey.CAP: 4,
        CauseKey.FAN_OFF: 3,
        CauseKey.CLUTCH: 4,
        CauseKey.SENSOR_HIGH: 3,
        CauseKey.SEALS: 2,
        CauseKey.SHUTTER: 2,
        CauseKey.EXCESS_HEAT: 3,
        CauseKey.MIXTURE: 1,
        CauseKey.NOT_IN_LIST: 4,
    },
    "loss of coolant": {
        **_RARE,
        CauseKey.HEALTHY: 8,
        CauseKey.LEAK: 48,
        CauseKey.LOW_COOLANT: 10,
        CauseKey.CAP: 12,
        CauseKey.GAS: 12,
        CauseKey.FAN_OFF: 2,
        CauseKey.CLUTCH: 2,
        CauseKey.NOT_IN_LIST: 4,
    },
}
"""By reason for the visit, in per cent before scaling. Common practice, no source."""


def own_rates(case: Case) -> dict[str, float]:
    """The weights [per cent] that the case gives, by cause."""
    found = {fault.value: getattr(case.base_rates, fault.value) for fault in CauseKey}
    return {key: 100.0 * float(weight[0]) for key, weight in found.items() if weight is not None}


def base_rates(
    reason: str | None, causes: Iterable[CauseKey], own: Mapping[str, float] | None = None, repaired: bool = False
) -> BaseRates:
    """The rates of the causes that this vehicle can have.

    ``own`` takes the place of the weights [per cent] of the keys that it names. ``repaired`` is a vehicle that came for
    the reason and was repaired: the faults keep their proportions, but ``REPAIRED`` have none any more. InputError for
    an unknown key, a negative weight, or when nothing is left.
    """
    known = reason if reason is not None and reason in PER_CENT else NO_REASON
    weights = {CauseKey(key): float(value) for key, value in PER_CENT[known].items()}
    if own:
        _check(own)
        weights.update({CauseKey(key): float(value) for key, value in own.items()})
    kept = {fault: weights[fault] for fault in causes}
    faults = sum(weight for fault, weight in kept.items() if fault is not CauseKey.HEALTHY)
    if repaired and faults > 0.0 and CauseKey.HEALTHY in kept:
        kept[CauseKey.HEALTHY] = REPAIRED / (1.0 - REPAIRED) * faults
    total = sum(kept.values())
    if total <= 0.0:
        raise InputError((InputFault("base_rates", "", "at least one cause with a weight above 0 would do"),))
    return BaseRates(known, {fault: w / total for fault, w in kept.items()}, _basis(own), repaired)


def _basis(own: Mapping[str, float] | None) -> str:
    return f"{len(own)} of them as entered, else {BASIS}" if own else BASIS


def _check(own: Mapping[str, float]) -> None:
    faults = [
        InputFault(f"base_rates.{key}", str(value), f"a key of the list of causes would do: {', '.join(CauseKey)}")
        for key, value in own.items()
        if key not in set(CauseKey)
    ]
    faults += [
        InputFault(f"base_rates.{key}", str(value), "a weight of 0 or more would do")
        for key, value in own.items()
        if not 0.0 <= value < float("inf")
    ]
    if faults:
        raise InputError(tuple(faults))
