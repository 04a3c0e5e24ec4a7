"""The warm-ups of one vehicle over its visits as they were measured, and what changed from the first to the last."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from statistics import NormalDist

from engcalc.case.case import Case
from engcalc.case.records import SPOT_KINDS
from engcalc.causes.outcomes import Outcome
from engcalc.logs.record import LogRecord
from engcalc.system.in_time.warmed import crossing
from engcalc.units import Array
from engcalc.vehicle.run import Run, records, run_of
from engcalc.vehicle.warmup_study import TIMES_TO, finite

LIKE_START = 8.0  # K; starts farther apart are not set beside one another; common practice, no source
LEAST_SAMPLES = 2
_LEAST_DOUBT = 1e-9


@dataclass(frozen=True)
class LeftOpen:
    """What a valve leaves open when it should be shut, of full opening [-]: fitted, best and 5 to 95 %.

    ``z`` and ``doubt`` are the logarithm's standard normal number and its standard error, by which two are compared.
    """

    low: float
    middle: float
    high: float
    z: float
    doubt: float


@dataclass(frozen=True, eq=False)
class MeasuredRun:
    """The coolant over one record: times [s] from the start and temperatures [K], (n,); the air outside [K].

    ``time_to`` has the time [s] to each of ``TIMES_TO``; None where it was not reached, or passed before the start.
    ``left_open`` is None where the record was not fitted.
    """

    record: str
    time: Array
    T: Array
    ambient: float
    time_to: Mapping[float, float | None]
    left_open: LeftOpen | None = None

    @property
    def start(self) -> float:
        """What the coolant was at the start [K]."""
        return float(self.T[0])


@dataclass(frozen=True)
class SpotRead:
    """One reading by hand: the record, the place read (a key of ``SPOT_PLACES``), its kind of quantity, what was read
    [SI], the time since the start [s] where it was noted, and the words of a reading in words."""

    record: str
    what: str
    kind: str
    value: float
    at: float | None
    instrument: str
    word: str = ""


@dataclass(frozen=True, eq=False)
class EarlierVisit:
    """One visit of a vehicle: its job and day, what was measured over time, how it ended, why that could not be read,
    and what was read by hand."""

    job: int
    day: str
    runs: tuple[MeasuredRun, ...]
    outcome: Outcome | None
    unread: str = ""
    spots: tuple[SpotRead, ...] = ()


def spots_read(case: Case) -> tuple[SpotRead, ...]:
    """Every reading by hand of a case, before the repair first, each record in the order of its times."""
    found = []
    for name, record in records(case).items():
        spots = [
            SpotRead(
                name,
                spot.what,
                SPOT_KINDS.get(spot.what, "temperature"),
                float(spot.value.flat[0]),
                None if spot.at is None else float(spot.at.flat[0]),
                spot.instrument or "",
                spot.word or "",
            )
            for spot in record.spots
        ]
        found += sorted(spots, key=lambda spot: math.inf if spot.at is None else spot.at)
    return tuple(found)


def measured_runs(
    case: Case, logs: Mapping[str, LogRecord], fitted: Callable[[Run], LeftOpen | None] = lambda _run: None
) -> tuple[MeasuredRun, ...]:
    """Every record of a case that holds a curve of the coolant, before the repair first. ``logs`` by record.

    ``fitted`` gives what the valve leaves open in a run, or None where that is not asked for.
    """
    found = []
    for name in records(case):
        run = run_of(case, name, logs)
        after = run.curve[0] >= 0.0
        time = run.curve[0][after]
        T = run.curve[1][after]
        if time.size < LEAST_SAMPLES:
            continue
        log = logs.get(name)
        times = {
            x: (finite(crossing(time, T, x)) if log is None else log.time_to(x)) if float(T[0]) < x else None
            for x in TIMES_TO
        }
        ambient = float(run.drive.conditions.ambient.flat[0])
        found.append(MeasuredRun(name, time, T, ambient, times, fitted(run)))
    return tuple(found)


@dataclass(frozen=True)
class OpeningDrift:
    """What the valve leaves open in the first fitted run and in the last, and the probability that it is more now."""

    first: LeftOpen
    last: LeftOpen
    more: float


def opening_drift(visits: Sequence[EarlierVisit]) -> OpeningDrift | None:
    """From the first fitted run to the last; None where fewer than two were fitted.

    The two fits are taken as independent, their logarithms as normal.
    """
    fits = [run.left_open for visit in visits for run in visit.runs if run.left_open is not None]
    if len(fits) < LEAST_SAMPLES:
        return None
    first = fits[0]
    last = fits[-1]
    spread = hypot(first.doubt, last.doubt)
    return OpeningDrift(first, last, NormalDist().cdf((last.z - first.z) / max(spread, _LEAST_DOUBT)))


@dataclass(frozen=True)
class TimeDrift:
    """By how much longer [s] the last run took than the first, to the highest temperature [K] that both reached."""

    longer: float
    goal: float


def time_drift(visits: Sequence[EarlierVisit]) -> TimeDrift | None:
    """From the first run to the last; None where they did not start alike (``LIKE_START``) or share no temperature."""
    runs = [run for visit in visits for run in visit.runs]
    if len(runs) < LEAST_SAMPLES:
        return None
    first = runs[0]
    last = runs[-1]
    starts_alike = abs(first.start - last.start) <= LIKE_START
    alike = starts_alike and abs(first.ambient - last.ambient) <= LIKE_START
    shared = [x for x in TIMES_TO if first.time_to[x] is not None and last.time_to[x] is not None]
    if not alike or not shared:
        return None
    before = first.time_to[shared[-1]]
    now = last.time_to[shared[-1]]
    assert before is not None  # it is shared
    assert now is not None
    return TimeDrift(now - before, shared[-1])
