"""Formulas as text: what is read, what is refused, and the value against mpmath."""

from __future__ import annotations

import doctest

import mpmath
import pytest

from engcalc.errors import RangeError
from engcalc.working import formulas, shown
from engcalc.working.formulas import evaluate, names_in, series_of, substituted, terms, tree_of
from engcalc.working.shown import digits_of


def test_the_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(formulas).failed == 0
    assert doctest.testmod(shown).failed == 0


@pytest.mark.parametrize(
    "formula",
    [
        "__import__('os').system('true')",
        "x.__class__",
        "(lambda: 1)()",
        "[1, 2]",
        "x if y else z",
        "'text'",
        "True",
        "x[0]",
        "f(x)",
        "x < y",
        "x // y",
        "x % y",
        "+x",
        "exp(x=1)",
        "exp()",
        "total(k, 1, 3)",
        "x; y",
        "x = y",
        "",
        "(" * 3000 + "x" + ")" * 3000,
        "1 + 2j",
        "exp(*x)",
        "not x",
        "x & y",
        "`x`",
        "f'{x}'",
        "x := 3",
        "await x",
        "-" * 1900 + "x",
    ],
)
def test_anything_but_the_allowed_parts_is_refused(formula: str) -> None:
    with pytest.raises(RangeError, match="formula"):
        tree_of(formula)


@pytest.mark.parametrize(
    ("formula", "values"),
    [
        ("9**9**9", {}),
        ("1/x", {"x": 0.0}),
        ("ln(x)", {"x": -1.0}),
        ("(0 - 8)**(1/3)", {}),
        ("y", {}),
        ("min(x)", {"x": 1.0}),
        ("total(k, k, n)", {"n": 1e9}),
        ("total(k, k, n)", {"n": -3.0}),
    ],
)
def test_what_has_no_value_says_so(formula: str, values: dict[str, float]) -> None:
    with pytest.raises(RangeError, match="formula"):
        evaluate(formula, values)


def test_values_agree_with_mpmath() -> None:
    x, y = mpmath.mpf("0.37"), mpmath.mpf("2.11")
    values = {"x": 0.37, "y": 2.11}
    assert evaluate("tanh(x*y)/(x*y)", values) == pytest.approx(float(mpmath.tanh(x * y) / (x * y)), rel=1e-14)
    assert evaluate("1 - exp(-x)*sqrt(y) + ln(y)**2", values) == pytest.approx(
        float(1 - mpmath.exp(-x) * mpmath.sqrt(y) + mpmath.log(y) ** 2), rel=1e-14
    )
    assert evaluate("-x**2", values) == pytest.approx(-(0.37**2), rel=1e-15)
    assert evaluate("2*total(sin(k*pi/(n + 1))**2, k, n)/(n + 1)", {"n": 7.0}) == pytest.approx(1.0, rel=1e-14)


def test_a_sum_gives_its_terms_and_binds_its_index() -> None:
    call = series_of("x*total(k*y, k, n) + k")
    assert call is not None
    assert terms(call, {"y": 2.0, "n": 3.0}) == [2.0, 4.0, 6.0]
    assert names_in("x*total(k*y, k, n) + z") == ("x", "y", "n", "z")
    assert series_of("x + y") is None


def test_parts_are_put_in_with_their_precedence() -> None:
    whole = substituted("2*a**2", {"a": "x + y"})
    assert evaluate(whole, {"x": 1.0, "y": 2.0}) == 18.0


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.000123456, 3, "0.000123"),
        (123456.0, 2, "120000"),
        (99.96, 3, "100"),
        (0.0, 3, "0"),
        (-1.25, 2, "-1.2"),
        (-1.35, 2, "-1.4"),
        (2.5e-9, 2, "0.0000000025"),
        (1.0, 5, "1"),
        (1e22, 1, "10000000000000000000000"),
    ],
)
def test_numbers_are_rounded_to_significant_digits(value: float, digits: int, text: str) -> None:
    assert digits_of(value, digits) == text
