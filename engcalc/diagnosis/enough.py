"""Whether a reading has seen enough: what is settled, and what is still open.

Settled are causes together that the record itself cannot tell apart (a valve that stands open, and none at all): which
of them it is, a look decides. A warm-up that is healthy in temperature is settled as that, though a leak leaves no
trace in it. What was looked at and found is settled whatever the odds say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.diagnosis.checks.found_causes import surely_at_fault
from engcalc.diagnosis.conclusion import Conclusion
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.diagnosis.odds.as_it_grows import GrownCause
from engcalc.diagnosis.odds.diagnosis import ALIKE, LOWEST_EFFECTIVE, CauseOdds
from engcalc.diagnosis.odds.sampler import LIKELY

SETTLED = 0.90  # odds from which it is settled; common practice, no source
STILL_OPEN = 0.05  # odds from which a cause is named as open
_UNDECIDED = (VehicleState.CANNOT_TELL, VehicleState.NOTHING_TO_JUDGE)

Causes = Sequence[GrownCause] | Sequence[CauseOdds]


@dataclass(frozen=True)
class SettledCauses:
    """``settled`` are the causes of which it is one, none while nothing is settled; ``open`` those that are not ruled
    out yet, two at least: one alone would be settled. Both the likeliest first. ``seen``: what is settled was looked at
    and found."""

    settled: tuple[str, ...]
    open: tuple[str, ...]
    seen: bool = False


@dataclass(frozen=True)
class OddsPassed:
    """Causes of which it is one, by odds of ``SETTLED`` or more that stay there: ``at`` [s] it was first so."""

    causes: tuple[str, ...]
    at: float


def odds_passed(before: OddsPassed | None, causes: Causes, at: float) -> OddsPassed | None:
    """Whether the odds of now are past ``SETTLED``, and since when: as ``before``, where that was of the same causes.

    None where they are not, or not any more. ``causes`` in falling order.
    """
    together = told_as_one(causes)
    if sum(c.probability for c in together) < SETTLED:
        return None
    keys = tuple(c.fault for c in together if c.probability >= STILL_OPEN)
    goes_on = before is not None and not set(keys).isdisjoint(before.causes)
    return OddsPassed(keys, before.at if before is not None and goes_on else at)


def enough(causes: Causes, conclusion: Conclusion, seen: Mapping[str, bool] | None = None) -> SettledCauses:
    """What is settled; ``causes`` in falling order, ``seen`` the facts that were looked at in this record. Where the
    conclusion cannot tell yet, odds alone settle nothing: one record has one answer."""
    at_fault = surely_at_fault(seen or {})
    found = tuple(c.fault for c in causes if c.fault in at_fault)
    if found and conclusion.outranks:
        return SettledCauses(found, (), seen=True)
    together = settled_causes(causes)
    if together and _agrees(conclusion, causes[0].fault):
        return SettledCauses(together, ())
    still = tuple(c.fault for c in causes if c.probability >= STILL_OPEN)
    return SettledCauses((), still if len(still) > 1 else tuple(c.fault for c in causes[:2]))


def settled_causes(causes: Causes) -> tuple[str, ...]:
    """The causes of which it is one by the odds alone, the likeliest first; none while the odds settle nothing."""
    together = told_as_one(causes)
    p = sum(c.probability for c in together)
    error = float(np.sqrt(sum(c.error**2 for c in together)))
    trusted = all(c.effective >= LOWEST_EFFECTIVE for c in causes if c.probability > LIKELY)
    if not trusted or p - 2.0 * error < SETTLED:
        return ()
    return tuple(c.fault for c in together if c.probability >= STILL_OPEN)


def told_as_one(causes: Causes) -> list[GrownCause | CauseOdds]:
    """The likeliest cause with those that the record cannot tell from it."""
    best = causes[0]
    healthy = best.fault == HEALTHY.key
    found: list[GrownCause | CauseOdds] = [best]
    for c in causes[1:]:
        without_trace = c.fault == HEALTHY.key or (c.fault in CAUSES and CAUSES[c.fault].traceless)
        alike = abs(c.log_evidence - best.log_evidence) < ALIKE
        if alike and c.fault != NOT_IN_LIST.key and without_trace == healthy:
            found.append(c)
    return found


def _agrees(conclusion: Conclusion, best: str) -> bool:
    """Whether conclusion and odds say the same."""
    if conclusion.lead.code is GroundCode.ODDS_SETTLE:
        return True
    state = conclusion.state
    return state not in _UNDECIDED and (best == HEALTHY.key) == (state is VehicleState.HEALTHY)
