"""Tables of a bench, each with its title and what it says, in the verdict and in the view of the bench."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QWidget

from engcalc.words.lesson.bench_words import BenchTable
from ui.window.dialogs.parts import words
from ui.window.results.card import CardSection
from ui.window.results.table import TableText
from ui.window.rhythm import upright
from ui.window.views.tables import WideTable


class TitledTable:
    """A table with its title and what it says; hidden while there is nothing to show."""

    def __init__(self, name: str, parent: QWidget) -> None:
        self.lead, self.table, box = words("", "muted"), WideTable(name, parent), QWidget(parent)
        rows = upright(box)
        rows.addWidget(self.lead)
        rows.addWidget(self.table)
        self.section = CardSection("", box, parent=parent)
        self.section.hide()

    def show_table(self, table: BenchTable | None) -> None:
        """Show this table; None for none."""
        self.section.setVisible(table is not None)
        if table is not None:
            self.section.set_title(table.title)
            self.lead.setText(table.lead)
            tips = tuple(table.lead for _ in table.rows)
            self.table.put(TableText(table.head, table.rows, tips, words_columns=1))


def show_tables(places: Sequence[TitledTable], tables: Sequence[BenchTable]) -> None:
    """Show tables in places of which there are enough; those left over show nothing."""
    rest = [None] * (len(places) - len(tables))
    for place, table in zip(places, (*tables, *rest), strict=True):
        place.show_table(table)
