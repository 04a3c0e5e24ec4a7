"""The chart of F: correction of the mean temperature difference over the cold stream's temperature effectiveness."""

from __future__ import annotations

import numpy as np

from engcalc.classroom.symbols import SymbolSet, in_words, with_symbols
from engcalc.components.two_streams import Passing, correction, passed_share
from engcalc.studies.bench.approximations import READ_F
from engcalc.studies.bench.check import BenchCheck
from engcalc.studies.bench.problem import ProblemStatus
from engcalc.studies.bench.setup import BenchSetup
from engcalc.studies.checked import Check
from engcalc.units import Array, plain_number
from engcalc.words.lesson.bench_words import point_name, symbols_of
from engcalc.words.page.picture_words import F_CHART_CAPTION
from engcalc.words.texts import plot_texts
from reports.plots.describe import Axis, Chart, LabelledPoint, Marker, Series, Tone, Words
from reports.plots.scale import named_apart

RATIOS = (0.2, 0.5, 1.0, 2.0, 4.0)  # R, change of the hot stream's temperature over that of the cold one's
LEAST_F = 0.5  # where the chart begins: below, no exchanger is built so; common practice, no source
SIZES = np.concatenate([np.linspace(0.01, 1.0, 34), np.geomspace(1.03, 40.0, 60)])  # NTU along a curve
NAMED = 6  # points that are named on it


def f_chart(check: Check) -> Chart | None:
    """F over P for this arrangement, every measured point and problem on it; None where F is 1 throughout."""
    bench = check.bench
    if bench is None or bench.setup.passing is Passing.COUNTERFLOW:
        return None
    spots = [spot for spot in (*_of_points(bench), *_of_problems(bench)) if spot.y >= LEAST_F]
    if not spots:
        return None
    words = Words(
        plot_texts.CORRECTION_F_OF_THE_MEAN_TEMPERATURE,
        with_symbols(F_CHART_CAPTION, symbols_of(bench), digits=READ_F),
        "; ".join(f"{s.words}: P {plain_number(s.x)}, F {plain_number(s.y)}" for s in spots),
    )
    across = Axis(plot_texts.P_TEMPERATURE_EFFECTIVENESS, "number", "", (0.0, 1.0), _tenths(0.0, 0.2))
    up = Axis("F", "number", "", (LEAST_F, 1.0), _tenths(LEAST_F, 0.1))
    family = tuple(_curve(bench.setup, ratio, symbols_of(bench)) for ratio in RATIOS)
    return Chart(words, across, up, family, spots=named_apart(spots, across, up))


def _tenths(low: float, step: float) -> tuple[float, ...]:
    """Ticks from ``low`` to 1."""
    return tuple(round(float(one), 6) for one in np.arange(low, 1.0 + 0.5 * step, step))


def _curve(setup: BenchSetup, ratio: float, symbols: SymbolSet) -> Series:
    """F over P at one R, as far down as the chart goes."""
    P, F = f_of(setup, ratio, SIZES)
    shown = F >= LEAST_F
    return Series(
        f"{in_words('R_chart', symbols)} = {plain_number(ratio, 2)}", P[shown], F[shown], Tone.EXHAUST, weight=0.6
    )


def f_of(setup: BenchSetup, ratio: float, NTU: Array) -> tuple[Array, Array]:
    """P [-] and F [-] of an arrangement at R = ``ratio`` and some sizes NTU [-], shape (n,).

    R = C_cold/C_hot: up to 1 the cold stream has the smaller capacity rate and P is the effectiveness; beyond, the hot
    one has it and P is the effectiveness over R.
    """
    hot_is_min = ratio > 1.0
    Cr = 1.0 / ratio if hot_is_min else ratio
    eps = passed_share(NTU, Cr, setup.passing, hot_is_min, setup.passes)
    return (eps * Cr if hot_is_min else eps), correction(NTU, Cr, eps)


def _of_points(bench: BenchCheck) -> list[LabelledPoint]:
    """The measured points; named where there are few."""
    points = [p for p in bench.points if p.possible]
    few = len(points) <= NAMED
    return [
        LabelledPoint(
            (p.T["cold_out"] - p.T["cold_in"]) / (p.T["hot_in"] - p.T["cold_in"]),
            p.F.value,
            f"point {point_name(p).partition(',')[0]}" if few else "",
            Tone.INK,
            Marker.RING,
        )
        for p in points
    ]


def _of_problems(bench: BenchCheck) -> list[LabelledPoint]:
    found = []
    for p in bench.problems:
        if p.status is ProblemStatus.SOLVED:
            n = p.numbers
            P = (n["cold_out"] - n["cold_in"]) / (n["hot_in"] - n["cold_in"])
            found.append(LabelledPoint(P, p.F, p.name, Tone.COOLANT, Marker.DIAMOND))
    return found
