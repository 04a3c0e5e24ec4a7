"""The healthy valve that belongs in a vehicle, in the place of the one that is there."""

from __future__ import annotations

import numpy as np

from engcalc.case.case import Case, with_values
from engcalc.case.sections.thermostat import BLEED_HOLE


def has_valve(case: Case) -> bool:
    """Whether a thermostat belongs into this circuit: not on a bench."""
    return case.vehicle.class_ != "bench rig"


def healthy_valve(case: Case) -> dict[str, object]:
    """The changes that put a healthy valve of the same rating in the place of the one that is there.

    A healthy one leaks no more than its seat does: what is entered, at most what is typical. (With none at all a truck
    that idles in hard frost would be called faulty for having one.)
    """
    word = {"thermostat.kind": "wax"} if case.thermostat.kind == "none" else {}
    leak = min(float(case.thermostat.closed_leak[0]), BLEED_HOLE)
    return {
        **word,
        "thermostat.closed_leak": leak,
        "thermostat.minimum_opening": 0.0,
        "thermostat.maximum_opening": 1.0,
    }


def is_healthy(case: Case) -> bool:
    """Whether the valve that is there is already what :func:`healthy_valve` would put in its place."""
    own = {path: getattr(case.thermostat, path.rpartition(".")[2]) for path in healthy_valve(case)}
    return all(np.all(own[path] == value) for path, value in healthy_valve(case).items())


def with_healthy_members(case: Case, first: int, count: int) -> Case:
    """An ensemble of one case whose members from ``first`` on have a healthy valve."""
    changed = {}
    for path, value in healthy_valve(case).items():
        own = np.broadcast_to(getattr(case.thermostat, path.rpartition(".")[2]), (count,)).copy()
        own[first:] = value
        changed[path] = own
    return with_values(case, changed)
