"""Pictures in the PDF: vector, embedded type, every word there, the same bytes each time."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pikepdf
import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import SimpleDocTemplate

from engcalc.units import UnitSystem
from reports import fonts
from reports.figures import Figure
from reports.plots.describe import Flow, FlowPart, LabelledPoint, Line, Link, Mark, Marker, Row, Rows, Span, Tone, Words
from reports.plots.lines import AxisQuantity, Grid, Guides, Swept, level_map, line_chart
from reports.plots.scale import axis, tick_words

WORDS = Words("Title of the picture", "What to see in it", "All of it told")


def chart():
    t = np.linspace(0.0, 1800.0, 31)
    T = 263.15 + 90.0 * (1.0 - np.exp(-t / 400.0))
    return line_chart(
        WORDS,
        AxisQuantity("Time", "time", zero=True),
        AxisQuantity("Coolant", "temperature"),
        [
            Swept("healthy", t, T, low=T - 4.0, high=T + 4.0),
            Swept("read", t[::10], T[::10] - 9.0, Tone.INK, Line.NONE, Marker.DIAMOND),
        ],
        UnitSystem.SI,
        Guides(
            along_y=(Mark(361.15, "opens", Tone.VALVE, Line.DASHED),),
            spots=(LabelledPoint(900.0, 300.0, "здесь η 40 °C", Tone.INK, Marker.RING),),
        ),
    )


def rows():
    return Rows(
        WORDS,
        axis("Temperature", "temperature", UnitSystem.SI, [0.0, 120.0]),
        (Row("Coolant", (Span(80.0, 90.0, Tone.COOLANT, "80 °C", "90 °C"),)),),
        (Mark(110.0, "limit", Tone.LIMIT),),
    )


def flow():
    columns = (
        (FlowPart("fuel", "Fuel", 10.0, "10 kW", Tone.FUEL),),
        (FlowPart("metal", "Metal", 10.0, "10 kW", Tone.METAL),),
    )
    return Flow(WORDS, "kW", columns, (Link("fuel", "metal", 10.0),))


def surface():
    x = np.linspace(0.3, 0.8, 12)
    return level_map(
        WORDS,
        AxisQuantity("Width", "small length"),
        AxisQuantity("Height", "small length"),
        AxisQuantity("Coolant", "temperature"),
        Grid(x, x, 350.0 + 30.0 * np.hypot(x, x[:, None])),
        UnitSystem.SI,
    )


PLOTS = {"chart": chart, "rows": rows, "flow": flow, "map": surface}


def page_of(plot) -> bytes:
    buffer = BytesIO()
    SimpleDocTemplate(buffer, invariant=1, initialFontName=fonts.REGULAR).build([Figure(plot)])
    return buffer.getvalue()


@pytest.mark.parametrize("name", PLOTS)
def test_a_picture_is_vector_and_embeds_its_type(name):
    with pikepdf.open(BytesIO(page_of(PLOTS[name]()))) as pdf:
        page = pdf.pages[0]
        assert not page.get_images()
        drawn = [str(operator) for _, operator in pikepdf.parse_content_stream(page)]
        assert "l" in drawn or "re" in drawn
        used = [
            page.resources.Font[operands[0]]
            for operands, operator in pikepdf.parse_content_stream(page)
            if str(operator) == "Tf"
        ]
        assert used
        assert all("/FontFile2" in font.FontDescriptor for font in used if "/FontDescriptor" in font)
        assert any("/FontDescriptor" in font for font in used)


@pytest.mark.parametrize("name", PLOTS)
def test_the_same_picture_gives_the_same_bytes(name):
    assert page_of(PLOTS[name]()) == page_of(PLOTS[name]())


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    text = document[0].get_textpage().get_text_range()
    document.close()
    return text


def test_ticks_titles_names_and_words_are_all_there():
    plot = chart()
    text = text_of(page_of(plot))
    for words in (
        *tick_words(plot.x),
        *tick_words(plot.y),
        plot.x.title,
        plot.y.title,
        "healthy",
        "read",
        "opens",
        "здесь η 40 °C",
    ):
        assert words in text, words
    assert WORDS.title not in text  # the page's own headings say it


def test_a_picture_takes_the_room_it_says():
    figure = Figure(rows(), width=300.0)
    assert figure.wrap(500.0, 700.0)[0] == 300.0
    assert figure.wrap(200.0, 700.0)[0] == 200.0
    wide, narrow = Figure(rows()).wrap(500.0, 700.0), Figure(rows()).wrap(250.0, 700.0)
    assert wide[0] == 500.0
    assert 40.0 < narrow[1] < 200.0


def test_drawing_leaves_the_canvas_as_it_was():
    """What is drawn after a picture, such as running lines, must not be half transparent or dashed."""
    buffer = BytesIO()
    fonts.register()
    canvas = Canvas(buffer, invariant=1)
    figure = Figure(chart())
    figure.wrapOn(canvas, 400.0, 400.0)
    figure.drawOn(canvas, 50.0, 300.0)
    canvas.line(10, 10, 100, 10)
    canvas.save()
    with pikepdf.open(buffer) as pdf:
        instructions = [(operands, str(operator)) for operands, operator in pikepdf.parse_content_stream(pdf.pages[0])]
    depth = 0
    for operands, operator in instructions:
        depth += {"q": 1, "Q": -1}.get(operator, 0)
        if depth == 0:
            assert operator not in ("d", "gs"), operands
