"""Layout of spans and dots in rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reports.plots.describe import Dot, Row, Rows, Tone
from reports.plots.layout.axes import draw_x_axis, draw_x_marks, last_tick_room, marks_room
from reports.plots.layout.sheet import Anchor, Box, PictureSheet, along, apart

LABEL_SHARE = 0.34  # of the width, for the labels at most
BAR = 0.95  # of the type size, the height of a bar


def rows(sheet: PictureSheet, plot: Rows) -> float:
    """Put rows on the sheet; returns the height."""
    top = _key(sheet, plot.key, sheet.title(plot.words.title))
    labels = [sheet.wrapped(row.label, LABEL_SHARE * sheet.width) for row in plot.rows]
    heights = [_height(sheet, row, lines) for row, lines in zip(plot.rows, labels, strict=True)]
    box = _box(sheet, plot, labels, top, top + sum(heights))
    room = marks_room(sheet, plot.marks, plot.x, box)
    top, box = top + room, Box(box.left, box.top + room, box.right, box.bottom + room)
    below = draw_x_axis(sheet, plot.x, box)
    draw_x_marks(sheet, plot.marks, plot.x, box)
    y = top
    for row, lines, height in zip(plot.rows, labels, heights, strict=True):
        _label(sheet, lines, y, height)
        _row(sheet, row, plot, box, y + height - 0.95 * sheet.size)
        y += height
    return below


def _key(sheet: PictureSheet, entries: Sequence[Dot], top: float) -> float:
    x, y = 0.0, top
    for entry in entries:
        wide = sheet.measure(entry.words, sheet.size, False) + 2.6 * sheet.size
        if x > 0.0 and x + wide > sheet.width:
            x, y = 0.0, y + sheet.line
        sheet.point(x + 0.5 * sheet.size, y + 0.65 * sheet.size, entry.tone, entry.shape)
        sheet.text(entry.words, x + 1.3 * sheet.size, y + sheet.size, tone=Tone.MUTED)
        x += wide
    return y + sheet.line + sheet.pad if entries else y


def _height(sheet: PictureSheet, row: Row, lines: Sequence[str]) -> float:
    """One row's height: its label, and a line more where dots carry words above them."""
    above = 1.1 * sheet.line if _words_above(row) else 0.0
    return max(len(lines) * sheet.line, 1.2 * sheet.size + above) + 0.75 * sheet.size


def _words_above(row: Row) -> bool:
    """Whether the words of a row's dots stand above them: one dot alone has them beside it."""
    return any(dot.words for dot in row.dots) and (len(row.dots) > 1 or bool(row.spans))


def _box(sheet: PictureSheet, plot: Rows, labels: Sequence[Sequence[str]], top: float, bottom: float) -> Box:
    """The box of the bars, narrowed until the words at their ends fit beside the labels and into the sheet."""
    left = sheet.widest([line for lines in labels for line in lines]) + 1.5 * sheet.pad
    right = sheet.width - last_tick_room(sheet, plot.x)
    box = Box(left, top, right, bottom)
    for _ in range(3):  # narrowing moves the ends a little: settles at once in practice
        place = along(plot.x, box.left, box.right)
        over = [(left - (place.at(at) - wide), True) for at, wide in _low_ends(sheet, plot)]
        over += [((place.at(at) + wide) - sheet.width, False) for at, wide in _high_ends(sheet, plot)]
        more_left = max((o for o, is_low in over if is_low), default=0.0)
        more_right = max((o for o, is_low in over if not is_low), default=0.0)
        box = Box(box.left + max(more_left, 0.0), top, box.right - max(more_right, 0.0), bottom)
    return box


def _low_ends(sheet: PictureSheet, plot: Rows) -> Iterator[tuple[float, float]]:
    for row in plot.rows:
        for span in row.spans:
            yield span.low, sheet.measure(span.low_words, sheet.size, False) + sheet.pad if span.low_words else 0.0


def _high_ends(sheet: PictureSheet, plot: Rows) -> Iterator[tuple[float, float]]:
    for row in plot.rows:
        for span in row.spans:
            yield span.high, sheet.measure(span.high_words, sheet.size, False) + sheet.pad if span.high_words else 0.0
        for dot in row.dots:
            wide = sheet.measure(dot.words, sheet.size, False)
            yield dot.at, wide / 2.0 if _words_above(row) else wide + 2.0 * sheet.pad


def _label(sheet: PictureSheet, lines: Sequence[str], top: float, height: float) -> None:
    first = top + height - 0.6 * sheet.size - (len(lines) - 1) * sheet.line
    for i, words in enumerate(lines):
        sheet.text(words, 0.0, first + i * sheet.line)


def _row(sheet: PictureSheet, row: Row, plot: Rows, box: Box, middle: float) -> None:
    place = along(plot.x, box.left, box.right)
    base = middle + 0.35 * sheet.size
    for span in row.spans:
        low, high = (place.at(at) for at in (span.low, span.high))
        half = (0.16 if span.thin else BAR / 2.0) * sheet.size
        high = max(high, low + 0.15 * sheet.size)  # a span of nothing still shows
        sheet.rectangle(Box(low, middle - half, high, middle + half), span.tone, 0.9)
    for span in row.spans:  # words last: no other span strikes them through
        if span.low_words:
            sheet.text(span.low_words, place.at(span.low) - sheet.pad, base, anchor=Anchor.END, backed=True)
        if span.high_words:
            sheet.text(span.high_words, place.at(span.high) + sheet.pad, base, backed=True)
    xs = [place.at(dot.at) for dot in row.dots]
    for dot, x in zip(row.dots, xs, strict=True):
        sheet.point(x, middle, dot.tone, dot.shape)
    if not _words_above(row):
        for dot, x in zip(row.dots, xs, strict=True):
            sheet.text(dot.words, x + 1.6 * sheet.pad, base, backed=True)
        return
    _words_over(sheet, row.dots, xs, box.left, middle - 0.85 * sheet.size)


def _words_over(sheet: PictureSheet, dots: Sequence[Dot], xs: Sequence[float], left: float, base: float) -> None:
    """Words over their dots, moved apart where they would meet, and never left of the box among the labels."""
    pairs = sorted(((x, dot) for x, dot in zip(xs, dots, strict=True) if dot.words), key=lambda pair: pair[0])
    widest = sheet.widest([dot.words for _, dot in pairs])
    low, high, least = left + widest / 2.0, sheet.width - widest / 2.0, widest + sheet.pad
    places = apart([x for x, _ in pairs], least, low, high)
    shift = sum(x - at for (x, _), at in zip(pairs, places, strict=True)) / max(len(pairs), 1)
    places = apart([at + shift for at in places], least, low, high)  # back to the middle of what they belong to
    for at, (_, dot) in zip(places, pairs, strict=True):
        sheet.text(dot.words, at, base, tone=dot.tone, anchor=Anchor.MIDDLE, backed=True)
