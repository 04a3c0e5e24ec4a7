"""The program with its window: from the command line's words to the event loop."""

from __future__ import annotations

import sys
import traceback
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from ui.recovery import default_folder
from ui.window import theme
from ui.window.main_window import MainWindow
from ui.window.menus import Menus
from ui.window.settings import Settings, default_file

NAME = "heatdocket"


def run(argv: list[str]) -> int:
    """Open the window, with the case named in ``argv`` if there is one; returns when it was closed."""
    application = QApplication([NAME])
    application.setApplicationName(NAME)
    application.setApplicationDisplayName("Heatdocket")
    application.setDesktopFileName(NAME)
    settings = Settings(default_file())
    theme.apply(application, settings.look, settings.text_size)
    window = MainWindow(settings, default_folder())
    Menus(window)
    theme.watch_system(application, window.apply_look)
    _say_defects(window)
    window.show()
    if argv:
        QTimer.singleShot(0, window, lambda: window.open_path(Path(argv[0])))
    return application.exec()


def _say_defects(window: MainWindow) -> None:
    """A defect of ours is said in the window and printed; the work in hand is kept and the window lives on."""

    def say(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        traceback.print_exception(kind, error, trace)
        if issubclass(kind, Exception):
            window.keep_unsaved()
            window.tell(f"A defect of Heatdocket: {kind.__name__}: {error}. Unsaved work was kept.")

    sys.excepthook = say
