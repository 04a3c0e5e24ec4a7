"""Sweeps, maps, rankings and cycles as pictures: what was swept, where the limit stands, which change gains most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from engcalc.studies.choice.sizing import Option, Sizing
from engcalc.studies.duties.cycle import Cycle
from engcalc.studies.spread.sensitivity import Sensitivities, Share
from engcalc.studies.sweeps import AxisOf, MarginMap, Sweep
from engcalc.units import Array, UnitSystem, show
from engcalc.words.page.picture_words import (
    COURSE_TOLD,
    GAIN_CAPTION,
    MAP_SETTLES,
    MAP_TOLD,
    PRESSURE_CAPTION,
    SENSITIVITY_CAPTION,
    SWEEP_SETTLES,
)
from engcalc.words.sizing.sizing_words import step_words
from engcalc.words.terms.numbers import capital, minutes, temperature
from engcalc.words.texts import plot_texts, shared_texts
from reports.plots.describe import (
    Axis,
    Chart,
    Dot,
    LabelledPoint,
    Line,
    Map,
    Mark,
    Marker,
    Row,
    Rows,
    Span,
    Tone,
    Words,
)
from reports.plots.lines import AxisQuantity, Grid, Guides, Swept, level_map, line_chart
from reports.plots.scale import axis, shown_one

MOST_ROWS = 12  # of a ranking: more cannot be read at a glance
DIFFERENCE = "temperature difference"
LEAST_SHOWN = 0.05  # K; smaller sensitivities are left out


def sweep_chart(found: Sweep, system: UnitSystem) -> Chart:
    """Engine outlet over the swept input, with the limit; where it boils the curve stays at boiling."""
    T = found.coolant_out
    swept = [
        Swept(plot_texts.COOLANT_OUT_OF_THE_ENGINE, found.values, T, Tone.COOLANT),
        Swept("limit", found.values, found.limit, Tone.LIMIT, Line.DASHED),
    ]
    crossing = _crossing(found)
    where = (
        ""
        if crossing is None
        else plot_texts.LIMIT_IS_REACHED_AT.format(about=_about(crossing, found.axis.kind, system))
    )
    boils = plot_texts.WHERE_THE_CURVE_ENDS_FLAT_THE_COOLANT_BOILS if found.boils.any() else ""
    words = Words(
        plot_texts.COOLANT_TEMPERATURE_OVER.format(name=found.name, plain=_plain(found.axis)),
        plot_texts.ALL_ELSE_IS_AS_IN_THE_DUTY.format(drawn=_drawn(found), where=where, boils=boils),
        COURSE_TOLD.format(
            axis=_plain(found.axis), ends=_ends(found, system), drawn=_drawn(found), where=where, boils=boils
        ),
    )
    return line_chart(
        words,
        _quantity(found.axis),
        AxisQuantity(shared_texts.COOLANT_OUT_OF_THE_ENGINE, "temperature"),
        swept,
        system,
        Guides(spots=tuple(_spots(found, crossing, system))),
    )


def _drawn(found: Sweep) -> str:
    """Which temperature the curve is."""
    if found.duration is not None:
        return plot_texts.CURVE_IS.format(hottest=_hottest(found.duration, found.goes_round))
    mean = plot_texts.WHERE_THE_FAN_SWITCHES if found.point.cycles.any() else ""
    return SWEEP_SETTLES.format(mean=mean)


def _hottest(duration: float, goes_round: bool) -> str:
    """The quantity of a duty that is followed in time."""
    of = plot_texts.GONE_ROUND_UNTIL_IT_REPEATS if goes_round else ""
    return plot_texts.HOTTEST_WITHIN_THE_DUTYS.format(minutes=minutes(duration), of=of)


def _margin_of(found: MarginMap) -> str:
    """What the margin of a map counts from."""
    if found.duration is not None:
        return plot_texts.IT_COUNTS_FROM.format(hottest=_hottest(found.duration, found.goes_round))
    top = plot_texts.WHERE_THE_FAN_SWITCHES_FROM_THE_TOP if found.point.cycles.any() else ""
    return MAP_SETTLES.format(top=top)


def _about(value: float, kind: str, system: UnitSystem) -> str:
    """A place on the swept axis: temperatures in whole degrees, anything else to three digits."""
    return temperature(value, system) if kind == "temperature" else show(value, kind, system)


def _spots(found: Sweep, crossing: float | None, system: UnitSystem) -> Iterator[LabelledPoint]:
    """The duty as it is, and where the limit is reached."""
    now = found.axis.now
    if now is not None and _within(now, found):
        words = f"now, {_about(now, found.axis.kind, system)}"
        yield LabelledPoint(now, float(np.interp(now, *_ordered(found, found.coolant_out))), words, Tone.INK)
    if crossing is not None:
        yield LabelledPoint(
            crossing,
            float(np.interp(crossing, *_ordered(found, found.limit))),
            "limit reached",
            Tone.LIMIT,
            Marker.DIAMOND,
        )


def _within(value: float, found: Sweep) -> bool:
    return float(found.values.min()) <= value <= float(found.values.max())


def _ordered(found: Sweep, values: Array) -> tuple[Array, Array]:
    order = np.argsort(found.values)
    return found.values[order], values[order]


def _crossing(found: Sweep) -> float | None:
    """The first value of the input at which the margin is used up, along a straight line between two points."""
    x, margin = _ordered(found, found.margin)
    changes = np.flatnonzero((margin[:-1] >= 0.0) != (margin[1:] >= 0.0))
    if not changes.size:
        return None
    i = int(changes[0])
    return float(x[i] + (x[i + 1] - x[i]) * margin[i] / (margin[i] - margin[i + 1]))


def _ends(found: Sweep, system: UnitSystem) -> str:
    x, T = _ordered(found, found.coolant_out)
    told = (
        f"{show(float(T[i]), 'temperature', system)} at {show(float(x[i]), found.axis.kind, system)}" for i in (0, -1)
    )
    return ", ".join(told)


def _plain(axis_of: AxisOf) -> str:
    """The axis's label within a sentence."""
    return axis_of.label[:1].lower() + axis_of.label[1:]


def _quantity(axis_of: AxisOf) -> AxisQuantity:
    return AxisQuantity(axis_of.label, axis_of.kind)


def margin_picture(found: MarginMap, system: UnitSystem) -> Map:
    """The margin over two inputs in steps of colour, the duty itself as a spot where it lies within."""
    x_now, y_now = found.x_axis.now, found.y_axis.now
    inside = (
        x_now is not None
        and y_now is not None
        and found.x.min() <= x_now <= found.x.max()
        and found.y.min() <= y_now <= found.y.max()
    )
    spots = (
        (LabelledPoint(x_now, y_now, found.name, Tone.INK),)
        if inside and x_now is not None and y_now is not None
        else ()
    )
    short = float(np.mean(found.margin < 0.0))
    low, high = (show(float(f(found.margin)), DIFFERENCE, system) for f in (np.min, np.max))
    boils = plot_texts.BEYOND_BOILING_THE_MAP_COUNTS if found.boils.any() else ""
    words = Words(
        plot_texts.MARGIN_UNDER_THE_LIMIT.format(name=found.name),
        plot_texts.BELOW_ZERO_THE_LIMIT_IS_BROKEN.format(margin_of=_margin_of(found), boils=boils),
        MAP_TOLD.format(
            x=_plain(found.x_axis), y=_plain(found.y_axis), low=low, high=high, percent=round(100.0 * short)
        ),
    )
    return level_map(
        words,
        _quantity(found.x_axis),
        _quantity(found.y_axis),
        AxisQuantity("Margin", DIFFERENCE),
        Grid(found.x, found.y, found.margin),
        system,
        spots,
        limit=0.0,
    )


def options_picture(found: Sizing, system: UnitSystem) -> Rows:
    """The changes ranked by gain, what has to be gained as a line, and the three best made together."""
    ranked = [o for o in found.options if o.gain is not None][:MOST_ROWS]
    rows = [_option_row(o.change.name, o, system) for o in ranked]
    if found.together is not None:
        rows.append(
            _option_row(
                plot_texts.BEST_OF_DIFFERENT_SIDES_TOGETHER.format(best_count=len(found.best)), found.together, system
            )
        )
    wanted = found.wanted_margin - found.margin
    marks = (
        (Mark(_kelvins(wanted, system), f"wanted: {show(wanted, DIFFERENCE, system)}", Tone.LIMIT),)
        if wanted > 0.0
        else ()
    )
    values = [0.0, *(m.at for m in marks), *(v for row in rows for span in row.spans for v in (span.low, span.high))]
    words = Words(
        plot_texts.WHAT_EACH_CHANGE_GAINS.format(name=found.name),
        GAIN_CAPTION + (plot_texts.BAR_THAT_PASSES_THE_LINE_HOLDS if marks else ""),
        f"Gains: {_spoken_rows(rows)}.",
    )
    return Rows(words, axis("Gain in margin", DIFFERENCE, system, values), tuple(rows), marks, _OPTIONS_KEY)


_OPTIONS_KEY = (
    Dot(0.0, Tone.WORK, plot_texts.HOLDS_THE_LIMIT_WITH_THE_MARGIN_WANTED),
    Dot(0.0, Tone.COOLANT, plot_texts.DOES_NOT_SUFFICE_ALONE),
)


def _spoken_rows(rows: Sequence[Row]) -> str:
    """Rows of one bar each, for those who cannot see them."""
    return "; ".join(f"{row.label}: {row.spans[0].high_words or row.spans[0].low_words}" for row in rows)


def _kelvins(value: float, system: UnitSystem) -> float:
    return shown_one(value, DIFFERENCE, system)


def _option_row(label: str, option: Option, system: UnitSystem) -> Row:
    assert option.gain is not None  # only options with numbers are drawn
    at, told = _kelvins(option.gain, system), show(option.gain, DIFFERENCE, system)
    tone = Tone.WORK if option.holds else Tone.COOLANT
    span = Span(0.0, at, tone, high_words=told) if at >= 0.0 else Span(at, 0.0, tone, low_words=told)
    return Row(capital(label), (span,))


def sensitivity_picture(found: Sensitivities, system: UnitSystem) -> Rows:
    """The inputs on which the temperature hangs most, each with what it does over its step."""
    ranked = [s for s in found.ranked if abs(s.change) >= LEAST_SHOWN][:MOST_ROWS]
    rows = []
    for s in ranked:
        at, told = _kelvins(s.change, system), f"{show(s.change, DIFFERENCE, system)} {step_words(s, system)}"
        span = Span(0.0, at, Tone.COOLANT, high_words=told) if at >= 0.0 else Span(at, 0.0, Tone.AIR, low_words=told)
        rows.append(Row(s.label, (span,)))
    values = [0.0, *(v for row in rows for span in row.spans for v in (span.low, span.high))]
    words = Words(
        plot_texts.WHAT_THE_COOLANT_TEMPERATURE_HANGS_ON.format(name=found.name),
        SENSITIVITY_CAPTION,
        f"{_spoken_rows(rows)}.",
    )
    return Rows(words, axis(plot_texts.CHANGE_OF_THE_COOLANT_TEMPERATURE, DIFFERENCE, system, values), tuple(rows))


_SHARE_AXIS = Axis("Share", "fraction", "%", (0.0, 100.0), (0.0, 20.0, 40.0, 60.0, 80.0, 100.0))


def flow_shares(found: Sensitivities, *, coolant: bool) -> Rows | None:
    """Where the driving pressure goes, on the coolant's way or the air's; None where nothing flows."""
    shares: tuple[Share, ...] = found.coolant_flow if coolant else found.air_flow
    if not shares:
        return None
    way, tone = ("coolant", Tone.COOLANT) if coolant else ("air", Tone.AIR)
    rows = tuple(
        Row(capital(s.label), (Span(0.0, 100.0 * s.share, tone, high_words=f"{round(100.0 * s.share)} %"),))
        for s in shares
    )
    words = Words(
        plot_texts.WHAT_HOLDS_THE_BACK.format(way=way, name=found.name),
        PRESSURE_CAPTION,
        f"{_spoken_rows(rows)}.",
    )
    return Rows(words, _SHARE_AXIS, rows)


def cycle_chart(found: Cycle, system: UnitSystem) -> Chart:
    """The coolant over a closed cycle or over duties one after another, with the lowest limit and the legs' ends."""
    limit = min(leg.limit for leg in found.legs)
    ends = np.cumsum([leg.leg.duration for leg in found.legs])
    marks = tuple(
        Mark(float(begin), leg.name, Tone.MUTED, Line.DOTTED)
        for begin, leg in zip(ends[:-1], found.legs[1:], strict=True)
    )
    peak, mean = (show(T, "temperature", system) for T in (found.peak, found.mean))
    open_end = "" if found.closed or not found.repeats else plot_texts.CYCLE_HAS_NOT_CLOSED_ON_ITSELF
    words = Words(
        plot_texts.COOLANT_OVER_ONE_CYCLE if found.repeats else plot_texts.COOLANT_OVER_DUTIES_ONE_AFTER_ANOTHER,
        plot_texts.IT_BEGINS_WITH.format(name=found.legs[0].name, peak=peak, mean=mean, open_end=open_end),
        plot_texts.COOLANT_OUT_OF_THE_ENGINE_OVER.format(
            ends=show(float(ends[-1]), "time", system), peak=peak, mean=mean, limit=show(limit, "temperature", system)
        ),
    )
    swept = [Swept(plot_texts.COOLANT_OUT_OF_THE_ENGINE, found.time, found.coolant, Tone.COOLANT)]
    guide = Mark(limit, f"limit {temperature(limit, system)}", Tone.LIMIT)
    return line_chart(
        words,
        AxisQuantity("Time", "time", zero=True),
        AxisQuantity(shared_texts.COOLANT_OUT_OF_THE_ENGINE, "temperature"),
        swept,
        system,
        Guides(along_x=marks, along_y=(guide,)),
    )
