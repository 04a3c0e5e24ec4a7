"""One table of type and gaps: nothing in the window sets a size or a gap of its own, and all of it follows the text."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLabel, QLayout, QWidget

from ui.window import rhythm, theme
from ui.window.main_window import MainWindow
from ui.window.rhythm import Edges, Gap, Type
from ui.window.start_page import WayIn

WINDOW = Path(rhythm.__file__).parent
TABLE = WINDOW / "rhythm.py"
SHEET = WINDOW / "theme.py"
SETS_A_GAP = {"setContentsMargins", "setSpacing", "setHorizontalSpacing", "setVerticalSpacing", "addSpacing"}
SETS_A_SIZE = {"setPointSize", "setPointSizeF", "setPixelSize"}
MAKES_A_LAYOUT = {"QVBoxLayout", "QHBoxLayout", "QGridLayout", "QFormLayout", "QBoxLayout"}
IN_A_SHEET = re.compile(r"font-size|padding|margin\s*:|spacing\s*:")


def called(node: ast.Call) -> str:
    """The last name of what is called."""
    if isinstance(node.func, ast.Attribute):
        return node.func.attr
    return node.func.id if isinstance(node.func, ast.Name) else ""


def of_its_own(path: Path) -> Iterator[str]:
    """Each place of a file that sets a size of type or a gap."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documentation = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    told: list[ast.Constant] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and called(node) in SETS_A_GAP | SETS_A_SIZE | MAKES_A_LAYOUT:
            yield f"{path.name}:{node.lineno} {called(node)}"
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documentation:
            told.append(node)
    yield from (f"{path.name}:{node.lineno} a style of its own" for node in told if IN_A_SHEET.search(str(node.value)))


def test_no_widget_sets_a_size_or_a_gap_of_its_own():
    files = [path for path in WINDOW.rglob("*.py") if path not in (TABLE, SHEET)]
    assert [place for path in files for place in of_its_own(path)] == []
    assert {place.partition(" ")[2] for place in of_its_own(SHEET)} == {"a style of its own"}
    assert len(files) > 80


@pytest.mark.parametrize(
    "planted",
    [
        "layout.setContentsMargins(3, 3, 3, 3)",
        "font.setPointSizeF(11)",
        "QVBoxLayout(self)",
        'x("QLabel { padding: 3px }")',
    ],
)
def test_a_size_or_a_gap_that_is_planted_is_found(tmp_path, planted):
    path = tmp_path / "planted.py"
    path.write_text(f"{planted}\n", encoding="utf-8")
    assert len(list(of_its_own(path))) == 1


@pytest.mark.parametrize("percent", [100, 200])
def test_every_size_and_gap_of_the_style_sheet_is_of_the_table(window, percent):
    window.set_text_size(percent)
    sheet = theme.sheet_in_use()
    assert window.styleSheet() == sheet
    points = {f"{size.points:.1f}" for size in Type}
    pixels = {str(gap.px) for gap in Gap}
    sizes = re.findall(r"font-size:\s*([\d.]+)pt", sheet)
    gaps = [gap for said in re.findall(r"(?:padding|margin)[^:;]*:([^;]+);", sheet) for gap in re.findall(r"\d+", said)]
    assert set(sizes) <= points
    assert set(gaps) <= pixels
    assert len(sizes) > 3
    assert len(gaps) > 8


def test_the_rhythm_is_of_eight_pixels(window):
    assert [gap.px for gap in (Gap.NONE, Gap.HAIR, Gap.HALF, Gap.ONE, Gap.TWO, Gap.FOUR)] == [0, 2, 4, 8, 16, 32]
    window.set_text_size(200)
    assert abs(Gap.ONE.px - 16) <= 1  # a line is a whole number of pixels high


def gaps_of(root: QWidget) -> list[int]:
    """Every margin and gap of the layouts that were made for ``root``; Qt's own are within its own widgets."""
    ours = [layout for layout in root.findChildren(QLayout) if layout.property("gaps")]
    found = []
    for layout in ours:
        edges = layout.contentsMargins()
        found += [edges.left(), edges.top(), edges.right(), edges.bottom()]
    assert len(ours) > 20
    return found


def test_every_layout_of_an_open_case_follows_another_size_of_text(window):
    window.start(WayIn.COMPLAINT)
    before = gaps_of(window)
    window.set_text_size(200)
    after = gaps_of(window)
    assert set(before) <= {gap.px for gap in Gap} | {0, 2, 4, 8, 16, 32}
    assert set(after) <= {gap.px for gap in Gap}
    assert max(after) > max(before)


def test_a_layout_keeps_the_gaps_it_was_given(qtbot, looked):
    box = QWidget()
    qtbot.addWidget(box)
    layout = rhythm.gridded(box, across=Gap.TWO, down=Gap.HALF, around=Edges(left=Gap.ONE, bottom=Gap.HAIR))
    edges = layout.contentsMargins()
    assert (edges.left(), edges.top(), edges.right(), edges.bottom()) == (Gap.ONE.px, 0, 0, Gap.HAIR.px)
    assert (layout.horizontalSpacing(), layout.verticalSpacing()) == (Gap.TWO.px, Gap.HALF.px)


def sizes_of(window: MainWindow) -> set[float]:
    return {round(label.font().pointSizeF(), 1) for label in window.findChildren(QLabel) if label.isVisible()}


@pytest.mark.parametrize("percent", [100, 200])
def test_every_label_in_sight_has_a_size_of_the_scale(window, executor, percent):
    window.set_text_size(percent)
    scale = [size.points for size in Type]
    found = sizes_of(window)
    window.start(WayIn.COMPLAINT)
    executor.run()
    found |= sizes_of(window)
    assert all(min(abs(size - one) for one in scale) < 0.06 for size in found), found
    assert QApplication.font().family() == theme.FAMILY
    assert len(found) > 3
