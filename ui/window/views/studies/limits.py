"""What limits a duty, and which changes mend it: in words, as a picture, with the person's own parts among them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton, QWidget

from engcalc.case.case import Case
from engcalc.errors import InputError
from engcalc.studies.sizing import Sizing, size
from engcalc.studies.tables import CataloguePart as TablePart
from engcalc.studies.tables import read_table
from engcalc.words.sizing_words import mending, option_lines, why
from reports.plots.registry import Screen
from ui.window.dialogs.background import Stopped, Tell
from ui.window.paragraph import paragraph
from ui.window.plain import tip
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.lines import Sentence, Sentences
from ui.window.views.logs import place_for
from ui.window.views.studies.page import StudyPage
from ui.window.views.view import Context, Question, column

TABLES = "Tables (*.csv *.tsv *.txt);;All files (*)"
HOW = (
    "Cores, fans or pumps of your own: a CSV file with a column name and columns named as inputs, such as "
    "core_height [mm]."
)


def ask_table(parent: QWidget, folder: str) -> str:
    """Ask which table of parts."""
    return QFileDialog.getOpenFileName(parent, "Choose a table of parts", folder, TABLES)[0]


class LimitsPage(StudyPage[Sizing]):
    """Why the duty fails, what mends it, and everything that was tried."""

    def __init__(self, context: Context, ask: Callable[[QWidget, str], str] = ask_table) -> None:
        self._ask = ask
        self.told = paragraph("Tables of parts", "muted")
        self.wrong = paragraph("", "error")
        self.why, self.mend = Sentences("What limits"), Sentences("What would mend it")
        self.all = Sentences("All changes tried")
        self.pictures = PlaceCards(Screen.LIMITS)
        super().__init__(
            context,
            (),
            (
                CardSection("What limits", self.why),
                CardSection("What would mend it", self.mend),
                *self.pictures.cards,
                CardSection("Parts of your own", self._tables()),
                CardSection("All changes tried, by gain", self.all),
            ),
        )
        self.show_nothing()

    def _tables(self) -> QWidget:
        box, row = QWidget(), QWidget()
        column(box, row, self.wrong)
        layout = QHBoxLayout(row)
        layout.setContentsMargins(0, 0, 0, 0)
        load = QPushButton("Load parts...")
        load.setAccessibleName("Load a table of parts")
        load.setToolTip(tip(HOW))
        load.clicked.connect(self._load)
        self._drop = QPushButton("Remove parts")
        self._drop.setAccessibleName("Remove the tables of parts")
        self._drop.clicked.connect(self._remove)
        layout.addWidget(self.told, 1)
        layout.addWidget(load)
        layout.addWidget(self._drop)
        return box

    def _named(self) -> tuple[str, ...]:
        """The tables that the case names."""
        return () if self.context.case is None else self.context.case.job.part_tables

    def _load(self) -> None:
        chosen = self._ask(self, str(self.context.document.folder or ""))
        if chosen:
            self.load_table(Path(chosen))

    def load_table(self, path: Path) -> None:
        """Let the case name a table, so that its parts come among the changes; says in words what is wrong with it."""
        try:
            read_table(path)
            name = place_for(path, self.context.document.folder)
        except InputError as error:
            self._say_wrong("\n".join(str(fault) for fault in error.faults))
            return
        self._name((*(other for other in self._named() if other != name), name), "Load parts")

    def _remove(self) -> None:
        self._name((), "Remove parts")

    def _name(self, tables: tuple[str, ...], step: str) -> None:
        """Put the names of tables into the case and look again."""
        document = self.context.document
        document.end_step()
        document.put("job.part_tables", list(tables) or None, step)
        document.end_step()
        document.resolve()
        self.refresh()

    def _parts(self) -> tuple[TablePart, ...]:
        """The parts of all tables that read; says which there are, and what is wrong with the others."""
        folder = self.context.document.folder or Path()
        found: dict[str, tuple[TablePart, ...]] = {}
        wrong: list[str] = []
        for name in self._named():
            try:
                found[name] = read_table(folder / name)
            except InputError as error:
                wrong += [str(fault) for fault in error.faults]
        self._say_wrong("\n".join(wrong))
        listed = "; ".join(
            f"{Path(name).name}: {len(parts)} {'part' if len(parts) == 1 else 'parts'}" for name, parts in found.items()
        )
        self.told.setText(listed or HOW)
        self._drop.setVisible(bool(self._named()))
        return tuple(part for table in found.values() for part in table)

    def _say_wrong(self, words: str) -> None:
        self.wrong.setText(words)
        self.wrong.setVisible(bool(words))

    def question_of(self, case: Case, duty: int) -> Question[Sizing] | str:
        """The sizing of the chosen duty, or of the hardest one."""
        parts = self._parts()
        index = None if self.duty_index is None else duty
        return Question((case, index, parts), partial(_work, case, index, parts))

    def show_answer(self, answer: Sizing) -> None:
        """Say it and draw it."""
        self.show_parts()
        system = self.context.system
        self.why.show_sentences([Sentence(text) for text in why(answer, system)])
        self.mend.show_sentences([Sentence(text) for text in mending(answer, system)])
        self.pictures.show_pictures(answer, system)
        self.all.show_sentences([Sentence(text) for text in option_lines(answer.options, system)])


def _work(case: Case, index: int | None, parts: tuple[TablePart, ...], tell: Tell, stopped: Stopped) -> Sizing:
    return size(case, parts, index, progress=tell, cancelled=stopped)
