"""The few kinds of mark that a laid-out picture is made of, and the sheet that collects them.

Lengths are in whatever unit the sheet's size is given in (pixels on the screen, points in the PDF); x runs to the
right and y runs DOWN from the top left corner.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from engcalc.units import Array, unbroken
from reports.plots.describe import Axis, Line, Marker, Tone

Measure = Callable[[str, float, bool], float]
"""Width of one line of text: words, type size, bold or not."""

LINE_PITCH = 1.3  # of the type size, from one line of text to the next
DASHES = {Line.SOLID: (), Line.DASHED: (5.0, 3.0), Line.DOTTED: (1.2, 2.6), Line.NONE: ()}  # of the stroke's width


class Anchor(Enum):
    """Which point of the words is put at x."""

    START = 0.0
    MIDDLE = 0.5
    END = 1.0


@dataclass(frozen=True, eq=False)
class Stroke:
    """A line through ``points``, shape (n, 2); ``dash`` holds on and off lengths."""

    points: Array
    tone: Tone
    width: float
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, eq=False)
class Fill:
    """An area bounded by rings, each of shape (n, 2); the second and later ones are holes."""

    rings: tuple[Array, ...]
    tone: Tone
    opacity: float = 1.0


@dataclass(frozen=True)
class Lettering:
    """One line of words; y is its base line."""

    words: str
    x: float
    y: float
    size: float
    tone: Tone
    bold: bool
    anchor: Anchor


@dataclass(frozen=True)
class Point:
    """A point of some shape around x, y."""

    x: float
    y: float
    radius: float
    tone: Tone
    shape: Marker


@dataclass(frozen=True)
class Box:
    """A rectangle; top < bottom."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


@dataclass(frozen=True)
class Target:
    """A spot that a person can point at: the key of what stands there."""

    key: str
    box: Box

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies within it."""
        return self.box.left <= x <= self.box.right and self.box.top <= y <= self.box.bottom

    def away(self, x: float, y: float) -> float:
        """How far a point lies from its middle."""
        return math.hypot(x - 0.5 * (self.box.left + self.box.right), y - 0.5 * (self.box.top + self.box.bottom))


@dataclass(frozen=True, eq=False)
class Picture:
    """A laid-out picture: its size, its marks in the order of painting, and what can be pointed at."""

    width: float
    height: float
    marks: tuple[Stroke | Fill | Lettering | Point, ...]
    targets: tuple[Target, ...] = ()


class PictureSheet:
    """Collects the marks of one picture of a given width; the height follows from what is put on it."""

    def __init__(self, width: float, size: float, measure: Measure, titled: bool = True) -> None:
        self.width = width
        self.titled = titled
        self.size = size
        self.measure = measure
        self.line = size * LINE_PITCH
        self.pad = 0.45 * size
        self._marks: list[Stroke | Fill | Lettering | Point] = []
        self._targets: list[Target] = []

    def finished(self, height: float) -> Picture:
        """The picture with everything collected so far."""
        return Picture(self.width, height, tuple(self._marks), tuple(self._targets))

    def target(self, key: str, box: Box) -> None:
        """A spot that a person can point at."""
        self._targets.append(Target(key, box))

    def text(
        self,
        words: str,
        x: float,
        y: float,
        *,
        tone: Tone = Tone.INK,
        bold: bool = False,
        anchor: Anchor = Anchor.START,
        backed: bool = False,
    ) -> None:
        """One line of words with its base line at y, kept inside the sheet; ``backed`` clears the ground behind it."""
        wide = self.measure(words, self.size, bold)
        start = min(max(x - anchor.value * wide, 0.0), max(self.width - wide, 0.0))
        if backed:
            edge = 0.15 * self.size
            ground = Box(start - edge, y - 0.85 * self.size, start + wide + edge, y + 0.25 * self.size)
            self.rectangle(ground, Tone.GROUND, 0.85)
        self._marks.append(Lettering(words, start + anchor.value * wide, y, self.size, tone, bold, anchor))

    def stroke(
        self, points: Array | Sequence[Sequence[float]], tone: Tone, width: float = 1.0, line: Line = Line.SOLID
    ) -> None:
        """A line; ``width`` is in tenths of the type size."""
        thick = width * self.size / 10.0
        dash = tuple(part * max(thick, self.size / 10.0) for part in DASHES[line])
        self._marks.append(Stroke(np.asarray(points, dtype=np.float64), tone, thick, dash))

    def fill(self, rings: Sequence[Array | Sequence[Sequence[float]]], tone: Tone, opacity: float = 1.0) -> None:
        """An area with holes."""
        self._marks.append(Fill(tuple(np.asarray(r, dtype=np.float64) for r in rings), tone, opacity))

    def rectangle(self, box: Box, tone: Tone, opacity: float = 1.0) -> None:
        """A filled rectangle."""
        corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
        self.fill((corners,), tone, opacity)

    def point(self, x: float, y: float, tone: Tone, shape: Marker) -> None:
        """A point of the usual size."""
        self._marks.append(Point(float(x), float(y), 0.33 * self.size, tone, shape))

    def wrapped(self, words: str, width: float, bold: bool = False) -> list[str]:
        """The words in lines of at most ``width``: a number stays with its unit, a word that is too long is cut."""
        lines, current = [], ""
        for word in unbroken(" ".join(words.split())).split(" "):
            longer = f"{current} {word}".strip()
            if current and self.measure(longer, self.size, bold) > width:
                lines.append(current)
                current = word
            else:
                current = longer
        return [piece for line in (*lines, current) for piece in self._cut(line, width, bold)]

    def _cut(self, line: str, width: float, bold: bool) -> Iterator[str]:
        """A line in pieces of at most ``width``: first between numbers and units, then within a word."""
        fits = self.measure(line, self.size, bold) <= width
        if "\u00a0" in line and not fits:
            for part in line.split("\u00a0"):
                yield from self._cut(part, width, bold)
            return
        line = line.replace("\u00a0", " ")
        while len(line) > 1 and self.measure(line, self.size, bold) > width:
            count = len(line)
            while count > 1 and self.measure(line[:count], self.size, bold) > width:
                count -= 1
            yield line[:count]
            line = line[count:]
        yield line

    def widest(self, words: Sequence[str], bold: bool = False) -> float:
        """Width of the longest of some words."""
        return max((self.measure(one, self.size, bold) for one in words), default=0.0)

    def title(self, words: str) -> float:
        """The picture's title at the top, unless it stands elsewhere; returns the y below it."""
        y = 0.0
        for line in self.wrapped(words, self.width, bold=True) if self.titled else ():
            y += self.line
            self.text(line, 0.0, y - 0.3 * self.size, bold=True)
        return y + self.pad


@dataclass(frozen=True)
class Places:
    """The map from the values of an axis to places on the sheet."""

    start: float
    slope: float
    low: float

    def at(self, value: float) -> float:
        """The place of one value."""
        return self.low + (float(value) - self.start) * self.slope

    def __call__(self, values: Array) -> Array:
        """The places of an array of values."""
        return self.low + (values - self.start) * self.slope


def along(axis: Axis, low: float, high: float) -> Places:
    """The map that puts the ends of an axis at ``low`` and ``high``."""
    start, stop = axis.limits
    return Places(start, (high - low) / (stop - start), low)


def apart(places: Sequence[float], least: float, low: float, high: float) -> list[float]:
    """Places in rising order moved apart to at least ``least``, kept within low..high where that is possible."""
    moved: list[float] = []
    for place in places:
        moved.append(max(place, moved[-1] + least) if moved else max(place, low))
    ceiling = high
    for i in range(len(moved) - 1, -1, -1):
        moved[i] = min(moved[i], ceiling)
        ceiling = moved[i] - least
    return moved
