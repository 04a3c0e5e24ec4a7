"""Pictures for the PDF: a laid-out description drawn with reportlab's own lines, areas and embedded type.

reportlab's canvas is used rather than a plotting library because the same layout then serves the screen and the page,
and six pages with their pictures cost hundredths of a second where a plotting library takes half a second and more;
everything stays vector, and a rebuild gives the same bytes.
"""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from engcalc.units import Array
from reports import fonts
from reports.plots.describe import Marker, Plot
from reports.plots.layout import lay_out
from reports.plots.layout.sheet import Anchor, Fill, Lettering, Picture, Point, Stroke
from reports.plots.palette import PAPER

TYPE_SIZE = 8.0  # pt


class Figure(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """A picture as wide as the column it is put in (or ``width`` in points), its height as its layout needs.

    Title and caption are left to the page, whose headings and paragraphs a screen reader finds.
    """

    def __init__(self, plot: Plot, width: float | None = None, size: float = TYPE_SIZE) -> None:
        super().__init__()
        fonts.register()
        self.plot = plot
        self.size = size
        self.wanted_width = width
        self.picture: Picture | None = None

    def wrap(self, available_width: float, _available_height: float) -> tuple[float, float]:
        """Size [pt] that the picture takes in a column of ``available_width`` [pt]."""
        width = min(self.wanted_width or available_width, available_width)
        if self.picture is None or self.picture.width != width:
            self.picture = lay_out(self.plot, width, self.size, _measure, titled=False)
        return self.picture.width, self.picture.height

    def draw(self) -> None:
        """Draw onto the page; reportlab has moved the origin to the lower left corner of the picture."""
        if self.picture is not None:
            draw_picture(self.canv, self.picture)


def _measure(words: str, size: float, bold: bool) -> float:
    return float(stringWidth(words, fonts.BOLD if bold else fonts.REGULAR, size))


def draw_picture(canvas: Canvas, picture: Picture) -> None:
    """Draw a picture with its lower left corner at the canvas' origin."""
    for mark in picture.marks:
        match mark:
            case Stroke():
                _stroke(canvas, mark, picture.height)
            case Fill():
                _fill(canvas, mark, picture.height)
            case Lettering():
                _letter(canvas, mark, picture.height)
            case Point():
                _point(canvas, mark, picture.height)


def _path(canvas: Canvas, points: Array, height: float) -> PDFPathObject:
    path = canvas.beginPath()
    _add(path, points, height)
    return path


def _add(path: PDFPathObject, points: Array, height: float) -> None:
    path.moveTo(float(points[0, 0]), height - float(points[0, 1]))
    for x, y in points[1:]:
        path.lineTo(float(x), height - float(y))


def _stroke(canvas: Canvas, mark: Stroke, height: float) -> None:
    canvas.setStrokeColor(HexColor(PAPER[mark.tone]))
    canvas.setLineWidth(mark.width)
    canvas.setLineJoin(1)
    canvas.setDash(list(mark.dash))
    canvas.drawPath(_path(canvas, mark.points, height), stroke=1, fill=0)


def _fill(canvas: Canvas, mark: Fill, height: float) -> None:
    path = canvas.beginPath()
    for ring in mark.rings:
        _add(path, ring, height)
        path.close()
    canvas.setFillColor(HexColor(PAPER[mark.tone]), alpha=mark.opacity)
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)  # even-odd, so that inner rings are holes
    canvas.setFillAlpha(1.0)


def _letter(canvas: Canvas, mark: Lettering, height: float) -> None:
    canvas.setFillColor(HexColor(PAPER[mark.tone]))
    canvas.setFont(fonts.BOLD if mark.bold else fonts.REGULAR, mark.size)
    put = {
        Anchor.START: canvas.drawString,
        Anchor.MIDDLE: canvas.drawCentredString,
        Anchor.END: canvas.drawRightString,
    }[mark.anchor]
    put(mark.x, height - mark.y, mark.words)


def _point(canvas: Canvas, mark: Point, height: float) -> None:
    canvas.setFillColor(HexColor(PAPER[mark.tone]))
    canvas.setStrokeColor(HexColor(PAPER[mark.tone]))
    canvas.setLineWidth(0.3 * mark.radius)
    canvas.setDash()
    x, y, r = mark.x, height - mark.y, mark.radius
    if mark.shape in (Marker.DISC, Marker.RING):
        canvas.circle(x, y, r, stroke=1, fill=int(mark.shape is Marker.DISC))
        return
    path = canvas.beginPath()
    corners = [(x + r * dx, y - r * dy) for dx, dy in mark.shape.corners]
    path.moveTo(*corners[0])
    for corner in corners[1:]:
        path.lineTo(*corner)
    path.close()
    canvas.drawPath(path, stroke=1, fill=1)
