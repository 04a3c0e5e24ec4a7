"""Real warm-ups of one car, which are no part of the project: tests of them are skipped where they are absent.

M. Weber, Automotive OBD-II Dataset, Karlsruhe Institute of Technology, DOI 10.35097/1130: the first 1,300 s of trips.
No fault was reported of any of them.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

VARIABLE = "HEATDOCKET_LOGS"
BESIDE = Path(__file__).resolve().parents[3] / "shared" / "data" / "logs"


def real_log(name: str) -> Path:
    """The log's file, in the folder that the environment names or in the one beside the project."""
    file = Path(os.environ.get(VARIABLE) or BESIDE) / f"{name}.csv"
    if not file.is_file():
        pytest.skip(f"the real logs are not here: {VARIABLE} names their folder")
    return file
