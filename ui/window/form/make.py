"""Which field serves which shape, and how fields stand beside each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget

from engcalc.case.catalogue import entry
from engcalc.case.declare import DetailLevel, FileShape
from ui.window.form.binding import Binding
from ui.window.form.facts import FactsField
from ui.window.form.fields import Field, LongTextField, TextField, TextsField, WordField
from ui.window.form.number import NumberField
from ui.window.form.tables import LogField, PairsField
from ui.window.rhythm import Gap, em, gridded

LONG_TEXTS = frozenset({"job.complaint", "job.notes", "job.work_done", "job.shop_contact"})
COLUMN_EMS = 14  # the width of one column of fields, in heights of a line
WIDE = (LongTextField, FactsField, PairsField, LogField)  # fields that take the whole width
GROWING = (TextField, WordField)  # take what is left of their line

MakeField = Callable[..., Field]
FIELDS: Mapping[FileShape, MakeField] = {
    FileShape.NUMBER: NumberField,
    FileShape.WORD: WordField,
    FileShape.TEXT: TextField,
    FileShape.TEXTS: TextsField,
    FileShape.FLAGS: FactsField,
    FileShape.PAIRS: PairsField,
    FileShape.LOG: LogField,
}


def make_field(binding: Binding, path: str, label: str = "", name: str = "") -> Field:
    """The field for the input at a path."""
    made = LongTextField if path in LONG_TEXTS else FIELDS[entry(path).input.shape]
    return made(binding, path, label, name)


class FieldGrid(QWidget):
    """Fields in as many columns as the width holds; those below the chosen depth hide unless they say something."""

    def __init__(self, fields: list[Field], column_ems: int = COLUMN_EMS, wide: frozenset[str] = frozenset()) -> None:
        super().__init__()
        self.fields = fields
        self._column_ems = column_ems
        self._wide = wide  # paths of fields that take the whole width here
        self._depth = DetailLevel.DETAIL
        self._unasked: frozenset[str] = frozenset()
        self._only: Callable[[str], bool] | None = None  # of the paths; None for all
        self._columns = 0
        self._grid = gridded(self, across=Gap.TWO)
        for field in fields:
            field.setParent(self)
        self._lay(1)

    def set_depth(self, depth: DetailLevel) -> None:
        """Show the fields down to this depth, and every field that was filled in or is at fault."""
        self._depth = depth
        self._lay(self._columns)

    def leave_out(self, names: frozenset[str]) -> None:
        """Hide the fields of these names unless they say something: nobody asks for them in this case."""
        if names != self._unasked:
            self._unasked = names
            self._lay(self._columns)

    def show_only(self, wanted: Callable[[str], bool] | None) -> None:
        """Show no other fields than those at the wanted paths; None for all."""
        self._only = wanted
        self._lay(self._columns)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's hook."""
        super().resizeEvent(event)
        columns = self._columns_held()
        if columns != self._columns:
            self._lay(columns)

    def changeEvent(self, event: QEvent) -> None:
        """Another size of text holds another number of columns."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._lay(self._columns_held())

    def _columns_held(self) -> int:
        """How many columns the width holds."""
        return max(1, self.width() // (self._column_ems * em()))

    def _stands(self, field: Field) -> bool:
        asked = field.level.value <= self._depth.value and field.name not in self._unasked
        return (asked or _says_something(field)) and (self._only is None or self._only(field.path))

    def _lines(self, columns: int) -> list[list[Field]]:
        """The fields in sight line by line."""
        lines: list[list[Field]] = []
        for field in filter(self._stands, self.fields):
            if self._is_wide(field) or not lines or len(lines[-1]) == columns or self._is_wide(lines[-1][0]):
                lines.append([])
            lines[-1].append(field)
        return lines

    def _is_wide(self, field: Field) -> bool:
        return isinstance(field, WIDE) or field.path in self._wide

    def _lay(self, columns: int) -> None:
        self._columns = columns
        for field in self.fields:
            self._grid.removeWidget(field)
        for field in self.fields:
            field.setVisible(self._stands(field))
        for row, line in enumerate(self._lines(columns)):
            for column, field in enumerate(line):
                grows = self._is_wide(field) or isinstance(field, GROWING)
                span = columns - column if grows and column + 1 == len(line) else 1
                self._grid.addWidget(field, row, column, 1, span)
        for at in range(self._grid.columnCount()):
            self._grid.setColumnStretch(at, 1 if at < columns else 0)


def _says_something(field: Field) -> bool:
    return field.binding.document.text.get(field.path) is not None or bool(field.faults)
