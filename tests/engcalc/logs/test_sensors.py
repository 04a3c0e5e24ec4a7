"""What a log says of its own sensors and of the engine's start."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.notes import NoteCode
from engcalc.logs.record import LogRecord, Trace
from engcalc.logs.sensors import judge, possible_change

K0 = 273.15
Curve = Callable[[int], float] | float


def at(curve: Curve, t: int) -> float:
    return curve(t) if callable(curve) else curve


def log(coolant: Curve, rpm: Curve | None = 900.0, seconds: int = 1200, **more: Curve) -> LogRecord:
    names = {"run": "Run time [s]", "iat": "Intake air temp [°C]", "ambient": "Ambient air temp [°C]"}
    columns: dict[str, Curve] = {"Coolant [°C]": coolant}
    columns |= {"RPM": rpm} if rpm is not None else {}
    columns |= {names[key]: curve for key, curve in more.items()}
    rows = [",".join([str(t), *(f"{at(curve, t):.1f}" for curve in columns.values())]) for t in range(seconds)]
    return read_log("\n".join([",".join(["Time [s]", *columns]), *rows]).encode())


def warming(t: int) -> float:
    return float(round(min(10 + t / 10, 90)))


def faults(record: LogRecord) -> set[NoteCode]:
    return {note.code for note in record.faults}


def test_a_healthy_warm_up_has_no_fault() -> None:
    assert log(warming).faults == ()


def test_a_spike_is_a_sensor_fault_and_counts_for_nothing() -> None:
    record = log(lambda t: 130.0 if t in (200, 201) else warming(t))
    assert faults(record) == {NoteCode.SENSOR_STEP}
    assert record.faults[0].numbers["largest_step_K"] == pytest.approx(100.0)
    assert np.flatnonzero(~record.traces[Channel.COOLANT].ok).tolist() == [200, 201]
    assert record.time_to(K0 + 80.0) == pytest.approx(log(warming).time_to(K0 + 80.0))


def test_a_lasting_jump_is_told_and_kept() -> None:
    record = log(lambda t: warming(t) + (30.0 if t >= 300 else 0.0))
    assert faults(record) == {NoteCode.SENSOR_STEP}
    assert record.faults[0].numbers["first_time_s"] == pytest.approx(300.0)
    assert record.traces[Channel.COOLANT].ok.mean() > 0.99


@pytest.mark.parametrize(("seconds", "most"), [(1.0, 5.57), (2.0, 8.67), (5.0, 15.81), (10.0, 23.22), (60.0, 52.0)])
def test_what_coolant_can_do(seconds: float, most: float) -> None:
    """By hand: 20 (1 - exp(-t/6)) + 0.5 t + 2 K; common practice, no source."""
    assert possible_change(np.array([seconds]))[0] == pytest.approx(most, abs=0.01)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize(("size", "faulty"), [(5.0, False), (6.0, True)])
def test_a_jump_within_a_second_either_way(size: float, faulty: bool, sign: float) -> None:
    record = log(lambda t: 60.0 + (sign * size if t >= 300 else 0.0) + (t % 100 == 50))
    assert bool(faults(record) - {NoteCode.SENSOR_STUCK}) is faulty
    if faulty:
        assert record.faults[0].numbers["lasting"] == 1.0


def test_two_sensors_part_for_a_minute_once_the_coolant_has_mixed() -> None:
    def parting(begin: float, end: float, by: float) -> set[NoteCode]:
        t, ones = np.arange(1200.0), np.ones(1200, bool)
        first = np.array([warming(int(s)) for s in t]) + K0
        second = first + np.where((t >= begin) & (t <= end), by, 0.0)
        traces = {
            channel: Trace(t.copy(), x, ones.copy(), ones.copy())
            for channel, x in ((Channel.COOLANT, first), (Channel.COOLANT_2, second))
        }
        return {note.code for note in judge(traces)[1]} - {NoteCode.SENSOR_STEP}

    assert parting(300, 360, 10.5) == {NoteCode.SENSORS_PART}
    assert parting(300, 359, 10.5) == set()
    assert parting(300, 360, 9.5) == set()
    assert parting(300, 900, -30.0) == set()
    assert parting(50, 179, 10.5) == set()
    assert parting(50, 180, 10.5) == {NoteCode.SENSORS_PART}


def test_a_change_over_a_gap_is_no_jump() -> None:
    lines = ["Time,Coolant,RPM", *(f"{t},{20 if t < 100 else 60},900" for t in (*range(50), *range(900, 950)))]
    assert read_log("\n".join(lines).encode()).faults == ()


@pytest.mark.parametrize(("value", "words"), [(-40.0, "open circuit"), (215.0, "short circuit")])
def test_the_ends_of_the_scale(value: float, words: str) -> None:
    record = log(lambda t: value if t < 100 else warming(t))
    assert NoteCode.SENSOR_END in faults(record)
    assert any(words in note.words for note in record.faults)
    assert record.first(Channel.COOLANT) == pytest.approx(20.0 + K0)


def test_an_outside_sensor_at_the_end_of_its_scale_gives_no_ambient() -> None:
    record = log(warming, ambient=-40.0)
    assert record.ambient is None
    assert [note.channel for note in record.faults] == ["ambient"]


def test_a_reading_that_never_moves_after_a_cold_start_is_stuck() -> None:
    record = log(20.0)
    assert faults(record) == {NoteCode.SENSOR_STUCK}
    assert "20 min" in record.faults[0].words


@pytest.mark.parametrize(
    ("coolant", "rpm"),
    [
        (20.0, 0.0),  # ignition on, engine off
        (90.0, 900.0),  # regulating
        (lambda t: float(round(min(20 + t / 10, 55))) if t < 1100 else 56.0, 900.0),
    ],
)  # 750 s of balance at 55
def test_a_reading_that_stands_still_for_a_reason_is_not_stuck(coolant: Curve, rpm: Curve) -> None:
    assert log(coolant, rpm).faults == ()


# --- the engine's start ----------------------------------------------------------------------------------------------


def start(record: LogRecord) -> float:
    return next(n.numbers["file_time_s"] for n in record.notes if n.code is NoteCode.ENGINE_START)


def test_a_stalled_start_does_not_count() -> None:
    record = log(warming, lambda t: 600.0 if t in (20, 21) or t >= 40 else 0.0)
    assert (start(record), record.start_known) == (40.0, True)


def test_the_run_time_counter_reaches_back_before_the_log() -> None:
    record = log(warming, run=lambda t: 300.0 + t)
    assert (start(record), record.start_known) == (-300.0, True)
    assert record.traces[Channel.COOLANT].time[0] == pytest.approx(300.0)


def test_engine_speed_comes_before_the_counter() -> None:
    assert start(log(warming, lambda t: 800.0 if t >= 50 else 0.0, run=lambda t: max(t - 50.0, 0.0))) == 50.0


@pytest.mark.parametrize(("rpm", "words"), [(None, "no engine speed"), (900.0, "already running"), (0.0, "never ran")])
def test_a_start_that_the_log_does_not_show_is_said_to_be_unknown(rpm: Curve | None, words: str) -> None:
    record = log(warming, rpm)
    assert not record.start_known
    assert any(words in note.words for note in record.notes if note.code is NoteCode.ENGINE_START)


def test_stops_after_the_start_are_listed() -> None:
    record = log(warming, lambda t: 0.0 if t < 10 or 300 <= t < 360 or t == 500 else 900.0)
    assert [(round(a), round(b)) for a, b in record.engine_off] == [(290, 350)]
    assert NoteCode.ENGINE_STOPPED in {note.code for note in record.notes}


def test_the_intake_air_left_over_from_before_is_dropped() -> None:
    record = log(warming, iat=lambda t: 17.0 if t < 5 else 33.0 - t * 0.01)
    assert record.first(Channel.INTAKE_AIR) == pytest.approx(33.0 - 0.05 + K0, abs=0.1)
    assert [n.count for n in record.notes if n.code is NoteCode.STALE_FIRST] == [5]


# --- the record ------------------------------------------------------------------------------------------------------


def test_a_temperature_that_is_never_reached_and_one_that_was_there_from_the_start() -> None:
    record = log(warming)
    assert record.time_to(K0 + 95.0) is None
    assert record.time_to(K0 + 5.0) == 0.0


def test_crossings_are_linear_within_a_sample() -> None:
    record = read_log(
        b"Time [s],Coolant [C],RPM\n" + b"\n".join(f"{t},{t / 10 + 20},900".encode() for t in range(0, 1000, 50))
    )
    crossing = record.crossing(K0 + 43.0)
    assert crossing is not None
    assert (crossing.earliest, crossing.time, crossing.latest) == pytest.approx((200.0, 230.0, 250.0))


def test_means_for_loads_and_lines_for_temperatures_on_the_even_grid() -> None:
    rows = [f"{t / 4},{20 + t / 40},{900 + 100 * (t % 4)},{t % 4}" for t in range(400)]
    even = read_log("\n".join(["Time [s],Coolant [C],RPM,MAF [g/s]", *rows]).encode()).resampled()
    assert even.values[Channel.AIR_FLOW][10:90] == pytest.approx(1.5e-3)
    assert even.values[Channel.COOLANT][[10, 50]] == pytest.approx([21.0 + K0, 25.0 + K0])
    assert even.known[Channel.COOLANT][:100].all()
    assert even.time.shape == even.values[Channel.COOLANT].shape


def test_arrays_of_a_record_are_read_only() -> None:
    with pytest.raises(ValueError, match="read-only"):
        log(warming).traces[Channel.COOLANT].value[0] = 0.0
