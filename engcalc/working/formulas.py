"""Formulas as text: read into a tree, evaluated by a short list of what is allowed, never by ``eval``.

A formula is written as Python writes it (``eps*C_min*(T_hi - T_ai)``). Numbers, names, + - * / **, and the functions
below are all there is. ``total(term, k, n)`` is the sum of ``term`` over k = 1 .. n, for formulas that are series.
"""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from functools import lru_cache

from engcalc.errors import RangeError
from engcalc.words.texts import class_texts

Values = Mapping[str, float]

_OPERATORS: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


def bessel(order: float, x: float) -> float:
    """Modified Bessel function of the first kind I_n(x), n a whole number from 0, x >= 0, by its power series.

    All terms are positive: the sum loses no digit (Abramowitz and Stegun, Handbook of Mathematical Functions, 9.6.10).

    >>> round(bessel(0.0, 1.0), 6), round(bessel(1.0, 1.0), 6)
    (1.266066, 0.565159)
    """
    n = round(order)
    quarter = 0.25 * x * x
    if n != order or n < 0 or x < 0.0:
        raise RangeError(class_texts.FORMULA_A_BESSEL_FUNCTION_OF_ORDER.format(order=order, x=x))
    term = math.exp(n * math.log(0.5 * x) - math.lgamma(n + 1.0)) if x > 0.0 else float(n == 0)
    parts = [term]
    k = 0
    while term > 1e-18 * parts[0] or k * (k + n) < quarter:
        k += 1
        term *= quarter / (k * (k + n))
        parts.append(term)
    return math.fsum(parts)


_FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "exp": math.exp,
    "ln": math.log,
    "sqrt": math.sqrt,
    "tanh": math.tanh,
    "sin": math.sin,
    "cos": math.cos,
    "min": min,
    "max": max,
    "bessel": bessel,
}
_CONSTANTS: Values = {"pi": math.pi}
MOST_TERMS = 10_000
LONGEST_FORMULA = 2_000


@lru_cache(maxsize=512)
def tree_of(formula: str) -> ast.expr:
    """The tree of a formula. Raises RangeError for anything that is not one of the allowed parts."""
    if len(formula) > LONGEST_FORMULA:
        raise RangeError(
            class_texts.FORMULA_CHARACTERS_WERE_GIVEN.format(
                formula_count=len(formula), longest_formula=LONGEST_FORMULA
            )
        )
    try:
        tree = ast.parse(formula, mode="eval").body
        _check(tree)
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        if isinstance(error, RangeError):
            raise
        raise RangeError(class_texts.FORMULA_WAS_GIVEN.format(formula=formula[:80])) from error
    return tree


def _check(node: ast.expr) -> None:
    parts: tuple[ast.expr, ...]
    match node:
        case ast.Constant(value=int() | float()) if not isinstance(node.value, bool):
            parts = ()
        case ast.Name():
            parts = ()
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            parts = (inner,)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _OPERATORS:
            parts = (left, right)
        case ast.Call(func=ast.Name(id="total"), args=[_, ast.Name(), _], keywords=[]):
            parts = (node.args[0], node.args[2])
        case ast.Call(func=ast.Name(id=name), keywords=[]) if name in _FUNCTIONS and node.args:
            parts = tuple(node.args)
        case _:
            raise RangeError(
                class_texts.FORMULA_WAS_GIVEN_NUMBERS_NAMES.format(
                    node=ast.unparse(node)[:80], value=", ".join((*_FUNCTIONS, "total"))
                )
            )
    for part in parts:
        _check(part)


def evaluate(formula: str, values: Values) -> float:
    """The number that the formula gives for these values. Raises RangeError where it has none.

    >>> evaluate("UA/C_min", {"UA": 1200.0, "C_min": 800.0})
    1.5
    >>> evaluate("total(k**2, k, 3)", {})
    14.0
    """
    try:
        result = _value(tree_of(formula), {**_CONSTANTS, **values})
    except (ArithmeticError, ValueError, TypeError) as error:
        raise RangeError(class_texts.FORMULA_HAS_NO_VALUE_THERE.format(formula=formula[:80], error=error)) from error
    if isinstance(result, complex) or not math.isfinite(result):
        raise RangeError(class_texts.FORMULA_HAS_NO_FINITE_REAL_VALUE_THERE.format(formula=formula[:80]))
    return float(result)


def _value(node: ast.expr, values: Values) -> float:
    match node:
        case ast.Constant(value=int() | float() as number):
            return float(number)
        case ast.Name(id=name):
            if name not in values:
                raise RangeError(class_texts.FORMULA_NO_VALUE_WAS_GIVEN_FOR.format(name=name))
            return values[name]
        case ast.UnaryOp(operand=inner):
            return -_value(inner, values)
        case ast.BinOp(left=left, op=op, right=right):
            return _OPERATORS[type(op)](_value(left, values), _value(right, values))
        case ast.Call(func=ast.Name(id="total"), args=[_, ast.Name(), _]):
            return math.fsum(terms(node, values))
        case ast.Call(func=ast.Name(id=name), args=arguments):
            return _FUNCTIONS[name](*(_value(a, values) for a in arguments))
    raise RangeError(
        class_texts.FORMULA_CANNOT_BE_EVALUATED.format(node=ast.unparse(node)[:80])
    )  # _check lets none through


def size_of(formula: str, values: Values) -> float:
    """The largest of the terms that the formula adds or subtracts at its outermost: what a small sum is measured by."""
    return max(abs(_value(term, {**_CONSTANTS, **values})) for term in _summands(tree_of(formula)))


def _summands(node: ast.expr) -> tuple[ast.expr, ...]:
    match node:
        case ast.BinOp(left=left, op=ast.Add() | ast.Sub(), right=right):
            return (*_summands(left), *_summands(right))
    return (node,)


def terms(node: ast.Call, values: Values) -> list[float]:
    """The terms of a ``total(term, k, n)``, in order."""
    term, index, last = node.args
    assert isinstance(index, ast.Name)  # _check saw to it
    count = round(_value(last, values))
    if not 0 <= count <= MOST_TERMS:
        raise RangeError(class_texts.FORMULA_A_SUM_OF_TERMS_WAS_ASKED.format(count=count, most_terms=MOST_TERMS))
    known = {**_CONSTANTS, **values}
    return [_value(term, {**known, index.id: float(k)}) for k in range(1, count + 1)]


def series_of(formula: str) -> ast.Call | None:
    """The first ``total(...)`` in a formula; None when it holds none."""
    found = (
        n
        for n in ast.walk(tree_of(formula))
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Name) and n.func.id == "total"
    )
    return next(found, None)


def names_in(formula: str) -> tuple[str, ...]:
    """The names that a formula needs values for, each once, in reading order."""
    found: dict[str, None] = {}
    _collect(tree_of(formula), frozenset(_CONSTANTS), found)
    return tuple(found)


def _collect(node: ast.expr, bound: frozenset[str], found: dict[str, None]) -> None:
    match node:
        case ast.Name(id=name) if name not in bound:
            found[name] = None
        case ast.UnaryOp(operand=inner):
            _collect(inner, bound, found)
        case ast.BinOp(left=left, right=right):
            _collect(left, bound, found)
            _collect(right, bound, found)
        case ast.Call(func=ast.Name(id="total"), args=[term, ast.Name(id=index), last]):
            _collect(term, bound | {index}, found)
            _collect(last, bound, found)
        case ast.Call(args=arguments):
            for argument in arguments:
                _collect(argument, bound, found)
        case _:
            return


def substituted(formula: str, parts: Mapping[str, str]) -> str:
    """The formula with each name in ``parts`` replaced by the formula that it stands for."""
    return ast.unparse(_replaced(tree_of(formula), {name: tree_of(text) for name, text in parts.items()}))


def _replaced(node: ast.expr, parts: Mapping[str, ast.expr]) -> ast.expr:
    match node:
        case ast.Name(id=name):
            return parts.get(name, node)
        case ast.UnaryOp(op=op, operand=inner):
            return ast.UnaryOp(op, _replaced(inner, parts))
        case ast.BinOp(left=left, op=op, right=right):
            return ast.BinOp(_replaced(left, parts), op, _replaced(right, parts))
        case ast.Call(func=function, args=arguments):
            return ast.Call(function, [_replaced(a, parts) for a in arguments], [])
    return node
