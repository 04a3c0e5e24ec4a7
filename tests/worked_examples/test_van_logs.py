"""The van's logs are what their generator writes, and say that they are invented."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

import worked_examples
from worked_examples.make_van_logs import AFTER, BEFORE, HELD_BACK, Visit, made_up

FOLDER = Path(worked_examples.__file__).parent


@pytest.mark.parametrize("visit", [BEFORE, AFTER], ids=lambda v: v.file)
def test_the_generator_writes_the_logs(visit: Visit) -> None:
    with (FOLDER / visit.file).open(newline="", encoding="utf-8") as stream:
        stored = list(csv.reader(stream))
    made = made_up(visit)
    assert stored[0] == made[0]
    old, new = (np.array([[float(x or "nan") for x in row] for row in rows[1:]]) for rows in (stored, made))
    # another machine's last bits may tip a reading over its rounding: one degree, one turn a minute
    assert np.nanmax(np.abs(old - new)) <= 1.0
    assert np.array_equal(np.isnan(old), np.isnan(new))


def test_the_case_does_not_know_what_was_held_back_and_says_invented() -> None:
    text = (FOLDER / "van-repaired.heatcase.json").read_text(encoding="utf-8")
    assert not any(path.split(".")[1] in text for path in HELD_BACK)
    assert "invented" in (FOLDER / "van-repaired.md").read_text(encoding="utf-8")
