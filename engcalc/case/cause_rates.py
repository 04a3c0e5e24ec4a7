"""The section of base rates: how often each cause is behind a visit like this one, where a workshop counts its own.

A key is a cause's, its label what the cause is called everywhere. What is not given here is common practice by the
reason for the visit (:mod:`engcalc.causes.base_rates`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, Input
from engcalc.units import Array


def rate(label: str) -> Input:
    """Declare the base rate of one cause."""
    return Input(
        "",
        label,
        "fraction",
        limits=("0 %", "100 %"),
        level=DetailLevel.DETAIL,
        help="How often it is behind such a visit, before scaling. Absent: common practice, no source.",
    )


@dataclass(frozen=True, eq=False)
class BaseRateInputs:
    """One weight for each cause; they need not sum to 100 %, as what a vehicle cannot have drops out."""

    healthy: Annotated[Array | None, rate("No fault that these readings would show")]
    thermostat_stuck_open: Annotated[Array | None, rate("The thermostat stands open and does not close")]
    thermostat_missing: Annotated[Array | None, rate("There is no thermostat in the housing")]
    thermostat_opens_early: Annotated[Array | None, rate("The thermostat opens well under its rating")]
    thermostat_slow: Annotated[Array | None, rate("The thermostat follows the coolant too slowly")]
    thermostat_stuck_shut: Annotated[Array | None, rate("The thermostat does not open")]
    low_coolant: Annotated[Array | None, rate("Coolant is missing")]
    external_leak: Annotated[Array | None, rate("Coolant leaks out")]
    heater_core_restricted: Annotated[Array | None, rate("The heater core is clogged")]
    heater_valve_closed: Annotated[Array | None, rate("The heater's coolant valve stays shut")]
    heater_blend_stuck: Annotated[Array | None, rate("The flap that leads air through the heater is stuck")]
    heater_airflow_low: Annotated[Array | None, rate("The heater gets too little air")]
    heater_hoses_swapped: Annotated[Array | None, rate("The heater hoses are swapped")]
    pump_weak: Annotated[Array | None, rate("The coolant pump conveys too little")]
    pump_not_commanded: Annotated[Array | None, rate("The electric coolant pump is not driven")]
    suction_hose_collapsed: Annotated[Array | None, rate("The suction hose collapses")]
    radiator_restricted: Annotated[Array | None, rate("The radiator is clogged inside")]
    face_blocked: Annotated[Array | None, rate("The radiator's face is covered or dirty")]
    seals_missing: Annotated[Array | None, rate("Seals or ducts in front of the radiator are missing")]
    shutter_stuck: Annotated[Array | None, rate("The grille shutter is stuck shut")]
    fan_not_running: Annotated[Array | None, rate("The radiator fan does not run")]
    fan_always_on: Annotated[Array | None, rate("The radiator fan runs all the time")]
    fan_clutch_slipping: Annotated[Array | None, rate("The fan clutch slips")]
    fan_reversed: Annotated[Array | None, rate("The fan blows the wrong way")]
    cap_weak: Annotated[Array | None, rate("The cap does not hold its pressure")]
    wrong_mixture: Annotated[Array | None, rate("The coolant is mixed wrongly")]
    sensor_reads_low: Annotated[Array | None, rate("The coolant sensor reads too low")]
    sensor_reads_high: Annotated[Array | None, rate("The coolant sensor reads too high")]
    sensor_erratic: Annotated[Array | None, rate("The coolant sensor or its wiring jumps")]
    sensor_in_air: Annotated[Array | None, rate("The coolant sensor stands in air")]
    gas_in_coolant: Annotated[Array | None, rate("Combustion gas gets into the coolant")]
    excess_heat: Annotated[Array | None, rate("The engine gives off more heat than it should")]
    not_in_list: Annotated[Array | None, rate("Something that is not in this list")]
