"""The one table of results that screen, PDF and command line share."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.studies.checked import DutyCheck
from engcalc.system.state import Regime, Status

ONE_TEMPERATURE = 0.05  # K; a range that is narrower shows as one


@dataclass(frozen=True)
class ResultRow:
    """One result of a duty: key in the JSON, label, symbol, kind (of :mod:`engcalc.units`), and how to get it, SI."""

    key: str
    label: str
    symbol: str
    kind: str
    getter: Callable[[DutyCheck], float | None]


ON_A_BENCH: Mapping[str, str] = {  # a rig has a heater where a vehicle has its engine
    "coolant_out_degC": "Coolant out of the rig's heater",
    "coolant_rise_K": "Rise across the rig's heater",
    "coolant_flow_kg_s": "Coolant through the rig",
}


def result_name(row: ResultRow, *, bench: bool) -> str:
    """What a result is called in a table of duties; ``bench``: of a rig, which has no engine."""
    return ON_A_BENCH.get(row.key, row.label) if bench else row.label


def _of_point(name: str) -> Callable[[DutyCheck], float | None]:
    """A field of the operating point; None where the duty has no solution."""
    return lambda duty: _number(getattr(duty.point, name)) if duty.status is Status.SOLVED else None


def _of_span(name: str) -> Callable[[DutyCheck], float | None]:
    """An end of the range in which the coolant stands or swings; None where it is one temperature."""

    def read(duty: DutyCheck) -> float | None:
        low, high = duty.swing
        if duty.status is not Status.SOLVED or high - low <= ONE_TEMPERATURE:
            return None
        return low if name == "low" else high

    return read


def _of_core(read: Callable[[DutyCheck], object]) -> Callable[[DutyCheck], float | None]:
    return lambda duty: _number(read(duty)) if duty.status is Status.SOLVED else None


def _number(value: object) -> float | None:
    number = float(np.ravel(np.asarray(value, dtype=np.float64))[0])
    return number if np.isfinite(number) else None


RESULTS: tuple[ResultRow, ...] = (
    ResultRow(
        "coolant_out_degC",
        "Coolant out of the engine",
        "T_eo",
        "temperature",
        lambda d: d.coolant_out if d.status is Status.SOLVED else None,
    ),
    ResultRow("span_low_degC", "Lowest it stands or swings to", "T_lo", "temperature", _of_span("low")),
    ResultRow("span_high_degC", "Highest it stands or swings to", "T_hi", "temperature", _of_span("high")),
    ResultRow("start_degC", "Coolant at the duty's start", "T_0", "temperature", lambda d: d.start),
    ResultRow("peak_degC", "Highest in the duty's time", "T_peak", "temperature", lambda d: d.peak),
    ResultRow("time_to_limit_s", "Limit reached after", "t_lim", "time", lambda d: d.time_to_limit),
    ResultRow("limit_degC", "Limit", "T_lim", "temperature", lambda d: d.limit),
    ResultRow("margin_K", "Margin to the limit", "dT_m", "temperature difference", lambda d: d.margin),
    ResultRow(
        "boiling_degC", "Boiling point under the cap", "T_boil", "temperature", lambda d: _number(d.point.boiling)
    ),
    ResultRow("boiling_margin_K", "Margin to boiling", "dT_boil", "temperature difference", lambda d: d.boiling_margin),
    ResultRow("air_to_boil_degC", "Air-to-boil, valve held open", "ATB", "temperature", lambda d: d.air_to_boil),
    ResultRow("limiting_ambient_degC", "Limiting ambient", "T_amb,lim", "temperature", lambda d: d.limiting_ambient),
    ResultRow("holds_probability", "Odds of holding", "p", "fraction", lambda d: d.holds_probability),
    ResultRow("holds_probability_error", "Standard error of these odds", "u_p", "fraction", lambda d: d.holds_error),
    ResultRow("spread_low_degC", "Coolant, 5 % lie below", "T_5", "temperature", lambda d: d.spread_low),
    ResultRow("spread_high_degC", "Coolant, 95 % lie below", "T_95", "temperature", lambda d: d.spread_high),
    ResultRow("engine_speed_rev_s", "Engine speed", "n", "rotation", _of_point("engine_speed")),
    ResultRow("brake_power_W", "Power at the crankshaft", "P", "power", _of_point("brake_power")),
    ResultRow("accessory_power_W", "Of it for accessories", "P_acc", "power", _of_point("accessory_power")),
    ResultRow("fuel_power_W", "Power in the fuel", "P_fuel", "heat rate", _of_point("fuel_power")),
    ResultRow("heat_to_metal_W", "Heat into the metal", "Q_metal", "heat rate", _of_point("heat_to_metal")),
    ResultRow("heat_exhaust_W", "Heat with the exhaust", "Q_exh", "heat rate", _of_point("heat_exhaust")),
    ResultRow("heat_rest_W", "Other losses", "Q_rest", "heat rate", _of_point("heat_rest")),
    ResultRow("extra_heat_W", "Heat of other sources", "Q_x", "heat rate", _of_point("extra_heat")),
    ResultRow(
        "coolant_heater_heat_W",
        "Heat of the coolant heater",
        "Q_ch",
        "heat rate",
        lambda d: _of_point("coolant_heater_heat")(d) or None,
    ),
    ResultRow("surface_heat_W", "Heat lost from the engine's surface", "Q_s", "heat rate", _of_point("surface_heat")),
    ResultRow("heat_to_coolant_W", "Heat to the coolant", "Q_c", "heat rate", _of_point("heat_to_coolant")),
    ResultRow(
        "tank_heat_W",
        "Heat of oil coolers in the radiator's tanks",
        "Q_t",
        "heat rate",
        lambda d: (_of_point("hot_tank_heat")(d) or 0.0) + (_of_point("cold_tank_heat")(d) or 0.0) or None,
    ),
    ResultRow("radiator_heat_W", "Heat given off by the radiator", "Q_rad", "heat rate", _of_point("radiator_heat")),
    ResultRow("heater_heat_W", "Heat given off by the heater", "Q_heat", "heat rate", _of_point("heater_heat")),
    ResultRow("hose_heat_W", "Heat lost from the heater's hoses", "Q_hose", "heat rate", _of_point("hose_heat")),
    ResultRow("vent_degC", "Air from the vents, not cooled", "T_vent", "temperature", _of_point("vent")),
    ResultRow("cabin_degC", "Cabin, settled, not cooled", "T_cab", "temperature", _of_point("cabin")),
    ResultRow("coolant_flow_kg_s", "Coolant through the engine", "m_e", "mass flow", _of_point("coolant_mass_flow")),
    ResultRow(
        "radiator_flow_kg_s", "Coolant through the radiator", "m_rad", "mass flow", _of_point("radiator_mass_flow")
    ),
    ResultRow("heater_flow_kg_s", "Coolant through the heater", "m_h", "mass flow", _of_point("heater_mass_flow")),
    ResultRow("bypass_flow_kg_s", "Coolant through the bypass", "m_b", "mass flow", _of_point("bypass_mass_flow")),
    ResultRow("thermostat_opening", "Thermostat open", "s", "fraction", _of_point("opening")),
    ResultRow(
        "thermostat_opens_degC",
        "Thermostat starts to open at",
        "T_open,load",
        "temperature",
        lambda d: None if d.regime is Regime.FREE else _of_point("opens_at")(d),
    ),
    ResultRow("radiator_out_degC", "Coolant out of the radiator", "T_co", "temperature", _of_point("radiator_out")),
    ResultRow(
        "coolant_rise_K", "Rise across the engine", "dT_eng", "temperature difference", _of_point("coolant_rise")
    ),
    ResultRow("air_velocity_m_s", "Air at the core's face", "v_a", "air speed", _of_point("air_velocity")),
    ResultRow("air_in_degC", "Air into the core", "T_ai", "temperature", _of_point("air_in")),
    ResultRow("air_out_degC", "Air behind the core", "T_ao", "temperature", _of_point("air_out")),
    ResultRow(
        "upstream_heat_W", "Heat of coolers ahead", "Q_u", "heat rate", lambda d: _of_point("upstream_heat")(d) or None
    ),
    ResultRow("fan_speed", "Fan speed", "n_f", "fraction", _of_point("fan_speed")),
    ResultRow("fan_on_share", "Fan on", "x_on", "fraction", _of_point("on_share")),
    ResultRow("ua_W_K", "Conductance of the radiator", "UA", "conductance", _of_core(lambda d: d.point.core.UA)),
    ResultRow("ntu", "Number of transfer units", "NTU", "number", _of_core(lambda d: d.point.core.NTU)),
    ResultRow("capacity_ratio", "Capacity ratio", "C_r", "number", _of_core(lambda d: d.point.core.Cr)),
    ResultRow("effectiveness", "Effectiveness", "eps", "fraction", _of_core(lambda d: d.point.core.effectiveness)),
    ResultRow(
        "energy_residual_W", "Left over in the heat balance", "Q_res", "small heat rate", _of_point("energy_residual")
    ),
)
BY_KEY = {row.key: row for row in RESULTS}
