"""Members of an ensemble: a case with other values in it, results put together from pieces or taken apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from engcalc.case.case import Case, frozen_array, with_values
from engcalc.case.declare import Basis
from engcalc.case.records import Duty
from engcalc.case.whole import check_whole, derive
from engcalc.errors import Cancelled, Fault
from engcalc.studies.limits import excess
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import Conditions, OperatingPoint, conditions_of
from engcalc.units import Array

CHUNK = 1000  # members solved between two looks at progress and cancel: some 0.1 s on a slow core

Progress = Callable[[float], None] | None
Stop = Callable[[], bool] | None
R = TypeVar("R")


def varied(case: Case, values: Mapping[str, Any]) -> Case:
    """The case with other values at some paths (arrays, words, tuples), derived values moved along.

    A path that is varied counts as typed, so that what follows from others does not overwrite it.
    """
    changed = with_values(case, values)
    given = {**case.given}
    for path in values:
        if path in given:
            given[path] = replace(given[path], basis=Basis.ENTERED, typed=True)
    return derive(replace(changed, given=given), given)


def faults_of(case: Case) -> tuple[Fault, ...]:
    """What does not fit together in a varied case; empty when all of it does."""
    return tuple(check_whole(case))


def solve_duty(case: Case, duty_index: int) -> OperatingPoint:
    """The operating point of one duty of a case, or of an ensemble of it."""
    return solve(prepare(case), conditions_of((case.duties[duty_index],)))


def solve_duties(case: Case, members: int = 1) -> OperatingPoint:
    """Every duty of an ensemble of ``members``, in one call: member m of duty d stands at d * members + m."""
    return solve(*every_duty(case, members))


def every_duty(case: Case, members: int = 1) -> tuple[Plant, Conditions]:
    """What :func:`solve_duties` solves."""
    parts = [conditions_of((duty,)) for duty in case.duties]
    conditions = Conditions(**{f.name: np.concatenate([np.broadcast_to(getattr(p, f.name), (members,)) for p in parts])
                               for f in fields(Conditions)})
    return prepare(_tiled(case, len(parts))), conditions


def _tiled(node: Any, times: int) -> Any:
    """Every array of more than one member, repeated as a whole."""
    if isinstance(node, np.ndarray):
        return np.tile(node, times) if node.size > 1 else node
    if isinstance(node, tuple) and any(map(is_dataclass, node)):
        return tuple(_tiled(item, times) for item in node)
    if is_dataclass(node) and not isinstance(node, type):
        return replace(node, **{f.name: _tiled(getattr(node, f.name), times) for f in fields(node)})
    return node


def signature(node: Any) -> tuple[Any, ...]:
    """The words of a case and which optional inputs it has: cases that agree in it can be one ensemble."""
    if isinstance(node, np.ndarray):
        return ()
    if isinstance(node, tuple):
        return tuple(signature(item) for item in node)
    if is_dataclass(node) and not isinstance(node, type):
        return tuple(signature(getattr(node, f.name)) for f in fields(node) if f.name not in ("given", "warnings"))
    return (node if node is None or isinstance(node, str) else (),)


def stacked(cases: Sequence[Case]) -> Case:
    """Cases of one member and of one signature as one ensemble; given values and warnings are those of the first."""
    ensemble: Case = _stacked(cases)
    return ensemble


def _stacked(nodes: Sequence[Any]) -> Any:
    first = nodes[0]
    if isinstance(first, np.ndarray):
        column = np.concatenate(nodes)
        return first if (column == column[0]).all() else frozen_array(column)
    if isinstance(first, tuple) and any(map(is_dataclass, first)):
        return tuple(_stacked(items) for items in zip(*nodes, strict=True))
    if is_dataclass(first) and not isinstance(first, type):
        return replace(first, **{f.name: _stacked([getattr(n, f.name) for n in nodes]) for f in fields(first)})
    return first


def limit_of(case: Case, duty: Duty, point: OperatingPoint) -> Array:
    """What limits the duty [K]: its own coolant limit or the case's, or the boiling point where that is lower."""
    own = case.limits.coolant_limit if duty.limit is None else duty.limit
    return np.asarray(np.minimum(own, point.boiling))


def margin_of(case: Case, duty: Duty, point: OperatingPoint) -> Array:
    """Limit less settled peak [K]; below zero, by 1 K or more, where nothing settles below boiling."""
    return np.asarray(-excess(point, limit_of(case, duty, point)))


def chunks(total: int, progress: Progress, cancelled: Stop, size: int = CHUNK) -> Iterator[slice]:
    """Slices that cover ``total`` members, telling the progress (0..1) after each. Raises Cancelled when to stop."""
    for start in range(0, total, size):
        if cancelled is not None and cancelled():
            raise Cancelled("the work was cancelled")
        yield slice(start, min(start + size, total))
        if progress is not None:
            progress(min(start + size, total) / total)


def joined(points: Sequence[OperatingPoint]) -> OperatingPoint:
    """The results of several pieces of one ensemble as one; a single piece is given back as it is."""
    whole: OperatingPoint = _joined(points, [p.status.size for p in points])
    return points[0] if len(points) == 1 else whole


def _joined(parts: Sequence[Any], sizes: Sequence[int]) -> Any:
    first = parts[0]
    if isinstance(first, np.ndarray):
        wide = [np.broadcast_to(p, (*np.shape(p)[:-1], n)) for p, n in zip(parts, sizes, strict=True)]
        return np.concatenate(wide, axis=-1)
    if is_dataclass(first) and not isinstance(first, type):
        return replace(first, **{f.name: _joined([getattr(p, f.name) for p in parts], sizes) for f in fields(first)})
    return first


def part(result: R, which: slice) -> R:
    """Some members of a result: the same dataclass with its arrays cut; arrays of one member stay as they are."""
    some: R = _part(result, which)
    return some


def _part(node: Any, which: slice) -> Any:
    if isinstance(node, np.ndarray):
        return node[..., which] if node.shape[-1] > 1 else node
    if is_dataclass(node) and not isinstance(node, type):
        return replace(node, **{f.name: _part(getattr(node, f.name), which) for f in fields(node)})
    return node


def member(result: R, index: int) -> R:
    """One member of a result: the same dataclass with every array of shape (..., 1)."""
    return part(result, slice(index, index + 1))
