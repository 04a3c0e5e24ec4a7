"""The warm-ups of one vehicle over its visits, laid over one another."""

from __future__ import annotations

from collections.abc import Sequence

from engcalc.units import UnitSystem
from engcalc.vehicle.earlier import EarlierVisit
from engcalc.words.history_words import HISTORY_CAPTION, HISTORY_PICTURE, history_lines, run_name
from reports.plots.describe import Chart, Line, Tone, Words
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
    return line_chart(words, TIME, AxisQuantity("Coolant as the sensor shows it", "temperature"), swept, system)
