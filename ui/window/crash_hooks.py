"""A defect of ours in a slot, on a thread or in Qt: kept for support and said in plain words; the window lives on."""

from __future__ import annotations

import re
import sys
import threading
import traceback
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QMessageLogContext, QObject, QtMsgType, Signal, qInstallMessageHandler

from engcalc.words.texts import window_texts
from ui import crashes
from ui.window.main_window import MainWindow

_QT_PART = re.compile(r"^(Q\w+)(::\w+)?(?=[:( ])")  # QPainter::begin: ... ; the rest may quote a person's paths
_LOGGED = {QtMsgType.QtWarningMsg, QtMsgType.QtCriticalMsg, QtMsgType.QtFatalMsg}


class CrashHooks(QObject):
    """Lives as long as its window; ``remove`` puts back what was there before."""

    failed = Signal(str)  # the kind of an error, from whichever thread

    def __init__(self, window: MainWindow, folder: Path) -> None:
        super().__init__(window)
        self._window = window
        crashes.keep_in(folder)
        self._before = sys.excepthook, threading.excepthook
        sys.excepthook, threading.excepthook = self._raised, self._raised_on_thread
        self._qt_before = qInstallMessageHandler(self._qt_said)
        self.failed.connect(self._say)

    def remove(self) -> None:
        """Take the hooks out."""
        sys.excepthook, threading.excepthook = self._before
        qInstallMessageHandler(self._qt_before)
        crashes.stop_keeping()

    def _raised(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        traceback.print_exception(kind, error, trace)
        if issubclass(kind, Exception):
            crashes.note_raised(error, trace, "the window")
            self.failed.emit(kind.__name__)

    def _raised_on_thread(self, raised: threading.ExceptHookArgs) -> None:
        error = raised.exc_value or raised.exc_type()
        traceback.print_exception(raised.exc_type, error, raised.exc_traceback)
        if isinstance(error, Exception):
            crashes.note_raised(error, raised.exc_traceback, "a thread")
            self.failed.emit(raised.exc_type.__name__)

    def _say(self, kind: str) -> None:
        """In the window's own thread: an error may come from any."""
        kept = window_texts.UNSAVED_WORK_WAS_KEPT if self._window.keep_unsaved() else window_texts.NOT_KEPT
        self._window.tell(
            window_texts.DEFECT_OF_HEATDOCKET.format(kind=kind, kept=kept, where_told=window_texts.WHERE_TOLD),
            stays=True,
        )

    def _qt_said(self, kind: QtMsgType, context: QMessageLogContext, message: str) -> None:
        if kind in _LOGGED:
            part = _QT_PART.match(message)
            crashes.note_complaint(part.group(0) if part else "Qt", sys._getframe().f_back)
        if self._qt_before is not None:
            self._qt_before(kind, context, message)
        elif sys.stderr is not None:
            sys.stderr.write(f"{message}\n")
