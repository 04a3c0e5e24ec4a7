"""The measures of the window: sizes of type, and gaps in steps of 8 pixels. One table for widgets and style sheet.

Nothing else in :mod:`ui.window` sets a size of type, a margin or a gap, and every layout is made here: so all of it
follows another size of text (:func:`space_anew`), and a test finds what stands outside the table.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from PySide6.QtGui import QFont, QFontMetrics
from PySide6.QtWidgets import QApplication, QBoxLayout, QGridLayout, QHBoxLayout, QLayout, QVBoxLayout, QWidget

POINTS = 10.0  # size of the text at 100 %
INDEX = 0.8  # type of a symbol's index over that of its letter
STEP = 8.0  # pixels of a step of the rhythm at 100 %


class Type(Enum):
    """Sizes of type, as shares of the size that the text has."""

    SMALL = 0.9  # what explains
    TEXT = 1.0
    HEADING = 1.15  # a step, a part of the start page
    LEAD = 1.5  # the answer
    TITLE = 2.0  # the program's name

    @property
    def points(self) -> float:
        """The size in points, at the size of text in use."""
        return self.value * max(QApplication.font().pointSizeF(), 1.0)


class Gap(Enum):
    """Gaps and margins, in steps of the rhythm."""

    NONE = 0.0
    HAIR = 0.25  # within a line to type in
    HALF = 0.5  # between what belongs together: a label and its editor, buttons of one choice
    ONE = 1.0  # between one thing and the next
    TWO = 2.0  # between parts of a page
    FOUR = 4.0  # around a page that stands alone

    @property
    def px(self) -> int:
        """The gap in whole pixels, at the size of text in use."""
        return round(self.value * STEP * Type.TEXT.points / POINTS)


@dataclass(frozen=True)
class Edges:
    """What stays free around the inside of a layout."""

    left: Gap = Gap.NONE
    top: Gap = Gap.NONE
    right: Gap = Gap.NONE
    bottom: Gap = Gap.NONE


AROUND_A_CARD = Edges(Gap.ONE, Gap.ONE, Gap.ONE, Gap.ONE)
AROUND_A_DIALOG = Edges(Gap.TWO, Gap.TWO, Gap.TWO, Gap.TWO)
BESIDE_A_BAR = Edges(right=Gap.ONE, bottom=Gap.ONE)  # of a page that scrolls: its bar touches nothing
_KEPT = "gaps"  # the property of a layout that tells which gaps of the table it has


def text_font(family: str, percent: int) -> QFont:
    """The type of the text at a size in per cent."""
    font = QFont(family)
    font.setPointSizeF(POINTS * percent / 100.0)
    return font


def sized(font: QFont, size: Type) -> QFont:
    """The same type in one of the sizes of the scale."""
    other = QFont(font)
    other.setPointSizeF(size.points)
    return other


def em() -> int:
    """The height of a line of text in pixels: the measure of widths."""
    return QFontMetrics(QApplication.font()).height()


def upright(parent: QWidget | None = None, *, between: Gap = Gap.ONE, around: Edges | None = None) -> QVBoxLayout:
    """Widgets under one another."""
    layout = QVBoxLayout() if parent is None else QVBoxLayout(parent)
    keep_gaps(layout, across=between, around=around)
    return layout


def sideways(parent: QWidget | None = None, *, between: Gap = Gap.ONE, around: Edges | None = None) -> QHBoxLayout:
    """Widgets beside one another."""
    layout = QHBoxLayout() if parent is None else QHBoxLayout(parent)
    keep_gaps(layout, across=between, around=around)
    return layout


def turning(direction: QBoxLayout.Direction, *, between: Gap = Gap.ONE) -> QBoxLayout:
    """Widgets beside or under one another, as the width wants."""
    layout = QBoxLayout(direction)
    keep_gaps(layout, across=between)
    return layout


def gridded(
    parent: QWidget | None = None, *, across: Gap = Gap.ONE, down: Gap = Gap.HALF, around: Edges | None = None
) -> QGridLayout:
    """Widgets in rows and columns; ``across`` parts the columns, ``down`` the rows."""
    layout = QGridLayout() if parent is None else QGridLayout(parent)
    keep_gaps(layout, across=across, down=down, around=around)
    return layout


def keep_gaps(layout: QLayout, *, across: Gap = Gap.ONE, down: Gap = Gap.ONE, around: Edges | None = None) -> None:
    """Give a layout these gaps, now and at every size of text."""
    edges = around or Edges()
    gaps = (edges.left, edges.top, edges.right, edges.bottom, across, down)
    layout.setProperty(_KEPT, [gap.value for gap in gaps])
    layout.setObjectName(_KEPT)
    _space(layout)


def _space(layout: QLayout) -> None:
    kept = layout.property(_KEPT)
    if not kept:
        return
    left, top, right, bottom, across, down = (Gap(value).px for value in kept)
    layout.setContentsMargins(left, top, right, bottom)
    if isinstance(layout, QGridLayout):
        layout.setHorizontalSpacing(across)
        layout.setVerticalSpacing(down)
    else:
        layout.setSpacing(across)


def space_anew(root: QWidget) -> None:
    """Give every layout in ``root`` that keeps gaps those at the size of text in use.

    They are found by their name: of Qt's own layouts, inside its lists, Python would keep its side for good once it was
    handed them.
    """
    for layout in root.findChildren(QLayout, _KEPT):
        _space(layout)


def index_type(font: QFont) -> QFont:
    """The type of a symbol's index beside its letter's; sizes are given in points or in pixels."""
    small = QFont(font)
    if font.pointSizeF() > 0.0:
        small.setPointSizeF(INDEX * font.pointSizeF())
    else:
        small.setPixelSize(round(INDEX * font.pixelSize()))
    return small
