"""A problem sheet and its key: what is given, room to work, and the working line by line."""

from __future__ import annotations

from collections.abc import Mapping

from reportlab.platypus.flowables import Flowable

from engcalc.classroom.draw import PrintedNumber
from engcalc.classroom.problem import AskedQuantity, PosedProblem, WorkedLine
from engcalc.classroom.symbols import SymbolSet, printed, with_index_below, written
from engcalc.words.lesson import classroom_words as words
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import page_texts
from engcalc.working.formulas import names_in, substituted
from reports.formulas import spoken, symbol_markup, typeset, typeset_numbers, typeset_worked
from reports.layout import (
    RULE,
    HeadedTable,
    Marked,
    grid,
    heading,
    para,
    rich,
    space,
    subheading,
    title,
    together,
)
from reports.pages.derivation import MOST_PUT_IN
from reports.pages.values import pretty
from reports.tagging import Tagged
from reports.texts import markup

NO_NAME = "." * 60  # a line to write on
LINE_PITCH = 21.0  # pt between the lines of the room to work
FEWEST_LINES, MOST_LINES = 6, 20


class RuledRoom(Flowable):  # type: ignore[misc]  # the page library carries no types
    """Room to write in, with faint lines: what is left of the page."""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Its size [pt] where so much is left."""
        lines = min(max(int(height // LINE_PITCH), FEWEST_LINES), MOST_LINES)
        self.width, self.height = width, lines * LINE_PITCH
        return self.width, self.height

    def draw(self) -> None:
        """The lines."""
        self.canv.setStrokeColor(RULE)
        self.canv.setLineWidth(0.4)
        for step in range(round(self.height / LINE_PITCH)):
            self.canv.line(0.0, step * LINE_PITCH + 2.0, self.width, step * LINE_PITCH + 2.0)


def sheet_page(problem: PosedProblem, symbols: SymbolSet, width: float) -> list[Flowable]:
    """One person's sheet."""
    return [
        title(problem.topic.title),
        para(_head(problem)),
        space(6),
        para(pretty(problem.text)),
        space(6),
        _numbers(problem, symbols, width),
        heading(words.WANTED),
        *(_wanted_line(asked, symbols) for asked in problem.asked),
        para(words.ROUNDING, "small"),
        subheading(words.ROOM),
        Tagged(RuledRoom(), "Figure", words.ROOM),
    ]


def _slip(problem: PosedProblem, made: Mapping[str, float], symbols: SymbolSet) -> Marked:
    """What a slip makes of the answers, in the class's symbols."""
    changed = [(asked.symbol, pretty(text)) for asked, text in words.changed_answers(problem, made)]
    marked = [f"{symbol_markup(written(symbol, symbols))} = {markup(text)}" for symbol, text in changed]
    said = [f"{printed(symbol, symbols)} = {text}" for symbol, text in changed]
    return Marked(", ".join(marked) or words.NO_NUMBER, ", ".join(said) or words.NO_NUMBER)


def _head(problem: PosedProblem) -> str:
    return f"{words.heading_of(problem, words.SHEET)}. {words.NAME} {problem.name or NO_NAME}"


def _wanted_line(asked: AskedQuantity, symbols: SymbolSet) -> Flowable:
    """What is wanted, with its symbol and unit."""
    unit = f" in {markup(pretty(asked.unit))}" if asked.unit else ""
    return rich(f"{markup(capital(asked.label))}, {symbol_markup(written(asked.symbol, symbols))}{unit}")


def _numbers(problem: PosedProblem, symbols: SymbolSet, width: float) -> Flowable:
    rows = [
        (_symbol(number.symbol, symbols), _label(number), _value(number))
        for number in (*problem.givens, *problem.looked_up)
    ]
    return grid(HeadedTable(("Symbol", words.GIVEN, "Value"), rows), width)


def _label(number: PrintedNumber) -> str:
    where = f" ({pretty(number.where)})" if number.where else ""
    return capital(number.label) + where


def _value(number: PrintedNumber) -> str:
    return pretty(words.quantity(number.text, number.unit))


def _symbol(symbol: str, symbols: SymbolSet) -> Marked:
    return Marked(symbol_markup(written(symbol, symbols)), printed(symbol, symbols))


def hints_page(problem: PosedProblem) -> list[Flowable]:
    """The hints, for the whole class alike."""
    hints = [f"{number}. {hint}" for number, hint in enumerate(problem.hints, start=1)]
    return [heading(f"{words.HINTS}: {problem.topic.title}"), para(words.HINTS_LEAD, "small"), *map(para, hints)]


def key_pages(problem: PosedProblem, symbols: SymbolSet, width: float) -> list[Flowable]:
    """One person's key."""
    answers = [
        (
            _symbol(a.symbol, symbols),
            capital(a.label),
            pretty(words.quantity(a.text, a.unit)),
            pretty(words.band_text(a)),
        )
        for a in problem.asked
    ]
    slips = [(capital(slip.key), _slip(problem, made, symbols)) for slip, made in problem.slips]
    return [
        title(f"{words.KEY}: {problem.topic.title}"),
        para(_head(problem)),
        para(pretty(problem.text)),
        _numbers(problem, symbols, width),
        heading(words.ANSWERS),
        grid(HeadedTable(("Symbol", words.WANTED, "Answer", page_texts.RIGHT_FROM_TO), answers), width),
        para(words.BAND_LEAD, "small"),
        heading(words.WORKING),
        para(words.digits_lead(problem.digits), "small"),
        *_rounds(problem, symbols, width),
        *(_line(line, symbols, width) for line in problem.lines),
        *_slips_table(slips, width),
    ]


def _slips_table(slips: list[tuple[str, Marked]], width: float) -> list[Flowable]:
    """What each slip makes of the answers; nothing where none moves what is asked."""
    if not slips:
        return []
    table = grid(HeadedTable(("Slip", "What comes out"), slips), width)
    return [heading(words.SLIPS), para(words.SLIPS_LEAD, "small"), table]


def _rounds(problem: PosedProblem, symbols: SymbolSet, width: float) -> list[Flowable]:
    """The rounds in which a given number was guessed and corrected; nothing where none was."""
    if not problem.rounds:
        return []
    last = problem.rounds[-1]
    head = ("Round", *(_in_sentence(one.symbol, symbols) for one in (last.guess, last.result)))
    rows = [(str(i), _value(one.guess), _value(one.result)) for i, one in enumerate(problem.rounds, start=1)]
    lead = words.rounds_lead(problem, lambda symbol: _in_sentence(symbol, symbols))
    return [para(lead, "small"), grid(HeadedTable(head, rows), width)]


def _in_sentence(symbol: str, symbols: SymbolSet) -> str:
    """A symbol in plain text, its index below the line where there are such letters."""
    plain = printed(symbol, symbols)
    return with_index_below(plain) or plain


def _line(worked: WorkedLine, symbols: SymbolSet, width: float) -> Flowable:
    line, result = worked.line, worked.result
    known = "; ".join(part for part in (line.source, line.valid) if part)
    label = rich(f"{markup(capital(line.label))} <font size='7'>({markup(pretty(known))})</font>", "step")
    outcome = f"<b>{symbol_markup(written(line.symbol, symbols))} = {markup(_value(result))}</b>"
    inputs = ", ".join(
        f"{symbol_markup(written(symbol, symbols))} = {markup(_value(number))}"
        for symbol, number in worked.inputs.items()
    )
    if line.converts:
        return together([label, rich(f"{inputs}: {outcome}", "formula")])
    result_line = f"{inputs}: {outcome}" if inputs else outcome
    return together([label, *_formula(worked, symbols, width), rich(result_line, "formula")])


def _formula(worked: WorkedLine, symbols: SymbolSet, width: float) -> list[Flowable]:
    """The formula, and the same with the numbers put in: on one line where there is room.

    The numbers are left out where they are so many that nobody could read it.
    """
    symbol, formula = written(worked.line.symbol, symbols), named(worked.formula, symbols)
    said = spoken(symbol, formula, {})
    alone = Tagged(typeset(symbol, formula, {}, width), "Formula", said)
    if len(worked.inputs) > MOST_PUT_IN:
        return [alone]
    texts = {name: number.text for name, number in worked.inputs.items()}
    said_in_numbers = spoken(symbol, substituted(worked.formula, texts), {})
    both = typeset_worked(symbol, worked.formula, formula, texts, width)
    if both is not None:
        return [Tagged(both, "Formula", f"{said}. {said_in_numbers}")]
    return [alone, Tagged(typeset_numbers(worked.formula, texts, width), "Formula", said_in_numbers)]


def named(formula: str, symbols: SymbolSet) -> str:
    """A formula in the symbols of a set."""
    return substituted(formula, {symbol: written(symbol, symbols) for symbol in names_in(formula)})
