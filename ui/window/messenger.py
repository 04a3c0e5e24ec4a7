"""What a thread says, brought to the main thread, whoever still listens there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtCore import QCoreApplication, QObject, Qt, Signal

W = TypeVar("W")


class Messenger(QObject, Generic[W]):
    """Belongs to the thread that speaks, which holds it until it has ended. A signal of the listener would not do: it
    goes with the listener, and whoever then sends it is met by an error, in the midst of its work.

    Made in the main thread. Whoever listens is told there, and no more once Qt has deleted it.
    """

    said = Signal(object)

    def __init__(self, listener: Callable[[W], object]) -> None:
        super().__init__()
        self.said.connect(listener, Qt.ConnectionType.QueuedConnection)

    def say(self, words: W) -> None:
        """Called on the thread."""
        self.said.emit(words)


def close_with_the_program(close: Callable[[], object]) -> None:
    """Have this method of a QObject called when the program's loop ends: what libraries need at work is taken down
    soon after, and a thread still in it would end the program by a fault of the system."""
    application = QCoreApplication.instance()
    if application is not None:
        application.aboutToQuit.connect(close)
