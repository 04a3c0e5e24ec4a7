"""The job book through the window: chosen, filled, searched, a job opened, saved anew and ended."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QLabel, QListWidget, QPushButton, QScrollArea
from signed_page import signed_page
from widgets import by_name

import worked_examples
from engcalc.case.file import SUFFIX, read_case, write_case
from engcalc.causes.base_rates import OtherRates
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.outcomes import Outcome
from engcalc.errors import FileFault
from engcalc.units import UnitSystem
from engcalc.words.texts import job_book_texts, verification_texts, view_texts
from engcalc.words.workshop.book_words import AT_WORK
from reports.build import ExportedReport
from reports.identity import make_identity
from ui.book.contents import keep_content
from ui.book.in_use import BookInUse
from ui.book.jobs import show_job
from ui.book.own_history import NoHistory
from ui.book.store import Book
from ui.command.main import main
from ui.window import theme
from ui.window.job_book.actions import JobBookActions
from ui.window.job_book.book_dialog import BookDialog
from ui.window.job_book.find_dialog import FindDialog
from ui.window.job_book.history_dialog import HistoryDialog
from ui.window.job_book.honesty_dialog import HonestyDialog
from ui.window.job_book.outcome_dialog import OutcomeDialog
from ui.window.views.causes.view import CausesView
from ui.window.views.view import Context

VAN = "van-no-heat"
SEEN = Outcome("low_coolant", "seen", "a hose", "yes")


def example(name: str) -> Path:
    return worked_examples.folder() / f"{name}{SUFFIX}"


@pytest.fixture
def used(window, tmp_path) -> BookInUse:
    """A book in use by the window, with the van's job in it."""
    path = tmp_path / "shop.jobbook"
    BookInUse(path).make()
    window.settings.book = path
    window.book.keep(example(VAN))
    window.book_changed()
    return window.book


@pytest.fixture
def actions(window) -> JobBookActions:
    return window.findChild(JobBookActions)


def choose(dialog: OutcomeDialog, outcome: Outcome) -> OutcomeDialog:
    """The dialog with every list set as a person would."""
    for combo, key in (
        (dialog.cause, outcome.cause),
        (dialog.confirmed, outcome.confirmed),
        (dialog.cured, outcome.cured),
    ):
        combo.setCurrentIndex(combo.findData(key))
    return dialog


def jobs_shown(window) -> list[str]:
    (shown,) = window.start_page.findChildren(QListWidget)
    return [shown.item(i).text() for i in range(shown.count())]


def test_the_start_page_lists_open_jobs_and_opens_one(window, used, qtbot):
    (line,) = jobs_shown(window)
    assert line.startswith("Job 1, ")
    assert "Delivery van" in line
    shown = by_name(window, "Open jobs", QListWidget)
    shown.setFocus()
    shown.setCurrentRow(0)
    qtbot.keyClick(shown, Qt.Key.Key_Return)
    assert window.document.path.parent.name == "job-00001"
    assert window.document.text.typed("vehicle.class") == read_case(example(VAN)).typed("vehicle.class")


def test_typing_a_word_narrows_the_jobs_and_return_opens_the_first(window, used, keys, qtbot):
    used.keep(example("track-day-car"))
    used.record(1, SEEN)  # closed: found by its words all the same
    window.show_start()
    assert len(jobs_shown(window)) == 1
    line = keys(window, "Find a job by any word", "delivery", leave=False)
    (found,) = jobs_shown(window)
    assert "closed" in found
    assert by_name(window, "Jobs found, open and closed", QListWidget)
    line.clear()
    assert by_name(window, "Open jobs", QListWidget)
    qtbot.keyClicks(line, "delivery")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert window.document.path.parent.name == "job-00001"
    said = window.statusBar().currentMessage()
    assert said.startswith("Job 1 is closed. Found: The coolant is low")
    assert "The complaint is gone." in said


def test_an_open_job_is_opened_without_a_word(window, used, actions):
    actions.open_job(1)
    assert "closed" not in window.statusBar().currentMessage()


def test_no_job_has_these_words(window, used, keys):
    keys(window, "Find a job by any word", "zeppelin", leave=False)
    assert jobs_shown(window) == []
    texts = [label.text() for label in window.start_page.findChildren(QLabel) if label.isVisible()]
    assert "No job has these words." in texts


def test_a_job_saved_anew_is_in_the_book_as_it_is_now(window, used, actions):
    actions.open_job(1)
    window.document.edit("job.title", "Cold in the morning")
    assert window.save()
    with Book.open(used.path) as book:
        assert len(show_job(book, 1).cases) == 2
    assert used.find("morning")[0].job == 1
    assert "newest case of job 1" in window.statusBar().currentMessage()


def test_a_case_outside_the_book_is_saved_without_it(window, used, tmp_path):
    path = tmp_path / f"other{SUFFIX}"
    write_case(read_case(example("track-day-car")), path)
    window.open_path(path)
    window.document.edit("job.title", "Another")
    assert window.save()
    assert len(used.find("")) == 1


def test_keeping_a_case_saves_it_first(window, used, actions, prompts, tmp_path):
    window.open_example(example("track-day-car"))
    assert actions.keep() is None  # nobody said where to
    prompts.saves = tmp_path / f"track{SUFFIX}"
    assert actions.keep() == 2
    assert prompts.saves.exists()
    assert actions.keep() == 2  # the same job again


def test_a_report_signed_before_the_case_is_kept_goes_with_it(window, used, actions, prompts, tmp_path):
    """The shop signs first and keeps after: the report was in nobody's job."""
    path = tmp_path / f"track{SUFFIX}"
    write_case(read_case(example("track-day-car")), path)
    window.open_path(path)
    pdf = signed_page(tmp_path / "elsewhere.pdf", path.read_bytes())
    window.report_written.emit(ExportedReport(pdf, "", "HD-1", signed=True, case_sha256=""))
    assert actions.keep() == 2
    later = signed_page(tmp_path / "later.pdf", path.read_bytes())
    window.report_written.emit(ExportedReport(tmp_path / "draft.pdf", "", "HD-2", signed=False, case_sha256=""))
    window.report_written.emit(ExportedReport(later, "", "HD-3", signed=True, case_sha256=""))
    with Book.open(used.path) as book:
        kept = [file.name for file in show_job(book, 2).files if file.kind == "report"]
    assert kept == ["elsewhere.pdf", "later.pdf"]


def test_a_book_that_is_gone_is_said_and_nothing_else_is_lost(window, used, actions, prompts):
    used.path.unlink()
    actions.open_job(1)
    assert "no job book" in prompts.told[-1]
    window.show_start()
    assert jobs_shown(window) == []


def test_how_it_ended_is_one_click_from_the_causes(window, used, actions, monkeypatch):
    actions.open_job(1)
    monkeypatch.setattr(OutcomeDialog, "exec", lambda dialog: choose(dialog, SEEN).take())
    view = CausesView(window.workspace.side.context)
    try:
        by_name(view, "How the job ended", QPushButton).click()
    finally:
        view.close_view()
        view.deleteLater()
    (outcome,) = used.outcomes(1)
    assert (outcome.confirmed, outcome.cured) == ("seen", "yes")
    assert used.find("", open_only=True) == ()


def test_the_outcome_form_names_the_leading_cause_first_and_keeps_what_was_said(window, qtbot):
    kept: list[Outcome] = []
    dialog = OutcomeDialog(
        3,
        ["radiator_restricted", "healthy", "two+faults"],
        [SEEN],
        lambda outcome: kept.append(outcome) or "kept",
        replaced="a radiator",
        parent=window,
    )
    qtbot.addWidget(dialog)
    assert dialog.cause.itemData(1) == "radiator_restricted"
    assert dialog.cause.count() == 1 + len(CAUSES)
    choose(dialog, Outcome("radiator_restricted", "seen", "", "yes")).take()
    assert (kept[0].replaced, kept[0].confirmed, kept[0].cured) == ("a radiator", "seen", "yes")
    assert (dialog.result(), dialog.said) == (QDialog.DialogCode.Accepted, "kept")


def test_no_outcome_is_chosen_beforehand_and_what_is_missing_is_named(window, qtbot):
    kept: list[Outcome] = []
    dialog = OutcomeDialog(3, ["low_coolant"], [], lambda outcome: kept.append(outcome) or "kept", parent=window)
    qtbot.addWidget(dialog)
    lists = (dialog.cause, dialog.confirmed, dialog.cured)
    assert [combo.currentText() for combo in lists] == ["choose ..."] * 3
    dialog.take()
    assert dialog.wrong.text().splitlines() == [
        "Choose what was found at fault.",
        "Choose how that was confirmed.",
        "Choose how the complaint is now.",
    ]
    dialog.cause.setCurrentIndex(1)
    dialog.confirmed.setCurrentIndex(1)
    dialog.take()
    assert dialog.wrong.text() == "Choose how the complaint is now."
    assert (kept, dialog.result()) == ([], 0)
    choose(dialog, SEEN).take()
    assert [(o.cause, o.confirmed, o.cured) for o in kept] == [("low_coolant", "seen", "yes")]


def test_the_outcome_form_fits_a_small_screen_with_large_text(window, qtbot):
    """At 200 % it was 1163 pixels high, and its buttons lay below the screen. What is missing stands beside them."""
    theme.apply(QApplication.instance(), theme.Look.LIGHT, 200)
    try:
        dialog = OutcomeDialog(3, [], [SEEN], lambda _outcome: "", note="A note", replaced="a hose", parent=window)
        qtbot.addWidget(dialog)
        dialog.take()
        dialog.show()
        assert dialog.height() <= 768
        bottom = dialog.wrong.mapTo(dialog, dialog.wrong.rect().bottomLeft()).y()
        assert 0 < bottom < dialog.height()
        (area,) = dialog.findChildren(QScrollArea)
        assert area.horizontalScrollBar().maximum() == 0
    finally:
        theme.apply(QApplication.instance(), theme.Look.LIGHT, 100)


def test_the_outcome_form_stays_where_something_is_wrong(window, qtbot):
    dialog = OutcomeDialog(3, [], [], lambda _outcome: "", parent=window)
    qtbot.addWidget(dialog)
    dialog.cause.setCurrentIndex(1)
    dialog.confirmed.setCurrentIndex(dialog.confirmed.findData("cured"))
    dialog.cured.setCurrentIndex(dialog.cured.findData("no"))
    dialog.take()
    assert "by the cure" in dialog.wrong.text()
    assert dialog.result() == 0
    dialog.cured.setCurrentIndex(dialog.cured.findData("yes"))
    dialog.replaced.line.setText("x" * 501)
    dialog.take()
    assert "500 characters" in dialog.replaced.wrong.text()


def test_a_book_is_made_and_used(window, qtbot, tmp_path):
    dialog = BookDialog(window.settings, window)
    qtbot.addWidget(dialog)
    assert not dialog.own_rates.isEnabled()
    dialog.take()
    assert "Name a file" in dialog.place.wrong.text()
    (tmp_path / "words.jobbook").write_bytes(b"no book at all, but many words of some length")
    dialog.place.line.setText(str(tmp_path / "words.jobbook"))
    dialog.take()
    assert "no job book" in dialog.place.wrong.text()
    dialog.place.line.setText(str(tmp_path / "new.jobbook"))
    with qtbot.waitSignal(dialog.changed):
        dialog.take()
    assert window.settings.book == tmp_path / "new.jobbook"
    assert dialog.own_rates.isEnabled()
    dialog.own_rates.click()
    assert window.settings.own_rates
    dialog.close()


def test_what_was_done_comes_into_sight_and_customers_are_offered_by_name(window, used, qtbot, tmp_path):
    """Import tells a line for each file, beneath all that can be asked of the book."""
    write_case(read_case(example("track-day-car")), tmp_path / f"car{SUFFIX}")
    dialog = BookDialog(window.settings, window)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.resize(dialog.minimumSizeHint().width(), 300)  # a small screen: the answer stands below what is seen
    dialog.ask_folder = lambda *_: str(tmp_path)
    offered = dialog.customer.line.completer()
    offered.setCompletionPrefix("example")
    assert offered.completionCount() == 1  # any part of the name, in letters of any size
    dialog.import_folder()
    assert dialog.said.text() == AT_WORK
    qtbot.waitUntil(lambda: "number 2" in dialog.said.text(), timeout=30_000)
    qtbot.waitUntil(lambda: not dialog.said.visibleRegion().isEmpty(), timeout=5_000)
    offered.setCompletionPrefix("")
    assert offered.completionCount() == len(used.customers())
    dialog.close()


def test_folders_copies_and_deletion_are_said(window, used, qtbot, tmp_path):
    dialog = BookDialog(window.settings, window)
    qtbot.addWidget(dialog)
    dialog.ask_folder = lambda *_: str(tmp_path / "cases")
    dialog.ask_copy = lambda *_: str(tmp_path / "copy.jobbook")
    dialog.sure = lambda *_: False
    (tmp_path / "cases").mkdir()
    write_case(read_case(example("track-day-car")), tmp_path / "cases" / f"car{SUFFIX}")

    def after(act) -> str:
        with qtbot.waitSignal(dialog.changed, timeout=30_000):
            act()
        return dialog.said.text()

    assert "kept as a new job, number 2" in after(dialog.import_folder)
    assert "2 jobs" in after(dialog.export_folder)
    assert "a whole copy of the book" in after(dialog.write_copy)
    customer = read_case(example(VAN)).typed("job.customer")
    dialog.customer.line.setText(customer)
    dialog.take_out()  # not sure: nothing happens
    assert len(used.find("")) == 2
    dialog.sure = lambda *_: True
    assert f"{customer} was taken out" in after(dialog.take_out)
    assert len(used.find("")) == 1
    dialog.customer.line.setText("Nobody")
    dialog.take_out()
    qtbot.waitUntil(lambda: bool(dialog.customer.wrong.text()), timeout=30_000)
    dialog.close()


def test_outcomes_go_out_and_come_in_and_a_copy_is_put_back(window, used, qtbot, tmp_path):
    make_identity(tmp_path / "ada.p12", "Ada Example", "Technician", "a long password", datetime.now(UTC))
    window.settings.identity = tmp_path / "ada.p12"
    dialog = BookDialog(window.settings, window)
    qtbot.addWidget(dialog)
    outcomes, copy = tmp_path / "ours.jsonl", tmp_path / "copy.jobbook"
    dialog.ask_outcomes_out = dialog.ask_outcomes_in = lambda *_: str(outcomes)
    dialog.ask_copy = dialog.ask_backup = lambda *_: str(copy)

    def after(act) -> str:
        with qtbot.waitSignal(dialog.changed, timeout=30_000):
            act()
        return dialog.said.text()

    after(dialog.write_copy)
    used.record(1, SEEN)
    dialog.password.line.setText("wrong")
    dialog.give_outcomes()
    qtbot.waitUntil(lambda: bool(dialog.password.wrong.text()), timeout=30_000)
    assert not outcomes.exists()
    dialog.password.line.setText("a long password")
    assert "Signed by Ada Example" in after(dialog.give_outcomes)
    dialog.take_outcomes()
    assert dialog.source.wrong.text()  # nobody was named
    dialog.source.line.setText("our other yard")
    dialog.weight.line.setText("half")
    dialog.take_outcomes()
    assert dialog.weight.wrong.text() == job_book_texts.NUMBER_OVER_0_AND_AT_MOST_1
    dialog.weight.line.setText("7")
    dialog.take_outcomes()
    qtbot.waitUntil(lambda: bool(dialog.weight.wrong.text()), timeout=30_000)
    dialog.weight.line.setText("0.25")
    taken = after(dialog.take_outcomes)
    assert "1 were in the book already" in taken  # one does not take one's own
    assert "0.25" in taken
    assert used.outcomes(1) == (SEEN,)
    assert "copy.jobbook" in after(dialog.restore)
    assert used.outcomes(1) == ()
    dialog.close()


def told_in_a_dialog(act) -> tuple[str, str]:
    """Title and text of the plain text that ``act`` shows."""
    told = []

    def read() -> None:
        dialog = QApplication.activeModalWidget()
        told.append((dialog.windowTitle(), dialog.text.toPlainText()))
        dialog.reject()

    QTimer.singleShot(0, read)
    act()
    return told[0]


def test_the_rates_and_what_they_weigh_are_shown_as_the_command_line_tells_them(window, used, qtbot, capsys):
    used.record(1, SEEN)
    dialog = BookDialog(window.settings, window)
    qtbot.addWidget(dialog)
    title, told = told_in_a_dialog(dialog.show_rates.click)
    assert title == "The workshop's own base rates"
    assert "1 job; they carry" in told
    assert main(["book", str(used.path), "rates"]) == 0
    assert told.split() == capsys.readouterr().out.split()


def test_all_that_is_kept_of_a_job_is_shown_with_its_reports_verified(window, used, actions, tmp_path, capsys):
    case = example(VAN)
    assert window.open_path(case)
    report = signed_page(tmp_path / "van.pdf", case.read_bytes())
    used.keep(case, signed=(report,))
    title, told = told_in_a_dialog(actions.all_kept)
    assert title == "All that is kept of job 1"
    (line,) = [line for line in told.splitlines() if line.startswith("report")]
    assert "van.pdf" in line
    assert verification_texts.INTACT_NOTHING_WAS_CHANGED_SINCE in line
    assert main(["book", str(used.path), "show", "1"]) == 0
    assert told.split() == capsys.readouterr().out.split()
    with Book.open(used.path) as book, book.writing() as connection:  # somebody changes what is kept
        kept = report.read_bytes()
        sha256 = keep_content(connection, kept[:200] + bytes([kept[200] ^ 1]) + kept[201:])
        connection.execute("UPDATE files SET sha256 = ? WHERE kind = 'report'", (sha256,))
    assert verification_texts.BROKEN_THIS_IS_NOT_WHAT_WAS_SIGNED in told_in_a_dialog(actions.all_kept)[1]


def test_of_a_case_that_is_not_in_the_book_that_is_said(window, used, actions, tmp_path):
    other = tmp_path / f"other{SUFFIX}"
    write_case(read_case(example(VAN)).with_value("job.title", "Another"), other)
    assert window.open_path(other)
    actions.all_kept()
    assert window.statusBar().currentMessage() == job_book_texts.THIS_CASE_IS_NOT_IN_THE_JOB_BOOK


def test_a_vehicles_own_history_counts_unless_it_is_switched_off(window, used, actions):
    actions.open_job(1)
    context = window.workspace.side.context
    assert context.own_history().why is NoHistory.NO_VISIT
    window.settings.own_history = False
    assert context.own_history() is None
    window.settings.own_history = True
    used.path.unlink()
    with pytest.raises(FileFault):
        context.own_history()


def test_a_job_is_found_in_a_dialog(window, used, qtbot):
    dialog = FindDialog(used.find, window)
    qtbot.addWidget(dialog)
    qtbot.keyClicks(dialog.jobs.search.line, "deliv")
    dialog.jobs.open_first()
    assert (dialog.job, dialog.result()) == (1, QDialog.DialogCode.Accepted)


def test_own_rates_count_in_the_causes_only_where_chosen(window, used, actions):
    actions.open_job(1)
    context = window.workspace.side.context
    case = context.case
    assert context.own_rates(case) is None
    window.settings.own_rates = True
    assert context.own_rates(case) == used.own_rates(case)
    used.path.unlink()
    with pytest.raises(FileFault):
        context.own_rates(case)


def test_the_causes_follow_the_rates_and_say_when_these_cannot_be_read(document_of_van):
    context = document_of_van
    view = CausesView(context)
    try:
        shipped = view.question().key
        own = OtherRates(dict.fromkeys(CAUSES, 1.0), "counted in the job book: 3 jobs")
        context.own_rates = lambda _case: own
        assert view.question().key != shipped
        context.own_rates = lambda _case: replace(own, per_cent={**own.per_cent, "healthy": 2.0})
        assert view.question().key != shipped

        def gone(_case):
            raise FileFault("shop.jobbook", "there is no job book of this name")

        context.own_rates = gone
        assert view.question().startswith(view_texts.NO_OWN_RATES)
    finally:
        view.close_view()
        view.deleteLater()


@pytest.fixture
def document_of_van(window, used, actions) -> Context:
    actions.open_job(1)
    return window.workspace.side.context


def test_the_page_of_claims_is_written_from_the_window(window, used, qtbot, tmp_path):
    dialog = HonestyDialog(*used.honesty(), window.settings, window)
    qtbot.addWidget(dialog)
    assert "0 jobs have an outcome" in dialog.text.toPlainText()
    dialog.take()
    assert "Name the file" in dialog.place.wrong.text()
    dialog.place.line.setText(str(tmp_path / "honesty.pdf"))
    dialog.take()
    qtbot.waitUntil(lambda: "written, a draft" in dialog.said.text(), timeout=30_000)
    assert (tmp_path / "honesty.pdf").read_bytes().startswith(b"%PDF")
    identity = tmp_path / "me.p12"
    make_identity(identity, "Ada Example", "Master technician", "a long password", datetime.now(UTC))
    dialog.identity.line.setText(str(identity))
    dialog.password.line.setText("wrong")
    dialog.take()
    qtbot.waitUntil(lambda: bool(dialog.password.wrong.text()), timeout=30_000)
    dialog.password.line.setText("a long password")
    dialog.take()
    qtbot.waitUntil(lambda: "written, signed" in dialog.said.text(), timeout=30_000)
    dialog.take()
    assert "a signed report is there already" in dialog.place.wrong.text()
    dialog.close()


def test_the_same_vehicle_before(window, used, qtbot):
    used.keep(example("van-repaired"))
    dialog = HistoryDialog(lambda _stopped: used.history(1, fits=False), UnitSystem.SI, window)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(lambda: not dialog.said.isVisible(), timeout=30_000)
    card, times, openings = dialog.pictures.cards
    assert not times.isVisible()  # only one of the two runs reached any of the temperatures
    assert not openings.isVisible()
    assert dialog.table.rows.rowCount() == 2
    assert [series.name for series in card.view.plot.series] == [
        "2026-01-16, after the repair",
        "2026-01-16, as found",
    ]
    dialog.close()


def test_what_cannot_be_read_is_said_in_the_dialog(window, used, qtbot):
    dialog = HistoryDialog(lambda _stopped: used.history(99), UnitSystem.SI, window)
    qtbot.addWidget(dialog)
    qtbot.waitUntil(lambda: "99" in dialog.said.text(), timeout=30_000)
    dialog.close()
