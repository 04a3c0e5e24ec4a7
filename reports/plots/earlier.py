"""The warm-ups of one vehicle over its visits, laid over one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from engcalc.units import Array, UnitSystem
from engcalc.vehicle.earlier import EarlierVisit, MeasuredRun
from engcalc.vehicle.warmup_study import TIMES_TO
from engcalc.words.diagnosis.history_words import (
    HISTORY_CAPTION,
    HISTORY_PICTURE,
    OPENING_CAPTION,
    OPENING_PICTURE,
    TIMES_PICTURE,
    history_lines,
    run_name,
)
from engcalc.words.terms.numbers import temperature
from engcalc.words.texts import plot_texts, shared_texts
from reports.plots.describe import Chart, Line, Marker, Tone, Words
from reports.plots.lines import AxisQuantity, Swept, line_chart
from reports.plots.warmup import TIME, thinned

MOST_RUNS = 6  # curves that can still be told apart; the newest
_LOOKS = (  # the newest first
    (Tone.COOLANT, Line.SOLID),
    (Tone.FIRST, Line.DASHED),
    (Tone.AIR, Line.DOTTED),
    (Tone.HEATER, Line.SOLID),
    (Tone.THIRD, Line.DASHED),
    (Tone.INK, Line.DOTTED),
)


def earlier_runs(visits: Sequence[EarlierVisit], system: UnitSystem) -> Chart | None:
    """The newest runs, each by its day; None where nothing was measured."""
    runs = [(visit, run) for visit in visits for run in visit.runs][-MOST_RUNS:]
    if not runs:
        return None
    swept = [
        Swept(run_name(visit, run), *thinned(run.time, run.T), tone, line)
        for (visit, run), (tone, line) in zip(reversed(runs), _LOOKS, strict=False)
    ]
    words = Words(HISTORY_PICTURE, HISTORY_CAPTION, " ".join(history_lines(visits, system)))
    return line_chart(
        words, TIME, AxisQuantity(plot_texts.COOLANT_AS_THE_SENSOR_SHOWS_IT, "temperature"), swept, system
    )


RUN = AxisQuantity(plot_texts.RECORD_THE_OLDEST_FIRST, "count")
_GOALS = ((Tone.FIRST, Marker.DISC), (Tone.COOLANT, Marker.SQUARE), (Tone.HEATER, Marker.DIAMOND))


def times_over_visits(visits: Sequence[EarlierVisit], system: UnitSystem) -> Chart | None:
    """The time to each temperature over the records; None where fewer than two tell one."""
    runs = _runs(visits)
    swept = []
    for x, (tone, shape) in zip(TIMES_TO, _GOALS, strict=True):
        reached = [(i, t) for i, run in enumerate(runs, 1) if (t := run.time_to[x]) is not None]
        if len(reached) > 1:
            at, time = _columns(reached)
            swept.append(Swept(f"To {temperature(x, system)}", at, time, tone, Line.SOLID, shape))
    if not swept:
        return None
    words = Words(TIMES_PICTURE, HISTORY_CAPTION, " ".join(history_lines(visits, system)))
    return _ticks_at_records(
        line_chart(words, RUN, AxisQuantity(shared_texts.TIME_SINCE_THE_START, "time", zero=True), swept, system)
    )


def openings_over_visits(visits: Sequence[EarlierVisit], system: UnitSystem) -> Chart | None:
    """What the shut valve passes over the fitted records, with its band; None of fewer than two."""
    fitted = [(i, run.left_open) for i, run in enumerate(_runs(visits), 1) if run.left_open is not None]
    if len(fitted) < 2:
        return None
    at, middle = _columns([(i, found.middle) for i, found in fitted])
    low, high = (np.array(end) for end in zip(*((found.low, found.high) for _, found in fitted), strict=True))
    swept = [Swept("As fitted", at, middle, Tone.FIRST, Line.SOLID, Marker.DISC, low, high)]
    words = Words(OPENING_PICTURE, OPENING_CAPTION, " ".join(history_lines(visits, system)))
    passes = AxisQuantity(plot_texts.OF_WHAT_THE_OPEN_VALVE_PASSES, "fraction", zero=True)
    return _ticks_at_records(line_chart(words, RUN, passes, swept, system))


def _ticks_at_records(chart: Chart) -> Chart:
    """With ticks at whole records alone: there is none between two."""
    ticks = tuple(tick for tick in chart.x.ticks if tick == round(tick))
    return replace(chart, x=replace(chart.x, ticks=ticks))


def _runs(visits: Sequence[EarlierVisit]) -> list[MeasuredRun]:
    return [run for visit in visits for run in visit.runs]


def _columns(pairs: Sequence[tuple[int, float]]) -> tuple[Array, Array]:
    first, second = zip(*pairs, strict=True)
    return np.array(first, np.float64), np.array(second, np.float64)
