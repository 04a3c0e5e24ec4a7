"""What a case or a log may ask of one run is bounded, and the bound is said in words."""

from __future__ import annotations

import numpy as np
import pytest

from engcalc.case.budgets import MOST_DUTIES
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import CaseText
from engcalc.errors import FileFault
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.text import MOST_LINES, read_sheet

DAY = 86_400.0


def told(**sections: object) -> str:
    found = resolve(CaseText({"format": "heatdocket-case/1", **sections}))
    return "\n".join(map(str, found.faults)) if isinstance(found, Faults) else ""


def duties(count: int, duration: str) -> list[dict[str, str]]:
    return [{"name": str(i), "ambient": "20 degC", "duration": duration} for i in range(count)]


def schedule(count: int, duration: str) -> dict[str, object]:
    steps = [{"engine_speed": "800 rpm", "duration": duration}] * count
    return {"before": {"ambient": "0 degC", "schedule": steps}}


@pytest.mark.parametrize(
    ("sections", "path", "words"),
    [
        ({"duties": duties(MOST_DUTIES + 1, "1 min")}, "duties", "at most 100 would do"),
        ({"duties": duties(2, "13 h")}, "duties", "at most 24 h would do for all timed duties"),
        ({"evidence": schedule(1, "100 h")}, "evidence.before.schedule", "at most 24 h would do for all steps"),
        ({"evidence": schedule(3, "9 h")}, "evidence.before.schedule", "at most 24 h would do for all steps"),
    ],
    ids=["duties", "laps", "one step", "steps"],
)
def test_a_case_beyond_its_budget_is_told_the_bound(sections, path, words):
    said = told(**sections)
    assert said.startswith(f"{path}: ")
    assert words in said


def test_a_case_at_its_budget_is_taken():
    assert told(duties=duties(MOST_DUTIES, "14 min")) == ""
    assert told(duties=duties(2, "12 h")) == ""
    assert told(evidence=schedule(2, "12 h")) == ""


def test_columns_and_lines_of_a_log_are_bounded():
    wide = ",".join(["time (s)", "coolant [°C]", *(f"c{i}" for i in range(50_000))])
    with pytest.raises(FileFault, match="at most 2000 columns"):
        read_sheet(f"{wide}\n1,2\n".encode())
    with pytest.raises(FileFault, match="lines would do"):
        read_sheet(b"time,coolant\n" + b"\n" * (MOST_LINES + 1))


def log_with_clock(*parts: tuple[float, int]) -> bytes:
    rows = [f"{start + i},{20 + i / 60:.2f},900" for start, count in parts for i in range(count)]
    return ("time (s),coolant [°C],engine speed [rpm]\n" + "\n".join(rows) + "\n").encode()


def test_a_clock_set_in_mid_log_leaves_no_years_in_it():
    """From the first of January 1970 to a day of 2021, as a telephone does once it has found the time."""
    record = read_log(log_with_clock((0.0, 300), (1_622_548_800.0, 300)))
    t = record.traces[Channel.COOLANT].time
    assert np.ptp(t) < 700.0
    assert (np.diff(t) > 0.0).all()
    assert len(record.gaps) == 1
    assert any("clock was set" in note.words for note in record.notes)
    assert record.end < 700.0


def test_a_pause_of_less_than_a_day_keeps_its_length():
    record = read_log(log_with_clock((0.0, 300), (DAY + 200.0, 300)))
    assert np.ptp(record.traces[Channel.COOLANT].time) > DAY
    longer = read_log(log_with_clock((0.0, 300), (DAY + 400.0, 300)))
    assert np.ptp(longer.traces[Channel.COOLANT].time) < 700.0
