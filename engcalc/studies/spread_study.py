"""How sure one duty is, to stated digits: intervals, probability with its error, linear propagation, what to measure.

The inputs' laws go through the whole model (:mod:`engcalc.studies.propagation`); beside that stands the linear law of
propagation (JCGM 100:2008, 5.1 and 5.2, correlations included). Where the two differ the model is not linear over the
inputs' uncertainty, and the first counts.

What is measured next is the input with the largest share of the variance alone: were it known exactly, the variance
would on average fall by that share.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.errors import Cancelled
from engcalc.studies.check import coolant_limits, solve_drawn, spread_of
from engcalc.studies.laws import correlated, normal_quantile
from engcalc.studies.members import Progress, Stop
from engcalc.studies.propagation import MOST, Propagated, propagate, variance_shares
from engcalc.studies.sweeps import duty_name
from engcalc.studies.uncertainty import (
    Drawn,
    UA_factor_at,
    Uncertain,
    correlations_of,
    ensemble,
    uncertain_inputs,
)
from engcalc.system.plant import ScaledTo, scaled_to
from engcalc.system.state import OperatingPoint
from engcalc.units import Array

PREDICTION = "radiator.UA"
"""Stands for the error of the core's predicted conductance among the inputs."""
TEMPERATURE_ERROR = 0.1  # K; standard error wanted of the ends of an interval: they are told in whole degrees
RELATIVE_ERROR = 0.005  # -, of the ends of other intervals: half of the third digit
ODDS_ERROR = 0.0025  # -; standard error wanted of a probability near the wanted one
CLEAR = 4.0  # standard errors from the wanted probability at which it is far enough from it
CLEAR_ERROR = 0.01  # -; standard error wanted of a probability then
MOST_IN_TIME = 256  # points of a set of a duty that is followed in time: each is a run of its own
SHOWN = 10  # inputs whose shares of variance are told apart; the rest are one
LEAST_SHARE = 0.002  # -; of the linear variance, from which an input is told apart


@dataclass(frozen=True)
class SpreadQuantity:
    """One answer whose interval is told: its key, label and kind of unit."""

    key: str
    label: str
    kind: str


QUANTITIES = (
    SpreadQuantity("peak", "Coolant out of the engine, hottest", "temperature"),
    SpreadQuantity("radiator_heat", "Heat of the radiator", "heat rate"),
    SpreadQuantity("UA", "Conductance of the radiator", "conductance"),
    SpreadQuantity("radiator_flow", "Coolant through the radiator", "mass flow"),
    SpreadQuantity("air_flow", "Air through the core", "mass flow"),
    SpreadQuantity("coolant_rise", "Rise of the coolant in the engine", "temperature difference"),
    SpreadQuantity("air_rise", "Rise of the air in the core", "temperature difference"),
)


@dataclass(frozen=True)
class Interval:
    """Mean, standard deviation and the values below which 5 and 95 % lie, with the larger standard error of the two."""

    quantity: SpreadQuantity
    mean: float
    deviation: float
    low: float
    high: float
    error: float


@dataclass(frozen=True)
class InputShare:
    """Share of the variance of the hottest coolant by one input, or several that go together.

    ``first`` alone, ``total`` with all that it does together with others, each with its standard error; ``linear`` by
    linear propagation. ``left`` [K] is the standard deviation expected were it known exactly. ``paths`` is empty of
    what is left over.
    """

    paths: tuple[str, ...]
    first: float
    first_error: float
    total: float
    total_error: float
    linear: float
    left: float


@dataclass(frozen=True, eq=False)
class DutySpread:
    """How sure one duty is. ``probability`` of holding [-] with its standard error; ``linear`` [K] the standard
    uncertainty of the hottest coolant by linear propagation; ``shares`` the largest first."""

    case: Case
    duty_index: int
    name: str
    points: int
    settled: bool
    probability: float
    probability_error: float
    wanted: float
    intervals: tuple[Interval, ...]
    linear: float
    shares: tuple[InputShare, ...]

    @property
    def peak(self) -> Interval:
        """The interval of the hottest coolant."""
        return self.intervals[0]

    @property
    def measure_next(self) -> InputShare | None:
        """The input worth measuring next; None where nothing uncertain moves the coolant."""
        known = [s for s in self.shares if s.paths and PREDICTION not in s.paths and s.first > 2.0 * s.first_error]
        return max(known, key=lambda s: s.first, default=None)


@dataclass(frozen=True, eq=False)
class _DutyModel:
    """One duty of a case as a model of its uncertain inputs; the last input is the core's prediction.

    ``row`` is the duty's place in ``case``, which has that duty alone where it settles.
    """

    case: Case
    row: int
    inputs: tuple[Uncertain, ...]

    @property
    def count(self) -> int:
        """Inputs, the core's prediction among them."""
        return len(self.inputs) + 1

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
        moved = correlated(shares, self.correlations)
        values = {u.path: u.at(column) for u, column in zip(self.inputs, moved, strict=False)}
        return self.of(values, UA_factor_at(normal_quantile(shares[-1]), self.scaled))

    def of(self, values: Mapping[str, Array], factor: Array) -> Array:
        """The same to values by path and a factor on the conductance."""
        drawn = ensemble(self.case, conditions_of(self.case.duties), values, factor)
        points: list[OperatingPoint] = []

        def solved(some: Drawn) -> OperatingPoint:
            points.append(solve_drawn(some))
            return points[-1]

        found = spread_of(self.case, drawn, coolant_limits(self.case), solved)
        point, own = points[0], slice(self.row * factor.size, (self.row + 1) * factor.size)
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
        return np.stack([found.peak[self.row], *of_duty, found.holds[self.row].astype(np.float64)])

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


def _model_of(case: Case, duty_index: int) -> _DutyModel:
    in_time = case.duties[duty_index].duration is not None
    alone = case if in_time else _only_duty(case, duty_index)
    return _DutyModel(alone, duty_index if in_time else 0, uncertain_inputs(alone))


def _only_duty(case: Case, duty_index: int) -> Case:
    """The case with one of its duties."""
    own, given = f"duties[{duty_index}].", {}
    for path, one in case.given.items():
        if path.startswith(own):
            here = f"duties[0].{path.removeprefix(own)}"
            given[here] = replace(one, path=here)
        elif not path.startswith("duties["):
            given[path] = one
    return replace(case, duties=(case.duties[duty_index],), given=given)


def duty_spread(
    case: Case, duty_index: int, *, seed: int = 1, progress: Progress = None, cancelled: Stop = None
) -> DutySpread:
    """How sure a duty of a case is. Raises Cancelled."""
    model, wanted = _model_of(case, duty_index), float(case.limits.confidence[0])

    def step(share: float) -> None:
        if cancelled is not None and cancelled():
            raise Cancelled("the study was cancelled")
        if progress is not None:
            progress(0.6 * share)

    in_time = case.duties[duty_index].duration is not None
    most = MOST_IN_TIME if in_time else MOST
    run = propagate(
        model.at, model.count, _statistics, lambda s, e: _settled(s, e, wanted), seed=seed, most=most, step=step
    )
    step(1.0)
    moves = model.linear()
    shares = () if in_time else _shares(model, moves, float(run.answers[0].std()), duty_index, seed)
    if progress is not None:
        progress(1.0)
    return DutySpread(
        case=case,
        duty_index=duty_index,
        name=duty_name(case, duty_index),
        points=run.points,
        settled=run.settled,
        probability=float(run.statistics[-1]),
        probability_error=float(run.errors[-1]),
        wanted=wanted,
        intervals=_intervals(run),
        linear=float(np.sqrt(max(_linear_variance(model, moves), 0.0))),
        shares=shares,
    )


def _statistics(answers: Array) -> Array:
    """The ends of every quantity's interval, then the share that holds."""
    ends = np.quantile(answers[:-1], (0.05, 0.95), axis=1)
    return np.concatenate([ends.T.ravel(), [answers[-1].mean()]])


def _settled(found: Array, errors: Array, wanted: float) -> bool:
    ends, ends_errors = found[:-1].reshape(-1, 2), errors[:-1].reshape(-1, 2)
    tolerances = RELATIVE_ERROR * np.abs(ends).max(axis=1)
    for k, quantity in enumerate(QUANTITIES):
        if "temperature" in quantity.kind:
            tolerances[k] = TEMPERATURE_ERROR
    off, error = abs(found[-1] - wanted), errors[-1]
    sure = error <= ODDS_ERROR or (off > CLEAR * error and error <= CLEAR_ERROR)
    return bool(sure and (ends_errors.max(axis=1) <= tolerances).all())


def _intervals(run: Propagated) -> tuple[Interval, ...]:
    ends, errors = (column[:-1].reshape(-1, 2) for column in (run.statistics, run.errors))
    return tuple(
        Interval(
            quantity,
            float(run.answers[k].mean()),
            float(run.answers[k].std()),
            float(ends[k, 0]),
            float(ends[k, 1]),
            float(errors[k].max()),
        )
        for k, quantity in enumerate(QUANTITIES)
    )


def _linear_variance(model: _DutyModel, moves: Array) -> float:
    """Variance [K2] by linear propagation, correlations included (JCGM 100:2008, eq. 13)."""
    cross = sum(2.0 * r * moves[i] * moves[j] for (i, j), r in model.correlations.items())
    return float((moves**2).sum() + cross)


def _shares(model: _DutyModel, moves: Array, deviation: float, duty_index: int, seed: int) -> tuple[InputShare, ...]:
    """Shares of variance of the inputs that move the coolant most; the rest together."""
    if deviation <= 0.0:
        return ()
    linear = moves**2 / max(float((moves**2).sum()), 1e-300)
    groups = sorted(_together(model), key=lambda rows: -float(linear[rows].sum()))
    told = [rows for rows in groups if linear[rows].sum() >= LEAST_SHARE][:SHOWN]
    rest = sorted(set(range(model.count)) - {k for rows in told for k in rows})
    tried = [*told, rest] if rest else told
    found = variance_shares(model.at, model.count, tried, seed=seed)
    every = [
        InputShare(
            paths=() if rows is rest else tuple(_path(model, k, duty_index) for k in rows),
            first=float(found.first[g]),
            first_error=float(found.first_error[g]),
            total=float(found.total[g]),
            total_error=float(found.total_error[g]),
            linear=float(linear[rows].sum()),
            left=deviation * float(np.sqrt(min(max(1.0 - found.first[g], 0.0), 1.0))),
        )
        for g, rows in enumerate(tried)
    ]
    return tuple(sorted(every, key=lambda s: (not s.paths, -s.total)))


def _together(model: _DutyModel) -> list[list[int]]:
    """The inputs in groups: those that are correlated cannot be told apart."""
    group = list(range(model.count))
    for i, j in model.correlations:
        old, new = group[j], group[i]
        group = [new if g == old else g for g in group]
    return [[k for k in range(model.count) if group[k] == g] for g in dict.fromkeys(group)]


def _path(model: _DutyModel, k: int, duty_index: int) -> str:
    path = PREDICTION if k == len(model.inputs) else model.inputs[k].path
    return path.replace("duties[0].", f"duties[{duty_index}].") if len(model.case.duties) == 1 else path
