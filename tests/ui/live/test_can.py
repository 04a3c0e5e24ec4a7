"""A vehicle read on its own CAN bus: what it tells, in long answers too, and that nothing else leaves."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from simulated_adapter import VIN, Adapter
from simulated_can import OnBus

from engcalc.errors import InputError
from engcalc.logs.channels import Channel
from ui.live.adapter import WireLostError
from ui.live.answers import Trouble
from ui.live.can_bus import CanBus, can_ports
from ui.live.can_frames import NARROW, WIDE, Addresses, may_pass, single_frame
from ui.live.can_link import CanLink
from ui.live.events import Connected, Sample
from ui.live.ports import opener
from ui.live.reading import ReadingSetting, read_vehicle
from ui.live.requests import RequestRefusedError, may_leave


def adapter(healthy, at=700.0) -> Adapter:
    return Adapter(
        lambda: healthy.answers(at),
        codes=(b"\x01\x28", b"\x01\x18", b"\x01\x17", b"\x02\x17"),  # ten bytes with mode and count: two frames
        pending=(b"\x01\x28",),
        frozen={0x02: b"\x01\x28", 0x05: b"\x50"},
        gearbox={0x05: b"\xa0", 0x0D: b"\x00"},
    )


def linked(served: OnBus) -> CanLink:
    return CanLink(CanBus("bench", served.joined()))


@pytest.mark.parametrize("wide", [False, True])
def test_a_vehicle_tells_the_same_as_behind_an_adapter(healthy, wide):
    with OnBus(adapter(healthy), wide=wide) as served:
        link = linked(served)
        told = link.told()
        values, trouble = link.read(0x05, told.asked_of[0x05])
        link.close()
    assert (told.adapter, told.protocol) == ("bench", f"ISO 15765-4, {29 if wide else 11} bit")
    assert told.vin == VIN.decode()  # 20 bytes: three frames
    assert told.codes == ("P0128", "P0118", "P0117", "P0217")
    assert told.pending == ("P0128",)
    assert told.frozen == {Channel.COOLANT: pytest.approx(313.15)}
    assert told.units == (("18DAF110", "18DAF111") if wide else ("7E8", "7E9"))
    assert set(told.asked_of) == healthy.answers(700.0).keys()
    assert set(told.asked_of.values()) == {told.units[0]}
    assert (values, trouble) == ({Channel.COOLANT: pytest.approx(round(healthy.coolant[700]) + 273.15)}, None)


def test_every_frame_that_left_only_reads(healthy):
    """By the first byte and the number of each frame, as the control units heard it."""
    with OnBus(adapter(healthy)) as served:
        link = linked(served)
        link.told()
        link.close()
    asked = [data for number, data in served.heard if number == 0x7DF]
    others = [(number, data) for number, data in served.heard if number != 0x7DF]
    assert all(data[0] in (1, 2, 3) and data[1] in (1, 2, 3, 7, 9) and len(data) == 8 for data in asked)
    assert others == [(0x7E0, b"\x30\0\0\0\0\0\0\0")] * 2  # flow control: the identification number, four codes


@pytest.mark.parametrize("request_", ["04", "0801", "1003", "14FFFFFF", "2701", "3E00", "ATZ", "0105"])
@pytest.mark.parametrize("number", [0x7DF, 0x7E0, 0x7E8, 0x123])
def test_no_other_frame_gets_onto_the_bus(healthy, number, request_):
    """Handed to the bus itself, past every other look."""
    with OnBus(adapter(healthy)) as served:
        bus = CanBus("bench", served.joined())
        if request_ != "ATZ":
            data = single_frame(bytes.fromhex(request_))
            if (number, request_) == (0x7DF, "0105"):
                bus._put(number, data)
            else:
                with pytest.raises(RequestRefusedError):
                    bus._put(number, data)
        with pytest.raises(RequestRefusedError):
            bus.write(b"04\r" if request_ == "0105" else request_.encode() + b"\r")
        time.sleep(0.05)
        bus.close()
    assert [x[1][:3] for x in served.heard] == ([b"\x02\x01\x05"] if (number, request_) == (0x7DF, "0105") else [])


@given(st.sampled_from([NARROW, WIDE]), st.integers(0, 0x1FFFFFFF) | st.integers(0x700, 0x7FF), st.binary(max_size=8))
def test_whatever_a_frame_holds_only_reading_passes(on: Addresses, number, data):
    if not may_pass(on, number, data):
        return
    if number == on.to_all:
        assert may_leave(data[1 : 1 + data[0]].hex().upper())
    else:
        assert data[0] >> 4 == 3


@pytest.mark.parametrize(
    ("on", "number", "data", "passes"),
    [
        (NARROW, 0x7DF, "0201050000000000", True), (NARROW, 0x7DF, "0101050000000000", False),
        (NARROW, 0x7DF, "1001050000000000", False), (NARROW, 0x7DF, "02", False), (NARROW, 0x7DF, "", False),
        (NARROW, 0x7DF, "0001050000000000", False), (NARROW, 0x7E0, "3000000000000000", True),
        (NARROW, 0x7E7, "3000000000000000", True), (NARROW, 0x7DF, "3000000000000000", False),
        (NARROW, 0x7E8, "3000000000000000", False), (NARROW, 0x7E0, "2100000000000000", False),
        (WIDE, 0x18DA10F1, "3000000000000000", True), (WIDE, 0x18DB33F1, "0201050000000000", True),
        (WIDE, 0x7DF, "0201050000000000", False), (WIDE, 0x18DB10F1, "3000000000000000", False),
    ],
)  # fmt: skip
def test_which_frames_pass(on, number, data, passes):
    assert may_pass(on, number, bytes.fromhex(data)) is passes


def test_a_unit_that_says_it_takes_longer_is_waited_for(healthy):
    with OnBus(adapter(healthy), pending=True) as served:
        link = linked(served)
        assert link._answers()
        assert link.read(0x05, "7E8")[1] is None
        link.close()


def test_an_answer_without_its_second_frame_is_none(healthy):
    """And the next one is not put together from both."""
    with OnBus(adapter(healthy)) as served:
        link = linked(served)
        assert link._answers()
        served.deaf = True
        served.say(0x7E8, bytes.fromhex("1014490201314430"))
        assert link.ask("0902").trouble is Trouble.NO_DATA
        served.deaf = False
        assert link.ask("0902").units["7E8"] == b"\x49\x02\x01" + VIN
        link.close()


def test_what_others_say_on_the_bus_is_not_heard(healthy):
    with OnBus(adapter(healthy)) as served:
        link = linked(served)
        assert link._answers()
        for number in (0x7E8 - 1, 0x7F0, 0x123):
            served.say(number, bytes.fromhex("03410599AAAAAAAA"))
        served.say(0x7E8, bytes.fromhex("04410C1AF8AAAAAA"))  # an answer to somebody else's question
        found, _ = link.read(0x05, "7E8")
        assert found == {Channel.COOLANT: pytest.approx(round(healthy.coolant[700]) + 273.15)}
        link.close()


def test_a_reading_on_the_bus_is_a_reading(healthy, fast):
    """From key-on, the ignition off at first."""
    clock = fast(60.0)
    with OnBus(Adapter(lambda: healthy.answers(clock.now()) if clock.now() > 30.0 else {})) as served:
        setting = ReadingSetting(
            lambda: CanBus("bench", served.joined()), lambda: clock.now() > 200.0, clock=clock.clock()
        )
        events = list(read_vehicle(setting))
    assert sum(isinstance(event, Connected) for event in events) == 1
    coolant = [event for event in events if isinstance(event, Sample) and event.channel is Channel.COOLANT]
    assert len(coolant) > 5
    assert {event.unit for event in coolant} == {"7E8"}


def test_interfaces_are_found_without_their_packages(tmp_path):
    for name, kind in (("can1", "280"), ("eth0", "1"), ("can0", "280")):
        (tmp_path / name).mkdir()
        (tmp_path / name / "type").write_text(kind + "\n", encoding="utf-8")
    assert can_ports(tmp_path) == ["socketcan:can0", "socketcan:can1"]
    assert can_ports(tmp_path / "none") == []


@pytest.mark.parametrize("port", ["socketcan:", "socketcan:a b", "socketcan:" + 16 * "x", "socketcan:../x"])
def test_an_interface_that_cannot_be_meant_is_said(port):
    with pytest.raises(InputError, match="such as socketcan:can0 would do"):
        opener(port)


def test_a_rate_is_set_elsewhere_and_an_interface_that_is_not_there_is_said():
    with pytest.raises(InputError, match="whoever brought it up"):
        opener("socketcan:can0", 500_000)
    with pytest.raises(WireLostError, match="cannot be opened"):
        opener("socketcan:nosuch0")()


def test_the_packages_are_imported_only_when_a_port_names_a_bus():
    asked = "from ui.live import ports, reading; ports.opener('tcp:a:1'); ports.opener('/dev/ttyS0'); ports.ports()"
    said = f"{asked}; import sys; print(sorted({{'can', 'isotp'}} & set(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_without_the_packages_it_is_said_what_brings_them(monkeypatch):
    monkeypatch.setitem(sys.modules, "isotp", None)
    with pytest.raises(InputError, match=r"pip install 'heatdocket\[can\]'"):
        opener("socketcan:can0")
