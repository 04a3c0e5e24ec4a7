"""What limits a duty, and which changes mend it: in words, as a picture, with the person's own parts among them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton, QWidget

from engcalc.case.case import Case
from engcalc.errors import InputError
from engcalc.studies.sizing import Sizing, size
from engcalc.words.sizing_words import mending, option_lines, why
from reports.plots.studies import options_picture
from ui.window.dialogs.background import Stopped, Tell
from ui.window.paragraph import paragraph
from ui.window.results.card import Part, PictureCard
from ui.window.results.lines import Sentence, Sentences
from ui.window.views.studies.page import StudyPage
from ui.window.views.view import Context, Question, column

if TYPE_CHECKING:
    from engcalc.studies.tables import Part as TablePart

TABLES = "Tables (*.csv *.tsv *.txt);;All files (*)"
HOW = "Cores, fans or pumps of your own: a CSV file with a column name and columns named as inputs, such as " \
      "core_height [mm]."


def ask_table(parent: QWidget, folder: str) -> str:
    """Ask which table of parts."""
    return QFileDialog.getOpenFileName(parent, "Choose a table of parts", folder, TABLES)[0]


class LimitsPage(StudyPage):
    """Why the duty fails, what mends it, and everything that was tried."""

    def __init__(self, context: Context, ask: Callable[[QWidget, str], str] = ask_table) -> None:
        self._ask = ask
        self._loaded: dict[Path, tuple[TablePart, ...]] = {}
        self.told = paragraph("Tables of parts", "muted")
        self.wrong = paragraph("", "error")
        self.why, self.mend = Sentences("What limits"), Sentences("What would mend it")
        self.all = Sentences("All changes tried")
        self.picture = PictureCard("What each change gains")
        super().__init__(context, (), (
            Part("What limits", self.why), Part("What would mend it", self.mend), self.picture,
            Part("Parts of your own", self._tables()), Part("All changes tried, by gain", self.all)))
        self._say_tables()
        self.show_nothing()

    def _tables(self) -> QWidget:
        box, row = QWidget(), QWidget()
        column(box, row, self.wrong)
        layout = QHBoxLayout(row)
        layout.setContentsMargins(0, 0, 0, 0)
        load = QPushButton("Load parts...")
        load.setAccessibleName("Load a table of parts")
        load.setToolTip(HOW)
        load.clicked.connect(self._load)
        self._drop = QPushButton("Remove parts")
        self._drop.setAccessibleName("Remove the tables of parts")
        self._drop.clicked.connect(self._remove)
        layout.addWidget(self.told, 1)
        layout.addWidget(load)
        layout.addWidget(self._drop)
        return box

    def _load(self) -> None:
        chosen = self._ask(self, str(self.context.document.folder or ""))
        if chosen:
            self.load_table(Path(chosen))

    def load_table(self, path: Path) -> None:
        """Take the parts of a table among the changes; says in words what is wrong with it."""
        from engcalc.studies.tables import read_table

        try:
            self._loaded[path] = read_table(path)
        except InputError as error:
            self._say_wrong("\n".join(str(fault) for fault in error.faults))
            return
        self._say_wrong("")
        self._say_tables()
        self.refresh()

    def _remove(self) -> None:
        self._loaded.clear()
        self._say_wrong("")
        self._say_tables()
        self.refresh()

    def _say_wrong(self, words: str) -> None:
        self.wrong.setText(words)
        self.wrong.setVisible(bool(words))

    def _say_tables(self) -> None:
        listed = "; ".join(f"{path.name}: {len(parts)} {'part' if len(parts) == 1 else 'parts'}"
                           for path, parts in self._loaded.items())
        self.told.setText(listed or HOW)
        self._drop.setVisible(bool(listed))
        self.wrong.setVisible(bool(self.wrong.text()))

    def question_of(self, case: Case, duty: int) -> Question | str:
        """The sizing of the chosen duty, or of the hardest one."""
        parts = tuple(part for table in self._loaded.values() for part in table)
        index = None if self.duty_index is None else duty
        return Question((case, index, parts), partial(_work, case, index, parts))

    def show_answer(self, answer: Sizing) -> None:
        """Say it and draw it."""
        self.show_plots()
        system = self.context.system
        self.why.show_sentences([Sentence(text) for text in why(answer, system)])
        self.mend.show_sentences([Sentence(text) for text in mending(answer, system)])
        self.picture.show_plot(options_picture(answer, system))
        self.all.show_sentences([Sentence(text) for text in option_lines(answer.options, system)])


def _work(case: Case, index: int | None, parts: tuple[TablePart, ...], tell: Tell, stopped: Stopped) -> Sizing:
    return size(case, parts, index, progress=tell, cancelled=stopped)
