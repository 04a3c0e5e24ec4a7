"""Layout of spans and dots in rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reports.plots.describe import Dot, Row, Rows, Tone
from reports.plots.layout.axes import draw_x_axis, draw_x_marks, last_tick_room, marks_room
from reports.plots.layout.sheet import Anchor, Box, PictureSheet, Places, along, apart

LABEL_SHARE = 0.34  # of the width, for the labels at most
BAR = 0.95  # of the type size, the height of a bar


def rows(sheet: PictureSheet, plot: Rows) -> float:
    """Put rows on the sheet; returns the height."""
    top = _key(sheet, plot.key, sheet.title(plot.words.title))
    labels = [sheet.wrapped(row.label, LABEL_SHARE * sheet.width) for row in plot.rows]
    left, right = _sides(sheet, plot, labels)
    place = along(plot.x, left, right)
    below_bars = [1.1 * sheet.line if _ends_meet(sheet, row, place) else 0.0 for row in plot.rows]
    bars = [_height(sheet, row, lines) for row, lines in zip(plot.rows, labels, strict=True)]
    box = Box(left, top, right, top + sum(bars) + sum(below_bars))
    room = marks_room(sheet, plot.marks, plot.x, box)
    top, box = top + room, Box(box.left, box.top + room, box.right, box.bottom + room)
    below = draw_x_axis(sheet, plot.x, box)
    draw_x_marks(sheet, plot.marks, plot.x, box)
    y = top
    for row, lines, height, under in zip(plot.rows, labels, bars, below_bars, strict=True):
        _label(sheet, lines, y, height)
        _row(sheet, row, _RowPlace(place, box.left, y + height - 0.95 * sheet.size, under > 0.0))
        y += height + under
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
    """One row's height down to its bars: its label, and a line more where dots carry words above them."""
    above = 1.1 * sheet.line if _words_above(row) else 0.0
    return max(len(lines) * sheet.line, 1.2 * sheet.size + above) + 0.75 * sheet.size


def _words_above(row: Row) -> bool:
    """Whether the words of a row's dots stand above them: one dot alone has them beside it."""
    return any(dot.words for dot in row.dots) and (len(row.dots) > 1 or bool(row.spans))


def _ends_meet(sheet: PictureSheet, row: Row, place: Places) -> bool:
    """Whether words beside the ends of a row's spans would stand on another span or on a dot."""
    dots = [(place.at(dot.at) - sheet.pad, place.at(dot.at) + sheet.pad) for dot in row.dots]
    for span in row.spans:
        low, high = place.at(span.low), place.at(span.high)
        before, after = (
            sheet.measure(words, sheet.size, False) + sheet.pad if words else 0.0
            for words in (span.low_words, span.high_words)
        )
        beside = [(low - before, low), (high, high + after)]
        others = [(place.at(other.low), place.at(other.high)) for other in row.spans if other is not span]
        for start, stop in beside:
            if start < stop and any(start < end and begin < stop for begin, end in (*others, *dots)):
                return True
    return False


def _sides(sheet: PictureSheet, plot: Rows, labels: Sequence[Sequence[str]]) -> tuple[float, float]:
    """The sides of the box of the bars, narrowed until the words at their ends fit between labels and margin."""
    left = sheet.widest([line for lines in labels for line in lines]) + 1.5 * sheet.pad
    right = sheet.width - last_tick_room(sheet, plot.x)
    low, high = left, right
    for _ in range(3):  # narrowing moves the ends a little: settles at once in practice
        place = along(plot.x, low, high)
        over = [(left - (place.at(at) - wide), True) for at, wide in _low_ends(sheet, plot)]
        over += [((place.at(at) + wide) - sheet.width, False) for at, wide in _high_ends(sheet, plot)]
        more_left = max((o for o, is_low in over if is_low), default=0.0)
        more_right = max((o for o, is_low in over if not is_low), default=0.0)
        low, high = low + max(more_left, 0.0), high - max(more_right, 0.0)
    return low, high


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


@dataclass(frozen=True)
class _RowPlace:
    """Where one row's bars stand."""

    place: Places  # along the axis
    left: float  # of the box of the bars
    middle: float  # of the bars, down the sheet
    words_below: bool  # of the spans' ends: beside them they would stand on another mark

    def base(self, sheet: PictureSheet) -> float:
        """Base line of words beside the bars."""
        return self.middle + 0.35 * sheet.size


def _row(sheet: PictureSheet, row: Row, line: _RowPlace) -> None:
    """Draw one row: its spans as bars, its dots with their words, and what it is called."""
    place, middle = line.place, line.middle
    for span in row.spans:
        low, high = (place.at(at) for at in (span.low, span.high))
        half = (0.16 if span.thin else BAR / 2.0) * sheet.size
        high = max(high, low + 0.15 * sheet.size)  # a span of nothing still shows
        sheet.rectangle(Box(low, middle - half, high, middle + half), span.tone, 0.9)
    _words_of_spans(sheet, row, line)
    xs = [place.at(dot.at) for dot in row.dots]
    for dot, x in zip(row.dots, xs, strict=True):
        sheet.point(x, middle, dot.tone, dot.shape)
    if not _words_above(row):
        for dot, x in zip(row.dots, xs, strict=True):
            sheet.text(dot.words, x + 1.6 * sheet.pad, line.base(sheet), backed=True)
        return
    over = [(x, dot.words, dot.tone) for x, dot in zip(xs, row.dots, strict=True)]
    _words_along(sheet, over, line.left, middle - 0.85 * sheet.size)


def _words_of_spans(sheet: PictureSheet, row: Row, line: _RowPlace) -> None:
    """The words of the spans' ends beside them, or on a line of their own below."""
    place = line.place
    if line.words_below:
        ends = [
            (place.at(at), words, span.tone)
            for span in row.spans
            for at, words in ((span.low, span.low_words), (span.high, span.high_words))
        ]
        _words_along(sheet, ends, line.left, line.middle + 1.45 * sheet.size)
        return
    for span in row.spans:  # words after all bars: no other span strikes them through
        if span.low_words:
            sheet.text(span.low_words, place.at(span.low) - sheet.pad, line.base(sheet), anchor=Anchor.END, backed=True)
        if span.high_words:
            sheet.text(span.high_words, place.at(span.high) + sheet.pad, line.base(sheet), backed=True)


def _words_along(sheet: PictureSheet, entries: Sequence[tuple[float, str, Tone]], left: float, base: float) -> None:
    """Words at their places, moved apart where they would meet, and never left of the box among the labels."""
    told = sorted((entry for entry in entries if entry[1]), key=lambda entry: entry[0])
    widest = sheet.widest([words for _, words, _ in told])
    low, high, least = left + widest / 2.0, sheet.width - widest / 2.0, widest + sheet.pad
    places = apart([x for x, _, _ in told], least, low, high)
    shift = sum(x - at for (x, _, _), at in zip(told, places, strict=True)) / max(len(told), 1)
    places = apart([at + shift for at in places], least, low, high)  # back to the middle of what they belong to
    for at, (_, words, tone) in zip(places, told, strict=True):
        sheet.text(words, at, base, tone=tone, anchor=Anchor.MIDDLE, backed=True)
