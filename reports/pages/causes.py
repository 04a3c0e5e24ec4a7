"""The causes on paper: a line or two for the customer, then the odds, what carries them, and the next check."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.case.case import Case
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.checks.next_check import CheckValue
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.vehicle.run import BEFORE
from engcalc.words.answer.answer import comes_before_odds, state_told
from engcalc.words.answer.warmup_words import TITLES
from engcalc.words.diagnosis.causes import (
    UNPROVEN,
    cause_label,
    check_cautions,
    check_sentence,
    group_sentence,
    made_sentence,
)
from engcalc.words.diagnosis.causes_told import (
    EVIDENCE_HEAD,
    NAMED,
    NEXT,
    NOT_ENOUGH,
    SPEAKS,
    WHAT_IT_RESTS_ON,
    customer_lines,
    evidence_row,
    how_it_was_weighed,
    next_by_odds,
    odds_lines,
    part_checks,
    starting_words,
    told_groups,
)
from engcalc.words.diagnosis.conclusion_words import NextStepWords
from engcalc.words.diagnosis.own_history_words import own_history_line
from engcalc.words.terms.numbers import capital, chance, lowered, small_share
from engcalc.words.texts import page_texts
from reports.kinds import Annex, Order
from reports.layout import HeadedTable, bullets, grid, para, subheading
from reports.pages.pictures import figures
from reports.plots.registry import Paper

CURVES = 0.8  # of the width, that the causes' curves take


def customer_part(order: Order) -> list[Flowable]:
    """What is behind it and how sure, for page one; empty without a diagnosis. What was wrong before a repair is said
    in a line: nothing more is to be checked of it."""
    if order.diagnosis is None:
        return []
    repaired = order.check.case.evidence.after is not None
    overtaken = repaired and order.diagnosis.record == BEFORE
    lead, *rest = customer_lines(order.diagnosis, None if overtaken else conclude(order.check).state)
    own = own_history_line(order.diagnosis)
    rest += [own] if own else []
    if not repaired:
        return [para(lead, "strong"), *(para(text) for text in rest)]
    when = f"{TITLES[order.diagnosis.record]}: {lowered(lead)}"
    if order.diagnosis.record == BEFORE:
        return [para(when), *([para(own)] if own else [])]
    return [para(when, "strong"), *(para(text) for text in rest)]


def causes_part(order: Order, width: float) -> list[Flowable]:
    """Odds in words, evidence, curves, next check, in a full annex the base rates; empty without a diagnosis."""
    found = order.diagnosis
    if found is None:
        return []
    rows = [evidence_row(item, found.best.fault, order.system) for item in found.evidence]
    curves, circuit = _parted(figures(Paper.CAUSES, found, order.system, CURVES * width))
    return [
        para(how_it_was_weighed(found)),
        *([] if found.enough else [para(NOT_ENOUGH)]),
        *bullets(odds_lines(found, order.system, state_told(order.check, found.record))),
        *bullets([group_sentence(group) for group in told_groups(found)]),
        *(
            [
                subheading(WHAT_IT_RESTS_ON),
                grid(HeadedTable(EVIDENCE_HEAD, rows, shares=(0.34, 0.12, 0.15, 0.17, 0.22)), width),
                para(SPEAKS, "small"),
            ]
            if rows
            else []
        ),
        *bullets([f"Not used: {text}." for text in found.unused]),
        *curves,
        *_checks(_worth_making(found), found.case, comes_before_odds(order.check, found.record)),
        *circuit,
        *_part_checks(found),
        *(_rates(order, width) if order.annex is Annex.FULL else [para(UNPROVEN, "small")]),
    ]


def _parted(drawn: list[Flowable]) -> tuple[list[Flowable], list[Flowable]]:
    """The first picture and the others. The check stands between them: two tall pictures fit no page together, and left
    half a page empty."""
    return drawn[:1], drawn[1:]


def _worth_making(found: Diagnosis) -> tuple[CheckValue, ...]:
    """The next check and those after it; none where the odds say that nothing is wrong."""
    return () if next_by_odds(found) is None else found.next_checks


def _checks(checks: tuple[CheckValue, ...], case: Case, urgent: NextStepWords | None) -> list[Flowable]:
    """What a danger or a found fault asks for first; then the next check with its cautions, and those after it."""
    before = (
        [] if urgent is None else [subheading("What comes first"), para(urgent.text), *bullets(urgent.caution_texts)]
    )
    if not checks:
        return before
    first, *after = checks
    then = "; ".join(f"{CHECKS[c.key].title} (about {c.minutes:.0f} min)" for c in after[:NEXT])
    return [
        *before,
        subheading("The next check" if urgent is None else page_texts.NEXT_CHECK_AFTER_THAT),
        para(check_sentence(first, case, after_another=urgent is not None)),
        *bullets(check_cautions(first.key, case)),
        *([para(f"After it: {then}.")] if then else []),
    ]


def _part_checks(found: Diagnosis) -> list[Flowable]:
    """The checks that find the part of what was found or leads, each with the cautions of all of them once."""
    checks = part_checks(found)
    if not checks:
        return []
    cautions = dict.fromkeys(text for check in checks for text in check_cautions(check.key, found.case))
    told = bullets([made_sentence(check, found.case) for check in checks])
    return [subheading(page_texts.TO_FIND_THE_PART), *told, *bullets(tuple(cautions))]


def _rates(order: Order, width: float) -> list[Flowable]:
    """What the odds were before any reading, for the causes that are named."""
    found = order.diagnosis
    if found is None:
        return []
    rates = found.base_rates.rates
    named = {
        c.fault: c.probability
        for c in found.causes
        if c.fault in rates and (c.probability >= NAMED or rates[c.fault] >= NAMED)
    }
    rows = [(capital(cause_label(fault)), small_share(rates[fault]), chance(p)) for fault, p in named.items()]
    return [
        subheading(page_texts.BEFORE_AND_AFTER_THE_READINGS),
        *(para(text) for text in starting_words(found)),
        grid(
            HeadedTable(
                ("Cause", "Before any reading", "With all readings"), rows, small=True, shares=(0.44, 0.28, 0.28)
            ),
            width,
        ),
    ]
