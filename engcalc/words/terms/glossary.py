"""What each term and each result means, in one or two plain sentences."""

from __future__ import annotations

from collections.abc import Mapping

RESULT_WORDS: Mapping[str, str] = {
    "coolant_out_degC": "Temperature at which the coolant leaves the engine once all has settled, its mean where a fan switches; about "
    "what a gauge with its sensor at the outlet shows.",
    "span_low_degC": "A thermostat opens at a higher temperature than it shuts at, so that the coolant may stand anywhere in a "
    "range; where a fan switches it swings. Empty where it holds one temperature.",
    "span_high_degC": "The upper end of that range.",
    "start_degC": "Where a duty with a duration begins: as light running leaves the coolant, or where the duty before it ends.",
    "peak_degC": "The highest that the coolant gets: settled, at the top of a switching fan's cycle, or in the duty's duration.",
    "time_to_limit_s": "How long after its start the limit is reached if the duty goes on. Empty when it never is.",
    "limit_degC": "The lower of the coolant's limit and its boiling point.",
    "margin_K": "How far the peak stays under the limit. Below zero it is over.",
    "boiling_degC": "Where this mixture boils with the cap at its opening pressure, at this altitude, on the safe side.",
    "boiling_margin_K": "How far the peak stays under the boiling point.",
    "air_to_boil_degC": "Outside temperature at which the coolant would reach 100 °C with the thermostat held open and the fan on "
    "(SAE J1393). A yardstick between cooling systems, not a weather limit.",
    "limiting_ambient_degC": "Outside temperature at which the limit is just held in this duty, thermostat and fan working as they do. "
    "Empty when no weather breaks the limit.",
    "holds_probability": "Out of many vehicles that differ as much as the inputs are uncertain, the share that holds.",
    "holds_probability_error": "How far the odds may be off because only so many vehicles were drawn: two in three times they are no further.",
    "spread_low_degC": "One vehicle in twenty would peak below this, given how uncertain the inputs are.",
    "spread_high_degC": "One vehicle in twenty would peak above this, given how uncertain the inputs are.",
    "engine_speed_rev_s": "Engine speed that was given, or a guess from speed and load.",
    "brake_power_W": "Power at the crankshaft; below zero when the vehicle drives the engine.",
    "accessory_power_W": "Part of the power at the crankshaft: alternator with blower and electric fan, and the air conditioning.",
    "fuel_power_W": "Fuel burnt per second times its heating value.",
    "heat_to_metal_W": "The part of the fuel's power that heats the engine's metal; it goes on to the coolant and to the air around "
    "the engine.",
    "heat_exhaust_W": "The part that leaves with the exhaust.",
    "heat_rest_W": "Unburnt fuel, radiation and the like.",
    "extra_heat_W": "Heat that gearbox, oil, turbo or an immersion heater put into the coolant.",
    "coolant_heater_heat_W": "Heat of a fuel-fired or electric heater in the coolant circuit.",
    "surface_heat_W": "Heat that the engine's surface gives to the air under the bonnet.",
    "heat_to_coolant_W": "Heat that the coolant takes up in the engine. Radiator, heater and the heater's hoses give it off, with what "
    "a coolant heater adds.",
    "tank_heat_W": "Heat that oil coolers in the radiator's tanks put into the coolant, outside the engine.",
    "radiator_heat_W": "Heat that the radiator gives off.",
    "heater_heat_W": "Heat that the heater takes out of the coolant.",
    "hose_heat_W": "Heat that the hoses between engine and heater lose to the air on their way.",
    "vent_degC": "Temperature of the air from the vents. What an air conditioning takes off is not counted.",
    "cabin_degC": "Temperature at which the cabin would settle without air conditioning.",
    "coolant_flow_kg_s": "Coolant that the pump sends through the engine.",
    "radiator_flow_kg_s": "The part of it that goes through the radiator.",
    "heater_flow_kg_s": "The part that goes through the heater.",
    "bypass_flow_kg_s": "The part that goes round without giving off heat.",
    "thermostat_opening": "How far the thermostat is open.",
    "thermostat_opens_degC": "Wax temperature from which the thermostat opens at this load; load lowers it by design.",
    "radiator_out_degC": "Temperature of the coolant as it leaves the radiator.",
    "coolant_rise_K": "How much warmer the coolant leaves the engine than it enters.",
    "air_velocity_m_s": "Speed of the air as it meets the core, averaged over the face.",
    "air_in_degC": "Air as it enters the core: outside air, warmed by coolers ahead and by air drawn in again.",
    "air_out_degC": "Air as it leaves the core, all of it mixed.",
    "upstream_heat_W": "Heat that condenser, charge-air and oil coolers ahead of the radiator give off into its air, with "
    "what a warm bay gives it before.",
    "fan_speed": "Speed of the fan, share of its full speed, a mean where it switches; of a clutch, of what turns it.",
    "fan_on_share": "Share of the time that the fan runs.",
    "ua_W_K": "How many watts the radiator passes on for each kelvin of mean difference between coolant and air.",
    "ntu": "Conductance over the smaller heat-carrying capacity of the two flows: how large the core is for its flows.",
    "capacity_ratio": "The smaller heat-carrying capacity of the two flows over the larger.",
    "effectiveness": "Heat passed on over the most that could be, with a core of any size at these flows.",
    "energy_residual_W": "What is left over when all heat flows are added up; next to nothing when the answer is right.",
}

TERMS: Mapping[str, str] = {
    "undersized": "The settled coolant breaks its limit, or does not settle below boiling.",
    "overcooling": (
        "The coolant settles more than 11 K (20 °F) colder than the same vehicle would with a healthy thermostat. Or a "
        "reading lies that far under healthy vehicles. Or the thermostat was seen open while cold."
    ),
    "marginal": (
        "It holds, but with less margin or less certainty than was asked for; or a cold reading is one that "
        "vehicles with and without a fault may show."
    ),
    "holds": "It stays under its limit with the margin and the certainty asked for.",
    "heat-limited": "The engine makes too little heat in this running to warm the coolant, whatever the thermostat does. No part "
    "is at fault.",
    "regulating": "The thermostat is part open and holds the temperature.",
    "floating above full open": "The thermostat is fully open and the temperature follows load and weather.",
    "floating below start to open": "The thermostat is as shut as it gets and the temperature follows load and weather.",
    "cycling": "The fan switches on and off, or the thermostat keeps opening and shutting, and the temperature swings; shown is "
    "the mean.",
    "no valve": "No thermostat holds the temperature; it follows load and weather.",
    "no steady state below boiling": "More heat comes in than the system gives off below boiling: it would boil.",
    "measured": "Read with an instrument on this vehicle.",
    "published": "From the maker or another printed source.",
    "typical": "Typical of the class of vehicle; a real one differs by about the stated spread.",
    "assumed": "Set without a source.",
    "entered": "Typed in without saying where it comes from.",
    "derived": "Follows from other inputs.",
    "standard uncertainty": "About two times in three the true value lies within one of it, nineteen times in twenty within two.",
    "limiting ambient": RESULT_WORDS["limiting_ambient_degC"],
    "air-to-boil": RESULT_WORDS["air_to_boil_degC"],
}
