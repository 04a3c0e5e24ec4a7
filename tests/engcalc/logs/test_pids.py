"""Raw answers: worked examples of an open decoder, the formulas' ends, and bytes that are no answer."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.logs.channels import SPELLINGS, Channel
from engcalc.logs.pids import PIDS, decode_answer, pid_of, to_bytes, values
from engcalc.units import to_unit

# Identifier, bytes, channel, value and unit: examples of python-OBD 0.7.3's own decoder tests; 41 05 3C: obd-utils
EXAMPLES = [
    ("04", "80", Channel.CALCULATED_LOAD, 50.19607843137255, "%"),
    ("05", "7B", Channel.COOLANT, 83.0, "degC"),
    ("05", "3C", Channel.COOLANT, 20.0, "degC"),
    ("0B", "65", Channel.MANIFOLD_PRESSURE, 101.0, "kPa"),
    ("0C", "1AF8", Channel.ENGINE_SPEED, 1726.0, "rpm"),
    ("0D", "64", Channel.VEHICLE_SPEED, 100.0, "km/h"),
    ("0F", "28", Channel.INTAKE_AIR, 0.0, "degC"),
    ("10", "01F4", Channel.AIR_FLOW, 5.0, "g/s"),
    ("1F", "012C", Channel.RUN_TIME, 300.0, "s"),
    ("46", "3C", Channel.AMBIENT, 20.0, "degC"),
    ("5C", "82", Channel.OIL, 90.0, "degC"),
    ("5E", "0064", Channel.FUEL_RATE, 5.0, "L/h"),
]
# The formula of each identifier at its last byte pattern, from the open transcriptions of SAE J1979-DA
ENDS = [
    ("05", "FF", Channel.COOLANT, 215.0, "degC"),
    ("05", "00", Channel.COOLANT, -40.0, "degC"),
    ("0C", "FFFF", Channel.ENGINE_SPEED, 16383.75, "rpm"),
    ("10", "FFFF", Channel.AIR_FLOW, 655.35, "g/s"),
    ("43", "FFFF", Channel.ABSOLUTE_LOAD, 25700.0, "%"),
    ("33", "65", Channel.BAROMETRIC_PRESSURE, 101.0, "kPa"),
    ("11", "FF", Channel.THROTTLE, 100.0, "%"),
    ("9D", "00640000", Channel.FUEL_MASS_RATE, 2.0, "g/s"),
    ("66", "0101400000", Channel.AIR_FLOW, 10.0, "g/s"),
    ("87", "0120006400", Channel.MANIFOLD_PRESSURE, 256.0, "kPa"),
    ("67", "037B3C", Channel.COOLANT, 83.0, "degC"),
    ("67", "037B3C", Channel.COOLANT_2, 20.0, "degC"),
    ("68", "013C00000000", Channel.INTAKE_AIR, 20.0, "degC"),
]


@pytest.mark.parametrize(("pid", "data", "channel", "expected", "unit"), EXAMPLES + ENDS)
def test_published_examples(pid: str, data: str, channel: Channel, expected: float, unit: str) -> None:
    answer = decode_answer(f"41{pid}{data}")
    assert answer is not None
    found = values(*answer)[channel]
    assert to_unit(found, unit, SPELLINGS[channel].kind) == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_voltage_and_commanded_ratio() -> None:
    assert values(PIDS[0x42], bytes.fromhex("36B0")) == {Channel.VOLTAGE: 14.0}
    # 2/65536 (SAE J1979, from memory), 2/65535 or 0.0000305 in transcriptions: they agree within 1e-3
    assert values(PIDS[0x44], bytes.fromhex("8000"))[Channel.EQUIVALENCE_RATIO] == pytest.approx(1.0, rel=1e-3)


def test_a_sensor_that_is_not_there_is_left_out() -> None:
    assert values(PIDS[0x67], bytes.fromhex("017B00")) == {Channel.COOLANT: pytest.approx(356.15)}
    assert values(PIDS[0x66], bytes.fromhex("0201400000")) == {}


@pytest.mark.parametrize(
    "text",
    [
        "41 05 7B",
        "41057B",
        "7E8 03 41 05 7B",
        "7E8 03 41 05 7B 00 00 00 00",
        "03 41 05 7B",
        "48 6B 10 41 05 7B",
        "0x41 0x05 0x7B",
        "41-05-7B",
        "41 05 7B >",
        "18DAF110 03 41 05 7B",
    ],
)
def test_ways_to_write_an_answer(text: str) -> None:
    answer = decode_answer(text)
    assert answer is not None, text
    assert values(*answer)[Channel.COOLANT] == pytest.approx(83.0 + 273.15)


@pytest.mark.parametrize(
    "text", ["", "NO DATA", "7F 01 12", "41", "41 05", "41 0C 1A", "43 01 28", "41 FE 00", "8:41:05"]
)
def test_what_is_no_answer(text: str) -> None:
    assert decode_answer(text) is None


@pytest.mark.parametrize("name", ["05", "0105", "01 05", "0x05", "PID 05", "pid_0x05", "Mode 01 05"])
def test_names_of_identifiers(name: str) -> None:
    assert pid_of(name) is PIDS[0x05]


@given(st.text(max_size=40))
def test_any_text_is_an_answer_or_none(text: str) -> None:
    assert pid_of(text) is None or pid_of(text) in PIDS.values()
    assert all(0 <= byte <= 255 for byte in to_bytes(text) or ())
    answer = decode_answer(text)
    assert answer is None or all(abs(x) < 1e9 for x in values(*answer).values())


@given(st.sampled_from(sorted(PIDS)), st.binary(max_size=8))
def test_any_bytes_give_finite_values(number: int, data: bytes) -> None:
    assert all(abs(x) < 1e9 for x in values(PIDS[number], data).values())
