"""Axes, grids and marks that lines charts, rows and maps share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reports.plots.describe import Axis, Mark, Tone
from reports.plots.layout.sheet import Anchor, Box, PictureSheet, along
from reports.plots.scale import tick_words


def draw_x_axis(sheet: PictureSheet, axis: Axis, box: Box, *, grid: bool = True) -> float:
    """Ticks, their words and the title under the box; returns the y below all that."""
    place = along(axis, box.left, box.right)
    y = box.bottom + sheet.line
    free = -np.inf
    for tick, words in zip(axis.ticks, tick_words(axis), strict=True):
        x = place.at(tick)
        if grid:
            sheet.stroke(((x, box.top), (x, box.bottom)), Tone.GRID, 0.7)
        half = sheet.measure(words, sheet.size, False) / 2.0
        if x - half >= free:  # where the words would run together, every second tick stays without
            sheet.text(words, x, y, tone=Tone.MUTED, anchor=Anchor.MIDDLE)
            free = x + half + sheet.pad
    sheet.stroke(((box.left, box.bottom), (box.right, box.bottom)), Tone.MUTED, 0.8)
    y += sheet.line
    sheet.text(axis.title, (box.left + box.right) / 2.0, y, tone=Tone.MUTED, anchor=Anchor.MIDDLE)
    return y + 0.5 * sheet.size


def last_tick_room(sheet: PictureSheet, axis: Axis) -> float:
    """Room that the words of the last tick need right of the box."""
    return max(0.5 * sheet.widest(tick_words(axis)[-1:]), 0.8 * sheet.size)


def y_gutter(sheet: PictureSheet, axis: Axis) -> float:
    """Room that the words of the ticks take left of the box."""
    return sheet.widest(tick_words(axis)) + 1.5 * sheet.pad


def draw_y_axis(sheet: PictureSheet, axis: Axis, box: Box, *, grid: bool = True, room: float = 0.0) -> None:
    """Ticks and their words left of the box, the title above its left edge and above ``room`` that other words take."""
    place = along(axis, box.bottom, box.top)
    for tick, words in zip(axis.ticks, tick_words(axis), strict=True):
        y = place.at(tick)
        if grid:
            sheet.stroke(((box.left, y), (box.right, y)), Tone.GRID, 0.7)
        sheet.text(words, box.left - sheet.pad, y + 0.35 * sheet.size, tone=Tone.MUTED, anchor=Anchor.END)
    sheet.stroke(((box.left, box.top), (box.left, box.bottom)), Tone.MUTED, 0.8)
    sheet.text(axis.title, 0.0, box.top - room - sheet.size, tone=Tone.MUTED)


@dataclass(frozen=True)
class _Placed:
    """An upright mark with the place of its line and of its words, on a level above the box."""

    mark: Mark
    x: float
    start: float
    level: int


def _placed(sheet: PictureSheet, marks: Sequence[Mark], axis: Axis, box: Box) -> list[_Placed]:
    """Words over their lines, left of them where the next line is near, and on higher levels where they would meet."""
    place = along(axis, box.left, box.right)
    ordered = sorted(marks, key=lambda m: m.at)
    xs = [place.at(m.at) for m in ordered]
    ends: list[float] = []  # of the words on each level so far
    found = []
    for i, (mark, x) in enumerate(zip(ordered, xs, strict=True)):
        wide = sheet.measure(mark.words, sheet.size, False)
        crowded = i + 1 < len(xs) and xs[i + 1] < x + wide / 2.0 + sheet.pad
        start = min(max(x - (wide if crowded else wide / 2.0), 0.0), sheet.width - wide)
        level = next((n for n, end in enumerate(ends) if start > end + sheet.pad), len(ends))
        ends[level : level + 1] = [start + wide]
        found.append(_Placed(mark, x, start, level))
    return found


def marks_room(sheet: PictureSheet, marks: Sequence[Mark], axis: Axis, box: Box) -> float:
    """Height that the words of upright marks take above a box of this left and right."""
    levels = [p.level for p in _placed(sheet, marks, axis, box)]
    return (max(levels) + 1) * sheet.line + 0.3 * sheet.size if levels else 0.0


def draw_x_marks(sheet: PictureSheet, marks: Sequence[Mark], axis: Axis, box: Box) -> None:
    """Upright lines through the box, each with its words above."""
    for p in _placed(sheet, marks, axis, box):
        foot = box.top - p.level * sheet.line - 0.3 * sheet.size
        sheet.stroke(((p.x, foot), (p.x, box.bottom)), p.mark.tone, 1.4, p.mark.line)
        sheet.text(p.mark.words, p.start, foot - 0.25 * sheet.size, tone=p.mark.tone, backed=True)
