"""How often each cause is behind a visit, before anything was measured: by the reason for the visit.

Weights, not probabilities: what a vehicle cannot have drops out and the rest is scaled to sum to 1. Basis: common
practice, no source. A workshop that counts its own cases puts its counts in their place (section ``base_rates`` of the
case, or ``base_rates`` of :func:`engcalc.diagnosis.diagnosis.diagnose`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.causes.causes import Fault
from engcalc.errors import Fault as InputFault
from engcalc.errors import InputError

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
    rates: Mapping[Fault, float]
    basis: str
    repaired: bool = False


_RARE = dict.fromkeys(Fault, 0.2)
"""Per cent, for what a reason does not name."""

_COLD = {
    Fault.HEALTHY: 12, Fault.STUCK_OPEN: 26, Fault.MISSING: 1.5, Fault.OPENS_EARLY: 5, Fault.SLOW: 0.5,
    Fault.LOW_COOLANT: 10, Fault.LEAK: 2, Fault.HEATER_CORE: 10, Fault.HEATER_VALVE: 4, Fault.HEATER_BLEND: 9,
    Fault.HEATER_AIR: 3, Fault.HEATER_HOSES: 0.5, Fault.PUMP_WEAK: 3, Fault.PUMP_NOT_COMMANDED: 4,
    Fault.FAN_ON: 1.5, Fault.SENSOR_LOW: 2, Fault.SENSOR_ERRATIC: 0.5, Fault.SENSOR_AIR: 1, Fault.GAS: 1,
    Fault.NOT_IN_LIST: 4}

PER_CENT: Mapping[str, Mapping[Fault, float]] = {
    "screening": {
        **dict.fromkeys(Fault, 0.1), Fault.HEALTHY: 92, Fault.STUCK_OPEN: 0.8, Fault.OPENS_EARLY: 0.5,
        Fault.LOW_COOLANT: 0.6, Fault.LEAK: 0.6, Fault.CAP: 0.6, Fault.MIXTURE: 0.8, Fault.HEATER_CORE: 0.4,
        Fault.RADIATOR: 0.4, Fault.FACE: 0.4, Fault.FAN_OFF: 0.4, Fault.SENSOR_LOW: 0.2, Fault.NOT_IN_LIST: 0.5},
    "no heat": {**_RARE, **_COLD},
    "slow warm-up": {
        **_RARE, **_COLD, Fault.HEALTHY: 18, Fault.STUCK_OPEN: 34, Fault.OPENS_EARLY: 8, Fault.LOW_COOLANT: 5,
        Fault.HEATER_CORE: 2, Fault.HEATER_VALVE: 1, Fault.HEATER_BLEND: 1.5, Fault.HEATER_AIR: 1, Fault.FAN_ON: 3,
        Fault.SENSOR_LOW: 5, Fault.SHUTTER: 0.3},
    "hot at idle": {
        **_RARE, Fault.HEALTHY: 8, Fault.FAN_OFF: 28, Fault.CLUTCH: 28, Fault.LOW_COOLANT: 14, Fault.LEAK: 4,
        Fault.FACE: 6, Fault.RADIATOR: 9, Fault.PUMP_WEAK: 5, Fault.PUMP_NOT_COMMANDED: 8, Fault.STUCK_SHUT: 5,
        Fault.CAP: 4, Fault.GAS: 5, Fault.SENSOR_HIGH: 4, Fault.FAN_REVERSED: 1, Fault.SEALS: 2, Fault.MIXTURE: 1,
        Fault.EXCESS_HEAT: 1, Fault.NOT_IN_LIST: 4},
    "hot at speed": {
        **_RARE, Fault.HEALTHY: 8, Fault.RADIATOR: 24, Fault.FACE: 9, Fault.LOW_COOLANT: 13, Fault.LEAK: 4,
        Fault.STUCK_SHUT: 9, Fault.PUMP_WEAK: 8, Fault.PUMP_NOT_COMMANDED: 8, Fault.SUCTION_HOSE: 3, Fault.GAS: 8,
        Fault.CAP: 4, Fault.FAN_OFF: 3, Fault.CLUTCH: 4, Fault.SENSOR_HIGH: 3, Fault.SEALS: 2, Fault.SHUTTER: 2,
        Fault.EXCESS_HEAT: 3, Fault.MIXTURE: 1, Fault.NOT_IN_LIST: 4},
    "loss of coolant": {
        **_RARE, Fault.HEALTHY: 8, Fault.LEAK: 48, Fault.LOW_COOLANT: 10, Fault.CAP: 12, Fault.GAS: 12,
        Fault.FAN_OFF: 2, Fault.CLUTCH: 2, Fault.NOT_IN_LIST: 4}}
"""By reason for the visit, in per cent before scaling. Common practice, no source."""


def own_rates(case: Case) -> dict[str, float]:
    """The weights [per cent] that the case gives, by cause."""
    found = {fault.value: getattr(case.base_rates, fault.value) for fault in Fault}
    return {key: 100.0 * float(weight[0]) for key, weight in found.items() if weight is not None}


def base_rates(reason: str | None, causes: Iterable[Fault], own: Mapping[str, float] | None = None,
               repaired: bool = False) -> BaseRates:
    """The rates of the causes that this vehicle can have.

    ``own`` takes the place of the weights [per cent] of the keys that it names. ``repaired`` is a vehicle that came for
    the reason and was repaired: the faults keep their proportions, but ``REPAIRED`` have none any more. InputError for
    an unknown key, a negative weight, or when nothing is left.
    """
    known = reason if reason is not None and reason in PER_CENT else NO_REASON
    weights = {Fault(key): float(value) for key, value in PER_CENT[known].items()}
    if own:
        _check(own)
        weights.update({Fault(key): float(value) for key, value in own.items()})
    kept = {fault: weights[fault] for fault in causes}
    faults = sum(weight for fault, weight in kept.items() if fault is not Fault.HEALTHY)
    if repaired and faults > 0.0 and Fault.HEALTHY in kept:
        kept[Fault.HEALTHY] = REPAIRED / (1.0 - REPAIRED) * faults
    total = sum(kept.values())
    if total <= 0.0:
        raise InputError((InputFault("base_rates", "", "at least one cause with a weight above 0 would do"),))
    return BaseRates(known, {fault: w / total for fault, w in kept.items()}, _basis(own), repaired)


def _basis(own: Mapping[str, float] | None) -> str:
    return f"{len(own)} of them as entered, else {BASIS}" if own else BASIS


def _check(own: Mapping[str, float]) -> None:
    faults = [InputFault(f"base_rates.{key}", str(value), f"a key of the list of causes would do: {', '.join(Fault)}")
              for key, value in own.items() if key not in set(Fault)]
    faults += [InputFault(f"base_rates.{key}", str(value), "a weight of 0 or more would do")
               for key, value in own.items() if not 0.0 <= value < float("inf")]
    if faults:
        raise InputError(tuple(faults))
