"""The diagnosis as it is told: to whoever brought the vehicle, and as the lists that screen and paper share.

Nothing here says more than the odds do: each cause stands with its odds, causes that the readings cannot tell apart
stand as one group with theirs.
"""

from __future__ import annotations

from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.diagnosis import SEEN, CauseOdds, Diagnosis, EvidenceWeight, Group
from engcalc.diagnosis.hand_checks import CHECKS
from engcalc.diagnosis.next_check import CheckValue
from engcalc.units import UnitSystem
from engcalc.words.causes import (
    CLEAR,
    UNPROVEN,
    alike_words,
    all_others,
    cause_label,
    cause_summary,
    check_cautions,
    check_sentence,
    evidence_label,
    evidence_sentence,
    evidence_value,
    group_sentence,
    leaning,
    reason_words,
)
from engcalc.words.conclusion_words import NextStepWords
from engcalc.words.numbers import capital, chance, lowered
from engcalc.words.warmup_words import TITLES

NAMED = 0.025  # probability from which a cause is named; what is below rounds to nothing
MOST_NAMED = 5  # causes that are named at most; the rest count together
LIKELY = 0.8  # probability from which it leads alone, whatever else the readings alone would not tell from it
NOT_ENOUGH = "The computation did not settle well enough to rely on these odds: more readings would help."
EVIDENCE_HEAD = ("Evidence", "Read", "Healthy vehicle", "Likeliest cause", "Speaks")
NEXT = 3  # checks that are named after the next one
_OTHERS = 2  # further causes that the customer is told


def customer_lines(found: Diagnosis) -> tuple[str, ...]:
    """For the customer: what is wrong and how sure, and what else it may be; the first one leads."""
    if not found.enough:
        return ("What is behind it cannot be said yet: more readings are needed.",)
    group = next((g for g in told_groups(found) if found.best.fault in g.faults), None)
    named = group.faults if group is not None else (found.best.fault,)
    others = [c for c in found.causes if c.fault not in named and c.probability >= NAMED][:_OTHERS]
    also = [f"Else: {lowered(cause_label(c.fault))} ({chance(c.probability)})." for c in others]
    return (_lead(found), *_looks_alike(found, group), *also)


def _lead(found: Diagnosis) -> str:
    best = found.best
    what = lowered(cause_label(best.fault))
    if best.probability >= CLEAR:
        return f"Most likely, {chance(best.probability)}: {what}."
    return f"It is not clear yet what is wrong. First among several, {chance(best.probability)}: {what}."


def _looks_alike(found: Diagnosis, group: Group | None) -> tuple[str, ...]:
    """The parts that these readings cannot tell from the likeliest one."""
    alike = () if group is None else tuple(key for key in group.faults if key not in (found.best.fault, *_NO_PART))
    if not alike:
        return ()
    return (f"These readings alone cannot tell it from: {alike_words(Group(alike, 0.0, None))}.",)


_NO_PART = (HEALTHY.key, "not_in_list")  # nobody can go and look at these


def next_by_odds(found: Diagnosis) -> CheckValue | None:
    """The check that the odds ask for; none where they say that nothing is wrong."""
    settled = found.enough and found.best.fault == HEALTHY.key and found.best.probability >= LIKELY
    return None if settled else found.next_check


def odds_lines(found: Diagnosis, system: UnitSystem) -> list[str]:
    """The causes worth naming, the likeliest first, and what is left for all others together."""
    named = named_causes(found)
    rest = 1.0 - sum(c.probability for c in named)
    others = len(found.causes) - len(named)
    said = [cause_summary(c, system, leads=c is found.best) for c in named]
    return [*said, all_others(others, rest)] if others else said


def named_causes(found: Diagnosis) -> list[CauseOdds]:
    """The causes that are worth a line of their own, the likeliest first."""
    return [c for c in found.causes if c.probability >= NAMED][:MOST_NAMED] or [found.best]


def told_groups(found: Diagnosis) -> list[Group]:
    """Causes that the readings cannot tell apart, where that is worth a word: not of a leader that leads alone."""
    alone = found.best.fault if found.best.probability >= LIKELY else ""
    return [group for group in found.groups if alone not in group.faults and group.probability >= NAMED]


def evidence_row(item: EvidenceWeight, best: str, system: UnitSystem) -> tuple[str, ...]:
    """One piece of evidence under ``EVIDENCE_HEAD``."""
    cells = [
        _cell(x, item.kind, system, measured=i == 0)
        for i, x in enumerate((item.measured, item.expected_healthy, item.expected_best))
    ]
    return (capital(evidence_label(item)), *cells, leans(item, best))


def _cell(value: float, kind: str, system: UnitSystem, *, measured: bool) -> str:
    if kind != SEEN:
        return evidence_value(value, kind, system)
    if measured:
        return "yes" if value > 0.5 else "no"
    nearest = 5 * round(20.0 * value)
    return "hardly ever" if nearest <= 0 else "nearly always" if nearest >= 100 else f"in about {nearest} %"


def leans(item: EvidenceWeight, best: str) -> str:
    """Which way it speaks, seen from the likeliest cause."""
    strength, supports = leaning(item, best)
    return "hardly either way" if strength is None else f"{strength}{'for it' if supports else 'against it'}"


def rates_words(found: Diagnosis) -> str:
    """What the odds were before any reading."""
    first = sorted(found.base_rates.rates.items(), key=lambda pair: -pair[1])[:3]
    listed = "; ".join(f"{lowered(cause_label(key))}, {chance(rate)}" for key, rate in first)
    return f"Before any reading, by the reason for the visit ({reason_words(found)}): {listed}. {UNPROVEN}"


def diagnosis_lines(
    found: Diagnosis, system: UnitSystem = UnitSystem.SI, first: NextStepWords | None = None
) -> list[str]:
    """The whole answer as plain text. ``first`` is what a danger or a fault that was found asks for before any odds."""
    lines = [f"{TITLES[found.record]}:", *([] if found.enough else [NOT_ENOUGH]), *odds_lines(found, system)]
    lines += [group_sentence(g) for g in told_groups(found)]
    lines += ["", "What carries it:"]
    lines += [f"- {evidence_sentence(e, found.best.fault, system)}" for e in found.evidence]
    lines += [f"- Not used: {text}." for text in found.unused]
    if first is not None:
        lines += ["", f"Next: {first.text}", *(f"  Caution: {text}" for text in first.caution_texts)]
    if found.next_check is not None:
        head = "Next check" if first is None else "After that"
        lines += ["", f"{head}: {check_sentence(found.next_check, after_another=first is not None)}"]
        lines += [f"  Caution: {text}" for text in check_cautions(found.next_check.key, found.case)]
        lines += [f"then: {CHECKS[c.key].title} (about {c.minutes:.0f} min)" for c in found.next_checks[1 : 1 + NEXT]]
    return [*lines, "", rates_words(found)]
