"""Books and cases for the tests of the job book: invented customers and vehicles."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from less_effort import FEW

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.resolve import resolve
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from ui.book.store import Book

NOON = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """An empty book in which it is always the same noon."""
    with Book.open(tmp_path / "shop.jobbook", make=True, now=lambda: NOON) as opened:
        yield opened


@pytest.fixture
def case(tmp_path: Path) -> Callable[..., Path]:
    """``case("name", customer=..., files={name: bytes}, **sections)`` writes a case and gives its path."""

    def write(name: str, *, files: dict[str, bytes] | None = None, sections: dict[str, Any] | None = None, **job: Any):
        folder = tmp_path / "cases"
        folder.mkdir(exist_ok=True)
        for file_name, data in (files or {}).items():
            (folder / file_name).parent.mkdir(parents=True, exist_ok=True)
            (folder / file_name).write_bytes(data)
        path = folder / f"{name}.heatcase.json"
        path.write_text(json.dumps({"format": "heatdocket-case/1", "job": job, **(sections or {})}), "utf-8")
        return path

    return write


@pytest.fixture(scope="session")
def little_diagnosis() -> Diagnosis:
    """A diagnosis of the van with few draws: what its odds are worth does not count here."""
    path = worked_examples.folder() / f"van-no-heat{SUFFIX}"
    found = resolve(read_case(path))
    assert isinstance(found, Case)
    return diagnose(found, {}, effort=FEW)
