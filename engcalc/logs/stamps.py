"""Time stamps of a log: clock, dates, ISO 8601, AM and PM, elapsed time, made into seconds that only go forward."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engcalc.logs.channels import scale
from engcalc.logs.dialects import DIALECTS
from engcalc.logs.notes import Note, NoteCode
from engcalc.units import Array
from engcalc.words.texts import log_texts

Rows = NDArray[np.intp]
Mask = NDArray[np.bool_]

HALF_DAY = 43200.0  # s
DAY = 86400.0  # s
LONGEST_DISORDER = 5.0  # s; a step back that is made good within this is a row out of order, not a clock set back
_MOST_LAYOUTS = 200  # ways of writing a stamp within one file
_MOST_RESTARTS = 50  # times that a clock may be set back
_WIDEST = 48  # characters of a stamp

_CLOCK = (
    r"(?P<hour>\d{1,4}):(?P<minute>\d{1,2})(?::(?P<second>\d{1,2})(?:[.,:](?P<fraction>\d{1,9}))?)?"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?"
)
_ZONE = r"\s*(?:(?P<zulu>Z|UTC|GMT)|(?P<sign>[+-])(?P<zone_hour>\d{2}):?(?P<zone_minute>\d{2})?)?(?:\s*[A-Z]{3,4})?"
_DATES = (
    r"(?P<year>\d{4})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})",
    r"(?P<year>\d{4})(?P<month>\d{2})(?P<day>\d{2})",
    r"(?P<day>\d{1,2})\.(?P<month>\d{1,2})\.(?P<year>\d{4}|\d{2})",
    r"(?P<first>\d{1,2})[/-](?P<other>\d{1,2})[/-](?P<year>\d{4}|\d{2})",
    r"(?P<day>\d{1,2})[-. ](?P<name>[A-Za-zäéû]{3,9})\.?[-. ](?P<year>\d{4}|\d{2})",
    r"(?:[A-Za-z]{3}\.?,? )?(?P<name>[A-Za-z]{3,9})\.? (?P<day>\d{1,2}),? (?P<year>\d{4})",
)
_PATTERNS = tuple(
    re.compile(p)
    for p in (
        _CLOCK + _ZONE,
        *(rf"{date}(?:[T_ ,-]+{_CLOCK}{_ZONE})?" for date in _DATES),
        r"(?P<year>\d{4})(?P<month>\d{2})(?P<day>\d{2})[T_ -]?(?P<hour>\d{2})(?P<minute>\d{2})(?P<second>\d{2})"
        r"(?:[.,](?P<fraction>\d{1,9}))?(?P<zulu>Z)?",
    )
)
_MONTHS = {name: number for dialect in DIALECTS for name, number in dialect.months.items()}


@dataclass(frozen=True)
class _Layout:
    """Where the digits of one way of writing stand, and what its letters add."""

    spans: dict[str, tuple[int, int]]
    month: int | None
    afternoon: bool | None
    zone_sign: float
    month_first: bool


@dataclass(frozen=True, eq=False)
class Stamps:
    """Seconds of each row, NaN where unreadable; whether they are a clock's, and whether they carry dates."""

    seconds: Array
    is_clock: bool
    has_date: bool
    notes: tuple[Note, ...]


def read_stamps(cells: Sequence[str], unit: str, month_first: bool | None = None) -> Stamps:
    """Seconds of each stamp; ``unit`` is the header's, empty when it has none."""
    numbers = _plain_numbers(cells)
    usable = int(np.isfinite(numbers).sum())
    filled = sum(map(bool, cells))
    if usable * 2 > filled or (usable and filled == usable):
        seconds, notes = _elapsed(numbers, unit)
        return Stamps(seconds, False, False, notes)
    return _clock_stamps(cells, month_first)


def looks_like_time(cell: str) -> bool:
    """Whether one cell reads as a clock time or a date."""
    return len(cell) <= _WIDEST and any(p.fullmatch(cell.strip()) for p in _PATTERNS) and ":" in cell


def _plain_numbers(cells: Sequence[str]) -> Array:
    if not any("_" in cell for cell in cells[:100]):  # Python's float would read 20210301_0800 as one number
        try:
            return _finite(np.array(list(map(float, cells))))
        except ValueError:
            pass
    out = np.full(len(cells), np.nan)
    some = [cell for cell in cells[:1000] if cell]
    if sum(":" in cell for cell in some) * 2 > len(some):
        return out  # a clock: spare a million failures
    for i, cell in enumerate(cells):
        if cell and cell[0] in "0123456789-+.," and "_" not in cell:
            try:
                out[i] = float(cell.replace(",", ".") if cell.count(",") == 1 and "." not in cell else cell)
            except ValueError:
                continue
    return _finite(out)


def _finite(x: Array) -> Array:
    return np.where(np.isfinite(x), x, np.nan)


def _elapsed(numbers: Array, unit: str) -> tuple[Array, tuple[Note, ...]]:
    """Seconds from plain numbers; without a unit their size and spacing tell it."""
    numbers = np.where(np.abs(numbers) < 1e20, numbers, np.nan)
    known = scale(unit, "short time") if unit else None
    good = numbers[np.isfinite(numbers)]
    if known is not None or good.size == 0:
        factor = 1.0 if known is None else known.slope
        return (numbers - good[0] if good.size else numbers) * factor, ()
    factor, name = _guessed_unit(good)
    note = Note(
        NoteCode.UNIT_ASSUMED,
        log_texts.TIMES_CARRY_NO_UNIT.format(name=name),
        channel="time",
        numbers={"seconds_per_unit": factor},
    )
    return (numbers - good[0]) * factor, (note,)


def _guessed_unit(good: Array) -> tuple[float, str]:
    """Seconds per unit: epoch times by their size, spreadsheet days by small steps, milliseconds by large."""
    size = abs(float(np.median(good)))
    for least, factor, name in (
        (1e17, 1e-9, "nanoseconds"),
        (1e14, 1e-6, "microseconds"),
        (1e11, 1e-3, "milliseconds"),
        (1e8, 1.0, log_texts.SECONDS_OF_A_UNIX_CLOCK),
    ):
        if size > least:
            return factor, name
    steps = np.diff(good)
    steps = steps[steps > 0.0]
    step = float(np.median(steps)) if steps.size else 1.0
    if 2e4 < size < 8e4 and step < 0.01:
        return DAY, log_texts.DAYS_OF_A_SPREADSHEET
    if (step >= 50.0 and good.size >= 100) or float(np.ptp(np.percentile(good, (2.0, 98.0)))) > HALF_DAY:
        return 1e-3, "milliseconds"
    return 1.0, "seconds"


def _clock_stamps(cells: Sequence[str], month_first: bool | None) -> Stamps:
    """Seconds from clock times and dates, one vectorised pass for each way of writing that occurs."""
    width = min(max(map(len, cells), default=1) or 1, _WIDEST)
    texts = np.array(cells, dtype=f"<U{width}")  # longer ones are cut
    signs = texts.view(np.uint32).reshape(len(cells), width)
    seconds = np.full(len(cells), np.nan)
    dated = False
    halves = False
    for rows in _alike(signs):
        layout = _layout(str(texts[rows[0]]), month_first)
        if layout is not None:
            seconds[rows] = _seconds(signs[rows], layout)
            dated |= "year" in layout.spans
            halves |= layout.afternoon is not None
    minutes_only = not dated and not halves and _is_minutes_and_seconds(cells)
    notes = []
    if minutes_only:
        seconds /= 60.0
        words = log_texts.TIMES_SUCH_AS_12_34_ARE_TAKEN
        notes.append(Note(NoteCode.UNIT_ASSUMED, words, channel="time"))
    if month_first is None and dated and _needs_month_first(cells):
        return _clock_stamps(cells, True)
    return Stamps(seconds, True, dated, tuple(notes))


def _alike(signs: NDArray[np.uint32]) -> Iterator[Rows]:
    """Rows that differ by their digits only, way by way of writing; ``signs`` (rows, width) as code points."""
    digit = (signs >= 48) & (signs <= 57)
    skeleton = np.where(digit, np.uint32(48), signs)
    left = np.flatnonzero(signs[:, 0] != 0)
    for _ in range(_MOST_LAYOUTS):
        if left.size == 0:
            return
        same = np.all(skeleton[left] == skeleton[left[0]], axis=1)
        yield left[same]
        left = left[~same]


def _is_minutes_and_seconds(cells: Sequence[str]) -> bool:
    sample = [cell for cell in cells[:2000] if cell]
    return bool(sample) and all(re.fullmatch(r"\d{1,4}:\d{2}", cell.strip()) for cell in sample)


def _needs_month_first(cells: Sequence[str]) -> bool:
    """Whether a date such as 03/25/2021 occurs, which only reads with the month first."""
    pattern = re.compile(r"\s*\d{1,2}[/-](\d{1,2})[/-]")
    return any(int(m.group(1)) > 12 for cell in {c[:10] for c in cells} if (m := pattern.match(cell)))


def _layout(text: str, month_first: bool | None) -> _Layout | None:
    text = text.rstrip("\0")
    for pattern in _PATTERNS:
        match = pattern.fullmatch(text.strip())
        if match is None:
            continue
        shift = len(text) - len(text.lstrip())
        found = {k: v for k, v in match.groupdict().items() if v}
        month = None
        if "name" in found:
            name = found["name"]
            month = _MONTHS.get(name[:4].casefold()) or _MONTHS.get(name[:3].casefold())
            if month is None:
                return None
        spans = {
            k: (match.start(k) + shift, match.end(k) + shift)
            for k in found
            if k not in ("half", "zulu", "sign", "name")
        }
        half = found.get("half", "").casefold()
        return _Layout(
            spans,
            month,
            half.startswith("p") if half else None,
            -1.0 if found.get("sign") == "-" else 1.0,
            bool(month_first),
        )
    return None


def _whole_of_fraction(layout: _Layout) -> float:
    """By what the digits behind the point are divided to be a part of a second; 1 where there are none."""
    start, end = layout.spans.get("fraction", (0, 0))
    return float(10.0 ** (end - start))


def _seconds(signs: NDArray[np.uint32], layout: _Layout) -> Array:
    """Seconds of rows that are written alike, since 2000-01-01 where they are dated; NaN for what no clock shows."""
    is_digit = (signs >= 48) & (signs <= 57)
    digits = np.where(is_digit, signs.astype(np.float64) - 48.0, 0.0)

    def field(name: str) -> Array:
        if name not in layout.spans:
            return np.zeros(len(digits))
        start, end = layout.spans[name]
        worth = 10.0 ** np.arange(end - start - 1, -1, -1)
        return np.asarray(digits[:, start:end] @ worth)

    hour = field("hour")
    minute = field("minute")
    second = field("second")
    impossible = (minute > 59) | (second > 60)
    if layout.afternoon is not None:
        impossible |= hour > 12
        hour = hour % 12 + (12.0 if layout.afternoon else 0.0)
    fraction = field("fraction") / _whole_of_fraction(layout)
    total = hour * 3600.0 + minute * 60.0 + second + fraction
    zone = field("zone_hour") * 3600.0 + field("zone_minute") * 60.0
    total -= layout.zone_sign * zone
    if "year" in layout.spans:
        days, bad = _days(layout, field)
        total = total + days * DAY
        impossible |= bad
    return np.where(impossible, np.nan, total)


def _days(layout: _Layout, field: object) -> tuple[Array, Mask]:
    """Days since 2000-01-01 of the proleptic Gregorian calendar; Fliegel and Van Flandern, CACM 11 (1968) 657."""
    assert callable(field)
    y = field("year")
    y = np.where(y < 100, y + 2000, y)
    if "first" in layout.spans:
        first = field("first")
        other = field("other")
        m, d = (first, other) if layout.month_first else (other, first)
    else:
        m = np.full_like(y, layout.month) if layout.month else field("month")
        d = field("day")
    a = np.trunc((m - 14) / 12)
    by_years = np.floor(1461 * (y + 4800 + a) / 4)
    by_months = np.floor(367 * (m - 2 - 12 * a) / 12)
    by_centuries = np.floor(3 * np.floor((y + 4900 + a) / 100) / 4)
    julian = d - 32075 + by_years + by_months - by_centuries
    impossible = (m < 1) | (m > 12) | (d < 1) | (d > 31)
    return np.asarray(julian - 2451545), np.asarray(impossible)


@dataclass(frozen=True, eq=False)
class Timeline:
    """Seconds that never go back: ``t`` for the rows of ``keep``; ``breaks`` are the positions in t after which time is
    missing by an unknown amount."""

    t: Array
    keep: Rows
    breaks: tuple[int, ...]
    notes: tuple[Note, ...]


def straighten(stamps: Stamps) -> Timeline:
    """Only forward: midnight passed, rows out of order skipped, a clock set back or a log begun anew carried on."""
    keep = np.flatnonzero(np.isfinite(stamps.seconds))
    t = stamps.seconds[keep]
    notes: list[Note] = []
    unreadable = len(stamps.seconds) - keep.size
    if unreadable:
        notes.append(Note(NoteCode.ROWS_SKIPPED, log_texts.ROWS_WITHOUT_A_READABLE_TIME_WERE_SKIPPED, unreadable))
    if stamps.is_clock and not stamps.has_date:
        t, passed = _past_midnight(t)
        if passed:
            notes.append(Note(NoteCode.MIDNIGHT, log_texts.CLOCK_PASSED_MIDNIGHT_OR_NOON, passed))
    t, keep, breaks, more = _forward_only(t, keep)
    return Timeline(t, keep, breaks, (*notes, *more))


def _past_midnight(t: Array) -> tuple[Array, int]:
    """A step back of more than half a day is midnight; just under half a day is a twelve-hour clock passing one."""
    step = np.diff(t, prepend=t[:1])
    turn = np.where(step < -HALF_DAY, DAY, np.where(step <= -HALF_DAY + 900.0, HALF_DAY, 0.0))
    return np.asarray(t + np.cumsum(turn)), int(np.count_nonzero(turn))


def _forward_only(t: Array, keep: Rows) -> tuple[Array, Rows, tuple[int, ...], list[Note]]:
    """Times that never go back, their rows, after which of them time is missing, and what was done to get there."""
    lone = _far_ahead(t)
    t = t[~lone]
    keep = keep[~lone]
    t, joints = _without_leaps(t)
    t, restarts = _carried_on(t, _MOST_RESTARTS - len(joints))
    joints = [*joints, *restarts]
    behind = t < np.maximum.accumulate(t) if t.size else np.zeros(0, dtype=bool)
    joint_rows = keep[joints] if joints else keep[:0]
    t = t[~behind]
    keep = keep[~behind]
    notes: list[Note] = []
    skipped = int(lone.sum()) + int(behind.sum())
    if skipped:
        notes.append(Note(NoteCode.BACKWARD_STAMPS, log_texts.ROWS_WHOSE_TIME_STANDS_OUT_OF_ORDER, skipped))
    if joints:
        words = log_texts.CLOCK_WAS_SET
        notes.append(Note(NoteCode.CLOCK_SET_BACK, words, len(joints)))
    places = np.unique(np.searchsorted(keep, joint_rows))
    breaks = tuple(int(i) for i in places if 0 < i < keep.size)
    return t, keep, breaks, notes


def _far_ahead(t: Array) -> Mask:
    """Which stamps stand alone, more than a minute ahead of the one before and ahead of the one after."""
    lone = np.zeros(t.size, dtype=bool)
    if t.size > 2:
        before = t[:-2]
        own = t[1:-1]
        after = t[2:]
        lone[1:-1] = (own > before + 60.0) & (after < own) & (after >= before)
    return lone


def _carried_on(t: Array, most: int) -> tuple[Array, list[int]]:
    """Time that goes on where a clock was set back or a log begins anew, ``most`` times at most; and where it did."""
    joints: list[int] = []
    start = 0
    while len(joints) < most:
        at = _next_restart(t, start)
        if at is None:
            break
        t = t.copy()
        lost = t[at - 1] - t[at] + _usual_step(t[start:at])
        t[at:] += lost
        joints.append(at)
        start = at
    return t, joints


def _without_leaps(t: Array) -> tuple[Array, list[int]]:
    """Time without steps of more than a day, and where they were: a clock set in the middle of a log (from 1970 to the
    day), or another trip in the same file. How much time is missing there is not known."""
    step = np.diff(t)
    at = np.flatnonzero(step > DAY) + 1
    if not at.size:
        return t, []
    taken = np.zeros_like(t)
    taken[at] = step[at - 1] - _usual_step(t)
    return np.asarray(t - np.cumsum(taken)), [int(i) for i in at]


def _next_restart(t: Array, start: int) -> int | None:
    """First row from which time runs on behind what it had reached for more than a moment."""
    part = t[start:]
    if part.size < 2:
        return None
    reached = np.maximum.accumulate(part)
    behind = part < reached
    edges = np.flatnonzero(behind[1:] & ~behind[:-1]) + 1
    ends = np.flatnonzero(~behind)
    for first in edges[:1000]:
        after = ends[np.searchsorted(ends, first) :]
        last = after[0] if after.size else part.size
        if np.ptp(part[first:last]) > LONGEST_DISORDER or (last == part.size and last - first > 3):
            return int(start + first)
    return None


def _usual_step(t: Array) -> float:
    steps = np.diff(t)
    steps = steps[steps > 0.0]
    return float(np.median(steps)) if steps.size else 1.0
