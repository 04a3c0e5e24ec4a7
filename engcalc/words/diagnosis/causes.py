"""Causes, evidence and checks in plain words, for screen, report and command line. It says no more than the odds do."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from enum import StrEnum

from engcalc.case.case import Case
from engcalc.case.records import SEEN_FACTS, SPOT_PLACES, Record
from engcalc.causes.base_rates import REPAIRED
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.causes.catalogue.not_in_list import NOT_IN_LIST
from engcalc.diagnosis.checks.hand_checks import CHECKS, HandCheck, at_the_heater_core, noted_in
from engcalc.diagnosis.checks.next_check import CheckValue
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK, checks_that_tell
from engcalc.diagnosis.odds.diagnosis import (
    SEEN,
    CauseOdds,
    Diagnosis,
    EarlyOdds,
    EvidenceWeight,
    Group,
    SeverityRange,
    Stage,
)
from engcalc.units import ZERO_CELSIUS, UnitSystem, show
from engcalc.words.diagnosis.conclusion_words import AT_THE_HEATER_CORE
from engcalc.words.diagnosis.told_by_customer import WORDS_TOLD, told_label, word_read
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.terms.numbers import capital, chance, difference, lowered, share, signed_difference, temperature
from engcalc.words.texts import diagnosis_texts

UNPROVEN = (
    "These odds rank what to look at first. On many simulated vehicles they came true as often as "
    "they say; on real vehicles with known faults they have not been tried yet. Let a check decide, "
    "not the odds alone."
)
"""Stands beside all odds until real vehicles of known faults have been judged; simulated ones: tests/calibration."""

OTHER_EVIDENCE: Mapping[str, str] = {
    "coolant curve": "coolant curve, mean of its last minutes",
    "coolant over air at key-on": "coolant over outside air at key-on",
    "intake air at key-on": "intake air at key-on, as warm as the coolant should be",
    "gauge in its middle": "dash gauge in its middle",
}


def cause_label(key: str) -> str:
    """A cause, or a pair, as a sentence of its own."""
    return capital(" and ".join(lowered(CAUSES[part].label) for part in key.split("+")))


def rank_words(p: float, leads: bool) -> str:
    """How likely a cause is beside the others, and its odds: the leader is never called unlikely."""
    if leads:
        rank = "most likely" if p >= CLEAR else "first among several, nothing is clear yet"
    else:
        rank = next(word for least, word in _RANKS if p >= least)
    return f"{rank}, {chance(p)}"


CLEAR = 0.4  # probability from which the likeliest cause is put forward; below it nothing is clear yet
_RANKS = ((0.55, "likely"), (0.15, "possible"), (0.075, "less likely"), (0.0, "unlikely"))
"""Of all but the leader, by where the odds begin to read another tenth: 0.15 is "about 2 in 10", 0.55 "about 6 in 10"."""


NOTHING_ELSE = (
    "Nothing else that these readings would show"  # in the place of a healthy vehicle, where a fault was found
)
MISREAD_HOT = "No fault: the temperature that was read so high is wrong"  # in its place, where it was read too hot


def cause_summary(cause: CauseOdds, system: UnitSystem = UnitSystem.SI, *, leads: bool = False) -> str:
    """A cause with its odds and how bad it would be. ``leads``: no other is likelier."""
    parts = [f"{cause_label(cause.fault)}: {rank_words(cause.probability, leads)}."]
    parts += [severity_words(s, system) for s in cause.severity]
    return " ".join(parts)


def found_summary(cause: CauseOdds, system: UnitSystem = UnitSystem.SI) -> str:
    """A cause that was looked at and found: no odds, but how bad the readings make it."""
    parts = [f"Found: {lowered(cause_label(cause.fault))}."]
    parts += [f"By the readings, {s.label}: {severity_range(s, system)}." for s in cause.severity]
    return " ".join(parts)


def cause_notes(fault: str, case: Case, record: Record | None) -> tuple[str, ...]:
    """What else a person should know of a cause, as far as it applies to this vehicle and its run, and what the odds
    leave out of it."""
    told = []
    for key in fault.split("+"):
        cause = CAUSES[key]
        if cause.note and _APPLIES.get(key, _always)(case, record):
            told.append(cause.note)
        if cause.not_simulated:
            told.append(f"The odds leave out: {cause.not_simulated}.")
    return tuple(told)


def _always(_case: Case, _record: Record | None) -> bool:
    return True


def _idles_in_frost(_case: Case, record: Record | None) -> bool:
    """Whether it may have idled in frost: then a small engine stays cold in health."""
    if record is None or record.ambient is None:
        return False
    idled = record.driving in (None, "unknown", "idling")
    return idled and not record.schedule and float(record.ambient[0]) < ZERO_CELSIUS


_APPLIES: Mapping[str, Callable[[Case, Record | None], bool]] = {HEALTHY.key: _idles_in_frost}


def checks_that_tell_words(fault: str, case: Case, record: Record | None) -> str:
    """The checks that tell a cause and those that find its part, without what the record holds already; empty where
    there is none."""
    side = "inlet" if case.thermostat.side == "inlet" else "outlet"
    noted = frozenset() if record is None else noted_in(record)
    checks = dict.fromkeys(
        check.title for key in fault.split("+") for check in checks_that_tell(key, side) if not check.is_done(noted)
    )
    listed = "; ".join(lowered(title) for title in checks)
    return f"Checks that tell it: {listed}." if listed else ""


EARLY: Mapping[Stage, str] = {
    Stage.FIRST: "First odds, from a first look. They are being refined and may still move.",
    Stage.SINGLE: "Odds of single causes. Now two faults at once are tried among the leading ones.",
}
"""What odds are that come before the final ones."""
EARLY_NAMED = 0.1  # probability from which a cause is named in early odds: what is below moves too much


def early_sentences(odds: EarlyOdds, found: Container[str] = ()) -> list[str]:
    """The leading causes before the end, and what is left for all others together. ``found``: causes that were looked
    at and found, of which no odds are told."""
    known = [pair for pair in odds.causes if pair[0] in found]
    open_ = [pair for pair in odds.causes if pair not in known]
    named = [pair for pair in open_ if pair[1] >= EARLY_NAMED] or ([] if known else [open_[0]])
    said = [f"Found: {lowered(cause_label(fault))}." for fault, _ in known]
    said += [_early_sentence(fault, p, i == 0, bool(known)) for i, (fault, p) in enumerate(named)]
    rest = 1.0 - sum(p for _, p in (*known, *named))
    others = len(open_) - len(named)
    return [*said, all_others(others, rest)] if others else said


def _early_sentence(fault: str, p: float, first: bool, beside_found: bool) -> str:
    if beside_found and fault == HEALTHY.key:
        return nothing_else(p)
    return f"{cause_label(fault)}: {rank_words(p, first and not beside_found)}."


def nothing_else(p: float) -> str:
    """What is left for a healthy vehicle beside a fault that was found."""
    return f"{NOTHING_ELSE}: {chance(p)}."


def early_line(odds: EarlyOdds, found: Container[str] = ()) -> str:
    """Early odds on one line, for the command line."""
    return f"{odds.stage}: {' '.join(early_sentences(odds, found))}"


def all_others(count: int, p: float) -> str:
    """What is left for the causes that are not named, together."""
    return f"The {count} other causes together: {chance(p)}." if count > 1 else f"The one other cause: {chance(p)}."


MOST_ALIKE = 4  # causes of a group that are named; the list of odds names them all


def severity_words(severity: SeverityRange, system: UnitSystem = UnitSystem.SI) -> str:
    """How bad it is, if it is that, as a range."""
    return f"If so, {severity.label}: {severity_range(severity, system)}."


def severity_range(severity: SeverityRange, system: UnitSystem = UnitSystem.SI) -> str:
    """The range of a severity: nine times in ten it lies within."""
    low, high = (_severity_value(x, severity.kind, system) for x in (severity.low, severity.high))
    return low if low == high else f"{low} to {high}"


def _severity_value(value: float, kind: str, system: UnitSystem) -> str:
    if kind == "fraction":
        return share(value) if value >= 0.005 else "under 1 %"
    return difference(value, system) if kind == "temperature difference" else show(value, kind, system, 2)


def alike_words(group: Group) -> str:
    """The causes of a group; of a large one the likeliest."""
    told = [lowered(cause_label(key)) for key in group.faults]
    more = len(told) - MOST_ALIKE
    return "; ".join(told if more < 2 else [*told[:MOST_ALIKE], f"and {more} more"])


def group_sentence(group: Group) -> str:
    """Causes that cannot be told apart, how likely one of them is, and what would split them."""
    sure = chance(group.probability)
    text = f"These readings cannot tell apart: {alike_words(group)}. The odds that it is one of them are {sure}."
    if group.split_by is None:
        return text
    return f"{text} What would split them: {lowered(CHECKS[group.split_by].title)}."


def evidence_label(item: EvidenceWeight) -> str:
    """What was read or seen."""
    if item.item.startswith("codes."):
        return f"code {item.what}"
    if item.item.startswith("told."):
        return told_label(item.item.removeprefix("told."), item.what)
    if item.what.count("/") == 2:
        return word_read(*item.what.split("/"))
    return SEEN_FACTS.get(item.what) or OTHER_EVIDENCE.get(item.what) or SPOT_PLACES.get(item.what, item.what)


def evidence_sentence(item: EvidenceWeight, best: str, system: UnitSystem = UnitSystem.SI) -> str:
    """What was read, what health would show and where the best cause lies, and which way it points."""
    label = evidence_label(item)
    label = label[0].upper() + label[1:]
    if item.kind == SEEN and _says_it_all(item):
        text = f"{label}."
    elif item.kind == SEEN:
        text = f"{label}: {'yes' if item.measured > 0.5 else 'no'}."
    elif item.kind == "temperature difference":
        text = f"{label}: {evidence_value(item.measured, item.kind, system)}; they should agree after a long stand."
    else:
        read, healthy = (evidence_value(x, item.kind, system) for x in (item.measured, item.expected_healthy))
        nearest = f"the nearest healthy vehicle would show about {healthy}{_however_it_ran(item, system)}"
        likeliest = "" if best == NOT_IN_LIST.key else f", the likeliest cause {evidence_between(item, system)}"
        text = f"{label}: {read}; {nearest}{likeliest}."
    return f"{text} {pointing(item, best)}"


def _says_it_all(item: EvidenceWeight) -> bool:
    """Whether the label names the answer already: a word read, or one out of a list."""
    return item.what.count("/") == 2 or item.item in WORDS_TOLD


def _however_it_ran(item: EvidenceWeight, system: UnitSystem) -> str:
    """What it would show by each way in which it may have run, where nobody noted which."""
    if not item.healthy_by_way:
        return ""
    each = [f"{evidence_value(x, item.kind, system)} {WAYS_RAN[way]}" for way, x in item.healthy_by_way]
    return f" (nobody noted how it ran: {', '.join(each)})"


WAYS_RAN: Mapping[str, str] = {
    "idling": "idling",
    "town": "in town",
    "country road": "on a country road",
    "motorway": "on a motorway",
}


def evidence_value(value: float, kind: str, system: UnitSystem = UnitSystem.SI) -> str:
    """A quantity that was read or would be."""
    if kind == "temperature difference":
        return signed_difference(value, system)
    return temperature(value, system) if kind == "temperature" else show(value, kind, system, 2)


def evidence_between(item: EvidenceWeight, system: UnitSystem = UnitSystem.SI) -> str:
    """Where the likeliest cause lies: "18 to 62 °C"; one number where both ends round to the same."""
    low, high = (evidence_value(x, item.kind, system) for x in item.best_between)
    return high if low == high else f"{low.rpartition(' ')[0]} to {high}"


class Leaning(StrEnum):
    """Which way a piece of evidence points, seen from the likeliest cause."""

    FOR = "for"
    AGAINST = "against"
    NEITHER = "neither"
    WITH_OTHERS = "with others"


def pointing(item: EvidenceWeight, best: str) -> str:
    """Which way a piece of evidence points, and how strongly."""
    strength, way = leaning(item, best)
    if way is Leaning.NEITHER:
        return "It hardly moves the odds."
    if way is Leaning.WITH_OTHERS:
        return "Alone it does not decide: the odds weigh it with the other readings."
    against = "the next likely cause" if best == HEALTHY.key else "a healthy vehicle"
    leader = diagnosis_texts.SOMETHING_ELSE if best == NOT_IN_LIST.key else diagnosis_texts.LIKELIEST_CAUSE
    points = f"for {leader} and against" if way is Leaning.FOR else f"against {leader} and for"
    return f"It speaks {strength}{points} {against}."


def leaning(item: EvidenceWeight, best: str) -> tuple[str, Leaning]:
    """How strongly a piece of evidence moves the odds, as a word to stand before "for", and which way.

    The weight counts a piece with all others, the numbers beside it stand alone. Where the two point in unlike ways,
    that is said instead: no sentence goes against the numbers shown beside it.
    """
    bits = item.weight if best == HEALTHY.key else item.weight_to_healthy
    size = abs(bits)
    if size < _HARDLY:
        return "", Leaning.NEITHER
    way = Leaning.FOR if bits > 0.0 else Leaning.AGAINST
    if way not in _by_the_numbers(item, best):
        return "", Leaning.WITH_OTHERS
    return "strongly " if size > _STRONGLY else "a little " if size < _A_LITTLE else "", way


_HARDLY = 0.5  # bits
_A_LITTLE = 1.5  # bits
_STRONGLY = 3.0  # bits


def _by_the_numbers(item: EvidenceWeight, best: str) -> tuple[Leaning, ...]:
    """Which ways the numbers shown allow: what was read against where the likeliest cause and health lie. What lies
    among the draws of a cause and close to health's number may speak either way. Where the likeliest is health, the
    next cause's number is not shown, and what fits health speaks for it."""
    if item.kind == SEEN:
        off_best, off_healthy = (abs(item.measured - p) for p in (item.expected_best, item.expected_healthy))
        nearer = off_best <= 0.5 if best == HEALTHY.key else off_best <= off_healthy
        return (Leaning.FOR,) if nearer else (Leaning.AGAINST,)
    off_best, off_healthy = (abs(item.measured - x) for x in (item.expected_best, item.expected_healthy))
    if best == HEALTHY.key:
        return (Leaning.FOR,) if off_best <= _FITS.get(item.kind, off_best) else (Leaning.AGAINST,)
    low, high = item.best_between
    outside = max(low - item.measured, item.measured - high, 0.0)
    ways = ((Leaning.FOR, outside <= off_healthy), (Leaning.AGAINST, off_healthy < off_best))
    return tuple(way for way, allowed in ways if allowed)


_FITS: Mapping[str, float] = {"temperature": 10.0, "temperature difference": 5.0}  # K; common practice, no source


def check_cautions(key: str, case: Case) -> tuple[str, ...]:
    """The cautions to stand beside a check of this vehicle."""
    check = EVERY_CHECK[key]
    heated = case.heater.coolant_heater != "none" or bool((case.heater.auxiliary_heat > 0.0).any())
    keys = (*check.cautions, "coolant_heater") if heated and check.beside_heaters else check.cautions
    return tuple(CAUTION_TEXTS[caution] for caution in keys)


def check_sentence(worth: CheckValue, case: Case, *, after_another: bool = False) -> str:
    """A check with its time and why it comes; ``after_another``: a danger or a found fault asks for its own step first."""
    why = " It comes first whatever the odds." if worth.first and not after_another else ""
    return f"{made_sentence(CHECKS[worth.key], case)}{why}"


def made_sentence(check: HandCheck, case: Case) -> str:
    """A check of this vehicle with its time, tools, how to make it and what the result means."""
    return f"{check_title(check)}. Tools: {lowered(check.tools)} {how_made(check, case)} {check.tells}"


def how_made(check: HandCheck, case: Case) -> str:
    """How to make a check of this vehicle: where coolant is lost in the cabin, at the heater core too."""
    return f"{check.how} {AT_THE_HEATER_CORE}" if at_the_heater_core(check.key, case) else check.how


def check_title(check: HandCheck) -> str:
    """A check with its minutes of work."""
    return f"{check.title} (about {check.minutes:.0f} min)"


def reason_words(found: Diagnosis) -> str:
    """What the base rates are for, and their basis."""
    rates = found.base_rates
    repaired = f", after a repair, which leaves nothing to find in about {100.0 * REPAIRED:.0f} %"
    return f"{rates.reason}{repaired if rates.repaired else ''}; {rates.basis}"
