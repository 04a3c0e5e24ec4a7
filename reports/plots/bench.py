"""Pictures of an exchanger on a bench: the Wilson plot with its band, and the class's points over computed curves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from engcalc.classroom.symbols import in_words, with_symbols
from engcalc.components.two_streams import Passing, passed_share
from engcalc.studies.bench.check import BenchCheck
from engcalc.studies.bench.points import BenchPoint, groups_of
from engcalc.studies.bench.problem import ProblemStatus
from engcalc.studies.bench.wilson import WilsonFit
from engcalc.studies.checked import Check
from engcalc.units import Array, UnitSystem, plain_number
from engcalc.words.lesson.bench_words import point_name, symbols_of
from engcalc.words.lesson.wilson_units import wilson_units
from engcalc.words.page.picture_words import (
    ALONG_BENCH_CAPTION,
    BENCH_CURVES_CAPTION,
    COMPUTED_BENCH_CAPTION,
    LEFT_OUT,
    WILSON_CAPTION,
)
from engcalc.words.terms.numbers import raised_to
from engcalc.words.texts import plot_texts
from reports.plots.describe import Axis, Band, Chart, LabelledPoint, Line, Marker, Series, Tone, Words
from reports.plots.scale import axis, named_apart, round_ticks, shown

MARKERS = (Marker.DISC, Marker.DIAMOND, Marker.SQUARE, Marker.TRIANGLE)  # filled: what is left out is hollow
TONES = (Tone.INK, Tone.COOLANT, Tone.AIR, Tone.FUEL, Tone.VALVE, Tone.EXHAUST)
CURVE_POINTS = 61
CAPACITY_RATIOS = (0.0, 0.25, 0.5, 0.75, 1.0)
LEAST_NTU, MOST_NTU = 2.0, 10.0  # ends of the chart
NUMBERED = 8  # points that are named on it


def wilson_plot(check: Check, system: UnitSystem) -> Chart | None:
    """1/UA over the varied flow to minus its power: every group's points, the line, its 95 % band."""
    bench = check.bench
    if bench is None or bench.fit is None:
        return None
    fit = bench.fit
    points = [p for p in bench.points if p.possible]
    units = wilson_units(system)
    of_flow = units.per_flow**-fit.exponent
    x = np.array([of_flow * _flow(p, fit) ** -fit.exponent for p in points])
    y = np.array([units.per_resistance / p.UA.value for p in points])
    u = np.array([units.per_resistance * bench.coverage * p.UA.u / p.UA.value**2 for p in points])
    exponent = plain_number(fit.exponent)
    across_label = plot_texts.FLOW_OF_THE_STREAM_TO_THE_POWER.format(
        side=fit.side, exponent=exponent, unit=units.flow, power=raised_to(f"-{exponent}")
    )
    across = _axis(across_label, 0.0, x.max())
    over = np.linspace(0.0, across.limits[1], CURVE_POINTS)
    line, half = (units.per_resistance * of_line(over / of_flow) for of_line in (fit.line, fit.band))
    UA = in_words("UA", symbols_of(bench))
    lowest = min(0.0, float((line - half).min()))
    highest = float(max((line + half).max(), (y + u).max()))
    up = _axis(f"1/{UA}, {units.resistance}", lowest, highest)
    begins_at = f"{plain_number(units.per_resistance * fit.rest)} {units.resistance}"
    words = Words(
        "Wilson plot",
        with_symbols(WILSON_CAPTION, symbols_of(bench), k=bench.coverage),
        plot_texts.UA_OVER_THE_FLOW_TO_MINUS.format(UA=UA, exponent=fit.exponent, begins_at=begins_at),
    )
    return Chart(
        words,
        across,
        up,
        (*_groups(points, bench.outliers, (x, y, u)), Series("line", over, line, Tone.COOLANT)),
        bands=(Band(plot_texts.RANGE_OF_THE_LINE, over, line - half, line + half, Tone.COOLANT),),
    )


def _flow(point: BenchPoint, fit: WilsonFit) -> float:
    return float((point.streams.hot if fit.side == "hot" else point.streams.cold)[0])


def _groups(points: list[BenchPoint], left_out: Sequence[str], at: tuple[Array, Array, Array]) -> Iterator[Series]:
    """The points of each group at (x, y, half-width of y); hollow those that are left out of the line."""
    x, y, u = at
    for i, group in enumerate(groups_of(points)):
        tone, shape, name = TONES[i % len(TONES)], MARKERS[i % len(MARKERS)], group or "measured"
        own = np.array([p.group == group for p in points])
        out = own & np.array([p.path in left_out for p in points])
        counts = own & ~out
        if counts.any():
            yield Series(name, x[counts], y[counts], tone, Line.NONE, shape, y_error=u[counts])
        if out.any():
            yield Series(f"{name}, {LEFT_OUT}", x[out], y[out], tone, Line.NONE, Marker.RING, y_error=u[out])


def _axis(label: str, low: float, high: float) -> Axis:
    ticks = round_ticks(low, high)
    return Axis(label, "number", "", (ticks[0], ticks[-1]), ticks)


def bench_effectiveness(check: Check, system: UnitSystem) -> Chart | None:
    """Effectiveness over the flow that was varied: measured, and as the Wilson line or a stated UA computes it."""
    bench = check.bench
    if bench is None or not bench.points:
        return None
    points = [p for p in bench.points if p.possible]
    computed = [_computed_UA(bench, p) for p in points]
    if not points or any(UA is None for UA in computed):
        return None
    side = "hot" if bench.fit is None else bench.fit.side
    flows = np.array([float((p.streams.hot if side == "hot" else p.streams.cold)[0]) for p in points])
    eps = np.array([p.effectiveness.value for p in points])
    u = np.array([bench.coverage * p.effectiveness.u for p in points])
    UA = np.array([one for one in computed if one is not None])
    C_hot = np.array([float(p.streams.C_hot[0]) for p in points])
    C_cold = np.array([float(p.streams.C_cold[0]) for p in points])
    expected = bench.setup.effectiveness(UA, C_hot, C_cold)
    x = shown(flows, "mass flow", system)
    across = axis(plot_texts.FLOW_OF_THE_STREAM.format(side=side), "mass flow", system, x)
    order = np.argsort(x)
    curve = Series("computed", x[order], expected[order], Tone.COOLANT, Line.SOLID)
    source = "the Wilson line" if bench.conductance is None else "the stated conductance"
    top = float(max((eps + u).max(), expected.max()))
    words = Words(
        plot_texts.EFFECTIVENESS_MEASURED_AND_COMPUTED,
        with_symbols(COMPUTED_BENCH_CAPTION, symbols_of(bench), what=source, k=bench.coverage),
        plot_texts.MEASURED_LESS_COMPUTED_EFFECTIVENESS
        + "; ".join(f"{plain_number(float(d), 2)}" for d in eps - expected),
    )
    return Chart(
        words, across, _axis("Effectiveness", 0.0, top), (*_groups(points, bench.outliers, (x, eps, u)), curve)
    )


def _computed_UA(bench: BenchCheck, point: BenchPoint) -> float | None:
    """The conductance expected at a point's flows [W/K]: as stated, else on the Wilson line."""
    if bench.conductance is not None:
        return bench.conductance
    if bench.fit is None:
        return None
    x = np.array([_flow(point, bench.fit) ** -bench.fit.exponent])
    return 1.0 / float(bench.fit.line(x)[0])


def bench_sizes(check: Check) -> Chart | None:
    """Effectiveness over NTU for this arrangement, with every measured point and every problem on it."""
    bench = check.bench
    if bench is None:
        return None
    spots = [*_of_points(bench), *_of_problems(bench)]
    if not spots:
        return None
    highest = max(spot.x for spot in spots)
    ticks = round_ticks(0.0, min(max(LEAST_NTU, 1.3 * highest), MOST_NTU))
    across = Axis("NTU", "number", "", (0.0, ticks[-1]), ticks)
    over = np.linspace(0.0, ticks[-1], CURVE_POINTS)
    up = Axis("Effectiveness", "number", "", (0.0, 1.0), (0.0, 0.2, 0.4, 0.6, 0.8, 1.0))
    hot_is_min = _hot_is_min(bench)
    family = tuple(
        Series(
            f"{in_words('C_r', symbols_of(bench))} = {plain_number(ratio, 2)}",
            over,
            passed_share(over, ratio, bench.setup.passing, hot_is_min, bench.setup.passes),
            Tone.EXHAUST,
            weight=0.6,
        )
        for ratio in CAPACITY_RATIOS
    )
    words = Words(
        plot_texts.WHERE_IT_LIES_BETWEEN_EFFECTIVENESS_AND_NTU,
        with_symbols(BENCH_CURVES_CAPTION, symbols_of(bench), arrangement=bench.setup.passing.value),
        "; ".join(f"{s.words}: NTU {plain_number(s.x)}, effectiveness {plain_number(s.y)}" for s in spots),
    )
    return Chart(words, across, up, family, spots=named_apart([s for s in spots if s.x <= ticks[-1]], across, up))


def _hot_is_min(bench: BenchCheck) -> bool:
    """Whether the hot stream has the smaller capacity rate, in the first point or problem."""
    every = [*(p.streams for p in bench.points), *(p.streams for p in bench.problems)]
    streams = next(one for one in every if one is not None)
    return bool(streams.C_hot[0] <= streams.C_cold[0])


def _of_points(bench: BenchCheck) -> list[LabelledPoint]:
    """The measured points; numbered where there are few."""
    points = [p for p in bench.points if p.possible]
    few = len(points) <= NUMBERED
    return [
        LabelledPoint(
            p.NTU.value,
            p.effectiveness.value,
            f"point {point_name(p).partition(',')[0]}" if few else "",
            Tone.INK,
            Marker.RING,
        )
        for p in points
    ]


def _of_problems(bench: BenchCheck) -> list[LabelledPoint]:
    return [
        LabelledPoint(p.NTU, p.effectiveness, p.name, Tone.COOLANT, Marker.DIAMOND)
        for p in bench.problems
        if p.status is ProblemStatus.SOLVED
    ]


def bench_profiles(check: Check, system: UnitSystem) -> Chart | None:
    """Temperatures of both streams along the exchanger, of the first problem or else the first point; only where the
    streams run along each other the whole way (double pipe)."""
    bench = check.bench
    if bench is None or bench.setup.passing not in (Passing.COUNTERFLOW, Passing.PARALLEL) or bench.setup.passes > 1:
        return None
    found = _first(bench)
    if found is None:
        return None
    name, ends, (C_hot, C_cold), UA = found
    share = np.linspace(0.0, 1.0, CURVE_POINTS)
    hot, cold = _along(bench.setup.passing, ends, (C_hot, C_cold), UA, share)
    shown_hot, shown_cold = (shown(T, "temperature", system) for T in (hot, cold))
    words = Words(
        plot_texts.TEMPERATURES_ALONG_THE_EXCHANGER.format(name=name),
        ALONG_BENCH_CAPTION,
        plot_texts.HOT_TO_COLD_TO.format(
            shown_hot=plain_number(shown_hot[0]),
            shown_hot_2=plain_number(shown_hot[-1]),
            shown_cold=plain_number(shown_cold[0]),
            shown_cold_2=plain_number(shown_cold[-1]),
        ),
    )
    return Chart(
        words,
        Axis(plot_texts.SHARE_OF_THE_AREA, "number", "", (0.0, 1.0), (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)),
        axis("Temperature", "temperature", system, [*shown_hot, *shown_cold]),
        (
            Series("hot stream", share, shown_hot, Tone.COOLANT),
            Series("cold stream", share, shown_cold, Tone.AIR, Line.DASHED),
        ),
    )


def _first(bench: BenchCheck) -> tuple[str, dict[str, float], tuple[float, float], float] | None:
    """Name, temperatures [K], capacity rates [W/K] and conductance [W/K] of what is drawn."""
    solved = [p for p in bench.problems if p.status is ProblemStatus.SOLVED]
    if solved and solved[0].streams is not None:
        one = solved[0]
        assert one.streams is not None
        rates = float(one.streams.C_hot[0]), float(one.streams.C_cold[0])
        return one.name, dict(one.numbers), rates, one.numbers["conductance"]
    possible = [p for p in bench.points if p.possible]
    if not possible:
        return None
    point = possible[0]
    rates = float(point.streams.C_hot[0]), float(point.streams.C_cold[0])
    return f"point {point_name(point)}", dict(point.T), rates, point.UA.value


def _along(
    passing: Passing, ends: Mapping[str, float], rates: tuple[float, float], UA: float, share: Array
) -> tuple[Array, Array]:
    """Both temperatures [K] at shares of the area from the hot inlet on.

    The difference runs as exp(-k share), k = UA (1/C_hot -+ 1/C_cold), minus in counterflow (Incropera et al., section
    11.3); each stream changes by the heat that passed before.
    """
    C_hot, C_cold = rates
    counter = passing is Passing.COUNTERFLOW
    k = UA * (1.0 / C_hot - 1.0 / C_cold if counter else 1.0 / C_hot + 1.0 / C_cold)
    start = ends["hot_in"] - (ends["cold_out"] if counter else ends["cold_in"])
    passed = UA * start * (share if abs(k) < 1e-9 else -np.expm1(-k * share) / k)
    cold_start = ends["cold_out"] if counter else ends["cold_in"]
    sign = -1.0 if counter else 1.0
    return ends["hot_in"] - passed / C_hot, cold_start + sign * passed / C_cold
