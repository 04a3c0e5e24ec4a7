"""An adapter by Bluetooth low energy, against a stand-in for bleak: the same vehicle, the same few requests."""

from __future__ import annotations

import subprocess
import sys
import threading

import pytest
from simulated_adapter import VIN, Adapter
from simulated_low_energy import BATTERY, USUAL, OnAir, serial_service, short

from engcalc.errors import InputError
from engcalc.logs.channels import Channel
from ui.live import low_energy
from ui.live.adapter import WireLostError
from ui.live.events import Connected, Event, ReadingMark, ReadingMarkKind, Sample
from ui.live.link import AdapterLink
from ui.live.low_energy import LowEnergyWire
from ui.live.ports import opener
from ui.live.reading import ReadingSetting, read_vehicle
from ui.live.requests import may_leave

UART = "6e40000{}-b5a3-f393-e0a9-e50e24dcca9e"  # Nordic UART Service: 1 the service, 2 is asked, 3 tells


@pytest.fixture
def on_air(healthy, monkeypatch):
    def put(**told) -> OnAir:
        adapter = Adapter(lambda: healthy.answers(700.0), codes=(b"\x01\x28",))
        air = OnAir(adapter, **told)
        air.put_into(monkeypatch)
        return air

    return put


def loops() -> int:
    return sum(thread.name == "low energy" for thread in threading.enumerate())


@pytest.mark.parametrize("port", ["ble:OBD bench", "ble:00:11:22:aa:bb:cc"])
def test_a_vehicle_tells_the_same_as_on_a_serial_port(on_air, healthy, port):
    """Found by its name or its address; the identification number takes five pieces of 20 bytes."""
    on_air()
    link = AdapterLink(opener(port)())
    told = link.told()
    values, trouble = link.read(0x05, told.asked_of[0x05])
    link.close()
    assert (told.adapter, told.vin, told.codes) == ("Bench adapter v0.9", VIN.decode(), ("P0128",))
    assert (values, trouble) == ({Channel.COOLANT: pytest.approx(round(healthy.coolant[700]) + 273.15)}, None)
    assert loops() == 0


@pytest.mark.parametrize(
    ("service", "told", "asked"),
    [
        (short("fff0"), short("fff1"), short("fff2")),
        (short("ffe0"), short("ffe1"), short("ffe1")),
        (short("18f0"), short("2af0"), short("2af1")),
        (UART.format(1), UART.format(3), UART.format(2)),
    ],
)
@pytest.mark.parametrize("confirmed", [True, False])
def test_each_known_service_is_asked_where_it_listens(on_air, service, told, asked, confirmed):
    kind = "write" if confirmed else "write-without-response"
    air = on_air(services=(BATTERY, serial_service(service, told, asked, kind)))
    link = AdapterLink(LowEnergyWire(air.name))
    link.set_up()
    link.close()
    assert air.told_by == [told]
    assert {(where, how) for where, _, how in air.written} == {(asked, confirmed)}


def test_nothing_but_reading_goes_out_and_to_no_other_characteristic(on_air, fast):
    air = on_air()
    setting = ReadingSetting(opener("ble:OBD bench"), lambda: len(air.written) > 60, clock=fast(60.0).clock())
    assert sum(isinstance(event, Sample) for event in read_vehicle(setting)) > 20
    assert {where for where, _, _ in air.written} == {short("fff2")}
    lines = [data.decode("ascii") for _, data, _ in air.written]
    assert all(line.endswith("\r") and may_leave(line[:-1]) for line in lines)
    assert {line[:2] for line in lines} == {"AT", "01", "02", "03", "07", "09"}


def test_a_pulled_plug_is_a_gap_and_no_end(on_air):
    air = on_air()
    events: list[Event] = []

    def connected() -> int:
        return sum(isinstance(event, Connected) for event in events)

    for event in read_vehicle(ReadingSetting(opener("ble:OBD bench"), lambda: connected() == 2)):
        events.append(event)
        if isinstance(event, ReadingMark) and event.kind is ReadingMarkKind.GAP_BEGINS:
            air.in_sight = True
        elif connected() == 1 and air.in_sight and isinstance(event, Sample):
            air.unplug()
    marks = [event.kind for event in events if isinstance(event, ReadingMark)]
    assert marks[:2] == [ReadingMarkKind.GAP_BEGINS, ReadingMarkKind.GAP_ENDS]
    assert any(isinstance(event, Sample) for event in events)
    assert loops() == 0


def test_what_was_told_before_the_plug_was_pulled_is_still_read(on_air):
    air = on_air()
    wire = LowEnergyWire(air.name)
    wire.write(b"ATI\r")
    air.unplug()
    assert b"Bench adapter" in wire.read(0.5)
    with pytest.raises(WireLostError, match="gone"):
        wire.read(0.5)
    with pytest.raises(WireLostError):
        wire.write(b"ATI\r")
    wire.close()
    wire.close()


def test_who_is_not_in_sight_or_carries_no_text_is_said(on_air):
    air = on_air(services=(BATTERY,))
    with pytest.raises(WireLostError, match="no serial service"):
        LowEnergyWire(air.name)
    with pytest.raises(WireLostError, match=r"no Bluetooth adapter somebody else is in sight"):
        LowEnergyWire("somebody else")
    assert air.written == []
    assert loops() == 0


def test_half_a_service_is_none(on_air):
    """It tells, and cannot be asked: the next one is taken."""
    half = serial_service(short("fff0"), short("fff1"), short("fff1"))
    whole = serial_service(UART.format(1), UART.format(3), UART.format(2))
    air = on_air(services=(half, whole))
    LowEnergyWire(air.name).close()
    assert air.told_by == [UART.format(3)]


def test_an_adapter_that_hangs_is_given_up(on_air, monkeypatch):
    air = on_air()
    wire = LowEnergyWire(air.name)

    async def never(*_args, **_kwargs):
        import asyncio

        await asyncio.sleep(3600.0)

    monkeypatch.setattr(low_energy, "TO_SEND", 0.05)
    monkeypatch.setattr(air.clients[0], "write_gatt_char", never)
    monkeypatch.setattr(air.clients[0], "disconnect", never)
    with pytest.raises(WireLostError, match="takes too long"):
        wire.write(b"ATI\r")
    wire.close()
    assert loops() == 0


@pytest.mark.parametrize("port", ["ble:", "ble: ", "ble:a\nb", "ble:\x00"])
def test_an_adapter_that_cannot_be_meant_is_said(port):
    with pytest.raises(InputError, match="name or address would do"):
        opener(port)


def test_it_has_no_rate():
    with pytest.raises(InputError, match="no such rate"):
        opener("ble:OBD", 38400)


def test_the_package_is_imported_only_when_a_port_names_such_an_adapter():
    asked = "from ui.live import ports, reading; ports.opener('tcp:a:1'); ports.opener('/dev/ttyS0'); ports.ports()"
    said = f"{asked}; import sys; print(sorted({{'bleak', 'dbus_fast'}} & set(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_without_the_package_it_is_said_what_brings_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "bleak", None)
    with pytest.raises(InputError, match=r"pip install 'heatdocket\[ble\]'"):
        opener("ble:OBD")


def test_a_service_is_known_once():
    services = [known.service for known in low_energy.SERIAL_SERVICES]
    assert len(set(services)) == len(services) == 5
    assert USUAL.uuid == services[0]
