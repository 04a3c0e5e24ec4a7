"""The diagnosis as it is told: to whoever brought the vehicle, and as the lists that screen and paper share.

Nothing here says more than the odds do: each cause stands with its odds, causes that the readings cannot tell apart
stand as one group with theirs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from engcalc.case.case import Case
from engcalc.case.records import Record
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.checks.found_causes import found_causes, looked_at
from engcalc.diagnosis.checks.hand_checks import CHECKS, HandCheck, lost_in_the_cabin
from engcalc.diagnosis.checks.next_check import CheckValue
from engcalc.diagnosis.checks.part_checks import HEATER_CORE, parts_of
from engcalc.diagnosis.grounds import VehicleState
from engcalc.diagnosis.hottest import read_hot
from engcalc.diagnosis.odds.diagnosis import SEEN, CauseOdds, Diagnosis, EvidenceWeight, Group, SeverityRange
from engcalc.units import UnitSystem
from engcalc.vehicle.run import AFTER
from engcalc.words.answer.warmup_words import TITLES
from engcalc.words.diagnosis.causes import (
    CLEAR,
    MISREAD_HOT,
    UNPROVEN,
    Leaning,
    alike_words,
    all_others,
    cause_label,
    cause_notes,
    cause_summary,
    check_cautions,
    check_sentence,
    check_title,
    checks_that_tell_words,
    evidence_between,
    evidence_label,
    evidence_sentence,
    evidence_value,
    found_summary,
    group_sentence,
    leaning,
    made_sentence,
    nothing_else,
    rank_words,
    reason_words,
)
from engcalc.words.diagnosis.conclusion_words import NextStepWords
from engcalc.words.diagnosis.own_history_words import own_history_words
from engcalc.words.terms.numbers import capital, chance, lowered
from engcalc.words.texts import diagnosis_texts

NAMED = 0.025  # probability from which a cause is named; what is below rounds to nothing
MOST_NAMED = 5  # causes that are named at most; the rest count together
LIKELY = 0.8  # probability from which it leads alone, whatever else the readings alone would not tell from it
WHAT_IT_RESTS_ON = "What the odds rest on"
NOT_ENOUGH = "The computation did not settle well enough to rely on these odds: more readings would help."
EVIDENCE_HEAD = ("Evidence", "Read", "Healthy, nearest", "Likeliest cause", "Speaks")
GAS = "gas_in_coolant"
NEXT = 3  # checks that are named after the next one
_OTHERS = 2  # further causes that the customer is told


def customer_lines(found: Diagnosis, state: VehicleState | None = None) -> tuple[str, ...]:
    """For the customer: what is wrong and how sure, and what else it may be; the first one leads. ``state``: what the
    conclusion above says of the vehicle. Below a healthy one no line speaks of what is wrong, and below one that has a
    fault only the part is open."""
    known = known_causes(found)
    if known:
        return tuple(f"Found: {lowered(cause_label(c.fault))}." for c in known)
    if not found.enough:
        return ("What is behind it cannot be said yet: more readings are needed.",)
    if found.best.fault == _UNNAMED and state is not VehicleState.HEALTHY:
        return _little_fits(found, state)
    group = next((g for g in told_groups(found) if found.best.fault in g.faults), None)
    named = group.faults if group is not None else (found.best.fault,)
    others = [c for c in found.causes if c.fault not in named and c.probability >= NAMED][:_OTHERS]
    also = [f"Or: {_for_the_customer(c.fault)} ({chance(c.probability)})." for c in others]
    return (_lead(found, state), *_looks_alike(found, group), *also)


def _little_fits(found: Diagnosis, state: VehicleState | None) -> tuple[str, ...]:
    """Where no simulated cause fits the readings well: the first part that can be named leads all the same, for somebody can
    go and look at it, and the check that would tell stands beside it."""
    parts = [c for c in found.causes if c.fault not in _NO_PART and c.probability >= NAMED]
    lead = _not_clear(state)
    if parts:
        first, odds = parts[0], chance(parts[0].probability)
        what = lowered(cause_label(first.fault))
        lead = diagnosis_texts.FIRST_THAT_CAN_BE_NAMED.format(not_clear=lead, what=f"“{what}”", odds=odds)
    said = diagnosis_texts.SOMETHING_ELSE_LEADS.format(odds=capital(chance(found.best.probability)))
    also = [f"Or: {_for_the_customer(c.fault)} ({chance(c.probability)})." for c in parts[1:_OTHERS]]
    return (lead, said, *_what_tells_more(found), *also)


def _what_tells_more(found: Diagnosis) -> tuple[str, ...]:
    """The check that the odds rank first, whatever comes before it by safety."""
    ranked = [c for c in found.next_checks if not c.first] or list(found.next_checks)
    if not ranked:
        return ()
    return (diagnosis_texts.WHAT_TELLS_MORE.format(check=lowered(CHECKS[ranked[0].key].title)),)


def _lead(found: Diagnosis, state: VehicleState | None) -> str:
    best, healthy = found.best, state is VehicleState.HEALTHY
    what = lowered(MISREAD_HOT) if best.fault == HEALTHY.key and _read_hot(found) else _for_the_customer(best.fault)
    if best.fault == HEALTHY.key and best.probability < CLEAR:
        if state in _FAULTY:
            return diagnosis_texts.PART_NOT_SHOWN_YET.format(odds=chance(best.probability))
        so_far = "No reading shows a fault so far." if healthy else "It is not clear yet whether something is wrong."
        return f"{so_far} The odds that no part is at fault: {chance(best.probability)}."
    if healthy and best.fault != HEALTHY.key:
        first = "most likely" if best.probability >= CLEAR else "first among several"
        return f"No reading shows a fault so far. If the complaint stays, {first}, {chance(best.probability)}: {what}."
    if best.probability >= CLEAR:
        return f"Most likely, {chance(best.probability)}: {what}."
    return f"{_not_clear(state)} First among several, {chance(best.probability)}: {what}."


_FAULTY = (VehicleState.RUNS_COLD, VehicleState.RUNS_HOT, VehicleState.HEATS_POORLY, VehicleState.LOSES_COOLANT)


def _not_clear(state: VehicleState | None) -> str:
    """Below a conclusion that says what is wrong only the part is open."""
    return diagnosis_texts.PART_NOT_CLEAR_YET if state in _FAULTY else diagnosis_texts.NOT_CLEAR_YET


def _for_the_customer(fault: str) -> str:
    """A cause within a sentence on the customer's page, where no list stands beside it."""
    return NOT_NAMED if fault == _UNNAMED else lowered(cause_label(fault))


def _looks_alike(found: Diagnosis, group: Group | None) -> tuple[str, ...]:
    """The parts that these readings cannot tell from the likeliest one."""
    alike = () if group is None else tuple(key for key in group.faults if key not in (found.best.fault, *_NO_PART))
    if not alike:
        return ()
    return (f"These readings alone cannot tell it from: {alike_words(Group(alike, 0.0, None))}.",)


_UNNAMED = "not_in_list"
NOT_NAMED = "something that is not among the known faults"
_NO_PART = (HEALTHY.key, _UNNAMED)  # nobody can go and look at these


def next_by_odds(found: Diagnosis) -> CheckValue | None:
    """The check that the odds ask for; none where they say that nothing is wrong."""
    settled = found.enough and found.best.fault == HEALTHY.key and found.best.probability >= LIKELY
    return None if settled else found.next_check


def check_heading(found: Diagnosis, *, after_another: bool) -> str:
    """What stands over the checks that the odds offer; ``after_another``: a danger or a found fault comes first."""
    if after_another:
        return "After that"
    return "To be surer" if next_by_odds(found) is None else "Next check"


def known_causes(found: Diagnosis) -> tuple[CauseOdds, ...]:
    """The causes that were looked at and found, as far as this vehicle can have them."""
    keys = found_causes(found.case, found.record)
    return tuple(c for c in found.causes if c.fault in keys)


def odds_lines(found: Diagnosis, system: UnitSystem, state: VehicleState | None = None) -> list[str]:
    """The causes worth naming: what was found first, then the likeliest; and what is left for all others together.
    ``state``: what the conclusion above says of the vehicle."""
    named = named_causes(found)
    rest = 1.0 - sum(c.probability for c in named)
    others = len(found.causes) - len(named)
    said = [cause_line(c, found, system, state) for c in named]
    return [*said, all_others(others, rest)] if others else said


def cause_line(cause: CauseOdds, found: Diagnosis, system: UnitSystem, state: VehicleState | None = None) -> str:
    """One cause: found or how likely, how bad, what else to know of it, and the checks that tell it."""
    known = known_causes(found)
    told = replace(cause, severity=_told_here(cause, known))
    said = found_summary(told, system) if cause in known else _summary(told, found, system, state)
    record = found.case.evidence.after if found.record == AFTER else found.case.evidence.before
    checks = "" if cause in known else checks_that_tell_words(cause.fault, found.case, record)
    notes = (*cause_notes(cause.fault, found.case, record), *_where_little_fits(cause, found, record))
    return " ".join(part for part in (said, *notes, checks) if part)


def _where_little_fits(cause: CauseOdds, found: Diagnosis, record: Record | None) -> tuple[str, ...]:
    """What to do where something that is not in the list leads."""
    if cause.fault != _UNNAMED or not _leads(cause, found):
        return ()
    gas = record is not None and any(record.seen.get(fact) for fact in _GAS_SIGNS)
    gathers = (diagnosis_texts.GAS_THAT_GATHERS_IS_NOT_SIMULATED,) if gas else ()
    return (diagnosis_texts.CAUSES_OF_THE_LIST_FIT_IN_PART, *gathers)


_GAS_SIGNS = ("bubbles_when_running", "combustion_gas_found")


def _told_here(cause: CauseOdds, known: Sequence[CauseOdds]) -> tuple[SeverityRange, ...]:
    """The ranges to tell with a cause. What is missing of the coolant is one quantity, however many causes speak of it:
    once one of these was found it is told there alone, of several found with the first of the catalogue."""
    by_label: dict[str, CauseOdds] = {}
    for other in sorted(known, key=lambda c: CAUSES[c.fault].place, reverse=True):
        by_label |= dict.fromkeys((s.label for s in other.severity), other)
    return tuple(s for s in cause.severity if by_label.get(s.label, cause).fault == cause.fault)


def _summary(cause: CauseOdds, found: Diagnosis, system: UnitSystem, state: VehicleState | None) -> str:
    """A cause with its odds; beside what was found no other leads, and of a pair only the other part is open. No fault
    never leads below a conclusion that says what is wrong."""
    keys = {c.fault for c in known_causes(found)}
    if cause.fault == HEALTHY.key and keys:
        return nothing_else(cause.probability)
    if cause.fault == HEALTHY.key and state in _FAULTY and _leads(cause, found) and cause.probability < CLEAR:
        return diagnosis_texts.PART_NOT_SHOWN_YET.format(odds=chance(cause.probability))
    if cause.fault == HEALTHY.key and _read_hot(found):
        return f"{MISREAD_HOT}: {rank_words(cause.probability, _leads(cause, found))}."
    besides = [key for key in cause.fault.split("+") if key not in keys]
    if len(besides) < len(cause.fault.split("+")):
        return f"Besides it, {lowered(cause_label('+'.join(besides)))}: {rank_words(cause.probability, leads=False)}."
    return cause_summary(cause, system, leads=_leads(cause, found) and not keys)


def _leads(cause: CauseOdds, found: Diagnosis) -> bool:
    """Whether no cause is likelier. By its key: what is told of it may be a copy."""
    return cause.fault == found.best.fault


def _read_hot(found: Diagnosis) -> bool:
    """Whether the record holds a reading that no face calls healthy: at the limit or close to it."""
    record = found.case.evidence.after if found.record == AFTER else found.case.evidence.before
    return record is not None and read_hot(found.case, record, found.measured[1])


def named_causes(found: Diagnosis) -> list[CauseOdds]:
    """The causes that are worth a line of their own: those that were found, then the others, the likeliest first."""
    known = known_causes(found)
    keys = {c.fault for c in known}
    likely = [c for c in found.causes if c.probability >= NAMED and set(c.fault.split("+")) - keys]
    return [*known, *likely[:MOST_NAMED]][: max(MOST_NAMED, len(known))] or [found.best]


def told_groups(found: Diagnosis) -> list[Group]:
    """Causes that the readings cannot tell apart, where that is worth a word: not of a leader that leads alone, nor of
    one that was found."""
    alone = {found.best.fault} if found.best.probability >= LIKELY else set()
    settled = alone | {c.fault for c in known_causes(found)}
    return [group for group in found.groups if not settled & set(group.faults) and group.probability >= NAMED]


def part_checks(found: Diagnosis) -> tuple[HandCheck, ...]:
    """The checks that find the part: of what was found, else of the likeliest cause once it is clear. Those whose part
    was looked at already are left out."""
    known = known_causes(found)
    clear = [] if known or found.best.probability < CLEAR else [found.best]
    record = found.case.evidence.after if found.record == AFTER else found.case.evidence.before
    return parts_left([c.fault for c in (*known, *clear)], found.case, record)


def parts_left(causes: Sequence[str], case: Case, record: Record | None) -> tuple[HandCheck, ...]:
    """The checks that find the part of these causes, but for those whose part was looked at already: first those of gas
    in the coolant, the gravest."""
    made = looked_at({} if record is None else record.seen)
    parts = [check for check in parts_of(causes) if not made & set(check.answers[:1])]
    gas_first = sorted(parts, key=lambda check: not (GAS in causes and GAS in check.part_of))
    return _where_it_is_lost(gas_first, case)


def _where_it_is_lost(checks: Sequence[HandCheck], case: Case) -> tuple[HandCheck, ...]:
    """The look at the heater core comes first where coolant is lost in the cabin, and not where it is lost elsewhere."""
    if case.job.coolant_lost_at in (None, "nowhere seen"):
        return tuple(checks)
    others = tuple(check for check in checks if check.key != HEATER_CORE)
    return (*(check for check in checks if check.key == HEATER_CORE), *others) if lost_in_the_cabin(case) else others


@dataclass(frozen=True)
class OfferedCheck:
    """A check that is offered, by its key, and why it comes."""

    key: str
    why: str


def offered_checks(found: Diagnosis, *, after_another: bool = False) -> tuple[OfferedCheck, ...]:
    """Every check worth offering, the next one first: what finds the part of a fault that was found, what the odds ask
    for, what finds the part of the likeliest cause. ``after_another``: a danger or a found fault asks for its own step
    before all of them."""
    parts = part_checks(found)
    known = known_causes(found)
    by_odds = [OfferedCheck(c.key, _why(c, found, after_another)) for c in found.next_checks]
    by_part = [OfferedCheck(c.key, FINDS_THE_PART if known else FINDS_IT_LATER) for c in parts]
    return tuple([*by_part, *by_odds] if known else [*by_odds, *by_part])


FIRST_WHY = "It comes first whatever the odds: two minutes may explain it all, or it is a matter of safety."
FINDS_THE_PART = "The fault is found: this finds the part."
FINDS_IT_LATER = "Once the cause is sure: this finds the part."


def _why(check: CheckValue, found: Diagnosis, after_another: bool) -> str:
    if check.first and not after_another:
        return FIRST_WHY
    if check.first:
        return "It belongs to every such complaint. The fault that was found comes before it."
    ranked = [c for c in found.next_checks if not c.first]
    if check.key == ranked[0].key:
        return "Of the checks not made yet it tells the most for a minute of work."
    return "It tells less for a minute of work than others in the list."


NEAREST = (
    "“Healthy, nearest” is the healthy vehicle that comes nearest to all that was read, as the instrument would show it. "
    "“Likeliest cause” is where nine in ten vehicles with that cause would be, judged by the other readings."
)
SPEAKS = f"“Speaks” says how the reading moved the odds of the likeliest cause. {NEAREST}"


def how_it_was_weighed(found: Diagnosis) -> str:
    """Which record was judged, and how."""
    return (
        f"{TITLES[found.record]}. Each cause was simulated over the same drive ({found.source}) and held against all that "
        "was read and seen."
    )


def evidence_row(item: EvidenceWeight, best: str, system: UnitSystem) -> tuple[str, ...]:
    """One piece of evidence under ``EVIDENCE_HEAD``."""
    return (capital(evidence_label(item)), *_cells(item, best, system), leans(item, best))


def _cells(item: EvidenceWeight, best: str, system: UnitSystem) -> tuple[str, str, str]:
    """What was read, what health would show and where the likeliest cause lies."""
    if item.kind == SEEN:
        return "yes" if item.measured > 0.5 else "no", _how_often(item.expected_healthy), _how_often(item.expected_best)
    read, healthy = (evidence_value(x, item.kind, system) for x in (item.measured, item.expected_healthy))
    return read, healthy, "not simulated" if best == _UNNAMED else evidence_between(item, system)


def _how_often(p: float) -> str:
    """Of how many such vehicles it would be seen: beside what was seen of this one."""
    return "no, nearly always" if p < 0.025 else "yes, nearly always" if p >= 0.975 else f"yes, {chance(p)}"


def leans(item: EvidenceWeight, best: str) -> str:
    """Which way it speaks, seen from the likeliest cause."""
    strength, way = leaning(item, best)
    return {
        Leaning.NEITHER: "hardly either way",
        Leaning.WITH_OTHERS: "only with the others",
        Leaning.FOR: f"{strength}for it",
        Leaning.AGAINST: f"{strength}against it",
    }[way]


def rates_words(found: Diagnosis) -> str:
    """What the odds were before any reading."""
    first = sorted(found.base_rates.rates.items(), key=lambda pair: -pair[1])[:3]
    listed = "; ".join(f"{lowered(cause_label(key))}, {chance(rate)}" for key, rate in first)
    return f"Before any reading, by the reason for the visit ({reason_words(found)}): {listed}. {UNPROVEN}"


def starting_words(found: Diagnosis) -> list[str]:
    """What the odds started from: base rates, and the vehicle's own history where it counts."""
    own = own_history_words(found)
    return [rates_words(found), *([own] if own else [])]


def diagnosis_lines(
    found: Diagnosis,
    system: UnitSystem = UnitSystem.SI,
    first: NextStepWords | None = None,
    state: VehicleState | None = None,
) -> list[str]:
    """The whole answer as plain text. ``first`` is what a danger or a fault that was found asks for before any odds,
    ``state`` what the conclusion says of the vehicle."""
    lines = [f"{TITLES[found.record]}:", *([] if found.enough else [NOT_ENOUGH]), *odds_lines(found, system, state)]
    lines += [group_sentence(g) for g in told_groups(found)]
    lines += ["", f"{WHAT_IT_RESTS_ON}:"]
    lines += [f"- {evidence_sentence(e, found.best.fault, system)}" for e in found.evidence]
    lines += [f"- Not used: {text}." for text in found.unused]
    if first is not None:
        lines += ["", f"Next: {first.text}", *(f"  Caution: {text}" for text in first.caution_texts)]
    parts = part_checks(found)
    if known_causes(found):
        lines += _part_lines("To find the part", parts, found.case)
    if found.next_check is not None:
        head = check_heading(found, after_another=first is not None)
        lines += ["", f"{head}: {check_sentence(found.next_check, found.case, after_another=first is not None)}"]
        lines += [f"  Caution: {text}" for text in check_cautions(found.next_check.key, found.case)]
        lines += [f"then: {check_title(CHECKS[c.key])}" for c in found.next_checks[1 : 1 + NEXT]]
    if not known_causes(found):
        lines += _part_lines("Once it is sure, to find the part", parts, found.case)
    return [*lines, "", *starting_words(found)]


def _part_lines(head: str, checks: Sequence[HandCheck], case: Case) -> list[str]:
    """The checks that find the part, in their order, and the cautions of them all."""
    if not checks:
        return []
    cautions = dict.fromkeys(text for check in checks for text in check_cautions(check.key, case))
    return [
        "",
        f"{head}:",
        *(f"- {made_sentence(c, case)}" for c in checks),
        *(f"  Caution: {text}" for text in cautions),
    ]
