"""How far a check that takes long has come, and a way to stop it; stands in the status bar."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QProgressBar, QPushButton, QSizePolicy, QWidget

from engcalc.words.texts import window_texts
from ui.window.rhythm import em, sideways
from ui.window.worker import Checker

LONG_MS = 700  # a check that is done before shows nothing: it would only flicker


class Progress(QWidget):
    """Shows itself once a check takes long. ``stopped`` tells that the person wants no answer any more."""

    stopped = Signal()

    def __init__(self, checker: Checker, long_ms: int = LONG_MS) -> None:
        super().__init__()
        self._bar = QProgressBar()
        self._bar.setRange(0, 100)
        self._bar.setFixedWidth(8 * em())
        self._bar.setAccessibleName(window_texts.PROGRESS_OF_THE_CHECK)
        self._stop = QPushButton("Stop the check")
        self._stop.setAccessibleName("Stop the check")
        self._stop.clicked.connect(self.stopped)
        row = sideways(self)
        row.addWidget(self._bar)
        row.addWidget(self._stop)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Preferred)
        self._long = QTimer(self)
        self._long.setSingleShot(True)
        self._long.setInterval(long_ms)
        self._long.timeout.connect(self.show)
        checker.busy_changed.connect(self._busy)
        checker.progressed.connect(self._reached)
        self.hide()

    def _busy(self, busy: bool) -> None:
        self._bar.setValue(0)
        if busy:
            self._long.start()
        else:
            self._long.stop()
            self.hide()

    def _reached(self, share: float) -> None:
        self._bar.setValue(round(100.0 * share))
