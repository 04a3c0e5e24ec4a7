"""Line charts and maps of whatever was computed over one or two quantities, from SI values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import cast

import contourpy
import numpy as np

from engcalc.units import Array, UnitSystem, plain_number
from reports.plots.describe import (
    Axis,
    Band,
    Chart,
    LabelledPoint,
    LevelLine,
    Line,
    Map,
    Mark,
    Marker,
    Pick,
    Region,
    Series,
    Tone,
    Words,
)
from reports.plots.scale import axis, round_ticks, shown, shown_one

MOST_LEVELS = 11  # round levels of a map, ends included


@dataclass(frozen=True)
class AxisQuantity:
    """What an axis shows: its label and its kind of :mod:`engcalc.units`; ``zero`` wants 0 on the axis."""

    label: str
    kind: str
    zero: bool = False


@dataclass(frozen=True, eq=False)
class Swept:
    """One line of a chart in SI: x and y of shape (n,), and low and high of a band around it where known."""

    name: str
    x: Array
    y: Array
    tone: Tone = Tone.FIRST
    line: Line = Line.SOLID
    shape: Marker | None = None
    low: Array | None = None
    high: Array | None = None


@dataclass(frozen=True)
class Guides:
    """Lines right across (``along_y``), upright lines (``along_x``), spots and points to pick, all in SI."""

    along_x: tuple[Mark, ...] = ()
    along_y: tuple[Mark, ...] = ()
    spots: tuple[LabelledPoint, ...] = ()
    picks: tuple[Pick, ...] = ()


def line_chart(
    words: Words,
    x: AxisQuantity,
    y: AxisQuantity,
    swept: Sequence[Swept],
    system: UnitSystem,
    guides: Guides = Guides(),
) -> Chart:
    """Lines over one quantity; everything given in SI, everything shown in ``system``."""
    series = tuple(
        Series(s.name, shown(s.x, x.kind, system), shown(s.y, y.kind, system), s.tone, s.line, s.shape) for s in swept
    )
    bands = tuple(
        Band("", shown(s.x, x.kind, system), shown(s.low, y.kind, system), shown(s.high, y.kind, system), s.tone)
        for s in swept
        if s.low is not None and s.high is not None
    )
    x_marks = tuple(replace(m, at=shown_one(m.at, x.kind, system)) for m in guides.along_x)
    y_marks = tuple(replace(m, at=shown_one(m.at, y.kind, system)) for m in guides.along_y)
    spots = _shown_spots(guides.spots, x, y, system)
    picks = tuple(replace(p, x=shown_one(p.x, x.kind, system), y=shown_one(p.y, y.kind, system)) for p in guides.picks)
    xs = [*np.concatenate([s.x for s in series]), *(m.at for m in x_marks), *(s.x for s in spots)]
    ys = [
        *np.concatenate([*(s.y for s in series), *(b.low for b in bands), *(b.high for b in bands)]),
        *(m.at for m in y_marks),
        *(s.y for s in spots),
    ]
    x_axis = axis(x.label, x.kind, system, xs, zero=x.zero)
    y_axis = axis(y.label, y.kind, system, ys, zero=y.zero)
    return Chart(words, x_axis, y_axis, series, bands, x_marks, y_marks, spots, picks)


def at_moment(chart: Chart, x: float, system: UnitSystem) -> Chart:
    """A chart with an upright line at one value of its x axis, in SI: the moment that is looked at."""
    mark = Mark(shown_one(x, chart.x.kind, system), "", Tone.INK, Line.DOTTED)
    return replace(chart, x_marks=(*chart.x_marks, mark))


def _shown_spots(
    spots: Sequence[LabelledPoint], x: AxisQuantity, y: AxisQuantity, system: UnitSystem
) -> tuple[LabelledPoint, ...]:
    return tuple(replace(s, x=shown_one(s.x, x.kind, system), y=shown_one(s.y, y.kind, system)) for s in spots)


@dataclass(frozen=True, eq=False)
class Grid:
    """Values over two quantities in SI: ``x`` of shape (n,), ``y`` of shape (m,), ``values`` (m, n), finite."""

    x: Array
    y: Array
    values: Array


def level_map(
    words: Words,
    x: AxisQuantity,
    y: AxisQuantity,
    value: AxisQuantity,
    grid: Grid,
    system: UnitSystem,
    spots: Sequence[LabelledPoint] = (),
    limit: float | None = None,
) -> Map:
    """A quantity over two others, in steps between round levels, with the level lines between them.

    The level at ``limit``, in SI, stands out where it is one of them.
    """
    xs, ys = shown(grid.x, x.kind, system), shown(grid.y, y.kind, system)
    values = shown(grid.values, value.kind, system)
    scale = axis(value.label, value.kind, system, values.ravel().tolist(), most=MOST_LEVELS)
    tracer = contourpy.contour_generator(xs, ys, values, fill_type=contourpy.FillType.OuterOffset)
    steps = list(pairwise(scale.ticks))
    regions = tuple(
        Region((i + 0.5) / len(steps), _polygons(*tracer.filled(low, high))) for i, (low, high) in enumerate(steps)
    )
    at_limit = None if limit is None else shown_one(limit, value.kind, system)
    levels = tuple(
        LevelLine(at, _level_name(at, scale, at_limit), tuple(cast("list[Array]", tracer.lines(at))), at == at_limit)
        for at in scale.ticks[1:-1]
    )
    return Map(
        words,
        _tight(x, xs, system),
        _tight(y, ys, system),
        scale,
        Tone.FIRST,
        regions,
        levels,
        _shown_spots(spots, x, y, system),
    )


def _level_name(at: float, scale: Axis, limit: float | None) -> str:
    return f"{plain_number(at)} {scale.unit}: limit" if at == limit else plain_number(at)


def _polygons(points: Sequence[Array], offsets: Sequence[Array]) -> tuple[tuple[Array, ...], ...]:
    """Each polygon as its rings, the outer one first."""
    return tuple(tuple(ring[a:b] for a, b in pairwise(ends)) for ring, ends in zip(points, offsets, strict=True))


def _tight(quantity: AxisQuantity, values: Array, system: UnitSystem) -> Axis:
    """An axis that ends where the values end: a map has no empty margin."""
    low, high = float(values.min()), float(values.max())
    inside = tuple(t for t in round_ticks(low, high) if low <= t <= high)
    return replace(axis(quantity.label, quantity.kind, system, (low, high)), limits=(low, high), ticks=inside)
