"""Formulas for the typesetter: symbols of both sets, powers of ten, numbers put in."""

from __future__ import annotations

import gc
import io
import re
import tracemalloc
from array import array

import numpy as np
import pypdfium2
import pytest
from reportlab.graphics.shapes import Path

from engcalc.classroom.symbols import SymbolSet, printed, written
from engcalc.classroom.topics import TOPICS
from engcalc.units import UnitSystem
from reports.formulas import MOST_KEPT, SIZE, _drawing, _svg, formula_latex, numbers_latex, symbol_latex, symbol_markup
from reports.layout import PAGE_SIZES, RunningLines, compose, rich

TAG = re.compile(r"<[^>]*>")
BARE = RunningLines("t", "", "", "", draft=False, page_size=PAGE_SIZES[UnitSystem.SI])
SYMBOLS = sorted({one.symbol for topic in TOPICS.values() for one in (*topic.givens, *topic.looked_up, *topic.lines)})


@pytest.mark.parametrize(
    ("name", "latex", "text"),
    [
        ("Qdot_max", r"\dot{Q}_{\mathrm{max}}", "Q<sub"),
        ("mdot", r"\dot{m}", "ṁ"),
        ("lam", r"\lambda ", "λ"),
        ("dvartheta_m", r"\Delta \vartheta_{\mathrm{m}}", "Δϑ"),
        ("dp_0", r"\Delta p_{\mathrm{0}}", "Δp"),
        ("dT_m", r"\Delta T_{\mathrm{m}}", "ΔT"),
    ],
)
def test_letters_with_dots_and_differences(name: str, latex: str, text: str) -> None:
    assert symbol_latex(name) == latex
    assert symbol_markup(name).startswith(text)


@pytest.mark.parametrize("symbols", SymbolSet)
def test_paper_and_screen_write_a_symbol_alike(symbols: SymbolSet) -> None:
    for symbol in SYMBOLS:
        on_paper = TAG.sub("", symbol_markup(written(symbol, symbols)))
        assert on_paper.replace(",", "") == printed(symbol, symbols).replace("_", "").replace(",", ""), symbol


@pytest.mark.parametrize("symbol", ["Vdot", "Qdot"])
def test_a_capital_has_its_dot_over_its_middle_and_clear_of_it(symbol: str) -> None:
    """From the pixels of a line of text, by a reader that is not ours."""
    page = pypdfium2.PdfDocument(compose([rich(symbol_markup(symbol), "formula")], BARE))[0]
    ink = page.render(scale=20.0, crop=(50, 690, 450, 60)).to_numpy()[:, :, 0] < 128
    rows = np.flatnonzero(ink.any(axis=1))
    (gap,) = np.flatnonzero(np.diff(rows) > 1)
    assert rows[gap + 1] - rows[gap] > 6, "a third of a point between dot and letter"
    dot, letter = (np.flatnonzero(ink[part].any(axis=0)) for part in (rows[: gap + 1], rows[gap + 1 :]))
    assert dot.mean() == pytest.approx(letter.mean(), abs=0.06 * letter.size)


def test_a_dot_over_a_capital_lowers_no_line() -> None:
    """A cell with a dot stood lower than its neighbour."""
    feet = []
    for symbol in ("V", "Vdot"):
        page = pypdfium2.PdfDocument(compose([rich(symbol_markup(symbol), "formula")], BARE))[0]
        ink = page.render(scale=20.0, crop=(50, 690, 450, 60)).to_numpy()[:, :, 0] < 128
        feet.append(int(np.flatnonzero(ink.any(axis=1))[-1]))
    assert feet[0] == pytest.approx(feet[1], abs=2)


def test_a_power_of_ten_is_written_as_such() -> None:
    assert formula_latex("1 - 6.87559e-6*z") == r"1-6.87559\cdot 10^{-6}\, z"


def test_numbers_stand_as_printed_in_the_place_of_their_symbols() -> None:
    assert numbers_latex("a/(b*c)", {"a": "12.0", "b": "0.0120", "c": "3"}) == r"\frac{12.0}{0.0120\cdot 3}"
    assert numbers_latex("T_1 - T_2", {"T_1": "5.0", "T_2": "-5.0"}) == "5.0-(-5.0)"
    assert numbers_latex("x**2", {"x": "1.5e-4"}) == r"(1.5\cdot 10^{-4})^{2}"


def test_the_typesetter_saves_its_double_work_and_draws_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Rows within rows, parentheses that grow and a raised one: as the library alone draws them, by fewer nodes."""
    nested = (
        r"\left(\frac{a_{\mathrm{in}}}{1-\left(\frac{c}{d}\right)^{2/3}}\right)^{0.5}+\sqrt{\frac{x}{y_{\mathrm{out}}}}"
    )
    _svg(nested, SIZE)  # it loads the typesetter, which warns when it is loaded
    from ziamath.nodes.mnode import Mnode
    from ziamath.nodes.mrow import Mrow

    made: list[str] = []
    begin = Mnode.__init__

    def counted(node: Mnode, *given: object, **named: object) -> None:
        made.append(node.mtag)
        begin(node, *given, **named)

    monkeypatch.setattr(Mnode, "__init__", counted)
    quick, few = _svg(nested, SIZE), len(made)
    monkeypatch.setattr(Mrow, "_get_height_nostretch", Mrow._get_height_nostretch.__wrapped__)
    made.clear()
    assert _svg(nested, SIZE) == quick
    assert 3 * few < len(made)


LONG = r"x=\frac{a\cdot (1.2\cdot 10^{-3})\cdot (58.9-21.5)}{\left(1-e^{-0.34/7.1}\right)\cdot \sqrt{6.3}}"


def test_a_kept_formula_is_drawn_as_the_library_draws_it() -> None:
    from reportlab.graphics import renderPDF
    from svglib.svglib import svg2rlg

    kept, fresh = _drawing(LONG, SIZE), svg2rlg(io.StringIO(_svg(LONG, SIZE)))
    assert isinstance(_outlines(kept)[0], array)
    pages = [renderPDF.drawToString(drawing) for drawing in (kept, fresh)]
    shown = [pypdfium2.PdfDocument(page)[0].render(scale=3.0).to_numpy() for page in pages]
    assert (shown[0] == shown[1]).all()
    assert shown[0].min() < 64  # something is drawn


def test_a_kept_formula_weighs_little() -> None:
    """A lesson has up to a hundred of them: 512 of them with lists of numbers were 94 MB of memory."""
    _drawing(LONG, SIZE)  # type files and libraries are loaded
    gc.collect()
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    kept = [_drawing(f"{LONG}+{n}", SIZE) for n in range(8)]
    gc.collect()
    held = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    assert MOST_KEPT * 120_000 < 32e6
    assert len(kept) * 10_000 < held < len(kept) * 120_000  # bytes; with lists 205,000


def _outlines(shape: object) -> list[object]:
    own = [shape.points] if isinstance(shape, Path) else []
    return own + [points for inner in getattr(shape, "contents", ()) for points in _outlines(inner)]
