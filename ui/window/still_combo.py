"""What the wheel does not turn: lists to choose from, tabs, and numbers and sliders that were not clicked into."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QPalette, QPolygonF, QWheelEvent
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QComboBox,
    QSlider,
    QSpinBox,
    QStyle,
    QStyleOptionComboBox,
    QStyleOptionSpinBox,
    QStylePainter,
    QTabBar,
    QWidget,
)

from ui.window.rhythm import Gap, em

MOVING_KEYS = (
    *(Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down),
    *(Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_End),
)
MOST_LINES = 20  # that an open list shows at once: every unit of a flow is in sight
LETTERS = 12  # of a list that stands among other entries of a view
OF_ITS_OWN = " "  # a style sheet that says nothing, see own_sheet


def own_sheet(inner: QWidget | None) -> None:
    """Have Qt forget the part inside a list or number when that is deleted.

    Under a window's sheet Qt keeps what the sheet says of each widget, and lets go of it with the widget: but not of
    the part inside these two, which it thinks never asks. It does ask, and some 1 kB a widget stays for good. A part
    with a sheet of its own counts as any other widget.
    """
    if inner is not None:
        inner.setStyleSheet(OF_ITS_OWN)


class StillCombo(QComboBox):
    """Closed, it leaves the wheel to the page that is scrolled; its open list is a widget of its own and takes it.

    With a number of ``letters`` it may be narrower than its longest line.
    """

    def __init__(self, letters: int = 0) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMaxVisibleItems(MOST_LINES)
        own_sheet(self.view().parentWidget())
        if letters:
            self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            self.setMinimumContentsLength(letters)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        event.ignore()

    @property
    def drawn(self) -> str:
        """The line as it is drawn: where the room ends, with dots for the rest."""
        return self._option().currentText

    def _option(self) -> QStyleOptionComboBox:
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        part = QStyle.SubControl.SC_ComboBoxEditField
        room = self.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, part, self)
        text = self.fontMetrics().elidedText(
            self.currentText(), Qt.TextElideMode.ElideRight, room.width() - Gap.HALF.px
        )
        option.currentText = text
        return option

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Qt's hook: the style would cut a long line in the middle of a letter."""
        painter, option = QStylePainter(self), self._option()
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)


class StillNumber(QSpinBox):
    """A whole number that the wheel turns only once it was clicked into."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        own_sheet(self.lineEdit())

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Qt's hook. Under a style sheet the style draws no arrows: they are drawn here and grow with the text."""
        super().paintEvent(event)
        option, painter = QStyleOptionSpinBox(), QPainter(self)
        self.initStyleOption(option)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        for part, step, upward in (
            (QStyle.SubControl.SC_SpinBoxUp, QAbstractSpinBox.StepEnabledFlag.StepUpEnabled, True),
            (QStyle.SubControl.SC_SpinBoxDown, QAbstractSpinBox.StepEnabledFlag.StepDownEnabled, False),
        ):
            place = self.style().subControlRect(QStyle.ComplexControl.CC_SpinBox, option, part, self)
            able = self.isEnabled() and bool(self.stepEnabled() & step)
            role = QPalette.ColorRole.Text if able else QPalette.ColorRole.Mid
            painter.setBrush(self.palette().color(role))
            painter.drawPolygon(_arrow(place, upward=upward))


def _arrow(place: QRect, *, upward: bool) -> QPolygonF:
    """A triangle in the middle of a place, two fifths of a line of text wide."""
    half, middle = em() / 5.0, QRectF(place).center()
    tip = -half / 2.0 if upward else half / 2.0
    corners = ((-half, -tip), (half, -tip), (0.0, tip))
    return QPolygonF([QPointF(middle.x() + x, middle.y() + y) for x, y in corners])


class StillSlider(QSlider):
    """A slider from left to right that leaves the wheel to the page until it is used.

    A key that is held moves it as a hand does: ``rested`` comes when either lets go.
    """

    rested = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._key_held = False
        self.sliderReleased.connect(self.rested)

    @property
    def is_held(self) -> bool:
        """Whether a hand or a key moves it."""
        return self.isSliderDown() or self._key_held

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's hook."""
        self._key_held = event.key() in MOVING_KEYS
        super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Qt's hook: a key that repeats is still held."""
        super().keyReleaseEvent(event)
        if self._key_held and not event.isAutoRepeat():
            self._key_held = False
            self.rested.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Qt's hook: a key that is let go elsewhere is let go."""
        super().focusOutEvent(event)
        if self._key_held:
            self._key_held = False
            self.rested.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class StillTabs(QTabBar):
    """Tabs that the wheel does not turn, high enough for letters that reach below the line."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setExpanding(False)
        self.setDrawBase(False)
        self.setUsesScrollButtons(True)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Qt's hook."""
        event.ignore()

    def tabSizeHint(self, index: int) -> QSize:
        """Qt's hook: the style sets a tab that is not chosen lower and cuts its text."""
        wanted = super().tabSizeHint(index)
        return QSize(wanted.width(), wanted.height() + em() // 2)
