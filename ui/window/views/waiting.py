"""One line above a view: what it waits for and how far that is, why there is nothing to see, or that it was stopped."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QProgressBar, QPushButton, QSizePolicy, QWidget

from engcalc.words.texts import shared_texts
from ui.window.plain import plain_label
from ui.window.rhythm import em, sideways
from ui.window.theme import show_tone

SLOW_MS = 300  # a shorter wait is not worth a word


class WaitingLine(QWidget):
    """Words, a bar of progress, and a button that stops the work or begins it again; hidden when all is well."""

    stop_wanted = Signal()
    go_wanted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._words = plain_label()
        self._words.setWordWrap(True)
        self._words.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self._bar = QProgressBar()
        self._bar.setRange(0, 100)
        self._bar.setTextVisible(False)
        self._bar.setAccessibleName("Progress")
        self._stop = QPushButton("Stop")
        self._stop.clicked.connect(self.stop_wanted)
        self._go = QPushButton("Work it out")
        self._go.clicked.connect(self.go_wanted)
        row = sideways(self)
        row.addWidget(self._words, 3)
        row.addWidget(self._bar, 1)
        row.addWidget(self._stop)
        row.addWidget(self._go)
        self._slow = QTimer(self)
        self._slow.setSingleShot(True)
        self._slow.setInterval(SLOW_MS)
        self._slow.timeout.connect(
            lambda: self._show(shared_texts.ANSWER_TO_WHAT_IS_TYPED_NOW_IS_BEING, "muted", working=True)
        )
        self.say("")

    @property
    def text(self) -> str:
        """The words in sight; empty when the line is hidden."""
        return "" if self.isHidden() else self._words.text()

    def wait(self) -> None:
        """Work begins; it is mentioned once it turns out to take long."""
        self._bar.setValue(0)
        if self._stop.isHidden():
            self._slow.start()

    def show_progress(self, share: float) -> None:
        """How far the work is, 0 to 1."""
        self._bar.setValue(round(100.0 * share))

    def say(self, words: str, tone: str = "warn") -> None:
        """Work has ended, or there is none: say this, or with no words nothing."""
        self._slow.stop()
        self._show(words, tone)

    def stopped(self, words: str) -> None:
        """Work was given up; ``words`` say what it is that still stands."""
        self._slow.stop()
        self._show(words, "warn", again=True)

    def close_line(self) -> None:
        """Say nothing any more."""
        self._slow.stop()

    def _show(self, words: str, tone: str, *, working: bool = False, again: bool = False) -> None:
        self._words.setText(words)
        self._words.setAccessibleName(words)
        show_tone(self._words, tone)
        self._bar.setVisible(working)
        self._bar.setMinimumWidth(4 * em())
        self._stop.setVisible(working)
        self._go.setVisible(again)
        self.setVisible(bool(words))
