"""A choice of what a study found, and the button that puts the chosen one into the case."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtWidgets import QPushButton, QWidget

from engcalc.case.case import Case
from engcalc.case.text import CaseText
from engcalc.words.texts import view_texts
from ui.document import Document
from ui.window.accessible import tie
from ui.window.plain import plain_label
from ui.window.rhythm import sideways
from ui.window.still_combo import LETTERS, StillCombo

Change = Callable[[CaseText, Case], CaseText]
"""The text of a case, and the case in SI, to the text with something else in it."""


class AdoptRow(QWidget):
    """One of several changes, each offered in words; the button makes it in the case, as one step of undo.

    The change is made in the text as it is when the button is pressed: what was typed since stays. ``what`` names what
    is put in, such as "core".
    """

    def __init__(self, document: Document, what: str) -> None:
        super().__init__()
        self._document, self._what = document, what
        self._changes: tuple[Change, ...] = ()
        self.chosen = StillCombo(LETTERS)
        self.chosen.currentTextChanged.connect(self.chosen.setToolTip)
        self.adopt = QPushButton(view_texts.PUT_THIS_INTO_THE_CASE.format(what=what))
        self.adopt.setAccessibleName(self.adopt.text())
        self.adopt.clicked.connect(self._adopt)
        row = sideways(self)
        label = plain_label(what.capitalize())
        tie(label, self.chosen, view_texts.TO_PUT_INTO_THE_CASE.format(what=what.capitalize()))
        row.addWidget(label)
        row.addWidget(self.chosen, 1)
        row.addWidget(self.adopt)

    def offer(self, changes: Iterable[tuple[str, Change]]) -> None:
        """Offer these changes, each by its words, in place of those before."""
        offered = tuple(changes)
        self._changes = tuple(change for _, change in offered)
        self.chosen.clear()
        self.chosen.addItems([words for words, _ in offered])
        self.adopt.setEnabled(bool(offered))

    def take(self, index: int) -> None:
        """Choose one of the changes and make it, as if by hand."""
        self.chosen.setCurrentIndex(index)
        self._adopt()

    def _adopt(self) -> None:
        document = self._document
        case = document.good
        if case is None:
            return
        change = self._changes[self.chosen.currentIndex()]
        document.take_text(change(document.text, case), view_texts.PUT_A_INTO_THE_CASE.format(what=self._what))
        document.resolve()
