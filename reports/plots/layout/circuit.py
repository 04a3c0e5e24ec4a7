"""Layout of the coolant circuit on a fixed grid.

Left the heater, in the middle the engine with the pump beneath it, right the radiator with the fan behind it; what
comes out of the engine runs along the top, what goes back to it along the bottom. Every place has a cell of its own
for its words, so that no words meet whatever the case has.
"""

from __future__ import annotations

from dataclasses import dataclass

from engcalc.diagnosis.checks.circuit_places import CircuitPlace
from reports.plots.describe import WARMTH, CircuitPlot, MarkKind, PlaceWords, Tone
from reports.plots.layout.blocks import Block, block, outline, put_block
from reports.plots.layout.circuit_shapes import CircuitGrid, draw_pipes, draw_symbols
from reports.plots.layout.sheet import Box, PictureSheet

# Across, in shares of the width: where cells and boxes begin and end
HEATER = (0.004, 0.215)
ENGINE = (0.255, 0.44)
BYPASS_AT = 0.485
VALVE_AT = {"closing": BYPASS_AT, "fixed": 0.58, "none": 0.58}
RADIATOR = (0.735, 0.945)
TOP_CELLS = {
    CircuitPlace.HEATER_IN: (0.0, 0.235),
    CircuitPlace.SENSOR: (0.255, 0.445),
    CircuitPlace.THERMOSTAT: (0.46, 0.70),
    CircuitPlace.UPPER_HOSE: (0.72, 1.0),
}
LOW_CELLS = {
    CircuitPlace.HEATER_OUT: (0.0, 0.235),
    CircuitPlace.PUMP: (0.255, 0.445),
    CircuitPlace.THERMOSTAT: (0.46, 0.70),
    CircuitPlace.LOWER_HOSE: (0.72, 0.925),
}
TANK = (0.735, 0.945)
# Down, in type sizes
TO_LINE = 1.3  # from words to the line beneath or above them: a symbol on the line has this radius
TO_BOX = 1.9  # from a line to the boxes between the lines
STUB = 4.2  # of the pump, between the engine's box and the lower line
INSIDE = 0.45  # within a box
FAN_ROOM = 2.4  # left of the radiator, that the fan takes
BESIDE_PIPE = 0.8
LEAST_TALL = 11.0  # of the boxes
SWATCH = 1.6  # width of one step of the scale of colours


@dataclass(frozen=True)
class _Cells:
    """The blocks of every cell, broken to its width."""

    top: dict[CircuitPlace, Block]
    low: dict[CircuitPlace, Block]
    heater: Block
    engine: Block
    extras: tuple[Block, ...]
    bypass: Block
    fan: Block
    radiator: Block
    tank: Block


def circuit(sheet: PictureSheet, plot: CircuitPlot) -> float:
    """Put a circuit on the sheet; returns the height."""
    top = sheet.title(plot.words.title) + sheet.pad
    cells = _cells_of_words(sheet, plot)
    grid = _grid(sheet, plot, cells, top)
    _halos(sheet, plot, grid)
    draw_pipes(sheet, plot, grid)
    _draw_boxes(sheet, plot, cells, grid)
    draw_symbols(sheet, plot, grid)
    low_end = _words(sheet, cells, grid)
    end = _tank(sheet, plot, cells, grid, low_end)
    _targets(sheet, plot, grid)
    return _scale(sheet, plot, end + sheet.pad)


# ---- cells ----------------------------------------------------------------------------------------------------------


def _cells_of_words(sheet: PictureSheet, plot: CircuitPlot) -> _Cells:
    """The words of every place in the room that the grid leaves them; a valve at the inlet stands low."""
    W, s = sheet.width, sheet.size

    def cell(key: CircuitPlace, left: float, right: float, off: float = 0.0) -> Block:
        return block(sheet, plot.at(key), (right - left) * W - off * s)

    at_top, at_low = dict(TOP_CELLS), dict(LOW_CELLS)
    (at_low if plot.layout.valve == "outlet" else at_top).pop(CircuitPlace.THERMOSTAT)
    inner = 2.0 * INSIDE
    inside = (ENGINE[1] - ENGINE[0]) * W - inner * s
    beside = (RADIATOR[0] - BYPASS_AT) * W - (FAN_ROOM + BESIDE_PIPE) * s
    return _Cells(
        {key: cell(key, *ends) for key, ends in at_top.items()},
        {key: cell(key, *ends) for key, ends in at_low.items()},
        cell(CircuitPlace.HEATER, *HEATER, inner),
        cell(CircuitPlace.ENGINE, *ENGINE, inner),
        tuple(block(sheet, PlaceWords("", "", (name,)), inside) for name in plot.layout.extras),
        block(sheet, plot.at(CircuitPlace.BYPASS), beside),
        block(sheet, plot.at(CircuitPlace.FAN), beside),
        cell(CircuitPlace.RADIATOR, *RADIATOR, inner),
        cell(CircuitPlace.TANK, *TANK, inner),
    )


def _grid(sheet: PictureSheet, plot: CircuitPlot, cells: _Cells, top: float) -> CircuitGrid:
    """Where lines and boxes stand."""
    W, s = sheet.width, sheet.size
    y_top = top + max(made.size[1] for made in cells.top.values()) + TO_LINE * s
    inner = 2.0 * INSIDE * s
    engine_high = cells.engine.size[1] + inner + sum(made.size[1] + inner for made in cells.extras)
    between = cells.bypass.size[1] + cells.fan.size[1] + (2.0 * BESIDE_PIPE + 1.0) * s
    tall = max(
        cells.heater.size[1] + inner,
        engine_high + (STUB - TO_BOX) * s,
        cells.radiator.size[1] + inner,
        between,
        LEAST_TALL * s,
    )
    box_top = y_top + TO_BOX * s
    y_low = box_top + tall + TO_BOX * s
    engine = Box(ENGINE[0] * W, box_top, ENGINE[1] * W, y_low - STUB * s)
    return CircuitGrid(
        y_top=y_top,
        y_low=y_low,
        engine=engine,
        heater=Box(HEATER[0] * W, box_top, HEATER[1] * W, box_top + tall),
        radiator=Box(RADIATOR[0] * W, box_top, RADIATOR[1] * W, box_top + tall),
        x_bypass=BYPASS_AT * W,
        x_valve=VALVE_AT[plot.layout.bypass] * W,
        x_fan=RADIATOR[0] * W - 0.5 * FAN_ROOM * s,
        size=s,
    )


# ---- boxes and words ------------------------------------------------------------------------------------------------


def _draw_boxes(sheet: PictureSheet, plot: CircuitPlot, cells: _Cells, grid: CircuitGrid) -> None:
    """Draw engine, heater and radiator as boxes with their words; what else heats stands beneath the engine."""
    _box(sheet, plot, CircuitPlace.ENGINE, grid.engine)
    engine = put_block(sheet, cells.engine, *_corner(sheet, grid.engine))
    bottom = grid.engine.bottom
    for made in reversed(cells.extras):
        high = made.size[1] + 2.0 * INSIDE * sheet.size
        own = Box(grid.engine.left, bottom - high, grid.engine.right, bottom)
        outline(sheet, own, Tone.MUTED, 1.0)
        put_block(sheet, made, *_corner(sheet, own))
        bottom -= high
    sheet.target(CircuitPlace.ENGINE, Box(engine.left, engine.top, engine.right, bottom))
    if plot.layout.heater:
        _box(sheet, plot, CircuitPlace.HEATER, grid.heater)
        put_block(sheet, cells.heater, *_corner(sheet, grid.heater))
        sheet.target(CircuitPlace.HEATER, grid.heater)
    _box(sheet, plot, CircuitPlace.RADIATOR, grid.radiator)
    put_block(sheet, cells.radiator, *_corner(sheet, grid.radiator))
    sheet.target(CircuitPlace.RADIATOR, grid.radiator)


def _corner(sheet: PictureSheet, box: Box) -> tuple[float, float]:
    return box.left + INSIDE * sheet.size, box.top + INSIDE * sheet.size


def _box(sheet: PictureSheet, plot: CircuitPlot, key: CircuitPlace, box: Box) -> None:
    """A part's box; one that is flagged has a bold outline, one where a check is made a double one."""
    kinds = {mark.kind for mark in plot.at(key).marks}
    sheet.rectangle(box, Tone.GROUND)
    if MarkKind.CHECK in kinds:
        out = 0.45 * sheet.size
        outline(sheet, Box(box.left - out, box.top - out, box.right + out, box.bottom + out), Tone.INK, 2.0)
    flagged = MarkKind.FLAG in kinds
    outline(sheet, box, Tone.LIMIT if flagged else Tone.INK, 3.0 if flagged else 1.3)


def _words(sheet: PictureSheet, cells: _Cells, grid: CircuitGrid) -> float:
    """The words of all places outside the boxes; returns the lowest y of the row beneath the lower line."""
    W, s = sheet.width, sheet.size
    low = grid.y_low + TO_LINE * s
    for key, made in cells.top.items():
        _cell(sheet, key, made, TOP_CELLS[key][0] * W, grid.y_top - TO_LINE * s - made.size[1])
    for key, made in cells.low.items():
        _cell(sheet, key, made, LOW_CELLS[key][0] * W, low)
    x = grid.x_bypass + BESIDE_PIPE * s
    top = grid.radiator.top + BESIDE_PIPE * s
    _cell(sheet, CircuitPlace.BYPASS, cells.bypass, x, top)
    wide, high = cells.fan.size
    beside = max(top + cells.bypass.size[1] + BESIDE_PIPE * s, grid.y_fan - 0.5 * high)
    _cell(sheet, CircuitPlace.FAN, cells.fan, grid.x_fan - 0.5 * FAN_ROOM * s - wide, beside)
    return low + max(made.size[1] for made in cells.low.values())


def _cell(sheet: PictureSheet, key: CircuitPlace, made: Block, x: float, top: float) -> None:
    if made.parts:
        sheet.target(key, put_block(sheet, made, x, top))


def _tank(sheet: PictureSheet, plot: CircuitPlot, cells: _Cells, grid: CircuitGrid, low_end: float) -> float:
    """The tank in a row of its own beneath the lower hose's words; returns the lowest y so far."""
    if not cells.tank.parts:
        return low_end
    W, s = sheet.width, sheet.size
    top = low_end + 0.8 * s
    box = Box(TANK[0] * W, top, TANK[1] * W, top + cells.tank.size[1] + 2.0 * INSIDE * s)
    x = box.right - 0.6 * s
    start = grid.radiator.bottom
    sheet.stroke([(x, start), (x, box.top)], Tone.MUTED, 1.2)
    _box(sheet, plot, CircuitPlace.TANK, box)
    put_block(sheet, cells.tank, *_corner(sheet, box))
    sheet.target(CircuitPlace.TANK, box)
    return box.bottom + 0.3 * s


def _halos(sheet: PictureSheet, plot: CircuitPlot, grid: CircuitGrid) -> None:
    """A band under each hose at which a check is made."""
    for pipe in plot.pipes:
        if any(mark.kind is MarkKind.CHECK for mark in plot.at(pipe.key).marks):
            for box in grid.boxes_along(pipe.key, 0.95 * sheet.size):
                sheet.rectangle(box, Tone.VALVE, 0.28)


def _targets(sheet: PictureSheet, plot: CircuitPlot, grid: CircuitGrid) -> None:
    for pipe in plot.pipes:
        for box in grid.boxes_along(pipe.key, 0.7 * sheet.size):
            sheet.target(pipe.key, box)


def _scale(sheet: PictureSheet, plot: CircuitPlot, top: float) -> float:
    """The steps of colour with their ends, and what width means."""
    s = sheet.size
    low, high = (f"{end:.0f} {plot.warmth.unit}" for end in plot.warmth.limits)
    y = top + sheet.line
    sheet.text(low, 0.0, y - 0.3 * s, tone=Tone.MUTED)
    x = sheet.measure(low, s, False) + 0.4 * s
    for tone in WARMTH:
        sheet.rectangle(Box(x, y - 0.95 * s, x + SWATCH * s, y - 0.15 * s), tone)
        x += SWATCH * s
    sheet.text(high, x + 0.4 * s, y - 0.3 * s, tone=Tone.MUTED)
    for line in sheet.wrapped(plot.key, sheet.width):
        y += sheet.line
        sheet.text(line, 0.0, y - 0.3 * s, tone=Tone.MUTED)
    return y + sheet.pad
