"""Parts side by side in the window: loaded, ticked, put into the case, taken back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from widgets import by_name

from engcalc.studies.choice.table_templates import PartKind, template
from engcalc.units import UnitSystem
from engcalc.words.sizing.candidate_words import HEAD, NO_PARTS, comparison_rows, comparison_sentences
from ui.window.results.table import TableView
from ui.window.views.studies.adopting import AdoptRow
from ui.window.views.studies.candidates import CandidatesPage
from ui.window.views.studies.part_tables import PartTables


@pytest.fixture
def context(context_of):
    return context_of("track-day-car")


@pytest.fixture
def page(show, context, tmp_path, qtbot, answered):
    table = tmp_path / "cores.csv"
    table.write_text(
        "name;core_height;core_width;core_depth;tube_rows;price [EUR]\n"
        "Long;400 mm;650 mm;42 mm;1;310\nTall;450 mm;700 mm;48 mm;1;480\n"
    )
    found = show(CandidatesPage(context, lambda _parent, _folder: str(table)))
    assert found.line.text == NO_PARTS
    qtbot.mouseClick(by_name(found, "Load a table of parts", QPushButton), Qt.MouseButton.LeftButton)
    answered(found)
    return found


def test_every_part_is_told_and_listed_over_every_duty(page, context):
    found = page.answer
    assert page.said.texts == comparison_sentences(found)
    table = by_name(page, "Parts over every duty", TableView)
    assert table.rows.text.heads == HEAD
    assert table.rows.text.rows == comparison_rows(found)
    context.system = UnitSystem.US
    page.refresh()
    assert page.answer is found, "another system of units computes nothing"
    assert page.said.texts == comparison_sentences(found, UnitSystem.US)


def test_the_chosen_part_goes_into_the_case_in_one_step(page, context, qtbot):
    before = context.document.text
    page.choice.chosen.setCurrentIndex(page.choice.chosen.findText("Tall"))
    qtbot.mouseClick(by_name(page, "Put this part into the case", QPushButton), Qt.MouseButton.LeftButton)
    assert context.document.text == page.answer.candidates[2].text
    assert context.document.text.typed("radiator.core_height") == "450 mm"
    assert context.document.undo_name == "Put a part into the case"
    context.document.undo()
    assert context.document.text == before


def test_a_long_name_does_not_widen_the_window(context, qtbot):
    """At 200 % the page asked for 1018 px."""
    row = AdoptRow(context.document, "part")
    qtbot.addWidget(row)
    row.offer([("Tall", lambda text, _case: text)])
    wanted = row.minimumSizeHint().width()
    row.offer(
        [("490 mm x 760 mm x 32 mm (height, width, depth): one row of 50 tubes, one pass", lambda text, _case: text)]
    )
    assert row.minimumSizeHint().width() == wanted
    assert row.chosen.toolTip() == row.chosen.currentText(), "what is cut can still be read"


def test_ticks_say_which_parts_are_compared(page, context, answered):
    first = page.which.item(0)
    assert first.checkState() is Qt.CheckState.Checked
    first.setCheckState(Qt.CheckState.Unchecked)
    assert context.document.text.get("job.candidates") == ["Tall"]
    answered(page)
    assert [page.choice.chosen.itemText(i) for i in range(page.choice.chosen.count())] == ["Tall"]
    context.document.undo()
    assert context.document.text.get("job.candidates") is None


def test_a_table_that_was_written_anew_is_read_again(page, context, tmp_path, qtbot, answered):
    """Someone mends a price or a size in the table: the window kept what it had read."""
    table = tmp_path / "cores.csv"
    assert [candidate.part.name for candidate in page.answer.candidates[1:]] == ["Long", "Tall"]
    for name in ("Wide", "Flat"):  # an editor may put another file in its place: it is watched again
        new = tmp_path / "new.csv"
        new.write_text(f"name;core_height;core_width;core_depth;tube_rows\n{name};400 mm;650 mm;42 mm;1\n")
        new.replace(table)
        qtbot.waitUntil(lambda name=name: page.which.item(0).text() == name, timeout=10_000)
        answered(page)
        assert [candidate.part.name for candidate in page.answer.candidates[1:]] == [name]


def test_after_a_part_went_in_the_comparison_is_of_the_changed_case(page, context, qtbot, answered):
    page.choice.chosen.setCurrentIndex(page.choice.chosen.findText("Tall"))
    qtbot.mouseClick(by_name(page, "Put this part into the case", QPushButton), Qt.MouseButton.LeftButton)
    page.refresh()  # as the workspace does after every change
    answered(page)
    as_it_is, tall = (page.answer.candidates[i].checked for i in (0, 2))
    assert float(as_it_is.case.radiator.core_height[0]) == pytest.approx(0.45)
    assert as_it_is.duties[2].coolant_out == pytest.approx(tall.duties[2].coolant_out, abs=0.05)


def test_a_template_is_saved_where_somebody_says_and_can_be_loaded(show, context, tmp_path):
    there = tmp_path / "mine.csv"
    asked = []
    tables = PartTables(context, lambda: None, ask_where=lambda _parent, proposed: asked.append(proposed) or str(there))
    button = by_name(tables, "Save a template of a table of parts", QPushButton)
    assert [action.text() for action in button.menu().actions()] == [f"{k.value.capitalize()}..." for k in PartKind]
    button.menu().actions()[1].trigger()
    assert asked[0].endswith("fans.csv")
    assert there.read_text() == template(PartKind.FANS)
    assert "mine.csv is saved" in tables.told.text()
    tables.load_table(there)
    assert [part.name for part in tables.parts()] == ["Example fan"]
