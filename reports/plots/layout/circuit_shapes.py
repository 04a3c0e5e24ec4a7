"""The lines and symbols of the coolant circuit: hoses with their flow, valve, pump, fan, sensor, air."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from engcalc.diagnosis.checks.circuit_places import CircuitPlace
from reports.plots.describe import WARMTH, CircuitPlot, Line, Marker, MarkKind, Tone
from reports.plots.layout.sheet import Box, PictureSheet

THIN, NARROW, WIDE = 1.0, 2.4, 8.0  # tenths of the type size: hardly any flow, the least and the most flow
SYMBOL = 0.95  # of the type size, radius of a valve or a pump
ARROW = 1.15  # of the type size, length of an arrowhead
ROUND = 24  # corners of a circle
BLADE = 2.6  # of the type size, length of one blade of the fan
OPENS_BY = math.pi / 2.0  # rad, that the plate of a valve turns from shut to open

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class CircuitGrid:
    """Where the two lines, the boxes and what stands on the lines are; y runs down."""

    y_top: float
    y_low: float
    engine: Box
    heater: Box
    radiator: Box
    x_bypass: float
    x_valve: float
    x_fan: float
    size: float

    @property
    def x_engine(self) -> float:
        """The middle of the engine, where its outlet and the pump are."""
        return 0.5 * (self.engine.left + self.engine.right)

    @property
    def x_heater(self) -> float:
        """The middle of the heater."""
        return 0.5 * (self.heater.left + self.heater.right)

    @property
    def x_radiator(self) -> float:
        """The middle of the radiator."""
        return 0.5 * (self.radiator.left + self.radiator.right)

    @property
    def y_fan(self) -> float:
        """The fan's axis."""
        return 0.5 * (self.radiator.top + self.radiator.bottom)

    @property
    def y_pump(self) -> float:
        """The middle of the pump, between the engine's box and the lower line."""
        return 0.5 * (self.engine.bottom + self.y_low)

    def path(self, key: str) -> Points:
        """The corners of a hose in the direction of flow."""
        E, H, R, B = self.x_engine, self.x_heater, self.x_radiator, self.x_bypass
        top, low = self.y_top, self.y_low
        paths: dict[str, Points] = {
            CircuitPlace.NECK: ((E, self.engine.top), (E, top)),
            CircuitPlace.FORWARD: ((E, top), (B, top)),
            CircuitPlace.UPPER_HOSE: ((B, top), (R, top), (R, self.radiator.top)),
            CircuitPlace.LOWER_HOSE: ((R, self.radiator.bottom), (R, low), (B, low)),
            CircuitPlace.BYPASS: ((B, top), (B, low)),
            CircuitPlace.RETURN: ((B, low), (E, low)),
            CircuitPlace.HEATER_IN: ((E, top), (H, top), (H, self.heater.top)),
            CircuitPlace.HEATER_OUT: ((H, self.heater.bottom), (H, low), (E, low)),
            CircuitPlace.PUMP: ((E, low), (E, self.engine.bottom)),
        }
        return paths[key]

    def boxes_along(self, key: str, half: float) -> list[Box]:
        """Boxes of half a width ``half`` along each stretch of a hose; where it bends they meet and do not overlap."""
        stretches = list(pairwise(self.path(key)))
        last = len(stretches) - 1
        return [_along(a, b, half, i > 0, i < last) for i, (a, b) in enumerate(stretches)]


def _along(a: tuple[float, float], b: tuple[float, float], half: float, after_bend: bool, before_bend: bool) -> Box:
    """The box along one stretch: at a bend it reaches past its end, and the next begins behind it."""
    length = max(math.dist(a, b), 1e-9)
    dx, dy = half * (b[0] - a[0]) / length, half * (b[1] - a[1]) / length
    start = (a[0] + dx, a[1] + dy) if after_bend else a
    end = (b[0] + dx, b[1] + dy) if before_bend else b
    wide, tall = abs(dy), abs(dx)
    left, right = sorted((start[0], end[0]))
    top, bottom = sorted((start[1], end[1]))
    return Box(left - wide, top - tall, right + wide, bottom + tall)


# ---- hoses ----------------------------------------------------------------------------------------------------------


def draw_pipes(sheet: PictureSheet, plot: CircuitPlot, grid: CircuitGrid) -> None:
    """Every hose in its colour, as wide as its flow, with the direction; the wider ones beneath."""
    for pipe in sorted(plot.pipes, key=lambda pipe: -pipe.strength):
        points, tone = grid.path(pipe.key), warmth_tone(pipe.warmth)
        if pipe.strength > 0.0:
            sheet.stroke(points, tone, NARROW + (WIDE - NARROW) * pipe.strength)
            _arrow(sheet, points, tone)
        else:
            sheet.stroke(points, tone, THIN, Line.DASHED)


def warmth_tone(share: float) -> Tone:
    """The step of the scale of colours for a share 0..1 of it."""
    return WARMTH[min(int(max(share, 0.0) * len(WARMTH)), len(WARMTH) - 1)]


def _arrow(sheet: PictureSheet, points: Points, tone: Tone) -> None:
    """An arrowhead in the middle of the longest stretch; a stretch too short for one has none."""
    a, b = max(pairwise(points), key=lambda pair: math.dist(*pair))
    length = math.dist(a, b)
    if length < 2.0 * ARROW * sheet.size:
        return
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    arrowhead(sheet, (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])), along, tone)


def arrowhead(sheet: PictureSheet, at: tuple[float, float], along: tuple[float, float], tone: Tone) -> None:
    """A head at a point, that points along a direction of length 1."""
    long, half = ARROW * sheet.size, 0.65 * ARROW * sheet.size
    (x, y), (dx, dy) = at, along
    tip = (x + 0.5 * long * dx, y + 0.5 * long * dy)
    back = (x - 0.5 * long * dx, y - 0.5 * long * dy)
    head = (tip, (back[0] - half * dy, back[1] + half * dx), (back[0] + half * dy, back[1] - half * dx))
    sheet.fill((head,), tone)


# ---- symbols --------------------------------------------------------------------------------------------------------


def draw_symbols(sheet: PictureSheet, plot: CircuitPlot, grid: CircuitGrid) -> None:
    """Valve, sensor, pump, fan, heater valve, and the air."""
    if plot.layout.valve != "none":
        y = grid.y_top if plot.layout.valve == "outlet" else grid.y_low
        _valve(sheet, (grid.x_valve, y), plot.opening, level=True, marks=_kinds(plot, CircuitPlace.THERMOSTAT))
        sheet.target(CircuitPlace.THERMOSTAT, _around(grid.x_valve, y, SYMBOL * grid.size))
    if plot.layout.heater and plot.layout.heater_valve:
        y = 0.5 * (grid.y_top + grid.heater.top)
        _valve(sheet, (grid.x_heater, y), plot.heater_opening, level=False, marks=set(), radius=0.7)
    sensor_y = 0.5 * (grid.y_top + grid.engine.top)
    sheet.point(grid.x_engine, sensor_y, Tone.GROUND, Marker.DISC)
    sheet.point(grid.x_engine, sensor_y, Tone.INK, Marker.RING)
    if MarkKind.CHECK in _kinds(plot, CircuitPlace.SENSOR):
        _circle(sheet, (grid.x_engine, sensor_y), 0.75 * sheet.size, Tone.INK, 2.0, filled=False)
    _pump(sheet, plot, grid)
    if plot.layout.fan:
        _fan(sheet, plot, grid)
    _air(sheet, plot, grid)


def _kinds(plot: CircuitPlot, key: CircuitPlace) -> set[MarkKind]:
    return {mark.kind for mark in plot.at(key).marks}


def _around(x: float, y: float, half: float) -> Box:
    return Box(x - half, y - half, x + half, y + half)


def _circle(
    sheet: PictureSheet, at: tuple[float, float], radius: float, tone: Tone, width: float, filled: bool = True
) -> None:
    angle = np.linspace(0.0, 2.0 * math.pi, ROUND + 1)
    ring = np.column_stack([at[0] + radius * np.cos(angle), at[1] + radius * np.sin(angle)])
    if filled:
        sheet.fill((ring,), Tone.GROUND)
    sheet.stroke(ring, tone, width)


def _valve(
    sheet: PictureSheet,
    at: tuple[float, float],
    opening: float,
    *,
    level: bool,
    marks: set[MarkKind],
    radius: float = SYMBOL,
) -> None:
    """A valve on a line: its plate stands across the line when shut and along it when open."""
    r, flagged = radius * sheet.size, MarkKind.FLAG in marks
    if MarkKind.CHECK in marks:
        _circle(sheet, at, r + 0.45 * sheet.size, Tone.INK, 2.0)
    _circle(sheet, at, r, Tone.LIMIT if flagged else Tone.INK, 3.0 if flagged else 1.3)
    across = OPENS_BY if level else 0.0
    turned = across + OPENS_BY * min(max(opening, 0.0), 1.0)
    dx, dy = 0.85 * r * math.cos(turned), 0.85 * r * math.sin(turned)
    sheet.stroke([(at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy)], Tone.INK, 2.6)


def _pump(sheet: PictureSheet, plot: CircuitPlot, grid: CircuitGrid) -> None:
    """A circle with a triangle in the direction of flow (ISO 1219-1); on a belt, or with a motor beside it."""
    x, y, r = grid.x_engine, grid.y_pump, SYMBOL * sheet.size
    side = x + 2.6 * r
    if plot.layout.pump == "electric":
        sheet.stroke([(x + r, y), (side - 0.8 * r, y)], Tone.INK, 1.3)
        _circle(sheet, (side, y), 0.8 * r, Tone.INK, 1.3)
        wide = sheet.measure("M", sheet.size, False)
        sheet.text("M", side - 0.5 * wide, y + 0.36 * sheet.size)
    else:
        for up in (-1.0, 1.0):
            sheet.stroke([(x, y + up * r), (side, y + up * 0.45 * r)], Tone.INK, 1.0)
        _circle(sheet, (side, y), 0.45 * r, Tone.INK, 1.0)
    kinds = _kinds(plot, CircuitPlace.PUMP)
    flagged = MarkKind.FLAG in kinds
    if MarkKind.CHECK in kinds:
        _circle(sheet, (x, y), r + 0.45 * sheet.size, Tone.INK, 2.0)
    _circle(sheet, (x, y), r, Tone.LIMIT if flagged else Tone.INK, 3.0 if flagged else 1.3)
    half = 0.62 * r
    sheet.fill((((x, y - r), (x + half, y - 0.1 * r), (x - half, y - 0.1 * r)),), Tone.INK)
    sheet.target(CircuitPlace.PUMP, _around(x, y, r))


def _fan(sheet: PictureSheet, plot: CircuitPlot, grid: CircuitGrid) -> None:
    """Two blades seen from the side: outlined when the fan stands, filled when it turns."""
    s = sheet.size
    x, y = grid.x_fan, grid.y_fan
    kinds = _kinds(plot, CircuitPlace.FAN)
    flagged = MarkKind.FLAG in kinds
    angle = np.linspace(0.0, 2.0 * math.pi, ROUND + 1)
    for up in (-1.0, 1.0):
        blade = np.column_stack(
            [x + 0.42 * s * np.sin(angle), y + up * 0.5 * BLADE * s + 0.5 * BLADE * s * np.cos(angle)]
        )
        if plot.fan > 0.0:
            sheet.fill((blade,), Tone.AIR, 0.35 + 0.5 * plot.fan)
        sheet.stroke(blade, Tone.LIMIT if flagged else Tone.INK, 3.0 if flagged else 1.0)
    if MarkKind.CHECK in kinds:
        half, tall = 0.85 * s, BLADE * s + 0.4 * s
        sheet.stroke(
            [
                (x - half, y - tall),
                (x + half, y - tall),
                (x + half, y + tall),
                (x - half, y + tall),
                (x - half, y - tall),
            ],
            Tone.INK,
            2.0,
        )
    sheet.target(CircuitPlace.FAN, Box(x - 0.8 * s, y - BLADE * s, x + 0.8 * s, y + BLADE * s))


def _air(sheet: PictureSheet, plot: CircuitPlot, grid: CircuitGrid) -> None:
    """The air that comes to the radiator, from the right; coolers ahead of it stand in its way."""
    box, s = grid.radiator, sheet.size
    end = box.right + 0.5 * s
    if plot.layout.coolers_ahead:
        bar = Box(box.right + 0.35 * s, box.top + 0.6 * s, box.right + 0.75 * s, box.bottom - 0.6 * s)
        corners = [(bar.left, bar.top), (bar.right, bar.top), (bar.right, bar.bottom), (bar.left, bar.bottom)]
        sheet.stroke([*corners, corners[0]], Tone.MUTED, 1.0)
        end = bar.right + 0.35 * s
    for share in (0.3, 0.5, 0.7):
        y = box.top + share * box.height
        sheet.stroke([(sheet.width, y), (end + 0.3 * s, y)], Tone.AIR, 1.3)
        arrowhead(sheet, (end + 0.3 * s, y), (-1.0, 0.0), Tone.AIR)
