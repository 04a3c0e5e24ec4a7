"""The questions that the window asks a person; tests answer them in a person's stead."""

from __future__ import annotations

from enum import Enum
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from engcalc.case.file import SUFFIX

FILTER = f"Cases (*{SUFFIX});;All files (*)"


class Unsaved(Enum):
    """What is to become of unsaved work."""

    SAVE = "save"
    DISCARD = "discard"
    CANCEL = "cancel"


class Prompts:
    """Asks with dialogs."""

    def open_name(self, parent: QWidget, folder: Path | None) -> Path | None:
        """Which case to open."""
        chosen, _ = QFileDialog.getOpenFileName(parent, "Open a case", str(folder or ""), FILTER)
        return Path(chosen) if chosen else None

    def save_name(self, parent: QWidget, suggested: Path) -> Path | None:
        """Where to save; the ending is added when it was left out."""
        chosen, _ = QFileDialog.getSaveFileName(parent, "Save the case as", str(suggested), FILTER)
        if not chosen:
            return None
        return Path(chosen) if chosen.endswith(".json") else Path(chosen + SUFFIX)

    def unsaved(self, parent: QWidget, name: str) -> Unsaved:
        """What is to become of unsaved work."""
        button = QMessageBox.StandardButton
        chosen = QMessageBox.question(
            parent,
            "Unsaved work",
            f"{name} has changes that are not saved. Save them?",
            button.Save | button.Discard | button.Cancel,
            button.Save,
        )
        return {button.Save: Unsaved.SAVE, button.Discard: Unsaved.DISCARD}.get(chosen, Unsaved.CANCEL)

    def tell(self, parent: QWidget, title: str, text: str) -> None:
        """Say something that has to be read."""
        QMessageBox.warning(parent, title, text)
