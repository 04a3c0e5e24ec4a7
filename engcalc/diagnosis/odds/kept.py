"""What a diagnosis leaves for the next one: its draws.

A hand reading, a thing seen, a code, a reason or a base rate changes how likely members are, not what becomes of them.
Where the runs are the same, the members of the last diagnosis judged anew give the next one's first odds at once, and
those of its first look are not run a second time. The final odds are those of a diagnosis from new, to the last digit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace

import numpy as np

from engcalc.case.case import Case
from engcalc.diagnosis.members.simulated import Problem
from engcalc.diagnosis.odds.sampler import Draws
from engcalc.vehicle.run import Run

JUDGED = ("job", "base_rates", "evidence")  # sections that no member runs by

Place = tuple[str, int]
"""Key of a cause or pair, and the layout."""


@dataclass(frozen=True, eq=False)
class KeptDraws:
    """Draws of the single causes, and what they were run in."""

    problem: Problem
    draws: Sequence[Draws]

    def fits(self, problem: Problem, hypotheses: Sequence[Place]) -> bool:
        """Whether the members are those that a new diagnosis would run, and none of its causes is missing."""
        there = {(d.hypothesis.key, d.hypothesis.layout) for d in self.draws}
        return set(hypotheses) <= there and same_runs(self.problem, problem)


def same_runs(a: Problem, b: Problem) -> bool:
    """Whether members of two problems run alike, whatever was read of them."""
    return (
        alike(a.shares, b.shares)
        and alike(a.unknowns, b.unknowns)
        and alike(a.uses, b.uses)
        and alike(a.own, b.own)
        and alike([_driven(r) for r in a.runs], [_driven(r) for r in b.runs])
        and alike([_built(c) for c in a.layouts], [_built(c) for c in b.layouts])
    )


def _driven(run: Run) -> list[object]:
    noted = replace(run.record, spots=(), seen={}, codes=(), curve=(), log=None)  # a log counts by its drive
    times = run.curve[0]
    from_start = bool(times.size) and float(times[0]) <= 0.0
    ways = [run.driving, run.hybrid, run.log is None, run.heat is None, bool(times.size), from_start]
    return [run.name, noted, run.drive, *ways]


def _built(case: Case) -> list[object]:
    """All of a case by which a vehicle runs."""
    given = {path: g for path, g in case.given.items() if path.split(".")[0].split("[")[0] not in JUDGED}
    return [given, *(getattr(case, f.name) for f in fields(case) if f.name not in (*JUDGED, "given", "warnings"))]


def alike(a: object, b: object) -> bool:
    """Whether two values are equal all through: arrays by their numbers (not given equals not given)."""
    if type(a) is not type(b):
        return False
    if isinstance(a, np.ndarray) and isinstance(b, np.ndarray):
        return a.shape == b.shape and bool(np.array_equal(a, b, equal_nan=a.dtype.kind == "f"))
    if isinstance(a, Mapping) and isinstance(b, Mapping):
        return a.keys() == b.keys() and all(alike(a[key], b[key]) for key in a)
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(alike(x, y) for x, y in zip(a, b, strict=True))
    if is_dataclass(a) and not isinstance(a, type):
        return a is b or all(alike(getattr(a, f.name), getattr(b, f.name)) for f in fields(a))
    return bool(a == b)
