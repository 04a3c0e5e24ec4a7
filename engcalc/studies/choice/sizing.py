"""What would hold the limit: the conductance needed, single changes ranked by gain, and what limits the system.

Every change is tried on every duty of the case, all in a few ensembles (one for each combination of words): a change
that mends the hill and spoils the idle is seen. A duty that boils has no steady state, and the gains of changes that do
not suffice alone could not be told apart; so sizing asks where each duty would settle if its coolant did not boil
(``members.unboiled``), and says that it boils.

Gains are of the margin, limit less engine outlet: for nearly every change that is by how much the engine outlet falls;
for a cap it is by how much boiling moves away, where boiling is what limits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from enum import Enum
from typing import Any

import numpy as np

from engcalc.case.case import Case, value_at
from engcalc.case.conditions import Conditions, conditions_of
from engcalc.errors import Cancelled, InputFault
from engcalc.studies.choice.changes import DesignChange, SystemSide, changes_for, table_changes
from engcalc.studies.choice.core_builds import out_of_room
from engcalc.studies.choice.tables import CataloguePart
from engcalc.studies.duties.course import DutiesInTime, begins_boiling, timed
from engcalc.studies.members import (
    Progress,
    Stop,
    TemperatureWithoutBoiling,
    faults_of,
    limit_of,
    member,
    signature,
    solve_duty,
    stacked,
    unboiled,
    varied,
)
from engcalc.studies.spread.sensitivity import thermal_shares
from engcalc.studies.sweeps import duty_name, outside
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, prepare
from engcalc.system.state import OperatingPoint
from engcalc.units import Array
from engcalc.words.texts import study_texts

SCALES = (0.02, 50.0)  # -; factor on the conductance, between which the needed one is sought
GRID = 25  # conductances tried at once
ROUNDS = 5  # each narrows the bracket to one step of the grid: to 1e-6 of the conductance
TOGETHER = 3  # changes taken together
ROUNDING = 1e-6  # K
WORTHWHILE = 0.05  # K; a smaller gain is none


class ConductanceHolds(Enum):
    """Whether some conductance holds the limit."""

    FOUND = "found"
    ANY = study_texts.ANY_CONDUCTANCE_HOLDS_IT
    NONE = study_texts.NO_CONDUCTANCE_HOLDS_IT


@dataclass(frozen=True)
class NeededUA:
    """The conductance at which the limit is held with the margin wanted, in the duty that asks for most.

    ``UA`` [W/K] is None unless found, ``UA_now`` the present one; ``scale`` [-] is the factor on the radiator's
    conductance, all else as it is. ``target`` [K] is the engine outlet asked for, ``coolant_out`` [K] what comes out.
    """

    duty_index: int
    name: str
    reach: ConductanceHolds
    UA: float | None
    UA_now: float
    scale: float | None
    target: float
    coolant_out: float | None


@dataclass(frozen=True)
class Option:
    """One change and what it does to the duty that is to be mended.

    ``feasible``: the catalogue accepts it and it fits the other dimensions; if not, ``why_not`` says what is in the way
    and the numbers are None. ``coolant_out`` [K] is the mean of a cycling duty, and where ``boils`` says so what it
    would come to; ``margin`` and its ``gain`` [K]; ``at_least`` says that the gain is more than shown. ``holds``: the
    duty then keeps its limit with the margin wanted. ``spoils`` names duties that keep their limit now and would not
    then.
    """

    change: DesignChange
    feasible: bool
    why_not: tuple[InputFault, ...] = ()
    coolant_out: float | None = None
    margin: float | None = None
    gain: float | None = None
    boils: bool = False
    at_least: bool = False
    holds: bool = False
    spoils: tuple[str, ...] = ()

    @property
    def side(self) -> SystemSide:
        """The side of the system that it helps."""
        return self.change.side


@dataclass(frozen=True)
class Limiting:
    """What limits a duty: the side whose best single change gains most, and that gain [K] for each side.

    ``side`` is None where no change gains anything.
    """

    side: SystemSide | None
    gains: Mapping[SystemSide, float]


@dataclass(frozen=True, eq=False)
class Sizing:
    """The whole study of one duty of a case; ``point`` is the duty as it is."""

    case: Case
    duty_index: int
    name: str
    point: OperatingPoint
    limit: float  # K, what limits
    coolant_out: float  # K, where it settles or would
    margin: float  # K
    wanted_margin: float  # K
    boils: bool
    needed: NeededUA
    options: tuple[Option, ...]  # by gain, what cannot be built last
    limiting: Limiting
    best: tuple[Option, ...]  # the best change of a part on each of up to three sides
    together: Option | None  # these made together; None where there are fewer than two

    @property
    def holds(self) -> bool:
        """Whether the duty keeps its limit with the margin wanted, as things are."""
        return self.margin >= self.wanted_margin


def size(
    case: Case,
    tables: Sequence[CataloguePart] = (),
    duty_index: int | None = None,
    *,
    progress: Progress = None,
    cancelled: Stop = None,
) -> Sizing:
    """Sizing of a case of one member for one duty, by default the worst.

    ``tables`` are parts read by :mod:`engcalc.studies.choice.tables`. Raises Cancelled.
    """
    _report(progress, cancelled, 0.0)
    now = settled(case)
    index = _worst(case, now) if duty_index is None else duty_index
    needed = needed_ua(case, own_duties(case, now) if duty_index is None else (duty_index,))
    _report(progress, cancelled, 0.3)
    found = options(case, index, tables)
    _report(progress, cancelled, 0.8)
    best = _best_of_sides(found)
    sizing = Sizing(
        case=case,
        duty_index=index,
        name=duty_name(case, index),
        point=solve_duty(case, index),
        limit=float(now.limit[index, 0]),
        coolant_out=float(now.coolant_out[index, 0]),
        margin=float(now.margin[index, 0]),
        wanted_margin=float(case.limits.margin[0]),
        boils=bool(now.boils[index, 0]),
        needed=needed,
        options=found,
        limiting=limiting(found),
        best=best,
        together=_together(case, index, best),
    )
    _report(progress, cancelled, 1.0)
    return sizing


def _report(progress: Progress, cancelled: Stop, share: float) -> None:
    if cancelled is not None and cancelled():
        raise Cancelled(study_texts.SIZING_WAS_CANCELLED)
    if progress is not None:
        progress(share)


def settled(case: Case, members: int = 1) -> TemperatureWithoutBoiling:
    """How hot every duty of an ensemble gets, or would if it did not boil; arrays of shape (duties, members)."""
    found = unboiled(case, range(len(case.duties)), members)
    shape = (len(case.duties), members)
    return TemperatureWithoutBoiling(
        **{f.name: getattr(found, f.name).reshape(shape) for f in fields(TemperatureWithoutBoiling)}
    )


def worst_duty(case: Case) -> int:
    """Index of the duty nearest to, or furthest over, its limit."""
    return _worst(case, settled(case))


def _worst(case: Case, now: TemperatureWithoutBoiling) -> int:
    return min(own_duties(case, now), key=lambda i: float(now.margin[i, 0]))


def own_duties(case: Case, now: TemperatureWithoutBoiling) -> tuple[int, ...]:
    """The duties that are hot by themselves, by index: none that begins where one that boils ends.

    ``tightest`` of a check's duties leaves it out as well.
    """
    boiling = np.flatnonzero(now.boils[:, 0])
    return tuple(i for i, duty in enumerate(case.duties) if not begins_boiling(duty, i, boiling))


def needed_ua(case: Case, of: tuple[int, ...] | None = None) -> NeededUA:
    """The conductance that holds the limit with the margin wanted, in the one of some duties that asks for most.

    ``of`` names the duties by index; None stands for all.

    The radiator's conductance is scaled, all else as it is, and the whole solved again: engine outlet falls as it
    grows, so that there is one factor, sought between ``SCALES``. The flows set a bound: the coolant cannot give off
    more than a perfect exchanger would.
    """
    duties = tuple(range(len(case.duties))) if of is None else of
    chosen = tuple(case.duties[i] for i in duties)
    scaled = _ScaledRadiator(case, prepare(case), duties, conditions_of(chosen))
    n = len(chosen)
    now = solve(scaled.plant, scaled.conditions)
    wanted = float(case.limits.margin[0])
    limits = [float(limit_of(case, duty, member(now, k))[0]) for k, duty in enumerate(chosen)]
    target = np.array(limits) - wanted
    ends = target[:, None] - scaled.peaks(np.tile(SCALES, (n, 1)))[0]
    factor = _least_factor(scaled, target)
    _, point = scaled.peaks(factor[:, None])
    return _asks_most(case, duties, ends, factor, target, point, now)


def _least_factor(scaled: _ScaledRadiator, target: Array) -> Array:
    """The least factor of the conductance [-] with which each duty stays at its ``target`` [K], within ``SCALES``."""
    low, high = (np.full(len(target), np.log(scale)) for scale in SCALES)
    for _ in range(ROUNDS):
        trial = np.linspace(low, high, GRID, axis=1)
        holds = scaled.peaks(np.exp(trial))[0] <= target[:, None]
        first = np.clip(np.argmax(holds, axis=1), 1, GRID - 1)[:, None]
        low, high = (np.take_along_axis(trial, first + k, axis=1)[:, 0] for k in (-1, 0))
    return np.asarray(np.exp(high))


@dataclass(frozen=True, eq=False)
class _ScaledRadiator:
    """Some duties of a case, their radiator's conductance scaled."""

    case: Case
    plant: Plant
    duties: tuple[int, ...]
    conditions: Conditions  # of these duties

    def peaks(self, scales: Array) -> tuple[Array, OperatingPoint]:
        """How hot each duty gets [K] at factors of shape (duties, m), infinite where it boils, in the same shape.

        And the operating point, whose members run duty by duty.
        """
        m = scales.shape[1]
        point = solve(self._scaled_by(scales.ravel()), self.conditions.repeated(m))
        peak = np.where(point.solved, point.peak, np.inf).reshape(scales.shape)
        in_time = [i for i in self.duties if self.case.duties[i].duration is not None]
        if in_time:
            rows = [self.duties.index(i) for i in in_time]
            peak[rows] = self._peaks_in_time(scales, in_time).reshape(len(rows), m)
        return peak, point

    def _peaks_in_time(self, scales: Array, of: Sequence[int]) -> Array:
        """The same of duties with a duration over their time, duty by duty."""
        every = self.case.duties
        m = scales.shape[1]
        factors = np.ones((len(every), m))
        factors[list(self.duties)] = scales
        never = np.full(factors.size, np.inf)
        conditions = conditions_of(every).repeated(m)
        asked = DutiesInTime(every, conditions, m, never, lambda which: self._scaled_by(factors.ravel()[which]))
        found = timed(asked, of)
        return np.where(found.boiled, np.inf, found.peak)

    def _scaled_by(self, factor: Array) -> Plant:
        return replace(self.plant, ua_scale=self.plant.ua_scale * factor)


def _asks_most(
    case: Case,
    duties: tuple[int, ...],
    ends: Array,
    scale: Array,
    target: Array,
    point: OperatingPoint,
    now: OperatingPoint,
) -> NeededUA:
    """The answer of the duty that asks for most: what is beyond reach first, then the largest factor."""
    reach = [
        ConductanceHolds.ANY if low >= 0.0 else ConductanceHolds.NONE if high < 0.0 else ConductanceHolds.FOUND
        for low, high in ends
    ]
    order = (ConductanceHolds.ANY, ConductanceHolds.FOUND, ConductanceHolds.NONE)
    k = max(
        range(len(duties)),
        key=lambda i: (order.index(reach[i]), scale[i] if reach[i] is ConductanceHolds.FOUND else -ends[i, 1]),
    )
    found = reach[k] is ConductanceHolds.FOUND
    return NeededUA(
        duties[k],
        duty_name(case, duties[k]),
        reach[k],
        float(point.core.UA[k]) if found else None,
        float(np.broadcast_to(now.core.UA, now.status.shape)[k]),
        float(scale[k]) if found else None,
        float(target[k]),
        float(point.coolant_out[k]) if found else None,
    )


def options(case: Case, duty_index: int | None = None, tables: Sequence[CataloguePart] = ()) -> tuple[Option, ...]:
    """Generic changes and the user's parts, tried on the duty to be mended (the worst one), ranked by gain."""
    index = worst_duty(case) if duty_index is None else duty_index
    point = solve_duty(case, index)
    changes = (*generic_changes(case, index, point), *table_changes(case, tuple(tables)))
    found = tried(case, index, changes)
    return tuple(sorted(found, key=lambda o: np.inf if o.gain is None else -o.gain))


def generic_changes(case: Case, duty_index: int, point: OperatingPoint) -> tuple[DesignChange, ...]:
    """The generic changes for a duty that settles at ``point``."""
    fans_help = _fans_help(case, duty_index, point)
    return changes_for(case, duty_index, _core_side(point), _valve_holds(case, point), fans_help=fans_help)


def _core_side(point: OperatingPoint) -> SystemSide:
    """The side of the core whose film holds the heat back."""
    shares = {s.name: s.share for s in thermal_shares(point)}
    return SystemSide.AIR if shares["air"] >= 0.5 else SystemSide.COOLANT


def _fans_help(case: Case, duty_index: int, point: OperatingPoint) -> bool:
    """Whether fans drive air in this duty, or would if fitted and on: at speed they stand in its way."""
    fitted = case.airflow.fan_drive != "none" and case.duties[duty_index].fan != "off"
    return not fitted or float(point.fan_pressure[0]) > 0.0


def _valve_holds(case: Case, point: OperatingPoint) -> bool:
    """Whether the valve stands less far open than it can: only then does its rating matter."""
    return bool(point.opening[0] < case.thermostat.maximum_opening[0] - 1e-6)


def limiting(found: Sequence[Option]) -> Limiting:
    own = [(o.side, o.gain) for o in found if o.gain is not None and not o.change.from_table]
    gains = {side: max((gain for s, gain in own if s is side), default=0.0) for side in SystemSide}
    best = max(gains, key=lambda side: gains[side])
    return Limiting(best if gains[best] > WORTHWHILE else None, gains)


def tried(case: Case, duty_index: int, changes: Sequence[DesignChange]) -> tuple[Option, ...]:
    """Each change tried on every duty, in the order given."""
    before = settled(case)
    found: dict[int, Option] = {}
    groups: dict[Any, list[tuple[int, Case]]] = {}
    for i, change in enumerate(changes):
        why_not, changed = _in_the_way(case, change)
        if changed is None:
            found[i] = Option(change, False, why_not)
        else:
            groups.setdefault(signature(changed), []).append((i, changed))
    for group in groups.values():
        after = settled(stacked([changed for _, changed in group]), len(group))
        for k, (i, _) in enumerate(group):
            found[i] = _option(case, duty_index, changes[i], before, after, k)
    return tuple(found[i] for i in range(len(changes)))


def _option(
    case: Case,
    d: int,
    change: DesignChange,
    before: TemperatureWithoutBoiling,
    after: TemperatureWithoutBoiling,
    k: int,
) -> Option:
    """What member ``k`` of ``after`` does to duty ``d``."""
    margin = float(after.margin[d, k])
    spoiled = np.flatnonzero((before.margin[:, 0] >= 0.0) & (after.margin[:, k] < 0.0))
    return Option(
        change=change,
        feasible=True,
        coolant_out=float(after.coolant_out[d, k]),
        margin=margin,
        gain=_cleaned(margin - float(before.margin[d, 0])),
        boils=bool(after.boils[d, k]),
        at_least=bool(before.beyond[d, 0]),
        holds=margin >= float(case.limits.margin[0]),
        spoils=tuple(duty_name(case, int(i)) for i in spoiled),
    )


def _cleaned(gain: float) -> float:
    """Without what rounding leaves."""
    return gain if abs(gain) > ROUNDING else 0.0


def _in_the_way(case: Case, change: DesignChange) -> tuple[tuple[InputFault, ...], Case | None]:
    """What keeps a change from being built (limits of the catalogue, what does not fit together), else the case."""
    missing = [path for path in change.values if not _is_there(case, path)]
    faults = tuple(InputFault(path, "", study_texts.CASE_HAS_NO_SUCH_ITEM) for path in missing)
    faults += tuple(f for path, v in change.values.items() if not isinstance(v, str) for f in outside(path, v))
    faults += out_of_room(case, change.values)
    if faults:
        return faults, None
    changed = varied(case, {**change.values, **_held_scale(case, change)})
    faults = faults_of(changed)
    return faults, None if faults else changed


def _is_there(case: Case, path: str) -> bool:
    """Whether the list that a path goes through has that many items."""
    try:
        value_at(case, path)
    except IndexError:
        return False
    return True


def _held_scale(case: Case, change: DesignChange) -> dict[str, Array]:
    """The factor that a known point gave stays when the core is another: the point was the old core's.

    A part that brings a maker's point of its own is scaled to that.
    """
    core = any(path.startswith("radiator.") for path in change.values)
    scale = prepare(case).known_scale
    if not core or "radiator.rated_heat" in change.values or bool((scale == 1.0).all()):
        return {}
    return {"radiator.ua_scale": scale}


def _best_of_sides(found: Sequence[Option]) -> tuple[Option, ...]:
    """The best change of a part on each of three sides; the driver's doing, a cap and what spoils a duty left out."""
    best: dict[SystemSide, Option] = {}
    for option in found:
        left_out = option.change.driving or option.side is SystemSide.CAP or option.spoils
        if (option.gain or 0.0) > WORTHWHILE and not left_out:
            best.setdefault(option.side, option)
    return tuple(best.values())[:TOGETHER]


def _together(case: Case, duty_index: int, best: Sequence[Option]) -> Option | None:
    """Changes of several sides made together."""
    if len(best) < 2:
        return None
    values = {path: v for option in reversed(best) for path, v in option.change.values.items()}
    both = DesignChange("; ".join(o.change.name for o in best), best[0].side, values)
    return tried(case, duty_index, [both])[0]
