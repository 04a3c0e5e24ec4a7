"""A dialog is shown, answered and let go of."""

from __future__ import annotations

from PySide6.QtWidgets import QDialog


def until_left(dialog: QDialog) -> int:
    """Show a dialog until a person leaves it; gives how. What was answered can still be read by whoever asked.

    Its parent would keep it, with all that was read in it, for as long as the window lives.
    """
    try:
        return dialog.exec()
    finally:
        dialog.deleteLater()
