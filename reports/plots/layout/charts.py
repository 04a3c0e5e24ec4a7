"""Layout of line charts and of maps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from engcalc.units import Array
from reports.plots.describe import Axis, Chart, LabelledPoint, LevelLine, Line, Map, Region, Series, Tone
from reports.plots.layout.axes import draw_x_axis, draw_x_marks, draw_y_axis, last_tick_room, marks_room, y_gutter
from reports.plots.layout.sheet import Anchor, Box, PictureSheet, along, apart
from reports.plots.scale import tick_words

HEIGHT = 0.58  # of the width
LIMIT_LINE = 3.0  # width of the level at which the limit is reached; the other levels have 0.8
PICK = 0.8  # of the size of the type: half a side of what answers a click
NAMES = 0.3  # of the width, that the names of lines take at most: longer ones are wrapped


def chart(sheet: PictureSheet, plot: Chart) -> float:
    """Put a line chart on the sheet; returns its height."""
    top = _key(sheet, plot, sheet.title(plot.words.title))
    named = [s for s in plot.series if s.line is not Line.NONE and s.name]
    top += 1.6 * sheet.line
    names = min(sheet.widest([s.name for s in named]), NAMES * sheet.width) + 2.0 * sheet.pad
    box = _box(sheet, top, y_gutter(sheet, plot.y), max(names, last_tick_room(sheet, plot.x)))
    room = marks_room(sheet, plot.x_marks, plot.x, box)
    box = Box(box.left, box.top + room, box.right, box.bottom + room)
    below = draw_x_axis(sheet, plot.x, box)
    draw_y_axis(sheet, plot.y, box, room=room)
    x, y = along(plot.x, box.left, box.right), along(plot.y, box.bottom, box.top)
    for band in plot.bands:
        edge = np.column_stack(
            [np.concatenate([x(band.x), x(band.x)[::-1]]), np.concatenate([y(band.low), y(band.high)[::-1]])]
        )
        sheet.fill((edge,), band.tone, 0.2)
    for series in plot.series:
        _series(sheet, series, x(series.x), y(series.y), _half_heights(series, plot.y, box))
    _names(sheet, named, plot.y, box)
    for mark in plot.y_marks:
        at = y.at(mark.at)
        sheet.stroke(((box.left, at), (box.right, at)), mark.tone, 1.4, mark.line)
        sheet.text(mark.words, box.left + sheet.pad, at - 0.35 * sheet.size, tone=mark.tone, backed=True)
    draw_x_marks(sheet, plot.x_marks, plot.x, box)
    _spots(sheet, plot.spots, plot.x, plot.y, box)
    for pick in plot.picks:
        sheet.target(pick.key, _around(sheet, x.at(pick.x), y.at(pick.y)))
    return below


def _around(sheet: PictureSheet, x: float, y: float) -> Box:
    """A square about a point, large enough for a hand."""
    half = PICK * sheet.size
    return Box(x - half, y - half, x + half, y + half)


def _box(sheet: PictureSheet, top: float, gutter: float, margin: float) -> Box:
    height = max(HEIGHT * sheet.width, 9.0 * sheet.line) - 3.5 * sheet.line
    return Box(gutter, top, sheet.width - margin, top + height)


def _key(sheet: PictureSheet, plot: Chart, top: float) -> float:
    """What points and bands mean, in a line (or more) under the title."""
    entries = [(s.name, s) for s in plot.series if s.line is Line.NONE and s.name]
    x, y = 0.0, top
    for words, series in entries:
        wide = sheet.measure(words, sheet.size, False) + 2.5 * sheet.size
        if x > 0.0 and x + wide > sheet.width:
            x, y = 0.0, y + sheet.line
        if series.shape is not None:
            sheet.point(x + 0.5 * sheet.size, y + 0.6 * sheet.size, series.tone, series.shape)
        sheet.text(words, x + 1.3 * sheet.size, y + sheet.size, tone=Tone.MUTED)
        x += wide
    for band in plot.bands:
        if band.name:
            y += sheet.line if entries else 0.0
            swatch = Box(0.0, y + 0.2 * sheet.size, sheet.size, y + sheet.size)
            sheet.rectangle(swatch, band.tone, 0.3)
            sheet.text(band.name, 1.3 * sheet.size, y + sheet.size, tone=Tone.MUTED)
            entries = [*entries, (band.name, plot.series[0])]
    return y + sheet.line if entries else y


def _half_heights(series: Series, axis: Axis, box: Box) -> Array | None:
    if series.y_error is None:
        return None
    return series.y_error * (box.height / (axis.limits[1] - axis.limits[0]))


def _series(sheet: PictureSheet, series: Series, x: Array, y: Array, half: Array | None) -> None:
    if series.line is not Line.NONE:
        sheet.stroke(np.column_stack([x, y]), series.tone, 1.6 * series.weight, series.line)
    if half is not None:
        for at, middle, h in zip(x, y, half, strict=True):
            sheet.stroke(((at, middle - h), (at, middle + h)), series.tone, 1.2)
    if series.shape is not None:
        for at, middle in zip(x, y, strict=True):
            sheet.point(at, middle, series.tone, series.shape)


def _names(sheet: PictureSheet, named: Sequence[Series], axis: Axis, box: Box) -> None:
    """Each line's name at its right end, moved apart where lines end close together."""
    place = along(axis, box.bottom, box.top)
    ends = sorted(((place.at(s.y[-1]), s) for s in named), key=lambda pair: pair[0])
    told = [sheet.wrapped(s.name, NAMES * sheet.width) for _, s in ends]
    most = max((len(lines) for lines in told), default=1)
    places = apart([at for at, _ in ends], most * sheet.line, box.top, box.bottom)
    for at, (_, series), lines in zip(places, ends, told, strict=True):
        first = at + 0.35 * sheet.size - 0.5 * (len(lines) - 1) * sheet.line
        for i, words in enumerate(lines):
            sheet.text(words, box.right + sheet.pad, first + i * sheet.line, tone=series.tone)


def _spots(sheet: PictureSheet, spots: Sequence[LabelledPoint], x_axis: Axis, y_axis: Axis, box: Box) -> None:
    """The points, then their names: each where it lies on no other point and no other name, nor on an axis.

    What was picked out has its name in any case; a point of many goes without where there is no such place.
    """
    x, y = along(x_axis, box.left, box.right), along(y_axis, box.bottom, box.top)
    at = [(x.at(spot.x), y.at(spot.y)) for spot in spots]
    for spot, (left, top) in zip(spots, at, strict=True):
        sheet.point(left, top, spot.tone, spot.shape)
    taken: list[Box] = []
    for number in reversed(range(len(spots))):
        if not spots[number].words:
            continue
        lines = sheet.wrapped(spots[number].words, 0.42 * box.width)
        others = [one for i, one in enumerate(at) if i != number]
        places = _places(at[number], sheet.size, sheet.widest(lines), len(lines), box)
        clear = [one for one in places if _is_clear(one, others, taken, sheet.size)]
        if clear or spots[number].tone is not Tone.INK:
            off_axes = [one for one in clear if box.top <= one.top and one.bottom <= box.bottom]
            place = (off_axes or clear or places)[0]
            taken.append(place)
            for i, words in enumerate(lines):
                sheet.text(words, place.left, place.top + (1.0 + 1.3 * i) * sheet.size, backed=True)


def _places(at: tuple[float, float], size: float, wide: float, lines: int, box: Box) -> list[Box]:
    """Where a name may stand: beneath its point towards the middle, beneath it outwards, above it in the same order."""
    x, y = at
    high = (1.3 * lines - 0.05) * size
    right, left = x + 0.8 * size, x - 0.8 * size - wide
    sides = (right, left) if x < box.left + 0.55 * box.width else (left, right)
    tops = (y + 0.4 * size, y - 0.4 * size - high)
    return [Box(side, top, side + wide, top + high) for top in tops for side in sides]


def _is_clear(place: Box, others: Sequence[tuple[float, float]], taken: Sequence[Box], size: float) -> bool:
    """Whether no other point lies on a name or close to it, where it would be read as that one's, and no other name."""
    near = 0.8 * size
    on_point = any(
        place.left - near < x < place.right + near and place.top - near < y < place.bottom + near for x, y in others
    )
    on_name = any(
        place.left < one.right and one.left < place.right and place.top < one.bottom and one.top < place.bottom
        for one in taken
    )
    return not on_point and not on_name


def heat_map(sheet: PictureSheet, plot: Map) -> float:
    """Put a map on the sheet; returns its height."""
    top = sheet.title(plot.words.title) + 1.6 * sheet.line
    margin = max(sheet.widest(tick_words(plot.value)), 0.0) + 2.6 * sheet.size
    box = _box(sheet, top, y_gutter(sheet, plot.y), margin)
    x, y = along(plot.x, box.left, box.right), along(plot.y, box.bottom, box.top)
    for region in plot.regions:
        for rings in region.polygons:
            placed = [np.column_stack([x(ring[:, 0]), y(ring[:, 1])]) for ring in rings]
            sheet.fill(placed, plot.tone, _strength(region))
    below = draw_x_axis(sheet, plot.x, box, grid=False)
    draw_y_axis(sheet, plot.y, box, grid=False)
    for level in plot.levels:
        width = LIMIT_LINE if level.limit else 0.8
        for piece in level.pieces:
            sheet.stroke(np.column_stack([x(piece[:, 0]), y(piece[:, 1])]), Tone.INK, width)
        _level_words(sheet, level, plot, box)
    _value_key(sheet, plot, box)
    _spots(sheet, plot.spots, plot.x, plot.y, box)
    return below


def _strength(region: Region) -> float:
    return 0.08 + 0.82 * region.share


def _level_words(sheet: PictureSheet, level: LevelLine, plot: Map, box: Box) -> None:
    if level.pieces:
        longest = max(level.pieces, key=len)
        middle = longest[len(longest) // 2]
        x = along(plot.x, box.left, box.right).at(middle[0])
        y = along(plot.y, box.bottom, box.top).at(middle[1])
        sheet.text(level.words, x, y + 0.35 * sheet.size, anchor=Anchor.MIDDLE, bold=True, backed=level.limit)


def _value_key(sheet: PictureSheet, plot: Map, box: Box) -> None:
    """The steps of colour from low to high, right of the box."""
    left = box.right + sheet.size
    sheet.text(plot.value.title, sheet.width, box.top - sheet.size, tone=Tone.MUTED, anchor=Anchor.END)
    step = box.height / max(len(plot.regions), 1)
    for i, region in enumerate(plot.regions):
        low = box.bottom - i * step
        sheet.rectangle(Box(left, low - step, left + sheet.size, low), plot.tone, _strength(region))
    place = along(plot.value, box.bottom, box.top)
    for tick, words in zip(plot.value.ticks, tick_words(plot.value), strict=True):
        y = place.at(tick)
        sheet.text(words, left + 1.4 * sheet.size, y + 0.35 * sheet.size, tone=Tone.MUTED)
