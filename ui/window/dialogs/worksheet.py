"""Problem sheets for a class: topic, seed, names, units and symbols; a preview, the files, and answers marked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QImage
from PySide6.QtWidgets import (
    QDialogButtonBox,
    QFileDialog,
    QPlainTextEdit,
    QWidget,
)

from engcalc.case.bench_rules import SYMBOLS_OF_CLASS
from engcalc.case.file import is_file
from engcalc.case.text import CaseText
from engcalc.classroom.class_order import ClassOrder
from engcalc.classroom.marking import MarkedSheet, class_names
from engcalc.classroom.stated import PLACE, askable, names_with_units, results_with_units, stated_numbers, typed_name
from engcalc.classroom.symbols import SymbolSet
from engcalc.classroom.topics import TOPICS
from engcalc.errors import HeatdocketError, InputError
from engcalc.units import UnitSystem
from engcalc.words.lesson.classroom_words import KEY, SHEET, marked_lines
from engcalc.words.texts import dialog_texts, shared_texts
from reports.worksheets import key_pdf, list_text, marked_file, sheet_pdf, write_worksheets
from ui.window.accessible import tie
from ui.window.dialogs.background import Background, WorkingDialog, in_words
from ui.window.dialogs.export import PRESS
from ui.window.dialogs.parts import LabelledLine, PlaceEntry, ask_open, button, right, size, words
from ui.window.dialogs.preview import Preview, render
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, em, sideways, upright
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import StillCombo, StillNumber

SYMBOL_WORDS = {
    SymbolSet.A: "A: q, h, k, U, C, ε, T",
    SymbolSet.B: "B: Q̇, α, λ, k, Ẇ, Φ, ϑ",
}
LARGEST_SEED = 999_999
BEING_MADE = {SHEET: dialog_texts.SHEET_IS_BEING_MADE, KEY: dialog_texts.KEY_IS_BEING_MADE}
LAID_OUT = 50  # ms after which the words said have their height
REST = 250  # ms without a change before the preview follows


def symbols_of(text: CaseText) -> SymbolSet:
    """The set of symbols that a case states; A where it states none."""
    stated = {one.value: one for one in SymbolSet}
    return stated.get(text.typed(SYMBOLS_OF_CLASS).strip(), SymbolSet.A)


def ask_folder(parent: QWidget, now: str) -> str:
    """A question for a folder."""
    return QFileDialog.getExistingDirectory(parent, dialog_texts.WRITE_THE_SHEETS_INTO, now)


@dataclass(frozen=True)
class Previewed:
    """Whose pages the preview shows: the first person's of an order, sheet or key."""

    order: ClassOrder
    kind: str

    def pages(self) -> list[QImage]:
        """The pages drawn. May run on any thread."""
        make = sheet_pdf if self.kind == SHEET else key_pdf
        with PRESS:
            pdf = make(self.order.posed(), self.order.symbols)
        return render(pdf)


class WorksheetDialog(WorkingDialog):
    """Poses one topic to a class. It knows no case; ``symbols`` stand chosen at first."""

    def __init__(
        self, system: UnitSystem, folder: Path, parent: QWidget | None = None, symbols: SymbolSet = SymbolSet.A
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Problem sheets")
        self.marked: tuple[MarkedSheet, ...] = ()
        self._writing, self._previewing = Background(self), Background(self)
        self._in_sight: Previewed | None = None  # whose pages the preview shows
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(REST)
        self._laid_out = QTimer(self)
        self._laid_out.setSingleShot(True)
        self._laid_out.setInterval(LAID_OUT)
        self._make_entries(system, folder)
        self.choose_symbols(symbols)
        self._set_up()
        self._connect()
        self._tell_numbers()
        self.refresh_preview()

    def choose_symbols(self, symbols: SymbolSet) -> None:
        """Write the sheets in this set."""
        self.symbols.setCurrentIndex(self.symbols.findData(symbols))

    # ---- putting together -------------------------------------------------------------------------------------------

    def _make_entries(self, system: UnitSystem, folder: Path) -> None:
        self.topic = StillCombo(12)
        for key, topic in TOPICS.items():
            self.topic.addItem(topic.title, key)
        self.seed = StillNumber()
        self.seed.setRange(0, LARGEST_SEED)
        self.seed.setValue(1)
        self.units = StillCombo()
        for one in UnitSystem:
            self.units.addItem(one.value, one)
        self.units.setCurrentIndex(self.units.findData(system))
        self.symbols = StillCombo(12)
        for symbols, said in SYMBOL_WORDS.items():
            self.symbols.addItem(said, symbols)
        self.names = QPlainTextEdit()
        self.names.setTabChangesFocus(True)
        self.names.setFixedHeight(6 * em())
        self.numbers = LabelledLine(dialog_texts.NUMBERS_OF_YOUR_OWN_WITH_KEY, help_text=dialog_texts.NUMBERS_HELP)
        self.taken = words(tone="muted")
        self.list = PlaceEntry(
            dialog_texts.OR_OPEN_A_CLASS_LIST_WITH_KEY,
            ask_open("Class list", dialog_texts.LISTS_CSV_TXT_ALL_FILES),
            "Class list",
            dialog_texts.NAMES_HELP,
        )
        self.folder = PlaceEntry(
            dialog_texts.WRITE_INTO_THIS_FOLDER_WITH_KEY, ask_folder, dialog_texts.FOLDER_FOR_THE_SHEETS
        )
        self.folder.line.setText(str(folder))
        self.answers = PlaceEntry(
            dialog_texts.ANSWERS_THAT_CAME_BACK_WITH_KEY,
            ask_open("Answers", dialog_texts.LISTS_CSV_TXT_ALL_FILES),
            "Answers",
            dialog_texts.TABLE_THAT_WAS_WRITTEN_WITH_THE_SHEETS,
        )
        self.shown = StillCombo()
        for kind in (SHEET, KEY):
            self.shown.addItem(kind, kind)
        self.preview = Preview()

    def _set_up(self) -> None:
        self.write_button = button("&Write the sheets", main=True)
        self.mark_button = button("&Mark the answers")
        self.said, self.wrong = words(), words(tone="error")
        self._told: QWidget = self.said  # what was said last, to be brought in sight
        self.wrong.hide()
        body = Page()
        column = upright(body, around=BESIDE_A_BAR)
        column.addWidget(words(dialog_texts.ONE_PROBLEM_WITH_NUMBERS_OF_THEIR_OWN, "muted"))
        for label, widget, name in (
            ("&Topic", self.topic, "Topic"),
            ("&Seed", self.seed, "Seed"),
            ("&Units", self.units, "Units"),
            ("S&ymbols", self.symbols, "Symbols"),
            ("&Names", self.names, dialog_texts.NAMES_HELP),
        ):
            head = plain_label(label)
            tie(head, widget, name)
            column.addWidget(head)
            column.addWidget(widget)
        for entry in (
            self.numbers,
            self.taken,
            self.list,
            self.folder,
            right(self.write_button),
            self.answers,
            right(self.mark_button),
        ):
            column.addWidget(entry)
        column.addWidget(self.wrong)
        column.addWidget(self.said)
        column.addStretch(1)
        beside = upright()
        head = plain_label("Sho&w")
        tie(head, self.shown, dialog_texts.WHAT_THE_PREVIEW_SHOWS)
        beside.addWidget(head)
        beside.addWidget(self.shown)
        beside.addWidget(self.preview, 1)
        row = sideways()
        self._area = scrolled(body, dialog_texts.WHAT_THE_WORKSHEET_HOLDS, whole_width=True)
        row.addWidget(self._area, 2)
        row.addLayout(beside, 3)
        self.close_buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.close_buttons.rejected.connect(self.reject)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addLayout(row, 1)
        layout.addWidget(self.close_buttons)
        size(self, 72, 46)

    def _connect(self) -> None:
        for combo in (self.topic, self.units, self.symbols, self.shown):
            combo.currentIndexChanged.connect(self._changed)
        self.seed.valueChanged.connect(self._changed)
        self.names.textChanged.connect(self._changed)
        self.numbers.line.textChanged.connect(self._changed)
        self._rest.timeout.connect(self.refresh_preview)
        self._laid_out.timeout.connect(self._scroll_to_told)
        self.list.line.textChanged.connect(self._take_list)
        self.write_button.clicked.connect(self.write)
        self.mark_button.clicked.connect(self.mark)
        self._writing.busy_changed.connect(self._busy)

    def _changed(self) -> None:
        """What was said of the sheets before no longer holds; the preview follows once nothing changes any more.

        Pages of another topic, seed or number are gone at once: they would pass for those of what stands there now.
        """
        self._say("")
        self._rest.start()
        self._tell_numbers()
        try:
            stays = self._previewed() == self._in_sight
        except InputError:  # said once the typing rests
            stays = False
        if not stays:
            self._wait_for_pages()

    def _tell_numbers(self) -> None:
        """Name the numbers that the topic takes, under their entry."""
        topic, system, symbols = TOPICS[self.topic.currentData()], self.units.currentData(), self.symbols.currentData()
        results = results_with_units(topic, system, symbols)
        asked = typed_name(askable(topic)[-1])
        self.taken.setText(
            dialog_texts.NUMBERS_OF_THIS_TOPIC.format(names=self._names_taken(), asked=asked, results=results)
        )

    def _wait_for_pages(self) -> None:
        """Say that the pages are being made, in their place; what was being made before is wanted no more."""
        self._previewing.cancel()
        self._in_sight = None
        self.preview.show_words(BEING_MADE[self.shown.currentData()])

    def _busy(self, busy: bool) -> None:
        self.write_button.setEnabled(not busy)
        self.mark_button.setEnabled(not busy)

    # ---- doing ------------------------------------------------------------------------------------------------------

    def order_now(self) -> ClassOrder:
        """What stands typed. Raises InputError with every fault of names and numbers."""
        topic = TOPICS[self.topic.currentData()]
        typed = [one for one in self.numbers.text.split(";") if one.strip()]
        return ClassOrder(
            topic,
            self.seed.value(),
            self.units.currentData(),
            self.symbols.currentData(),
            _names(self.names.toPlainText()),
            stated_numbers(topic, typed),
        )

    def _ordered(self) -> ClassOrder | None:
        """What stands typed; None where a fault was said."""
        try:
            return self.order_now()
        except InputError as error:
            self._fail(error)
            return None

    def _take_list(self) -> None:
        """Put the names of the chosen list among those typed; a file that cannot be read is said at its line."""
        path = self.list.path
        if path is None or not is_file(path):
            return
        try:
            names = class_names(list_text(path, shared_texts.CLASS_LIST_ONE_NAME_TO_A_ROW), "list")
        except HeatdocketError as error:
            self.list.say(in_words(error))
            return
        self.names.setPlainText("\n".join(names))

    def refresh_preview(self) -> None:
        """Draw the first person's sheet or key anew."""
        self._rest.stop()
        try:
            wanted = self._previewed()
        except InputError as error:
            self._previewing.cancel()
            self._no_preview(error)
            return
        if wanted == self._in_sight:
            return
        self._wait_for_pages()
        self._previewing.run(wanted.pages, lambda pages: self._show_pages(wanted, pages), self._no_preview)

    def _previewed(self) -> Previewed:
        """What the preview is to show. Raises InputError with every fault of names and numbers."""
        order = self.order_now()
        return Previewed(replace(order, names=order.names[:1]), self.shown.currentData())

    def _show_pages(self, made: Previewed, pages: list[QImage]) -> None:
        self._in_sight = made
        self.preview.show_pages(pages)

    def _names_taken(self) -> str:
        """The numbers that the topic takes as they are typed, each with its symbol and unit."""
        return names_with_units(TOPICS[self.topic.currentData()], self.units.currentData(), self.symbols.currentData())

    def _no_preview(self, error: Exception) -> None:
        """A sheet of what was typed before would pass for one of what stands there now."""
        self._in_sight = None
        self.preview.show_words(dialog_texts.NO_SHEET_OF_WHAT_STANDS_TYPED)
        self._fail(error)

    def write(self) -> None:
        """Write every file into the folder."""
        self._say("")
        order, folder = self._ordered(), self.folder.path
        if folder is None:
            self.folder.say(dialog_texts.FOLDER_IS_WANTED_HERE)
            return
        if order is not None:
            self._writing.run(lambda: _written(order, folder), self._wrote, self._fail)

    def mark(self) -> None:
        """Mark the answers of the named file."""
        self._say("")
        order, path = self._ordered(), self.answers.path
        if path is None:
            self.answers.say(dialog_texts.TABLE_OF_ANSWERS_IS_WANTED_HERE)
            return
        if order is not None:
            self._writing.run(lambda: marked_file(order, path), self._show_marks, self._fail)

    # ---- saying -----------------------------------------------------------------------------------------------------

    def _wrote(self, paths: tuple[Path, ...]) -> None:
        self._say(f"Written into {paths[0].parent}:\n" + "\n".join(path.name for path in paths))

    def _show_marks(self, marked: tuple[MarkedSheet, ...]) -> None:
        self.marked = marked
        self._say("\n".join(marked_lines(marked, self.symbols.currentData())))

    def _say(self, text: str) -> None:
        self.wrong.hide()
        self.numbers.say("")
        self.said.setText(text)
        if text:
            self._bring_in_sight(self.said)

    def _fail(self, error: Exception) -> None:
        self.said.setText("")
        if isinstance(error, InputError) and {fault.path for fault in error.faults} == {PLACE}:
            self.wrong.hide()
            self.numbers.say(in_words(error))
            self._bring_in_sight(self.numbers)
            return
        self.wrong.setText(in_words(error))
        self.wrong.show()
        self._bring_in_sight(self.wrong)

    def _bring_in_sight(self, told: QWidget) -> None:
        """Scroll to what was said once it is laid out: it stands under all entries."""
        self._told = told
        self._laid_out.start()

    def _scroll_to_told(self) -> None:
        self._area.ensureWidgetVisible(self._told, 0, 0)


def _names(typed: str) -> tuple[str, ...]:
    """The names typed, one to a line; none where nothing is. Raises InputError with every fault."""
    lines = [line.strip().replace('"', '""') for line in typed.splitlines() if line.strip()]
    as_list = "\n".join(["name", *(f'"{line}"' for line in lines)])
    return class_names(as_list, "names") if lines else ()


def _written(order: ClassOrder, folder: Path) -> tuple[Path, ...]:
    with PRESS:
        return write_worksheets(order, folder)
