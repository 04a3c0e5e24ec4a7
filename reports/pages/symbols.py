"""The symbols and terms of a lesson: those that its working and its results use, each with meaning and unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from reportlab.platypus.flowables import Flowable

from engcalc.classroom.symbols import SymbolSet
from engcalc.words.answer.reasons import deciding
from engcalc.words.answer.results import RESULTS
from engcalc.words.lesson.class_symbols import Write
from engcalc.words.lesson.class_terms import class_terms
from engcalc.words.page.paper_words import SYMBOLS_LEAD, TERMS_TITLE
from engcalc.words.terms.glossary import RESULT_WORDS
from engcalc.words.terms.numbers import capital
from engcalc.working.chapters import WorkedChapter
from engcalc.working.shown import Term
from reports.formulas import symbol_markup
from reports.kinds import Order
from reports.layout import HeadedTable, Marked, grid, para, subheading
from reports.pages.bench import bench_chapters, written_by
from reports.pages.derivation import worked
from reports.pages.rig import worked_point
from reports.pages.values import pretty

_Row = tuple[str | Marked, ...]
HEAD = ("Symbol", "Meaning", "Unit")
SHARES = (0.08, 0.33, 0.09)  # of the width, for one of two entries abreast
ALIKE_ON_A_RIG = frozenset({"UA", "NTU", "C_r", "eps", "v_a", "T_ao", "T_lim"})
_MEANINGS = {row.symbol: RESULT_WORDS[row.key] for row in RESULTS if row.key in RESULT_WORDS}


def symbols_part(order: Order, width: float) -> list[Flowable]:
    """A table of the symbols that the working uses, by the alphabet; empty where there is no working."""
    on_a_rig = not order.check.plant.engine.present
    used = {write(term.symbol, term.unit): term for chapter, write in _chapters(order) for term in _terms(chapter)}
    meaning = _label if order.check.is_bench_alone else _meaning_on_a_rig if on_a_rig else _meaning
    rows: list[_Row] = [
        (Marked(symbol_markup(symbol), symbol), meaning(term), pretty(term.unit))
        for symbol, term in sorted(used.items(), key=lambda pair: pair[0].casefold())
    ]
    if not rows:
        return []
    table = HeadedTable(2 * HEAD, list(_two_abreast(rows)), small=True, shares=2 * SHARES)
    terms = HeadedTable(
        ("Term", "Meaning"),
        list(class_terms(SymbolSet(order.check.case.exchanger.symbols))),
        small=True,
        shares=(0.24, 0.76),
    )
    return [para(SYMBOLS_LEAD, "small"), grid(table, width), subheading(TERMS_TITLE), grid(terms, width)]


def _two_abreast(rows: Sequence[_Row]) -> Iterator[_Row]:
    """Rows of two entries side by side: the first half of the alphabet on the left, the second on the right."""
    half = (len(rows) + 1) // 2
    for left, right in zip_longest(rows[:half], rows[half:], fillvalue=("",) * len(HEAD)):
        yield (*left, *right)


def _chapters(order: Order) -> Iterator[tuple[WorkedChapter, Write]]:
    """The chapters of every working that a lesson prints, each with how its symbols are written."""
    check = order.check
    if check.bench is not None:
        yield from ((chapter, written_by(check.bench)) for chapter in bench_chapters(check.bench))
    for point in check.rig:
        yield from ((chapter, order.write) for chapter in worked_point(check.plant, check.case, point))
    duty = deciding(check)
    if duty is not None and bool(duty.point.solved[0]):
        yield from ((chapter, order.write) for chapter in worked(order, duty))


def _terms(chapter: WorkedChapter) -> Iterator[Term]:
    for line in chapter.lines:
        yield from (*line.inputs.values(), line.result_term)


def _label(term: Term) -> str:
    return capital(term.label)


def _meaning_on_a_rig(term: Term) -> str:
    """The same where there is no engine: the glossary tells the rest as it is in a vehicle."""
    return _meaning(term) if term.symbol in ALIKE_ON_A_RIG else _label(term)


def _meaning(term: Term) -> str:
    """What a symbol stands for, and what that means where the glossary tells it."""
    told = _MEANINGS.get(term.symbol, "")
    return f"{capital(term.label)}. {told}" if told else capital(term.label)
