"""Where files are offered to be written."""

from __future__ import annotations

from pathlib import Path

import pytest

import worked_examples
from engcalc.case.text import CaseText
from ui.document import Document
from ui.window.places import place_to_write

EXAMPLE = worked_examples.folder() / "double-pipe.heatcase.json"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return tmp_path


def test_beside_a_saved_case(tmp_path: Path) -> None:
    path = tmp_path / "rig" / "rig.heatcase.json"
    path.parent.mkdir()
    path.write_bytes(EXAMPLE.read_bytes())
    assert place_to_write(Document.read(path)) == path.parent


@pytest.mark.parametrize(
    "document",
    [
        None,
        Document(CaseText()),
        Document(CaseText(), beside=worked_examples.folder()),
        Document.read(EXAMPLE),
    ],
    ids=["no case", "not saved", "an example", "an example by its file"],
)
def test_else_among_the_documents_and_never_among_the_examples(document: Document | None, home: Path) -> None:
    """Sheets of an example were offered into its own folder, which an installed program cannot write."""
    assert place_to_write(document) == home  # where no folder for documents is
    (home / "Documents").mkdir()
    assert place_to_write(document) == home / "Documents"
