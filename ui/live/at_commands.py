"""The commands that are sent to the adapter itself: those few of the common AT command set that reading needs.

None of them reaches the vehicle. What is not listed here is never sent (:mod:`ui.live.requests`).
"""

from __future__ import annotations

RESET = "ATZ"
ECHO_OFF = "ATE0"
LINE_FEEDS_OFF = "ATL0"
SPACES_OFF = "ATS0"
HEADERS_ON = "ATH1"  # so that answers of several control units can be told apart
ADAPTIVE_TIMING = "ATAT1"
ANY_PROTOCOL = "ATSP0"  # the adapter finds the vehicle's protocol by itself
IDENTITY = "ATI"
PROTOCOL_NUMBER = "ATDPN"

SET_UP = (ECHO_OFF, LINE_FEEDS_OFF, SPACES_OFF, HEADERS_ON, ADAPTIVE_TIMING, ANY_PROTOCOL)
"""What is sent after a reset, in this order."""

LISTED = frozenset({RESET, IDENTITY, PROTOCOL_NUMBER, *SET_UP})
"""Every command that may be sent."""

PROTOCOLS = {
    "1": "SAE J1850 PWM",
    "2": "SAE J1850 VPW",
    "3": "ISO 9141-2",
    "4": "ISO 14230-4, 5 baud start",
    "5": "ISO 14230-4, fast start",
    "6": "ISO 15765-4, 11 bit, 500 kbit/s",
    "7": "ISO 15765-4, 29 bit, 500 kbit/s",
    "8": "ISO 15765-4, 11 bit, 250 kbit/s",
    "9": "ISO 15765-4, 29 bit, 250 kbit/s",
}
"""Protocols by the number that the adapter tells; from memory of the common command set."""
