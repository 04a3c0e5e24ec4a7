"""How a job ended: one form, entered in seconds."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QWidget

from engcalc.causes.catalogue import CAUSES
from engcalc.causes.outcomes import CONFIRMED, CURED, Outcome, checked_outcome
from engcalc.errors import HeatdocketError
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import job_book_texts, shared_texts
from engcalc.words.workshop.book_words import CHOOSE, OUTCOME_INTRO, OUTCOME_MISSING, outcome_sentence
from ui.window.accessible import tie
from ui.window.dialogs.parts import LabelledLine, say_faults, size, words
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_DIALOG, BESIDE_A_BAR, Gap, upright
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import LETTERS, StillCombo


class OutcomeDialog(QDialog):
    """Asks for the cause, how it was confirmed, what was replaced, and whether it cured.

    No answer stands there from the start: what is counted in the base rates was chosen by a person.
    ``leading`` heads the list of causes. ``keep`` keeps the outcome and gives what is said of it; it
    may raise. ``note`` says what else is to be known.
    """

    def __init__(
        self,
        job: int,
        leading: Sequence[str],
        earlier: Sequence[Outcome],
        keep: Callable[[Outcome], str],
        *,
        note: str = "",
        replaced: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(job_book_texts.HOW_JOB_ENDED.format(job=job))
        self._keep, self.said = keep, ""
        self.cause = _choice([(key, cause_label(key)) for key in _in_order(leading)])
        self.confirmed = _choice([(key, capital(text)) for key, text in CONFIRMED.items()])
        self.cured = _choice([(key, capital(text)) for key, text in CURED.items()])
        self.replaced = LabelledLine(
            job_book_texts.WHAT_WAS_REPLACED_OR_PUT_RIGHT_WITH_KEY, help_text=job_book_texts.IN_A_FEW_WORDS
        )
        self.replaced.line.setText(" ".join(replaced.split()))
        self.wrong = words(tone="error")
        self.wrong.hide()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel)
        buttons.accepted.connect(self.take)
        buttons.rejected.connect(self.reject)
        page = Page()
        column = upright(page, around=BESIDE_A_BAR)
        column.addWidget(words(OUTCOME_INTRO, "muted"))
        if note:
            column.addWidget(words(note, "warn"))
        for outcome in earlier:
            column.addWidget(words(f"Entered before: {outcome_sentence(outcome)}"))
        for label, choice in (
            (job_book_texts.WHAT_WAS_FOUND_AT_FAULT_WITH_KEY, self.cause),
            (job_book_texts.HOW_THAT_WAS_CONFIRMED_WITH_KEY, self.confirmed),
        ):
            column.addWidget(_labelled(label, choice))
        column.addWidget(self.replaced)
        column.addWidget(_labelled("The complaint &now", self.cured))
        column.addStretch(1)
        layout = upright(self, around=AROUND_A_DIALOG)
        layout.addWidget(scrolled(page, shared_texts.HOW_THE_JOB_ENDED), 1)
        layout.addWidget(self.wrong)  # in sight however far the page is scrolled
        layout.addWidget(buttons)
        size(self, 38, 34)

    def take(self) -> None:
        """Keep the outcome and close; what is missing or wrong is said in the dialog."""
        if self._says_what_is_missing():
            return
        try:
            outcome = checked_outcome(
                str(self.cause.currentData()),
                str(self.confirmed.currentData()),
                self.replaced.text,
                str(self.cured.currentData()),
            )
            self.said = self._keep(outcome)
        except HeatdocketError as error:
            say_faults(error, {"replaced": self.replaced}, self.wrong)
            return
        self.accept()

    def _says_what_is_missing(self) -> bool:
        """Name every list in which nothing is chosen yet, and go to the first of them."""
        lists = {"cause": self.cause, "confirmed": self.confirmed, "cured": self.cured}
        missing = [key for key, combo in lists.items() if combo.currentData() is None]
        self.wrong.setText("\n".join(OUTCOME_MISSING[key] for key in missing))
        self.wrong.setVisible(bool(missing))
        if missing:
            lists[missing[0]].setFocus()
        return bool(missing)


def _in_order(leading: Sequence[str]) -> list[str]:
    """The leading causes first, then every other."""
    first = [key for key in leading if key in CAUSES]
    return [*first, *(key for key in CAUSES if key not in first)]


def _choice(choices: Sequence[tuple[str, str]]) -> QComboBox:
    """A list to choose from, in which nothing is chosen yet."""
    combo = StillCombo(LETTERS)
    combo.addItem(CHOOSE, None)
    for key, text in choices:
        combo.addItem(text, key)
    return combo


def _labelled(label: str, combo: QComboBox) -> QWidget:
    whole = QWidget()
    column = upright(whole, between=Gap.HALF)
    head = plain_label(label)
    tie(head, combo, label.replace("&", ""))
    column.addWidget(head)
    column.addWidget(combo)
    return whole
