"""One entrance for every kind of picture."""

from __future__ import annotations

from reports.plots.describe import Chart, CircuitPlot, Flow, Map, Plot, Rows
from reports.plots.layout.charts import chart, heat_map
from reports.plots.layout.circuit import circuit
from reports.plots.layout.flows import flow
from reports.plots.layout.rows import rows
from reports.plots.layout.sheet import Measure, Picture, PictureSheet


def lay_out(plot: Plot, width: float, size: float, measure: Measure, *, titled: bool = True) -> Picture:
    """``plot`` laid out at a width with type of a size; the height follows.

    ``width`` and ``size`` in one unit, pixels or points; ``measure`` gives the width of a line of text in it. Without
    ``titled`` the title is left to whatever stands around the picture.
    """
    sheet = PictureSheet(width, size, measure, titled)
    return sheet.finished(_placed(sheet, plot))


def _placed(sheet: PictureSheet, plot: Plot) -> float:
    match plot:
        case Chart():
            return chart(sheet, plot)
        case Rows():
            return rows(sheet, plot)
        case Flow():
            return flow(sheet, plot)
        case Map():
            return heat_map(sheet, plot)
        case CircuitPlot():
            return circuit(sheet, plot)
