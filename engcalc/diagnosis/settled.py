"""What the odds of a record settle, counted into the check, so that the one conclusion knows it."""

from __future__ import annotations

from dataclasses import replace

from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.diagnosis.enough import Causes, settled_causes
from engcalc.studies.checked import Check, SettledOdds


def with_odds(check: Check, record: str, causes: Causes) -> Check:
    """The check with what the odds of one of its records settle; ``causes`` in falling order, summing to 1.

    Only a fault, or several that the record cannot tell apart, is settled so. That nothing is wrong, or that it is
    something that no simulation holds, the odds alone never settle: a complaint would still be unexplained.
    """
    faults = settled_causes(causes)
    simulated = CAUSES.keys() - {HEALTHY.key, NOT_IN_LIST.key}  # a pair of faults is none of them
    if not faults or not simulated.issuperset(faults):
        return replace(check, odds=None)
    probability = sum(c.probability for c in causes if c.fault in faults)
    return replace(check, odds=SettledOdds(record, faults, probability))
