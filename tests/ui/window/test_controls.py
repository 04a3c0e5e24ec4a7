"""The parts of the standard controls are seen on either theme and grow with the text; contrast is taken from pixels."""

from __future__ import annotations

import pytest
from contrast import MARKS, contrast
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QDialog,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollBar,
    QTableWidget,
    QTableWidgetItem,
    QToolTip,
    QWidget,
)

from ui.window import theme
from ui.window.still_combo import StillNumber, StillSlider
from ui.window.theme import Look

LOOKS = pytest.mark.parametrize("look", [Look.LIGHT, Look.DARK], ids=["light", "dark"])
SIZES = (100, 200)


@pytest.fixture(autouse=True)
def as_before(qapp: QApplication):
    yield
    theme.apply(qapp, Look.LIGHT)


def drawn(qtbot, widget: QWidget, wide: int, high: int) -> QImage:
    qtbot.addWidget(widget)
    widget.resize(wide, high)
    widget.show()
    return widget.grab().toImage()


def highest_contrast(image: QImage, ground: str) -> float:
    pixels = {QColor(image.pixel(x, y)).name() for x in range(image.width()) for y in range(image.height())}
    return max(contrast(pixel, ground) for pixel in pixels)


@LOOKS
@pytest.mark.parametrize("size", SIZES)
def test_the_arrows_of_a_number_are_seen_and_those_that_do_nothing_are_faint(qapp, qtbot, look, size):
    theme.apply(qapp, look, size)
    number = StillNumber()
    number.setRange(0, 9)
    number.setValue(0)
    image = drawn(qtbot, number, 120 * size // 100, number.sizeHint().height())
    inside, middle = image.width() - 12 * size // 100, image.height() // 2
    above = image.copy(inside - 4, 3, 8, middle - 4)
    below = image.copy(inside - 4, middle + 1, 8, middle - 4)
    ground = theme.tones().base
    assert highest_contrast(above, ground) >= MARKS
    assert highest_contrast(below, ground) < MARKS, "it cannot go lower"


@LOOKS
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("ticked", [True, False])
def test_a_tick_in_a_table_is_seen(qapp, qtbot, look, size, ticked):
    theme.apply(qapp, look, size)
    table = QTableWidget(1, 1)
    item = QTableWidgetItem()
    item.setCheckState(Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked)
    table.setItem(0, 0, item)
    table.setShowGrid(False)
    drawn(qtbot, table, 200, 120)
    cell = table.visualItemRect(item)
    image = table.viewport().grab(cell).toImage()
    box = image.copy(2, 2, 14 * size // 100, image.height() - 4)
    assert highest_contrast(box, theme.tones().base) >= MARKS


@LOOKS
def test_a_ticked_box_of_a_list_is_a_tick_and_no_filled_square(qapp, qtbot, look):
    theme.apply(qapp, look)
    parts = QListWidget()
    theme.dress(parts)
    shares = []
    for state in (Qt.CheckState.Checked, Qt.CheckState.Unchecked):
        item = QListWidgetItem("", parts)
        item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
        item.setCheckState(state)
    drawn(qtbot, parts, 200, 120)
    for row in range(2):
        image = parts.viewport().grab(parts.visualItemRect(parts.item(row))).toImage().copy(5, 5, 7, 7)
        inside = [QColor(image.pixel(x, y)).name() for x in range(7) for y in range(7)]
        shares.append(inside.count(theme.tones().base) / len(inside))
    ticked, empty = shares
    assert empty > 0.9
    assert 0.2 < ticked < 0.9


@LOOKS
def test_the_handle_of_a_scroll_bar_is_seen(qapp, qtbot, look):
    theme.apply(qapp, look)
    bar = QScrollBar(Qt.Orientation.Vertical)
    bar.setRange(0, 100)
    image = drawn(qtbot, bar, bar.sizeHint().width(), 200)
    assert contrast(QColor(image.pixel(image.width() // 2, 20)).name(), theme.tones().panel) >= MARKS
    assert QColor(image.pixel(image.width() // 2, 190)).name() == theme.tones().panel


@LOOKS
def test_the_handle_of_a_slider_is_seen_on_its_groove(qapp, qtbot, look):
    theme.apply(qapp, look)
    slider = StillSlider()
    slider.setValue(50)
    image = drawn(qtbot, slider, 200, slider.sizeHint().height())
    handle = image.copy(90, 0, 20, image.height())
    assert highest_contrast(handle, theme.tones().window) >= MARKS


def test_they_grow_with_the_text(qapp, qtbot):
    sizes = {}
    for size in SIZES:
        theme.apply(qapp, Look.LIGHT, size)
        box, bar = QCheckBox("on"), QScrollBar(Qt.Orientation.Vertical)
        for widget in (box, bar):
            qtbot.addWidget(widget)
            widget.ensurePolished()
        sizes[size] = box.sizeHint().height(), bar.sizeHint().width()
    assert all(large >= 1.8 * small for small, large in zip(sizes[100], sizes[200], strict=True))


def test_a_tip_and_a_dialog_wear_the_sheet_of_their_window(qapp, qtbot):
    """The application itself has none (theme.dress): what a window opens has it by its parent."""
    theme.apply(qapp, Look.DARK)
    window = QWidget()
    button, dialog = QPushButton("Keep", window), QDialog(window)
    line = QLineEdit(dialog)
    drawn(qtbot, window, 200, 200)
    QToolTip.showText(QPoint(20, 20), "A tip", button)
    (shown,) = (w for w in qapp.topLevelWidgets() if w.metaObject().className() == "QTipLabel")
    image = shown.grab().toImage()
    QToolTip.hideText()
    shown.hide()
    assert qapp.styleSheet() == ""
    assert (image.pixelColor(0, 0).name(), image.pixelColor(3, 3).name()) == (theme.DARK.line, theme.DARK.panel)
    outline = drawn(qtbot, line, 100, 30)
    assert outline.pixelColor(50, 0).name() == theme.DARK.edge
