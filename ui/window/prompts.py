"""The questions that the window asks a person; tests answer them in a person's stead."""

from __future__ import annotations

from enum import Enum
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from engcalc.case.file import SUFFIX
from engcalc.words.texts import shared_texts, window_texts
from ui.window.plain import plain_box
from ui.window.shown import until_left

FILTER = shared_texts.CASE_KINDS.format(suffix=SUFFIX)


class Unsaved(Enum):
    """What is to become of unsaved work."""

    SAVE = "save"
    DISCARD = "discard"
    CANCEL = "cancel"


class SavedElsewhere(Enum):
    """What is to become of a case that somebody else saved meanwhile."""

    KEEP_BOTH = "keep both"
    REPLACE = "replace"
    CANCEL = "cancel"


class Prompts:
    """Asks with dialogs."""

    def open_name(self, parent: QWidget, folder: Path | None) -> Path | None:
        """Which case to open."""
        chosen, _ = QFileDialog.getOpenFileName(parent, "Open a case", str(folder or ""), FILTER)
        return Path(chosen) if chosen else None

    def save_name(self, parent: QWidget, suggested: Path) -> Path | None:
        """Where to save; the ending is added when it was left out."""
        chosen, _ = QFileDialog.getSaveFileName(parent, window_texts.SAVE_THE_CASE_AS, str(suggested), FILTER)
        if not chosen:
            return None
        return Path(chosen) if chosen.endswith(".json") else Path(chosen + SUFFIX)

    def unsaved(self, parent: QWidget, name: str) -> Unsaved:
        """What is to become of unsaved work."""
        button = QMessageBox.StandardButton
        words = window_texts.HAS_CHANGES_THAT_ARE_NOT_SAVED.format(name=name)
        box = plain_box(parent, QMessageBox.Icon.Question, "Unsaved work", words)
        box.setStandardButtons(button.Save | button.Discard | button.Cancel)
        box.setDefaultButton(button.Save)
        chosen = button(until_left(box))
        return {button.Save: Unsaved.SAVE, button.Discard: Unsaved.DISCARD}.get(chosen, Unsaved.CANCEL)

    def changed_outside(self, parent: QWidget, name: str) -> SavedElsewhere:
        """What is to become of a case file that another window or program saved since it was opened here."""
        words = window_texts.WAS_SAVED_BY_ANOTHER_WINDOW_OR_PROGRAM.format(name=name)
        box = plain_box(parent, QMessageBox.Icon.Warning, "Saved elsewhere meanwhile", words)
        both = box.addButton("&Keep both", QMessageBox.ButtonRole.AcceptRole)
        replace = box.addButton("&Write over it", QMessageBox.ButtonRole.DestructiveRole)
        box.addButton(QMessageBox.StandardButton.Cancel)
        box.setDefaultButton(both)
        until_left(box)
        chosen = box.clickedButton()
        if chosen is both:
            return SavedElsewhere.KEEP_BOTH
        return SavedElsewhere.REPLACE if chosen is replace else SavedElsewhere.CANCEL

    def tell(self, parent: QWidget, title: str, text: str) -> None:
        """Say something that has to be read."""
        until_left(plain_box(parent, QMessageBox.Icon.Warning, title, text))
