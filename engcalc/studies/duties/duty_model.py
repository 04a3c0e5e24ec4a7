"""One duty of a case as a model of its uncertain inputs, and how likely it holds, to a stated error.

Check, ``size`` and the study of how sure a duty is read the same points of the same model, so that they tell one
number. A first look at the members that every check has is enough where it says so clearly; elsewhere points are added
until the chance is known to the digits that are told.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from engcalc.case.case import Case
from engcalc.case.conditions import FAN_MODE, Conditions, conditions_of
from engcalc.components.pressure_cap import boiling, prepare_cap
from engcalc.studies.duties.course import DutiesInTime, chains, limited_in_time, timed
from engcalc.studies.members import pressed, some_members
from engcalc.studies.spread.laws import correlated, normal_quantile
from engcalc.studies.spread.propagation import MOST, Propagated, propagate
from engcalc.studies.spread.uncertainty import (
    Drawn,
    Settled,
    Spread,
    UA_factor_at,
    Uncertain,
    correlations_of,
    ensemble,
    spread,
    uncertain_inputs,
)
from engcalc.system.in_time.valve_cycle import Hunting, hunting
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, ScaledTo, prepare, scaled_to
from engcalc.system.state import REGIMES, STATUSES, OperatingPoint, Regime, Status
from engcalc.units import Array

MEMBERS = 200  # of each duty at a first look
ODDS_ERROR = 0.0025  # -; standard error wanted of a chance near the wanted one
CLEAR = 4.0  # standard errors from the wanted chance at which it is far enough from it
CLEAR_ERROR = 0.01  # -; standard error wanted of a chance then
MOST_IN_TIME = 256  # points of a set of a duty that is followed in time: each is a run of its own


def coolant_limits(case: Case) -> Array:
    """The coolant limit of each duty [K]: its own or the case's."""
    common = float(case.limits.coolant_limit[0])
    return np.array([common if d.limit is None else float(d.limit[0]) for d in case.duties])


def spread_of(
    case: Case,
    drawn: Drawn,
    limits: Array,
    solver: Callable[[Drawn], Settled] | None = None,
    *,
    boils: bool = True,
    wanted: Collection[int] | None = None,
) -> Spread:
    """What a drawn ensemble says of the duties of a case; ``limits`` [K] by duty. Those in time count by their peak.

    ``solver`` takes the place of :func:`solve_drawn` where someone else wants the points too, or only the peaks
    (:func:`for_peaks`). Without ``boils`` the peaks in time are those that would come if nothing boiled. Of the duties
    in time only those ``wanted`` are run, with what comes before them; what is then said of the others tells nothing.
    """
    solver = solve_drawn if solver is None else solver
    of = [i for i in limited_in_time(case.duties) if wanted is None or i in wanted]
    if not of:
        return spread(drawn, limits, solver)

    def plant_of(which: NDArray[np.int64]) -> Plant:
        plant = _scaled(prepare(some_members(drawn.case, which)), drawn.UA_factor[which])
        if boils:
            return plant
        return pressed(plant, drawn.conditions.spread_to(drawn.duties * drawn.members).taken(which))

    asked = DutiesInTime(
        case.duties,
        drawn.conditions,
        drawn.members,
        np.repeat(limits, drawn.members),
        plant_of,
        one_plant=drawn.one_vehicle,
    )
    found = timed(asked, of)
    rows = (len(of), drawn.members)
    peaks = found.peak.reshape(rows)
    boiled = found.boiled.reshape(rows)
    return spread(drawn, limits, solver, {i: (peaks[k], boiled[k]) for k, i in enumerate(of)})


def solve_drawn(drawn: Drawn) -> OperatingPoint:
    """The operating points of a drawn ensemble, its conductance uncertain as well."""
    return solve(_scaled(prepare(drawn.case), drawn.UA_factor), drawn.conditions)


@dataclass(frozen=True, eq=False)
class SettledPeaks:
    """What a spread takes of settled points; what is left out counts as solved."""

    status: NDArray[np.int64]
    boiling: Array  # K
    peak: Array  # K


def for_peaks(case: Case, wanted: Collection[int]) -> Callable[[Drawn], SettledPeaks]:
    """A solver of drawn ensembles for those who want the peaks of some duties alone.

    Where a duty with a duration would settle tells nothing of its peak, so that the cycle of its fan is not run: the
    fan counts as on. It is solved all the same, for whether the model can answer it.
    """
    in_time = [i for i in limited_in_time(case.duties) if i in wanted]

    def solved(drawn: Drawn) -> SettledPeaks:
        fan = drawn.conditions.spread_to(drawn.duties * drawn.members).fan_mode.copy()
        fan.reshape(drawn.duties, drawn.members)[in_time] = FAN_MODE["on"]
        held = replace(drawn, conditions=drawn.conditions.replace(fan_mode=fan))
        return _solved_of(held, sorted(wanted), boils=True)

    return solved


def for_search(
    case: Case, *, boils: bool = True, wanted: Collection[int] | None = None
) -> Callable[[Drawn], SettledPeaks]:
    """A solver of drawn ensembles for a search through many cores: of a duty in time not even the end is settled.

    Whether such a duty can be answered at all hangs on engine and road, not on the core: a check tells it. Without
    ``boils`` as if nothing boiled; of the duties only those ``wanted``.
    """
    settles = [i for i, duty in enumerate(case.duties) if duty.duration is None and (wanted is None or i in wanted)]
    return lambda drawn: _solved_of(drawn, settles, boils=boils)


def _solved_of(drawn: Drawn, duties: Sequence[int], *, boils: bool) -> SettledPeaks:
    """Settled points of some duties of a drawn ensemble; the others count as solved."""
    total = drawn.duties * drawn.members
    status = np.full(total, STATUSES.index(Status.SOLVED), np.int64)
    peak = np.zeros(total)
    boil = np.empty(total)
    boil[:] = boiling(prepare_cap(drawn.case), drawn.conditions.spread_to(total).altitude)
    if duties:
        which = np.concatenate([np.arange(drawn.members) + i * drawn.members for i in duties])
        conditions = drawn.conditions.spread_to(total).taken(which)
        plant = _scaled(prepare(some_members(drawn.case, which)), drawn.UA_factor[which])
        point = solve(plant if boils else pressed(plant, conditions), conditions)
        status[which] = point.status
        boil[which] = point.boiling
        peak[which] = point.peak
    return SettledPeaks(status, boil, peak)


def _scaled(plant: Plant, factor: Array) -> Plant:
    return replace(plant, ua_scale=plant.ua_scale * factor)


def hunting_where_it_regulates(
    plant: Plant, conditions: Conditions, point: OperatingPoint, in_time: bool
) -> Hunting | None:
    """How the valve hunts in one duty that it regulates until it settles; None elsewhere."""
    if in_time or not regulates(point):
        return None
    return hunting(plant, conditions)


def regulates(point: OperatingPoint) -> bool:
    """Whether the valve holds the temperature of a single point."""
    return bool(point.solved[0]) and REGIMES[int(point.regime[0])] is Regime.REGULATING


def swing_over(found: Hunting | None, point: OperatingPoint) -> float:
    """By how much [K] a hunting valve goes over the peak of the point where it would stand; 0 of one that rests."""
    if found is None:
        return 0.0
    return found.high - float(point.peak[0])


@dataclass(frozen=True, eq=False)
class DutyModel:
    """One duty of a case as a model of its uncertain inputs; the last input is the core's prediction.

    ``row`` is the duty's place in ``case``, which has that duty alone, or with those that it follows. ``over`` [K]
    comes on top of every peak: what a hunting valve swings.
    """

    case: Case
    row: int
    inputs: tuple[Uncertain, ...]
    over: float = 0.0

    @property
    def count(self) -> int:
        """Inputs, the core's prediction among them."""
        return len(self.inputs) + 1

    @property
    def most(self) -> int:
        """Points of each set at most."""
        return MOST if self.case.duties[self.row].duration is None else MOST_IN_TIME

    @cached_property
    def correlations(self) -> dict[tuple[int, int], float]:
        """Coefficients of pairs of inputs, by their places."""
        return correlations_of(self.case, self.inputs)

    @cached_property
    def scaled(self) -> bool:
        """Whether a known point scales the core."""
        return scaled_to(self.case) is not ScaledTo.NOTHING

    def at(self, shares: Array) -> Array:
        """Answers, shape (quantities and holding, points), to uniform numbers, shape (inputs, points)."""
        return self.of(*self._moved(shares))

    def peaks_at(self, shares: Array) -> Array:
        """The first and the last row of the same."""
        return self.peaks_of(self.spread_at(shares, self.row))

    def peaks_of(self, found: Spread) -> Array:
        """The first and the last row of the same, out of what the ensemble says: peak, and whether it holds."""
        peak = found.peak[self.row] + self.over
        holds = found.holds[self.row].astype(np.float64)
        return np.stack([peak, holds])

    def spread_at(self, shares: Array, last: int) -> Spread:
        """Peaks of the duties up to ``last`` at uniform numbers, and which hold."""
        wanted = range(last + 1)
        drawn = self._drawn(*self._moved(shares))
        return spread_of(
            self.case,
            drawn,
            coolant_limits(self.case) - self.over,
            for_peaks(self.case, wanted),
            wanted=wanted,
        )

    def _moved(self, shares: Array) -> tuple[dict[str, Array], Array]:
        """Inputs by path and the factor on the conductance, to uniform numbers."""
        moved = correlated(shares, self.correlations)
        values = {u.path: u.at(column) for u, column in zip(self.inputs, moved, strict=False)}
        return values, UA_factor_at(normal_quantile(shares[-1]), self.scaled)

    def _drawn(self, values: Mapping[str, Array], factor: Array) -> Drawn:
        return ensemble(self.case, conditions_of(self.case.duties), values, factor)

    def of(self, values: Mapping[str, Array], factor: Array) -> Array:
        """The same to values by path and a factor on the conductance."""
        drawn = self._drawn(values, factor)
        points: list[OperatingPoint] = []

        def solved(some: Drawn) -> OperatingPoint:
            points.append(solve_drawn(some))
            return points[-1]

        limits = coolant_limits(self.case) - self.over
        found = spread_of(self.case, drawn, limits, solved, wanted=range(self.row + 1))
        point = points[0]
        own = slice(self.row * factor.size, (self.row + 1) * factor.size)
        rows = (
            point.radiator_heat,
            point.core.UA,
            point.radiator_mass_flow,
            point.air_mass_flow,
            point.coolant_rise,
            point.air_out - point.air_in,
        )
        every = drawn.duties * factor.size
        of_duty = [np.broadcast_to(row, (every,))[own] for row in rows]
        peak = found.peak[self.row] + self.over
        holds = found.holds[self.row].astype(np.float64)
        return np.stack([peak, *of_duty, holds])

    def linear(self) -> Array:
        """c_i u_i [K] of every input for the hottest coolant, by moving each by its standard uncertainty either way."""
        n = self.count
        values = {u.path: np.full(2 * n, u.value) for u in self.inputs}
        for k, u in enumerate(self.inputs):
            values[u.path][2 * k] = max(u.value - u.uncertainty, u.low)
            values[u.path][2 * k + 1] = min(u.value + u.uncertainty, u.high)
        z = np.zeros(2 * n)
        z[-2:] = -1.0, 1.0
        peak = self.of(values, UA_factor_at(z, self.scaled))[0]
        return np.asarray(0.5 * (peak[1::2] - peak[0::2]))


def model_of(case: Case, duty_index: int, over: float = 0.0) -> DutyModel:
    """The model of one duty; ``over`` [K] as in :class:`DutyModel`."""
    kept = _run_for(case, duty_index)
    alone = with_duties(case, kept)
    return DutyModel(alone, kept.index(duty_index), uncertain_inputs(alone), over)


def _run_for(case: Case, duty_index: int) -> tuple[int, ...]:
    """The duties that are run for one: where it has a duration its chain, since what was run before it counts."""
    if case.duties[duty_index].duration is None:
        return (duty_index,)
    return next(chain.duties for chain in chains(case.duties) if duty_index in chain.duties)


def with_duties(case: Case, kept: Sequence[int]) -> Case:
    """The case with some of its duties, which move up; so do their inputs and what these go along with."""
    places = {f"duties[{old}]": f"duties[{new}]" for new, old in enumerate(kept)}

    def moved(path: str) -> str | None:
        """Where an input stands now; None of a duty that is left out."""
        if not path.startswith("duties["):
            return path
        duty, _, name = path.partition(".")
        if duty in places:
            return f"{places[duty]}.{name}"
        return None

    given = {}
    for path, one in case.given.items():
        here = moved(path)
        if here is not None:
            others = {there: r for other, r in one.correlated.items() if (there := moved(other)) is not None}
            given[here] = replace(one, path=here, correlated=others)
    return replace(case, duties=tuple(case.duties[i] for i in kept), given=given)


@dataclass(frozen=True)
class Chance:
    """How likely a duty holds [-], with its standard error [-]."""

    probability: float
    error: float


def first_look(held: int, drawn: int) -> Chance:
    """The chance by a first look: ``held`` of ``drawn`` members hold.

    The error is that of plain draws, which those of a Latin hypercube exceed by no more than one part in their number
    (A. B. Owen, SIAM J. Numer. Anal. 34 (1997) 1884, from memory); one member of either kind counts on top, so that it
    is not 0 where all hold (Laplace's rule of succession).
    """
    smoothed = (held + 1.0) / (drawn + 2.0)
    return Chance(held / drawn, float(np.sqrt(smoothed * (1.0 - smoothed) / drawn)))


def sure_enough(chance: Chance, wanted: float) -> bool:
    """Whether a chance is known to the digits that are told: to a quarter of a point, or to one far from the wanted."""
    off = abs(chance.probability - wanted)
    return chance.error <= ODDS_ERROR or (off > CLEAR * chance.error and chance.error <= CLEAR_ERROR)


@dataclass
class SureOfHolding:
    """Watches a propagation whose last row is the share that holds; keeps the chance once a quarter of a point is sure.

    So the digits that one face has told stay, whatever points other results go on to ask for.
    """

    wanted: float
    kept: Chance | None = field(default=None)

    def __call__(self, statistics: Array, errors: Array) -> bool:
        """Whether the chance is sure enough by now."""
        now = Chance(float(statistics[-1]), float(errors[-1]))
        if self.kept is None and now.error <= ODDS_ERROR:
            self.kept = now
        return self.kept is not None or sure_enough(now, self.wanted)

    def chance(self, run: Propagated) -> Chance:
        """The chance kept, or that of all points where it never was so sure."""
        return self.kept or Chance(float(run.statistics[-1]), float(run.errors[-1]))


@dataclass(frozen=True)
class DutyOdds:
    """How sure a duty is: the chance that it holds, and the ends of its peak [K] (5 and 95 % lie below)."""

    chance: Chance
    low: float
    high: float


class SecondLooks:
    """Second looks at duties of a case: points are added until the chance that a duty holds is sure enough.

    Duties that follow one another have the same inputs, so that they are asked at the same points: these are run once
    for all of them. ``known`` are looks that were had before, of the same case with no valve that swings.
    """

    def __init__(self, case: Case, wanted: float, seed: int = 1, known: Mapping[int, DutyOdds] | None = None) -> None:
        self._case = case
        self._wanted = wanted
        self._seed = seed
        self.had = dict(known or {})
        self._runs: dict[tuple[int, ...], dict[bytes, tuple[int, Spread]]] = {}  # by chain and points

    def at(
        self,
        duty_index: int,
        over: float = 0.0,
        *,
        others: Collection[int] = (),
        step: Callable[[float], None] | None = None,
    ) -> DutyOdds:
        """How sure a duty is; ``over`` [K] as in :class:`DutyModel`. ``step`` may raise to stop.

        ``others`` will be asked too: those that follow it are run with it.
        """
        model = model_of(self._case, duty_index, over)
        if over:
            return self._looked(model, model.peaks_at, step)
        if duty_index not in self.had:
            spread_at = self._of_chain(model, duty_index, others)
            self.had[duty_index] = self._looked(model, lambda shares: model.peaks_of(spread_at(shares)), step)
        return self.had[duty_index]

    def _of_chain(self, model: DutyModel, duty_index: int, others: Collection[int]) -> Callable[[Array], Spread]:
        """The model's chain at some points, run anew only where it was not run as far."""
        chain = _run_for(self._case, duty_index)
        last = max(k for k, i in enumerate(chain) if i == duty_index or i in others)
        runs = self._runs.setdefault(chain, {})

        def spread_at(shares: Array) -> Spread:
            key = shares.tobytes()
            if key not in runs or runs[key][0] < model.row:
                runs[key] = last, model.spread_at(shares, last)
            return runs[key][1]

        return spread_at

    def _looked(
        self, model: DutyModel, peaks_at: Callable[[Array], Array], step: Callable[[float], None] | None
    ) -> DutyOdds:
        watch = SureOfHolding(self._wanted)
        run = propagate(
            peaks_at,
            model.count,
            _ends_and_share,
            watch,
            seed=self._seed,
            most=model.most,
            step=step,
        )
        low, high, _ = run.statistics
        return DutyOdds(watch.chance(run), float(low), float(high))


def _ends_and_share(answers: Array) -> Array:
    """The ends of the peak, then the share that holds."""
    low, high = np.quantile(answers[0], (0.05, 0.95))
    return np.array([low, high, answers[-1].mean()])
