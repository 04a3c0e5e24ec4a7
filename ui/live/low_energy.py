"""A wire by Bluetooth low energy: what a serial port carries, by two characteristics of a GATT service.

Needs the package bleak, which is not installed unless asked for (``pip install 'heatdocket[ble]'``) and not imported
unless a port names such an adapter. It speaks asyncio; each wire has a loop of its own on a thread of its own.
"""

from __future__ import annotations

import asyncio
import queue
import re
import threading
from collections.abc import Coroutine
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Any

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import live_texts
from ui.live.adapter import WireLostError

TO_FIND, TO_CONNECT, TO_SEND = 5.0, 10.0, 2.0  # s; the longest waits; common practice, no source
LATE = 1.0  # s; by which bleak may be later than the limit that it was given
_BASE = "-0000-1000-8000-00805f9b34fb"  # completes a short number (Bluetooth Core, vol. 3, part B, 2.5.1)
_ADDRESS = re.compile(r"(?:[0-9A-F]{2}:){5}[0-9A-F]{2}|[0-9A-F]{8}-(?:[0-9A-F]{4}-){3}[0-9A-F]{12}", re.IGNORECASE)


@dataclass(frozen=True)
class SerialService:
    """A service that carries text both ways, and its characteristics by their UUIDs: what is told, what is asked."""

    service: str
    told: str
    asked: str


def _short(service: str, told: str, asked: str) -> SerialService:
    return SerialService(*(f"0000{number}{_BASE}" for number in (service, told, asked)))


SERIAL_SERVICES = (
    # Short numbers that makers of such adapters and of serial modules chose. No standard holds them; from memory, and
    # found alike in published programs for such adapters.
    _short("fff0", "fff1", "fff2"),
    _short("ffe0", "ffe1", "ffe1"),
    _short("18f0", "2af0", "2af1"),
    # One characteristic for both ways; found in published programs for such adapters.
    SerialService(
        "e7810a71-73ae-499d-8c15-faa9aef0c3f2",
        "bef8d6c9-9c21-4c9e-b632-bd58c1009f9f",
        "bef8d6c9-9c21-4c9e-b632-bd58c1009f9f",
    ),
    # The Nordic UART Service, as its maker documents it.
    SerialService(
        "6e400001-b5a3-f393-e0a9-e50e24dcca9e",
        "6e400003-b5a3-f393-e0a9-e50e24dcca9e",
        "6e400002-b5a3-f393-e0a9-e50e24dcca9e",
    ),
)
"""The services that are looked for, in this order. Nothing is ever sent to any other characteristic."""


def needs_bleak(port: str) -> None:
    """Raises InputError where the package is not installed."""
    try:
        import bleak  # noqa: F401
    except ImportError:
        raise InputError((InputFault("--port", port, live_texts.LOW_ENERGY_NEEDS_THE_PACKAGE_BLEAK),)) from None


def is_address(name: str) -> bool:
    """Whether an adapter is named by its address (on macOS a UUID) and not by the name that it tells."""
    return _ADDRESS.fullmatch(name) is not None


class LowEnergyWire:
    """An adapter by Bluetooth low energy, found by its name or its address."""

    def __init__(self, name: str) -> None:
        """Find it and connect. WireLostError where it does not answer, or carries no text that is known here."""
        self._came: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._lost = threading.Event()
        self._client: Any = None  # one of bleak
        self._asked: Any = None  # the characteristic that requests are written to
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, name="low energy", daemon=True)
        self._thread.start()
        try:
            self._wait(self._connect(name), TO_FIND + TO_CONNECT + LATE)
        except BaseException:
            self.close()
            raise

    def write(self, data: bytes) -> None:
        """As Wire's. The longest request has 9 bytes; the least that a connection carries at once is 20."""
        if self._lost.is_set():
            raise WireLostError(live_texts.LOW_ENERGY_ADAPTER_IS_GONE)
        confirmed = "write" in self._asked.properties
        self._wait(self._client.write_gatt_char(self._asked, data, response=confirmed), TO_SEND)

    def read(self, seconds: float) -> bytes:
        """As Wire's."""
        try:
            found = self._came.get(timeout=seconds)
        except queue.Empty:
            found = b""
        while not self._came.empty():
            found += self._came.get()
        if not found and self._lost.is_set():
            raise WireLostError(live_texts.LOW_ENERGY_ADAPTER_IS_GONE)
        return found

    def close(self) -> None:
        """As Wire's."""
        if self._loop.is_closed():
            return
        if self._client is not None:
            self._let_go()
        asyncio.run_coroutine_threadsafe(_all_cancelled(), self._loop).result()
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    def _let_go(self) -> None:
        try:
            self._wait(self._client.disconnect(), TO_SEND)
        except WireLostError:  # it is gone already
            self._lost.set()

    async def _connect(self, name: str) -> None:
        from bleak import BleakClient, BleakScanner

        find = BleakScanner.find_device_by_address if is_address(name) else BleakScanner.find_device_by_name
        device = await find(name, timeout=TO_FIND)
        if device is None:
            raise WireLostError(live_texts.NO_LOW_ENERGY_ADAPTER_IN_SIGHT.format(name=name))
        self._client = BleakClient(device, disconnected_callback=self._gone, timeout=TO_CONNECT)
        await self._client.connect()
        told, self._asked = self._characteristics(name)
        await self._client.start_notify(told, self._take)

    def _characteristics(self, name: str) -> tuple[Any, Any]:
        """Those of the first known service that it has."""
        for known in SERIAL_SERVICES:
            service = self._client.services.get_service(known.service)
            if service is None:
                continue
            told, asked = service.get_characteristic(known.told), service.get_characteristic(known.asked)
            if told is not None and asked is not None:
                return told, asked
        raise WireLostError(live_texts.NO_SERIAL_SERVICE_IS_KNOWN.format(name=name))

    def _take(self, _characteristic: Any, data: bytearray) -> None:
        """What the adapter tells, on the loop's thread."""
        self._came.put(bytes(data))

    def _gone(self, _client: Any) -> None:
        """The connection is lost, on the loop's thread; whoever reads is woken."""
        self._lost.set()
        self._came.put(b"")

    def _wait(self, work: Coroutine[Any, Any, None], seconds: float) -> None:
        """Have the loop do this. WireLostError where it fails or takes longer."""
        from bleak.exc import BleakError

        done: Future[None] = asyncio.run_coroutine_threadsafe(work, self._loop)
        try:
            done.result(seconds)
        except (BleakError, OSError, EOFError, TimeoutError) as error:
            done.cancel()
            why = str(error) or live_texts.IT_TAKES_TOO_LONG
            raise WireLostError(live_texts.LOW_ENERGY_ADAPTER_DOES_NOT_ANSWER.format(why=why)) from None


async def _all_cancelled() -> None:
    """End whatever the loop still has to do."""
    left = asyncio.all_tasks() - {asyncio.current_task()}
    for task in left:
        task.cancel()
    await asyncio.gather(*left, return_exceptions=True)
