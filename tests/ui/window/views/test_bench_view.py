"""The bench in the window, as a class uses it: a table pasted, a slider moved, all of it undone."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QPushButton

import worked_examples
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.classroom.symbols import SymbolSet
from engcalc.units import UnitSystem
from engcalc.words.texts import view_texts
from ui.window.views.bench.sheets import SheetsView
from ui.window.views.bench.view import BenchView
from ui.window.views.sliders import numbers_of_problem

TABLE = worked_examples.folder() / "double-pipe.csv"


@pytest.fixture
def view(show, context_of) -> BenchView:
    return show(BenchView(context_of("double-pipe")))


def press(view: BenchView, text: str) -> None:
    next(button for button in view.findChildren(QPushButton) if button.text() == text).click()


def titles(view: BenchView) -> list[str]:
    return [result.section._heading.text() for result in view._results if result.section.isVisible()]


def test_pictures_and_tables_of_the_class_stand_there(view):
    drawn = [card.view.plot is not None for card in view.pictures.cards]
    assert drawn == [True, False, True, True, True]  # counterflow has no chart of F
    assert titles(view)[:3] == ["Readings", "Heat of both streams", "What the exchanger makes of it"]
    assert "coverage factor kₚ = 2" in view._results[1].lead.text()  # and not only under the mouse
    assert "Wilson plot" in titles(view)
    assert len(view.sliders.rows) == 5


def test_a_pasted_table_takes_the_place_of_the_points_and_undo_brings_them_back(view):
    document = view.context.document
    before = document.text
    rows = TABLE.read_text(encoding="utf-8").splitlines()
    view.table.setPlainText("\n".join(rows[:4]).replace(",", "\t"))
    press(view, "Take these points")
    assert [point["group"] for point in document.text.get("rig")] == ["red"] * 3
    assert document.text.get("rig")[0]["hot_flow"] == "3 L/min"
    document.undo()
    assert document.text == before


def test_a_table_with_faults_names_them_and_changes_nothing(view):
    before = view.context.document.text
    view.table.setPlainText("hot flow [L/min],warmth\n3,60\n")
    press(view, "Take these points")
    assert "“warmth” was given" in view.wrong.text()
    assert view.context.document.text == before


def test_points_that_cannot_be_are_told_beside_their_table(show, context_of):
    """Without named fluids the cold stream is air: six points of water were refused, and nothing here said why."""
    view = show(BenchView(context_of("double-pipe")))
    document = view.context.document
    lesson = {"format": FORMAT, "job": {"reason": "lesson"}, "vehicle": {"class": "bench rig"}}
    document.take_text(CaseText(lesson), "a lesson with nothing entered")
    view.refresh()
    view.table.setPlainText(TABLE.read_text(encoding="utf-8"))
    press(view, "Take these points")
    assert view.wrong.isVisible()
    assert "Point 1: the hot stream gives off" in view.wrong.text()
    assert "name both fluids" in view.wrong.text()
    for path, word in (("hot_stream.fluid", "water"), ("cold_stream.fluid", "water")):
        document.edit(path, word)
    document.edit("exchanger.arrangement", "counterflow")
    view.refresh()
    assert not view.wrong.isVisible()


def test_a_slider_moves_the_case_and_its_point_and_undo_takes_the_stroke_back(view):
    document = view.context.document
    before = document.text
    row = next(row for row in view.sliders.rows if row.path.endswith("conductance"))
    chart = next(card for card in view.pictures.cards if card.view.plot and card.view.plot.spots)
    at = next(spot for spot in chart.view.plot.spots if spot.words == "Next size").x
    row.slider.setSliderDown(True)
    for place in range(row.slider.value() + 1, row.slider.value() + 12):
        row.slider.setValue(place)
    row.slider.setSliderDown(False)
    moved = next(spot for spot in chart.view.plot.spots if spot.words == "Next size").x
    assert moved > 1.1 * at
    assert document.text.typed("problems[0].conductance").endswith("W/K")
    assert row.value.text().endswith(" W/K, from 420 W/K")
    document.undo()
    assert document.text == before  # eleven moves of one stroke are one step


def test_a_slider_speaks_in_the_unit_that_was_typed(view):
    """6 L/min of cold water were 0.36 m3/h."""
    row = next(row for row in view.sliders.rows if row.path.endswith("cold_flow"))
    assert row.value.text() == "6 L/min"
    row.slider.setValue(row.slider.value() + 10)
    assert view.context.document.text.typed("problems[0].cold_flow").endswith("L/min")
    view.context.system = UnitSystem.US
    view.refresh()
    assert "L/min" not in row.value.text()


def test_a_flow_is_slid_in_the_units_of_its_fluid_and_not_of_its_side(show, context_of):
    """Cold water stood in cfm, as air does. 8 and 6 L/min; a gallon is 3.785411784 L (NIST SP 811)."""
    context = context_of("double-pipe")
    context.system = UnitSystem.US
    view = show(BenchView(context))
    told = [row.value.text() for row in view.sliders.rows if row.path.endswith("flow")]
    assert told == ["2.113 gpm", "1.585 gpm"]


def test_air_that_is_the_hot_stream_is_slid_as_air(context_of):
    text = context_of("double-pipe").document.text.with_value("hot_stream.fluid", "air")
    case = resolve(text)
    kinds = {number.path.rpartition(".")[2]: number.kind for number in numbers_of_problem(case)}
    assert (kinds["hot_flow"], kinds["cold_flow"]) == ("air flow", "coolant flow")


def test_points_alone_are_slid_by_the_problem_that_one_of_them_is(show, context_of):
    """A class with measured points and no problem had no slider at all."""
    context = context_of("double-pipe")
    context.document.put("problems", None)
    measured = context.document.text
    view = show(BenchView(context))
    assert view.sliders.rows == []
    press(view, view_texts.SLIDE_FROM_A_POINT)
    assert context.document.text.get("rig") == measured.get("rig"), "what was measured stays"
    assert [row.path.partition(".")[2] for row in view.sliders.rows] == [
        *("hot_flow", "hot_in", "cold_flow", "cold_in", "conductance")
    ]
    assert not view.from_point.isVisible()
    point, answer = view._kept[1].bench.points[0], view._kept[1].bench.problems[0]
    assert answer.name == "As point 1"
    for name in ("hot_out", "cold_out"):
        assert abs(answer.numbers[name] - point.T[name]) < 0.3  # K; both heats of the point balance to 1.5 %
    assert view.sliders.rows[1].value.text() == "58.9 °C"
    context.document.undo()
    assert context.document.text == measured


def test_a_case_without_a_bench_says_what_it_wants(show, context_of):
    view = show(BenchView(context_of("bench-exchanger")))
    assert view.line.text().startswith("Name both fluids")
    assert titles(view) == []


def test_sheets_stand_in_a_view_and_nothing_closes_them(show, context_of, qtbot):
    view = show(SheetsView(context_of("double-pipe")))
    qtbot.waitUntil(lambda: view.sheets.preview.page_count > 0, timeout=60_000)
    view.sheets.reject()
    assert view.sheets.isVisible()
    assert not view.sheets.close_buttons.isVisible()
    assert view.sheets.folder.path == Path.home(), "among the examples, which an installed program cannot write"


def test_sheets_are_written_in_the_symbols_of_the_case(show, context_of, qtbot):
    """A class that works in set B got its sheets in set A until someone looked."""
    context = context_of("double-pipe")
    context.document.edit("exchanger.symbols", "B")
    view = show(SheetsView(context))
    assert view.sheets.order_now().symbols is SymbolSet.B
    view.sheets.choose_symbols(SymbolSet.A)
    view.refresh()
    assert view.sheets.order_now().symbols is SymbolSet.A, "what was chosen on the sheet stays"
    context.document.edit("exchanger.symbols", "A")
    view.refresh()
    context.document.edit("exchanger.symbols", "B")
    view.refresh()
    assert view.sheets.order_now().symbols is SymbolSet.B
    qtbot.waitUntil(lambda: view.sheets.preview.page_count > 0, timeout=60_000)


def test_no_column_is_left_out_where_they_do_not_all_fit(view):
    """The second column went first: the heat of the hot stream, and the effectiveness."""
    view.resize(480, 800)
    for table in (result.table for result in view._results):
        if table.isVisible():
            assert not [c for c in range(table.model().columnCount()) if table.isColumnHidden(c)]
