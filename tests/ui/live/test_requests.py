"""Nothing but what reads can leave: SAE J1979 modes 01, 02, 03, 07 and 09, and the listed commands to the adapter."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from simulated_adapter import Adapter, OnTcp

import ui.live
from ui.live import at_commands, requests
from ui.live.link import AdapterLink
from ui.live.ports import opener
from ui.live.reading import ReadingSetting, read_vehicle
from ui.live.requests import RequestRefusedError, may_leave, send

# SAE J1979 / ISO 15031-5: 04 clears codes, 05 and 06 test results, 08 moves parts; the others are makers' services
# (ISO 14229-1: 10 session, 11 reset, 14 clear, 27 security, 2E write, 2F control, 31 routine, 3E tester present)
WRITES = (
    "04",
    "05",
    "06",
    "0601",
    "08",
    "0801",
    "10",
    "1003",
    "1101",
    "14FFFFFF",
    "2701",
    "2EF190",
    "2F",
    "31",
    "3E00",
)


WRITING = ("write", "sendall", "send", "sendto", "writelines", "write_gatt_char", "write_gatt_descriptor")


class Spy:
    """Takes what is sent and keeps it."""

    def __init__(self) -> None:
        self.sent: list[bytes] = []

    def write(self, data: bytes) -> None:
        self.sent.append(data)


@pytest.mark.parametrize(
    "request_", [*WRITES, "", "ATMA", "ATPP0CSV01", "ATSH7E0", "0105\r04", " 0105", "0105 ", "02050", "0A"]
)
def test_what_writes_clears_or_moves_is_refused_before_a_byte_is_sent(request_):
    spy = Spy()
    with pytest.raises(RequestRefusedError):
        send(spy, request_)
    assert spy.sent == []


READS = st.one_of(
    st.integers(0, 255).map(lambda pid: f"01{pid:02X}"),
    st.integers(0, 255).map(lambda pid: f"02{pid:02X}00"),
    st.integers(0, 255).map(lambda pid: f"09{pid:02X}"),
    st.sampled_from(["03", "07", *sorted(at_commands.LISTED)]),
)
HEXADECIMAL = st.text("0123456789ABCDEF", max_size=12)


@given(st.one_of(st.text(max_size=16), HEXADECIMAL, HEXADECIMAL.map(lambda x: "01" + x), READS))
@example("0105\n04")
@example("01０5")
def test_whatever_is_asked_for_only_reading_gets_out(text):
    spy = Spy()
    try:
        send(spy, text)
    except RequestRefusedError:
        assert spy.sent == []
        return
    [line] = spy.sent
    assert line.endswith(b"\r")
    assert line.count(b"\r") == 1
    sent = line[:-1].decode("ascii")
    assert sent in at_commands.LISTED or re.fullmatch("0[12379]([0-9A-F]{2}){0,2}", sent)


@given(READS)
def test_what_reads_gets_out_as_it_is(text):
    spy = Spy()
    send(spy, text)
    assert spy.sent == [text.encode() + b"\r"]


def test_the_listed_commands_change_nothing_but_how_the_adapter_talks():
    """From memory of the common command set: no monitor, no header, no stored parameter, no raw message."""
    assert set(at_commands.LISTED) == {"ATZ", "ATI", "ATDPN", "ATE0", "ATL0", "ATS0", "ATH1", "ATAT1", "ATSP0"}


def test_no_module_writes_to_a_wire_but_by_the_one_function():
    """``write`` is called in requests.send, and where a wire hands bytes on or a file takes a line."""
    calls = []
    for file in sorted(Path(ui.live.__file__).parent.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            named = isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
            if named and node.func.attr in WRITING:
                calls.append(f"{file.name}: {ast.unparse(node.func)}")
    assert sorted(calls) == [
        "adapter.py: self._port.write",
        "adapter.py: self._socket.sendall",
        "can_bus.py: self._bus.send",
        "can_link.py: requests.send",
        "link.py: requests.send",
        "low_energy.py: self._client.write_gatt_char",
        "recording.py: os.write",
        "requests.py: outlet.write",
    ]


def test_a_whole_reading_asked_for_nothing_else(healthy, fast):
    clock = fast(600.0)
    adapter = Adapter(
        lambda: healthy.answers(clock.now()), codes=(b"\x01\x28",), frozen={0x02: b"\x01\x28", 0x05: b"\x50"}
    )
    with OnTcp(adapter) as served:
        setting = ReadingSetting(opener(served.port), lambda: clock.now() > 300.0, clock=clock.clock())
        assert len(list(read_vehicle(setting))) > 50
    assert {line[:2] for line in adapter.heard} <= {"AT", "01", "02", "03", "07", "09"}
    assert all(may_leave(line) for line in adapter.heard)


def test_a_link_cannot_be_talked_into_more(healthy):
    with OnTcp(Adapter(lambda: healthy.answers(60.0))) as served:
        link = AdapterLink(opener(served.port)())
        for request_ in WRITES:
            with pytest.raises(RequestRefusedError):
                link.ask(request_)
        link.close()
    assert served.adapter.heard == []
    assert requests.current(0x05) == "0105"
