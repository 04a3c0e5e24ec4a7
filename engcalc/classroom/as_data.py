"""A sheet and its key as plain data, for JSON: the same problem gives the same bytes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

from engcalc.classroom.draw import PrintedNumber
from engcalc.classroom.marking import MarkedSheet
from engcalc.classroom.problem import AskedQuantity, PosedProblem, WorkedLine
from engcalc.classroom.symbols import SymbolSet, printed

Data: TypeAlias = "bool | int | float | str | Sequence[Data] | Mapping[str, Data] | None"


def sheet_data(problem: PosedProblem, symbols: SymbolSet) -> dict[str, Data]:
    """What the person is given: text, numbers, what is wanted, hints."""
    return {
        "topic": problem.topic.key,
        "title": problem.topic.title,
        "seed": problem.seed,
        "name": problem.name,
        "units": problem.system.name,
        "symbols": symbols.value,
        "text": problem.text,
        "given": [_number(number, symbols) for number in problem.givens],
        "from_tables": [_number(number, symbols) | {"where": number.where} for number in problem.looked_up],
        "wanted": [
            {"key": asked.symbol, "symbol": printed(asked.symbol, symbols), "label": asked.label, "unit": asked.unit}
            for asked in problem.asked
        ],
        "hints": list(problem.hints),
    }


def key_data(problem: PosedProblem, symbols: SymbolSet) -> dict[str, Data]:
    """The answers with their bands, the working line by line, and what each slip makes of the answers."""
    return {
        "topic": problem.topic.key,
        "seed": problem.seed,
        "name": problem.name,
        "answers": [_answer_data(asked, symbols) for asked in problem.asked],
        "digits": problem.digits,
        "rounds": [
            {"guess": _number(one.guess, symbols), "gives": _number(one.result, symbols)} for one in problem.rounds
        ],
        "working": [_line(line, symbols) for line in problem.lines],
        "slips": [
            {"slip": slip.key, "told": slip.told, "answers": {symbol: _rounded(v) for symbol, v in made.items()}}
            for slip, made in problem.slips
        ],
    }


def marked_data(marked: MarkedSheet) -> dict[str, Data]:
    """One person's marks."""
    return {
        "name": marked.problem.name,
        "right": marked.right,
        "of": len(marked.marks),
        "marks": [
            {
                "key": mark.asked.symbol,
                "given": mark.given,
                "answer": mark.asked.text,
                "unit": mark.asked.unit,
                "outcome": mark.outcome.value,
                "slip": mark.slip or None,
            }
            for mark in marked.marks
        ],
    }


def _number(number: PrintedNumber, symbols: SymbolSet) -> dict[str, Data]:
    return {
        "key": number.symbol,
        "symbol": printed(number.symbol, symbols),
        "label": number.label,
        "value": number.text,
        "unit": number.unit,
    }


def _answer_data(asked: AskedQuantity, symbols: SymbolSet) -> dict[str, Data]:
    return {
        "key": asked.symbol,
        "symbol": printed(asked.symbol, symbols),
        "value": asked.text,
        "unit": asked.unit,
        "from": _rounded(asked.low),
        "to": _rounded(asked.high),
    }


def _line(worked: WorkedLine, symbols: SymbolSet) -> dict[str, Data]:
    return {
        "key": worked.line.symbol,
        "symbol": printed(worked.line.symbol, symbols),
        "label": worked.line.label,
        "formula": worked.formula,
        "numbers": {symbol: number.text for symbol, number in worked.inputs.items()},
        "units": {symbol: number.unit for symbol, number in worked.inputs.items()},
        "result": worked.result.text,
        "unit": worked.result.unit,
        "source": worked.line.source,
        "valid": worked.line.valid,
    }


def _rounded(value: float) -> float:
    return float(f"{value:.6g}")
