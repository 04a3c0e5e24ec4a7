"""A picture on the screen: a laid-out description painted with QPainter, in the colours of the palette in use.

The layout is the one the PDF uses. It is made anew only when the description, the width or the type changes; a paint
is then a few dozen calls.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QContextMenuEvent,
    QFocusEvent,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QImage,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QMenu, QSizePolicy, QWidget

from engcalc.units import Array
from reports.plots.describe import Chart, CircuitPlot, Marker, Plot, Tone
from reports.plots.layout import lay_out
from reports.plots.layout.sheet import Anchor, Fill, Lettering, Measure, Picture, Point, Stroke, Target
from reports.plots.palette import DARK, LIGHT
from ui.window import theme
from ui.window.plain import tip
from ui.window.rhythm import Type, em, sized

LEAST_WIDTH = 21.0  # lines of text; below that labels and bars no longer fit side by side
COPY_SCALE = 2.0  # a copied picture is this much finer than the screen
_STEPS: dict[int, int] = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}  # keys that go from place to place


class PictureView(QWidget):
    """Shows one picture as wide as it gets and as high as that needs; ``Ctrl+C`` copies it.

    Of a circuit the places where a reading can be taken answer a click, of a chart the points that can be picked; the
    arrow keys go from one to the next, and return or space takes it.
    """

    focused = Signal()
    tapped = Signal(str)  # the key of the place or point

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = name
        self._plot: Plot | None = None
        self._instead = ""
        self._laid: Picture | None = None
        self._laid_for: tuple[object, ...] = ()
        self._heights: dict[tuple[int, str], int] = {}  # by width and type, of the plot that is shown
        self._pointed = ""  # the place that the keys have gone to
        self.setMouseTracking(True)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(name)

    @property
    def plot(self) -> Plot | None:
        """The description that is shown."""
        return self._plot

    def show_plot(self, plot: Plot | None, instead: str = "") -> None:
        """Show a description; for None show the words ``instead``."""
        old = self.heightForWidth(self.width())
        self._plot, self._instead, self._laid = plot, instead, None
        self._heights.clear()
        self.setAccessibleDescription(plot.words.alternative if plot is not None else instead)
        self.setToolTip(tip(plot.words.caption) if plot is not None else "")
        if self.heightForWidth(self.width()) != old:
            self.updateGeometry()
        self.update()

    def picture(self, width: float) -> Picture | None:
        """The picture laid out at a width in pixels."""
        if self._plot is None:
            return None
        wanted = (id(self._plot), width, self._font().toString())
        if self._laid is None or self._laid_for != wanted:
            self._laid = lay_out(self._plot, width, self._type_size(), self._measure())
            self._laid_for = wanted
        return self._laid

    def image(self) -> QImage:
        """The picture as an image on its ground, finer than the screen, to be copied or saved."""
        width, height = self.width(), self.heightForWidth(self.width())
        image = QImage(QSize(round(width * COPY_SCALE), round(height * COPY_SCALE)), QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(COPY_SCALE)
        image.fill(QColor(_colours()[Tone.GROUND]))
        with QPainter(image) as painter:
            self.paint_on(painter)
        return image

    def copy(self) -> None:
        """Put the picture on the clipboard."""
        if self._plot is not None:
            QGuiApplication.clipboard().setImage(self.image())
            self.focused.emit()

    def _font(self, bold: bool = False) -> QFont:
        font = sized(self.font(), Type.SMALL)
        font.setBold(bold)
        return font

    def _type_size(self) -> float:
        return self._font().pointSizeF() * self.logicalDpiY() / 72.0

    def _measure(self) -> Measure:
        """How wide words are [pixels], by the fonts of now, which are made once for a picture."""
        plain, heavy = QFontMetricsF(self._font()), QFontMetricsF(self._font(bold=True))

        def width(words: str, _size: float, bold: bool) -> float:
            return (heavy if bold else plain).horizontalAdvance(words)

        return width

    # ---- size -------------------------------------------------------------------------------------------------------

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        asked = max(width, self.minimumSizeHint().width()), self._font().toString()
        if asked not in self._heights:  # a layout asks again and again, of pictures out of sight too
            picture = self.picture(float(asked[0]))
            self._heights[asked] = 2 * em() if picture is None else round(picture.height + 0.5)
        return self._heights[asked]

    def sizeHint(self) -> QSize:
        width = max(self.width(), self.minimumSizeHint().width())
        return QSize(width, self.heightForWidth(width))

    def minimumSizeHint(self) -> QSize:
        return QSize(round(LEAST_WIDTH * em()), 2 * em())

    # ---- painting ---------------------------------------------------------------------------------------------------

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            self.paint_on(painter)
            if self.hasFocus():
                painter.setPen(QPen(self.palette().highlight().color(), 1.0, Qt.PenStyle.DotLine))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
                self._show_pointed(painter)

    def paint_on(self, painter: QPainter) -> None:
        """Paint the picture, or the words instead of it, at the painter's origin."""
        picture = self.picture(float(self.width()))
        colours = _colours()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if picture is None:
            painter.setPen(QColor(colours[Tone.MUTED]))
            painter.drawText(
                QRectF(self.rect()), int(Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap), self._instead
            )
            return
        fonts = {False: self._font(), True: self._font(bold=True)}
        for mark in picture.marks:
            colour = QColor(colours[mark.tone])
            match mark:
                case Stroke():
                    _stroke(painter, mark, colour)
                case Fill():
                    _fill(painter, mark, colour)
                case Lettering():
                    _letter(painter, mark, colour, fonts[mark.bold])
                case Point():
                    _point(painter, mark, colour)

    # ---- hands ------------------------------------------------------------------------------------------------------

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.focused.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        elif self.taps and event.key() in _STEPS:
            self._go(_STEPS[event.key()])
        elif self.pointed and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.tapped.emit(self.pointed)
        else:
            super().keyPressEvent(event)

    # ---- places -----------------------------------------------------------------------------------------------------

    @property
    def taps(self) -> tuple[str, ...]:
        """The places that answer a click, in the order of the keys."""
        if isinstance(self._plot, Chart):
            return tuple(pick.key for pick in self._plot.picks)
        return self._plot.taps if isinstance(self._plot, CircuitPlot) else ()

    @property
    def pointed(self) -> str:
        """The place that the keys have gone to; empty before they were used."""
        return self._pointed if self._pointed in self.taps else ""

    def spots_of(self, key: str) -> list[Target]:
        """Where a place of the picture can be pointed at."""
        picture = self.picture(float(self.width()))
        return [] if picture is None else [target for target in picture.targets if target.key == key]

    def _place_at(self, point: QPointF) -> str:
        x, y = point.x(), point.y()
        hit = [spot for key in self.taps for spot in self.spots_of(key) if spot.holds(x, y)]
        if isinstance(self._plot, Chart):  # of points close together the nearest
            hit.sort(key=lambda spot: spot.away(x, y))
        return hit[0].key if hit else ""

    def _go(self, steps: int) -> None:
        """Go to the next place, or the one before."""
        at = self.taps.index(self._pointed) + steps if self._pointed in self.taps else 0
        self._pointed = self.taps[at % len(self.taps)]
        self.setAccessibleDescription(f"{self._tap_words(self._pointed)}. {self._plot_words()}")
        self.update()

    def _plot_words(self) -> str:
        return "" if self._plot is None else self._plot.words.alternative

    def _tap_words(self, key: str) -> str:
        """What a click on a place does."""
        picks = self._plot.picks if isinstance(self._plot, Chart) else ()
        return next((pick.words for pick in picks if pick.key == key), f"Take a reading: {key}")

    def _show_pointed(self, painter: QPainter) -> None:
        painter.setPen(QPen(self.palette().highlight().color(), 2.0))
        for spot in self.spots_of(self.pointed) if self.pointed else ():
            box = spot.box
            painter.drawRect(QRectF(box.left, box.top, box.width, box.height))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        key = self._place_at(event.position())
        self.setCursor(Qt.CursorShape.PointingHandCursor if key else Qt.CursorShape.ArrowCursor)
        if self.taps and self._plot is not None:
            self.setToolTip(tip(self._tap_words(key) if key else self._plot.words.caption))
        super().mouseMoveEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        key = self._place_at(event.position()) if event.button() is Qt.MouseButton.LeftButton else ""
        super().mouseReleaseEvent(event)
        if key:
            self.tapped.emit(key)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        menu = QMenu(self)
        menu.addAction("Copy picture", self.copy)
        menu.exec(event.globalPos())


def _colours() -> dict[Tone, str]:
    """The palette of pictures on the window's own ground."""
    return {**(DARK if theme.is_dark() else LIGHT), Tone.GROUND: theme.tones().base}


def _polygon(points: Array) -> QPolygonF:
    return QPolygonF([QPointF(x, y) for x, y in points.tolist()])


def _stroke(painter: QPainter, mark: Stroke, colour: QColor) -> None:
    pen = QPen(colour, mark.width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if mark.dash:
        pen.setDashPattern([part / max(mark.width, 1e-6) for part in mark.dash])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(_polygon(mark.points))


def _fill(painter: QPainter, mark: Fill, colour: QColor) -> None:
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for ring in mark.rings:
        path.addPolygon(_polygon(ring))
        path.closeSubpath()
    colour.setAlphaF(mark.opacity)
    painter.fillPath(path, QBrush(colour))


def _letter(painter: QPainter, mark: Lettering, colour: QColor, font: QFont) -> None:
    painter.setFont(font)
    painter.setPen(colour)
    wide = QFontMetricsF(font).horizontalAdvance(mark.words) if mark.anchor is not Anchor.START else 0.0
    painter.drawText(QPointF(mark.x - mark.anchor.value * wide, mark.y), mark.words)


def _point(painter: QPainter, mark: Point, colour: QColor) -> None:
    painter.setPen(QPen(colour, 0.3 * mark.radius))
    painter.setBrush(Qt.BrushStyle.NoBrush if mark.shape is Marker.RING else QBrush(colour))
    if mark.shape in (Marker.DISC, Marker.RING):
        painter.drawEllipse(QPointF(mark.x, mark.y), mark.radius, mark.radius)
        return
    corners = [QPointF(mark.x + mark.radius * dx, mark.y + mark.radius * dy) for dx, dy in mark.shape.corners]
    painter.drawPolygon(QPolygonF(corners))
