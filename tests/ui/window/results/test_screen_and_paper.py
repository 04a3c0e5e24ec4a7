"""The picture on the screen and the figure in the PDF show the same series, limits and words.

Both are read back from what was drawn, not from the layout: the screen's painting as SVG, the page as PDF.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from io import BytesIO
from xml.etree import ElementTree

import numpy as np
import pikepdf
import pypdfium2
import pytest
from PySide6.QtCore import QBuffer, QSize
from PySide6.QtGui import QPainter
from PySide6.QtSvg import QSvgGenerator
from reportlab.pdfgen.canvas import Canvas

from engcalc.units import UnitSystem
from reports import fonts
from reports.figures import Figure
from reports.plots import balance, circuit, exchanger, temperatures
from reports.plots.describe import Line, Mark, Marker, Tone, Words
from reports.plots.lines import AxisQuantity, Guides, Swept, line_chart
from reports.plots.scale import tick_words
from ui.window.results.drawing import PictureView


@dataclass(frozen=True)
class Drawn:
    """Joined points of every line, shape (n, 2), y down; and all words as one text without spaces."""

    lines: list[np.ndarray]
    text: str

    def line_of(self, count: int) -> np.ndarray:
        """The line of so many points."""
        found = [line for line in self.lines if len(line) == count]
        assert found, (count, sorted(map(len, self.lines)))
        return found[0]


def on_screen(qtbot, plot, width=600) -> Drawn:
    view = PictureView("picture")
    qtbot.addWidget(view)
    view.show_plot(plot)
    view.resize(width, view.heightForWidth(width))
    buffer = QBuffer()
    svg = QSvgGenerator()
    svg.setOutputDevice(buffer)
    svg.setSize(QSize(view.width(), view.height()))
    with QPainter(svg) as painter:
        view.paint_on(painter)
    root = ElementTree.fromstring(bytes(buffer.data()))
    lines = [
        np.array([[float(v) for v in pair.split(",")] for pair in element.get("points").split()])
        for element in root.iter("{http://www.w3.org/2000/svg}polyline")
    ]
    words = [element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")]
    return Drawn(lines, "".join("".join(words).split()))


def on_paper(plot, width=450.0) -> Drawn:
    fonts.register()
    buffer = BytesIO()
    figure = Figure(plot, width)
    canvas = Canvas(buffer, initialFontName=fonts.REGULAR)
    size = figure.wrapOn(canvas, width, 1e4)
    canvas.setPageSize(size)
    figure.drawOn(canvas, 0, 0)
    canvas.save()
    with pikepdf.open(buffer) as pdf:
        lines = _strokes(pdf.pages[0], size[1])
    document = pypdfium2.PdfDocument(buffer.getvalue())
    text = document[0].get_textpage().get_text_range()
    document.close()
    return Drawn(lines, "".join(text.split()))


def _strokes(page, height) -> list[np.ndarray]:
    lines, current = [], []
    for operands, operator in pikepdf.parse_content_stream(page):
        if str(operator) == "m":
            current = []
        if str(operator) in ("m", "l"):
            current.append((float(operands[0]), height - float(operands[1])))
        elif str(operator) == "S":
            lines.append(np.array(current))
    return lines


def in_data(drawn: Drawn, plot) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Each series as it was drawn, mapped back into its units by the grid: its ends are the limits of the axes."""
    upright = [line for line in drawn.lines if len(line) == 2 and np.ptp(line[:, 0]) < 1e-6]
    level = [line for line in drawn.lines if len(line) == 2 and np.ptp(line[:, 1]) < 1e-6]
    left, right = min(line[0, 0] for line in level), max(line[:, 0].max() for line in level)
    top, bottom = min(line[:, 1].min() for line in upright), max(line[:, 1].max() for line in upright)
    (x0, x1), (y0, y1) = plot.x.limits, plot.y.limits
    found = {}
    for series in plot.series:
        if series.line is not Line.NONE:
            line = drawn.line_of(len(series.x))
            found[series.name] = (
                x0 + (line[:, 0] - left) * (x1 - x0) / (right - left),
                y1 - (line[:, 1] - top) * (y1 - y0) / (bottom - top),
            )
    return found


def warm_up(system):
    t, u = np.linspace(0.0, 1800.0, 181), np.linspace(0.0, 1500.0, 31)
    return line_chart(
        Words("Warm-up", "c", "a"),
        AxisQuantity("Time", "time", zero=True),
        AxisQuantity("Coolant", "temperature"),
        [
            Swept("healthy", t, 263.15 + 90.0 * (1.0 - np.exp(-t / 400.0))),
            Swept("stuck", u, 263.15 + 60.0 * (1.0 - np.exp(-u / 300.0)), Tone.SECOND, Line.DASHED),
            Swept("read", u[::10], np.linspace(270.0, 320.0, 4), Tone.INK, Line.NONE, Marker.SQUARE),
        ],
        system,
        Guides(along_y=(Mark(361.15, "opens", Tone.VALVE),)),
    )


@pytest.mark.parametrize("system", list(UnitSystem))
def test_series_and_limits_agree_on_screen_and_paper(qtbot, look, system):
    plot = warm_up(system)
    screen, paper = in_data(on_screen(qtbot, plot), plot), in_data(on_paper(plot), plot)
    assert set(screen) == set(paper) == {"healthy", "stuck"}
    wide, high = np.ptp(plot.x.limits), np.ptp(plot.y.limits)
    for series in plot.series[:2]:
        for drawn in (screen[series.name], paper[series.name]):
            # SVG and PDF round coordinates to about a hundredth of a pixel or point
            assert drawn[0] == pytest.approx(series.x, abs=2e-4 * wide)
            assert drawn[1] == pytest.approx(series.y, abs=2e-4 * high)


def test_words_agree_on_screen_and_paper(qtbot, look, examples):
    for check in examples.values():
        for duty in check.duties:
            for plot in (
                balance.heat_balance(duty, UnitSystem.SI),
                exchanger.resistances(duty, UnitSystem.US),
                temperatures.temperatures(duty, check.case, UnitSystem.SI),
                exchanger.effectiveness_chart(duty.name, duty.point.core.exchange, check.plant.arrangement),
            ):
                screen, paper = on_screen(qtbot, plot).text, on_paper(plot).text
                title = "".join(plot.words.title.split())
                assert sorted(screen.replace(title, "", 1)) == sorted(paper)


@pytest.mark.parametrize("system", list(UnitSystem))
def test_the_circuit_has_the_same_words_and_hoses_on_screen_and_paper(qtbot, look, examples, system):
    """Each hose's corners on one fixed grid: the same in the shares of the width, whatever the type."""
    check = examples["van-no-heat"]
    for duty in check.duties[::3]:
        plot = circuit.duty_circuit(check, duty, system)
        screen, paper = on_screen(qtbot, plot), on_paper(plot)
        title = "".join(plot.words.title.split())
        assert sorted(screen.text.replace(title, "", 1)) == sorted(paper.text)
        for drawn, width in ((screen, 600), (paper, 450.0)):
            bends = [float(x) / width for line in drawn.lines if len(line) == 3 for x in line[:, 0]]
            for share in (0.1095, 0.3475, 0.485, 0.84):  # heater, engine, bypass, radiator
                assert min(abs(bend - share) for bend in bends) < 1e-3


@pytest.mark.parametrize("system", list(UnitSystem))
def test_ticks_and_titles_stand_on_both(qtbot, look, system):
    plot = warm_up(system)
    for text in (on_screen(qtbot, plot).text, on_paper(plot).text):
        for words in (
            *tick_words(plot.x),
            *tick_words(plot.y),
            plot.x.title,
            plot.y.title,
            "healthy",
            "stuck",
            "opens",
        ):
            assert re.sub(r"\s", "", words) in text, words
