"""The fuel that the engine took in a run of the warm-up, and where its power went.

Every part is found anew by the engine's own equations, at the coolant and the oil that the run noted at each renewal:
fuel = crank + metal + exhaust + unburnt + rest in each step. Late ignition and the rich mixture of a cold start are in
it (``engine.after_cold_start``). The steps count neither what is unburnt nor what leaves hot: no coolant gets it.

Where the fuel was measured, what burns of it is in the drive already. Its richness is the log's, or 1 where there is
none.
A hybrid's engine that starts once more in the same run counts as started once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engcalc.components.cold_mixture import richness
from engcalc.components.engine import EngineHeat, after_cold_start, engine_heat, idling_at, late_fuel, with_fan
from engcalc.properties.fuel import FUELS, Fuel
from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.lumps import late_heat, load_in, row_load
from engcalc.system.in_time.warmed import EngineCourse, Warmup
from engcalc.system.plant import Plant
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class FuelUse:
    """Heat values summed from the start to each of ``time`` [s]: J, shape (times, members)."""

    time: Array
    taken: Array  # all fuel
    crank: Array  # work at the crankshaft
    metal: Array  # heat into the engine, of which the coolant and the surface take theirs
    exhaust: Array  # sensible heat with the exhaust
    unburnt: Array  # chemical, with the exhaust: of the rich mixture
    rest: Array
    late: Array  # fuel of late ignition, which is in metal and exhaust
    fuel: Fuel

    @property
    def mass(self) -> Array:
        """Fuel that was taken [kg]."""
        return self.taken / FUELS[self.fuel].lower_heating_value

    def extra_share(self, time: float) -> Array:
        """What the rich mixture and late ignition took by a time [s] over all other fuel until then [-], (members,)."""
        taken = self._summed_until(self.taken, time)
        extra = self._summed_until(self.unburnt + self.late, time)
        return np.asarray(extra / np.maximum(taken - extra, 1.0))

    def _summed_until(self, summed: Array, time: float) -> Array:
        return np.array([np.interp(time, self.time, member) for member in summed.T])


def fuel_use(plant: Plant, drive: Drive, warmup: Warmup) -> FuelUse:
    """The fuel of a run that ``warm_up`` made of this plant and this drive."""
    steps = round(float(warmup.time[-1]) / drive.step)
    members = warmup.engine.T_feed.shape[-1]
    heat, late = step_heat(plant, drive, warmup.engine, steps)

    def summed(power: Array) -> Array:
        in_steps = np.broadcast_to(power.mean(axis=1), (steps, members))
        return np.concatenate((np.zeros((1, members)), np.cumsum(in_steps, axis=0) * drive.step))

    return FuelUse(
        time=drive.step * np.arange(steps + 1.0),
        taken=summed(heat.fuel_power),
        crank=summed(heat.brake_power),
        metal=summed(heat.heat_to_metal),
        exhaust=summed(heat.heat_exhaust),
        unburnt=summed(heat.heat_unburnt),
        rest=summed(heat.heat_rest),
        late=summed(late),
        fuel=plant.engine.fuel,
    )


def step_heat(plant: Plant, drive: Drive, course: EngineCourse, steps: int) -> tuple[EngineHeat, Array]:
    """Where the fuel's power goes in each of the first steps, and the fuel power of late ignition [W].

    Both (steps, rows of a step, members).
    """
    rows = drive.which[:steps]
    on_rows = row_load(plant, drive)
    stretch = np.searchsorted(course.begins, np.arange(steps), side="right") - 1
    feed, oil, fan = (noted[stretch][:, None] for noted in (course.T_feed, course.T_oil, course.fan))
    idling = idling_at(plant.engine, load_in(on_rows, rows), feed)
    load = with_fan(plant.engine, idling, fan)
    late = np.zeros((steps, 1, feed.shape[-1]))
    metal = late_heat(plant, drive, on_rows)[:steps]
    late[: len(metal), 0] = late_fuel(metal)
    middles = np.arange(steps) + 0.5
    since_start = np.asarray(middles[:, None, None] * drive.step, np.float64)
    modelled = richness(plant.engine.fuel, feed, since_start)
    logged = np.ones(1) if drive.richness is None else drive.richness[rows]
    rich = np.where(np.isfinite(load.fuel_flow), logged, modelled)
    return after_cold_start(engine_heat(plant.engine, load, oil), rich, late), late
