"""What a picture shows: series, bands, marks, axes and words, and nothing of how it gets onto a screen or a page.

All numbers are in the units of their axes, ready to be shown; the builders convert them. A picture is one of

    Chart        lines and points over two axes
    Rows         spans and dots in rows over one axis: temperatures, shares, expected against measured
    Flow         watts that split and join from column to column
    Map          a quantity over two axes, in steps of colour with level lines
    CircuitPlot  the coolant circuit: parts, hoses with flow and temperature, what is marked where

Every picture carries a title, a caption and a text for those who cannot see it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from engcalc.units import Array
from engcalc.words.texts import plot_texts


class Tone(Enum):
    """What a colour stands for; the palette turns it into one, for paper, light and dark screens."""

    GROUND = "ground"
    INK = "ink"
    MUTED = "muted"
    GRID = "grid"
    FUEL = "fuel"
    WORK = "work"
    EXHAUST = "exhaust"
    REST = "rest"
    METAL = "metal"
    SURFACE = "surface"
    COOLANT = "coolant"
    AIR = "air"
    HEATER = "heater"
    VALVE = "valve"
    LIMIT = "limit"
    BOILING = "boiling"
    FIRST = "first"
    SECOND = "second"
    THIRD = "third"
    FOURTH = "fourth"
    HEAT_0 = "warmth 0"
    HEAT_1 = "warmth 1"
    HEAT_2 = "warmth 2"
    HEAT_3 = "warmth 3"
    HEAT_4 = "warmth 4"
    HEAT_5 = "warmth 5"
    HEAT_6 = "warmth 6"
    HEAT_7 = "warmth 7"


WARMTH = tuple(tone for tone in Tone if tone.value.startswith("warmth"))
"""Steps of one scale from cold to hot, evenly apart to the eye."""


class Line(Enum):
    """How the points of a series are joined."""

    SOLID = "solid"
    DASHED = "dashed"
    DOTTED = "dotted"
    NONE = "points only"


class Marker(Enum):
    """The shape of a point, so that colour is never the only difference."""

    DISC = "disc"
    RING = "ring"
    SQUARE = "square"
    DIAMOND = "diamond"
    TRIANGLE = "triangle"

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Corners around (0, 0) for a radius of 1, y down; none for the round ones."""
        return _CORNERS.get(self.value, ())


_CORNERS = {
    "square": ((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)),
    "diamond": ((0.0, -1.25), (1.25, 0.0), (0.0, 1.25), (-1.25, 0.0)),
    "triangle": ((0.0, -1.2), (1.1, 0.9), (-1.1, 0.9)),
}


@dataclass(frozen=True)
class Words:
    """The words of a picture: its title, what to see in it, and the whole told to someone who cannot see it."""

    title: str
    caption: str
    alternative: str


@dataclass(frozen=True)
class Axis:
    """One axis in the unit it is shown in; ``kind`` names the kind of quantity of :mod:`engcalc.units`."""

    label: str
    kind: str
    unit: str
    limits: tuple[float, float]
    ticks: tuple[float, ...]

    @property
    def title(self) -> str:
        """Label and unit."""
        return f"{self.label}, {self.unit}" if self.unit else self.label


@dataclass(frozen=True, eq=False)
class Series:
    """Points (x, y), both of shape (n,), in the order in which they are joined; ``y_error`` is a half-width."""

    name: str
    x: Array
    y: Array
    tone: Tone
    line: Line = Line.SOLID
    shape: Marker | None = None
    weight: float = 1.0
    y_error: Array | None = None


@dataclass(frozen=True, eq=False)
class Band:
    """The area between ``low`` and ``high`` over ``x``, all of shape (n,)."""

    name: str
    x: Array
    low: Array
    high: Array
    tone: Tone


@dataclass(frozen=True)
class Mark:
    """A line right across at one value of an axis, with its words."""

    at: float
    words: str
    tone: Tone
    line: Line = Line.SOLID


@dataclass(frozen=True)
class LabelledPoint:
    """One point with words beside it, such as an operating point."""

    x: float
    y: float
    words: str
    tone: Tone
    shape: Marker = Marker.DISC


@dataclass(frozen=True)
class Pick:
    """A point that can be picked by mouse or key: its key, where it stands, and what picking it does, in words."""

    key: str
    x: float
    y: float
    words: str


@dataclass(frozen=True, eq=False)
class Chart:
    """Lines and points over two axes; ``picks`` are the points that answer a click."""

    words: Words
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    bands: tuple[Band, ...] = ()
    x_marks: tuple[Mark, ...] = ()
    y_marks: tuple[Mark, ...] = ()
    spots: tuple[LabelledPoint, ...] = ()
    picks: tuple[Pick, ...] = ()


@dataclass(frozen=True)
class Span:
    """A bar from ``low`` to ``high`` with words at its ends; ``thin`` draws it as a whisker."""

    low: float
    high: float
    tone: Tone
    low_words: str = ""
    high_words: str = ""
    thin: bool = False


@dataclass(frozen=True)
class Dot:
    """One value in a row, with its words beside it, or above where the row holds more."""

    at: float
    tone: Tone
    words: str = ""
    shape: Marker = Marker.DISC


@dataclass(frozen=True)
class Row:
    """One line of a :class:`Rows` picture."""

    label: str
    spans: tuple[Span, ...] = ()
    dots: tuple[Dot, ...] = ()


@dataclass(frozen=True)
class Rows:
    """Spans and dots in rows over one axis; ``key`` tells what the tones and shapes mean where rows do not."""

    words: Words
    x: Axis
    rows: tuple[Row, ...]
    marks: tuple[Mark, ...] = ()
    key: tuple[Dot, ...] = ()


@dataclass(frozen=True)
class FlowPart:
    """One amount in a :class:`Flow`, with its label and its amount in words."""

    key: str
    label: str
    amount: float
    words: str
    tone: Tone


@dataclass(frozen=True)
class Link:
    """An amount that goes from one part to a part of the next column."""

    source: str
    target: str
    amount: float


@dataclass(frozen=True)
class Flow:
    """Amounts of one unit that split and join; parts stand in columns from left to right."""

    words: Words
    unit: str
    columns: tuple[tuple[FlowPart, ...], ...]
    links: tuple[Link, ...]


@dataclass(frozen=True, eq=False)
class Region:
    """One step of a map: polygons (each an outer ring and its holes, arrays of shape (n, 2)), ``share`` 0..1."""

    share: float
    polygons: tuple[tuple[Array, ...], ...]


@dataclass(frozen=True, eq=False)
class LevelLine:
    """One level line of a map: its value and its pieces, arrays of shape (n, 2); ``limit`` marks that of a limit."""

    at: float
    words: str
    pieces: tuple[Array, ...]
    limit: bool = False


@dataclass(frozen=True, eq=False)
class Map:
    """A quantity over two axes; ``value`` is its axis, whose ticks are the levels."""

    words: Words
    x: Axis
    y: Axis
    value: Axis
    tone: Tone
    regions: tuple[Region, ...]
    levels: tuple[LevelLine, ...]
    spots: tuple[LabelledPoint, ...] = ()


class MarkKind(Enum):
    """What is marked at a place of a circuit; each has a form of its own."""

    FLAG = plot_texts.HEAT_IS_LOST_OR_FLOW_IS_BLOCKED_HERE
    READING = "read here"
    CHECK = "measure here"


@dataclass(frozen=True)
class PlaceMark:
    """One mark at a place, with its words."""

    kind: MarkKind
    words: str


@dataclass(frozen=True)
class PlaceWords:
    """What is written at a place of a circuit: its name, its numbers now, the healthy vehicle's beneath, its marks."""

    key: str
    name: str
    now: tuple[str, ...] = ()
    healthy: tuple[str, ...] = ()
    marks: tuple[PlaceMark, ...] = ()


@dataclass(frozen=True)
class CircuitPipe:
    """A hose or passage from one end to another, in the direction of flow.

    ``flow`` and ``temperature`` in the units shown. ``strength`` 0..1 is how wide it is drawn; 0: hardly anything
    flows. ``warmth`` 0..1 is its place on the scale of colours.
    """

    key: str
    start: str
    end: str
    flow: float
    strength: float
    temperature: float
    warmth: float


@dataclass(frozen=True)
class CircuitLayout:
    """How a circuit is put together; the words are those of the case file."""

    valve: str  # "outlet", "inlet" or "none": no thermostat
    bypass: str  # "closing", "fixed", "none"
    pump: str  # "belt", "electric"
    tank: str  # "surge tank", "overflow bottle", "none"
    heater: bool
    heater_valve: bool  # one that is not fully open
    coolant_heater: bool
    fan: bool
    coolers_ahead: bool
    extras: tuple[str, ...] = ()  # other parts in the coolant, by name


@dataclass(frozen=True)
class CircuitPlot:
    """The coolant circuit of one vehicle. ``opening``, ``fan`` and ``heater_opening`` are shares 0..1.

    ``warmth`` is the axis of the colours. ``taps`` are the places at which a reading can be entered.
    """

    words: Words
    layout: CircuitLayout
    pipes: tuple[CircuitPipe, ...]
    places: tuple[PlaceWords, ...]
    opening: float
    heater_opening: float
    fan: float
    warmth: Axis
    key: str
    taps: tuple[str, ...] = ()

    def at(self, key: str) -> PlaceWords:
        """The words of a place; none where it is not part of this circuit."""
        return next((place for place in self.places if place.key == key), PlaceWords(key, ""))

    def pipe(self, key: str) -> CircuitPipe | None:
        """One of the pipes; None where this circuit has none such."""
        return next((pipe for pipe in self.pipes if pipe.key == key), None)


Plot = Chart | Rows | Flow | Map | CircuitPlot
