"""Blocks of words in cells of a picture: a name, numbers, what is healthy, and marks that have forms of their own.

A block is broken into lines first, so that its height is known before anything is put on the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from reports.plots.describe import Marker, MarkKind, PlaceWords, Tone
from reports.plots.layout.sheet import Box, PictureSheet

PAD = 0.3  # of the type size, within the outline of a mark
GAP = 0.25  # of the type size, above and below such an outline
PENNANT = 0.8  # of the type size, the height of a flag's pennant over its box
RING = 1.1  # of the type size, what the ring before a reading takes


class _Style(Enum):
    NAME = "name"
    NOW = "now"
    HEALTHY = "healthy"


_TONES = {_Style.NAME: Tone.INK, _Style.NOW: Tone.INK, _Style.HEALTHY: Tone.MUTED}


@dataclass(frozen=True)
class _Plain:
    """Lines of one style."""

    lines: tuple[str, ...]
    style: _Style

    def height(self, sheet: PictureSheet) -> float:
        return len(self.lines) * sheet.line


@dataclass(frozen=True)
class _Marked:
    """The lines of a mark."""

    lines: tuple[str, ...]
    kind: MarkKind

    def height(self, sheet: PictureSheet) -> float:
        own = len(self.lines) * sheet.line + 2.0 * (PAD + GAP) * sheet.size
        return own + (PENNANT * sheet.size if self.kind is MarkKind.FLAG else 0.0)


@dataclass(frozen=True)
class Block:
    """The words of one place, broken to a width."""

    parts: tuple[_Plain | _Marked, ...]
    width: float
    size: tuple[float, float]  # width that the words need, height


def block(sheet: PictureSheet, words: PlaceWords, width: float) -> Block:
    """The words of a place broken to a width."""
    parts: list[_Plain | _Marked] = []
    styled = ((words.name,), _Style.NAME), (words.now, _Style.NOW), (words.healthy, _Style.HEALTHY)
    for said, style in styled:
        lines = [line for text in said if text for line in sheet.wrapped(text, width, style is _Style.NAME)]
        if lines:
            parts.append(_Plain(tuple(lines), style))
    for mark in words.marks:
        room = width - 2.0 * PAD * sheet.size - (RING * sheet.size if mark.kind is MarkKind.READING else 0.0)
        lines = sheet.wrapped(mark.words, room, mark.kind is not MarkKind.READING)
        parts.append(_Marked(tuple(lines), mark.kind))
    height = sum(part.height(sheet) for part in parts)
    return Block(tuple(parts), width, (max((_wide(sheet, part) for part in parts), default=0.0), height))


def _wide(sheet: PictureSheet, part: _Plain | _Marked) -> float:
    if isinstance(part, _Plain):
        return sheet.widest(part.lines, part.style is _Style.NAME)
    ring = RING if part.kind is MarkKind.READING else 0.0
    return sheet.widest(part.lines, part.kind is not MarkKind.READING) + (2.0 * PAD + ring) * sheet.size


def put_block(sheet: PictureSheet, made: Block, x: float, top: float) -> Box:
    """Put a block on the sheet with its upper left corner at (x, top); returns where it stands."""
    y = top
    for part in made.parts:
        if isinstance(part, _Plain):
            _put_lines(sheet, part.lines, x, y, _TONES[part.style], part.style is _Style.NAME)
        else:
            _put_mark(sheet, part, x, y)
        y += part.height(sheet)
    return Box(x, top, x + made.size[0], y)


def _put_lines(sheet: PictureSheet, lines: tuple[str, ...], x: float, top: float, tone: Tone, bold: bool) -> None:
    for i, line in enumerate(lines):
        sheet.text(line, x, top + (i + 1) * sheet.line - 0.3 * sheet.size, tone=tone, bold=bold)


def _put_mark(sheet: PictureSheet, part: _Marked, x: float, top: float) -> None:
    s, flag = sheet.size, part.kind is MarkKind.FLAG
    box_top = top + GAP * s + (PENNANT * s if flag else 0.0)
    box = Box(x, box_top, x + _wide(sheet, part), box_top + len(part.lines) * sheet.line + 2.0 * PAD * s)
    if part.kind is MarkKind.READING:
        sheet.point(x + 0.45 * s, box.top + PAD * s + 0.6 * sheet.line, Tone.INK, Marker.RING)
        _put_lines(sheet, part.lines, x + (RING + PAD) * s, box.top + PAD * s, Tone.INK, False)
        return
    if part.kind is MarkKind.CHECK:
        sheet.rectangle(box, Tone.INK)
        _put_lines(sheet, part.lines, x + PAD * s, box.top + PAD * s, Tone.GROUND, True)
        return
    outline(sheet, box, Tone.LIMIT, 2.2)
    pole, tip = box.left + 0.11 * s, top + GAP * s
    sheet.stroke([(pole, box.top), (pole, tip)], Tone.LIMIT, 2.2)
    sheet.fill((((pole, tip), (pole + 0.9 * s, tip + 0.3 * s), (pole, tip + 0.6 * s)),), Tone.LIMIT)
    _put_lines(sheet, part.lines, x + PAD * s, box.top + PAD * s, Tone.INK, True)


def outline(sheet: PictureSheet, box: Box, tone: Tone, width: float) -> None:
    """The outline of a box, its width in tenths of the type size."""
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    sheet.stroke([*corners, corners[0], corners[1]], tone, width)
