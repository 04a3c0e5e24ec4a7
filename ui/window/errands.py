"""What menu actions do beyond the window itself; the dialogs are imported when they are first asked for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser

from engcalc.case.text import CaseText
from engcalc.errors import HeatdocketError
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import document_texts, window_texts
from ui.window.main_window import MainWindow
from ui.window.places import place_to_write
from ui.window.rhythm import AROUND_A_DIALOG, em, upright
from ui.window.shown import until_left

if TYPE_CHECKING:
    from ui.book.own_history import EarlierRecord, HistoryNotUsed


def export_report(window: MainWindow) -> None:
    """Export the report of the open case."""
    from ui.window.dialogs.export import ExportDialog, RecordAnswers

    workspace = window.workspace
    if workspace is None:
        return
    check = workspace.current_check()
    if check is None or check.unfinished or check.first_look:  # on paper, too, stands the whole answer or none
        window.prompts.tell(
            window,
            "No report yet",
            window_texts.REPORT_NEEDS_AN_ANSWER_TO_WHAT_IS_TYPED,
        )
        return
    evidence = RecordAnswers(
        check,
        workspace.document.folder or Path(),
        workspace.side.current_warmup(),
        workspace.side.current_causes(),
        window.own_rates,
        expected_of_vehicle(window),
    )
    dialog = ExportDialog(
        workspace.document,
        check,
        window.settings.system,
        window,
        identity=window.settings.identity,
        evidence=evidence,
        shop=window.settings.shop,
        annexes=window.settings.annexes,
    )
    dialog.annex_chosen.connect(window.settings.remember_annex)
    dialog.shop_changed.connect(lambda profile: setattr(window.settings, "shop", profile))
    dialog.identity_made.connect(lambda path: setattr(window.settings, "identity", path))
    dialog.report_written.connect(window.report_written)
    until_left(dialog)
    if dialog.exported is not None:
        workspace.note_export(workspace.document.text)


def expected_of_vehicle(window: MainWindow) -> EarlierRecord | HistoryNotUsed | None:
    """The record that is expected of the open case's vehicle; none where the job book cannot be read.

    Then the causes view has said so, and asks that it be mended.
    """
    try:
        return window.own_history()
    except HeatdocketError:
        return None


def signing_identity(window: MainWindow) -> None:
    """Make a signing identity, or bring one."""
    from ui.window.dialogs.identity import IdentityDialog

    dialog = IdentityDialog(window)
    dialog.ready.connect(lambda path: setattr(window.settings, "identity", path))
    until_left(dialog)


def letterhead(window: MainWindow) -> None:
    """Name the shop whose letterhead heads the reports."""
    from ui.window.dialogs.letterhead import LetterheadDialog

    dialog = LetterheadDialog(window.settings.shop, window)
    dialog.chosen.connect(lambda profile: setattr(window.settings, "shop", profile))
    until_left(dialog)


def problem_sheets(window: MainWindow) -> None:
    """Problem sheets for a class, with keys."""
    from ui.window.dialogs.worksheet import WorksheetDialog, symbols_of

    workspace = window.workspace
    folder = place_to_write(None if workspace is None else workspace.document)
    symbols = symbols_of(CaseText() if workspace is None else workspace.document.text)
    dialog = WorksheetDialog(window.settings.system, folder, window, symbols)
    until_left(dialog)


def check_report(window: MainWindow) -> None:
    """Check a signed report."""
    from ui.window.dialogs.verify import VerifyDialog

    dialog = VerifyDialog(window)
    dialog.open_wanted.connect(window.open_path)
    until_left(dialog)


def whom_you_know(window: MainWindow) -> None:
    """People, issuers and clocks that this user knows, and identities of one's own."""
    from ui.window.dialogs.known import KnownDialog

    dialog = KnownDialog(window)
    until_left(dialog)


def show_view(window: MainWindow, name: str) -> None:
    """Bring one of the views into sight."""
    if window.workspace is not None:
        window.workspace.stage.show_view(name)


def open_step(window: MainWindow, number: int) -> None:
    """Open a step of the job by its place."""
    if window.workspace is not None:
        window.workspace.open_step_number(number)
        window.workspace.focus_entries()


def next_region(window: MainWindow) -> None:
    """Give the keyboard to the next region of the window."""
    if window.workspace is not None:
        window.workspace.next_region()


def copy_table(window: MainWindow) -> None:
    """Copy the table of the view in sight."""
    if window.workspace is not None:
        copied = window.workspace.side.copy_table()
        window.tell(window_texts.TABLE_WAS_COPIED if copied else window_texts.THIS_VIEW_HAS_NO_TABLE_TO_COPY)


def copy_picture(window: MainWindow) -> None:
    """Copy the picture in sight."""
    if window.workspace is not None:
        copied = window.workspace.side.copy_picture()
        window.tell(window_texts.PICTURE_WAS_COPIED if copied else window_texts.THIS_VIEW_HAS_NO_PICTURE_TO_COPY)


class ReadingDialog(QDialog):
    """Plain text to read, with a heading for each part."""

    def __init__(self, window: MainWindow, title: str, parts: list[tuple[str, str]]) -> None:
        super().__init__(window)
        self.setWindowTitle(title)
        text = QTextBrowser()
        text.setAccessibleName(title)
        text.setMarkdown("\n\n".join(f"**{head}**  \n{body}" if head else body for head, body in parts))
        text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextBrowserInteraction | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = upright(self, around=AROUND_A_DIALOG)
        column.addWidget(text)
        column.addWidget(buttons)
        self.resize(38 * em(), 30 * em())


def show_help(window: MainWindow) -> None:
    """Help for the step that is open with the terms met in it and the view beside it, or for the start page."""
    from engcalc.words.workshop.step_help import KEYS, START, help_of

    workspace = window.workspace
    title = "Start" if workspace is None else workspace.step.title
    page = START if workspace is None else (*help_of(workspace.step.key), view_help(workspace.side.name))
    until_left(ReadingDialog(window, f"Help: {title}", [*page, *KEYS]))


def view_help(name: str) -> tuple[str, str]:
    """What the view in sight shows, as a part of a help page."""
    from ui.window.jobs.steps import VIEW_TIPS

    return window_texts.VIEW_AT_HAND.format(name=name), f"{VIEW_TIPS[name]}."


def show_cautions(window: MainWindow) -> None:
    """What can hurt, and when."""
    from engcalc.words.page.cautions import CAUTIONS

    parts = [
        (capital(when.value), "\n\n".join(caution.text for caution in cautions)) for when, cautions in CAUTIONS.items()
    ]
    until_left(ReadingDialog(window, "Cautions", parts))


def show_glossary(window: MainWindow) -> None:
    """What the terms mean."""
    from engcalc.classroom.symbols import SymbolSet
    from engcalc.words.answer.results import RESULTS
    from engcalc.words.lesson.class_terms import class_symbols, class_terms
    from engcalc.words.terms.glossary import RESULT_WORDS, TERMS
    from engcalc.words.terms.symbols import symbols_of_answers
    from ui.window.results.index_below import with_index

    results = [(row.label, RESULT_WORDS[row.key]) for row in RESULTS if row.key in RESULT_WORDS]
    terms = [(capital(term), words) for term, words in TERMS.items()]
    words = sorted(
        {**dict(terms), **dict(class_terms(SymbolSet.A)), **dict(results)}.items(), key=lambda x: x[0].casefold()
    )
    symbols = [
        (title, "  \n".join(f"**{with_index(symbol)}**: {meaning}" for symbol, meaning in listed))
        for title, listed in (
            (window_texts.SYMBOLS_OF_RESULTS_AND_WORKING, symbols_of_answers()),
            *((window_texts.SYMBOLS_OF_A_BENCH.format(set=one.value), class_symbols(one)) for one in SymbolSet),
        )
    ]
    until_left(ReadingDialog(window, "Glossary", [*words, *symbols]))


def show_about(window: MainWindow) -> None:
    """Which program this is, what it runs with and where it keeps things."""
    from ui.about import about_parts
    from ui.window.dialogs.plain_text import PlainTextDialog

    text = "\n\n".join(f"{head}\n{text}" for head, text in about_parts())
    until_left(PlainTextDialog(window, "About Heatdocket", text))


def show_crashes(window: MainWindow) -> None:
    """What crashed, to be copied for support."""
    from ui import crashes
    from ui.window.dialogs.plain_text import PlainTextDialog

    folder = crashes.default_folder()
    text = crashes.report(folder)
    said = document_texts.ABOUT_REPORT if text else document_texts.NO_CRASHES
    until_left(PlainTextDialog(window, "Report of crashes", text, said))
