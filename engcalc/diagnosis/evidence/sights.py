"""What was seen, and what was measured besides temperatures: how likely each is in simulated vehicles.

A thing seen is P(seen | simulated state) with the error rates of looking. A number (a mixture, a pressure) has a normal
density about what the simulated vehicle would give; where that is open (the air in a tank, a mixture too thin or too
rich) it is the mean density over equally likely branches. A share of hand readings is plain wrong: it may then be
anything within ``span``. All error rates and noises are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from engcalc.case.records import Spot
from engcalc.case.sections.coolant import Coolant
from engcalc.causes.record import VisibleState
from engcalc.diagnosis.members.simulated import Simulated
from engcalc.properties.air import pressure_at_altitude
from engcalc.properties.coolant import Base, density, freezing_point, saturation_pressure, water_mole_fraction
from engcalc.studies.refill import RefractometerReading, refractometer
from engcalc.units import Array
from engcalc.vehicle.unknowns import normal_share
from engcalc.words.texts import diagnosis_texts

MISREAD = 0.03  # share of hand readings and sights that are plain wrong
FILLED = 0.05  # -, by volume; how near to its wanted mixture a healthy vehicle is filled
FREEZING_READ = 2.0  # K; of a hand refractometer
SHARE_READ = 0.02  # -, by volume; the same
CAP_TOLERANCE = 0.08  # of the stamped pressure; of a healthy cap
GAUGE_READ = 5e3  # Pa; of a hand pump's gauge
CUSHION = {"surge tank": 0.20, "overflow bottle": 0.03}  # of the coolant's volume; air, and what hoses give
CUSHION_SPREAD = 0.6  # of its logarithm
PRESSURE_MODEL = 1.5e4  # Pa; what the closed system's pressure is wrong by besides
_BRANCHES = np.array([-1.0, 0.0, 1.0]) * np.sqrt(1.5)  # three equal points with the variance of a normal number
_OF_GAS = np.array([0.1, 0.5, 0.9])  # of what is left up to the cap's pressure, that gas has filled
_OF_LEAK = np.array([1.0, 0.6, 0.2])  # of its pressure, that a leak has let off
_T_LIQUID = (213.15, 450.0)  # K
FREEZING = 273.15  # K; below it the vapour pressure is taken as that of water at it: nothing beside the air's


def rising(x: Array, at: float, width: float, least: float = 0.04, most: float = 0.94) -> Array:
    """Probability that rises from ``least`` to ``most`` about x = ``at``."""
    return np.asarray(least + (most - least) * normal_share((x - at) / width))


def of_state(
    state: VisibleState, at: float, width: float, least: float = 0.04, most: float = 0.94
) -> Callable[[Simulated], Array]:
    """That probability of a state that a look tells."""
    return lambda s: rising(s.states[state], at, width, least, most)


@dataclass(frozen=True)
class SeenItem:
    """Something seen or not, or a code, and how probable it is in each simulated member."""

    item: str
    what: str
    seen: bool
    probability: Callable[[Simulated], Array]
    of_signal: bool = False  # found in the log by the program: nobody can have misread it
    of_record: bool = False  # in the record whatever the cause's model is worth

    def log_likelihood(self, s: Simulated, vague: bool) -> Array:
        """Log probability of what was seen, (members,).

        Where ``vague`` (what is wrong is not in the list of causes, so that nothing tells what it would show) half of
        what the members say counts. A share ``MISREAD`` of looks is plain wrong.
        """
        p = self.probability(s)
        if vague and not (self.of_signal or self.of_record):
            p = 0.5 * p + 0.25
        if not self.of_signal:
            p = MISREAD * 0.5 + (1.0 - MISREAD) * p
        return np.asarray(np.log(p if self.seen else 1.0 - p))


@dataclass(frozen=True)
class Measure:
    """A number that is no temperature of the run: ``kind`` of quantity, value, standard noise and ``span`` in SI.

    ``branches`` gives what members would show, (branches, members), each branch as likely as the others.
    """

    item: str
    what: str
    kind: str
    value: float
    noise: float
    span: float
    branches: Callable[[Simulated], Array]

    def log_likelihood(self, s: Simulated, vague: bool) -> Array:
        """Log density of the value over that of anything within the span, (members,)."""
        off = (self.value - self.branches(s)) / self.noise
        normal = np.exp(-0.5 * off**2) / (self.noise * np.sqrt(2.0 * np.pi))
        ratio = normal.mean(axis=0) * self.span
        if vague:
            ratio = 0.5 * ratio + 0.5
        return np.asarray(np.log(MISREAD + (1.0 - MISREAD) * ratio))

    def expected(self, s: Simulated) -> Array:
        """What members would show, (members,): of the branches the one nearest to the value."""
        shown = self.branches(s)
        nearest = np.abs(shown - self.value).argmin(axis=0)
        return np.asarray(np.take_along_axis(shown, nearest[None], axis=0)[0])


def _share_read(spot: Spot, scale: Base, base: Base) -> tuple[RefractometerReading, float]:
    """What a refractometer's reading means for this coolant, and by how much the reading itself may be off [-]."""
    read = float(spot.value[0])
    stated = None if spot.uncertainty is None else float(spot.uncertainty[0])
    if spot.what == "concentration":
        T = float(freezing_point(scale, np.array([min(read, 0.6)]))[0])
        return refractometer(np.array([T]), scale, base), SHARE_READ if stated is None else stated
    doubt = FREEZING_READ if stated is None else stated
    ends = refractometer(np.array([read - doubt, read + doubt]), scale, base).fraction
    return refractometer(np.array([read]), scale, base), max(float(ends[0] - ends[1]) / 2.0, SHARE_READ)


def mixture(item: str, spot: Spot, coolant: Coolant) -> Measure | str:
    """A refractometer's reading as the share of glycol, carried over where its scale is the other glycol's."""
    base = Base(coolant.base)
    if base is Base.WATER:
        return diagnosis_texts.REFRACTOMETER_THE_CASE_SAYS_PLAIN_WATER
    scale = Base.ETHYLENE if spot.instrument == "ethylene_scale" else Base.PROPYLENE
    found, own = _share_read(spot, scale, base)
    noise = float(np.sqrt(own**2 + found.uncertainty**2 + FILLED**2))
    wanted = float(coolant.concentration[0])

    def branches(s: Simulated) -> Array:
        off = s.states[VisibleState.MIXTURE]
        return np.clip(np.stack((wanted - off, wanted + off)), 0.0, 1.0)

    return Measure(item, "concentration", "fraction", float(found.fraction[0]), noise, 1.0, branches)


def cap_pressure(item: str, spot: Spot, coolant: Coolant) -> Measure | str:
    """The pressure at which the cap opened on the tester, against the stamped one."""
    stamped = float(coolant.cap_pressure[0])
    if stamped <= 0.0 or coolant.tank == "none":
        return diagnosis_texts.CAP_TEST_THE_CASE_SAYS_THAT_THE_SYSTEM
    noise = float(np.hypot(_read(spot), CAP_TOLERANCE * stamped))
    return Measure(
        item,
        spot.what,
        "gauge pressure",
        float(spot.value[0]),
        noise,
        2.0 * stamped,
        lambda s: stamped * s.states[VisibleState.CAP][None],
    )


def system_pressure(item: str, spot: Spot, at: float, coolant: Coolant, altitude: float) -> Measure | str:
    """The pressure in the running system: it rises as the coolant swells against the air that is left, up to the cap's.

    Air and vapour over the coolant, shut off at the start's temperature T0 with the air's share a of the coolant's
    volume: p = (p0 - x p_v(T0)) (T/T0) a/(a - swell) + x p_v(T), swell = rho(T0)/rho(T) - 1, x water's mole fraction
    (Boyle and Charles, Raoult). Missing coolant is more air; gas from a cylinder fills up what is left to the cap's
    pressure at any temperature; a leak lets it off. The air is as warm as the coolant.
    """
    cushion = CUSHION.get(coolant.tank)
    stamped = float(coolant.cap_pressure[0])
    if cushion is None or stamped <= 0.0:
        return diagnosis_texts.PRESSURE_THE_CASE_SAYS_THAT_THE_SYSTEM
    base = Base(coolant.base)
    phi = coolant.concentration[:1]
    p0 = float(pressure_at_altitude(np.full(1, altitude))[0])
    x = float(water_mole_fraction(base, phi)[0])
    air = cushion * np.exp(CUSHION_SPREAD * _BRANCHES)

    def vapour(T: Array) -> Array:
        return np.asarray(x * saturation_pressure(np.maximum(T, FREEZING)))

    def over_ambient(s: Simulated) -> Array:
        """Pressure [Pa] of a tight system without a cap over that of the air, (branches of the cushion, members)."""
        T0 = np.clip(s.start, *_T_LIQUID)
        read = np.clip(s.at(s.coolant, np.array([at]))[0], *_T_LIQUID)
        T = np.maximum(read, T0)
        swell = density(T0, phi, base) / density(T, phi, base) - 1.0
        a = air[:, None] + s.states[VisibleState.LEVEL]
        left = np.maximum(a - swell, 0.02 * a)
        return np.asarray((p0 - vapour(T0)) * T / T0 * a / left + vapour(T) - p0)

    def branches(s: Simulated) -> Array:
        holds = stamped * s.states[VisibleState.CAP]
        closed = np.clip(over_ambient(s), 0.0, holds)[:, None]
        filled = closed + _OF_GAS[:, None] * s.states[VisibleState.GAS] * (holds - closed)
        kept = 1.0 - _OF_LEAK[:, None] * s.states[VisibleState.LEAK]
        return np.asarray((filled * kept).reshape(-1, s.members))

    noise = float(np.hypot(_read(spot), PRESSURE_MODEL))
    return Measure(item, spot.what, "gauge pressure", float(spot.value[0]), noise, 2.0 * stamped, branches)


def _read(spot: Spot) -> float:
    return GAUGE_READ if spot.uncertainty is None else float(spot.uncertainty[0])
