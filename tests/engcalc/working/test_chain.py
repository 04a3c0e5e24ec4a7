"""The working against the engine: evaluated by other means, as shown and in full, and upset by one per cent."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import mpmath
import pytest

from engcalc.components.exchanger import Arrangement
from engcalc.errors import RangeError
from engcalc.working.chain import AIR, CONDUCTANCE, COOLANT, ENGINE, HEAT, TERMS, effectiveness_chapter
from engcalc.working.shown import RESULT_DIGITS, Shown, WorkingLine, read, show_step

ALL_CHAPTERS = (
    ENGINE,
    AIR,
    COOLANT,
    CONDUCTANCE,
    HEAT,
    *(effectiveness_chapter(a, p) for a in Arrangement for p in (1.0, 2.0)),
)
NOT_IN_A_CASE = Arrangement.BOTH_UNMIXED_APPROXIMATION  # for teaching beside the exact one; no word of the case file
AGREEMENT = 2e-6  # relative; the solver closes the heat balance to 1e-6 of the heat, everything else is arithmetic


# ---- another evaluator, by mpmath at 30 digits -----------------------------------------------------------------------

FUNCTIONS = {
    "exp": mpmath.exp,
    "ln": mpmath.log,
    "sqrt": mpmath.sqrt,
    "tanh": mpmath.tanh,
    "sin": mpmath.sin,
    "cos": mpmath.cos,
    "min": min,
    "max": max,
}


def value(node: ast.expr, known: Mapping[str, Any]) -> Any:  # noqa: PLR0911  # one return for each kind of part
    match node:
        case ast.Constant(value=number):
            return mpmath.mpf(str(number))
        case ast.Name(id="pi"):
            return mpmath.pi
        case ast.Name(id=name):
            return known[name]
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -value(inner, known)
        case ast.Call(func=ast.Name(id="total"), args=[term, ast.Name(id=k), last]):
            return sum(value(term, {**known, k: mpmath.mpf(i)}) for i in range(1, int(value(last, known)) + 1))
        case ast.Call(func=ast.Name(id=name), args=arguments):
            return FUNCTIONS[name](*(value(a, known) for a in arguments))
        case ast.BinOp(left=left, op=op, right=right):
            one, other = value(left, known), value(right, known)
            match op:
                case ast.Add():
                    return one + other
                case ast.Sub():
                    return one - other
                case ast.Mult():
                    return one * other
                case ast.Div():
                    return one / other
                case ast.Pow():
                    return one**other
    raise AssertionError(ast.dump(node))


def independent(step: WorkingLine, known: Mapping[str, Any], formula: str | None = None) -> Any:
    """The formula's value, its abbreviations worked out one by one, innermost first."""
    with mpmath.workdps(30):
        names = dict(known)
        if step.count:  # inside a sum an abbreviation depends on the index, so there they are put in as text
            return value(ast.parse(formula or step.whole, mode="eval").body, names)
        if formula is None:
            for name, part in reversed(step.parts.items()):
                names[name] = value(ast.parse(part, mode="eval").body, names)
        return value(ast.parse(formula or step.formula, mode="eval").body, names)


def exact(line: Shown, root: object) -> dict[str, Any]:
    found = {symbol: read(root, term) for symbol, term in line.inputs.items()}
    return {
        **{k: mpmath.mpf(v) for k, v in found.items() if v is not None},
        **({line.step.count: mpmath.mpf(4 * line.count + 16)} if line.step.count else {}),
    }


def name_of(step: WorkingLine) -> tuple[str, str, str]:
    return step.symbol, step.whole, step.condition


def lines(solved_duties: tuple[Any, ...]) -> Iterator[tuple[Any, Shown]]:
    for one in solved_duties:
        for chapter in one.chapters:
            for line in chapter.lines:
                yield one, line


def rounded(number: Any, digits: int) -> str:
    """Significant digits by mpmath's own printing, without an exponent."""
    text = mpmath.nstr(number, digits, min_fixed=-mpmath.inf, max_fixed=mpmath.inf)
    return text.removesuffix(".0").replace("-0", "0") if text in ("0.0", "-0.0") else text.removesuffix(".0")


# ---- the tests -------------------------------------------------------------------------------------------------------


def test_no_step_fails_in_any_duty(solved_duties: tuple[Any, ...]) -> None:
    failures = [f"{one.name}: {f}" for one in solved_duties for chapter in one.chapters for f in chapter.failures]
    assert not failures
    assert len(solved_duties) > 30


def test_every_step_is_shown_somewhere(solved_duties: tuple[Any, ...]) -> None:
    seen = {name_of(line.step) for _, line in lines(solved_duties)}
    wanted = {name_of(step) for chapter in ALL_CHAPTERS for step in chapter.steps}
    approximation = {name_of(effectiveness_chapter(NOT_IN_A_CASE, p).steps[0]) for p in (1.0, 2.0)}
    assert not wanted - seen - approximation


def test_what_is_shown_comes_out_as_shown(solved_duties: tuple[Any, ...]) -> None:
    """The displayed formula at the displayed numbers, by mpmath, gives the displayed result."""
    checked = 0
    for one, line in lines(solved_duties):
        known = {symbol: mpmath.mpf(text) for symbol, text in line.values.items()}
        if line.step.count:
            known[line.step.count] = mpmath.mpf(line.count)
        found = independent(line.step, known)
        assert float(rounded(found, RESULT_DIGITS)) == float(line.result), (one.name, line.step.symbol, line.values)
        checked += 1
    assert checked > 900


def test_in_full_the_formula_gives_the_engine_s_number(solved_duties: tuple[Any, ...]) -> None:
    for one, line in lines(solved_duties):
        known = exact(line, one.results)
        result = read(one.results, line.result_term)
        assert result is not None
        summands = _summands(ast.parse(line.step.whole, mode="eval").body)
        scale = max(abs(result), *(abs(float(value(s, known))) for s in summands))
        assert abs(float(independent(line.step, known)) - result) <= AGREEMENT * scale, (one.name, line.step.symbol)


def _summands(node: ast.expr) -> Iterator[ast.expr]:
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
        yield from _summands(node.left)
        yield from _summands(node.right)
    else:
        yield node


def _constants(formula: str) -> Iterator[str]:
    """The formula with each of its constants moved by one per cent in turn."""
    tree = ast.parse(formula, mode="eval")
    numbers = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and node.value != 0]
    for node in numbers:
        kept = node.value
        node.value = float(kept) * 1.01
        yield ast.unparse(tree)
        node.value = kept


def test_one_per_cent_on_any_constant_or_exponent_is_noticed(solved_duties: tuple[Any, ...]) -> None:
    """In at least one duty each changed formula misses the engine's number by more than the working accepts."""
    tried: set[tuple[str, ...]] = set()
    noticed: set[tuple[str, ...]] = set()
    for one, line in lines(solved_duties):
        known, result = exact(line, one.results), read(one.results, line.result_term)
        assert result is not None
        for changed in _constants(line.step.whole):
            key = (*name_of(line.step), changed)
            tried.add(key)
            if key in noticed:
                continue
            found = independent(line.step, known, changed)
            missed = abs(float(mpmath.re(found)) - result) > 10.0 * AGREEMENT * max(abs(result), 1e-300)
            if missed:
                noticed.add(key)
    assert not tried - noticed
    assert len(noticed) > 80


def test_the_product_refuses_a_formula_that_is_off_by_one_per_cent(solved_duties: tuple[Any, ...]) -> None:
    results = solved_duties[0].results
    step = next(s for s in AIR.steps if s.symbol == "h_a")
    assert show_step(step, TERMS, results) is not None
    with pytest.raises(RangeError, match="the engine says"):
        show_step(replace(step, formula="1.01*j*G*cp_a*Pr_a**(-2/3)"), TERMS, results)


def test_fewer_digits_would_not_do(solved_duties: tuple[Any, ...]) -> None:
    """With one digit less in every input another result would come out (two digits are the least that is shown)."""
    checked = 0
    for one, line in lines(solved_duties):
        known = {k: v for k, v in exact(line, one.results).items() if k != line.step.count}
        digits = next(
            n for n in range(2, 13) if all(float(rounded(v, n)) == float(line.values[k]) for k, v in known.items())
        )
        if digits == 2:
            continue
        fewer = {k: mpmath.mpf(rounded(v, digits - 1)) for k, v in known.items()}
        if line.step.count:
            fewer[line.step.count] = mpmath.mpf(line.count)
        checked += 1
        try:
            found = independent(line.step, fewer)
        except ZeroDivisionError:
            continue
        # a half may be rounded either way: it gives no one result
        ways = {float(rounded(found * (1 + tip), RESULT_DIGITS)) for tip in (mpmath.mpf("-1e-12"), mpmath.mpf("1e-12"))}
        assert ways != {float(line.result)}, (one.name, line.step.symbol)
    assert checked > 300


def test_each_step_names_paths_units_and_a_source(solved_duties: tuple[Any, ...]) -> None:
    for chapter in ALL_CHAPTERS:
        for step in chapter.steps:
            assert step.source
            assert step.symbol in TERMS
            assert set(step.needs) <= set(TERMS)
    _, line = next(lines(solved_duties))
    assert all(
        path.split(".")[0]
        in ("point", "engine", "duty", "held_open", "asked", "friction", "speed_factor", "oil_factor")
        for path in line.paths.values()
    )
