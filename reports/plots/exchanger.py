"""The radiator in a duty: where its thermal resistance sits, and its place on the effectiveness-NTU chart."""

from __future__ import annotations

import numpy as np

from engcalc.classroom.symbols import SymbolSet, in_words, with_symbols
from engcalc.components.exchanger import Arrangement, Exchange, multipass
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.rig import COVERAGE
from engcalc.units import Array, UnitSystem, plain_number, show
from engcalc.words.lesson.class_symbols import symbols_for
from engcalc.words.page.picture_words import (
    CURVES_CAPTION,
    MEASURED_POINTS_TOLD,
    MOST_OF_IT,
    POINT_ON_CURVES_TOLD,
    RESISTANCE_TOLD,
    TWICE_UNCERTAIN,
)
from engcalc.words.texts import plot_texts
from reports.plots.describe import Axis, Chart, LabelledPoint, Line, Marker, Row, Rows, Series, Span, Tone, Words
from reports.plots.scale import round_ticks

PARTS = (
    ("air", plot_texts.AIR_FILM_AND_FINS, Tone.AIR),
    ("wall", "Tube wall", Tone.METAL),
    ("fouling", plot_texts.DEPOSITS_IN_THE_TUBES, Tone.FUEL),
    ("coolant", "Coolant film", Tone.COOLANT),
)
CAPACITY_RATIOS = (0.0, 0.25, 0.5, 0.75, 1.0)
LEAST_NTU, MOST_NTU = 3.0, 10.0  # ends of the chart: a radiator lies around 1, the curves are flat beyond 10
CURVE_POINTS = 61
EFFECTIVENESS = Axis("Effectiveness", "number", "", (0.0, 1.0), (0.0, 0.2, 0.4, 0.6, 0.8, 1.0))


def resistances(duty: DutyCheck, system: UnitSystem) -> Rows | None:
    """Share of each thermal resistance between coolant and air in per cent; None where no flow passes."""
    core = duty.point.core
    if not bool(duty.point.solved[0]) or float(duty.point.radiator_heat[0]) <= 0.0:
        return None
    shares = {key: 100.0 * float(share[0]) for key, share in core.shares.items()}
    rows = tuple(
        Row(label, (Span(0.0, shares[key], tone, high_words=f"{plain_number(shares[key], 2)} %"),))
        for key, label, tone in PARTS
        if shares[key] > 0.0
    )
    largest = max(PARTS, key=lambda part: shares[part[0]])
    told = "; ".join(f"{row.label.lower()} {row.spans[0].high_words}" for row in rows)
    UA = show(float(core.UA[0]), "conductance", system)
    words = Words(
        plot_texts.WHAT_HOLDS_THE_HEAT_BACK_IN_THE_RADIATOR.format(name=duty.name),
        MOST_OF_IT.format(what=largest[1], conductance=UA)
        .replace("film hold", "film holds")
        .replace("wall hold", "wall holds"),
        RESISTANCE_TOLD.format(shares=told),
    )
    return Rows(
        words,
        Axis(
            plot_texts.SHARE_OF_THE_THERMAL_RESISTANCE,
            "fraction",
            "%",
            (0.0, 100.0),
            (0.0, 20.0, 40.0, 60.0, 80.0, 100.0),
        ),
        rows,
    )


def effectiveness_chart(
    name: str,
    passed: Exchange,
    arrangement: Arrangement,
    measured: tuple[float, float] | None = None,
    symbols: SymbolSet = SymbolSet.A,
) -> Chart | None:
    """Effectiveness over NTU for several capacity ratios, with the point of ``passed`` on them; None where none is.

    The curves hold for the number of passes of the core and for the stream that is the smaller one at this point;
    ``measured`` (NTU, effectiveness) is put beside it.
    """
    NTU, Cr, eps = (float(v[0]) for v in (passed.NTU, passed.Cr, passed.effectiveness))
    if NTU <= 0.0:
        return None
    axis = _NTU_axis(max(NTU, measured[0] if measured else 0.0))
    own = _curve(_over(axis), Cr, passed, arrangement, Tone.COOLANT, 1.4, symbols)
    spots = [LabelledPoint(NTU, eps, f"NTU {plain_number(NTU)}, effectiveness {plain_number(eps)}", Tone.COOLANT)]
    if measured is not None:
        spots.append(LabelledPoint(*measured, "measured", Tone.INK, Marker.RING))
    return Chart(
        _chart_words(name, (NTU, Cr, eps), float(passed.passes[0]), symbols),
        axis,
        EFFECTIVENESS,
        (*_family(axis, passed, arrangement, symbols), own),
        spots=tuple(s for s in spots if s.x <= axis.limits[1]),
    )


def duty_effectiveness(duty: DutyCheck, arrangement: Arrangement, symbols: SymbolSet = SymbolSet.A) -> Chart | None:
    """The radiator of one duty on the effectiveness-NTU chart; None where nothing was solved or no flow passes."""
    if not bool(duty.point.solved[0]):
        return None
    return effectiveness_chart(duty.name, duty.point.core.exchange, arrangement, symbols=symbols)


def rig_effectiveness(check: Check) -> Chart | None:
    """The measured points of a rig on the curves, with twice their standard uncertainty, beside the computed ones."""
    if not check.rig:
        return None
    NTU, eps, u, NTU_computed, eps_computed = (
        np.array(column)
        for column in zip(
            *(
                (
                    p.NTU.measured,
                    p.effectiveness.measured,
                    COVERAGE * p.effectiveness.uncertainty,
                    p.NTU.computed,
                    p.effectiveness.computed,
                )
                for p in check.rig
            ),
            strict=True,
        )
    )
    axis = _NTU_axis(max(NTU.max(), NTU_computed.max()))
    family = _family(axis, check.rig[0].computed.exchange, check.plant.arrangement, symbols_for(check.case))
    points = (
        Series("measured", NTU, eps, Tone.INK, Line.NONE, Marker.RING, y_error=u),
        Series(
            plot_texts.COMPUTED_FROM_THE_DIMENSIONS, NTU_computed, eps_computed, Tone.COOLANT, Line.NONE, Marker.DIAMOND
        ),
    )
    told = "; ".join(
        plot_texts.POINT_NTU_EFFECTIVENESS.format(
            i=i + 1,
            measured=plain_number(p.NTU.measured),
            measured_2=plain_number(p.effectiveness.measured),
            computed=plain_number(p.effectiveness.computed),
        )
        for i, p in enumerate(check.rig)
    )
    words = Words(
        plot_texts.MEASURED_POINTS_ON_THE_EFFECTIVENESS,
        TWICE_UNCERTAIN,
        MEASURED_POINTS_TOLD.format(points=told),
    )
    return Chart(words, axis, EFFECTIVENESS, (*family, *points))


def _NTU_axis(highest: float) -> Axis:
    ticks = round_ticks(0.0, min(max(LEAST_NTU, 1.3 * highest), MOST_NTU))
    return Axis("NTU", "number", "", (0.0, ticks[-1]), ticks)


def _over(axis: Axis) -> Array:
    return np.linspace(0.0, axis.limits[1], CURVE_POINTS)


def _family(axis: Axis, passed: Exchange, arrangement: Arrangement, symbols: SymbolSet) -> tuple[Series, ...]:
    return tuple(
        _curve(_over(axis), ratio, passed, arrangement, Tone.EXHAUST, 0.6, symbols) for ratio in CAPACITY_RATIOS
    )


def _chart_words(name: str, at: tuple[float, float, float], passes: float, symbols: SymbolSet) -> Words:
    NTU, Cr, eps = map(plain_number, at)
    passes_words = "one pass" if passes == 1.0 else f"{passes:g} passes"
    return Words(
        plot_texts.EFFECTIVENESS_AND_NTU.format(name=name),
        with_symbols(CURVES_CAPTION, symbols, arrangement=passes_words),
        with_symbols(POINT_ON_CURVES_TOLD, symbols, ntu=NTU, cr=Cr, effectiveness=eps),
    )


def _curve(
    x: Array,
    Cr: float,
    passed: Exchange,
    arrangement: Arrangement,
    tone: Tone,
    weight: float,
    symbols: SymbolSet,
) -> Series:
    coolant_is_min = bool(passed.C_hot[0] <= passed.C_cold[0])
    y = _effectiveness(x, Cr, coolant_is_min, float(passed.passes[0]), arrangement)
    return Series(f"{in_words('C_r', symbols)} = {plain_number(Cr, 2)}", x, y, tone, weight=weight)


def _effectiveness(NTU: Array, Cr: float, coolant_is_min: bool, passes: float, arrangement: Arrangement) -> Array:
    """The engine's own effectiveness over NTU at a capacity ratio; the smaller capacity rate is 1 W/K."""
    small, large = np.ones_like(NTU), np.full_like(NTU, 1.0 / max(Cr, 1e-9))
    hot, cold = (small, large) if coolant_is_min else (large, small)
    result = multipass(NTU, hot, cold, passes, arrangement).effectiveness
    result.setflags(write=False)
    return result
