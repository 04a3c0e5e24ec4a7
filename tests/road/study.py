"""The healthy vehicle of the program held against the road:

    HEATDOCKET_LOGS=FOLDER python tests/road/study.py

For each real cold start only class, fuel, outside air, coolant at the start and how it ran are given: the speed of each
minute, one word, or that it idled. Healthy vehicles drawn from the program's priors then show what they would: the
curve that was read lies inside their nine-in-ten band or not. Prints the table of RESULTS.md, writes ``rows.csv`` and
the picture ``curves.png``.
"""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from records import K0, Start, folder, starts

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.members.simulated import Hypothesis, problem_of, simulate
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.units import Array
from engcalc.vehicle.run import runs_of
from engcalc.vehicle.unknowns import draw_z

MEMBERS, SEED = 400, 1
ROUNDING = 0.5  # K; the sensors show whole degrees
MARKS = (60.0, 70.0, 80.0)  # degC
WIDTH_AT = 600.0  # s
GIVEN = {"speed": "the speed of each minute", "idling": "that it idled", "word": "one word"}


@dataclass(frozen=True, eq=False)
class Row:
    """One start under one way of knowing how it ran."""

    start: Start
    given: str  # a key of GIVEN
    minutes: Array  # s
    read: Array  # degC at those minutes
    low: Array
    middle: Array
    high: Array
    errors: tuple[float, ...]  # of the times to MARKS, over the real ones; infinite where the middle never gets there

    @property
    def inside(self) -> Array:
        """Which minutes lie in the band."""
        return np.asarray((self.read >= self.low - ROUNDING) & (self.read <= self.high + ROUNDING))

    @property
    def width(self) -> float:
        """Width of the band [K] ten minutes after the start."""
        return float(np.interp(WIDTH_AT, self.minutes, self.high - self.low))


def case_of(start: Start, given: str) -> tuple[Case, dict[str, LogRecord]]:
    """The case that a person could enter of a start, and its log where the speed is given."""
    record: dict[str, Any] = {"ambient": f"{start.ambient:g} degC", "start_temperature": f"{start.coolant[0]:g} degC"}
    logs = {}
    if given == "speed":
        assert start.speed_km_h is not None
        table = io.StringIO("time (s),coolant (C),vehicle speed (km/h)\n")
        table.seek(0, io.SEEK_END)
        for row in zip(start.time, start.coolant, start.speed_km_h, strict=True):
            table.write(",".join(f"{x:g}" for x in row) + "\n")
        logs, record["log"] = {"before": read_log(table.getvalue().encode())}, {"file": "trip.csv"}
    else:
        record["driving"] = start.said
    found = resolve(
        CaseText(
            {
                "format": FORMAT,
                "vehicle": {"class": "family car"},
                "engine": {"fuel": start.fuel},
                "evidence": {"before": record},
            }
        )
    )
    assert isinstance(found, Case), found
    return found, logs


def row(start: Start, given: str, members: int = MEMBERS, seed: int = SEED) -> Row:
    """What healthy vehicles would have shown, beside what was read."""
    case, logs = case_of(start, given)
    problem = problem_of(case, *runs_of(case, "before", logs))
    z = draw_z(problem.unknowns, members, seed)
    shown = simulate(problem, [(Hypothesis((HEALTHY,), 0), z)])[0]
    band = np.quantile(shown.shown - K0, (0.05, 0.5, 0.95), axis=1)
    minutes = np.arange(60.0, min(start.time[-1], shown.time[-1]) + 1.0, 60.0)
    low, middle, high = (np.interp(minutes, shown.time, line) for line in band)
    errors = tuple(_error(start, mark, shown.time, band[1]) for mark in MARKS if start.when(mark) is not None)
    return Row(start, given, minutes, np.interp(minutes, start.time, start.coolant), low, middle, high, errors)


def _error(start: Start, mark: float, time: Array, middle: Array) -> float:
    real = start.when(mark)
    assert real is not None
    seconds = np.arange(0.0, time[-1] + 1.0)
    reached = np.flatnonzero(np.interp(seconds, time, middle) >= mark)
    return (float(seconds[reached[0]]) - real) / real if len(reached) else float("inf")


def rows(found: Iterable[Start]) -> list[Row]:
    """Every start in each way of knowing how it ran."""
    made = []
    for start in found:
        made += [row(start, "idling")] if start.speed_km_h is None else [row(start, "speed"), row(start, "word")]
    return made


def table(found: Sequence[Row]) -> list[str]:
    """The summary as a table, a line for each way of knowing how it ran, and one for all together."""
    lines = [
        "| known besides class, fuel, air and start | starts | minutes | inside the nine-in-ten band | "
        "median error of the times to 60, 70, 80 degC | mean width at 10 min |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    groups = [(GIVEN[key], [r for r in found if r.given == key]) for key in GIVEN]
    for name, group in [*groups, ("all together", list(found))]:
        if group:
            minutes = sum(len(r.minutes) for r in group)
            lines.append(
                f"| {name} | {len(group)} | {minutes} | {100 * inside(group):.0f} % | "
                f"{100 * median_error(group):.0f} % | {mean_width(group):.1f} K |"
            )
    return lines


def inside(group: Sequence[Row]) -> float:
    """Share of the minutes that lie in the band."""
    return float(np.concatenate([r.inside for r in group]).mean())


def median_error(group: Sequence[Row]) -> float:
    """Median of the absolute errors of the times."""
    return float(np.median(np.abs([e for r in group for e in r.errors])))


def mean_width(group: Sequence[Row]) -> float:
    """Mean width of the band ten minutes after the start [K]."""
    return float(np.mean([r.width for r in group]))


def save(found: Sequence[Row], path: Path) -> None:
    """A line for each start and way of knowing."""
    with path.open("w", newline="") as file:
        lines = csv.writer(file)
        lines.writerow(["start", "given", "said", "inside", "width_K", *(f"error_{mark:.0f}" for mark in MARKS)])
        for r in found:
            lines.writerow(
                [
                    r.start.name,
                    r.given,
                    r.start.said,
                    f"{r.inside.mean():.3f}",
                    f"{r.width:.1f}",
                    *(f"{e:.3f}" for e in r.errors),
                ]
            )


if __name__ == "__main__":
    from pictures import curves

    logs = folder()
    if logs is None:
        raise SystemExit("HEATDOCKET_LOGS does not name the folder of the real logs")
    made = rows(starts(logs))
    sys.stdout.write("\n".join(table(made)) + "\n")
    save(made, Path(__file__).with_name("rows.csv"))
    curves(made, Path(__file__).with_name("curves.png"))
