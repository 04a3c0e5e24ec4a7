"""Running the command line as a person or a script would, in a process of its own or within the test's."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from less_effort import LessEffort

PROJECT = Path(__file__).resolve().parents[3]
START = "import sys; from ui.command.main import run; run()"
WITHOUT_QT = """
import sys

class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {"PySide6", "shiboken6"}:
            raise ModuleNotFoundError(f"{name} is blocked", name=name)

sys.meta_path.insert(0, Blocked())
"""


@dataclass(frozen=True)
class Answered:
    """What a run gave."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Standard output as the one JSON object that it has to be."""
        return json.loads(self.out)


Run = Callable[..., Answered]


@pytest.fixture
def heatdocket(tmp_path: Path) -> Run:
    """``heatdocket(*arguments)`` in a process of its own, away from the project; ``qt=False`` hides PySide6."""

    def run(*arguments: object, qt: bool = True, environ: dict[str, str] | None = None) -> Answered:
        code = START if qt else WITHOUT_QT + START
        done = subprocess.run(
            [sys.executable, "-c", code, *map(str, arguments)],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
            encoding="utf-8",
            stdin=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": str(PROJECT), **(environ or {})},
        )
        return Answered(done.returncode, done.stdout, done.stderr)

    return run


@pytest.fixture
def within(capsys: pytest.CaptureFixture[str]) -> Run:
    """The same within the test's process: faster, for the many."""
    from ui.command.main import main

    def run(*arguments: object) -> Answered:
        code = main([str(a) for a in arguments])
        out, err = capsys.readouterr()
        return Answered(code, out, err)

    return run


@pytest.fixture
def few_rounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Key stretching is looked at in test_identity; elsewhere it would only take a second for each identity."""
    monkeypatch.setattr("reports.identity.KEY_ROUNDS", 1000)
    monkeypatch.setattr("reports.identity.MAC_ROUNDS", 2000)


@pytest.fixture
def less_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """A diagnosis by the same computation with fewer draws."""
    from engcalc.diagnosis.odds import diagnosis

    monkeypatch.setattr(diagnosis, "Effort", LessEffort)


@pytest.fixture
def case_file(tmp_path: Path) -> Callable[..., Path]:
    """``case_file(section={...})`` writes a case and gives its path; ``text=`` and ``data=`` write just that."""

    def write(*, text: str | None = None, data: bytes | None = None, **sections: Any) -> Path:
        path = tmp_path / "given.heatcase.json"
        if data is None:
            whole = {"format": "heatdocket-case/1", **sections}
            data = (json.dumps(whole) if text is None else text).encode("utf-8")
        path.write_bytes(data)
        return path

    return write
