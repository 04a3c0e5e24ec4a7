"""One number, one text: a working in which every number has the same digits wherever it stands.

Line by line the fewest digits would do, and a number would then change its digits from line to line. Here each number
has four significant digits, or as many more as the most delicate line that it enters asks for (a small difference of
two large numbers), so that every line comes out at the numbers that are printed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import replace

from engcalc.errors import RangeError
from engcalc.words.texts import class_texts
from engcalc.working.chapters import WorkedChapter
from engcalc.working.formulas import evaluate, series_of, terms
from engcalc.working.shown import MOST_DIGITS, Shown, Term, digits_of, read

USUAL_DIGITS = 4  # significant digits; more where a line asks for them
PROPERTIES = frozenset(
    {"rho", "mu", "cp", "k", "Pr", "dry_air", "rho_in", "rho_hot_in", "coolant_density", "reference_density"}
)
"""Names under which results keep a fluid's properties: nobody typed them, so that they have the digits of a result."""
COMES_OUT = 1e-3  # share of its result within which a line comes out at the printed numbers


def with_same_digits(chapters: Sequence[WorkedChapter], root: object) -> tuple[WorkedChapter, ...]:
    """The chapters, each number of ``root`` printed to the same digits in all of them.

    A line that comes out at no number of printed digits is not shown: its chapter says so.
    """
    lines = [line for chapter in chapters for line in chapter.lines]
    terms_used = _terms(lines)
    found = {line.step.symbol for line in lines} | {s for s, term in terms_used.items() if _is_property(term)}
    numbers = {symbol: _number(root, term) for symbol, term in terms_used.items()}
    digits = dict.fromkeys(numbers, USUAL_DIGITS)
    lost: set[int] = set()
    settled = False
    while not settled:  # more digits of a number for one line may upset an earlier one that came out by luck
        settled = True
        for line in lines:
            while id(line) not in lost and not comes_out(line, _printed(numbers, digits, found, _symbols(line))):
                settled = False
                if all(digits[symbol] >= MOST_DIGITS for symbol in line.inputs):
                    lost.add(id(line))
                for symbol in line.inputs:
                    digits[symbol] = min(digits[symbol] + 1, MOST_DIGITS)
    texts = _printed(numbers, digits, found, numbers)
    return tuple(_again_all(chapter, texts, lost) for chapter in chapters)


def _again_all(chapter: WorkedChapter, texts: Mapping[str, str], lost: Set[int]) -> WorkedChapter:
    """The chapter with these texts, without the lines that are lost."""
    kept = tuple(_again(line, texts) for line in chapter.lines if id(line) not in lost)
    failures = tuple(
        class_texts.DOES_NOT_COME_OUT_AT_ANY_PRINTED_DIGITS.format(symbol=line.step.symbol, formula=line.step.formula)
        for line in chapter.lines
        if id(line) in lost
    )
    return replace(chapter, lines=kept, failures=chapter.failures + failures)


def _is_property(term: Term) -> bool:
    return term.path.rpartition(".")[2] in PROPERTIES


def _terms(lines: Sequence[Shown]) -> Mapping[str, Term]:
    found: dict[str, Term] = {}
    for line in lines:
        found |= {**line.inputs, line.step.symbol: line.result_term}
    return found


def _number(root: object, term: Term) -> float:
    number = read(root, term)
    assert number is not None  # the line was shown with it
    return number


def _symbols(line: Shown) -> tuple[str, ...]:
    """All that stands in a line."""
    return (*line.inputs, line.step.symbol)


def _printed(
    numbers: Mapping[str, float], digits: Mapping[str, int], found: Set[str], symbols: Iterable[str]
) -> dict[str, str]:
    """Each of these numbers as it is printed: one that was found, by a line or as a property, keeps its closing zeros;
    one that was given has its own."""
    return {symbol: digits_of(numbers[symbol], digits[symbol], zeros=symbol in found) for symbol in symbols}


def at_printed(line: Shown, texts: Mapping[str, str]) -> float:
    """What a line's formula gives at the printed numbers."""
    return evaluate(line.step.whole, _values(line, texts))


def comes_out(line: Shown, texts: Mapping[str, str]) -> bool:
    """Whether a line's formula gives its printed result at its printed numbers."""
    printed = float(texts[line.step.symbol])
    try:
        return abs(at_printed(line, texts) - printed) <= COMES_OUT * abs(printed)
    except RangeError:
        return False  # so few digits that the formula has no value: more are tried


def _values(line: Shown, texts: Mapping[str, str]) -> dict[str, float]:
    values = {symbol: float(texts[symbol]) for symbol in line.inputs}
    if line.step.count:
        return {**values, line.step.count: float(line.count)}
    return values


def _again(line: Shown, texts: Mapping[str, str]) -> Shown:
    """The line with these texts, the terms of a series at them."""
    values = {symbol: texts[symbol] for symbol in line.inputs}
    call = series_of(line.step.whole) if line.step.count else None
    series = () if call is None else tuple(digits_of(t, USUAL_DIGITS) for t in terms(call, _values(line, texts)))
    return replace(line, values=values, result=texts[line.step.symbol], series=series)
