"""Duties that take what they leave open from a row of the first visit's log: speeds, fuel, outside temperature."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from engcalc.case.case import Case, Given, frozen_array
from engcalc.case.declare import Basis
from engcalc.case.records import Duty
from engcalc.components.engine import prepare_engine
from engcalc.errors import InputError, InputFault
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord
from engcalc.properties.fuel import FUELS, Fuel
from engcalc.vehicle.heat_source import FuelPower, fuel_power
from engcalc.vehicle.run import RECORDS, read_logs
from engcalc.words.texts import record_texts

HALF_WIDTH = 15.0  # s to either side of the row over which its values are averaged; common practice, no source
STEP = 1.0  # s

_Value = tuple[float, float, str]  # SI value, its standard uncertainty, kind


def with_logged_duties(case: Case, folder: Path | None) -> Case:
    """The case with its ``log_time`` duties filled in; the case itself where there are none.

    What a person typed for a duty stays. Raises InputError with the path of every duty that cannot be filled, or of a
    log that cannot be read. ``folder`` is where the case's logs lie.
    """
    if all(duty.log_time is None for duty in case.duties):
        return case
    if folder is None:
        raise InputError(
            (InputFault(f"duties[{_first(case)}].log_time", "", record_texts.SAVE_THE_CASE_BESIDE_ITS_LOG_FIRST),)
        )
    return filled(case, read_logs(case, folder))


def _first(case: Case) -> int:
    return next(i for i, duty in enumerate(case.duties) if duty.log_time is not None)


def filled(case: Case, logs: Mapping[str, LogRecord]) -> Case:
    """:func:`with_logged_duties` for logs that were read."""
    log = next((logs[name] for name in RECORDS if name in logs), None)
    if log is None:
        raise InputError(
            (InputFault(f"duties[{_first(case)}].log_time", "", record_texts.LOG_AMONG_THE_READINGS_WOULD_DO),)
        )
    heat = fuel_power(log, prepare_engine(case), Fuel(case.engine.fuel), step=STEP)
    duties = list(case.duties)
    given = dict(case.given)
    faults = []
    for i, duty in enumerate(duties):
        if duty.log_time is None:
            continue
        at = float(duty.log_time[0])
        if at > log.end:
            wanted = record_texts.AT_MOST_MIN_WOULD_DO.format(end=log.end / 60.0)
            faults.append(InputFault(f"duties[{i}].log_time", given[f"duties[{i}].log_time"].text, wanted))
            continue
        duties[i] = _filled(duty, f"duties[{i}]", dict(_read(log, heat, case, at)), given)
    if faults:
        raise InputError(tuple(faults))
    return replace(case, duties=tuple(duties), given=given)


def _filled(duty: Duty, path: str, read: Mapping[str, _Value], given: dict[str, Given]) -> Duty:
    """What was not typed, taken from the log; a power or fuel flow that was typed keeps the other away."""
    names = (*read, "brake_power", "wheel_power")
    typed = {name for name in names if (g := given.get(f"{path}.{name}")) is not None and g.typed}
    if typed & {"brake_power", "wheel_power", "fuel_flow"}:
        read = {name: value for name, value in read.items() if name != "fuel_flow"}
    values: dict[str, Any] = {}
    for name, (value, uncertainty, kind) in read.items():
        if name not in typed:
            values[name] = frozen_array(value)
            given[f"{path}.{name}"] = Given(f"{path}.{name}", "", Basis.MEASURED, "the log", uncertainty, kind, False)
    return replace(duty, **values)


def _read(log: LogRecord, heat: FuelPower | None, case: Case, at: float) -> Iterator[tuple[str, _Value]]:
    """Inputs of a duty that the log tells around a time."""
    for name, channel, kind in (
        ("engine_speed", Channel.ENGINE_SPEED, "rotation"),
        ("vehicle_speed", Channel.VEHICLE_SPEED, "vehicle speed"),
        ("ambient", Channel.AMBIENT, "temperature"),
    ):
        t, x = log.observed(channel)
        near = np.abs(t - at) <= HALF_WIDTH
        if near.any():
            yield name, (float(np.mean(x[near])), 0.0, kind)
    if heat is not None:
        near = (np.abs(heat.time - at) <= HALF_WIDTH) & heat.known
        if near.any():
            flow = float(np.mean(heat.power[near])) / FUELS[Fuel(case.engine.fuel)].lower_heating_value
            yield "fuel_flow", (flow, heat.relative_uncertainty * flow, "mass flow")
