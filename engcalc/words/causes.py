"""Causes, evidence and checks in plain words, for screen, report and command line. It says no more than the odds do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.case.catalogue import Leaf, members
from engcalc.case.cause_rates import BaseRateInputs
from engcalc.case.records import SEEN_FACTS, SPOT_PLACES
from engcalc.causes.base_rates import REPAIRED
from engcalc.diagnosis.diagnosis import (
    SEEN,
    CauseOdds,
    Diagnosis,
    EarlyOdds,
    EvidenceWeight,
    Group,
    SeverityRange,
    Stage,
)
from engcalc.diagnosis.next_check import CheckValue
from engcalc.units import UnitSystem, show
from engcalc.words.cautions import CAUTION_TEXTS
from engcalc.words.numbers import chance, difference, share, signed_difference, temperature

CAUSES: Mapping[str, str] = {
    leaf.key: leaf.input.label[:1].lower() + leaf.input.label[1:]
    for leaf in members(BaseRateInputs)
    if isinstance(leaf, Leaf)
}
"""Each cause as the end of a sentence."""

UNPROVEN = (
    "These odds rank what to look at first. On many simulated vehicles they came true as often as they say; on "
    "real vehicles of known faults they are not tried yet: let a check decide, not the odds alone."
)
"""Stands beside all odds until real vehicles of known faults have been judged; simulated ones: tests/calibration."""

NOTES: Mapping[str, str] = {
    "thermostat_stuck_open": "A fail-safe thermostat locks open after an overheat: ask whether it ever ran hot.",
    "cap_weak": "Temperatures do not show it: only a cap test does.",
    "wrong_mixture": "Temperatures do not show it: only a refractometer does.",
    "gas_in_coolant": "Temperatures do not show it: only a gas test does.",
    "external_leak": "Temperatures do not show it while the level holds: only a pressure test does.",
    "heater_hoses_swapped": "Only the smaller heat of the core is computed, not the air that may gather in it.",
    "suction_hose_collapsed": "It is computed as a weak pump; that it happens only at speed is not.",
    "fan_reversed": "It is computed as a fan that gives next to nothing.",
    "healthy": "A small engine idling in frost with the heater on stays cold without any fault.",
}
"""What else a person should know of a cause."""


@dataclass(frozen=True)
class CheckWords:
    """A check for a person: its title, how to do it, what the result means, and keys of cautions to show with it."""

    title: str
    how: str
    tells: str
    cautions: tuple[str, ...] = ()


_HOT = ("moving_parts", "exhaust")
CHECKS: Mapping[str, CheckWords] = {
    "level_and_bubbles": CheckWords(
        "Coolant level, and bubbles with the engine running",
        "With the engine cold, look at the level; then start it and watch the tank for bubbles that do not stop.",
        "A low level explains a cold heater and a sensor in air; lasting bubbles point to combustion gas.",
        ("hot_cap", *_HOT, "poison"),
    ),
    "cold_pressure_test": CheckWords(
        "Pressure test, cold",
        "Pump the cold system up to the cap's pressure and watch it for ten minutes.",
        "Falling pressure means a leak, outside or into the engine: then look for a wet spot.",
        ("hot_cap", "pressure", "poison"),
    ),
    "combustion_gas_test": CheckWords(
        "Test for combustion gas",
        "Open the filler cold and set the tester on it, well above the coolant. Let the "
        "engine warm up, then draw the gas above the coolant through the test fluid, or past the gas tester.",
        "Gas means a leak between cylinder and coolant: do not seal the system and drive on.",
        ("hot_cap", "gas_positive", *_HOT, "poison"),
    ),
    "cap_test": CheckWords(
        "Cap test",
        "Take the cap off cold, put it on the tester and note at which pressure it opens, or whether it "
        "holds the stamped one.",
        "A cap that opens early lets the coolant boil sooner and lose level.",
        ("hot_cap", "pressure"),
    ),
    "refractometer": CheckWords(
        "Mixture by refractometer",
        "Put a drop of cold coolant on a refractometer; read the freezing point or the "
        "share on the scale of the glycol that is in it, and say which scale it was.",
        "It tells the share of glycol: frost protection and boiling point.",
        ("hot_cap", "poison", "colour"),
    ),
    "belt_and_pump_drive": CheckWords(
        "Belt and pump drive",
        "Engine off: look at belt and pulley, turn the pulley by hand and feel for play.",
        "A slipping belt or loose wheel moves no coolant.",
        ("moving_parts", "fan_by_itself"),
    ),
    "upper_hose_while_warming": CheckWords(
        "Upper radiator hose while the gauge passes 50 to 60 °C",
        "From a cold start, measure the upper radiator hose when the coolant passes 50 to 60 °C.",
        "With the valve at the engine's outlet a healthy one keeps this hose nearly cold until it opens.",
        _HOT,
    ),
    "lower_hose_while_warming": CheckWords(
        "Lower radiator hose while the gauge passes 50 to 60 °C",
        "From a cold start, measure the lower radiator hose when the coolant passes 50 to 60 °C.",
        "With the valve at the pump's inlet the upper hose warms early in health: the lower hose tells.",
        _HOT,
    ),
    "thermometer_at_outlet_neck": CheckWords(
        "Contact thermometer at the outlet neck, beside the scan tool's value",
        "Clamp a probe to the metal neck beside the sensor, cover it, and compare with the scan tool.",
        "More than a few degrees apart means the sensor or its circuit.",
        _HOT,
    ),
    "heater_hose_pair": CheckWords(
        "Heater hoses, both, at idle and at 2,500 rpm",
        "Engine warm, heater on full: measure both heater hoses at idle, then hold 2,500 rpm for some minutes.",
        "One hot and one cold means little flow: clogged core, shut valve, low level; both cold, a cold engine.",
        _HOT,
    ),
    "vent_at_full_hot": CheckWords(
        "Air from the centre vent at full hot",
        "Set full hot and the blower high; hold a probe in the centre vent.",
        "Hot hoses with cold air mean the flap or the air, not the coolant.",
        ("exhaust",),
    ),
    "radiator_hose_pair_hot": CheckWords(
        "Radiator hoses, both, warmed up at idle",
        "Engine warmed up and idling: measure both radiator hoses.",
        "Both warm with a cold engine means an open valve; a cold lower hose on a hot engine means little flow.",
        _HOT,
    ),
    "fan_commanded": CheckWords(
        "Fan commanded on",
        "Command it with the scan tool, or wait with the engine hot; mind which way it blows.",
        "It runs or it does not; then look at fuse, relay, motor and wiring.",
        ("fan_by_itself", *_HOT),
    ),
    "heater_hoses_followed": CheckWords(
        "Heater hoses followed to their connections",
        "Engine off: follow both heater hoses from the engine to the heater and compare with the maker's drawing.",
        "Swapped hoses feed the core the wrong way round.",
        ("fan_by_itself", "moving_parts"),
    ),
    "radiator_face_and_shutter": CheckWords(
        "Radiator face, seals and shutter",
        "Look through the grille: dirt, leaves, a cover, a shut shutter.",
        "Air that cannot come in cannot cool.",
        ("fan_by_itself",),
    ),
    "valve_out_and_looked_at_cold": CheckWords(
        "Thermostat out, looked at cold",
        "Drain as far as needed, take it out cold and hold it to the light.",
        "A gap when cold means that it does not close.",
        ("hot_cap", "fan_by_itself", "poison", "disposal", "torque"),
    ),
    "valve_in_a_pot_of_water": CheckWords(
        "Thermostat in a pot of water with a thermometer",
        "Heat it slowly in water beside a thermometer; note where it starts to open and where it is fully open.",
        "It shows the opening temperature and that it opens fully.",
        ("boiling_pot", "hot_cap", "poison"),
    ),
}
_OF_HEATERS = ("heater_hose_pair", "heater_hoses_followed", "vent_at_full_hot")  # checks beside heaters of their own

OTHER_EVIDENCE: Mapping[str, str] = {
    "coolant curve": "coolant curve, mean of its last minutes",
    "coolant over air at key-on": "coolant over outside air at key-on",
    "intake air at key-on": "intake air at key-on, as warm as the coolant should be",
    "gauge in its middle": "dash gauge in its middle",
    "the log's own sensor faults": "jumps or dropouts in the log",
}


def cause_label(key: str) -> str:
    """A cause, or a pair, as a sentence of its own."""
    label = " and ".join(CAUSES[part] for part in key.split("+"))
    return label[0].upper() + label[1:]


def rank_words(p: float, leads: bool) -> str:
    """How likely a cause is beside the others, and its odds: the leader is never called unlikely."""
    if leads:
        rank = "most likely" if p >= CLEAR else "first among several, nothing is clear yet"
    else:
        rank = next(word for least, word in _RANKS if p >= least)
    return f"{rank}, {chance(p)}"


CLEAR = 0.4  # probability from which the likeliest cause is put forward; below it nothing is clear yet
_RANKS = ((0.2, "possible"), (0.075, "less likely"), (0.0, "unlikely"))


def cause_summary(cause: CauseOdds, system: UnitSystem = UnitSystem.SI, *, leads: bool = False) -> str:
    """A cause with its odds and how bad it would be. ``leads``: no other is likelier."""
    parts = [f"{cause_label(cause.fault)}: {rank_words(cause.probability, leads)}."]
    parts += [severity_words(s, system) for s in cause.severity]
    parts += [NOTES[key] for key in cause.fault.split("+") if key in NOTES]
    return " ".join(parts)


EARLY: Mapping[Stage, str] = {
    Stage.FIRST: "First odds, from a first look. They are being refined and may still move.",
    Stage.SINGLE: "Odds of single causes. Now two faults at once are tried among the leading ones.",
}
"""What odds are that come before the final ones."""
EARLY_NAMED = 0.1  # probability from which a cause is named in early odds: what is below moves too much


def early_sentences(odds: EarlyOdds) -> list[str]:
    """The leading causes as they stand before the end, and what is left for all others together."""
    named = [pair for pair in odds.causes if pair[1] >= EARLY_NAMED] or [odds.causes[0]]
    said = [f"{cause_label(fault)}: {rank_words(p, i == 0)}." for i, (fault, p) in enumerate(named)]
    rest, others = 1.0 - sum(p for _, p in named), len(odds.causes) - len(named)
    return [*said, all_others(others, rest)] if others else said


def early_line(odds: EarlyOdds) -> str:
    """Early odds on one line, for the command line."""
    return f"{odds.stage}: {' '.join(early_sentences(odds))}"


def all_others(count: int, p: float) -> str:
    """What is left for the causes that are not named, together."""
    return f"The {count} other causes together: {chance(p)}." if count > 1 else f"The one other cause: {chance(p)}."


MOST_ALIKE = 4  # causes of a group that are named; the list of odds names them all


def severity_words(severity: SeverityRange, system: UnitSystem = UnitSystem.SI) -> str:
    """How bad it is, if it is that, as a range."""
    low, high = (_severity_value(x, severity.kind, system) for x in (severity.low, severity.high))
    return f"If so, {severity.label}: {low if low == high else f'{low} to {high}'}."


def _severity_value(value: float, kind: str, system: UnitSystem) -> str:
    if kind == "fraction":
        return share(value) if value >= 0.005 else "under 1 %"
    return difference(value, system) if kind == "temperature difference" else show(value, kind, system, 2)


def alike_words(group: Group) -> str:
    """The causes of a group; of a large one the likeliest."""
    told = [cause_label(key)[0].lower() + cause_label(key)[1:] for key in group.faults]
    more = len(told) - MOST_ALIKE
    return "; ".join(told if more < 2 else [*told[:MOST_ALIKE], f"and {more} more"])


def group_sentence(group: Group) -> str:
    """Causes that cannot be told apart, how likely one of them is, and what would split them."""
    sure = chance(group.probability)
    text = f"These readings cannot tell apart: {alike_words(group)}. The odds that it is one of them are {sure}."
    if group.split_by is None:
        return text
    title = CHECKS[group.split_by].title
    return f"{text} What would split them: {title[:1].lower()}{title[1:]}."


def evidence_label(item: EvidenceWeight) -> str:
    """What was read or seen."""
    if item.item.startswith("codes."):
        return f"code {item.what}"
    return SEEN_FACTS.get(item.what) or OTHER_EVIDENCE.get(item.what) or SPOT_PLACES.get(item.what, item.what)


def evidence_sentence(item: EvidenceWeight, best: str, system: UnitSystem = UnitSystem.SI) -> str:
    """What was read, what health would show and what the best cause shows, and which way it points."""
    label = evidence_label(item)
    label = label[0].upper() + label[1:]
    if item.kind == SEEN:
        text = f"{label}: {'yes' if item.measured > 0.5 else 'no'}."
    elif item.kind == "temperature difference":
        text = f"{label}: {evidence_value(item.measured, item.kind, system)}; they should agree after a long stand."
    else:
        shown = [
            evidence_value(x, item.kind, system) for x in (item.measured, item.expected_healthy, item.expected_best)
        ]
        text = f"{label}: {shown[0]}; a healthy vehicle would show about {shown[1]}, the likeliest cause {shown[2]}."
    return f"{text} {pointing(item, best)}"


def evidence_value(value: float, kind: str, system: UnitSystem = UnitSystem.SI) -> str:
    """A quantity that was read or would be."""
    if kind == "temperature difference":
        return signed_difference(value, system)
    return temperature(value, system) if kind == "temperature" else show(value, kind, system, 2)


def pointing(item: EvidenceWeight, best: str) -> str:
    """Which way a piece of evidence points, and how strongly."""
    strength, supports = leaning(item, best)
    if strength is None:
        return "It hardly moves the odds."
    against = "the next likely cause" if best == "healthy" else "a healthy vehicle"
    way = "for the likeliest cause and against" if supports else "against the likeliest cause and for"
    return f"It speaks {strength}{way} {against}."


def leaning(item: EvidenceWeight, best: str) -> tuple[str | None, bool]:
    """How strongly a piece of evidence moves the odds, as a word to stand before "for" (None: hardly), and whether it
    supports the likeliest cause."""
    bits = item.weight if best == "healthy" else item.weight_to_healthy
    size = abs(bits)
    if size < 0.5:
        return None, bits > 0.0
    return "strongly " if size > 3.0 else "a little " if size < 1.5 else "", bits > 0.0


def check_cautions(key: str, case: Case) -> tuple[str, ...]:
    """The cautions to stand beside a check of this vehicle."""
    heater = case.heater.coolant_heater != "none" or bool((case.heater.auxiliary_heat > 0.0).any())
    keys = CHECKS[key].cautions + (("coolant_heater",) if heater and key in _OF_HEATERS else ())
    return tuple(CAUTION_TEXTS[caution] for caution in keys)


def check_sentence(check: CheckValue) -> str:
    """A check with its time and why it comes."""
    words = CHECKS[check.key]
    why = " It comes first whatever the odds." if check.first else ""
    return f"{words.title} (about {check.minutes:.0f} min). {words.how} {words.tells}{why}"


def reason_words(found: Diagnosis) -> str:
    """What the base rates are for, and their basis."""
    rates = found.base_rates
    repaired = f", after a repair, which leaves nothing to find in about {100.0 * REPAIRED:.0f} %"
    return f"{rates.reason}{repaired if rates.repaired else ''}; {rates.basis}"
