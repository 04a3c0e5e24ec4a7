"""Logs as tools write them: synthetic ones made here, whose truth is known, and any bytes at all."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.errors import InputError
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.notes import NoteCode
from engcalc.logs.record import LogRecord

K0 = 273.15
CHANNELS = (Channel.COOLANT, Channel.ENGINE_SPEED, Channel.VEHICLE_SPEED)


def truth(t: float) -> tuple[float, float, float]:
    """Coolant [degC] rising 0.1 K/s from 10 degC, engine speed [rpm] that starts at 5 s, road speed [km/h]."""
    return 10.0 + 0.1 * t, 0.0 if t < 5.0 else 800.0 + 3.0 * t, 0.5 * t


def clock(t: float, start: float = 8 * 3600.0, decimal: str = ".") -> str:
    t = (start + t) % 86400.0
    return f"{int(t // 3600):02d}:{int(t // 60) % 60:02d}:{t % 60:06.3f}".replace(".", decimal)


HEADER = ("Time", "Coolant Temperature [°C]", "Engine RPM", "Speed (km/h)")


def write(
    stamp: Callable[[float], str] = str,
    *,
    times: Sequence[float] = tuple(range(901)),
    sep: str = ",",
    decimal: str = ".",
    header: Sequence[str] = HEADER,
    cell: Callable[[float], str] = "{:.2f}".format,
) -> str:
    lines = [sep.join(header)]
    lines += [sep.join([stamp(t), *(cell(x).replace(".", decimal) for x in truth(t))]) for t in times]
    return "\n".join(lines) + "\n"


def read(text: str, encoding: str = "utf-8", **columns: str) -> LogRecord:
    return read_log(text.encode(encoding), columns)


def codes(record: LogRecord) -> set[NoteCode]:
    return {note.code for note in record.notes}


def is_true(record: LogRecord, last: float = 900.0) -> None:
    """Coolant reaches 60 degC at 500 s of the file, 495 s after the engine's start; ends as it should."""
    assert record.start_known
    assert record.time_to(60.0 + K0) == pytest.approx(495.0, abs=0.02)
    assert record.first(Channel.COOLANT) == pytest.approx(10.5 + K0, abs=0.02)
    assert record.last(Channel.COOLANT) == pytest.approx(truth(last)[0] + K0, abs=0.02)
    assert record.last(Channel.ENGINE_SPEED) == pytest.approx(truth(last)[1] / 60.0, rel=1e-3)
    assert record.last(Channel.VEHICLE_SPEED) == pytest.approx(truth(last)[2] / 3.6, rel=1e-3)


# --- how cells, decimals and text are written ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sep", "decimal"), [(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ","), ("|", ","), ("|", ".")]
)
def test_any_delimiter_and_decimal_sign(sep: str, decimal: str) -> None:
    is_true(read(write(sep=sep, decimal=decimal)))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252"])
def test_any_encoding(encoding: str) -> None:
    record = read(write(), encoding)
    is_true(record)
    assert (NoteCode.ENCODING in codes(record)) == (not encoding.startswith("utf-8"))


@pytest.mark.parametrize("damaged", ["Â°C", "Ã‚Â°C", "\N{REPLACEMENT CHARACTER}C", "?C", "ÂºC"])
def test_a_damaged_degree_sign_is_still_celsius(damaged: str) -> None:
    record = read(write().replace("°C", damaged))
    is_true(record)
    assert NoteCode.UNIT_ASSUMED not in {n.code for n in record.notes if n.channel == "coolant"}


def test_quotes_preamble_comments_trailing_commas_and_blank_lines() -> None:
    lines = write().splitlines()
    rows = [",".join(f'"{c}"' for c in line.split(",")) + ",," for line in lines]
    rows[300:300] = ["", "# paused,,,"]
    record = read("\r\n".join(["Vehicle report", "# made on 1 March", "Tool,X", *rows, "end of file"]))
    is_true(record)
    assert {NoteCode.PREAMBLE, NoteCode.ROWS_SKIPPED} <= codes(record)


def test_a_header_that_repeats_is_skipped_and_counted() -> None:
    lines = write().splitlines()
    lines[400:400] = [lines[0]]
    lines[700:700] = [lines[0]]
    record = read("\n".join(lines))
    is_true(record)
    assert [n.count for n in record.notes if n.code is NoteCode.HEADER_REPEATED] == [2]


def test_units_in_a_line_of_their_own() -> None:
    text = write(header=("Time", "Coolant", "RPM", "Speed")).splitlines()
    text[1:1] = ["s,°C,1/min,km/h"]
    record = read("\n".join(text))
    is_true(record)
    assert NoteCode.UNIT_ASSUMED not in codes(record)


def test_units_behind_the_numbers() -> None:
    lines = ["Time,Coolant,RPM,Speed"]
    lines += ["{},{:.2f} °C,{:.1f} rpm,{:.2f} km/h".format(t, *truth(t)) for t in range(901)]
    is_true(read("\n".join(lines)))


def test_other_units_are_converted() -> None:
    lines = ["Time [ms],Coolant Temperature (°F),Engine RPM (rpm),Speed (mph)"]
    for t in range(901):
        coolant, rpm, speed = truth(t)
        lines.append(f"{t * 1000},{coolant * 1.8 + 32:.2f},{rpm:.1f},{speed / 1.609344:.3f}")
    is_true(read("\n".join(lines)))


def test_a_temperature_without_unit_above_150_is_fahrenheit_and_said_so() -> None:
    lines = ["Time,ECT,RPM", *(f"{t},{50 + 0.2 * t:.1f},900" for t in range(901))]
    record = read("\n".join(lines))
    assert record.last(Channel.COOLANT) == pytest.approx((230.0 - 32.0) / 1.8 + K0)
    assert any("degF" in note.words for note in record.notes if note.code is NoteCode.UNIT_ASSUMED)


def test_a_load_given_as_a_share_of_one() -> None:
    record = read("\n".join(["Time,Engine load,RPM", *(f"{t},{0.2 + t * 1e-3:.3f},900" for t in range(100))]))
    assert record.last(Channel.CALCULATED_LOAD) == pytest.approx(0.299)


@pytest.mark.parametrize(("cell", "rpm"), [("1,726", 1726.0), ("1,726.5", 1726.5)])
def test_separators_of_thousands(cell: str, rpm: float) -> None:
    rows = [f"{t}\t{cell}\t{80.5 + t % 2}" for t in range(20)]
    record = read("\n".join(["Time\tEngine RPM\tCoolant (C)", *rows]))
    assert record.last(Channel.ENGINE_SPEED) == pytest.approx(rpm / 60.0)


def test_a_comma_for_both_cells_and_decimals_is_refused_with_the_way_out() -> None:
    with pytest.raises(InputError, match="semicolons between the cells"):
        read(write(decimal=","))


# --- time ------------------------------------------------------------------------------------------------------------


def with_half(t: float) -> str:
    t += 8 * 3600.0
    h, half = int(t // 3600) % 24, "AM" if t % 86400 < 43200 else "PM"
    return f"{(h - 1) % 12 + 1}:{int(t // 60) % 60:02d}:{t % 60:04.1f} {half}"


STAMPS: dict[str, Callable[[float], str]] = {
    "seconds": "{:.1f}".format,
    "unix": lambda t: f"{1.7e9 + t:.1f}",
    "unix ms": lambda t: f"{(1.7e9 + t) * 1000:.0f}",
    "spreadsheet days": lambda t: f"{44000.25 + t / 86400:.9f}",
    "clock": clock,
    "clock past midnight": lambda t: clock(t, 86400.0 - 300.0),
    "elapsed h:mm:ss": lambda t: clock(t, 0.0)[1:],
    "am pm": with_half,
    "iso": lambda t: f"2021-03-01T{clock(t)}Z",
    "iso offset": lambda t: f"2021-03-01T{clock(t)}+01:00",
    "iso over midnight": lambda t: f"2021-{'02-28' if t < 300 else '03-01'} {clock(t, 86400.0 - 300.0)}",
    "german": lambda t: f"01.03.2021 {clock(t)}",
    "day first": lambda t: f"25/03/2021 {clock(t)}",
    "month first": lambda t: f"03/25/2021 {clock(t)}",
    "named month": lambda t: f"01-Mar-2021 {clock(t)}",
    "compact": lambda t: f"20210301_{clock(t).replace(':', '')}",
}


@pytest.mark.parametrize("name", STAMPS)
def test_any_way_to_write_the_time(name: str) -> None:
    record = read(write(STAMPS[name]))
    is_true(record)
    assert (NoteCode.MIDNIGHT in codes(record)) == (name == "clock past midnight")
    assert record.gaps == ()


@pytest.mark.parametrize("name", ["Zeit", "Elapsed Time", "Device Time", "Timestamp", "t", "Nr mit Zeit"])
def test_the_time_column_is_found_by_name_or_by_its_values(name: str) -> None:
    is_true(read(write(header=(name, "Coolant Temperature [°C]", "Engine RPM", "Speed (km/h)"))))


def test_date_and_time_in_two_columns() -> None:
    lines = ["Date,Time,Coolant [°C],RPM,Speed [km/h]"]
    lines += [
        "2021-03-{:02d},{},{:.2f},{:.1f},{:.2f}".format(1 + (t >= 300), clock(t, 86100.0), *truth(t))
        for t in range(901)
    ]
    record = read("\n".join(lines))
    is_true(record)
    assert NoteCode.MIDNIGHT not in codes(record)


def test_decimal_comma_in_the_clock() -> None:
    is_true(read(write(lambda t: clock(t, decimal=","), sep=";", decimal=",")))


def test_minutes_and_seconds_are_an_assumption_that_is_told() -> None:
    record = read(write(lambda t: f"{int(t // 60):02d}:{int(t % 60):02d}"))
    is_true(record)
    assert any(n.code is NoteCode.UNIT_ASSUMED and n.channel == "time" for n in record.notes)


def test_milliseconds_without_a_unit_are_recognised_by_their_steps() -> None:
    record = read(write(lambda t: f"{1000 * t:.0f}"))
    is_true(record)
    assert any("milliseconds" in n.words for n in record.notes)


def test_duplicate_stamps_keep_the_last_answer() -> None:
    record = read(write(lambda t: f"{math.floor(t)}", times=[i / 4 for i in range(3604)]))
    assert np.all(np.diff(record.traces[Channel.COOLANT].time) > 0.0)
    assert record.time_to(60.0 + K0) == pytest.approx(495.0, abs=1.0)  # stamps are cut to whole seconds
    assert [n.count for n in record.notes if n.code is NoteCode.DUPLICATE_STAMPS] == [3 * 901 * 3]


def test_rows_out_of_order_are_skipped_and_counted() -> None:
    lines = write().splitlines()
    lines[500], lines[501] = lines[501], lines[500]
    lines.insert(200, lines[150].replace("149", "90000", 1))  # one stamp far ahead
    record = read("\n".join(lines))
    is_true(record)
    assert sum(n.count for n in record.notes if n.code is NoteCode.BACKWARD_STAMPS) == 2
    assert record.gaps == ()


def test_a_log_begun_anew_is_carried_on_with_a_joint() -> None:
    record = read(write(lambda t: str(t if t < 600 else t - 600)))
    is_true(record)
    assert NoteCode.CLOCK_SET_BACK in codes(record)
    assert [round(a) for a, _ in record.gaps] == [594]


def test_a_gap_splits_and_a_crossing_inside_it_says_how_wide_it_is() -> None:
    record = read(write(times=[t for t in range(901) if not 400 < t < 560]))
    assert [(round(a), round(b)) for a, b in record.gaps] == [(395, 555)]
    crossing = record.crossing(60.0 + K0)
    assert crossing is not None
    assert (crossing.earliest, crossing.latest) == pytest.approx((395.0, 555.0))
    assert crossing.time == pytest.approx(495.0, abs=0.1)
    even = record.resampled()
    assert not even.known[Channel.COOLANT][450]
    assert even.known[Channel.COOLANT][[300, 600]].all()
    assert np.isfinite(even.values[Channel.COOLANT]).all()


# --- held values, blanks, long form, raw bytes -----------------------------------------------------------------------


def latest_value_log(rows: int = 6000) -> str:
    """One channel answers in each row, the others repeat; coolant in 1 K steps, blanks until the first answers."""
    latest = [""] * 4
    lines = ["Time,Coolant [°C],RPM [rpm],Speed [km/h],MAF [g/s]"]
    for i in range(rows):
        t = i / 8.0
        turn = i // 4
        fresh = (math.floor(20 + t / 10), 900 + 37 * (turn % 11), turn % 7, 5 + turn % 13 / 10)
        latest[i % 4] = str(fresh[i % 4])
        lines.append(",".join([f"{t:.3f}", *latest]))
    return "\n".join(lines)


def test_held_values_are_told_from_answers() -> None:
    record = read(latest_value_log())
    trace = record.traces[Channel.COOLANT]
    rows = np.flatnonzero(trace.is_new)
    assert np.all(rows % 4 == 0)  # coolant answers in every fourth row
    assert trace.is_new.sum() == pytest.approx(1500, abs=15)
    assert NoteCode.HELD in codes(record)


def test_a_log_that_answers_all_in_each_row_has_no_held_values() -> None:
    record = read(write())
    assert record.traces[Channel.COOLANT].is_new.all()
    assert NoteCode.HELD not in codes(record)


def test_an_adapter_that_fell_silent_gives_no_more_observations() -> None:
    lines = latest_value_log().splitlines()
    tail = lines[-1].split(",", 1)[1]
    lines += [f"{750 + i / 8:.3f},{tail}" for i in range(2000)]
    trace = read("\n".join(lines)).traces[Channel.COOLANT]
    assert not trace.is_new[-1900:].any()


def test_blanks_until_a_first_answer_and_words_for_no_value() -> None:
    lines = write().splitlines()
    lines[1:4] = [f"{i},,NODATA,N/A" for i in range(3)]
    record = read("\n".join(lines))
    is_true(record)
    assert record.traces[Channel.COOLANT].time.size == 898
    assert NoteCode.CELLS_UNREADABLE not in codes(record)


def test_unreadable_cells_are_counted() -> None:
    lines = write().splitlines()
    lines[700] = "699,hot,###,1.0"
    assert [n.count for n in read("\n".join(lines)).notes if n.code is NoteCode.CELLS_UNREADABLE] == [2]


@pytest.mark.parametrize(
    ("names", "unit"),
    [
        (("Engine coolant temperature", "Engine RPM", "Vehicle speed"), True),
        (("Engine coolant temperature [°C]", "Engine RPM [rpm]", "Vehicle speed [km/h]"), False),
        (("0105", "010C", "010D"), False),
        (("05", "0C", "0D"), False),
    ],
)
def test_long_form(names: tuple[str, str, str], unit: bool) -> None:
    lines = ["SECONDS;PID;VALUE" + (";UNITS" if unit else "")]
    for t in range(901):
        for i, (name, value, u) in enumerate(zip(names, truth(t), ("°C", "rpm", "km/h"), strict=True)):
            lines.append(f"{t + i * 0.01:.2f};{name};{value:.2f}" + (f";{u}" if unit else ""))
    record = read("\n".join(lines))
    assert record.time_to(60.0 + K0) == pytest.approx(495.0, abs=0.05)
    assert record.last(Channel.VEHICLE_SPEED) == pytest.approx(450.0 / 3.6)


def as_bytes(t: float) -> tuple[str, str, str]:
    coolant, rpm, speed = truth(t)
    word = round(4 * rpm)
    return f"{round(coolant) + 40:02X}", f"{word >> 8:02X} {word & 255:02X}", f"{min(round(speed), 255):02X}"


def raw_is_true(record: LogRecord) -> None:
    assert record.start_known
    assert record.time_to(60.0 + K0) == pytest.approx(490.0, abs=6.0)  # coolant in 1 K steps: 10 s each
    assert NoteCode.RAW_BYTES in codes(record)


@pytest.mark.parametrize("prefix", ["", "7E8 0{} ", "0{} "])
def test_raw_answers_in_one_column(prefix: str) -> None:
    lines = ["Time,Response"]
    for t in range(901):
        answers = zip(("05", "0C", "0D"), as_bytes(t), (3, 4, 3), strict=True)
        lines += [f"{t}.{i},{prefix.format(n)}41 {pid} {x}" for i, (pid, x, n) in enumerate(answers)]
    raw_is_true(read("\n".join(lines)))


def test_raw_bytes_under_identifiers_as_headers() -> None:
    lines = ["Time,05,0C,0D", *(",".join((str(t), *as_bytes(t))) for t in range(901))]
    raw_is_true(read("\n".join(lines)))


def test_raw_bytes_in_long_form() -> None:
    lines = ["Time,PID,Value"]
    for t in range(901):
        lines += [
            f"{t}.{i},{pid},{x}" for i, (pid, x) in enumerate(zip(("0105", "010C", "010D"), as_bytes(t), strict=True))
        ]
    raw_is_true(read("\n".join(lines)))


# --- mapping, faults of the file -------------------------------------------------------------------------------------


def test_a_mapping_names_columns_that_are_not_recognised() -> None:
    text = write(header=("Stamp", "Kanal A", "Kanal B", "Kanal C"))
    with pytest.raises(InputError):
        read(text)
    record = read(text, coolant="Kanal A", engine_speed="kanal b", vehicle_speed="Kanal C", time="Stamp")
    is_true(record)
    assert record.columns[Channel.COOLANT] == "Kanal A"


def test_a_table_without_header_can_be_mapped() -> None:
    text = write().split("\n", 1)[1]
    is_true(read(text, coolant="column 2", engine_speed="column 3", vehicle_speed="column 4"))


def test_a_wrong_mapping_lists_every_fault() -> None:
    with pytest.raises(InputError, match="no such column") as caught:
        read(write(), coolant="Nowhere", warp="Engine RPM", engine_speed="Nor here")
    assert [fault.path for fault in caught.value.faults] == ["columns.coolant", "columns.warp", "columns.engine_speed"]


def test_of_two_columns_for_one_channel_the_surer_is_taken() -> None:
    lines = ["Time,Coolant sensor raw,Engine Coolant Temperature [°C]", *(f"{t},5,{50 + t % 3}" for t in range(50))]
    record = read("\n".join(lines))
    assert record.columns[Channel.COOLANT] == "Engine Coolant Temperature [°C]"
    assert record.unused == ("Coolant sensor raw",)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "hello",
        "a,b\n",
        "Time,ECT\n",
        "Time,ECT\nx,y\nz,w\n",
        '{"a": [1, 2]}',
        "Time,Colour\n1,red\n2,blue\n",
        "Colour,ECT\nred,5\nblue,7\nred,8\n",
    ],
)
def test_what_is_no_log_is_refused_in_words(text: str) -> None:
    with pytest.raises(InputError, match="would do"):
        read(text)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="name a log file"):
        read_log(tmp_path / "none.csv")
    with pytest.raises(InputError, match="name a log file"):
        read_log(tmp_path)


def accept_or_refuse(data: bytes) -> None:
    try:
        record = read_log(data)
    except InputError:
        return
    for trace in record.traces.values():
        assert trace.time.size == trace.value.size == trace.is_new.size == trace.ok.size > 0
        assert np.isfinite(trace.time).all()
        assert np.isfinite(trace.value).all()
        assert np.all(np.diff(trace.time) > 0.0)
    record.time_to(333.15)
    if record.end < 1e5:
        assert all(np.isfinite(x).all() for x in record.resampled().values.values())


@given(st.binary(max_size=400))
def test_any_bytes_give_a_record_or_an_input_error(data: bytes) -> None:
    accept_or_refuse(data)


CELLS = st.one_of(
    st.sampled_from(
        [
            "",
            "12",
            "-40",
            "1e400",
            "nan",
            "08:15:30",
            "25:99:99",
            "41 05 7B",
            "0x7B",
            '"',
            "1,5",
            "1.234,5",
            "2021-03-01",
            "12/31/99 11:59:59 PM",
            "0105",
            "9" * 40,
            "-",
            "\0",
            "°C",
        ]
    ),
    st.text(max_size=6),
    st.integers(-5, 5000).map(str),
    st.floats().map(str),
)
NAMES = st.sampled_from(
    [
        "Time",
        "Zeit [s]",
        "Date",
        "ECT [°C]",
        "Coolant (Â°C)",
        "RPM",
        "Speed",
        "PID",
        "Value",
        "Units",
        "Response",
        "05",
        "010C",
        "MAF (g/s)",
        "run time",
        "",
        "x",
    ]
)


@given(
    st.sampled_from(",;\t|"),
    st.lists(NAMES, min_size=1, max_size=5),
    st.lists(st.lists(CELLS, max_size=6), max_size=12),
    st.sampled_from(["utf-8", "utf-16", "latin-1"]),
)
def test_any_table_gives_a_record_or_an_input_error(
    sep: str, names: list[str], rows: list[list[str]], encoding: str
) -> None:
    text = "\n".join(sep.join(row) for row in [names, *rows])
    accept_or_refuse(text.encode(encoding, errors="replace"))


@given(st.integers(0, 3000), st.integers(0, 255), st.integers(1, 40))
def test_a_damaged_log_gives_a_record_or_an_input_error(at: int, byte: int, length: int) -> None:
    data = write(clock, times=range(60)).encode()
    at = at % len(data)
    accept_or_refuse(data[:at] + bytes([byte]) * length + data[at + length :])
    accept_or_refuse(data[:at])
