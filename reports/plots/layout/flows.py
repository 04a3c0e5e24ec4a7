"""Layout of watts that split and join: bars in columns, ribbons between them, words at the right of each bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engcalc.units import Array
from reports.plots.describe import Flow, FlowPart, Tone
from reports.plots.layout.sheet import Box, PictureSheet

HEIGHT = 0.36  # of the width
HIGHEST = 4.0  # of the height that the words alone would need: a single ribbon is no wall
CROWDED = 1.5  # of the height that the words alone would need, where the sheet is narrow
BAR = 0.6  # of the type size, the width of a bar
GAP = 0.35  # of the type size, between a bar and its words
RIBBON_STEPS = 24


@dataclass(frozen=True)
class _Column:
    """Where the bars of one column stand: x, and top and bottom of each part by its key."""

    left: float
    bars: dict[str, tuple[float, float]]


def flow(sheet: PictureSheet, plot: Flow) -> float:
    """Put a flow picture on the sheet; returns the height."""
    top = sheet.title(plot.words.title) + sheet.pad
    pitch = 2.0 * sheet.line + 0.35 * sheet.size  # two lines of words at each bar
    parts = max(len(column) for column in plot.columns) + max(len(plot.columns[-1]) - 1, 0)
    height = max(min(HEIGHT * sheet.width, HIGHEST * parts * pitch), CROWDED * parts * pitch)
    scale = _scale(plot, height, pitch)
    columns = _columns(sheet, plot, Box(0.0, top, sheet.width, top + height), scale, pitch)
    _ribbons(sheet, plot, columns, scale)
    for parts_of, column in zip(plot.columns, columns, strict=True):
        for part in parts_of:
            _bar(sheet, part, column)
    lowest = max(bottom for column in columns for _, bottom in column.bars.values())
    return max(lowest, top + pitch) + sheet.line


def _stack(heights: Sequence[float], pitch: float) -> list[float]:
    """Tops of bars stacked so that the words beside their middles keep clear of one another."""
    tops: list[float] = []
    for i, height in enumerate(heights):
        if i == 0:
            tops.append(max(0.0, (pitch - height) / 2.0))
            continue
        gap = max(0.3 * pitch, pitch - (heights[i - 1] + height) / 2.0)
        tops.append(tops[-1] + heights[i - 1] + gap)
    return tops


def _depth(plot: Flow, scale: float, pitch: float) -> float:
    """The height that the picture takes at a scale (lengths per unit of amount)."""
    deepest = 0.0
    start = 0.0
    for column in plot.columns:
        heights = [part.amount * scale for part in column]
        tops = _stack(heights, pitch)
        deepest = max(deepest, start + tops[-1] + max(heights[-1], pitch / 2.0))
        start += _carry(column, plot, tops)
    return deepest


def _carry(column: Sequence[FlowPart], plot: Flow, tops: Sequence[float]) -> float:
    """How far down the next column starts: at the top of the first part that goes on."""
    sources = {link.source for link in plot.links}
    going_on = [top for part, top in zip(column, tops, strict=True) if part.key in sources]
    return going_on[0] if going_on else 0.0


def _scale(plot: Flow, height: float, pitch: float) -> float:
    """The largest scale at which everything fits into the height."""
    whole = max(sum(part.amount for part in column) for column in plot.columns)
    low, high = 0.0, height / whole
    for _ in range(30):  # halved thirty times: to a billionth of the height
        middle = (low + high) / 2.0
        low, high = (middle, high) if _depth(plot, middle, pitch) <= height else (low, middle)
    return max(low, 0.05 * height / whole)


def _columns(sheet: PictureSheet, plot: Flow, box: Box, scale: float, pitch: float) -> list[_Column]:
    last_words = sheet.widest([line for part in plot.columns[-1] for line in (part.label, part.words)], bold=True)
    room = box.width - last_words - 2.0 * GAP * sheet.size - BAR * sheet.size
    lefts = _lefts(sheet, plot, room)
    columns, start = [], box.top
    for i, parts in enumerate(plot.columns):
        heights = [part.amount * scale for part in parts]
        tops = _stack(heights, pitch)
        bars = {
            part.key: (start + top, start + top + height)
            for part, top, height in zip(parts, tops, heights, strict=True)
        }
        columns.append(_Column(lefts[i], bars))
        start += _carry(parts, plot, tops)
    return columns


def _lefts(sheet: PictureSheet, plot: Flow, room: float) -> list[float]:
    """Where each column stands: at least its own words apart from the next, what is left over shared alike."""
    sources = {link.source for link in plot.links}
    steps = [
        sheet.widest([line for part in column if part.key in sources for line in (part.label, part.words)], bold=True)
        + (BAR + 2.0 * GAP) * sheet.size
        for column in plot.columns[:-1]
    ]
    over = room - sum(steps)
    steps = [step + over / len(steps) if over > 0.0 else step * room / sum(steps) for step in steps]
    return [sum(steps[:i]) for i in range(len(plot.columns))]


def _ribbons(sheet: PictureSheet, plot: Flow, columns: Sequence[_Column], scale: float) -> None:
    """Each link as a bent band; those of one part lie side by side in the order of the links."""
    used_out: dict[str, float] = {}
    used_in: dict[str, float] = {}
    tones = {part.key: part.tone for column in plot.columns for part in column}
    for link in plot.links:
        source, target = _find(link.source, columns), _find(link.target, columns)
        thick = link.amount * scale
        y0 = source.bars[link.source][0] + used_out.get(link.source, 0.0)
        y1 = target.bars[link.target][0] + used_in.get(link.target, 0.0)
        used_out[link.source] = used_out.get(link.source, 0.0) + thick
        used_in[link.target] = used_in.get(link.target, 0.0) + thick
        edge = _bent(source.left + BAR * sheet.size, y0, target.left, y1, thick)
        sheet.fill((edge,), tones[link.target], 0.32)


def _find(key: str, columns: Sequence[_Column]) -> _Column:
    return next(column for column in columns if key in column.bars)


def _bent(x0: float, y0: float, x1: float, y1: float, thick: float) -> Array:
    """The outline of a band from (x0, y0) to (x1, y1) that leaves and arrives level."""
    t = np.linspace(0.0, 1.0, RIBBON_STEPS)
    x = x0 + (x1 - x0) * t
    upper = y0 + (y1 - y0) * t * t * (3.0 - 2.0 * t)
    return np.concatenate([np.column_stack([x, upper]), np.column_stack([x, upper + thick])[::-1]])


def _bar(sheet: PictureSheet, part: FlowPart, column: _Column) -> None:
    top, bottom = column.bars[part.key]
    right = column.left + BAR * sheet.size
    sheet.rectangle(Box(column.left, top, right, max(bottom, top + 0.12 * sheet.size)), part.tone)
    middle = (top + bottom) / 2.0
    x = right + GAP * sheet.size
    sheet.text(part.label, x, middle - 0.15 * sheet.size, bold=True)
    sheet.text(part.words, x, middle - 0.15 * sheet.size + sheet.line, tone=Tone.INK)
