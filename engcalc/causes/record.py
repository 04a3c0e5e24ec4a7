"""The record of one cause: everything that the program knows of it, in one place.

A cause has a severity with a prior of its own: a standard normal number z, turned into a quantity by
:meth:`SeverityPrior.value`. What a cause changes are numbers of the case, so that all causes run as one ensemble by the
same model as everything else. Priors and base rates are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum
from typing import Any

import numpy as np

from engcalc.causes.history import USUAL, History
from engcalc.units import Array

RARE: Mapping[str, float] = {
    "screening": 0.1,
    "no heat": 0.2,
    "slow warm-up": 0.2,
    "hot at idle": 0.2,
    "hot at speed": 0.2,
    "loss of coolant": 0.2,
}
"""Reasons for a visit that have base rates, each with that of a cause which it does not name [per cent]."""


# ---- what a look tells ----------------------------------------------------------------------------------------------


class VisibleState(StrEnum):
    """What of a vehicle a look, a feel or a simple test tells, besides temperatures. One number for each member."""

    LEVEL = "share of the coolant that is missing"
    LEAK = "coolant leaks"
    GAS = "combustion gas in the coolant"
    CAP = "share of the cap's pressure that it holds"
    MIXTURE = "mixture off the wanted one, volume share"
    VALVE_COLD = "lift of the valve taken out cold"
    VALVE_HOT = "lift of the valve in boiling water"
    VALVE_EARLY = "opens under its rating, K"
    VALVE_GONE = "no valve in the housing"
    FAN_RUNS = "share of its flow that the fan gives when wanted"
    FAN_ALWAYS = "the fan runs cold"
    FAN_BACKWARD = "the fan blows the wrong way"
    PUMP = "share of its speed that the pump turns or moves coolant for"
    IMPELLER = "the pump's impeller is loose on its shaft"
    SUCTION = "the suction hose collapses"
    FACE = "share of the radiator's face blocked"
    SHUTTER = "share that the shutter stands open"
    SEALS_GONE = "seals missing"
    HOSES_SWAPPED = "heater hoses swapped"
    ERRATIC = "the sensor's signal jumps"
    SENSOR_ERROR = "the sensor reads wrong by, K"


HEALTHY_STATE: Mapping[VisibleState, float] = {
    **dict.fromkeys(VisibleState, 0.0),
    **dict.fromkeys(
        (VisibleState.CAP, VisibleState.VALVE_HOT, VisibleState.FAN_RUNS, VisibleState.PUMP, VisibleState.SHUTTER), 1.0
    ),
}
"""The states of a healthy vehicle."""

OfSeverity = Callable[[Array], Array]
"""A state that a look tells, from the severity."""


def one(s: Array) -> Array:
    """Present, whatever the severity."""
    return np.ones_like(s)


def same(s: Array) -> Array:
    """The severity itself."""
    return s


class SensorFault(Enum):
    """What the sensor does to what it should show."""

    NONE = "shows the coolant"
    LOW = "shows too little"
    HIGH = "shows too much"
    ERRATIC = "jumps"
    IN_AIR = "stands in air"


# ---- how bad it is --------------------------------------------------------------------------------------------------


class Law(Enum):
    """How a severity's z becomes a quantity about its median."""

    LOG = "median times exp(spread z)"
    LOGIT = "share whose odds are those of the median times exp(spread z)"


@dataclass(frozen=True)
class SeverityPrior:
    """How bad it is: ``kind`` of quantity for showing it, median, spread of the logarithm, and bounds, SI."""

    label: str
    kind: str
    median: float
    spread: float
    low: float
    high: float
    law: Law = Law.LOG

    def value(self, z: Array) -> Array:
        """The quantity at z, clipped to the bounds."""
        if self.law is Law.LOG:
            return np.clip(self.median * np.exp(self.spread * z), self.low, self.high)
        odds = self.median / (1.0 - self.median) * np.exp(self.spread * z)
        return np.clip(odds / (1.0 + odds), self.low, self.high)


def share(label: str, median: float, spread: float, low: float = 0.0, high: float = 1.0) -> SeverityPrior:
    """A severity that is a share 0..1."""
    return SeverityPrior(label, "fraction", median, spread, low, high, Law.LOGIT)


# ---- what it changes in the case ------------------------------------------------------------------------------------

Act = Callable[[Array, Array], Array]
"""From what the case holds and the severity, to what the cause makes of it."""


@dataclass(frozen=True)
class CaseChange:
    """One input of the case changed: its path, and how; ``past_reserve``: only by what goes beyond the reserve."""

    where: str
    act: Act
    past_reserve: bool = False


def put(_here: Array, s: Array) -> Array:
    """The severity takes the place."""
    return s


def times(here: Array, s: Array) -> Array:
    """The severity multiplies."""
    return np.asarray(here * s)


def less(here: Array, s: Array) -> Array:
    """The severity is taken off."""
    return np.asarray(here - s)


def without(here: Array, s: Array) -> Array:
    """The share that the severity names is taken away."""
    return np.asarray(here * (1.0 - s))


def at_least(here: Array, s: Array) -> Array:
    """No less than the severity."""
    return np.maximum(here, s)


def at_most(here: Array, s: Array) -> Array:
    """No more than the severity."""
    return np.minimum(here, s)


def constant(value: float) -> Act:
    """A value whatever the severity."""
    return lambda here, s: np.full(np.broadcast_shapes(here.shape, s.shape), value)


def by(factor: float, most: float = np.inf) -> Act:
    """A factor whatever the severity."""
    return lambda here, s: np.minimum(here * factor + 0.0 * s, most)


# ---- which vehicles can have it -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Fitted:
    """A vehicle whose input at ``where`` is one of these words."""

    where: str
    words: tuple[str, ...]

    def met(self, value: Any) -> bool:
        """Whether a vehicle with this value is one."""
        return value in self.words


@dataclass(frozen=True)
class NotFitted:
    """A vehicle whose input at ``where`` is none of these words."""

    where: str
    words: tuple[str, ...]

    def met(self, value: Any) -> bool:
        """Whether a vehicle with this value is one."""
        return value not in self.words


@dataclass(frozen=True)
class AboveNothing:
    """A vehicle whose number at ``where`` is above zero, in any member."""

    where: str

    def met(self, value: Any) -> bool:
        """Whether a vehicle with this value is one."""
        return bool(np.any(value > 0.0))


Need = Fitted | NotFitted | AboveNothing


# ---- the record -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Cause:
    """One cause.

    ``key`` names it in case files and answers. Two that are one after the other in ``place`` are so in every list.
    ``label`` is what it is called, as a sentence without its full stop. ``per_cent`` is how often it is behind a visit,
    by reason, before scaling; a reason that is not named takes ``RARE``.

    ``severity`` None: it is there or not. ``reserve``: how much of it a vehicle bears without showing it; vehicles
    differ, so that it is drawn beside the severity. ``changes`` act on the case, ``states`` is what a look then tells,
    ``sensor`` what it does to the coolant sensor. ``keeps_engine_cold``: the engine itself stays too cold by it.
    ``needs``: any one of them makes a vehicle that can have it; none: every one.
    ``traceless``: it leaves no trace in temperature, so that only its own check tells it. ``broad`` is by how much the
    model may be wrong besides [K]. ``history`` is how a customer tells of it, where no simulation can say it.

    ``checks`` are keys of the hand checks that tell it from a healthy vehicle. ``note`` is what else a person should
    know. ``not_simulated`` is what the model does not hold of it.
    """

    key: str
    place: int
    label: str
    per_cent: Mapping[str, float]
    severity: SeverityPrior | None = None
    reserve: SeverityPrior | None = None
    changes: tuple[CaseChange, ...] = ()
    states: Mapping[VisibleState, OfSeverity] = field(default_factory=dict)
    sensor: SensorFault = SensorFault.NONE
    keeps_engine_cold: bool = False
    needs: tuple[Need, ...] = ()
    traceless: bool = False
    broad: float = 0.0
    history: History = USUAL
    checks: tuple[str, ...] = ()
    note: str = ""
    not_simulated: str = ""

    def rate(self, reason: str) -> float:
        """How often it is behind a visit for this reason [per cent, before scaling]."""
        return self.per_cent.get(reason, RARE[reason])
