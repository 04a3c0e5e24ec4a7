"""Sweeps, maps, rankings and cycles as pictures: what was swept, where the limit stands, which change gains most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from engcalc.studies.cycle import Cycle
from engcalc.studies.sensitivity import Sensitivities, Share
from engcalc.studies.sizing import Option, Sizing
from engcalc.studies.sweeps import AxisOf, MarginMap, Sweep
from engcalc.units import Array, UnitSystem, show
from engcalc.words.numbers import capital, minutes, temperature
from engcalc.words.picture_words import (
    COURSE_TOLD,
    GAIN_CAPTION,
    MAP_SETTLES,
    MAP_TOLD,
    PRESSURE_CAPTION,
    SENSITIVITY_CAPTION,
    SWEEP_SETTLES,
)
from engcalc.words.sizing_words import step_words
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
        Swept("coolant out of the engine", found.values, T, Tone.COOLANT),
        Swept("limit", found.values, found.limit, Tone.LIMIT, Line.DASHED),
    ]
    crossing = _crossing(found)
    where = "" if crossing is None else f" The limit is reached at {_about(crossing, found.axis.kind, system)}."
    boils = " Where the curve ends flat the coolant boils." if found.boils.any() else ""
    words = Words(
        f"{found.name}: coolant temperature over {_plain(found.axis)}",
        f"{_drawn(found)} All else is as in the duty.{where}{boils}",
        COURSE_TOLD.format(
            axis=_plain(found.axis), ends=_ends(found, system), drawn=_drawn(found), where=where, boils=boils
        ),
    )
    return line_chart(
        words,
        _quantity(found.axis),
        AxisQuantity("Coolant out of the engine", "temperature"),
        swept,
        system,
        Guides(spots=tuple(_spots(found, crossing, system))),
    )


def _drawn(found: Sweep) -> str:
    """Which temperature the curve is."""
    if found.duration is not None:
        return f"The curve is {_hottest(found.duration, found.goes_round)}."
    mean = "; where the fan switches, its mean" if found.point.cycles.any() else ""
    return SWEEP_SETTLES.format(mean=mean)


def _hottest(duration: float, goes_round: bool) -> str:
    """The quantity of a duty that is followed in time."""
    of = ", gone round until it repeats" if goes_round else ""
    return f"the hottest within the duty's {minutes(duration)}{of}"


def _margin_of(found: MarginMap) -> str:
    """What the margin of a map counts from."""
    if found.duration is not None:
        return f"It counts from {_hottest(found.duration, found.goes_round)}."
    top = ", where the fan switches from the top of its swing" if found.point.cycles.any() else ""
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
    boils = " Beyond boiling the map counts on to where the coolant would settle." if found.boils.any() else ""
    words = Words(
        f"{found.name}: margin under the limit",
        f"Below zero the limit is broken. {_margin_of(found)}{boils}",
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
        rows.append(_option_row(f"The best {len(found.best)} of different sides together", found.together, system))
    wanted = found.wanted_margin - found.margin
    marks = (
        (Mark(_kelvins(wanted, system), f"wanted: {show(wanted, DIFFERENCE, system)}", Tone.LIMIT),)
        if wanted > 0.0
        else ()
    )
    values = [0.0, *(m.at for m in marks), *(v for row in rows for span in row.spans for v in (span.low, span.high))]
    words = Words(
        f"What each change gains: {found.name}",
        GAIN_CAPTION + (" A bar that passes the line holds the limit with the margin wanted." if marks else ""),
        f"Gains: {_told(rows)}.",
    )
    return Rows(words, axis("Gain in margin", DIFFERENCE, system, values), tuple(rows), marks, _OPTIONS_KEY)


_OPTIONS_KEY = (
    Dot(0.0, Tone.WORK, "holds the limit with the margin wanted"),
    Dot(0.0, Tone.COOLANT, "does not suffice alone"),
)


def _told(rows: Sequence[Row]) -> str:
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
        f"What the coolant temperature hangs on: {found.name}",
        SENSITIVITY_CAPTION,
        f"{_told(rows)}.",
    )
    return Rows(words, axis("Change of the coolant temperature", DIFFERENCE, system, values), tuple(rows))


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
        f"What holds the {way} back: {found.name}",
        PRESSURE_CAPTION,
        f"{_told(rows)}.",
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
    open_end = "" if found.closed or not found.repeats else " The cycle has not closed on itself."
    words = Words(
        "Coolant over one cycle" if found.repeats else "Coolant over duties one after another",
        f"It begins with {found.legs[0].name}; each upright line begins the next leg. Peak {peak}, mean {mean}."
        f"{open_end}",
        f"Coolant out of the engine over {show(float(ends[-1]), 'time', system)}: peak {peak}, mean {mean}, limit "
        f"{show(limit, 'temperature', system)}.",
    )
    swept = [Swept("coolant out of the engine", found.time, found.coolant, Tone.COOLANT)]
    guide = Mark(limit, f"limit {temperature(limit, system)}", Tone.LIMIT)
    return line_chart(
        words,
        AxisQuantity("Time", "time", zero=True),
        AxisQuantity("Coolant out of the engine", "temperature"),
        swept,
        system,
        Guides(along_x=marks, along_y=(guide,)),
    )
