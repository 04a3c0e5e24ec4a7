"""Whether a log can be of the fuel that was entered: a petrol engine idles on a closed throttle, a diesel does not.

The pressure in the intake at a warm or cold idle is a quarter to a half of the air's with a throttle (five idles of a
petrol 1.5 L: 22 to 43 kPa) and all of it without one (fourteen starts of a diesel of about 2 L: 94 to 103 kPa).
"""

from __future__ import annotations

import numpy as np

from engcalc.case.case import Case
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord
from engcalc.properties.fuel import FUELS, Fuel, Ignition
from engcalc.verdict import Finding, FindingCode, FindingLevel

IDLES_ABOVE = 400.0 / 60.0  # rev/s; an engine that runs
IDLES_BELOW = 1400.0 / 60.0  # rev/s; and is not being revved
STANDS = 0.3  # m/s
LEAST_SAMPLES = 20  # s of idling that are needed to tell
THROTTLED = 60e3  # Pa; below only with a throttle; common practice
UNTHROTTLED = 80e3  # Pa; above only without one; common practice
STEP = 1.0  # s


def idle_pressure(log: LogRecord) -> float | None:
    """Median pressure in the intake while the engine idles [Pa]; None where the log does not show it."""
    needed = (Channel.MANIFOLD_PRESSURE, Channel.ENGINE_SPEED, Channel.VEHICLE_SPEED)
    if not all(log.has(channel) for channel in needed):
        return None
    even = log.resampled(STEP)
    pressure, turns, speed = (even.values[channel] for channel in needed)
    idles = (turns > IDLES_ABOVE) & (turns < IDLES_BELOW) & (speed < STANDS) & even.known[Channel.MANIFOLD_PRESSURE]
    if int(idles.sum()) * STEP >= LEAST_SAMPLES:
        return float(np.median(pressure[idles]))
    return None


def fuel_doubt(case: Case, name: str, log: LogRecord) -> tuple[Finding, ...]:
    """The finding that a record's log looks like another fuel's; nothing where it fits or cannot be told."""
    pressure = idle_pressure(log)
    burns = FUELS[Fuel(case.engine.fuel)].ignition
    if pressure is None:
        return ()
    looks_like = {
        Ignition.SPARK: "diesel" if pressure > UNTHROTTLED else "",
        Ignition.COMPRESSION: "petrol" if pressure < THROTTLED else "",
    }[burns]
    if not looks_like:
        return ()
    return (
        Finding(
            FindingCode.FUEL_DOUBTED,
            FindingLevel.CAUTION,
            {"pressure": pressure},
            {"record": name, "looks_like": looks_like, "entered": case.engine.fuel},
        ),
    )
