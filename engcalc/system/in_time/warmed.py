"""What came of a warm-up: temperatures over time, heat released, lost and stored, when a temperature was reached."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engcalc.units import Array

INLET_UPPER_HOSE = 0.75  # -; of coolant over air, that the upper hose has at least where no valve stands before it
# 1/s; at which the upper hose behind a shut valve follows the engine by its metal neck, whatever flows: some 1.3 W/K
# (45 cm2 of warm neck, 300 W/(m2 K) of natural convection) into the 1.8 kJ/K of half a litre; own estimate, no source
NECK_RATE = 7e-4
HOSE_LOSS = 5.5e-4  # 1/s; at which it loses that again: some 1 W/K to the air (``hose_conductance``)


@dataclass(frozen=True, eq=False)
class EngineCourse:
    """At what the engine was taken between renewals, (stretches, members); the fuel follows from it (``fuel_use``)."""

    begins: NDArray[np.int64]  # (stretches,), step with which each begins
    T_feed: Array  # K, coolant
    T_oil: Array  # K
    fan: Array  # -, share of its power that the fan took as the stretch began


@dataclass(frozen=True, eq=False)
class Warmup:
    """What came of a run. Series have shape (samples, members); temperatures in K."""

    time: Array  # s from engine start, (samples,)
    coolant: Array  # at the engine's outlet
    sensor: Array
    upper_hose: Array
    radiator: Array  # out of the radiator
    lower_hose: Array
    heater_in: Array  # heater hose, inlet
    heater_out: Array
    cabin: Array
    vent: Array
    wax: Array
    opening: Array
    block: Array
    radiator_flow: Array  # m3/s, of the coolant, as the next two; nothing at the start itself
    heater_flow: Array
    bypass_flow: Array
    fan_speed: Array  # -, engagement of the fan: of full speed
    heat_released: Array  # J into metal, coolant and cabin air, that of heaters included, over the run, (members,)
    heat_lost: Array  # J to the air, over the run
    heat_stored: Array  # J, end over start
    coolant_heater_heat: Array  # J of it, from a heater in the coolant circuit
    pump_stood: Array  # s, in which the engine ran and its pump stood, as commanded
    exhaust_heat: Array  # J, taken out of the exhaust
    opens_usual: Array  # K, wax temperature from which the valve opens in light running
    opens_lowest: Array  # K, the lowest of them under load
    preheated: Array  # K, by which heaters before the start alone would have brought the coolant over the air
    boiling: Array  # K, at the cap's pressure and the run's altitude
    boiled: Array  # s from engine start, when the coolant first boils; infinite if never. From then on it is held there
    engine: EngineCourse

    @property
    def energy_error(self) -> Array:
        """Released less lost less stored, over what was released [-]."""
        return np.asarray(
            (self.heat_released - self.heat_lost - self.heat_stored) / np.maximum(self.heat_released, 1.0)
        )

    def until_it_boils(self) -> Warmup:
        """A run of one member up to where it boils; what comes after is no prediction. Itself where it does not."""
        if not np.isfinite(self.boiled[0]):
            return self
        last = int(np.searchsorted(self.time, self.boiled[0])) + 1
        cut: dict[str, Any] = {
            f.name: series[:last]
            for f in fields(self)
            if isinstance(series := getattr(self, f.name), np.ndarray) and series.shape[0] == self.time.size
        }
        return replace(self, **cut)

    def time_to(self, T: float) -> Array:
        """First time [s] at which the sensor reaches T [K] (straight lines between samples); infinite if never."""
        return np.array([crossing(self.time, member, T) for member in self.sensor.T])


def felt_upper_hose(ran: Warmup, ambient: Array | float, side: str) -> Array:
    """The upper hose as a hand or a clamp finds it [K], (samples, members).

    With the thermostat at the pump's inlet nothing stands between engine and hose, and warm coolant gets into it while
    none flows through: of the coolant over the air it then has at least ``INLET_UPPER_HOSE``; common practice. With the
    thermostat at the outlet the neck that the hose sits on warms it, however little passes the valve.
    """
    if side != "inlet":
        return ran.upper_hose + _from_the_neck(ran)
    return np.maximum(ran.upper_hose, ambient + INLET_UPPER_HOSE * (ran.coolant - ambient))


def _from_the_neck(ran: Warmup) -> Array:
    """What the engine's metal neck adds to the upper hose [K], (samples, members): never past the coolant.

    Kept at both rates at once, it rests at NECK_RATE/(NECK_RATE + HOSE_LOSS) of what the hose is colder.
    """
    colder = np.maximum(ran.coolant - ran.upper_hose, 0.0)
    added = np.zeros_like(colder)
    both = NECK_RATE + HOSE_LOSS
    rests_at = NECK_RATE / both * colder
    follows = -np.expm1(-both * np.diff(ran.time))
    for i, part in enumerate(follows.tolist(), start=1):
        before = added[i - 1]
        added[i] = np.minimum(before + part * (rests_at[i] - before), colder[i])
    return added


def crossing(time: Array, series: Array, T: float) -> float:
    """First time [s] at which a series, (samples,), reaches T [K]; infinite if never.

    Between samples it follows straight lines.
    """
    above = np.flatnonzero(series >= T)
    if not above.size:
        return float("inf")
    i = int(above[0])
    if i == 0:
        return float(time[0])
    share = (T - series[i - 1]) / (series[i] - series[i - 1])
    return float(time[i - 1] + share * (time[i] - time[i - 1]))
