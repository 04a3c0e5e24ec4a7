"""Four real warm-ups of one car, which are no part of the project: skipped where they are absent.

M. Weber, Automotive OBD-II Dataset, Karlsruhe Institute of Technology, DOI 10.35097/1130: the first 1,300 s of four
trips. The times are those that its excerpt's own note gives, counted there from the engine's start.
"""

from __future__ import annotations

import numpy as np
import pytest
from real_logs import real_log

from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.notes import NoteCode

K0 = 273.15
SAMPLE = 0.85  # s; ten channels asked in turn, twelve answers a second
HALF_SECOND = 0.5  # s; the table is in whole seconds
# ambient and first coolant reading [degC], seconds from engine start to 60, 70 and 80 degC
TABLE = {
    "winter-a": (1, 12, 391, 536, 702),
    "winter-b": (1, 11, 599, 699, 817),
    "summer-a": (20, 25, 266, 327, 359),
    "summer-b": (19, 31, 348, 438, 568),
}


@pytest.mark.parametrize("name", TABLE)
def test_times_to_temperature_agree_within_one_sample(name: str) -> None:
    _, first, *times = TABLE[name]
    record = read_log(real_log(name))
    start = record.first(Channel.COOLANT)
    assert start is not None
    assert start - K0 == pytest.approx(first)
    for T, expected in zip((60, 70, 80), times, strict=True):
        assert record.time_to(T + K0) == pytest.approx(expected, abs=SAMPLE + HALF_SECOND)


@pytest.mark.parametrize("name", TABLE)
def test_the_whole_log_is_read_and_what_was_done_is_told(name: str) -> None:
    record = read_log(real_log(name))
    assert set(record.traces) == {
        Channel.COOLANT,
        Channel.MANIFOLD_PRESSURE,
        Channel.ENGINE_SPEED,
        Channel.VEHICLE_SPEED,
        Channel.INTAKE_AIR,
        Channel.AIR_FLOW,
        Channel.THROTTLE,
        Channel.AMBIENT,
        Channel.PEDAL,
    }
    assert record.unused == ("Accelerator Pedal Position E [%]",)
    assert record.faults == ()
    assert record.gaps == ()
    codes = {note.code for note in record.notes}
    assert NoteCode.HELD in codes
    assert (NoteCode.ENCODING in codes) == name.startswith("summer")
    assert (NoteCode.STALE_FIRST in codes) == name.startswith("summer")
    assert record.start_known == name.startswith("summer")  # the winter logs begin with the engine running
    assert record.ambient is not None
    assert record.ambient - K0 == pytest.approx(TABLE[name][0], abs=1.0)


@pytest.mark.parametrize("name", TABLE)
def test_each_channel_has_its_own_answers_once_a_round(name: str) -> None:
    record = read_log(real_log(name))
    for channel, trace in record.traces.items():
        answers = np.diff(np.flatnonzero(trace.is_new))
        assert np.mean(answers == 10) > 0.99, channel
    even = record.resampled()
    assert all(np.isfinite(x).all() for x in even.values.values())
    assert np.ptp(np.diff(even.time)) < 1e-9
