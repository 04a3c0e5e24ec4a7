"""Where files are offered to be written: beside a saved case, else among the person's documents."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_documents_path

import worked_examples
from engcalc.case.file import is_folder
from ui.document import Document


def place_to_write(document: Document | None) -> Path:
    """Beside a saved case; else the person's documents, or their home where there is no such folder.

    Never among the examples: their folder belongs to the program, and an installed one cannot be written.
    """
    path = None if document is None else document.path
    if path is not None and not path.resolve().is_relative_to(worked_examples.folder()):
        return path.parent
    documents = user_documents_path()
    return documents if is_folder(documents) else Path.home()
