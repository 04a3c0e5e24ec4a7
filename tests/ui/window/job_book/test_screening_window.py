"""A screening from the window: folder chosen, stopped, gone on with, the ranked table, a vehicle opened."""

from __future__ import annotations

import shutil
from pathlib import Path

import fake_judges
import pytest
from PySide6.QtWidgets import QDialog

import worked_examples
from engcalc.words.workshop.screening_words import GOES_ON, NO_FOLDER_CHOSEN, NO_LOGS_CHOSEN
from ui.book.in_use import BookInUse
from ui.screening import run
from ui.window.job_book.actions import JobBookActions
from ui.window.job_book.screening_dialog import ScreeningDialog

WAIT = 60_000  # ms


@pytest.fixture
def judged_by(monkeypatch):
    """``judged_by(judge)`` lets every log be judged so, in processes as ever."""

    def with_judge(judge) -> None:
        monkeypatch.setattr(run.ScreeningRun.go, "__defaults__", (None, judge, None))

    return with_judge


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    """Six vehicles, one of them with two logs in a folder of its own."""
    folder = tmp_path / "fleet"
    (folder / "van <b>7").mkdir(parents=True)
    for number in range(5):
        (folder / f"car-{number}.csv").write_text(f"log {number}\n")
    for day in (9, 10):
        (folder / "van <b>7" / f"day {day}.csv").write_text(f"log of day {day}\n")
    return folder


def dialog_on(qtbot, fleet: Path, out: Path, book: Path | None = None) -> ScreeningDialog:
    dialog = ScreeningDialog(book, workers=1)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.logs.line.setText(str(fleet))
    dialog.out.line.setText(str(out))
    return dialog


def vehicles(dialog: ScreeningDialog) -> list[str]:
    return [row[1] for row in dialog.table.rows.text.rows]


def test_what_is_missing_is_said_beneath_its_line(qtbot):
    dialog = ScreeningDialog(None)
    qtbot.addWidget(dialog)
    dialog.run()
    assert dialog.logs.wrong.text() == NO_LOGS_CHOSEN
    assert dialog.out.wrong.text() == NO_FOLDER_CHOSEN
    assert not dialog.use_book.isEnabled()


def test_a_folder_without_logs_is_told(qtbot, tmp_path):
    (tmp_path / "empty").mkdir()
    dialog = dialog_on(qtbot, tmp_path / "empty", tmp_path / "out")
    dialog.run()
    qtbot.waitUntil(lambda: not dialog._work.busy, timeout=WAIT)
    assert "at least one log" in dialog.logs.wrong.text()


def test_a_screening_is_stopped_gone_on_with_and_a_vehicle_opened(qtbot, fleet, tmp_path, judged_by):
    judged_by(fake_judges.slow)
    out = tmp_path / "out"
    dialog = dialog_on(qtbot, fleet, out)
    told: list[str] = []
    dialog._work.came_early.connect(told.append)
    dialog._work.came_early.connect(lambda _line: dialog.end_early())  # after the first
    dialog.run()
    assert dialog.progress.isVisible()
    assert not dialog.start.isEnabled()
    qtbot.waitUntil(lambda: not dialog._work.busy, timeout=WAIT)
    found = dialog.found
    assert found is not None
    assert not found.run.complete
    assert 1 <= len(found.run.screened) < 7
    assert told[0].startswith("1 of 7 logs")
    assert "Stopped before the end" in dialog.told.text()
    before = len(found.run.screened)
    judged_by(fake_judges.quick)
    dialog.close()

    dialog = dialog_on(qtbot, fleet, out)
    assert dialog.said.text() == GOES_ON
    dialog.run()
    qtbot.waitUntil(lambda: not dialog._work.busy, timeout=WAIT)
    assert dialog.found is not None
    assert dialog.found.run.complete
    assert dialog.found.run.again == before
    assert (out / "screening.pdf").read_bytes().startswith(b"%PDF")
    assert len(vehicles(dialog)) == 6
    assert "van <b>7" in vehicles(dialog)
    assert not dialog.open_button.isEnabled()
    dialog.table.selectRow(vehicles(dialog).index("van <b>7"))
    opened = []
    dialog.case_wanted.connect(opened.append)
    dialog.open_button.click()
    (case,) = opened
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert case.parent.parent == out / "vehicles"
    assert (case.parent / "log.csv").read_text() == "log of day 10\n"


def test_of_a_vehicle_that_the_book_knows_its_job_is_opened(qtbot, tmp_path, judged_by):
    judged_by(fake_judges.quick)
    book = tmp_path / "shop.jobbook"
    BookInUse(book).make()
    BookInUse(book).import_folder(worked_examples.folder())
    dialog = dialog_on(qtbot, tmp_path, tmp_path / "out", book)
    dialog.logs.line.setText("")
    dialog.use_book.setChecked(True)
    dialog.run()
    qtbot.waitUntil(lambda: not dialog._work.busy, timeout=WAIT)
    dialog.table.selectRow(next(i for i, name in enumerate(vehicles(dialog)) if name.startswith("EX 123")))
    jobs = []
    dialog.job_wanted.connect(jobs.append)
    dialog.open_vehicle()
    assert len(jobs) == 1


def test_the_menu_opens_it_and_the_window_the_vehicle(window, fleet, tmp_path, qtbot, judged_by, monkeypatch):
    judged_by(fake_judges.quick)
    shutil.rmtree(fleet / "van <b>7")

    def by_hand(dialog: ScreeningDialog) -> None:
        dialog.show()
        dialog.logs.line.setText(str(fleet))
        dialog.out.line.setText(str(tmp_path / "out"))
        dialog.start.click()
        qtbot.waitUntil(lambda: not dialog._work.busy, timeout=WAIT)
        dialog.table.selectRow(0)
        dialog.open_button.click()

    monkeypatch.setattr(ScreeningDialog, "exec", by_hand)
    actions = window.findChild(JobBookActions)
    actions.screening()
    assert window.document is not None
    assert window.document.text.typed("evidence.before.log.file") == "log.csv"
    assert window.document.text.typed("job.vehicle") == "car-0"
