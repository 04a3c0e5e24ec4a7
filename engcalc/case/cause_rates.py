"""The section of base rates: how often each cause is behind a visit like this one, where a workshop counts its own.

It has one input for each record of :mod:`engcalc.causes.catalogue`: the cause's key, and as its label what the cause is
called everywhere. What is not given here is common practice by the reason for the visit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import FRACTION, DetailLevel, Input
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.record import Cause
from engcalc.units import Array
from engcalc.words.texts import case_texts


def _rate(cause: Cause) -> Input:
    """Declare the base rate of one cause."""
    return Input(
        "",
        cause.label,
        "fraction",
        limits=FRACTION,
        level=DetailLevel.DETAIL,
        help=case_texts.HOW_OFTEN_IT_IS_BEHIND_SUCH_A_VISIT,
    )


@dataclass(frozen=True, eq=False)
class BaseRateInputs:
    """One weight for each cause; they need not sum to 100 %, as what a vehicle cannot have drops out."""

    __annotations__ = {cause.key: Annotated[Array | None, _rate(cause)] for cause in CAUSES.values()}


def own_rates(section: BaseRateInputs) -> dict[str, float]:
    """The weights [per cent] that a case gives in its section, by cause."""
    found = {key: getattr(section, key) for key in CAUSES}
    return {key: 100.0 * float(weight[0]) for key, weight in found.items() if weight is not None}
