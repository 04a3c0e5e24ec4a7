"""The tables of parts that a case names: loaded, removed, read, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QTimer
from PySide6.QtWidgets import QFileDialog, QMenu, QPushButton, QWidget

from engcalc.case.file import is_file, write_whole
from engcalc.errors import FileFault, InputError
from engcalc.studies.choice.table_templates import PartKind, template
from engcalc.studies.choice.tables import CataloguePart as TablePart
from engcalc.studies.choice.tables import read_table
from engcalc.words.answer.input_words import fault_words
from engcalc.words.texts import view_texts
from ui.window.paragraph import paragraph
from ui.window.places import place_to_write
from ui.window.plain import tip
from ui.window.rhythm import sideways
from ui.window.views.logs import place_for
from ui.window.views.view import Context, column


def ask_table(parent: QWidget, folder: str) -> str:
    """Ask which table of parts."""
    return QFileDialog.getOpenFileName(
        parent, view_texts.CHOOSE_A_TABLE_OF_PARTS, folder, view_texts.TABLES_CSV_TSV_TXT_ALL_FILES
    )[0]


def ask_template(parent: QWidget, proposed: str) -> str:
    """Ask where to save a template."""
    return QFileDialog.getSaveFileName(
        parent, view_texts.SAVE_A_TEMPLATE, proposed, view_texts.TABLES_CSV_TSV_TXT_ALL_FILES
    )[0]


SETTLED_MS = 300  # after a file changed: whoever writes it may not be done


class PartTables(QWidget):
    """Which tables the case names, buttons to load or remove them, and templates to fill in.

    ``changed`` is told when other tables are named, and when a table's file was written anew.
    """

    def __init__(
        self,
        context: Context,
        changed: Callable[[], None],
        ask: Callable[[QWidget, str], str] = ask_table,
        ask_where: Callable[[QWidget, str], str] = ask_template,
    ) -> None:
        super().__init__()
        self._context, self._changed, self._ask, self._ask_where = context, changed, ask, ask_where
        self._written = QTimer(self)
        self._written.setSingleShot(True)
        self._written.setInterval(SETTLED_MS)
        self._written.timeout.connect(changed)
        self._watcher = QFileSystemWatcher(self)
        self._watcher.fileChanged.connect(lambda _path: self._written.start())
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
        layout.addWidget(self._templates())
        layout.addWidget(load)
        layout.addWidget(self._drop)

    def _templates(self) -> QPushButton:
        """A button that offers a table to fill in for each kind of part."""
        button = QPushButton("Template")
        button.setAccessibleName(view_texts.SAVE_A_TEMPLATE)
        button.setToolTip(tip(view_texts.TEMPLATE_TIP))
        menu = QMenu(button)
        for kind in PartKind:
            menu.addAction(f"{kind.value.capitalize()}...").triggered.connect(
                lambda _checked=False, kind=kind: self.save_template(kind)
            )
        button.setMenu(menu)
        return button

    def save_template(self, kind: PartKind) -> None:
        """Save a table of this kind to fill in, where somebody says; tells where it is, or what was wrong."""
        folder = place_to_write(self._context.document)
        chosen = self._ask_where(self, str(folder / f"{kind.value}.csv"))
        if not chosen:
            return
        try:
            write_whole(Path(chosen), template(kind).encode())
        except FileFault as error:
            self._say_wrong("\n".join(fault_words(fault) for fault in error.faults))
            return
        self._say_wrong("")
        self.told.setText(view_texts.TEMPLATE_SAVED.format(file=Path(chosen).name))

    def parts(self) -> tuple[TablePart, ...]:
        """The parts of all tables that read; says which there are, and what is wrong with the others."""
        folder = self._context.document.folder or Path()
        found: dict[str, tuple[TablePart, ...]] = {}
        wrong: list[str] = []
        self._watch([folder / name for name in self._named()])
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

    def _watch(self, files: Sequence[Path]) -> None:
        """Watch these files. One that was put in the place of another is watched anew."""
        old, new = set(self._watcher.files()), {str(path) for path in files if is_file(path)}
        for paths, change in ((old - new, self._watcher.removePaths), (new - old, self._watcher.addPaths)):
            if paths:
                change(sorted(paths))

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
