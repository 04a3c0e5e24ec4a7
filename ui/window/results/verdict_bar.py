"""The verdict, always in sight: a sign and a word, one sentence of reason, what comes next, and whether it still
holds."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QWidget

from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.studies.checked import Check
from engcalc.verdict import Verdict
from engcalc.words.answer.answer import check_label, is_of_class_parts, speaks_for_the_class
from engcalc.words.answer.reasons import verdict_label
from engcalc.words.texts import window_texts
from ui.window.paragraph import paragraph
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_CARD, em, gridded
from ui.window.theme import show_tone


@dataclass(frozen=True)
class Sign:
    """How a verdict looks: a shape of its own, its word, and which of the theme's colours goes with it."""

    shape: str
    word: str
    tone: str


SIGNS: dict[Verdict | None, Sign] = {
    verdict: Sign(shape, verdict_label(verdict), tone)
    for verdict, shape, tone in (
        (Verdict.UNDERSIZED, "▲", "error"),
        (Verdict.OVERCOOLING, "▼", "cold"),
        (Verdict.MARGINAL, "◆", "warn"),
        (Verdict.HOLDS, "●", "good"),
        (None, "■", "muted"),
    )
}
_OF_DANGER: dict[Danger, tuple[str, str]] = {Danger.STOP: ("✖", "error"), Danger.CARE: ("⚠", "warn")}
_OF_STATE: dict[VehicleState, tuple[str, str]] = {
    VehicleState.RUNS_HOT: ("▲", "warn"),
    VehicleState.RUNS_COLD: ("▼", "cold"),
    VehicleState.HEATS_POORLY: ("▽", "cold"),
    VehicleState.LOSES_COOLANT: ("◆", "warn"),
    VehicleState.CANNOT_TELL: ("◇", "warn"),
    VehicleState.HEALTHY: ("●", "good"),
    VehicleState.NOTHING_TO_JUDGE: ("○", "muted"),
}
_NOT_OF_ITS_OWN = "○"  # what a typical vehicle would do, where no part of this one is known
_WITH_RESERVE = ("◆", "warn")  # healthy as read, while a duty does not hold
NARROW = 38  # lines of text; below that the sentence stands under the word
KEPT_LINES = 3  # lines of text that always have room: two of the sentence, one of what comes next
WAITING = Sign("○", "Not checked yet", "muted")
WORKING = Sign("○", "Working", "muted")


def sign_of(check: Check) -> Sign:
    """The sign of what is said of a case. A danger or a fault that was found does not wait for the rest of the work."""
    found = conclude(check)
    if check.unfinished and not found.outranks:
        return WORKING
    if speaks_for_the_class(found):
        sign = replace(SIGNS[check.verdict], word=check_label(check))
        return replace(sign, shape=_NOT_OF_ITS_OWN, tone="muted") if is_of_class_parts(check) else sign
    shape, tone = _OF_DANGER.get(found.danger) or _OF_STATE[found.state]
    if found.state is VehicleState.HEALTHY and not found.green:
        shape, tone = _WITH_RESERVE
    return Sign(shape, check_label(check), tone)


class VerdictBar(QFrame):
    """Sign, word, sentence; what comes next; and a line that says when the answer is older than what is typed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("tone", "card")
        self.setAccessibleName("Verdict")
        self._sign, self._word = plain_label(parent=self), plain_label(parent=self)
        for label in (self._sign, self._word):
            label.setProperty("type", "lead")
        self._sentence = paragraph()
        self._next = paragraph()
        self._next.hide()
        self._stale = paragraph(tone="warn")
        self._stale.setObjectName("stale")
        self._stale.hide()
        self._shown = WAITING
        self._narrow = False
        self._grid = layout = gridded(self, around=AROUND_A_CARD)
        layout.addWidget(self._sign, 0, 0, Qt.AlignmentFlag.AlignTop)
        layout.addWidget(self._word, 0, 1, Qt.AlignmentFlag.AlignTop)
        layout.addWidget(self._sentence, 0, 2)
        layout.addWidget(self._next, 2, 1, 1, 2)
        layout.addWidget(self._stale, 2, 1, 1, 2)
        layout.setRowStretch(3, 1)
        layout.setColumnStretch(2, 1)
        self.show_verdict(WAITING, "")

    def show_verdict(self, sign: Sign, sentence: str, comes_next: str = "") -> None:
        """Show a verdict with its sentence, and beneath it what comes next."""
        changed = sign != self._shown
        self._shown = sign
        self._sign.setText(sign.shape)
        self._word.setText(sign.word)
        self._sentence.setText(sentence)
        self._word.setAccessibleName(f"Verdict: {sign.word}")
        self._sentence.setAccessibleName(f"Reason: {sentence}")
        self._next.setText(f"Next: {comes_next}" if comes_next else "")
        self._next.setAccessibleName(self._next.text())
        self._show_second_line()
        self.setAccessibleDescription(f"{sign.word}. {self.sentence}")
        self.restyle()
        if changed:  # a screen reader speaks it without moving there
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))

    def show_stale(self, reason: str) -> None:
        """Say why the verdict is older than what is typed; an empty reason takes that back."""
        self._stale.setText(reason)
        self._show_second_line()
        self._stale.setAccessibleName(window_texts.OUT_OF_DATE.format(reason=reason) if reason else "")
        for label in (self._sign, self._word, self._sentence, self._next):
            label.setEnabled(not reason)

    def _show_second_line(self) -> None:
        """What comes next, or in its place that the answer is an older one."""
        stale = bool(self._stale.text())
        self._stale.setVisible(stale)
        self._next.setVisible(bool(self._next.text()) and not stale)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The sentence beside the word, or under it where there is little room."""
        super().resizeEvent(event)
        narrow = event.size().width() < NARROW * em()
        if narrow is not self._narrow:
            self._narrow = narrow
            self._grid.removeWidget(self._sentence)
            self._grid.addWidget(self._sentence, *((1, 1, 1, 2) if narrow else (0, 2)))

    @property
    def sentence(self) -> str:
        """The sentence that stands beside the verdict, and what comes next."""
        return " ".join(text for text in (self._sentence.text(), self._next.text()) if text)

    def restyle(self) -> None:
        """Take colours and sizes from the theme in use."""
        margins = self._grid.contentsMargins()
        room = KEPT_LINES * em() + margins.top() + margins.bottom() + self._grid.verticalSpacing()
        self.setMinimumHeight(room)  # so that what stands beneath does not move with the words
        for label in (self._sign, self._word):
            show_tone(label, self._shown.tone)
