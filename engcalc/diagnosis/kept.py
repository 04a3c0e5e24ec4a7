"""What a diagnosis leaves for the next one: its draws and the vehicles of its checks.

A hand reading, a thing seen, a code, a reason or a base rate changes how likely members are, not what becomes of them.
Where the runs are the same, the next diagnosis judges the members of the last one anew.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.diagnosis.sampler import Draws
from engcalc.diagnosis.simulated import Problem, Simulated
from engcalc.system.drive import Drive
from engcalc.units import Array
from engcalc.vehicle.run import Run

JUDGED = ("job", "base_rates", "evidence")  # sections that no member runs by

Place = tuple[str, int]
"""Key of a cause or pair, and the layout."""


@dataclass(frozen=True, eq=False)
class HotVehicles:
    """Members of one hypothesis in the run of the checks: their indices among its draws, the chance at which each was
    drawn, and what became of them."""

    which: NDArray[np.int64]
    chance: Array
    hot: Simulated


@dataclass(frozen=True, eq=False)
class Kept:
    """Draws of the single causes, the checks' drive and vehicles, and the plain healthy vehicle by its layout."""

    problem: Problem
    draws: Sequence[Draws]
    drive: Drive
    vehicles: Mapping[Place, HotVehicles]
    healthy: tuple[int, Simulated]

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
