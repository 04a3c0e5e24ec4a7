"""A file that is dragged over a window."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtGui import QDropEvent

LOGS = (".csv", ".tsv", ".txt", ".log")


def dropped_file(event: QDropEvent, suffix: str | tuple[str, ...]) -> Path | None:
    """The first dragged file whose name ends so, in either case of letters."""
    files = (Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile())
    return next((file for file in files if file.name.lower().endswith(suffix)), None)
