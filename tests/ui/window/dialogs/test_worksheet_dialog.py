"""The dialog for problem sheets, as an instructor uses it."""

from __future__ import annotations

import re
from pathlib import Path
from threading import Event

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from engcalc.classroom.marking import AnswerOutcome
from engcalc.classroom.problem import pose
from engcalc.classroom.symbols import SymbolSet
from engcalc.classroom.topics import TOPICS
from engcalc.units import UnitSystem
from engcalc.words.texts import dialog_texts
from reports.worksheets import worksheet_files
from ui.command.parser import make_parser
from ui.command.worksheets import _order
from ui.window import errands, theme
from ui.window.dialogs.worksheet import Previewed, WorksheetDialog

WAIT = 60_000  # ms; a page takes a second on a busy machine


@pytest.fixture
def dialog(qtbot: QtBot, tmp_path: Path) -> WorksheetDialog:
    made = WorksheetDialog(UnitSystem.SI, tmp_path / "sheets")
    qtbot.addWidget(made)
    made.show()
    qtbot.waitUntil(lambda: made.preview.page_count > 0, timeout=WAIT)
    yield made
    made.close()


def choose(dialog: WorksheetDialog, topic: str) -> None:
    dialog.topic.setCurrentIndex(dialog.topic.findData(topic))


def test_every_topic_can_be_chosen_and_the_windows_units_are_taken_over(qtbot: QtBot, tmp_path: Path) -> None:
    dialog = WorksheetDialog(UnitSystem.US, tmp_path)
    qtbot.addWidget(dialog)
    assert {dialog.topic.itemData(i) for i in range(dialog.topic.count())} == set(TOPICS)
    assert dialog.order_now().system is UnitSystem.US
    dialog.close()


def test_the_preview_shows_the_sheet_and_then_the_key(dialog: WorksheetDialog, qtbot: QtBot) -> None:
    assert dialog.preview.page_count == 2  # sheet and hints
    choose(dialog, "louvered-fin")
    dialog.shown.setCurrentIndex(1)
    assert words_in_place_of_pages(dialog) == dialog_texts.KEY_IS_BEING_MADE
    qtbot.waitUntil(lambda: dialog.preview.page_count > 0, timeout=WAIT)
    assert dialog.preview.page_count == 2


def words_in_place_of_pages(dialog: WorksheetDialog) -> str:
    """What the preview says; it must show no page then."""
    assert dialog.preview.page_count == 0
    (said,) = [label for label in dialog.preview.findChildren(QLabel) if label.text() and label.isVisible()]
    return said.text()


def test_pages_of_another_topic_are_gone_at_once_and_never_come_late(
    dialog: WorksheetDialog, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The key of one topic stood under the name of the next until its own was made, without a word."""
    begun: list[str] = []
    go_on, drawn, show_pages, seen = Event(), Previewed.pages, dialog.preview.show_pages, []

    def slowly(asked: Previewed) -> list[QImage]:
        begun.append(f"{asked.order.topic.key} {asked.order.seed}")
        assert go_on.wait(WAIT / 1000.0)
        return drawn(asked)

    def watched(images: list[QImage]) -> None:
        seen.append(len(images))
        show_pages(images)

    monkeypatch.setattr(Previewed, "pages", slowly)
    choose(dialog, "warm-up")
    assert words_in_place_of_pages(dialog) == dialog_texts.SHEET_IS_BEING_MADE
    qtbot.waitUntil(lambda: begun == ["warm-up 1"], timeout=WAIT)
    choose(dialog, "louvered-fin")
    dialog.seed.setValue(4)
    assert words_in_place_of_pages(dialog) == dialog_texts.SHEET_IS_BEING_MADE
    monkeypatch.setattr(dialog.preview, "show_pages", watched)
    go_on.set()
    qtbot.waitUntil(lambda: dialog.preview.page_count > 0, timeout=WAIT)
    assert begun == ["warm-up 1", "louvered-fin 4"]
    assert [pages for pages in seen if pages] == [dialog.preview.page_count]  # of the second alone
    assert dialog._in_sight == dialog._previewed()


def test_a_second_name_leaves_the_first_persons_sheet_in_sight(dialog: WorksheetDialog, qtbot: QtBot) -> None:
    dialog.names.setPlainText("Ada North")
    assert words_in_place_of_pages(dialog) == dialog_texts.SHEET_IS_BEING_MADE
    qtbot.waitUntil(lambda: dialog.preview.page_count > 0, timeout=WAIT)
    images = dialog.preview._images
    dialog.names.setPlainText("Ada North\nBen Ost")
    dialog.refresh_preview()
    assert dialog.preview._images is images
    dialog.numbers.line.setText("no number")
    assert words_in_place_of_pages(dialog) == dialog_texts.SHEET_IS_BEING_MADE
    qtbot.waitUntil(dialog.numbers.wrong.isVisible, timeout=WAIT)
    assert words_in_place_of_pages(dialog) == dialog_texts.NO_SHEET_OF_WHAT_STANDS_TYPED


def test_what_is_written_is_what_the_command_line_writes(dialog: WorksheetDialog, qtbot: QtBot, tmp_path: Path) -> None:
    choose(dialog, "pump-system")
    dialog.seed.setValue(7)
    dialog.symbols.setCurrentIndex(1)
    dialog.names.setPlainText('Ada North\nBen "Benny" Ost\n')
    dialog.write()
    qtbot.waitUntil(lambda: "Written into" in dialog.said.text(), timeout=WAIT)
    order = dialog.order_now()
    assert order.names == ("Ada North", 'Ben "Benny" Ost')
    found = {path.name: path.read_bytes() for path in (tmp_path / "sheets").iterdir()}
    assert found == dict(worksheet_files(order.posed(), order.symbols))


def test_a_class_list_is_read_and_answers_are_marked(dialog: WorksheetDialog, qtbot: QtBot, tmp_path: Path) -> None:
    choose(dialog, "turbulent-tube")
    names = tmp_path / "class.csv"
    names.write_text("name\nAda North\nBen Ost\n", encoding="utf-8")
    dialog.list.line.setText(str(names))
    assert dialog.names.toPlainText() == "Ada North\nBen Ost"
    asked = pose(TOPICS["turbulent-tube"], 1, "Ada North").asked
    answers = tmp_path / "answers.csv"
    answers.write_text(f"name,Re,h\nAda North,{asked[0].text},{asked[1].exact * 1.4:.3g}\n", encoding="utf-8")
    dialog.answers.line.setText(str(answers))
    dialog.mark()
    qtbot.waitUntil(lambda: bool(dialog.marked), timeout=WAIT)
    assert [[mark.outcome for mark in one.marks] for one in dialog.marked] == [
        [AnswerOutcome.RIGHT, AnswerOutcome.WRONG],
        [AnswerOutcome.MISSING, AnswerOutcome.MISSING],
    ]
    assert "Ada North: 1 of 2 right" in dialog.said.text()
    at = dialog._area.viewport()  # the marks stood under the last entry, out of sight: nothing seemed to happen
    qtbot.waitUntil(lambda: dialog.said.mapTo(at, dialog.said.rect().center()).y() < at.height(), timeout=WAIT)


def test_faults_are_said_where_they_are(dialog: WorksheetDialog, qtbot: QtBot, tmp_path: Path) -> None:
    dialog.names.setPlainText("Ada\nAda")
    dialog.write()
    assert "each name once" in dialog.wrong.text()
    assert not (tmp_path / "sheets").exists()
    dialog.names.clear()
    dialog.folder.line.clear()
    dialog.write()
    assert "folder" in dialog.folder.wrong.text()
    dialog.mark()
    assert "answers" in dialog.answers.wrong.text()
    dialog.answers.line.setText(str(tmp_path / "none.csv"))
    dialog.mark()
    qtbot.waitUntil(lambda: "none.csv" in dialog.wrong.text(), timeout=WAIT)
    empty = tmp_path / "empty.csv"
    empty.write_text("name\n", encoding="utf-8")
    dialog.list.line.setText(str(empty))
    assert "without names" in dialog.list.wrong.text()


@pytest.mark.parametrize("size", [100, 200])
def test_no_entry_is_cut_off_beside_the_preview(qtbot: QtBot, tmp_path: Path, size: int) -> None:
    """Twice as large the entries were cut off, and a bar across had to be drawn to read what may be chosen."""
    theme.apply(QApplication.instance(), theme.Look.LIGHT, size)
    try:
        dialog = WorksheetDialog(UnitSystem.SI, tmp_path)
        qtbot.addWidget(dialog)
        dialog.resize(500 * size // 100, 700)  # 200 %: what a window of 1366 px leaves beside the steps
        dialog.show()
        assert dialog._area.viewport().width() >= dialog._area.widget().minimumSizeHint().width()
        assert dialog._area.horizontalScrollBar().maximum() == 0
        assert dialog.width() <= 500 * size // 100
        dialog.close()
    finally:
        theme.apply(QApplication.instance(), theme.Look.LIGHT, 100)


def test_the_report_menu_opens_it_without_a_case(window, monkeypatch) -> None:
    seen = []
    monkeypatch.setattr(WorksheetDialog, "exec", lambda dialog: (seen.append(dialog.windowTitle()), dialog.close()))
    assert window.document is None
    [action] = [a for m in window.menuBar().actions() for a in m.menu().actions() if a.text() == "&Problem sheets..."]
    assert action.isEnabled()
    errands.problem_sheets(window)
    assert seen == ["Problem sheets"]


def test_the_first_topic_is_what_a_class_begins_with():
    """The dialog opened with a fan in warm air."""
    assert next(iter(TOPICS)) == "heat-balance"


@pytest.mark.parametrize(
    ("topic", "typed"),
    [
        ("crossflow-unmixed", "m_h = 0.5; m_c = 1.2; T_h,in = 90; T_c,in = 20; U = 100; A = 12.5"),
        ("mean-difference", "m_h = 1.5; T_h,in = 90; T_h,out = 55; T_c,in = 20; T_c,out = 40; U = 900"),
        ("turbulent-tube", "m = 0.2; d = 20; T_b = 50"),
        ("fin-efficiency", "F_l = 10; delta = 0.1; F_d = 30; h = 100; k_f = 200"),
        ("warm-up", "Cth = 100; T_0 = 0; q = 6; UA_s = 40; T_a = 0; T_e = 80"),
    ],
)
def test_a_textbooks_numbers_pose_the_same_problem_in_the_window_and_by_command(
    dialog: WorksheetDialog, topic: str, typed: str
) -> None:
    choose(dialog, topic)
    dialog.numbers.line.setText(typed)
    by_window = dialog.order_now()
    numbers = [part for one in typed.split(";") for part in ("--number", one.strip())]
    by_command = _order(make_parser().parse_args(["worksheet", topic, *numbers]))
    assert by_window == by_command
    assert len(by_window.stated) == len(by_window.topic.givens)
    (problem,) = by_window.posed()
    assert {n.symbol: n.text for n in problem.givens} == dict(by_window.stated)
    assert [one.text for one in problem.asked]


def test_a_number_that_the_topic_does_not_have_is_said(dialog: WorksheetDialog) -> None:
    choose(dialog, "warm-up")
    dialog.numbers.line.setText("m_h = 3")
    dialog.write()
    assert "SYMBOL = NUMBER with one of C, T_0, q, UA_s, T_a, T_e" in dialog.numbers.wrong.text()
    assert not dialog.wrong.isVisible()  # one place, beside what was typed


def test_the_numbers_that_a_topic_takes_stand_under_their_entry_with_units(dialog: WorksheetDialog) -> None:
    """A person had to guess that the heat of the warm-up is in kW and that its capacity is called C."""
    choose(dialog, "warm-up")
    dialog.refresh_preview()
    assert "C [kJ/K], T_0 [°C], q [kW], UA_s [W/K], T_a [°C], T_e [°C]" in dialog.taken.text()
    dialog.units.setCurrentIndex(dialog.units.findData(UnitSystem.US))
    dialog.refresh_preview()
    assert "T_0 [°F]" in dialog.taken.text()
    dialog.symbols.setCurrentIndex(dialog.symbols.findData(SymbolSet.B))
    assert "T_0 (ϑ_0) [°F]" in dialog.taken.text()  # typed so; written so on the sheet
    typed = [re.split(r" [(\[]", one)[0] for one in dialog._names_taken().split(", ")]
    dialog.numbers.line.setText("; ".join(f"{name} = 50" for name in typed))
    assert len(dialog.order_now().stated) == len(typed) == 6


def test_no_sheet_of_other_numbers_stays_in_sight_where_those_typed_make_none(
    dialog: WorksheetDialog, qtbot: QtBot
) -> None:
    """The key of the topic before stood beside the fault, as if it were of this one."""
    choose(dialog, "warm-up")
    dialog.numbers.line.setText("C = 250; q = 7000")
    dialog.refresh_preview()
    qtbot.waitUntil(dialog.numbers.wrong.isVisible, timeout=WAIT)
    assert "“C = 250; q = 7000” was given" in dialog.numbers.wrong.text()
    assert dialog.preview.page_count == 0
    assert dialog_texts.NO_SHEET_OF_WHAT_STANDS_TYPED in [label.text() for label in dialog.preview.findChildren(QLabel)]
    dialog.numbers.line.setText("no = 1")
    dialog.refresh_preview()
    assert dialog.preview.page_count == 0
    dialog.numbers.line.setText("C = 250; q = 7")
    dialog.refresh_preview()
    assert not dialog.numbers.wrong.isVisible()
    qtbot.waitUntil(lambda: dialog.preview.page_count > 0, timeout=WAIT)
