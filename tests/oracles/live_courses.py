"""Warm-ups of invented vehicles for a live reading, by the generator of ``tests/foreign`` that imports nothing of ours.

A course starts with the ignition on and the engine standing, then runs as the trip asks. It is played to whoever asks
for identifiers of SAE J1979 (scalings from memory), or written as a log.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scripts import loaded

FOREIGN = Path(__file__).resolve().parents[1] / "foreign"
vehicle = loaded(FOREIGN / "vehicle.py", "foreign_vehicle_of_live")

Array = NDArray[np.float64]
KEY_ON = 10.0  # s before the engine starts
PETROL = 745.0  # g/L
STOICHIOMETRIC = 14.7


@dataclass(frozen=True, eq=False)
class Course:
    """One second after another [degC, rpm, km/h, g/s]; the engine starts at KEY_ON."""

    coolant: Array
    rpm: Array
    speed: Array
    fuel: Array
    ambient: float
    places: Mapping[str, Array]  # what a person reads by hand, and whether the fan runs

    @property
    def seconds(self) -> int:
        """How long it is."""
        return len(self.coolant)

    def answers(self, t: float) -> Mapping[int, bytes]:
        """Bytes of each identifier at a time [s]; none once it is over."""
        i = int(t)
        if i >= self.seconds:
            return {}
        air = self.fuel[i] * STOICHIOMETRIC
        return {
            0x04: _byte(255.0 * min(self.fuel[i] / 4.0, 1.0)),
            0x05: _byte(self.coolant[i] + 40.0),
            0x0C: _word(4.0 * self.rpm[i]),
            0x0D: _byte(self.speed[i]),
            0x0F: _byte(self.ambient + 40.0),
            0x10: _word(100.0 * air),
            0x1F: _word(max(t - KEY_ON, 0.0)),
            0x46: _byte(self.ambient + 40.0),
        }

    def log(self, until: float | None = None, every: int = 2) -> bytes:
        """The same as a log."""
        lines = ["Time [s],Coolant temperature [degC],Engine speed [rpm],Vehicle speed [km/h],Air mass flow [g/s],"
                 "Outside air temperature [degC]"]  # fmt: skip
        for i in range(0, self.seconds if until is None else min(int(until), self.seconds), every):
            air = self.fuel[i] * STOICHIOMETRIC
            lines.append(
                f"{i},{self.coolant[i]:.0f},{self.rpm[i]:.0f},{self.speed[i]:.0f},{air:.2f},{self.ambient:.0f}"
            )
        return ("\n".join(lines) + "\n").encode()


def _byte(x: float) -> bytes:
    return bytes((int(np.clip(round(x), 0, 255)),))


def _word(x: float) -> bytes:
    return int(np.clip(round(x), 0, 65535)).to_bytes(2, "big")


Trip = tuple[tuple[float, ...], ...]
"""Speed [km/h] and duration [s] of each part, its grade [-] and the heater's share of its air where they are told."""

TOWN = tuple(
    (speed, lasts) for _ in range(12) for speed, lasts in ((0.0, 20.0), (35.0, 50.0), (0.0, 10.0), (48.0, 40.0))
)
IDLE = ((0.0, 1500.0),)


def _told(words: str) -> dict[str, float | str]:
    parts = dict(part.split("=") for part in words.split(",") if part)
    return {key: float(value) if key != "fan" else value for key, value in parts.items()}


@cache
def course(broken: str = "", trip: Trip = TOWN, ambient: float = 5.0, heater: float = 0.33, body: str = "") -> Course:
    """What came of an invented family car; ``broken`` are the generator's own words, such as ``lift=0.4``, and so are
    those of its ``body`` where it is another one, such as ``litres=2``."""
    x = vehicle.Broken(**_told(broken))
    v = np.concatenate([np.full(int(part[1]), part[0] / 3.6) for part in trip])
    grade = np.concatenate([np.full(int(part[1]), part[2] if len(part) > 2 else 0.0) for part in trip])
    heaters = np.concatenate([np.full(int(part[1]), part[3] if len(part) > 3 else heater) for part in trip])
    v = np.convolve(np.pad(v, 5, "edge"), np.ones(11) / 11, "valid")
    asked = vehicle.Trip(v, ambient, heaters, ambient, grade, 0.0)
    ran = vehicle.ran(vehicle.Body(**_told(body)), x, asked, np.random.default_rng(3))
    still = int(KEY_ON)

    def led(values: Array, before: float) -> Array:
        return np.concatenate((np.full(still, before), values))

    shown = led(ran["shown"], float(ran["shown"][0]))
    places = {place: led(ran[place], float(ran[place][0])) for place in vehicle.PLACES}
    return Course(shown, led(ran["rpm"], 0.0), led(v * 3.6, 0.0), led(ran["fuel"], 0.0), ambient, places)
