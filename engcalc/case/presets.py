"""Vehicle classes: values typical of a class, invented here, for everything that a person does not type.

No number here belongs to a real vehicle. Each is a round value of common practice, no source, for a vehicle of the
class; its spread stands with the input's declaration (:class:`engcalc.case.declare.Input`), since it tells how far
vehicles of one class differ. A value in ``COMMON`` holds for every class that does not name its own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

CLASS_LABELS: Mapping[str, str] = {
    "small car": "up to about 1.3 L, front engine",
    "family car": "about 1.4 to 2 L, front engine",
    "large car": "large saloon or sport utility, 2 to 3.5 L",
    "sports car": "high power, low drag, often on a track",
    "pickup": "light truck with a large petrol engine",
    "delivery van": "box or panel van to 3.5 t, diesel",
    "light truck": "truck from 3.5 to 12 t, diesel",
    "heavy truck": "truck above 12 t, diesel",
    "tractor": "farm or works tractor, diesel",
    "bench rig": "an exchanger on a bench, no vehicle around it",
}

COMMON: Mapping[str, str] = {
    "vehicle.mass": "1450 kg", "vehicle.frontal_area": "2.2 m2", "vehicle.drag_coefficient": "0.3",
    "engine.displacement": "1.6 L", "engine.rated_power": "85 kW", "engine.rated_speed": "5800 rpm",
    "engine.brake_thermal_efficiency": "29 %", "engine.coolant_share_rated": "24 %",
    "engine.coolant_share_idle": "70 %", "engine.friction_mep": "1.5 bar", "engine.metal_mass": "40 kg",
    "engine.surface_conductance": "12 W/K", "coolant.volume": "6.5 L", "thermostat.rating": "88 degC",
    "radiator.core_height": "380 mm", "radiator.core_width": "640 mm", "radiator.core_depth": "24 mm",
    "airflow.fan_free_flow": "2700 m3/h", "airflow.fan_stall_pressure": "230 Pa", "airflow.opening_area": "0.14 m2",
    "airflow.exit_area": "0.22 m2", "circuit.pump_flow": "120 L/min", "circuit.pump_flow_speed": "5000 rpm",
    "circuit.pump_shutoff_pressure": "130 kPa", "circuit.heater_flow": "16 L/min", "circuit.bypass_flow": "30 L/min",
    "heater.rated_output": "6.5 kW", "cabin.volume": "3 m3", "cabin.heat_loss": "85 W/K",
}

_BEHIND_A_VAN = {"duties[].trailer_drag_coefficient": "0.3"}  # a high vehicle shelters its trailer
_BEHIND_A_TRUCK = {"duties[].trailer_frontal_area": "9 m2", "duties[].trailer_drag_coefficient": "0.2"}

CLASSES: Mapping[str, Mapping[str, str]] = {
    "small car": {
        "vehicle.mass": "1080 kg", "vehicle.frontal_area": "2.05 m2", "vehicle.drag_coefficient": "0.32",
        "engine.displacement": "1.1 L", "engine.rated_power": "52 kW", "engine.rated_speed": "5600 rpm",
        "engine.metal_mass": "30 kg", "engine.surface_conductance": "9 W/K", "coolant.volume": "4.8 L",
        "radiator.core_height": "330 mm", "radiator.core_width": "480 mm", "radiator.core_depth": "18 mm",
        "airflow.fan_free_flow": "1900 m3/h", "airflow.fan_stall_pressure": "180 Pa",
        "airflow.opening_area": "0.09 m2", "airflow.exit_area": "0.15 m2", "circuit.pump_flow": "85 L/min",
        "circuit.heater_flow": "13 L/min", "circuit.bypass_flow": "22 L/min", "heater.rated_output": "5.5 kW",
        "heater.blower_flow": "260 m3/h", "cabin.volume": "2.6 m3", "cabin.heat_loss": "75 W/K"},
    "family car": {},
    "large car": {
        "vehicle.mass": "2000 kg", "vehicle.frontal_area": "2.7 m2", "vehicle.drag_coefficient": "0.33",
        "engine.displacement": "2.5 L", "engine.rated_power": "150 kW", "engine.rated_speed": "5600 rpm",
        "engine.aspiration": "turbo", "engine.metal_mass": "60 kg", "engine.surface_conductance": "16 W/K",
        "coolant.volume": "9 L", "radiator.core_height": "440 mm", "radiator.core_width": "720 mm",
        "radiator.core_depth": "30 mm", "airflow.fan_free_flow": "2600 m3/h", "airflow.fan_count": "2",
        "airflow.fan_stall_pressure": "280 Pa", "airflow.opening_area": "0.2 m2", "airflow.exit_area": "0.3 m2",
        "circuit.pump_flow": "180 L/min", "circuit.pump_shutoff_pressure": "150 kPa", "circuit.heater_flow": "20 L/min",
        "circuit.bypass_flow": "40 L/min", "heater.rated_output": "8 kW", "heater.blower_flow": "380 m3/h",
        "heater.rated_air_flow": "380 m3/h",
        "cabin.volume": "4.2 m3", "cabin.heat_loss": "105 W/K"},
    "sports car": {
        "vehicle.mass": "1350 kg", "vehicle.frontal_area": "2 m2", "vehicle.drag_coefficient": "0.34",
        "engine.displacement": "2.4 L", "engine.rated_power": "190 kW", "engine.rated_speed": "7000 rpm",
        "engine.metal_mass": "52 kg", "engine.surface_conductance": "14 W/K", "coolant.volume": "8 L",
        "radiator.core_height": "380 mm", "radiator.core_width": "680 mm", "radiator.core_depth": "36 mm",
        "airflow.fan_free_flow": "2600 m3/h", "airflow.fan_stall_pressure": "260 Pa",
        "airflow.opening_area": "0.17 m2", "airflow.exit_area": "0.26 m2", "circuit.pump_flow": "190 L/min",
        "circuit.pump_flow_speed": "6500 rpm", "circuit.pump_shutoff_pressure": "160 kPa", "circuit.pump_ratio": "1"},
    "pickup": {
        "vehicle.mass": "2300 kg", "vehicle.frontal_area": "3.2 m2", "vehicle.drag_coefficient": "0.42",
        "engine.displacement": "5 L", "engine.rated_power": "240 kW", "engine.rated_speed": "5500 rpm",
        "engine.friction_mep": "1.4 bar", "engine.metal_mass": "95 kg", "engine.surface_conductance": "24 W/K",
        "engine.idle_speed": "650 rpm", "coolant.volume": "14 L", "radiator.core_height": "480 mm",
        "radiator.core_width": "800 mm", "radiator.core_depth": "40 mm", "radiator.tube_rows": "2",
        "airflow.fan_drive": "viscous clutch", "airflow.fan_free_flow": "8000 m3/h",
        "airflow.fan_stall_pressure": "420 Pa", "airflow.opening_area": "0.28 m2", "airflow.exit_area": "0.42 m2",
        "circuit.pump_flow": "280 L/min", "circuit.pump_shutoff_pressure": "170 kPa", "circuit.heater_flow": "20 L/min",
        "circuit.bypass_flow": "50 L/min", "heater.rated_output": "9 kW", "heater.blower_flow": "420 m3/h",
        "heater.rated_air_flow": "420 m3/h",
        "cabin.volume": "3.8 m3", "cabin.heat_loss": "110 W/K"},
    "delivery van": {
        **_BEHIND_A_VAN,
        "vehicle.mass": "2600 kg", "vehicle.frontal_area": "4.4 m2", "vehicle.drag_coefficient": "0.36",
        "engine.fuel": "diesel", "engine.displacement": "2.2 L", "engine.rated_power": "100 kW",
        "engine.rated_speed": "3600 rpm", "engine.aspiration": "turbo", "engine.brake_thermal_efficiency": "36 %",
        "engine.coolant_share_rated": "24 %", "engine.coolant_share_idle": "64 %", "engine.friction_mep": "1.9 bar",
        "engine.air_fuel_ratio": "2", "engine.metal_mass": "104 kg", "engine.surface_conductance": "18 W/K",
        "coolant.volume": "10 L", "radiator.core_height": "460 mm", "radiator.core_width": "680 mm",
        "radiator.core_depth": "30 mm", "airflow.fan_free_flow": "3600 m3/h", "airflow.fan_stall_pressure": "280 Pa",
        "airflow.opening_area": "0.2 m2", "airflow.exit_area": "0.3 m2", "circuit.pump_flow": "170 L/min",
        "circuit.pump_ratio": "1.3", "circuit.pump_flow_speed": "4500 rpm", "circuit.pump_shutoff_pressure": "140 kPa",
        "circuit.heater_flow": "18 L/min", "circuit.bypass_flow": "38 L/min", "heater.rated_output": "8.5 kW",
        "heater.blower_flow": "420 m3/h", "heater.rated_air_flow": "420 m3/h",
        "cabin.volume": "4.5 m3", "cabin.heat_loss": "130 W/K"},
    "light truck": {
        **_BEHIND_A_VAN,
        "vehicle.mass": "7500 kg", "vehicle.frontal_area": "6.5 m2", "vehicle.drag_coefficient": "0.55",
        "vehicle.rolling_coefficient": "0.009", "engine.fuel": "diesel", "engine.displacement": "5 L",
        "engine.rated_power": "160 kW", "engine.rated_speed": "2400 rpm", "engine.aspiration": "turbo",
        "engine.brake_thermal_efficiency": "38 %", "engine.coolant_share_rated": "23 %",
        "engine.coolant_share_idle": "58 %", "engine.friction_mep": "1.5 bar", "engine.air_fuel_ratio": "1.9",
        "engine.metal_mass": "225 kg", "engine.surface_conductance": "35 W/K", "engine.idle_speed": "700 rpm",
        "coolant.volume": "20 L", "radiator.core_height": "620 mm", "radiator.core_width": "700 mm",
        "radiator.core_depth": "42 mm", "radiator.tube_rows": "2", "airflow.fan_drive": "viscous clutch",
        "airflow.fan_free_flow": "11000 m3/h", "airflow.fan_stall_pressure": "550 Pa",
        "airflow.opening_area": "0.4 m2", "airflow.exit_area": "0.6 m2", "circuit.pump_flow": "280 L/min",
        "circuit.pump_ratio": "1.5", "circuit.pump_flow_speed": "3600 rpm", "circuit.pump_shutoff_pressure": "150 kPa",
        "circuit.heater_flow": "20 L/min", "circuit.bypass_flow": "70 L/min", "thermostat.rating": "83 degC",
        "limits.coolant_limit": "107 degC", "heater.rated_output": "9 kW", "heater.blower_flow": "420 m3/h",
        "heater.rated_air_flow": "420 m3/h",
        "cabin.volume": "4.5 m3", "cabin.heat_loss": "130 W/K"},
    "heavy truck": {
        **_BEHIND_A_TRUCK,
        "vehicle.mass": "32 t", "vehicle.frontal_area": "9.5 m2", "vehicle.drag_coefficient": "0.55",
        "vehicle.rolling_coefficient": "0.006", "engine.fuel": "diesel", "engine.displacement": "12.5 L",
        "engine.rated_power": "340 kW", "engine.rated_speed": "1800 rpm", "engine.aspiration": "turbo",
        "engine.brake_thermal_efficiency": "42 %", "engine.coolant_share_rated": "21 %",
        "engine.coolant_share_idle": "55 %", "engine.friction_mep": "1.4 bar", "engine.air_fuel_ratio": "1.8",
        "engine.metal_mass": "570 kg", "engine.surface_conductance": "70 W/K", "engine.idle_speed": "600 rpm",
        "coolant.volume": "45 L", "radiator.core_height": "1000 mm", "radiator.core_width": "850 mm",
        "radiator.core_depth": "52 mm", "radiator.tube_rows": "2", "airflow.fan_drive": "viscous clutch",
        "airflow.fan_free_flow": "22000 m3/h", "airflow.fan_stall_pressure": "900 Pa",
        "airflow.opening_area": "0.75 m2", "airflow.exit_area": "1 m2", "circuit.pump_flow": "480 L/min",
        "circuit.pump_ratio": "1.8", "circuit.pump_flow_speed": "3200 rpm", "circuit.pump_shutoff_pressure": "200 kPa",
        "circuit.heater_flow": "25 L/min", "circuit.bypass_flow": "120 L/min", "thermostat.rating": "86 degC",
        "limits.coolant_limit": "107 degC", "heater.rated_output": "11 kW", "heater.blower_flow": "500 m3/h",
        "heater.rated_air_flow": "500 m3/h",
        "cabin.volume": "8 m3", "cabin.heat_loss": "160 W/K"},
    "tractor": {
        "vehicle.mass": "6500 kg", "vehicle.frontal_area": "5 m2", "vehicle.drag_coefficient": "0.9",
        "vehicle.rolling_coefficient": "0.03", "engine.fuel": "diesel", "engine.displacement": "4.5 L",
        "engine.rated_power": "90 kW", "engine.rated_speed": "2200 rpm", "engine.aspiration": "turbo",
        "engine.brake_thermal_efficiency": "38 %", "engine.coolant_share_rated": "23 %",
        "engine.coolant_share_idle": "58 %", "engine.friction_mep": "1.5 bar", "engine.air_fuel_ratio": "1.9",
        "engine.metal_mass": "205 kg", "engine.surface_conductance": "35 W/K", "coolant.volume": "18 L",
        "radiator.core_height": "600 mm", "radiator.core_width": "560 mm", "radiator.core_depth": "48 mm",
        "radiator.tube_rows": "2", "airflow.fan_drive": "fixed", "airflow.fan_free_flow": "9000 m3/h",
        "airflow.fan_stall_pressure": "500 Pa", "airflow.opening_area": "0.3 m2", "airflow.exit_area": "0.5 m2",
        "airflow.ram_recovery": "20 %", "circuit.pump_flow": "200 L/min", "circuit.pump_ratio": "1.4",
        "circuit.pump_flow_speed": "3000 rpm", "circuit.pump_shutoff_pressure": "110 kPa",
        "circuit.bypass_flow": "50 L/min", "thermostat.rating": "82 degC", "limits.coolant_limit": "107 degC",
        "heater.rated_output": "7 kW", "cabin.volume": "3.5 m3", "cabin.heat_loss": "150 W/K"},
    "bench rig": {
        "vehicle.mass": "0 kg", "engine.surface_conductance": "0 W/K", "engine.friction_mep": "0 bar",
        "engine.metal_mass": "1 kg", "coolant.base": "water", "coolant.concentration": "0 %", "coolant.volume": "3 L",
        "coolant.cap_pressure": "0 bar", "coolant.tank": "none", "thermostat.kind": "none", "thermostat.bypass": "none",
        "limits.coolant_limit": "95 degC", "radiator.core_height": "200 mm", "radiator.core_width": "250 mm",
        "radiator.core_depth": "32 mm", "airflow.fan_drive": "none", "airflow.fan_free_flow": "0 m3/h",
        "circuit.pump_drive": "electric", "circuit.pump_flow": "15 L/min", "circuit.pump_shutoff_pressure": "40 kPa",
        "circuit.heater_flow": "0 L/min", "circuit.bypass_flow": "0 L/min", "heater.rated_output": "0 W",
        "heater.valve": "closed"},
}


DIESEL = "diesel"
OTHER_FUEL: Mapping[str, Mapping[str, str]] = {
    "small car": {
        "engine.displacement": "1.4 L", "engine.rated_power": "55 kW", "engine.rated_speed": "4000 rpm",
        "engine.aspiration": "turbo", "engine.brake_thermal_efficiency": "36 %", "engine.coolant_share_rated": "23 %",
        "engine.coolant_share_idle": "64 %", "engine.friction_mep": "1.9 bar", "engine.air_fuel_ratio": "2",
        "engine.metal_mass": "66 kg"},
    "family car": {
        "engine.displacement": "2 L", "engine.rated_power": "105 kW", "engine.rated_speed": "4000 rpm",
        "engine.aspiration": "turbo", "engine.brake_thermal_efficiency": "37 %", "engine.coolant_share_rated": "23 %",
        "engine.coolant_share_idle": "64 %", "engine.friction_mep": "1.9 bar", "engine.air_fuel_ratio": "2",
        "engine.metal_mass": "95 kg", "coolant.volume": "7.5 L"},
    "large car": {
        "engine.displacement": "3 L", "engine.rated_power": "170 kW", "engine.rated_speed": "4000 rpm",
        "engine.brake_thermal_efficiency": "38 %", "engine.coolant_share_rated": "23 %",
        "engine.coolant_share_idle": "64 %", "engine.friction_mep": "1.9 bar", "engine.air_fuel_ratio": "2",
        "engine.metal_mass": "140 kg"},
    "pickup": {
        "engine.displacement": "3 L", "engine.rated_power": "150 kW", "engine.rated_speed": "3400 rpm",
        "engine.aspiration": "turbo", "engine.brake_thermal_efficiency": "37 %", "engine.coolant_share_rated": "24 %",
        "engine.coolant_share_idle": "64 %", "engine.friction_mep": "1.9 bar", "engine.air_fuel_ratio": "2",
        "engine.metal_mass": "140 kg"},
    "delivery van": {
        "engine.displacement": "3.5 L", "engine.rated_power": "200 kW", "engine.rated_speed": "5500 rpm",
        "engine.aspiration": "natural", "engine.brake_thermal_efficiency": "29 %", "engine.coolant_share_rated": "24 %",
        "engine.coolant_share_idle": "68 %", "engine.friction_mep": "1.4 bar", "engine.air_fuel_ratio": "1",
        "engine.metal_mass": "75 kg"},
}
"""What differs with the other ignition: a diesel where the class is petrol by default, petrol where it is diesel."""


def burns_diesel(class_name: str, fuel: str | None = None) -> bool:
    """Whether the engine of a class burns diesel; ``fuel`` is the word that was typed, None for the class's own."""
    return (fuel or CLASSES.get(class_name, {}).get("engine.fuel", "")) == DIESEL


def class_value(class_name: str, path: str, fuel: str | None = None) -> tuple[str, str] | None:
    """The text typical of the class for this path, and where it comes from in words; None where the class has none.

    ``fuel`` is the fuel's word where one was typed: an engine of the class with the other way of ignition has values
    of its own. What a class says of an item of a list, such as ``duties[].trailer_frontal_area``, holds for each.
    """
    own, path = CLASSES.get(class_name, {}), re.sub(r"\[\d+\]", "[]", path)
    if burns_diesel(class_name, fuel) is not burns_diesel(class_name) and path in OTHER_FUEL.get(class_name, {}):
        with_fuel = "diesel" if burns_diesel(class_name, fuel) else "petrol or gas"
        return OTHER_FUEL[class_name][path], f"typical, by class: {class_name}, {with_fuel}"
    if path in own:
        return own[path], f"typical, by class: {class_name}"
    if path in COMMON:
        return COMMON[path], "typical, all classes"
    return None


def default_duties(class_name: str, reason: str | None) -> list[dict[str, str]]:
    """Duties for a case that names none: what the class does every day, and what the complaint is about."""
    if class_name == "bench rig":
        return [{"name": "Bench point", "coolant_flow": "10 L/min", "air_velocity": "3 m/s", "ambient": "20 degC"}]
    cold = reason in ("no heat", "slow warm-up")
    heavy = class_name in ("light truck", "heavy truck")
    fast = "80 km/h" if heavy else "120 km/h"
    if class_name == "tractor":
        return [{"name": "Idle"}, {"name": "Full load in the field", "brake_power": "90 kW", "vehicle_speed": "8 km/h"}]
    if cold:
        return [{"name": "Idle", "heater": "high"}, {"name": "Town, steady 50 km/h", "vehicle_speed": "50 km/h",
                                                      "heater": "high"}]
    return [{"name": "Idle"}, {"name": "Town, steady 50 km/h", "vehicle_speed": "50 km/h"},
            {"name": f"Open road, steady {fast}", "vehicle_speed": fast},
            {"name": "Hill, 6 % at 70 km/h" if not heavy else "Hill, 5 % at 40 km/h",
             "vehicle_speed": "40 km/h" if heavy else "70 km/h", "grade": "5 %" if heavy else "6 %"}]
