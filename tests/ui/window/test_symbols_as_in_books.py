"""Symbols stand in the window as in books: no index after an underscore, wherever a lesson can be looked at."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QAbstractButton, QLabel, QTableView, QTabWidget, QTextBrowser, QWidget

from engcalc.words.terms.symbols import symbols_of_answers
from engcalc.words.texts import dialog_texts
from reports.plots.describe import Chart
from ui.window import errands
from ui.window.jobs.steps import LESSON, VIEW_TIPS
from ui.window.main_window import MainWindow, example_files
from ui.window.results.drawing import PictureView
from ui.window.results.index_below import IndexBelow
from ui.window.results.table import SYMBOLS, TableText, TableView
from ui.window.worker import ThreadExecutor

TYPED = re.compile(r"\w_\w|\^")
TO_TYPE = dialog_texts.NUMBERS_OF_THIS_TOPIC.partition("{")[0]  # begins what says how to type numbers of one's own


def words_of(root: QWidget) -> Iterator[str]:
    """Every word in sight: labels, buttons, tabs, cells, and what pictures hold."""
    for label in root.findChildren(QLabel):
        if label.isVisible() and not label.text().startswith(TO_TYPE):
            yield label.text()
    yield from (button.text() for button in root.findChildren(QAbstractButton) if button.isVisible())
    for tabs in root.findChildren(QTabWidget):
        yield from (tabs.tabText(i) for i in range(tabs.count()))
    for table in root.findChildren(QTableView):
        if table.isVisible():
            yield from cells_of(table)
    for picture in root.findChildren(PictureView):
        if picture.isVisible() and isinstance(picture.plot, Chart):
            words = picture.plot.words
            yield from (words.title, words.caption, words.alternative, picture.plot.x.label, picture.plot.y.label)
            yield from (series.name for series in picture.plot.series)


def cells_of(table: QTableView) -> Iterator[str]:
    """What is drawn of a table; the index of a symbol is drawn below the line."""
    model = table.model()
    for column in range(model.columnCount()):
        yield str(model.headerData(column, Qt.Orientation.Horizontal))
        if not isinstance(table.itemDelegateForColumn(column), IndexBelow):
            yield from (str(model.index(row, column).data()) for row in range(model.rowCount()))


@pytest.fixture(params=["bench-exchanger", "double-pipe"])
def lesson(request, make_window, qtbot) -> MainWindow:
    window = make_window(executor=ThreadExecutor())
    window.open_example(next(path for path in example_files() if request.param in path.name))
    qtbot.waitUntil(lambda: window.workspace.current_check() is not None and not window.checker.busy, timeout=20_000)
    yield window
    window.close()


def test_no_symbol_of_a_lesson_is_shown_as_it_is_typed(lesson, qtbot):
    found, seen = set(), 0
    for step in LESSON:
        lesson.workspace.open_step(step.key)
        for view in VIEW_TIPS if step.key == "detail" else step.views:
            lesson.workspace.stage.show_view(view)
            qtbot.wait(50)
            words = list(words_of(lesson))
            seen += len(words)
            found |= {(step.key, view, text) for text in words if TYPED.search(text)}
    assert found == set()
    assert seen > 1000


def test_the_glossary_sets_each_index_below_the_line(window, monkeypatch):
    read = []
    monkeypatch.setattr(errands, "until_left", lambda dialog: read.append(dialog.findChild(QTextBrowser)))
    errands.show_glossary(window)
    told = read[0].toPlainText()
    assert not TYPED.search(told)
    assert "Tpeak: Highest in the duty's time, °C" in told
    assert read[0].toHtml().count("vertical-align:sub") > 0.5 * len(symbols_of_answers())


def ink(image: QImage) -> tuple[int, int]:
    """The last line and the last column in which anything but white is drawn."""
    dark = [
        (x, y) for x in range(image.width()) for y in range(image.height()) if image.pixelColor(x, y).lightness() < 200
    ]
    return max(y for _, y in dark), max(x for x, _ in dark)


def test_an_index_is_drawn_smaller_and_lower_and_copied_as_it_is_typed(qtbot):
    table = TableView("Symbols")
    qtbot.addWidget(table)
    table.setAlternatingRowColors(False)
    table.setItemDelegateForColumn(SYMBOLS, IndexBelow(table))
    table.put(TableText(("Result", "Symbol"), (("Limit", "T_max"), ("Limit", "Tmax"), ("Limit", "ΔT"))))
    table.resize(400, 200)
    table.show()

    def drawn(row: int) -> QImage:
        place: QRect = table.visualRect(table.model().index(row, SYMBOLS))
        image = QImage(place.size(), QImage.Format.Format_RGB32)
        image.fill(Qt.GlobalColor.white)
        painter = QPainter(image)
        table.viewport().render(painter, -place.topLeft())
        painter.end()
        return image.copy(2, 2, image.width() - 4, image.height() - 4)

    (low, narrow), (line, wide) = ink(drawn(0)), ink(drawn(1))
    assert low > line + 1
    assert narrow < wide
    assert ink(drawn(2))[0] == line
    assert table.rows.text.tsv().splitlines()[1] == "Limit\tT_max"
    table.selectRow(0)
    assert table.copied_text().splitlines()[1] == "Limit\tT_max"
