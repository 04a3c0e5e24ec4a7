"""What a fact seen at the vehicle means and what to do next, in plain sentences. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping

VALVE_SEEN: Mapping[str, str] = {  # facts of a valve that passes coolant while it should be shut
    "upper_hose_warms_early": (
        "The upper radiator hose got warm while the engine was still cold: that points to a thermostat that does "
        "not close."
    ),
    "thermostat_open_when_cold": (
        "The thermostat was open when taken out cold: replace it. Some lock open by design once the engine has run "
        "too hot, so look for the cause of that as well."
    ),
    "thermostat_missing": "There is no thermostat in the housing: fit one of the maker's rating.",
}

VALVE_SEEN_BEFORE: Mapping[str, str] = {  # of a valve looked at before a repair: what was seen, and no more
    "thermostat_open_when_cold": "The thermostat was open when taken out cold.",
    "thermostat_missing": "There was no thermostat in the housing.",
}

HOSE_SEEN: Mapping[str, str] = {  # the upper hose warms early, by where the valve sits
    "outlet": (
        "The upper radiator hose warms while the engine is still cold: that points to a thermostat that does not close."
    ),
    "inlet": (
        "With the thermostat at the pump's inlet the upper radiator hose warms early in a healthy engine too. The "
        "lower hose is the one that should stay cool."
    ),
    "unknown": (
        "The upper radiator hose warms while the engine is still cold. With the thermostat at the engine's "
        "outlet that is a fault, with one at the pump's inlet it is not: find out where it sits."
    ),
}

MEANS_SEEN: Mapping[str, str] = {  # what is left to say of a fact that the answer tells already, with what to do
    "level_low": "A low level lets air into the circuit: it stops heater and pump and fools the sensor.",
    "fan_runs_always": (
        "A fan that runs from a cold start on points to a sensor fault or a stuck relay. The control unit may be using "
        "a value of its own for the coolant."
    ),
}

NOT_SEEN: Mapping[str, str] = {  # of a fact that tells a fault where it is not so: what was seen, looking back
    "fan_runs_when_hot": "the radiator fan did not run with the engine hot",
    "fan_fuse_good": "the fan's fuse was blown",
    "fan_relay_works": "the fan's relay did not work",
    "fan_motor_runs": "the fan's motor did not run when fed from the battery",
    "belt_drives_pump": "the belt did not drive the coolant pump",
    "pressure_held_cold": "the cold system did not hold the tester's pressure",
    "cap_holds_pressure": "the cap did not hold its pressure",
    "thermostat_opens_hot": "the thermostat did not open fully in boiling water",
}

ACTS_SEEN: Mapping[str, str] = {  # facts that ask for an act of their own first
    "level_low": (
        "The coolant level is low: air in the circuit stops heater and pump and fools the sensor. With the "
        "engine cold, fill up, bleed, find the leak, then read again."
    ),
    "coolant_leak": "Coolant leaks: find and mend the leak before any other conclusion.",
    "bubbles_when_running": (
        "Bubbles rise with the engine running: test for combustion gas first. Do not seal the "
        "system again after a positive test."
    ),
    "belt_drives_pump": "The belt does not drive the coolant pump: nothing circulates. Mend the drive first.",
    "lower_hose_collapses": "The lower hose collapses at engine speed: it starves the pump. Replace it, check the cap.",
    "fan_runs_when_hot": (
        "The radiator fan does not run when hot. With the engine off, check in this order: fuse, relay, motor; then "
        "the switch or command."
    ),
    "fan_fuse_good": "The fan's fuse is blown: find out why before another of the same rating is fitted.",
    "fan_relay_works": "The fan's relay does not work: replace it.",
    "fan_motor_runs": "The fan's motor does not run when fed from the battery: replace it.",
    "fan_runs_always": (
        "The radiator fan runs from a cold start on: a sensor fault or a stuck relay; the control unit "
        "may be using a value of its own for the coolant."
    ),
    "combustion_gas_found": (
        "The test found combustion gas in the coolant: gas leaks from a cylinder. Do not seal or "
        "pressurise the system and do not drive on before that is mended."
    ),
    "pressure_held_cold": "The cold system does not hold the tester's pressure: find the leak, outside or inside.",
    "cap_holds_pressure": "The cap does not hold its pressure: fit one with the maker's pressure.",
    "thermostat_opens_hot": "The thermostat does not open fully in boiling water: replace it.",
    "seals_missing": "Seals or ducts in front of the radiator are missing: air passes beside it. Fit them.",
    "fan_blows_backward": "The radiator fan blows the wrong way: check how it is wired and mounted.",
    "heater_hoses_swapped": "The heater hoses are swapped: put them right, then bleed.",
    "face_dirty": "The radiator's face is dirty or covered: clean it, then judge the cooling.",
    "shutter_closed": "The grille shutter is closed: check whether it should at this temperature.",
}
