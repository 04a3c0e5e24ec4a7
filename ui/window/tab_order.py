"""The Tab key goes as the eye does, whatever was built later than what stands beneath it.

Qt's own round follows the order in which widgets were built. Sections, cards and rows of the form are built when they
are opened, so their fields came at its end. Here the order is read from the layouts when the key is pressed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractScrollArea,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QGridLayout,
    QLayout,
    QScrollArea,
    QSplitter,
    QWidget,
)

_WHOLE = (QComboBox, QAbstractSpinBox, QAbstractScrollArea)  # what stands in these gets its keys from them


def tab_to_next(roots: Sequence[QWidget | None], *, forwards: bool) -> bool:
    """Give the keyboard to the next (or last) widget that takes it, round and round through these.

    False where none of them has the keyboard, or none takes it.
    """
    found = keys_within(roots)
    now = QApplication.focusWidget()
    while now is not None and now not in found:  # a cell being typed into stands for its table
        now = now.parentWidget()
    if now is None:
        return False
    step, reason = (1, Qt.FocusReason.TabFocusReason) if forwards else (-1, Qt.FocusReason.BacktabFocusReason)
    found[(found.index(now) + step) % len(found)].setFocus(reason)
    return True


def keys_within(roots: Sequence[QWidget | None]) -> list[QWidget]:
    """Everything in sight that takes the keyboard by Tab, from top to bottom."""
    return [widget for root in roots for widget in _as_laid_out(root) if _takes_keys(widget)]


def _takes_keys(widget: QWidget) -> bool:
    """Whether Tab stops here; what hands the keyboard to another is left to that one."""
    stops = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus) and widget.focusProxy() is None
    return stops and widget.isEnabled()


def _as_laid_out(widget: QWidget | None) -> Iterator[QWidget]:
    """A widget in sight, then what stands in it."""
    if widget is None or not widget.isVisible() or widget.isWindow():
        return
    yield widget
    if isinstance(widget, QScrollArea):
        yield from _as_laid_out(widget.widget())
    elif isinstance(widget, QSplitter):
        for place in range(widget.count()):
            yield from _as_laid_out(widget.widget(place))
    elif not isinstance(widget, _WHOLE) and (layout := widget.layout()) is not None:
        inner = [child for child in widget.children() if isinstance(child, QWidget)]
        yield from _in_layout(layout, inner)


def _in_layout(layout: QLayout, widgets: Sequence[QWidget]) -> Iterator[QWidget]:
    """What stands in a layout, of the widgets that its own widget holds; a grid is read line by line.

    Its items are not asked: of one that Qt deleted, Python may still hand out the old one.
    """
    within: list[QWidget | QLayout] = [child for child in layout.children() if isinstance(child, QLayout)]
    places = [(layout.indexOf(one), one) for one in (*widgets, *within)]
    for _, one in sorted(((_read(layout, at), one) for at, one in places if at >= 0), key=lambda pair: pair[0]):
        if isinstance(one, QLayout):
            yield from _in_layout(one, widgets)
        else:
            yield from _as_laid_out(one)


def _read(layout: QLayout, at: int) -> tuple[int, int]:
    """Where an item is read: row and column of a grid, else its place in the row."""
    if not isinstance(layout, QGridLayout):
        return 0, at
    found = layout.getItemPosition(at)
    assert isinstance(found, tuple)  # Qt's stubs say object
    row, column, *_spans = found
    return row, column
