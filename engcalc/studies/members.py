"""Members of an ensemble: a case with other values in it, results put together from pieces or taken apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case, frozen_array, with_values
from engcalc.case.conditions import Conditions, conditions_of, joined_conditions
from engcalc.case.declare import Basis
from engcalc.case.records import Duty
from engcalc.case.sections.radiator import Radiator
from engcalc.case.whole import check_whole, derive, flows_core
from engcalc.components.accessories import conditioning_share, has_condenser, held_conditioning
from engcalc.components.pressure_cap import boiling, prepare_cap
from engcalc.errors import Cancelled, InputFault
from engcalc.properties.air import pressure_at_altitude
from engcalc.studies.duties.course import DutiesInTime, TimedDuties, timed
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import OperatingPoint
from engcalc.units import Array
from engcalc.words.texts import study_texts

PRESSED = 8.0e5  # Pa, absolute; water then boils at 170 degC, still under the bound of the coolant's properties
CHUNK = 1000  # members solved between two looks at progress and cancel: some 0.1 s on a slow core

Progress = Callable[[float], None] | None
Stop = Callable[[], bool] | None
R = TypeVar("R")


def varied(case: Case, values: Mapping[str, Any]) -> Case:
    """The case with other values at some paths (arrays, words, tuples), derived values moved along.

    A path that is varied counts as typed, so that what follows from others does not overwrite it. The stated coolant
    flows count with the core that was there before: another core is put into the same circuit. Where what is stated of
    that core is varied, they count with it as varied. Either way it stands in the case: so all can be stacked.
    """
    told_anew = any(path.startswith("circuit.flows_core") for path in values)
    changed = with_values(case, values)
    changed = replace(changed, flows_with=first_core(replace(changed, flows_with=None) if told_anew else case))
    given = {**case.given}
    for path in values:
        if path in given:
            given[path] = replace(given[path], basis=Basis.ENTERED, typed=True)
    return derive(replace(changed, given=given), given)


def first_core(case: Case) -> Radiator:
    """The core with which the stated coolant flows of a case count."""
    if case.flows_with is not None:
        return case.flows_with
    stated = flows_core(case)
    return case.radiator if stated is None else stated


def faults_of(case: Case) -> tuple[InputFault, ...]:
    """What does not fit together in a varied case; empty when all of it does."""
    return tuple(check_whole(case))


def solve_duty(case: Case, duty_index: int) -> OperatingPoint:
    """The operating point of one duty of a case, or of an ensemble of it."""
    return solve(prepare(case), conditions_of((case.duties[duty_index],)))


def solve_duties(case: Case, members: int = 1) -> OperatingPoint:
    """Every duty of an ensemble of ``members``, in one call: member m of duty d stands at d * members + m."""
    return solve(*every_duty(case, members))


def every_duty(
    case: Case, members: int = 1, of: Sequence[int] | None = None, conditioning: Array | None = None
) -> tuple[Plant, Conditions]:
    """What :func:`solve_duties` solves, or the same of some of the duties.

    ``conditioning`` has for each duty of the case what is asked of its air conditioning, in place of the duty's word.
    """
    chosen = range(len(case.duties)) if of is None else of
    parts = [conditions_of((case.duties[i],)).spread_to(members) for i in chosen]
    conditions = joined_conditions(parts)
    if conditioning is not None:
        conditions = conditions.replace(air_conditioning=np.repeat(conditioning[list(chosen)], members))
    return prepare(_tiled(case, len(parts))), conditions


def conditioning_of(case: Case) -> Array:
    """What keeps the air conditioning of each duty as it runs now [-], whatever the weather is changed to."""
    asked = conditions_of(case.duties)
    return held_conditioning(conditioning_share(has_condenser(case), asked.air_conditioning, asked.ambient))


def _tiled(node: Any, times: int) -> Any:
    """Every array of more than one member, repeated as a whole."""
    if isinstance(node, np.ndarray):
        return np.tile(node, times) if node.size > 1 else node
    if isinstance(node, tuple) and any(map(is_dataclass, node)):
        return tuple(_tiled(item, times) for item in node)
    if is_dataclass(node) and not isinstance(node, type):
        return replace(node, **{f.name: _tiled(getattr(node, f.name), times) for f in fields(node)})
    return node


def some_members(case: Case, which: NDArray[np.int64]) -> Case:
    """Some members of an ensemble, in any order and as often as they are named."""
    chosen: Case = _some(case, which)
    return chosen


def _some(node: Any, which: NDArray[np.int64]) -> Any:
    if isinstance(node, np.ndarray):
        return node[which] if node.size > 1 else node
    if isinstance(node, tuple) and any(map(is_dataclass, node)):
        return tuple(_some(item, which) for item in node)
    if is_dataclass(node) and not isinstance(node, type):
        return replace(node, **{f.name: _some(getattr(node, f.name), which) for f in fields(node)})
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
    return np.asarray(np.minimum(coolant_limit(case, duty), point.boiling))


@dataclass(frozen=True, eq=False)
class TemperatureWithoutBoiling:
    """How hot duties get, or would if their coolant did not boil; arrays over the members."""

    coolant_out: Array  # K, settled, the mean of a cycling member; of a duty with a duration its peak
    limit: Array  # K, what limits: the coolant's limit or boiling
    margin: Array  # K, limit less peak
    boils: NDArray[np.bool_]
    beyond: NDArray[np.bool_]  # does not settle under ``PRESSED`` either: the margin is smaller than shown


def unboiled(
    case: Case, of: Sequence[int], members: int = 1, conditioning: Array | None = None
) -> TemperatureWithoutBoiling:
    """How hot some duties of an ensemble get, or would if they did not boil: the cap's pressure is raised.

    A duty that boils has no steady state, and how far it is from holding could not be told. Where nothing boils this
    is the operating point, or the peak over the duty's time. Member m of ``of[k]`` stands at k * members + m.
    ``conditioning`` as in :func:`every_duty`.
    """
    n = len(of) * members
    out = np.zeros(n)
    peak = np.zeros(n)
    beyond = np.zeros(n, np.bool_)
    there, point = _unboiled_settled(case, of, members, conditioning)
    if point is not None:
        out[there] = point.coolant_out
        peak[there] = point.peak
        beyond[there] = ~point.solved
    places, found = _unboiled_in_time(case, of, members, conditioning)
    if found is not None:
        out[places] = found.peak
        peak[places] = found.peak
        beyond[places] = found.boiled
    cap = prepare_cap(case)
    chosen = [case.duties[i] for i in of]
    boil = _for_each_member(members, [boiling(cap, conditions_of((duty,)).altitude) for duty in chosen])
    limit = np.minimum(_for_each_member(members, [coolant_limit(case, duty) for duty in chosen]), boil)
    return TemperatureWithoutBoiling(out, limit, limit - peak, peak >= boil, beyond)


def _for_each_member(members: int, of_duties: Sequence[Array]) -> Array:
    """What each duty has for every member, duty by duty."""
    return np.concatenate([np.broadcast_to(one, (members,)) for one in of_duties])


def pressed(plant: Plant, conditions: Conditions) -> Plant:
    """The plant under a cap that keeps its coolant from boiling."""
    gauge = PRESSED - pressure_at_altitude(conditions.altitude)
    return replace(plant, cap=replace(plant.cap, gauge_pressure=np.maximum(plant.cap.gauge_pressure, gauge)))


def _places_of(duties: Sequence[int], members: int) -> NDArray[np.int64]:
    """Where the members of some duties stand among those of all."""
    return np.array([k * members + m for k in duties for m in range(members)], np.int64)


def _unboiled_settled(
    case: Case, of: Sequence[int], members: int, conditioning: Array | None
) -> tuple[NDArray[np.int64], OperatingPoint | None]:
    """The operating points of duties without a duration, and the places of their members among those of ``of``."""
    settles = [k for k, i in enumerate(of) if case.duties[i].duration is None]
    places = _places_of(settles, members)
    if not settles:
        return places, None
    plant, conditions = every_duty(case, members, [of[k] for k in settles], conditioning)
    return places, solve(pressed(plant, conditions), conditions)


def _unboiled_in_time(
    case: Case, of: Sequence[int], members: int, conditioning: Array | None
) -> tuple[NDArray[np.int64], TimedDuties | None]:
    """The duties with a duration, and the places of their members among those of ``of``."""
    targets = [k for k, i in enumerate(of) if case.duties[i].duration is not None]
    places = _places_of(targets, members)
    if not targets:
        return places, None
    _, everything = every_duty(case, members, conditioning=conditioning)

    def plant_at(which: NDArray[np.int64]) -> Plant:
        return pressed(prepare(some_members(case, which % members)), everything.taken(which))

    never = np.full(len(case.duties) * members, np.inf)
    asked = DutiesInTime(case.duties, everything, members, never, plant_at, one_plant=True)
    return places, timed(asked, [of[k] for k in targets])


def coolant_limit(case: Case, duty: Duty) -> Array:
    """The duty's own coolant limit [K], or the case's."""
    return case.limits.coolant_limit if duty.limit is None else duty.limit


def chunks(total: int, progress: Progress, cancelled: Stop, size: int = CHUNK) -> Iterator[slice]:
    """Slices that cover ``total`` members, telling the progress (0..1) after each. Raises Cancelled when to stop."""
    for start in range(0, total, size):
        if cancelled is not None and cancelled():
            raise Cancelled(study_texts.WORK_WAS_CANCELLED)
        yield slice(start, min(start + size, total))
        if progress is not None:
            progress(min(start + size, total) / total)


def joined(results: Sequence[R]) -> R:
    """The results of several pieces of one ensemble as one; a single piece is given back as it is."""
    if len(results) == 1:
        return results[0]
    whole: R = _joined(results, [_count(r) for r in results])
    return whole


def _count(result: Any) -> int:
    """Number of members of a result."""
    arrays = (getattr(result, f.name) for f in fields(result))
    return max(int(a.shape[-1]) for a in arrays if isinstance(a, np.ndarray))


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
    some: R = _cut(result, which)
    return some


def _cut(node: Any, which: slice) -> Any:
    if isinstance(node, np.ndarray):
        return node[..., which] if node.shape[-1] > 1 else node
    if is_dataclass(node) and not isinstance(node, type):
        return replace(node, **{f.name: _cut(getattr(node, f.name), which) for f in fields(node)})
    return node


def member(result: R, index: int) -> R:
    """One member of a result: the same dataclass with every array of shape (..., 1)."""
    return part(result, slice(index, index + 1))
