"""The working of one duty, line by line, in the symbols of the textbooks."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from math import inf

from reportlab.graphics.shapes import Drawing
from reportlab.platypus.flowables import Flowable

from engcalc.case.bench_rules import asks_for_a_duty
from engcalc.studies.checked import DutyCheck
from engcalc.units import ZERO_CELSIUS
from engcalc.words.answer.reasons import deciding
from engcalc.words.lesson.class_symbols import Write
from engcalc.words.lesson.rig_words import chapter_on_a_rig, on_a_rig
from engcalc.words.page.paper_words import (
    GIVEN_LEAD,
    GUESS_LEAD,
    SHORT_WORKING,
    SHORT_WORKING_LEAD,
    TERMS_OF_SUM,
    WORKING_LEAD,
)
from engcalc.words.terms.numbers import MINUS, capital
from engcalc.words.texts import page_texts
from engcalc.working.chain import work
from engcalc.working.chapters import WorkedChapter
from engcalc.working.formulas import substituted
from engcalc.working.results import Results
from engcalc.working.rounds import BalanceRound, rounds_of
from engcalc.working.shown import Shown, Term
from reports.formulas import is_plain, put_in, spoken, symbol_markup, typeset, typeset_numbers
from reports.kinds import Annex, Order
from reports.layout import (
    HeadedTable,
    Marked,
    abreast,
    grid,
    half_width,
    heading,
    para,
    rich,
    room,
    subheading,
    together,
)
from reports.pages.values import pretty
from reports.tagging import Tagged
from reports.texts import markup

WORKING = "Working"
MOST_WORKED = 1  # measured points whose working is printed, beside those to be looked at: all are worked alike
WORKING_ROOM = 215.0  # pt that a working wants to begin on a page: heading, lead, the first lines
SHORT_WORKING_ROOM = 100.0  # pt, of a short one: heading, lead, the first line
GIVEN = "What goes in"

MAIN_LINES = frozenset({"UA", "NTU", "eps", "Q_rad", "dT_m"})
"""Symbols of the lines that a short working shows."""
ROUND_HEAD = ("Round", "Guess, °C", "Heat in, W", "Heat out, W", "Left over, W", "Moves by, K")
NO_BREAK = "\u00a0"  # a space at which no line ends
_SPACE = re.compile(" (?![^<]*>)")  # outside the marks of a text
MOST_PUT_IN = 6  # numbers in a formula
_PLAIN_FROM, _PLAIN_TO = 1e-3, 1e6  # smaller and larger numbers are printed with a power of ten


def working_part(order: Order, width: float) -> list[Flowable]:
    """The working of the duty that carries the verdict; empty where nothing was solved."""
    duty = deciding(order.check)
    if duty is None or not asks_for_a_duty(order.check.case) or not bool(duty.point.solved[0]):
        return []
    chapters, results = worked(order, duty), Results(duty.duty, duty, order.check.plant)
    return [
        room(WORKING_ROOM),
        heading(f"{WORKING}: {duty.name}"),
        para(WORKING_LEAD, "small"),
        *_given_part(chapters, width, order.write),
        *(part for chapter in chapters for part in chapter_part(chapter, width, order.write)),
        *_rounds_part(rounds_of(results), width, _guess_lead(order)),
    ]


def short_working_part(order: Order, width: float) -> list[Flowable]:
    """The main lines of the working, from the resistances to the margin; a full annex has all of them instead."""
    duty = deciding(order.check)
    if order.annex is Annex.FULL or duty is None or not bool(duty.point.solved[0]):
        return []
    lines = [line for chapter in worked(order, duty) for line in chapter.lines if _is_main(line)]
    return [
        room(SHORT_WORKING_ROOM),
        heading(f"{SHORT_WORKING}: {duty.name}"),
        para(SHORT_WORKING_LEAD, "small"),
        *_in_pairs(lines, width, order.write, may_shrink=True),
    ]


def _in_pairs(lines: Sequence[Shown], width: float, write: Write, *, may_shrink: bool = False) -> list[Flowable]:
    """Lines of a working in their order: two short ones side by side, a long one over the whole width.

    ``may_shrink``: a formula too wide for half the width is shrunk to it, where room is dear."""
    half = half_width(width)
    parts: list[Flowable] = []
    waits: list[Shown] = []
    for line in lines:
        is_long = _has_parts(line) or not (may_shrink or _fits(line, half, write))
        if not is_long:
            waits.append(line)
        if len(waits) == 2:
            left, right = (_line_parts(one, half, write) for one in waits)
            parts.append(together([abreast(left, right, width)]))
            waits = []
        elif is_long:
            parts += [_line(one, width, write) for one in (*waits, line)]
            waits = []
    return [*parts, *(_line(one, width, write) for one in waits)]


def _has_parts(line: Shown) -> bool:
    """Whether its formula has parts of its own or a sum."""
    return bool(line.step.parts or line.step.count)


def _fits(line: Shown, half: float, write: Write) -> bool:
    """Whether it stands in half the width as large as elsewhere; a note wants the whole of it."""
    symbol, formula = _as_written(line, write)
    if line.step.note or typeset(symbol, formula, {}, inf).width > half:
        return False
    return not _shows_numbers(line) or is_plain(line.step.formula) or _numbers_drawn(line, inf).width <= half


def _is_main(line: Shown) -> bool:
    return line.step.symbol in MAIN_LINES


def _given_part(chapters: Sequence[WorkedChapter], width: float, write: Write) -> list[Flowable]:
    """Every number of the working that no line gives, with its unit."""
    lines = [line for chapter in chapters for line in chapter.lines]
    found = {line.step.symbol for line in lines}
    given = {
        symbol: (term, line.values[symbol])
        for line in lines
        for symbol, term in line.inputs.items()
        if symbol not in found
    }
    rows = [
        (_symbol(term, write), capital(term.label), Marked(_number(text, term), text)) for term, text in given.values()
    ]
    table = HeadedTable(("Symbol", "Meaning", "Value"), rows, small=True)
    return [subheading(GIVEN), para(GIVEN_LEAD, "small"), grid(table, width)]


def _guess_lead(order: Order) -> str:
    return GUESS_LEAD if order.check.plant.engine.present else on_a_rig(GUESS_LEAD)


def _rounds_part(rounds: Sequence[BalanceRound], width: float, lead: str) -> list[Flowable]:
    """Guess and correction, round by round; empty where no one temperature is settled at."""
    if not rounds:
        return []
    rows = [
        (
            str(number),
            f"{one.guess - ZERO_CELSIUS:.3f}",
            f"{one.made:.0f}",
            f"{one.taken:.0f}",
            f"{one.surplus:.1f}",
            "" if one.moved is None else f"{one.moved:.3f}",
        )
        for number, one in enumerate(rounds, start=1)
    ]
    table = HeadedTable(ROUND_HEAD, rows, frozenset(range(1, len(ROUND_HEAD))), small=True)
    return [subheading(page_texts.HOW_THE_TEMPERATURE_IS_FOUND), para(lead, "small"), grid(table, width)]


def worked(order: Order, duty: DutyCheck) -> tuple[WorkedChapter, ...]:
    """The chapters of a duty's working, in the words of a rig where there is no engine."""
    chapters = work(Results(duty.duty, duty, order.check.plant))
    return chapters if order.check.plant.engine.present else tuple(map(chapter_on_a_rig, chapters))


def chapter_part(chapter: WorkedChapter, width: float, write: Write) -> list[Flowable]:
    """A chapter of a working: its title and its lines. ``write`` gives each symbol as the class writes it."""
    lines = _in_pairs(chapter.lines, width, write)
    failures = [
        para(page_texts.NOT_SHOWN_FOR_IT_DOES_NOT_COME_OUT.format(words=words), "small") for words in chapter.failures
    ]
    return [subheading(chapter.title), *lines, *failures]


def _symbol(term: Term, write: Write) -> Marked:
    """A symbol as the class writes it, in a cell of a table."""
    symbol = write(term.symbol, term.unit)
    return Marked(symbol_markup(symbol), symbol)


def _line(line: Shown, width: float, write: Write) -> Flowable:
    return together(_line_parts(line, width, write))


def _line_parts(line: Shown, width: float, write: Write) -> list[Flowable]:
    step = line.step
    names = _names(line, write)
    symbol, formula = _as_written(line, write)
    parts = {name: substituted(part, names) for name, part in step.parts.items()}
    drawn = Tagged(typeset(symbol, formula, parts, width), "Formula", spoken(symbol, formula, parts))
    said = ", ".join(_stated(names[one], line.values[one], term) for one, term in line.inputs.items())
    outcome = f"<b>{_stated(symbol, line.result, line.result_term)}</b>"
    label = f"{markup(capital(step.label))} <font size='7'>({markup(step.source)})</font>"
    series = [rich(TERMS_OF_SUM.format(many=line.count, terms=", ".join(line.series)), "small")] if line.series else []
    note = [para(step.note, "small")] if step.note else []
    numbers = _with_numbers(line, symbol, width)
    return [rich(label, "step"), drawn, *numbers, rich(f"{said}: {outcome}", "formula"), *series, *note]


def _stated(symbol: str, text: str, term: Term) -> str:
    """``symbol = number unit``, which no end of a line parts."""
    return f"{symbol_markup(symbol)}{NO_BREAK}={NO_BREAK}{_SPACE.sub(NO_BREAK, _number(text, term))}"


def _names(line: Shown, write: Write) -> dict[str, str]:
    """The symbols of its formula, each as the class writes it."""
    return {symbol: write(symbol, term.unit) for symbol, term in line.inputs.items()}


def _as_written(line: Shown, write: Write) -> tuple[str, str]:
    """The symbol of its result and its formula, as the class writes them."""
    return write(line.step.symbol, line.result_term.unit), substituted(line.step.formula, _names(line, write))


def _shows_numbers(line: Shown) -> bool:
    """Whether its numbers are put in; not where they are so many, or so far apart, that nobody could read it."""
    return 1 < len(line.inputs) <= MOST_PUT_IN and not line.step.parts and not line.step.count


def _numbers_put_in(line: Shown) -> dict[str, str]:
    return {name: _with_power(text) for name, text in line.values.items()}


def _numbers_drawn(line: Shown, width: float) -> Drawing:
    """Its formula with the numbers put in as a picture, shrunk where it is wider than ``width`` [pt]."""
    return typeset_numbers(line.step.formula, _numbers_put_in(line), width)


def _with_numbers(line: Shown, symbol: str, width: float) -> list[Flowable]:
    """The formula with the numbers put in, where they are shown."""
    if not _shows_numbers(line):
        return []
    texts = _numbers_put_in(line)
    if is_plain(line.step.formula):
        return [rich(f"= {put_in(line.step.formula, texts)}", "formula")]
    return [Tagged(_numbers_drawn(line, width), "Formula", spoken(symbol, substituted(line.step.formula, texts), {}))]


def _with_power(text: str) -> str:
    """A number as formulas write it: very large and small ones with a power of ten."""
    value = Decimal(text)
    if value == 0 or _PLAIN_FROM <= abs(value) < _PLAIN_TO:
        return text
    head, power = _parted(value, text)
    return f"{head}e{power}"


def _parted(value: Decimal, text: str) -> tuple[str, int]:
    """Digits and power of ten of a printed number; zeros behind its point are part of it."""
    power = value.adjusted()
    near = value.scaleb(-power)
    return f"{near if '.' in text else near.normalize():f}", power


def _number(text: str, term: Term) -> str:
    """The printed number with its unit, very large and small ones with a power of ten."""
    value = Decimal(text)
    if value == 0 or _PLAIN_FROM <= abs(value) < _PLAIN_TO:
        return markup(f"{text.replace('-', MINUS)} {pretty(term.unit)}".strip())
    head, power = _parted(value, text)
    unit = f" {markup(pretty(term.unit))}" if term.unit else ""
    return f'{head}·10<super rise="3" size="6">{power}</super>'.replace("-", MINUS) + unit
