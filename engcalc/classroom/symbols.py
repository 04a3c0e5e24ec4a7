"""The symbols of two usual textbook conventions, as data.

A: q, h, k, U, C, ε, T, as textbooks in English have them. B: Q with a dot, α, λ, k, W with a dot, Φ, ϑ, as textbooks
and handbooks in German and of the countries around have them. Both common practice, from memory.

A symbol is a plain name, its first part the letter and the rest, after the first underscore, the index. ``written``
gives the name that the typesetter and ``printed`` understand.

How its index is shown, one rule for all faces. Where rich text can stand (paper, glossary, table of results), it stands
below the line. Plain text has Unicode's letters below the line (``in_words``). Where Unicode lacks one, sentences,
heads and charts say it in words; a list on the command line then writes all its symbols as they are typed and as CSV
and JSON name them (``alike``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from enum import Enum
from string import Formatter


class SymbolSet(Enum):
    """Which convention a class uses; the values are the words of the command line."""

    A = "A"
    B = "B"


_HEADS: Mapping[str, tuple[str, str]] = {
    "m": ("mdot", "mdot"),
    "V": ("Vdot", "Vdot"),
    "q": ("q", "Qdot"),
    "C": ("C", "Wdot"),
    "Cth": ("C", "C"),
    "T": ("T", "vartheta"),
    "dT": ("dT", "dvartheta"),
    "eps": ("eps", "Phi"),
    "h": ("h", "alpha"),
    "k": ("k", "lam"),
    "U": ("U", "k"),
    "UA": ("UA", "kA"),
    "f": ("f", "zeta"),
    "w": ("omega", "x"),
    "i": ("i", "h"),
    "cp": ("c_p", "c_p"),
    "M": ("m", "m"),
    "p": ("p", "p"),
    "hA": ("hA", "alphaA"),
}
"""The letter of each set by the letter that the records use; others are written alike in both."""

_WHOLE: Mapping[str, tuple[str, str]] = {
    "C_r": ("C_r", "R"),
    "c_h": ("c_p,h", "c_p,h"),
    "c_c": ("c_p,c", "c_p,c"),
    "c_w": ("c_p,w", "c_p,w"),
    "T_p": ("T_p", "T_p"),
    "e": ("q_K", "Qdot_K"),
    "x": ("mL", "mL"),
    "k_p": ("k_p", "k_p"),
    "R_chart": ("R", "R_p"),
    "U_B": ("U_B", "U_B"),
    "U_R": ("U_R", "U_R"),
}
"""Symbols that are written in another way as a whole. In B, R is the capacity ratio; the chart of F has R_p, over P."""

_UNCERTAIN = ("u", "U")
_IN_INDEX: Mapping[str, tuple[str, str]] = {
    "q": ("q", "Q"),
    "m": ("m", "m"),
    "eps": ("eps", "Phi"),
    "UA": ("UA", "kA"),
    "T": ("T", "vartheta"),
}
"""How a quantity is written in the index of its uncertainty: without a dot, which no index shows well."""

_LETTERS: Mapping[str, str] = {
    "mdot": "ṁ",
    "Vdot": "V̇",
    "Qdot": "Q̇",
    "Wdot": "Ẇ",
    "dT": "ΔT",
    "dp": "Δp",
    "dvartheta": "Δϑ",
    "vartheta": "ϑ",
    "eps": "ε",
    "Phi": "Φ",
    "alpha": "α",
    "alphaA": "αA",
    "lam": "λ",
    "zeta": "ζ",
    "omega": "ω",
    "phi": "φ",
    "eta": "η",
    "rho": "ρ",
    "mu": "μ",
    "nu": "ν",
    "sigma": "σ",
    "tau": "τ",
    "theta": "θ",
    "delta": "δ",
    "gamma": "γ",
    "chi": "χ",
    "Gamma": "Γ",
    "pi": "π",
}


GREEK_IN_INDEX = ("eps", "Phi", "vartheta")
"""What an index holds that is no plain letter."""


def written(symbol: str, symbols: SymbolSet) -> str:
    """The name of a symbol in this set; a length given in mm (in) is written as the same in m (ft).

    >>> written("C_min", SymbolSet.B), written("d_mm", SymbolSet.A), written("T_h_in", SymbolSet.B)
    ('Wdot_min', 'd', 'vartheta_h_in')
    >>> written("u_eps_T_h_in", SymbolSet.B)
    'u_Phi_vartheta_h_in'
    """
    column = 0 if symbols is SymbolSet.A else 1
    plain = symbol.removesuffix("_mm")
    if plain in _WHOLE:
        return _WHOLE[plain][column].replace(",", "_")
    head, line, tail = plain.partition("_")
    first, *rest = tail.split("_")
    if head in _UNCERTAIN and first in _IN_INDEX:
        return "_".join([head, *(_IN_INDEX.get(part, (part, part))[column] for part in (first, *rest))])
    return _HEADS.get(head, (head, head))[column] + line + tail


def printed(symbol: str, symbols: SymbolSet) -> str:
    """A symbol in plain text.

    >>> printed("C_min", SymbolSet.B), printed("T_h_in", SymbolSet.A)
    ('Ẇ_min', 'T_h,in')
    """
    return in_letters(written(symbol, symbols))


def in_letters(name: str) -> str:
    """The name of a symbol, as the typesetter takes it, in plain text.

    >>> in_letters("Qdot_rad"), in_letters("dT_m")
    ('Q̇_rad', 'ΔT_m')
    """
    head, line, tail = name.partition("_")
    index = ",".join(_LETTERS[part] if part in GREEK_IN_INDEX else part for part in tail.split("_"))
    return _LETTERS.get(head, head) + line + index


_BELOW = str.maketrans(
    "0123456789aehijklmnoprstuvx",
    "₀₁₂₃₄₅₆₇₈₉ₐₑₕᵢⱼₖₗₘₙₒₚᵣₛₜᵤᵥₓ",
)
"""The letters that Unicode has below the line; b, c, d, f, g, q, w and capitals are not among them."""


def in_words(symbol: str, symbols: SymbolSet) -> str:
    """A symbol as sentences, heads and charts show it: its index below the line.

    ``ValueError`` where a letter of the index has no such form: words have to do there.

    >>> in_words("C_min", SymbolSet.B), in_words("k_p", SymbolSet.A), in_words("T_h_in", SymbolSet.A)
    ('Ẇₘᵢₙ', 'kₚ', 'Tₕ,ᵢₙ')
    """
    text = printed(symbol, symbols)
    lowered = with_index_below(text)
    if lowered is None:
        raise ValueError(f"{symbol}: no letters below the line for “{text.partition('_')[2]}”")
    return lowered


def with_index_below(text: str) -> str | None:
    """A symbol in plain text, its index below the line; None where a letter of it has no such form.

    >>> with_index_below("T_h,in"), with_index_below("UA"), with_index_below("T_amb")
    ('Tₕ,ᵢₙ', 'UA', None)
    """
    head, _, index = text.partition("_")
    below = index.translate(_BELOW)
    if any(old == new and old.isalnum() for old, new in zip(index, below, strict=True)):
        return None
    return head + below


def alike(listed: Iterable[str], symbols: SymbolSet) -> Callable[[str], str]:
    """How plain text that lists these symbols writes each: all with their index below the line, or all as typed.

    >>> alike(["m_h", "T_h_in"], SymbolSet.A)("T_h_in"), alike(["m_h", "T_c_in"], SymbolSet.A)("m_h")
    ('Tₕ,ᵢₙ', 'ṁ_h')
    """
    shown = {symbol: printed(symbol, symbols) for symbol in listed}
    lowered = {symbol: with_index_below(text) for symbol, text in shown.items()}
    below = {symbol: text for symbol, text in lowered.items() if text is not None}
    return (below if len(below) == len(shown) else shown).__getitem__


def with_symbols(template: str, symbols: SymbolSet, **numbers: object) -> str:
    """A sentence or head in which symbols stand by their names in braces, written in this set; ``numbers`` are put in.

    >>> with_symbols("NTU = {UA}/{C_min} at {at} points", SymbolSet.B, at=3)
    'NTU = kA/Ẇₘᵢₙ at 3 points'
    """
    named = {name for _, name, _, _ in Formatter().parse(template) if name}
    return template.format(**{name: in_words(name, symbols) for name in named - numbers.keys()}, **numbers)
