"""Draws the picture of the road study: every curve that was read, over the band of the program's healthy vehicles."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
from reportlab.pdfgen.canvas import Canvas

from reports.figures import Figure
from reports.plots.describe import Axis, Band, Chart, Line, Series, Tone, Words

if TYPE_CHECKING:  # the study imports this file
    from study import Row

PANEL, GAP, ACROSS, SCALE = 190.0, 8.0, 4, 1.6  # pt; panels in a line; pixels for a point
DEGREES = Axis("coolant", "temperature", "°C", (0.0, 100.0), (0.0, 20.0, 40.0, 60.0, 80.0, 100.0))
MINUTES = Axis("since the start", "time", "min", (0.0, 30.0), (0.0, 10.0, 20.0, 30.0))


def panel(row: Row) -> Chart:
    """One start: the band and the middle of healthy vehicles, and what was read."""
    minutes = row.minutes / 60.0
    how = {"speed": "speed given", "idling": "idling"}.get(row.given, f"'{row.start.said}'")
    name = f"{row.start.name}, {row.start.ambient:g} °C, {how}"
    words = Words(name, "", f"{name}: {100 * row.inside.mean():.0f} % of the minutes inside the band")
    return Chart(
        words,
        MINUTES,
        DEGREES,
        (Series(name, minutes, row.middle, Tone.MUTED, Line.DASHED), Series("read", minutes, row.read, Tone.FIRST)),
        (Band("", minutes, row.low, row.high, Tone.COOLANT),),
    )


def curves(rows: Sequence[Row], path: Path) -> None:
    """All of them as one PNG."""
    figures = [Figure(panel(row)) for row in rows]
    sizes = [figure.wrap(PANEL, 0.0) for figure in figures]
    height = max(size[1] for size in sizes) + GAP
    lines = int(np.ceil(len(figures) / ACROSS))
    page = io.BytesIO()
    canvas = Canvas(page, pagesize=(ACROSS * (PANEL + GAP), lines * height))
    for i, figure in enumerate(figures):
        line, column = divmod(i, ACROSS)
        figure.drawOn(canvas, column * (PANEL + GAP), (lines - 1 - line) * height)
    canvas.save()
    pypdfium2.PdfDocument(page.getvalue())[0].render(scale=SCALE).to_pil().quantize(32).save(path, optimize=True)
