"""What an adapter's lines say, in every protocol, whole and damaged."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.errors import InputError
from ui.live.answers import Reply, Trouble, code_of, codes_in, identification_number, protocol_of, reply_of, supported
from ui.live.ports import opener


def test_one_frame_on_can():
    assert reply_of(["7E803410 57B".replace(" ", "")], "6") == Reply({"7E8": b"\x41\x05\x7b"})


def test_the_rest_of_a_frame_is_no_data():
    """ISO 15765-2: the length says how many of the bytes count; the others fill the frame up."""
    assert reply_of(["7E80341057BAAAAAAAA"], "6").units == {"7E8": b"\x41\x05\x7b"}


def test_with_29_bits_the_header_is_longer():
    assert reply_of(["18DAF1100341057B"], "7").units == {"18DAF110": b"\x41\x05\x7b"}


def test_several_control_units_are_told_apart_and_their_frames_may_mix():
    """The example of a long answer, as such adapters' manuals print it (from memory): 1D4GP00R55B123456."""
    lines = [
        "7E8 10 14 49 02 01 31 44 34", "7E9 03 7F 09 11", "7E8 21 47 50 30 30 52 35 35", "7E8 22 42 31 32 33 34 35 36",
    ]  # fmt: skip
    units = reply_of([line.replace(" ", "") for line in lines], "6").units
    assert set(units) == {"7E8", "7E9"}
    assert identification_number(units["7E8"]) == "1D4GP00R55B123456"


@pytest.mark.parametrize("order", [(0, 2), (0, 2, 1), (0,)])
def test_a_missing_or_misplaced_frame_is_no_answer(order):
    lines = ["7E8101449020131" + "4434", "7E82147503030523535", "7E82242313233343536"]
    found = reply_of([lines[i] for i in order], "6")
    assert (found.units, found.trouble, found.garbled) == ({}, Trouble.GARBLED, 1)


def test_the_frame_after_number_15_is_number_0():
    data = bytes(range(120))
    frames = [bytes((0x10, 120)) + data[:6]]
    frames += [bytes((0x20 | (i + 1) % 16,)) + data[6 + 7 * i : 13 + 7 * i] for i in range(17)]
    assert reply_of(["7E8" + f.hex().upper() for f in frames], "6").units == {"7E8": data}


def test_an_older_message_has_three_bytes_of_header_and_its_check():
    """48 6B 10 41 00 BE 3E B8 11 with FA at its end: as printed for SAE J1850 in manuals of adapters (from memory)."""
    line = "486B104100BE3EB811FA"
    assert reply_of([line], "2").units == {"10": bytes.fromhex("4100BE3EB811")}
    assert reply_of([line[:-2] + "FB"], "2").trouble is Trouble.GARBLED
    summed = f"486B104100BE3EB811{sum(bytes.fromhex('486B104100BE3EB811')) % 256:02X}"
    assert reply_of([summed], "3").units == {"10": bytes.fromhex("4100BE3EB811")}
    assert reply_of([line], "3").trouble is Trouble.GARBLED


def test_an_older_long_answer_is_put_together_in_its_order():
    text = b"\0\0\0" + b"1HD0CKET0XX123456"
    parts = [b"\x48\x6b\x10\x49\x02" + bytes((i + 1,)) + text[4 * i : 4 * i + 4] for i in range(5)]
    lines = [(p + bytes((sum(p) % 256,))).hex().upper() for p in parts]
    assert identification_number(reply_of([lines[1], lines[0], *lines[2:]], "4").units["10"]) == "1HD0CKET0XX123456"
    assert reply_of(lines[:2] + lines[3:], "4").units == {}


@pytest.mark.parametrize(
    ("line", "trouble"),
    [
        ("NO DATA", Trouble.NO_DATA), ("UNABLE TO CONNECT", Trouble.NO_VEHICLE), ("CAN ERROR", Trouble.BUS),
        ("BUS INIT: ...ERROR", Trouble.BUS), ("?", Trouble.NOT_KNOWN), ("<DATA ERROR", Trouble.GARBLED),
        ("LV RESET", Trouble.LOW_VOLTAGE), ("7E80341", Trouble.GARBLED), ("Hello there", Trouble.GARBLED),
    ],
)  # fmt: skip
def test_lines_of_trouble(line, trouble):
    found = reply_of([line], "6")
    assert (found.units, found.trouble) == ({}, trouble)


def test_searching_may_stand_before_the_answer_on_its_line():
    assert reply_of(["SEARCHING...", "7E80341057B"], "6").units == {"7E8": b"\x41\x05\x7b"}
    assert reply_of(["SEARCHING...7E80341057B"], "6").units == {"7E8": b"\x41\x05\x7b"}
    assert reply_of(["BUS INIT: OK", "7E80341057B"], "6").units == {"7E8": b"\x41\x05\x7b"}


@given(
    st.lists(st.one_of(st.text(max_size=40), st.text("0123456789ABCDEF ", max_size=40)), max_size=3),
    st.sampled_from("1234567890"),
)
def test_nothing_that_comes_raises(lines, protocol):
    found = reply_of(lines, protocol)
    assert all(found.units.values())
    for data in found.units.values():
        assert isinstance(codes_in(data, protocol), tuple)
        assert len(identification_number(data)) in (0, 17)


def test_supported_identifiers_are_32_bits_from_the_highest():
    """SAE J1979: BE 1F A8 13 supports 01, 03 to 07, 0C to 11, 13, 15, 1C, 1F and 20 (widely printed example)."""
    found = supported(0, bytes.fromhex("4100BE1FA813"))
    assert found == {0x01, *range(0x03, 0x08), *range(0x0C, 0x12), 0x13, 0x15, 0x1C, 0x1F, 0x20}
    assert supported(0x20, bytes.fromhex("4100BE1FA813")) == frozenset()


def test_codes_by_their_two_bytes():
    """SAE J2012: the first two bits P, C, B, U, two for the first digit, the rest as it is."""
    assert [code_of(bytes.fromhex(x)) for x in ("0128", "4123", "9234", "D100")] == ["P0128", "C0123", "B1234", "U1100"]
    assert codes_in(bytes.fromhex("430201280118"), "6") == ("P0128", "P0118")
    assert codes_in(bytes.fromhex("43012801180000"), "3") == ("P0128", "P0118")
    assert codes_in(bytes.fromhex("4300"), "6") == ()


def test_an_identification_number_has_no_i_o_or_q():
    assert identification_number(b"\x49\x02\x01" + b"1HDOCKET0XX123456") == ""  # ISO 3779


def test_the_protocol_by_its_number():
    assert [protocol_of(x) for x in ("A6", "6", "A0", "", "AA")] == ["6", "6", "", "", ""]


@pytest.mark.parametrize("port", ["tcp:", "tcp:host", "tcp:host:0", "tcp:host:70000", "", "--listen"])
def test_a_port_that_cannot_be_meant_is_refused(port):
    with pytest.raises(InputError, match="would do"):
        opener(port)
