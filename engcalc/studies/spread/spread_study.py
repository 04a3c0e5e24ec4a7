"""How sure one duty is, to stated digits: intervals, probability with its error, linear propagation, what to measure.

The inputs' laws go through the whole model (:mod:`engcalc.studies.spread.propagation`); beside that stands the linear
law of propagation (JCGM 100:2008, 5.1 and 5.2, correlations included). Where the two differ the model is not linear
over the inputs' uncertainty, and the first counts.

What is measured next is the input with the largest share of the variance alone: were it known exactly, the variance
would on average fall by that share.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.errors import Cancelled
from engcalc.studies.duties.duty_model import (
    DutyModel,
    SureOfHolding,
    hunting_where_it_regulates,
    model_of,
    swing_over,
)
from engcalc.studies.members import Progress, Stop
from engcalc.studies.spread.propagation import (
    SHARE_POINTS,
    SHARE_POINTS_IN_TIME,
    Propagated,
    propagate,
    variance_shares,
)
from engcalc.studies.sweeps import duty_name
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.units import Array
from engcalc.words.texts import shared_texts, study_texts

PREDICTION = "radiator.UA"
"""Stands for the error of the core's predicted conductance among the inputs."""
TEMPERATURE_ERROR = 0.1  # K; standard error wanted of the ends of an interval: they are told in whole degrees
RELATIVE_ERROR = 0.005  # -, of the ends of other intervals: half of the third digit
SHOWN = 10  # inputs whose shares of variance are told apart; the rest are one
LEAST_SHARE = 0.002  # -; of the linear variance, from which an input is told apart


@dataclass(frozen=True)
class SpreadQuantity:
    """One answer whose interval is told: its key, label and kind of unit."""

    key: str
    label: str
    kind: str


QUANTITIES = (
    SpreadQuantity("peak", study_texts.COOLANT_OUT_OF_THE_ENGINE, "temperature"),
    SpreadQuantity("radiator_heat", study_texts.HEAT_OF_THE_RADIATOR, "heat rate"),
    SpreadQuantity("UA", study_texts.CONDUCTANCE_OF_THE_RADIATOR, "conductance"),
    SpreadQuantity("radiator_flow", shared_texts.COOLANT_THROUGH_THE_RADIATOR, "mass flow"),
    SpreadQuantity("air_flow", study_texts.AIR_THROUGH_THE_CORE, "mass flow"),
    SpreadQuantity("coolant_rise", study_texts.RISE_OF_THE_COOLANT_IN_THE_ENGINE, "temperature difference"),
    SpreadQuantity("air_rise", study_texts.RISE_OF_THE_AIR_IN_THE_CORE, "temperature difference"),
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


def duty_spread(
    case: Case, duty_index: int, *, seed: int = 1, progress: Progress = None, cancelled: Stop = None
) -> DutySpread:
    """How sure a duty of a case is. Raises Cancelled."""
    wanted = float(case.limits.confidence[0])
    model = model_of(case, duty_index, _swing(case, duty_index))

    def step(share: float) -> None:
        if cancelled is not None and cancelled():
            raise Cancelled(study_texts.STUDY_WAS_CANCELLED)
        if progress is not None:
            progress(0.6 * share)

    watch = SureOfHolding(wanted)

    def settled(found: Array, errors: Array) -> bool:
        return watch(found, errors) and _ends_settled(found, errors)

    run = propagate(model.at, model.count, _statistics, settled, seed=seed, most=model.most, step=step)
    chance = watch.chance(run)
    step(1.0)
    moves = model.linear()

    def share_step(share: float) -> None:
        step(1.0 + share / 1.5)

    shares = _shares(model, moves, float(run.answers[0].std()), duty_index, seed, share_step)
    if progress is not None:
        progress(1.0)
    return DutySpread(
        case=case,
        duty_index=duty_index,
        name=duty_name(case, duty_index),
        points=run.points,
        settled=run.settled,
        probability=chance.probability,
        probability_error=chance.error,
        wanted=wanted,
        intervals=_intervals(run),
        linear=float(np.sqrt(max(_linear_variance(model, moves), 0.0))),
        shares=shares,
    )


def _swing(case: Case, duty_index: int) -> float:
    """What a hunting valve of the nominal vehicle swings over where it would stand [K]; 0 where it rests."""
    plant = prepare(case)
    one = conditions_of(case.duties).taken(slice(duty_index, duty_index + 1))
    point = solve(plant, one)
    in_time = case.duties[duty_index].duration is not None
    return swing_over(hunting_where_it_regulates(plant, one, point, in_time), point)


def _statistics(answers: Array) -> Array:
    """The ends of every quantity's interval, then the share that holds."""
    ends = np.quantile(answers[:-1], (0.05, 0.95), axis=1)
    return np.concatenate([ends.T.ravel(), [answers[-1].mean()]])


def _ends_settled(found: Array, errors: Array) -> bool:
    """Whether the ends of every interval are known to the digits that are told."""
    ends = found[:-1].reshape(-1, 2)
    ends_errors = errors[:-1].reshape(-1, 2)
    tolerances = RELATIVE_ERROR * np.abs(ends).max(axis=1)
    for k, quantity in enumerate(QUANTITIES):
        if "temperature" in quantity.kind:
            tolerances[k] = TEMPERATURE_ERROR
    return bool((ends_errors.max(axis=1) <= tolerances).all())


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


def _linear_variance(model: DutyModel, moves: Array) -> float:
    """Variance [K2] by linear propagation, correlations included (JCGM 100:2008, eq. 13)."""
    cross = sum(2.0 * r * moves[i] * moves[j] for (i, j), r in model.correlations.items())
    return float((moves**2).sum() + cross)


def _left_when_known(deviation: float, share: float) -> float:
    """The standard deviation [K] that is left once inputs with this first share of the variance [-] are known."""
    rest = min(max(1.0 - share, 0.0), 1.0)
    return deviation * float(np.sqrt(rest))


def _shares(
    model: DutyModel, moves: Array, deviation: float, duty_index: int, seed: int, step: Callable[[float], None]
) -> tuple[InputShare, ...]:
    """Shares of variance of the inputs that move the coolant most; the rest together.

    Each point of a duty in time is a run of its own, so that fewer are drawn.
    """
    if deviation <= 0.0:
        return ()
    linear = moves**2 / max(float((moves**2).sum()), 1e-300)
    groups = sorted(_together(model), key=lambda rows: -float(linear[rows].sum()))
    told = [rows for rows in groups if linear[rows].sum() >= LEAST_SHARE][:SHOWN]
    rest = sorted(set(range(model.count)) - {k for rows in told for k in rows})
    tried = [*told, rest] if rest else told
    points = SHARE_POINTS if model.case.duties[model.row].duration is None else SHARE_POINTS_IN_TIME
    found = variance_shares(model.peaks_at, model.count, tried, seed=seed, points=points, step=step)
    every = [
        InputShare(
            paths=() if rows is rest else tuple(_path(model, k, duty_index) for k in rows),
            first=float(found.first[g]),
            first_error=float(found.first_error[g]),
            total=float(found.total[g]),
            total_error=float(found.total_error[g]),
            linear=float(linear[rows].sum()),
            left=_left_when_known(deviation, float(found.first[g])),
        )
        for g, rows in enumerate(tried)
    ]
    return tuple(sorted(every, key=lambda s: (not s.paths, -s.total)))


def _together(model: DutyModel) -> list[list[int]]:
    """The inputs in groups: those that are correlated cannot be told apart."""
    group = list(range(model.count))
    for i, j in model.correlations:
        old = group[j]
        new = group[i]
        group = [new if g == old else g for g in group]
    return [[k for k in range(model.count) if group[k] == g] for g in dict.fromkeys(group)]


def _path(model: DutyModel, k: int, duty_index: int) -> str:
    path = PREDICTION if k == len(model.inputs) else model.inputs[k].path
    if len(model.case.duties) == 1:
        return path.replace("duties[0].", f"duties[{duty_index}].")
    return path
