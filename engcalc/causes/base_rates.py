"""How often each cause is behind a visit, before anything was measured: by the reason for the visit.

Weights, not probabilities: what a vehicle cannot have drops out and the rest is scaled to sum to 1. They stand in the
record of each cause. Basis: common practice, no source. What was found in print counts towed or inspected vehicles, not
causes by the reason for a visit: of 6,466 repairs of towed ones 216 were radiators and 168 hoses (Automobile Club of
Southern California, Automotive Research Center, 2008 to 2010); of inspected ones 8 % had hoses about to fail (AAA Car
Care Month, 2002). Breakdown statistics of motoring clubs count cooling and heating as one group, and no part of it by
itself: 3.5 % of breakdowns with air conditioning (ADAC 2016, as Wikipedia has it), 11 % of tows (AAA 2017), 14,000
overheated of 650,000 in a summer (AA, August 2011). Shares that repair blogs give without a document (radiator 28 %,
pump 19 %, thermostat 15 %) were left aside. Looked for until 2026-11-30; no rate here was taken from any.

A workshop that counts its own cases puts its counts in their place (section ``base_rates`` of the case, or
``base_rates`` of :func:`engcalc.diagnosis.odds.diagnosis.diagnose`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.record import RARE
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import case_texts

NO_REASON = "screening"
REPAIRED = 0.7  # -; of vehicles after a repair, those with nothing left to find; common practice, no source
PAIR_FACTOR = 1.5  # -; by which a second fault is likelier beside a first one than alone: age, neglect; common practice


@dataclass(frozen=True)
class BaseRates:
    """Probabilities of the causes before any reading, by key, summing to 1; the reason that they are for; their basis.

    ``repaired``: they are for a record made after the repair.
    """

    reason: str
    rates: Mapping[str, float]
    basis: str
    repaired: bool = False


PER_CENT: Mapping[str, Mapping[str, float]] = {
    reason: {cause.key: cause.rate(reason) for cause in CAUSES.values()} for reason in RARE
}
"""Of every cause by the reason for the visit, in per cent before scaling. Common practice, no source."""


@dataclass(frozen=True)
class OtherRates:
    """Weights [per cent] of every cause in place of the shipped ones, and what they rest on, in words."""

    per_cent: Mapping[str, float]
    basis: str


def known_reason(reason: str | None) -> str:
    """The reason whose rates count: the one that was given, or the one that counts where none was."""
    return reason if reason is not None and reason in PER_CENT else NO_REASON


def base_rates(
    reason: str | None,
    causes: Iterable[str],
    own: Mapping[str, float] | None = None,
    repaired: bool = False,
    instead: OtherRates | None = None,
) -> BaseRates:
    """The rates of the causes that this vehicle can have.

    ``instead`` takes the place of all shipped weights. ``own`` takes the place of the weights [per cent] of the keys
    that it names. ``repaired`` is a vehicle that came for the reason and was repaired: the faults keep their
    proportions, but ``REPAIRED`` have none any more. InputError for an unknown key, a negative weight, or when nothing
    is left.
    """
    known = known_reason(reason)
    weights = dict(PER_CENT[known] if instead is None else instead.per_cent)
    if own:
        _check(own)
        weights.update({key: float(value) for key, value in own.items()})
    kept = {key: weights[key] for key in causes}
    faults = sum(weight for key, weight in kept.items() if key != HEALTHY.key)
    if repaired and faults > 0.0 and HEALTHY.key in kept:
        kept[HEALTHY.key] = REPAIRED / (1.0 - REPAIRED) * faults
    total = sum(kept.values())
    if total <= 0.0:
        raise InputError((InputFault("base_rates", "", case_texts.AT_LEAST_ONE_CAUSE_WITH_A_WEIGHT),))
    return BaseRates(known, {key: weight / total for key, weight in kept.items()}, _basis(own, instead), repaired)


def _basis(own: Mapping[str, float] | None, instead: OtherRates | None) -> str:
    rest = case_texts.COMMON_PRACTICE_NO_SOURCE if instead is None else instead.basis
    return case_texts.OF_THEM_AS_ENTERED.format(own_count=len(own), rest=rest) if own else rest


def _check(own: Mapping[str, float]) -> None:
    faults = [
        InputFault(
            f"base_rates.{key}",
            str(value),
            case_texts.KEY_OF_THE_LIST_OF_CAUSES_WOULD_DO.format(causes=", ".join(CAUSES)),
        )
        for key, value in own.items()
        if key not in CAUSES
    ]
    faults += [
        InputFault(f"base_rates.{key}", str(value), case_texts.WEIGHT_OF_0_OR_MORE_WOULD_DO)
        for key, value in own.items()
        if not 0.0 <= value < float("inf")
    ]
    if faults:
        raise InputError(tuple(faults))
