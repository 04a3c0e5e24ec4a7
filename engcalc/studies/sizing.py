"""What would hold the limit: the conductance needed, single changes ranked by gain, and what limits the system.

Every change is tried on every duty of the case, all in a few ensembles (one for each combination of words): a change
that mends the hill and spoils the idle is seen. Gains are of the margin, limit less engine outlet: for nearly every
change that is by how much the engine outlet falls; for a cap it is by how much boiling moves away.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any

import numpy as np

from engcalc.case.case import Case
from engcalc.errors import Cancelled, Fault
from engcalc.studies.changes import Change, Side, changes_for, table_changes
from engcalc.studies.members import (
    Progress,
    Stop,
    faults_of,
    limit_of,
    margin_of,
    member,
    part,
    signature,
    solve_duties,
    solve_duty,
    stacked,
    varied,
)
from engcalc.studies.sensitivity import thermal_shares
from engcalc.studies.sweeps import duty_name, outside
from engcalc.studies.tables import Part
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.state import Conditions, OperatingPoint, conditions_of
from engcalc.units import Array

SCALES = (0.02, 50.0)  # -; conductance over the present one, between which the needed one is sought
GRID = 25  # conductances tried at once
ROUNDS = 5  # each narrows the bracket to one step of the grid: 24^5 in the logarithm
TOGETHER = 3  # changes taken together


class Reach(Enum):
    """Whether some conductance holds the limit."""

    FOUND = "found"
    ANY = "any conductance holds it"
    NONE = "no conductance holds it: the flows alone fall short"


@dataclass(frozen=True)
class NeededUA:
    """The conductance at which the limit is held with the margin wanted, in the duty that needs the most of its own.

    ``UA`` [W/K] is None unless found, ``UA_now`` the present one; ``scale`` [-] is the factor on the radiator's
    conductance, all else as it is. ``target`` [K] is the engine outlet asked for, ``coolant_out`` [K] what comes out.
    """

    duty_index: int
    name: str
    reach: Reach
    UA: float | None
    UA_now: float
    scale: float | None
    target: float
    coolant_out: float | None


@dataclass(frozen=True)
class Option:
    """One change and what it does to the duty that is to be mended.

    ``feasible``: the catalogue accepts it and it fits the other dimensions; if not, ``why_not`` says what is in the way
    and the numbers are None. ``coolant_out`` [K] is the mean of a cycling duty; ``gain`` [K] is of the margin;
    ``at_least`` says that the duty boils without the change, so that the gain is more than shown; ``surplus`` [W] is
    the heat that finds no way out at boiling, 0 where the duty settles. ``holds``: the duty then keeps its limit with
    the margin wanted. ``spoils`` names duties that hold their limit now and would not then.
    """

    change: Change
    feasible: bool
    why_not: tuple[Fault, ...]
    coolant_out: float | None
    margin: float | None
    gain: float | None
    surplus: float | None
    at_least: bool
    holds: bool
    spoils: tuple[str, ...]

    @property
    def side(self) -> Side:
        """The side of the system that it helps."""
        return self.change.side


@dataclass(frozen=True)
class Limiting:
    """What limits a duty: the side whose best single change gains most, and that gain [K] for each side.

    ``side`` is None where no change gains anything.
    """

    side: Side | None
    gains: Mapping[Side, float]


@dataclass(frozen=True, eq=False)
class Sizing:
    """The whole study of one case; ``point`` is the worst duty as it is."""

    case: Case
    duty_index: int
    name: str
    point: OperatingPoint
    limit: float  # K, what limits
    wanted_margin: float  # K
    margin: float  # K
    needed: NeededUA
    options: tuple[Option, ...]  # by gain, what cannot be built last
    limiting: Limiting
    together: Option | None  # the best changes of parts on three different sides, made together

    @property
    def holds(self) -> bool:
        """Whether every duty keeps its limit with the margin wanted, as things are."""
        return self.margin >= self.wanted_margin


def size(case: Case, tables: Sequence[Part] = (), *, progress: Progress = None, cancelled: Stop = None) -> Sizing:
    """Sizing of a case of one member: its worst duty, the conductance needed, the options, what limits.

    ``tables`` are parts read by :mod:`engcalc.studies.tables`. Raises Cancelled.
    """
    _tell(progress, cancelled, 0.0)
    worst = worst_duty(case)
    needed = needed_ua(case)
    _tell(progress, cancelled, 0.3)
    found = options(case, worst, tables)
    _tell(progress, cancelled, 0.8)
    point = solve_duty(case, worst)
    duty = case.duties[worst]
    sizing = Sizing(
        case=case, duty_index=worst, name=duty_name(case, worst), point=point,
        limit=float(limit_of(case, duty, point)[0]), wanted_margin=float(case.limits.margin[0]),
        margin=float(margin_of(case, duty, point)[0]), needed=needed, options=found, limiting=_limiting(point, found),
        together=_together(case, worst, found))
    _tell(progress, cancelled, 1.0)
    return sizing


def _tell(progress: Progress, cancelled: Stop, share: float) -> None:
    if cancelled is not None and cancelled():
        raise Cancelled("the work was cancelled")
    if progress is not None:
        progress(share)


def duty_margins(case: Case, members: int = 1) -> Array:
    """Margin [K] of every duty of an ensemble, shape (duties, members); as :func:`members.margin_of`."""
    return _margins(case, solve_duties(case, members), members)


def _margins(case: Case, point: OperatingPoint, members: int) -> Array:
    rows = (part(point, slice(i * members, (i + 1) * members)) for i in range(len(case.duties)))
    return np.stack([np.broadcast_to(margin_of(case, duty, row), (members,))
                     for duty, row in zip(case.duties, rows, strict=True)])


def worst_duty(case: Case) -> int:
    """Index of the duty nearest to, or furthest over, its limit; of several that boil the one most in surplus."""
    point = solve_duties(case)
    order = np.where(point.solved, _margins(case, point, 1)[:, 0], -1e6 - point.energy_residual)
    return int(np.argmin(order))


def needed_ua(case: Case, duty_index: int | None = None) -> NeededUA:
    """The conductance that holds the limit with the margin wanted, in one duty or in the duty that asks for most.

    The radiator's conductance is scaled, all else being as it is, and the whole solved again: engine outlet falls as it
    grows, so that one scale is found between ``SCALES``. What is more than one scale can do has no answer: the coolant
    cannot come nearer to the air than its flows allow.
    """
    duties = range(len(case.duties)) if duty_index is None else (duty_index,)
    chosen = tuple(case.duties[i] for i in duties)
    conditions, plant = conditions_of(chosen), prepare(case)
    n = len(chosen)
    now = solve(plant, conditions)
    target = np.array([float(limit_of(case, d, now)[k]) - float(case.limits.margin[0]) for k, d in enumerate(chosen)])

    def margins_at(scales: Array) -> tuple[Array, OperatingPoint]:
        """Target less peak [K] at scales of shape (n, m); the point's members run duty by duty."""
        m = scales.shape[1]
        wide = Conditions(**{f: np.repeat(np.broadcast_to(getattr(conditions, f), (n,)), m)
                             for f in Conditions.__dataclass_fields__})
        point = solve(replace(plant, ua_scale=plant.ua_scale * scales.ravel()), wide)
        peak = np.where(point.solved, point.coolant_out + point.swing, np.inf).reshape(n, m)
        return target[:, None] - peak, point

    low, high = (np.full(n, np.log(s)) for s in SCALES)
    ends, _ = margins_at(np.exp(np.stack((low, high), axis=1)))
    for _ in range(ROUNDS):
        tried = np.linspace(low, high, GRID, axis=1)
        held = margins_at(np.exp(tried))[0] >= 0.0
        first = np.clip(np.argmax(held, axis=1), 1, GRID - 1)
        low = np.take_along_axis(tried, first[:, None] - 1, axis=1)[:, 0]
        high = np.take_along_axis(tried, first[:, None], axis=1)[:, 0]
    _, point = margins_at(np.exp(high)[:, None])
    return _most_needed(case, tuple(duties), ends, np.exp(high), target, point, now)


def _most_needed(case: Case, duties: tuple[int, ...], ends: Array, scale: Array, target: Array, point: OperatingPoint,
                 now: OperatingPoint) -> NeededUA:
    """The answer of the duty that asks for most: beyond reach first, then the largest scale."""
    reach = [Reach.ANY if low >= 0.0 else Reach.NONE if high < 0.0 else Reach.FOUND for low, high in ends]
    rank = {Reach.ANY: 0.0, Reach.FOUND: 1.0, Reach.NONE: 2.0}
    k = max(range(len(duties)), key=lambda i: (rank[reach[i]], scale[i] if reach[i] is Reach.FOUND else -ends[i, 1]))
    found = reach[k] is Reach.FOUND
    return NeededUA(
        duties[k], duty_name(case, duties[k]), reach[k], float(point.core.UA[k]) if found else None,
        float(np.broadcast_to(now.core.UA, now.status.shape)[k]), float(scale[k]) if found else None, float(target[k]),
        float(point.coolant_out[k] + point.swing[k]) if found else None)


def options(case: Case, duty_index: int | None = None, tables: Sequence[Part] = ()) -> tuple[Option, ...]:
    """Generic changes and the user's parts, tried on the duty to be mended (the worst one), ranked by gain.

    Of changes with which the duty still boils, the one that leaves the least surplus stands first.
    """
    index = worst_duty(case) if duty_index is None else duty_index
    point = solve_duty(case, index)
    changes = (*changes_for(case, index, _core_side(point), _valve_holds(case, point)), *table_changes(tuple(tables)))
    return tuple(sorted(tried(case, index, changes), key=_rank))


def _rank(option: Option) -> tuple[float, float]:
    if option.gain is None or option.surplus is None:
        return np.inf, 0.0
    return -option.gain, option.surplus


def limiting(case: Case, duty_index: int | None = None) -> Limiting:
    """What limits a duty (the worst one), by the gain of the best single change on each side."""
    index = worst_duty(case) if duty_index is None else duty_index
    return _limiting(solve_duty(case, index), options(case, index))


def _core_side(point: OperatingPoint) -> Side:
    """The side of the core whose film holds the heat back."""
    shares = {s.name: s.share for s in thermal_shares(point)}
    return Side.AIR if shares["air"] >= 0.5 else Side.COOLANT


def _valve_holds(case: Case, point: OperatingPoint) -> bool:
    """Whether the valve stands less far open than it can: only then does its rating matter."""
    return bool(point.opening[0] < case.thermostat.maximum_opening[0] - 1e-6)


def _limiting(point: OperatingPoint, found: Sequence[Option]) -> Limiting:
    """``found`` stands in the order of its gains."""
    own = [o for o in found if o.gain is not None and not o.change.from_table]
    gains = {side: max((o.gain for o in own if o.side is side and o.gain is not None), default=0.0) for side in Side}
    now = 0.0 if bool(point.solved[0]) else float(point.energy_residual[0])
    helps = bool(own) and ((own[0].gain or 0.0) > 0.0 or (own[0].surplus or 0.0) < now)
    return Limiting(own[0].side if helps else None, gains)


def tried(case: Case, duty_index: int, changes: Sequence[Change]) -> tuple[Option, ...]:
    """Each change tried on every duty, in the order given."""
    now = solve_duties(case)
    before, boils = _margins(case, now, 1)[:, 0], not bool(now.solved[duty_index])
    least = _least_margin(case, duty_index, member(now, duty_index))[0]
    found: dict[int, Option] = {}
    groups: dict[Any, list[tuple[int, Case]]] = {}
    for i, change in enumerate(changes):
        why_not, changed = _in_the_way(case, change)
        if changed is None:
            found[i] = Option(change, False, why_not, None, None, None, None, boils, False, ())
        else:
            groups.setdefault(signature(changed), []).append((i, changed))
    for group in groups.values():
        n, ensemble = len(group), stacked([changed for _, changed in group])
        points = solve_duties(ensemble, n)
        margins = _margins(ensemble, points, n)
        point = part(points, slice(duty_index * n, (duty_index + 1) * n))
        gains = np.broadcast_to(_least_margin(ensemble, duty_index, point), (n,)) - least
        for k, (i, _) in enumerate(group):
            margin = float(margins[duty_index, k])
            surplus = 0.0 if point.solved[k] else float(point.energy_residual[k])
            found[i] = Option(
                changes[i], True, (), float(point.coolant_out[k]), margin, float(gains[k]), surplus, boils,
                margin >= float(case.limits.margin[0]), _spoiled(case, before, margins[:, k]))
    return tuple(found[i] for i in range(len(changes)))


def _least_margin(case: Case, duty_index: int, point: OperatingPoint) -> Array:
    """Limit less settled peak [K], the boiling point taken as the peak of what does not settle under it."""
    return limit_of(case, case.duties[duty_index], point) - (point.coolant_out + point.swing)


def _in_the_way(case: Case, change: Change) -> tuple[tuple[Fault, ...], Case | None]:
    """What keeps a change from being built (limits of the catalogue, what does not fit together), else the case."""
    faults = tuple(f for path, v in change.values.items() if not isinstance(v, str) for f in outside(path, v))
    if faults:
        return faults, None
    changed = varied(case, change.values)
    faults = faults_of(changed)
    return faults, None if faults else changed


def _spoiled(case: Case, before: Array, after: Array) -> tuple[str, ...]:
    """Duties that hold their limit before and not after."""
    return tuple(duty_name(case, int(i)) for i in np.flatnonzero((before >= 0.0) & (after < 0.0)))


def _together(case: Case, duty_index: int, found: Sequence[Option]) -> Option | None:
    """The best change of a part on each of three sides, made together; None where fewer than two gain anything."""
    best: dict[Side, Option] = {}
    for option in found:
        if option.gain is not None and option.gain > 0.0 and not option.change.driving and option.side is not Side.CAP:
            best.setdefault(option.side, option)
    chosen = list(best.values())[:TOGETHER]
    if len(chosen) < 2:
        return None
    values = {path: v for option in reversed(chosen) for path, v in option.change.values.items()}
    both = Change("; ".join(o.change.name for o in chosen), chosen[0].side, values)
    return tried(case, duty_index, [both])[0]
