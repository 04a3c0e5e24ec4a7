"""What the odds of a record settle, counted into the check, so that the one conclusion knows it."""

from __future__ import annotations

from dataclasses import replace

from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.diagnosis.checks.first_steps import OPEN_VALVES
from engcalc.diagnosis.enough import Causes, settled_causes
from engcalc.studies.checked import Check, SettledOdds, WeighedOdds


def with_odds(check: Check, record: str, causes: Causes) -> Check:
    """The check with what the odds of one of its records settle, and what they doubt.

    ``causes`` are in falling order and sum to 1.

    Only a fault, or several that the record cannot tell apart, is settled so. That nothing is wrong, or that it is
    something that no simulation holds, the odds alone never settle: a complaint would still be unexplained.
    """
    weighed = replace(check, weighed=_weighed(record, causes))
    faults = settled_causes(causes)
    simulated = CAUSES.keys() - {HEALTHY.key, NOT_IN_LIST.key}  # a pair of faults is none of them
    if not faults or not simulated.issuperset(faults):
        return replace(weighed, odds=None)
    probability = sum(c.probability for c in causes if c.fault in faults)
    return replace(weighed, odds=SettledOdds(record, faults, probability))


def _weighed(record: str, causes: Causes) -> WeighedOdds:
    by_key = {cause.fault: cause.probability for cause in causes}
    named = {key: p for key, p in by_key.items() if key not in (HEALTHY.key, NOT_IN_LIST.key)}
    return WeighedOdds(
        record,
        healthy=by_key.get(HEALTHY.key, 0.0),
        open_valve=sum(p for key, p in named.items() if key in OPEN_VALVES),
        likeliest_fault=max(named.values(), default=0.0),
        likeliest_other_fault=max((p for key, p in named.items() if key not in OPEN_VALVES), default=0.0),
    )
