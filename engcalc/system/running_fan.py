"""Where on its curve a fan is while it runs.

An operating point of a fan that switches for ever has the mean air of its cycle. No fan runs there: it stands, or it
runs at its speed. This gives the air of the second.
"""

from __future__ import annotations

import numpy as np

from engcalc.case.conditions import Conditions
from engcalc.components.fan import Fan, FanDrive
from engcalc.system.airflow import AirPoint, air_at, air_warmed, shutter_opening, thinned
from engcalc.system.balance import prepare_setting
from engcalc.system.plant import Plant
from engcalc.system.state import OperatingPoint
from engcalc.units import Array


def while_fan_runs(plant: Plant, conditions: Conditions, point: OperatingPoint, peak: float | None = None) -> AirPoint:
    """The air [m/s, m3/s of all fans, Pa] in a duty while its fan runs; the point's own where the fan does not cycle.

    Of a fan with two speeds it is the one up to which it goes in its cycle. Air as warm behind the core as in the mean
    of the cycle: some kelvins more or less move a fan's flow by a percent. A duty in time may settle with its fan off
    and yet get so hot that it comes on: ``peak`` [K] is its hottest coolant.
    """
    own = AirPoint(point.air_velocity, point.fan_flow, point.fan_pressure)
    fan = plant.airway.fan
    comes_on = peak is not None and fan.drive.switches and (conditions.fan_mode == 0.0) & (peak >= fan.on_temperature)
    cycles = np.asarray(point.cycles | (comes_on & (point.fan_speed <= 0.0)))
    if not cycles.any():
        return own
    setting = prepare_setting(plant, conditions)
    shutter = plant.airway.shutter
    opened = None if shutter is None else shutter_opening(shutter, point.coolant_out, setting.conditioning)
    nodes = air_at(plant.airway, setting.nodes, _engagement(plant.airway.fan, point), opened)
    runs = air_warmed(nodes, thinned(setting.nodes, point.air_out))
    return AirPoint(
        np.where(cycles, runs.velocity, own.velocity),
        np.where(cycles, runs.fan_flow, own.fan_flow),
        np.where(cycles, runs.fan_pressure, own.fan_pressure),
    )


def running_speed(plant: Plant, point: OperatingPoint) -> Array:
    """Speed [-] of full speed while the fan runs; the point's own where it does not cycle."""
    fan = plant.airway.fan
    return np.asarray(np.where(point.cycles, _engagement(fan, point) * fan.blows, point.fan_speed))


def _engagement(fan: Fan, point: OperatingPoint) -> Array:
    """Engagement [-] up to which a fan that cycles goes: low speed where it stands between, full speed else."""
    if fan.drive is not FanDrive.TWO_STAGE:
        return np.ones(point.status.shape)
    return np.where(point.on_share < 1.0, fan.low_speed, 1.0)
