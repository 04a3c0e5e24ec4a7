"""Formulas on the page: symbols in text, and whole formulas typeset as vector pictures with their text in their place.

The LaTeX is made from the same tree that the check evaluates (engcalc.working), so what is printed is what was checked.
"""

from __future__ import annotations

import ast
import io
import re
import warnings
from array import array
from collections.abc import Mapping
from functools import cache, lru_cache, wraps
from html import escape
from typing import Any

from reportlab.graphics.shapes import Drawing, Path

from engcalc.classroom.symbols import GREEK_IN_INDEX
from engcalc.working.formulas import substituted, tree_of

_GREEK = {
    "eta": "η", "eps": "ε", "sigma": "σ", "rho": "ρ", "mu": "μ", "nu": "ν", "theta": "θ", "delta": "δ", "pi": "π",
    "alpha": "α", "zeta": "ζ", "lam": "λ", "tau": "τ", "phi": "φ", "omega": "ω", "vartheta": "ϑ", "Phi": "Φ",
    "Gamma": "Γ", "gamma": "γ", "chi": "χ",
}  # fmt: skip
_LATEX_GREEK = {"eps": "varepsilon", "lam": "lambda", "phi": "varphi"}
_COMPOSED = {
    "mdot": ("ṁ", r"\dot{m}"),
    "Vdot": ("V̇", r"\dot{V}"),
    "Qdot": ("Q̇", r"\dot{Q}"),
    "Wdot": ("Ẇ", r"\dot{W}"),
    "dp": ("Δp", r"\Delta p"),
    "dvartheta": ("Δϑ", r"\Delta \vartheta"),
    "alphaA": ("αA", r"\alpha A"),
}
"""Letters with a dot above and differences: as text and for the typesetter."""
_DOT = "\u0307"  # joins the letter before it; no type has Q and V with one
_DOTTED = re.compile(f"([QV]){_DOT}")
_OVER = {"V": ("136%", "5%"), "Q": ("157%", "14%")}
"""How large the joining dot is set, and how far down: over the middle of a capital and clear of it. The type files
place it over a small letter."""
_SUM, _PRODUCT, _SIGN, _POWER, _ATOM = range(5)  # how tightly a part of a formula binds
MOST_KEPT = 256  # formulas, of some 80 kB each; a lesson has up to 100, and a long one takes 0.1 s to set
_PLACE = "Place"  # begins the names that stand for numbers while a formula is typeset
SIZE = 12.0  # px, of which the reader of the pictures makes three quarters as many points


def symbol_markup(symbol: str) -> str:
    """A symbol for a paragraph: Greek letters, the rest after the first underscore as a subscript.

    >>> symbol_markup("eta_f"), symbol_markup("dT_c")
    ('η<sub rise="2" size="6">f</sub>', 'ΔT<sub rise="2" size="6">c</sub>')
    """
    head, _, tail = symbol.partition("_")
    if head in _COMPOSED:
        shown = _COMPOSED[head][0]
    else:
        shown = f"Δ{head[1:]}" if head.startswith("d") and head[1:2].isupper() else _GREEK.get(head, head)
    parts = (_GREEK[part] if part in GREEK_IN_INDEX else part for part in tail.split("_"))
    index = f'<sub rise="2" size="6">{escape(",".join(parts))}</sub>' if tail else ""
    return _dots_over(escape(shown)) + index


def _dots_over(text: str) -> str:
    """A capital with a dot, the dot over it."""

    def lifted(found: re.Match[str]) -> str:
        size, drop = _OVER[found[1]]
        return f'{found[1]}<sub size="{size}" rise="{drop}">{_DOT}</sub>'

    return _DOTTED.sub(lifted, text)


def symbol_latex(symbol: str) -> str:
    """A symbol for the typesetter; a head of several letters stands upright."""
    head, _, tail = symbol.partition("_")
    if head in _COMPOSED:
        shown = _COMPOSED[head][1]
    elif head.startswith("d") and head[1:2].isupper():
        shown = rf"\Delta {head[1:]}"
    elif head in _GREEK:
        shown = rf"\{_LATEX_GREEK.get(head, head)} "
    else:
        shown = head if len(head) == 1 else rf"\mathrm{{{head}}}"
    gap = r"\," if tail.startswith("f") and shown == head else ""  # an f would lean back into the letter
    return shown + (rf"_{{{gap}{_index_latex(tail)}}}" if tail else "")


def _index_latex(tail: str) -> str:
    """An index for the typesetter: upright, but for the Greek letters in it."""
    parts = tail.split("_")
    if not any(part in GREEK_IN_INDEX for part in parts):
        return rf"\mathrm{{{','.join(parts)}}}"
    letters = (rf"\{_LATEX_GREEK.get(p, p)} " if p in GREEK_IN_INDEX else rf"\mathrm{{{p}}}" for p in parts)
    return r"{,}".join(letters)


def formula_latex(formula: str) -> str:
    """The LaTeX of a formula."""
    return _latex(tree_of(formula))[0]


def _latex(node: ast.expr) -> tuple[str, int]:
    """LaTeX of a part, and how tightly it binds."""
    match node:
        case ast.Constant(value=int() | float() as value):
            return _number(value)
        case ast.Name(id=name):
            return symbol_latex(name), _ATOM
        case ast.UnaryOp(operand=inner):
            return f"-{_inside(inner, _PRODUCT)}", _SIGN
        case ast.BinOp(left=left, op=op, right=right):
            return _binary(left, op, right)
        case ast.Call(func=ast.Name(id=name), args=arguments):
            return _call(name, arguments)
    raise ValueError(f"no typesetting for {ast.dump(node)[:80]}")


def _number(value: float) -> tuple[str, int]:
    """A number, with its power of ten where it is very large or small."""
    head, letter, power = f"{value:g}".partition("e")
    return (rf"{head}\cdot 10^{{{int(power)}}}", _PRODUCT) if letter else (head, _ATOM)


def _inside(node: ast.expr, least: int) -> str:
    text, binds = _latex(node)
    return text if binds >= least else _fenced(text)


def _fenced(text: str) -> str:
    """Parentheses, grown only around fractions: growing ones cost the typesetter twice the time at each level."""
    return rf"\left({text}\right)" if r"\frac" in text else f"({text})"


def _binary(left: ast.expr, op: ast.operator, right: ast.expr) -> tuple[str, int]:
    match op:
        case ast.Add():
            return f"{_inside(left, _SUM)}+{_inside(right, _SUM)}", _SUM
        case ast.Sub():
            return f"{_inside(left, _SUM)}-{_inside(right, _PRODUCT)}", _SUM
        case ast.Div():
            return rf"\frac{{{_latex(left)[0]}}}{{{_latex(right)[0]}}}", _PRODUCT
        case ast.Mult():
            dot = r"\cdot " if isinstance(right, ast.Constant) else r"\, "
            return f"{_inside(left, _PRODUCT)}{dot}{_inside(right, _PRODUCT)}", _PRODUCT
    match left:
        case ast.Call(func=ast.Name(id=name), args=[inner]) if name in ("sin", "cos"):
            return rf"\{name}^{{{_power(right)}}}{_fenced(_latex(inner)[0])}", _POWER
    return f"{_base(left)}^{{{_power(right)}}}", _POWER


def _base(node: ast.expr) -> str:
    """What is raised to a power; a quotient stays on one line, a function keeps its power outside its parentheses."""
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div):
        return f"({_inside(node.left, _POWER)}/{_inside(node.right, _POWER)})"
    text, binds = _latex(node)
    return text if binds == _ATOM and not isinstance(node, ast.Call) else _fenced(text)


def _power(node: ast.expr) -> str:
    """An exponent; plain fractions stay on one line."""
    match node:
        case ast.BinOp(left=left, op=ast.Div(), right=right):
            return f"{_inside(left, _SIGN)}/{_inside(right, _SIGN)}"
        case ast.UnaryOp(operand=ast.BinOp(left=left, op=ast.Div(), right=right)):
            return f"-{_inside(left, _SIGN)}/{_inside(right, _SIGN)}"
    return _latex(node)[0]


def _call(name: str, arguments: list[ast.expr]) -> tuple[str, int]:
    if name == "total":
        term, index, last = arguments
        lower = f"{_latex(index)[0]}=1"
        return rf"\sum_{{{lower}}}^{{{_latex(last)[0]}}} {_inside(term, _PRODUCT)}", _PRODUCT
    if name == "sqrt":
        return rf"\sqrt{{{_latex(arguments[0])[0]}}}", _ATOM
    if name == "exp":
        return f"e^{{{_power(arguments[0])}}}", _POWER
    if name == "bessel":
        order, place = (_latex(a)[0] for a in arguments)
        return f"I_{{{order}}}{_fenced(place)}", _ATOM
    inner = ", ".join(_latex(a)[0] for a in arguments)
    return rf"\{name}{_fenced(inner)}", _ATOM


def _svg(latex: str, size: float) -> str:
    with warnings.catch_warnings():  # it opens its type file in a way that Python 3.11 and 3.12 warn of
        warnings.simplefilter("ignore", DeprecationWarning)
        from ziamath.config import config
        from ziamath.zmath import Latex

    config.svg2 = False  # its other form loses glyphs without a word in the readers used here
    _measure_each_row_once()
    return str(Latex(latex, size=size).svg())


@cache
def _measure_each_row_once() -> None:
    """Save the typesetter its double work; the pictures stay the same, sign for sign.

    It measures a row before it sets it, to know how far parentheses grow, and did so again for each row within the one
    that it measures: twice the time at every level of nesting. Nothing grows while a row is measured, so those within
    need no measures of their own.
    """
    from ziamath.nodes.mrow import Mrow

    measured = Mrow._get_height_nostretch

    @wraps(measured)
    def lowest_and_highest(row: Any, line: list[Any], **how: Any) -> tuple[float, float]:
        is_measured_now = how.get("nostretch", False)
        return (0.0, 0.0) if is_measured_now else measured(row, line, **how)

    Mrow._get_height_nostretch = lowest_and_highest  # type: ignore[method-assign, assignment]  # it has no other way in


@lru_cache(maxsize=MOST_KEPT)
def _drawing(latex: str, size: float) -> Any:
    from svglib.svglib import svg2rlg

    drawing = svg2rlg(io.StringIO(_svg(latex, size)))
    _pack(drawing)
    return drawing


def _pack(shape: Any) -> None:
    """Hold the outlines within a shape as arrays: they are nearly all that a kept formula weighs, and as lists of
    numbers they take four times as much room. Whoever draws them only takes them apart."""
    if isinstance(shape, Path):
        shape.__dict__["points"] = array("d", shape.points)  # the class itself takes a list only
    for inner in getattr(shape, "contents", ()):
        _pack(inner)


def typeset(symbol: str, formula: str, parts: Mapping[str, str], width: float) -> Drawing:
    """``symbol = formula`` with its abbreviations as a vector picture, shrunk where it is wider than ``width`` [pt]."""
    said = [f"{symbol_latex(symbol)}={formula_latex(formula)}"]
    said += [f"{symbol_latex(name)}={formula_latex(part)}" for name, part in parts.items()]
    return _fitted(r",\quad ".join(said), width)


def typeset_numbers(formula: str, numbers: Mapping[str, str], width: float) -> Drawing:
    """``= formula`` with each symbol's printed number in its place, shrunk where it is wider than ``width`` [pt]."""
    return _fitted(f"={numbers_latex(formula, numbers)}", width)


def typeset_worked(symbol: str, formula: str, named: str, numbers: Mapping[str, str], width: float) -> Drawing | None:
    """``symbol = named = numbers`` on one line, ``formula`` being ``named`` in the symbols of ``numbers``.

    None where that is wider than ``width`` [pt].
    """
    latex = f"{symbol_latex(symbol)}={formula_latex(named)}={numbers_latex(formula, numbers)}"
    drawing = _drawing(latex, SIZE)
    return drawing.copy() if drawing.width <= width else None


def numbers_latex(formula: str, numbers: Mapping[str, str]) -> str:
    """The LaTeX of a formula with numbers for its symbols. Products get dots: two numbers side by side read as one.

    >>> print(numbers_latex("m*c - T", {"m": "0.50", "c": "1.2e-3", "T": "-5.0"}))
    0.50\\cdot (1.2\\cdot 10^{-3})-(-5.0)
    """
    places = {symbol: f"{_PLACE}{chr(ord('a') + i // 26)}{chr(ord('a') + i % 26)}" for i, symbol in enumerate(numbers)}
    latex = formula_latex(substituted(formula, places)).replace(r"\, ", r"\cdot ")
    for symbol, place in places.items():
        latex = latex.replace(symbol_latex(place), _number_latex(numbers[symbol]))
    return latex


def is_plain(formula: str) -> bool:
    """Whether a formula is sums, differences, products and quotients alone: its numbers read well on one line."""
    return all(isinstance(node, _PLAIN) for node in ast.walk(tree_of(formula)))


_PLAIN = (
    ast.BinOp, ast.Name, ast.Constant, ast.Load, ast.Add, ast.Sub, ast.Mult, ast.Div,
)  # fmt: skip
_WORD = re.compile(r"[A-Za-z_]\w*")
_SIGNS = ((" * ", " · "), (" - ", " \u2212 "), (" / ", " / "))


def put_in(formula: str, numbers: Mapping[str, str]) -> str:
    """A plain formula with the numbers put in, for a paragraph.

    >>> put_in("C*(T - t)", {"C": "2e-3", "T": "58.9", "t": "-4.0"})
    '2·10<super rise="3" size="6">\u22123</super> · (58.9 \u2212 (\u22124.0))'
    """
    text = ast.unparse(tree_of(formula))
    for sign, prints in _SIGNS:
        text = text.replace(sign, prints)
    return _WORD.sub(lambda word: _number_markup(numbers[word[0]]), text)


def _number_markup(text: str) -> str:
    """A printed number in a paragraph: a power of ten raised, a negative number in parentheses."""
    head, letter, power = text.replace("-", "\u2212").partition("e")
    raised = f'{head}·10<super rise="3" size="6">{power}</super>' if letter else head
    return f"({raised})" if text.startswith("-") else raised


def _number_latex(text: str) -> str:
    """A printed number: negative ones and those with a power of ten in parentheses."""
    head, letter, power = text.partition("e")
    if letter:
        return rf"({head}\cdot 10^{{{int(power)}}})"
    return f"({text})" if text.startswith("-") else text


def _fitted(latex: str, width: float) -> Drawing:
    found = _drawing(latex, SIZE)
    scale = min(1.0, width / found.width)
    drawing = found.copy()
    drawing.width, drawing.height = found.width * scale, found.height * scale
    drawing.scale(scale, scale)
    return drawing


def spoken(symbol: str, formula: str, parts: Mapping[str, str]) -> str:
    """The same as text, for those who cannot see it."""
    return "; ".join([f"{symbol} = {formula}", *(f"{name} = {part}" for name, part in parts.items())])
