"""The tables of parts that a case names: loaded, removed, read, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QPushButton, QWidget

from engcalc.errors import InputError
from engcalc.studies.tables import CataloguePart as TablePart
from engcalc.studies.tables import read_table
from engcalc.words.input_words import fault_words
from engcalc.words.texts import view_texts
from ui.window.paragraph import paragraph
from ui.window.plain import tip
from ui.window.rhythm import sideways
from ui.window.views.logs import place_for
from ui.window.views.view import Context, column


def ask_table(parent: QWidget, folder: str) -> str:
    """Ask which table of parts."""
    return QFileDialog.getOpenFileName(
        parent, view_texts.CHOOSE_A_TABLE_OF_PARTS, folder, view_texts.TABLES_CSV_TSV_TXT_ALL_FILES
    )[0]


class PartTables(QWidget):
    """Which tables the case names, and buttons to load one or to remove them; ``changed`` is told of either."""

    def __init__(
        self, context: Context, changed: Callable[[], None], ask: Callable[[QWidget, str], str] = ask_table
    ) -> None:
        super().__init__()
        self._context, self._changed, self._ask = context, changed, ask
        self.told = paragraph("Tables of parts", "muted")
        self.wrong = paragraph("", "error")
        row = QWidget()
        column(self, row, self.wrong)
        layout = sideways(row)
        load = QPushButton("Load parts...")
        load.setAccessibleName(view_texts.LOAD_A_TABLE_OF_PARTS)
        load.setToolTip(tip(view_texts.CORES_FANS_PUMPS))
        load.clicked.connect(self._load)
        self._drop = QPushButton("Remove parts")
        self._drop.setAccessibleName(view_texts.REMOVE_THE_TABLES_OF_PARTS)
        self._drop.clicked.connect(lambda: self._name((), "Remove parts"))
        layout.addWidget(self.told, 1)
        layout.addWidget(load)
        layout.addWidget(self._drop)

    def parts(self) -> tuple[TablePart, ...]:
        """The parts of all tables that read; says which there are, and what is wrong with the others."""
        folder = self._context.document.folder or Path()
        found: dict[str, tuple[TablePart, ...]] = {}
        wrong: list[str] = []
        for name in self._named():
            try:
                found[name] = read_table(folder / name)
            except InputError as error:
                wrong += [fault_words(fault) for fault in error.faults]
        self._say_wrong("\n".join(wrong))
        listed = "; ".join(
            f"{Path(name).name}: {len(parts)} {'part' if len(parts) == 1 else 'parts'}" for name, parts in found.items()
        )
        self.told.setText(listed or view_texts.CORES_FANS_PUMPS)
        self._drop.setVisible(bool(self._named()))
        return tuple(part for table in found.values() for part in table)

    def load_table(self, path: Path) -> None:
        """Let the case name a table; says in words what is wrong with it."""
        try:
            read_table(path)
            name = place_for(path, self._context.document.folder)
        except InputError as error:
            self._say_wrong("\n".join(fault_words(fault) for fault in error.faults))
            return
        self._name((*(other for other in self._named() if other != name), name), "Load parts")

    def _named(self) -> tuple[str, ...]:
        """The tables that the case names."""
        return () if self._context.case is None else self._context.case.job.part_tables

    def _load(self) -> None:
        chosen = self._ask(self, str(self._context.document.folder or ""))
        if chosen:
            self.load_table(Path(chosen))

    def _name(self, tables: tuple[str, ...], step: str) -> None:
        """Put the names of tables into the case and look again."""
        document = self._context.document
        document.end_step()
        document.put("job.part_tables", list(tables) or None, step)
        document.end_step()
        document.resolve()
        self._changed()

    def _say_wrong(self, words: str) -> None:
        self.wrong.setText(words)
        self.wrong.setVisible(bool(words))
