"""The conclusion on the vehicle in plain sentences: its name, its grounds, what to do next, what it means to leave it.

What a fact means and what is done about it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from engcalc.case.records import SPOT_PLACES
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.conclusion import GROUND_OF_FACT, Conclusion
from engcalc.diagnosis.grounds import Danger, Ground, GroundCode, VehicleState
from engcalc.diagnosis.hottest import HotReading
from engcalc.studies.checked import SettledOdds, WeighedOdds
from engcalc.units import UnitSystem, show
from engcalc.words.diagnosis.told_by_customer import gauge_said
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.terms.numbers import chance, difference, lowered, minutes, temperature

CAPACITY_QUESTION = "Would the system hold its duties?"
"""The name under which the capacity's verdict stands beside the conclusion."""

STATES: Mapping[VehicleState, str] = {
    VehicleState.HEALTHY: "Healthy",
    VehicleState.RUNS_COLD: "Runs cold",
    VehicleState.RUNS_HOT: "Runs hot",
    VehicleState.HEATS_POORLY: "Heats poorly",
    VehicleState.LOSES_COOLANT: "Loses coolant",
    VehicleState.CANNOT_TELL: "Cannot tell yet",
    VehicleState.NOTHING_TO_JUDGE: "Nothing judged yet",
}
PROBABLY: Mapping[VehicleState, str] = {  # where odds settle it, and no single reading
    VehicleState.RUNS_COLD: "Probably runs cold",
    VehicleState.RUNS_HOT: "Probably runs hot",
    VehicleState.HEATS_POORLY: "Probably heats poorly",
    VehicleState.LOSES_COOLANT: "Probably loses coolant",
    VehicleState.CANNOT_TELL: "Sensor doubted",
}
DANGERS: Mapping[Danger, str] = {Danger.STOP: "Stop: do not drive on", Danger.CARE: "Drive with care"}
DANGER_HEADS: Mapping[Danger, str] = {Danger.STOP: "Do not drive on", Danger.CARE: "Drive with care"}
TOO_EARLY = "Too early to tell"
NOT_EXPLAINED = "Not explained yet"
CAN_FREEZE = "Can freeze"
ENTER_DUTIES = "Enter the duties that it has to hold: power or speed, and the outside temperature."
HEALTHY_SO_FAR = "Healthy so far"  # the repair is not proven, or all that was read is not weighed together yet


def conclusion_label(found: Conclusion) -> str:
    """The conclusion in two or three words: the danger where there is one, else the state."""
    if found.lead.code is GroundCode.FREEZES:
        return CAN_FREEZE
    if found.danger is not Danger.NONE:
        return DANGERS[found.danger]
    if found.lead.code is GroundCode.TOO_EARLY:
        return TOO_EARLY
    if found.so_far:
        return HEALTHY_SO_FAR
    if found.lead.code is GroundCode.ODDS_SETTLE:
        return PROBABLY[found.state]
    return NOT_EXPLAINED if found.lead.code is GroundCode.COMPLAINT_OPEN else STATES[found.state]


# ---- what it rests on ------------------------------------------------------------------------------------------------

_READ_BY: Mapping[str, str] = {
    "dash_gauge": "The dash gauge read",
    "scan_tool": "The scan tool read",
    "log": "The log shows",
}
_GROUNDS: Mapping[GroundCode, str] = {
    GroundCode.GAS: "The test found combustion gas in the coolant: gas leaks from a cylinder into the coolant.",
    GroundCode.BUBBLES_LOW_HOT: "Bubbles rise with the engine running, the level is low and the coolant is hot: "
    "suspect combustion gas.",
    GroundCode.FAN_STILL_HOT: "It runs too hot and the radiator fan does not run.",
    GroundCode.OVER_LIMIT: "It runs too hot.",
    GroundCode.RISING_FAST: "It gets too hot: the coolant rises so fast that it would pass its limit within two minutes.",
    GroundCode.NEAR_LIMIT: "It runs too close to its limit.",
    GroundCode.FAN_MISSED: "At standstill or low speed the coolant stayed hotter than where the radiator fan starts: the fan seems not to run.",
    GroundCode.NO_PUMP_DRIVE: "The belt does not drive the coolant pump: no coolant circulates.",
    GroundCode.COLD_CODE: "The control unit stored a code for an engine that stays too cold. No reading shows it yet.",
    GroundCode.OVERHEAT_CODE: "The control unit stored a code for an engine that was too hot.",
    GroundCode.FAN_STILL: "The radiator fan does not run when the engine is hot.",
    GroundCode.BUBBLES: "Bubbles rise with the engine running.",
    GroundCode.LEVEL_LOW: "The coolant level is low.",
    GroundCode.LEAK: "Coolant leaks.",
    GroundCode.PRESSURE_LOST: "The cold system does not hold the tester's pressure: it leaks, outside or inside.",
    GroundCode.CAP_WEAK: "The cap does not hold its pressure: the coolant boils sooner.",
    GroundCode.VALVE_STAYS_SHUT: "The thermostat does not open fully in boiling water.",
    GroundCode.SUCTION_HOSE: "The lower hose collapses at engine speed: it starves the pump.",
    GroundCode.FAN_BACKWARD: "The radiator fan blows the wrong way.",
    GroundCode.VALVE_OPEN: "The thermostat was found open when cold.",
    GroundCode.VALVE_MISSING: "There is no thermostat in the housing.",
    GroundCode.FAN_ALWAYS: "The radiator fan runs from a cold start on.",
    GroundCode.HEATER_HOSES: "The heater hoses are swapped.",
    GroundCode.WARM_ENGINE: "The engine gets warm; the fault is on the heater's side.",
    GroundCode.TOLD_STEAM: "The customer saw steam, and nothing that was read explains it yet.",
    GroundCode.TOLD_LAMP: "A warning lamp came on, and nothing that was read explains it yet.",
    GroundCode.TOLD_HEATER: (
        "As the customer tells it, the gauge is normal and the heater is not warm enough: look at the heater's side first."
    ),
    GroundCode.NOTHING_READ: "Nothing that was read or seen decides yet.",
    GroundCode.REPAIR_OPEN: "Nothing read or seen since the repair proves yet that it helped.",
    GroundCode.READ_ONCE: "One reading since the repair is as it should be. The repair is proven once it is read again.",
    GroundCode.NOTHING_ENTERED: "Nothing is entered yet.",
}
_AFTER_THE_GAS_TEST = "Bubbles rise with the engine running, the level is low and the coolant is hot."
"""Once the test has found gas nothing is left to be suspected."""
_WAS: Mapping[GroundCode, str] = {
    GroundCode.GAS: "the test found combustion gas. It has not been repeated since.",
    GroundCode.BUBBLES: "bubbles rose with the engine running. Nobody has looked again since.",
    GroundCode.FAN_STILL: "the radiator fan did not run when hot. Nobody has seen it run since.",
    GroundCode.NO_PUMP_DRIVE: "the belt did not drive the coolant pump. Nobody has looked again since.",
    GroundCode.OVER_LIMIT: "it ran too hot. The coolant has not been read warm since.",
    GroundCode.RISING_FAST: "it got hot so fast that it would soon have passed its limit. The coolant has not been read warm since.",
    GroundCode.FAN_MISSED: "the radiator fan seemed not to run when hot. Nobody has seen it run since.",
    GroundCode.NEAR_LIMIT: "it ran too close to its limit. The coolant has not been read warm since.",
}
_UNEXPLAINED: Mapping[bool, str] = {  # by whether anything was read or seen
    False: "Nothing was read or seen so far that explains the complaint.",
    True: "No single reading or look so far shows the cause of the complaint.",
}


TOO_SMALL = "As described, its cooling is too small for one of its duties: that alone could explain it."
_PART_FOUND: Mapping[NextStep, str] = {  # the part of a fan that was found at fault, by the step that it asks for
    NextStep.FAN_FUSE_BLOWN: "Its fuse is blown.",
    NextStep.FAN_RELAY_FAILS: "Its relay does not work.",
    NextStep.FAN_MOTOR_FAILS: "Its motor does not run.",
}


def part_found(ground: Ground) -> str:
    """The part that was found at fault of a fan that stands still, as a sentence; empty where none was."""
    return "" if ground.next_step is None else _PART_FOUND.get(ground.next_step, "")


def ground_sentence(ground: Ground, system: UnitSystem, found: Conclusion) -> str:
    """One thing that a conclusion rests on; empty where it is a reading that is told with its numbers elsewhere."""
    if ground.code is GroundCode.NOT_SEEN_AGAIN and ground.was is not None:
        return f"Before the repair {_WAS[ground.was]}"
    if ground.code is GroundCode.COMPLAINT_OPEN:
        return " ".join((_UNEXPLAINED[found.evidence], *([TOO_SMALL] if found.too_small else ())))
    if ground.code is GroundCode.OVER_PRESSURE:
        pressure, cap = (show(p or 0.0, "gauge pressure", system, 2) for p in (ground.pressure, ground.cap))
        return f"The pressure in the system was {pressure}, well over the {cap} of its cap."
    if ground.code is GroundCode.HOTTER and ground.hot is not None:
        return f"{_as_it_was_read(ground.hot, system)}. {HOTTER_THAN_HEALTHY.format(temperature(ground.hot.limit, system))}"
    if by_odds := _by_odds(ground):
        return by_odds
    said = _GROUNDS.get(ground.code, "")
    if ground.code is GroundCode.BUBBLES_LOW_HOT and any(other.code is GroundCode.GAS for other in found.because):
        said = _AFTER_THE_GAS_TEST
    said = " ".join(part for part in (said, part_found(ground)) if part)
    if ground.hot is not None and ground.code in _TELLS_ITS_READING:
        said = f"{said} {hot_sentence(ground.hot, system)}"
    still = found.repaired and found.outranks and bool(said)
    return f"After the repair: {said[:1].lower()}{said[1:]}" if still else said


def odds_settle_sentence(odds: SettledOdds) -> str:
    """What the odds of a record settle, and how likely that is."""
    labels = [lowered(CAUSES[fault].label) for fault in odds.faults]
    sure = chance(odds.probability)
    if len(labels) == 1:
        return f"All that was read and seen together points to one cause, {sure}: {labels[0]}."
    either = f"{', '.join(labels[:-1])}, or {labels[-1]}"
    return f"All that was read and seen together points to one of {len(labels)} causes, {sure}: {either}."


def _by_odds(ground: Ground) -> str:
    if ground.odds is not None:
        return odds_settle_sentence(ground.odds)
    return "" if ground.weighed is None else _doubt_sentence(ground.code, ground.weighed)


def _doubt_sentence(code: GroundCode, weighed: WeighedOdds) -> str:
    """What single readings seem to say, and what all of them together make of that."""
    if code is GroundCode.ODDS_DOUBT_VALVE:
        return ODDS_DOUBT_VALVE.format(odds=chance(weighed.open_valve))
    return ODDS_DOUBT_HEALTHY.format(odds=chance(weighed.healthy))


ODDS_DOUBT_HEALTHY = (
    "Each reading by itself might be a healthy vehicle's. All that was told, read and seen together makes a fault "
    "likelier: the odds of no fault are {odds}."
)
ODDS_DOUBT_VALVE = (
    "One sign points to the thermostat. All that was told, read and seen together makes something else likelier: the "
    "odds of the thermostat are {odds}."
)


def fact_sentence(fact: str) -> str:
    """What was seen, for a fact that the conclusion tells (:func:`engcalc.diagnosis.conclusion.facts_told`)."""
    return _GROUNDS[GROUND_OF_FACT[fact]]


_TELLS_ITS_READING = (
    GroundCode.BUBBLES_LOW_HOT,
    GroundCode.FAN_STILL_HOT,
    GroundCode.OVER_LIMIT,
    GroundCode.RISING_FAST,
    GroundCode.NEAR_LIMIT,
    GroundCode.FAN_MISSED,
)


HOTTER_THAN_HEALTHY = "That is well above what a healthy thermostat lets it get, though under the limit of {}: something keeps the heat in."


def hot_sentence(hot: HotReading, system: UnitSystem) -> str:
    """What was read, when, and how far that is from the limit."""
    if hot.word is not None:
        return f"{gauge_said(hot.word, _when(hot))} The limit is {temperature(hot.limit, system)}."
    side = "over" if hot.limit < hot.T else "under"
    close = "at" if hot.over else "just under"
    where = close if abs(hot.T - hot.limit) < 0.5 else f"{difference(hot.T - hot.limit, system)} {side}"
    return f"{_as_it_was_read(hot, system)}, {where} the limit of {temperature(hot.limit, system)}."


def _as_it_was_read(hot: HotReading, system: UnitSystem) -> str:
    """What was read and when, and what that means corrected for its instrument; without its full stop."""
    place = SPOT_PLACES[hot.what]
    who = _READ_BY.get(hot.instrument, "The coolant read") if hot.what == "coolant" else f"The {place} read"
    corrected = ""
    if abs(hot.as_read - hot.T) > 0.5:
        corrected = f" (about {temperature(hot.T, system)}, corrected for the instrument)"
    return f"{who} {temperature(hot.as_read, system)}{_when(hot)}{corrected}"


def _when(hot: HotReading) -> str:
    return "" if hot.at is None else f" {minutes(hot.at)} after the start"


def because_sentences(found: Conclusion, system: UnitSystem) -> tuple[str, ...]:
    """Everything that a conclusion rests on, the weightiest first; empty where the readings tell it themselves."""
    told = [ground_sentence(ground, system, found) for ground in found.because]
    return tuple(said for said in told if said)


# ---- what to do next -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class NextStepWords:
    """The next check for a person: what to do, and keys of the cautions that stand beside it."""

    text: str
    cautions: tuple[str, ...] = ()

    @property
    def caution_texts(self) -> tuple[str, ...]:
        """The cautions in full."""
        return tuple(CAUTION_TEXTS[key] for key in self.cautions)


_HOT = ("stop_hot", "hot_cap", "cold_water")
STEPS: Mapping[NextStep, NextStepWords] = {
    NextStep.STOP_AND_COOL: NextStepWords(
        "Stop the engine and let it cool with the cap shut. Look at the level when it is cold, then at the fan.",
        (*_HOT, "fan_by_itself"),
    ),
    NextStep.LET_COOL: NextStepWords(
        "If it gets any hotter, stop and switch the engine off. Let it cool with the cap shut. Look at the level when "
        "it is cold, then at the fan.",
        (*_HOT, "fan_by_itself"),
    ),
    NextStep.GAS: NextStepWords(
        "Let it cool, then do the combustion leak test before anything else.",
        ("hot_cap", "gas_positive", "moving_parts", "exhaust"),
    ),
    NextStep.GAS_AGAIN: NextStepWords(
        "Let it cool. Repeat the combustion leak test. If it finds gas again, the head gasket, head or block leaks: "
        "mend that before it is driven.",
        ("gas_positive", "hot_cap", "moving_parts", "exhaust"),
    ),
    NextStep.BLEED: NextStepWords(
        "The gas test found nothing. Let it cool, bleed the system and watch for bubbles again with the engine warm. If "
        "they stay, repeat the test.",
        ("hot_cap", "topping_up", "bleeding", "moving_parts", "exhaust"),
    ),
    NextStep.FAN: NextStepWords(
        "Do not let it idle. With the engine off, check in this order: fuse, relay, motor; then the switch or command.",
        ("stop_hot", "fan_by_itself", "moving_parts", "hot_cap"),
    ),
    NextStep.FAN_FUSE_BLOWN: NextStepWords(
        "Do not let it idle. The fan's fuse is blown. With the engine off, look for a stiff motor and a chafed cable "
        "before you fit another of the same rating. Then see the fan run with the engine hot.",
        ("stop_hot", "fan_by_itself", "moving_parts", "hot_cap"),
    ),
    NextStep.FAN_RELAY_FAILS: NextStepWords(
        "Do not let it idle. The fan's relay does not work: replace it with the engine off. Then see the fan run with "
        "the engine hot.",
        ("stop_hot", "fan_by_itself", "moving_parts", "hot_cap"),
    ),
    NextStep.FAN_MOTOR_FAILS: NextStepWords(
        "Do not let it idle. The fan's motor does not run: replace it with the engine off and cool, and look at its "
        "fuse. Then see the fan run with the engine hot.",
        ("stop_hot", "fan_by_itself", "moving_parts", "hot_cap"),
    ),
    NextStep.FAN_RUNS: NextStepWords(
        "See whether the radiator fan runs: command it with the scan tool, or wait with the engine hot at idle. If it "
        "stands still, do not let it idle.",
        (*_HOT, "fan_by_itself", "moving_parts", "exhaust"),
    ),
    NextStep.FAN_WIRING: NextStepWords(
        "With the engine off, check how the fan is wired and mounted, then its relay and the coolant sensor.",
        ("fan_by_itself", "moving_parts"),
    ),
    NextStep.LOOK_AT_LEVEL: NextStepWords(
        "With the engine cold, look at the coolant level. Then start it and watch the tank for bubbles that do not "
        "stop.",
        ("hot_cap", "topping_up", "moving_parts", "exhaust", "poison"),
    ),
    NextStep.FILL_UP: NextStepWords(
        "Let the engine get cold. Fill up and bleed by the maker's procedure, then find out where the coolant went.",
        ("hot_cap", "topping_up", "cold_water", "poison", "bleeding"),
    ),
    NextStep.PRESSURE: NextStepWords(
        "Pump the cold system up to the cap's pressure and find the leak, outside or into the engine.",
        ("hot_cap", "pressure", "poison"),
    ),
    NextStep.DYE: NextStepWords(
        "Put dye into the cold coolant, run the engine warm, let it cool and search with the ultraviolet lamp.",
        ("hot_cap", "poison", "moving_parts", "exhaust"),
    ),
    NextStep.CAP: NextStepWords("Fit a cap of the maker's pressure, with the engine cold.", ("hot_cap", "pressure")),
    NextStep.DRIVE: NextStepWords(
        "Do not run the engine. Mend the pump's drive: belt, tensioner, pulley, pump wheel.",
        ("moving_parts", "fan_by_itself"),
    ),
    NextStep.UPPER_HOSE: NextStepWords(
        "From a cold start, feel or measure the upper radiator hose while the gauge passes 50 to 60 °C (120 to 140 °F). "
        "Warm already: the thermostat lets coolant through.",
        ("moving_parts", "exhaust"),
    ),
    NextStep.LOWER_HOSE: NextStepWords(
        "From a cold start, feel or measure the lower radiator hose while the gauge passes 50 to 60 °C (120 to 140 °F). "
        "Warm already: the thermostat lets coolant through.",
        ("moving_parts", "exhaust"),
    ),
    NextStep.VALVE: NextStepWords(
        "Take the thermostat out cold and look at it: a gap means that it does not close.",
        ("hot_cap", "fan_by_itself", "poison", "disposal", "torque"),
    ),
    NextStep.NEW_VALVE: NextStepWords(
        "Fit a thermostat of the maker's rating. A fail-safe one locks open after an overheat: ask whether it ever ran "
        "hot.",
        ("hot_cap", "fan_by_itself", "poison", "disposal", "torque", "bleeding"),
    ),
    NextStep.SUCTION_HOSE: NextStepWords(
        "Replace the lower hose and check the cap.", ("hot_cap", "poison", "disposal")
    ),
    NextStep.HEATER: NextStepWords(
        "Feel both heater hoses with the engine warm and the heater full on. Both hot: check the flap and its "
        "actuator. One cold: check heater valve, core and trapped air.",
        ("hot_cap", "moving_parts", "exhaust"),
    ),
    NextStep.FLAP: NextStepWords(
        "The heater gets hot coolant. Check the temperature flap and its actuator, then blower and cabin filter.",
        ("exhaust",),
    ),
    NextStep.HEATER_FLOW: NextStepWords(
        "The heater gets too little coolant. Check the heater valve, bleed the heater, then flush its core.",
        ("hot_cap", "poison", "bleeding"),
    ),
    NextStep.HEATER_HOSES: NextStepWords(
        "Put the heater hoses right with the engine cold, then bleed.", ("hot_cap", "poison", "bleeding")
    ),
    NextStep.MIXTURE: NextStepWords(
        "Keep it out of the frost, and do not start an engine with frozen coolant. Measure the mixture with a "
        "refractometer and bring it to what the maker names for such cold.",
        ("poison", "disposal"),
    ),
    NextStep.READ_COOLANT: NextStepWords(
        "From a cold start, read the coolant about 20 min later, and note how it ran and how the heater was set.",
        ("moving_parts", "exhaust"),
    ),
    NextStep.READ_AGAIN: NextStepWords(
        "Let it run on as it did, and read the coolant again 10 min later.", ("moving_parts", "exhaust")
    ),
    NextStep.READ_WHEN_HOT: NextStepWords(
        "Look at the level cold. Then read the coolant while it runs as it did when it was too hot, and watch whether "
        "the fan comes on.",
        (*_HOT, "moving_parts", "exhaust"),
    ),
    NextStep.ENTER: NextStepWords(
        "Enter the complaint, the outside temperature, and one coolant reading with its time since the start; or a "
        "duty and the parts, to see what they hold."
    ),
    NextStep.ENTER_DUTIES: NextStepWords(ENTER_DUTIES),
    NextStep.ENTER_RIG: NextStepWords(
        "Name both fluids and the arrangement, or enter the dimensions of a radiator. Then paste or enter the measured "
        "points, each with both flows and four temperatures, or pose a problem."
    ),
}


AT_THE_HEATER_CORE = (
    "Coolant in the cabin points to the heater core or its hoses. Look under the carpet and at the drain of the heater "
    "box."
)
_SEEK_COOLANT = (NextStep.LOOK_AT_LEVEL, NextStep.FILL_UP, NextStep.PRESSURE, NextStep.DYE)


def next_step_of(found: Conclusion) -> NextStepWords | None:
    """The next check in words; a look for lost coolant names the heater core where coolant is lost in the cabin."""
    if found.next_step is None:
        return None
    step = STEPS[found.next_step]
    if found.lost_in_cabin and found.next_step in _SEEK_COOLANT:
        return replace(step, text=f"{step.text} {AT_THE_HEATER_CORE}")
    return step


# ---- for the customer ------------------------------------------------------------------------------------------------

_TOO_HOT_LEFT = "An engine that runs too hot can warp its cylinder head, burn through the head gasket and seize."
_TOO_COLD_LEFT = (
    "An engine that stays cold burns more fuel, wears faster and thins its oil with fuel. In frost the "
    "heater cannot keep the cabin warm or the windscreen clear."
)
_LOST_LEFT = "Without enough coolant the engine can run too hot within minutes, and the gauge may not show it."
_NOT_KNOWN_LEFT = "Not known yet: the next check decides."
_HEATER_LEFT = "In frost the heater cannot keep the cabin warm or the windscreen clear."
LEADS: Mapping[GroundCode, tuple[str, str]] = {  # what was found, and what it means to leave it
    GroundCode.GAS: (
        "Combustion gas gets into the coolant.",
        _TOO_HOT_LEFT + " The pressure can burst hoses and scald whoever opens the cap.",
    ),
    GroundCode.BUBBLES_LOW_HOT: ("The engine runs too hot, and gas seems to get into the coolant.", _TOO_HOT_LEFT),
    GroundCode.FAN_STILL_HOT: ("The engine runs too hot: the radiator fan does not run.", _TOO_HOT_LEFT),
    GroundCode.OVER_LIMIT: ("The engine runs too hot.", _TOO_HOT_LEFT),
    GroundCode.OVER_PRESSURE: (
        "There is too much pressure in the cooling system.",
        "Hoses, radiator or tank can burst and scald.",
    ),
    GroundCode.NO_PUMP_DRIVE: ("The coolant pump is not driven.", _TOO_HOT_LEFT),
    GroundCode.RISING_FAST: ("The engine gets too hot.", _TOO_HOT_LEFT),
    GroundCode.NEAR_LIMIT: ("The engine runs too close to its limit.", _TOO_HOT_LEFT),
    GroundCode.FAN_MISSED: ("The radiator fan seems not to run when the engine is hot.", _TOO_HOT_LEFT),
    GroundCode.OVERHEAT_CODE: ("The engine was too hot at some time.", _TOO_HOT_LEFT),
    GroundCode.FREEZES: (
        "The coolant can freeze.",
        "Slush blocks the radiator, so that the engine overheats in the "
        "cold. Ice bursts the radiator and the engine block.",
    ),
    GroundCode.FAN_STILL: ("The radiator fan does not run when the engine is hot.", _TOO_HOT_LEFT),
    GroundCode.BUBBLES: ("Bubbles rise in the coolant with the engine running.", _TOO_HOT_LEFT),
    GroundCode.LEVEL_LOW: ("The cooling system lacks coolant.", _LOST_LEFT),
    GroundCode.LEAK: ("The cooling system leaks.", _LOST_LEFT),
    GroundCode.PRESSURE_LOST: ("The cooling system does not hold its pressure.", _LOST_LEFT),
    GroundCode.CAP_WEAK: ("The cap does not hold its pressure.", "The coolant boils sooner and is lost."),
    GroundCode.VALVE_STAYS_SHUT: ("The thermostat does not open fully.", _TOO_HOT_LEFT),
    GroundCode.SUCTION_HOSE: ("The lower radiator hose collapses and starves the pump.", _TOO_HOT_LEFT),
    GroundCode.FAN_BACKWARD: ("The radiator fan blows the wrong way.", _TOO_HOT_LEFT),
    GroundCode.VALVE_OPEN: ("The thermostat does not close: the engine does not get warm enough.", _TOO_COLD_LEFT),
    GroundCode.VALVE_MISSING: ("The thermostat is missing: the engine does not get warm enough.", _TOO_COLD_LEFT),
    GroundCode.FAN_ALWAYS: ("The radiator fan runs when it should not.", _TOO_COLD_LEFT),
    GroundCode.HEATER_HOSES: ("The heater hoses are swapped.", _HEATER_LEFT),
    GroundCode.NOT_SEEN_AGAIN: ("The repair is not proved yet.", _NOT_KNOWN_LEFT),
    GroundCode.HOTTER: ("The engine runs hotter than it should.", _TOO_HOT_LEFT),
    GroundCode.COLD_CODE: ("At some time the engine stayed too cold. The cause is not found yet.", _TOO_COLD_LEFT),
    GroundCode.WARM_ENGINE: ("The engine gets warm enough; the fault is on the heater's side.", _HEATER_LEFT),
    GroundCode.TOLD_STEAM: ("You saw steam, and its cause is not found yet.", _TOO_HOT_LEFT),
    GroundCode.TOLD_LAMP: ("A warning lamp came on, and its cause is not found yet.", _TOO_HOT_LEFT),
    GroundCode.TOLD_HEATER: ("The heater does not get hot although the gauge is normal.", _HEATER_LEFT),
    GroundCode.ODDS_DOUBT_HEALTHY: ("Something may be wrong. What it is, the next check has to show.", _NOT_KNOWN_LEFT),
    GroundCode.ODDS_DOUBT_VALVE: ("It is not settled yet what is wrong.", _NOT_KNOWN_LEFT),
    GroundCode.COMPLAINT_OPEN: ("What you told us is not explained yet.", _NOT_KNOWN_LEFT),
    GroundCode.REPAIR_OPEN: ("The repair is not proved yet.", _NOT_KNOWN_LEFT),
    GroundCode.READ_ONCE: (
        "So far it runs as a healthy vehicle does. The repair is not proven yet.",
        "Not known yet: one more reading decides, with the engine warm and driven as before.",
    ),
    GroundCode.AGREES_SO_FAR: (
        "So far it runs as a healthy vehicle does. What you told us is not explained yet.",
        _NOT_KNOWN_LEFT,
    ),
    GroundCode.NOTHING_READ: ("Nothing can be said of this vehicle yet.", _NOT_KNOWN_LEFT),
    GroundCode.NOTHING_ENTERED: ("Nothing was judged yet.", "Nothing of this vehicle was read or described."),
}
BY_ODDS: Mapping[
    VehicleState, tuple[str, str]
] = {  # of what odds settle: what was found, and what it means to leave it
    VehicleState.RUNS_COLD: ("The engine most likely does not get warm enough.", _TOO_COLD_LEFT),
    VehicleState.RUNS_HOT: ("The engine most likely gets too hot.", _TOO_HOT_LEFT),
    VehicleState.HEATS_POORLY: ("The heater most likely gives too little heat.", _HEATER_LEFT),
    VehicleState.LOSES_COOLANT: ("The cooling system most likely loses coolant.", _LOST_LEFT),
    VehicleState.CANNOT_TELL: (
        "The coolant sensor or its gauge most likely reads wrong.",
        "A wrong gauge can hide an engine that runs too hot.",
    ),
}
