"""The wires to an adapter: a serial port (Bluetooth serial too) and TCP. What they carry is the same."""

from __future__ import annotations

import select
import socket
from typing import Protocol

from engcalc.errors import HeatdocketError
from engcalc.words.texts import live_texts

BAUD_RATES = (38400, 115200, 9600)  # usual rates of such adapters; common practice, no source
CONNECT_TIMEOUT = 5.0  # s


class WireLostError(HeatdocketError):
    """The adapter is not there, or not any more."""


class Wire(Protocol):
    """Bytes out and in. Both raise WireLostError."""

    def write(self, data: bytes) -> None:
        """Send these bytes."""

    def read(self, seconds: float) -> bytes:
        """What came, waiting for the first byte at most so long; empty when nothing did."""

    def close(self) -> None:
        """Let go of it."""


class SerialWire:
    """A serial port."""

    def __init__(self, port: str, baud: int) -> None:
        import serial

        self._errors = (serial.SerialException, OSError, TypeError)  # TypeError: pyserial's own when a port went away
        try:
            self._port = serial.Serial(port, baud, timeout=0.0, write_timeout=2.0)
        except (serial.SerialException, OSError, ValueError) as error:
            raise WireLostError(live_texts.CANNOT_BE_OPENED.format(port=port, error=error)) from None

    def write(self, data: bytes) -> None:
        """As Wire's."""
        try:
            self._port.write(data)
        except self._errors as error:
            raise WireLostError(live_texts.ADAPTER_IS_GONE.format(error=error)) from None

    def read(self, seconds: float) -> bytes:
        """As Wire's."""
        try:
            self._port.timeout = seconds
            first = self._port.read(1)
            return bytes(first + self._port.read(self._port.in_waiting)) if first else b""
        except self._errors as error:
            raise WireLostError(live_texts.ADAPTER_IS_GONE.format(error=error)) from None

    def close(self) -> None:
        """As Wire's."""
        self._port.close()


class TcpWire:
    """A TCP port, as adapters with a network of their own have one."""

    def __init__(self, host: str, port: int) -> None:
        try:
            self._socket = socket.create_connection((host, port), CONNECT_TIMEOUT)
        except OSError as error:
            raise WireLostError(live_texts.TCP_DOES_NOT_ANSWER.format(host=host, port=port, error=error)) from None

    def write(self, data: bytes) -> None:
        """As Wire's."""
        try:
            self._socket.sendall(data)
        except OSError as error:
            raise WireLostError(live_texts.ADAPTER_IS_GONE.format(error=error)) from None

    def read(self, seconds: float) -> bytes:
        """As Wire's."""
        try:
            if not select.select([self._socket], [], [], seconds)[0]:
                return b""
            data = self._socket.recv(4096)
        except (OSError, ValueError) as error:
            raise WireLostError(live_texts.ADAPTER_IS_GONE.format(error=error)) from None
        if not data:
            raise WireLostError(live_texts.ADAPTER_CLOSED_THE_CONNECTION)
        return data

    def close(self) -> None:
        """As Wire's."""
        self._socket.close()


def serial_ports() -> list[str]:
    """The serial ports of this machine by their names, in order."""
    from serial.tools import list_ports

    return sorted(str(port.device) for port in list_ports.comports())
