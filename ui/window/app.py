"""The program with its window: from the command line's words to the event loop."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from ui import crashes
from ui.recovery import default_folder
from ui.window import theme
from ui.window.crash_hooks import CrashHooks
from ui.window.main_window import MainWindow
from ui.window.memory import keep_arrays_apart
from ui.window.menus import Menus
from ui.window.settings import Settings, default_file

NAME = "heatdocket"


def run(argv: list[str]) -> int:
    """Open the window, with the case named in ``argv`` if there is one; returns when it was closed."""
    keep_arrays_apart()
    application = QApplication([NAME])
    application.setApplicationName(NAME)
    application.setApplicationDisplayName("Heatdocket")
    application.setDesktopFileName(NAME)
    settings = Settings(default_file())
    theme.apply(application, settings.look, settings.text_size)
    window = MainWindow(settings, default_folder())
    Menus(window)
    theme.watch_system(application, window.apply_look)
    CrashHooks(window, crashes.default_folder())
    window.show()
    if argv:
        QTimer.singleShot(0, window, lambda: window.open_path(Path(argv[0])))
    return application.exec()
