"""Every line of every key: the printed formula at the printed numbers gives the printed result within its rounding.

The lines are read from the key as data, as a person would from paper, and worked out by Python's own arithmetic.
"""

from __future__ import annotations

import ast
import copy
import math
import os
from collections.abc import Iterator
from typing import Any

import pytest

from engcalc.classroom.as_data import key_data, sheet_data
from engcalc.classroom.problem import pose
from engcalc.classroom.symbols import SymbolSet
from engcalc.classroom.topics import TOPICS
from engcalc.units import UnitSystem

SEEDS = range(int(os.environ.get("SHEET_SEEDS", "24")))  # the whole: SHEET_SEEDS=200
FUNCTIONS = {
    "exp": math.exp,
    "ln": math.log,
    "sqrt": math.sqrt,
    "tanh": math.tanh,
    "min": min,
    "max": max,
    "pi": math.pi,
}


def half_of_last_digit(text: str, digits: int) -> float:
    """Half a unit of the last of so many significant digits."""
    value = abs(float(text))
    return 0.5 * 10.0 ** (math.floor(math.log10(value)) - digits + 1)


def drifts(sheet: dict[str, Any], key: dict[str, Any]) -> Iterator[str]:
    """The lines that do not hold, and the numbers that are printed in two ways."""
    printed = {number["key"]: number["value"] for number in (*sheet["given"], *sheet["from_tables"])}
    for line in key["working"]:
        for symbol, text in line["numbers"].items():
            if printed[symbol] != text:
                yield f"{symbol} is {printed[symbol]} and {text}"
        tree = compile(ast.parse(line["formula"], mode="eval"), "formula", "eval")
        numbers = {symbol: float(text) for symbol, text in line["numbers"].items()}
        found = eval(tree, {"__builtins__": {}}, {**FUNCTIONS, **numbers})
        allowed = half_of_last_digit(line["result"], key["digits"]) + 1e-12 * abs(found)  # and the machine's rounding
        if abs(found - float(line["result"])) > allowed:
            yield f"{line['key']} = {line['formula']} is {found:.9g}, printed {line['result']}"
        printed[line["key"]] = line["result"]
    for answer in key["answers"]:
        last = float(printed[answer["key"]])
        if not answer["from"] <= last <= answer["to"]:
            yield f"the answer {answer['key']} is {answer['value']}, its last line {last}"
        half = 0.05 if answer["unit"] in ("°C", "°F") else half_of_last_digit(answer["value"], 3)
        if abs(last - float(answer["value"])) > half + 1e-12 * abs(last):
            yield f"the answer {answer['key']} is {answer['value']}, its last line {last}"


def papers(topic: str, seed: int, system: UnitSystem, symbols: SymbolSet = SymbolSet.A) -> tuple[Any, Any]:
    problem = pose(TOPICS[topic], seed, "", system)
    return sheet_data(problem, symbols), key_data(problem, symbols)


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("topic", TOPICS)
def test_every_line_holds_by_itself(topic: str, system: UnitSystem) -> None:
    found = [(seed, text) for seed in SEEDS for text in drifts(*papers(topic, seed, system))]
    assert found == []


@pytest.mark.parametrize("topic", TOPICS)
def test_one_per_cent_in_any_line_is_found(topic: str) -> None:
    sheet, key = papers(topic, 5, UnitSystem.SI, SymbolSet.B)
    for place in range(len(key["working"])):
        planted = copy.deepcopy(key)
        line = planted["working"][place]
        line["result"] = f"{1.01 * float(line['result']):.6g}"
        assert any(text.startswith(f"{line['key']} =") for text in drifts(sheet, planted)), line["key"]


def test_a_number_in_another_rounding_is_found() -> None:
    sheet, key = papers("counterflow", 5, UnitSystem.SI)
    line = key["working"][-1]
    symbol = next(iter(line["numbers"]))
    line["numbers"][symbol] += "1" if "." in line["numbers"][symbol] else ".1"
    assert any("and" in text for text in drifts(sheet, key))
