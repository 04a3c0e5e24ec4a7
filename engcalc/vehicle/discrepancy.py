"""What the simulation of a vehicle may be wrong by against its readings: one model, for fits and odds alike.

A run begins at a known temperature. From there on the simulation parts from the vehicle, by three things at once:

- a **quick** part: its standard deviation grows to ``DISCREPANCY``, and what it was is forgotten within minutes,

      cov(t, t') = g(t) g(t') exp(-|t - t'|/tau),    g(t) = DISCREPANCY (1 - exp(-t/tau))

- a **slow** part: a shift that grows, and half as much one that comes and goes;
- the **load**: where nobody measured the heat, the load wanders about what was taken (grade, wind, gears). What it adds
  follows the rise of a usual curve and is forgotten as the engine loses it,

      e(t) = sum over minutes u <= t of rise(u) w(u) exp(-(t - u)/tau_f),    w with a memory of some minutes

Beside these, vehicles warm up at paces of their own. The pace multiplies all that stores heat. With heat Q and losses U
the balance C dT/dt = Q - U (T - T_air) makes of a pace exp(z PACE), z standard normal, to the first order

    T -> T - z PACE S,    dS/dt = dT/dt - S/tau_f,    tau_f = C/U

S is the rise that is not forgotten yet: much while a vehicle warms up, little once its valve holds it. It hangs on the
course of each simulated vehicle and so is no part of the covariance.

Odds take all of it: they ask how likely a record is of vehicles as they are. A fit looks for the one vehicle that
follows the record best, and its unknowns (heat, metal, losses) bend the curve slowly themselves. So it takes the quick
part alone (``ABSORBED_BY_A_FIT``). With all parts, fits follow fourteen real healthy trips to 3.0 K (rms) where they
follow them to 2.3 K so: a slow difference is then laid to the model instead of the vehicle.

Numbers are common practice without a source, unless said otherwise.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from engcalc.units import Array
from engcalc.vehicle.heat_source import FuelPower

NOISE = 1.5  # K; of a sensor's sample or of a mean of them; trials on fourteen real healthy trips
ROUNDING = 1.0 / 12.0  # K2; variance of rounding to 1 K
DISCREPANCY = 3.0  # K; of the model late in a warm-up; the same trials
CORRELATION = 300.0  # s; in which the quick part grows and is forgotten; the same trials
SLOW = 1.5  # -; slow part over the quick one
SLOW_TIME = 600.0  # s; in which the slow part grows
WANDERS = 0.15  # share of the heat by which the load wanders, where nothing measures it
MEASURED_WANDERS = 0.05  # the same where fuel or air were measured
WANDER_MEMORY = 300.0  # s; of the wandering load
# K, s; where a warm-up ends, and the time constant of its course: fitted to the times to 60, 70 and 80 degC of fourteen
# real healthy trips of one car and five idles of another (tests/road)
WARM = 363.15
WARMS_IN = 440.0
FORGOTTEN = 400.0  # s; in which an engine loses what was added to it
# log; by which the pace of vehicles of a class differs beside what is drawn. Chosen on 33 vehicles of a generator that
# shares nothing with the program's engine; not fitted to real cars. See tests/foreign/RESULTS.md
PACE = 0.3
MINUTE = 60.0  # s


class Part(Enum):
    """A part of the discrepancy."""

    QUICK = "quick"
    SLOW = "slow"
    LOAD = "load"


ABSORBED_BY_A_FIT = frozenset({Part.SLOW, Part.LOAD})
"""What the unknowns of a fit explain themselves (see above)."""


@dataclass(frozen=True, eq=False)
class ReadAt:
    """Where readings were taken, each (n,): times [s], the share of the discrepancy at that place [-] and the model's
    own error there [K]."""

    time: Array
    share: Array
    error: Array


def discrepancy(read: ReadAt, added: Sequence[float] = (), absorbed: Collection[Part] = ()) -> Array:
    """Covariance (n, n) [K2] of what the model is wrong by at readings, the reading's own noise apart.

    ``added``: what a wandering load adds in each whole minute [K], see :func:`added_by_load`. ``absorbed``: the parts
    that whoever asks explains by unknowns of its own.
    """
    parts = {
        Part.QUICK: DISCREPANCY**2 * quick(read.time, read.share),
        Part.SLOW: (SLOW * DISCREPANCY) ** 2 * smooth(read.time, read.share),
        Part.LOAD: wandered(read.time, read.share, np.array(added)),
    }
    covariance = np.diag(read.error**2)
    for part, of_part in parts.items():
        if part not in absorbed:
            covariance = covariance + of_part
    return covariance


def noise_of(standard: Array) -> Array:
    """Covariance (n, n) [K2] of the readings' own noise (n,) [K], each rounded to a whole kelvin."""
    return np.diag(standard**2 + ROUNDING)


def quick(time: Array, share: Array) -> Array:
    """Covariance of quick differences that grow to unit size."""
    grown = share * -np.expm1(-time / CORRELATION)
    apart = np.abs(time[:, None] - time[None])
    return np.asarray(np.outer(grown, grown) * np.exp(-apart / CORRELATION))


def smooth(time: Array, share: Array) -> Array:
    """Covariance of slow differences of unit size: a shift that grows, and half as much one that comes and goes."""
    x = time / SLOW_TIME
    grows = share * -np.expm1(-x)
    passes = share * x * np.exp(1.0 - x)
    return np.asarray(np.outer(grows, grows) + 0.5 * np.outer(passes, passes))


def wandered(time: Array, share: Array, added: Array) -> Array:
    """Covariance [K2] of what the wandering load has added by each reading, of what it ``added`` each minute [K]."""
    minutes = MINUTE * np.arange(1, len(added) + 1)
    since = time[:, None] - minutes[None]
    left = np.where(since >= 0.0, np.exp(-np.maximum(since, 0.0) / FORGOTTEN), 0.0)
    kept = left * share[:, None] * added
    memory = np.exp(-np.abs(minutes[:, None] - minutes[None]) / WANDER_MEMORY)
    return np.asarray(kept @ memory @ kept.T)


def load_wanders(heat: FuelPower | None) -> float:
    """Share of the heat by which the load wanders: heat worked out from speeds is as little measured as none."""
    return WANDERS if heat is None or heat.source.of_the_road else MEASURED_WANDERS


def added_by_load(start: float, share: float, last: float) -> tuple[float, ...]:
    """What a load that wanders by ``share`` adds in each minute up to ``last`` [s]: that share of the rise that any
    healthy vehicle has from ``start`` [K].

    Not of the rise that was read: what the model may be wrong by must not depend on what was seen.
    """
    minutes = np.arange(0.0, last + MINUTE, MINUTE)
    course = max(WARM - start, 0.0) * -np.expm1(-minutes / WARMS_IN)
    return tuple((share * np.diff(course)).tolist())


def not_forgotten(series: Array, time: Array) -> Array:
    """S [K] of a series (samples, members) at times [s], its rise taken as even between two samples."""
    kept = np.zeros(series.shape)
    passed = np.diff(time)
    left = np.exp(-passed / FORGOTTEN)
    of_rise = (1.0 - left) * FORGOTTEN / passed  # share of what came between two samples that is left at the second
    rise = np.diff(series, axis=0) * of_rise[:, None]
    for k in range(len(rise)):
        kept[k + 1] = kept[k] * left[k] + rise[k]
    return kept
