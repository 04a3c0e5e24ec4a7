"""How one input is declared: everything that the form, the checks, the command line and the report say of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum, StrEnum

from engcalc.words.texts import case_texts


class Basis(StrEnum):
    """Where a value comes from. The first four may be written in a case file."""

    MEASURED = "measured"
    PUBLISHED = "published"
    TYPICAL = "typical"
    ASSUMED = "assumed"
    ENTERED = "entered"
    DERIVED = "derived"


class SpreadLaw(StrEnum):
    """How an uncertain input is spread about its value; the words of the case file."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    LOGNORMAL = "lognormal"


VALUE_KEYS = ("value", "uncertainty", "basis", "law", "correlated")
"""What may be said of a number beside its value, where it is written as an object."""
FRACTION = ("0 %", "100 %")  # limits of a share
WRITABLE_BASES = tuple(b.value for b in (Basis.MEASURED, Basis.PUBLISHED, Basis.TYPICAL, Basis.ASSUMED))


class FileShape(Enum):
    """What stands in the file at this place."""

    NUMBER = "number"
    WORD = "word"
    TEXT = "text"
    TEXTS = "list of texts"
    FLAGS = case_texts.FACTS_EACH_TRUE_OR_FALSE
    PAIRS = case_texts.LIST_OF_MINUTES
    LOG = case_texts.LOG_FILE_AND_ITS_COLUMNS


class DetailLevel(Enum):
    """Who needs to see an input: everyone, whoever refines, or whoever knows the hardware."""

    FIRST = 1
    REFINE = 2
    DETAIL = 3


@dataclass(frozen=True)
class Input:
    """The one declaration of an input.

    ``default``, ``limits``, ``usual`` and ``spread`` are written as a person would type them. ``limits`` are what the
    program accepts, ``usual`` is the range shown as a hint. ``spread`` is the standard uncertainty of the default or of
    a value typical by class: a quantity of the kind (a difference), or a share of the value such as ``"15 %"``
    (always a share of the value, for fractions too).
    ``words`` maps a word that may stand instead of a number to the text that it means, or to None for "not known".
    ``options`` lists the words of a choice with what each means. ``kind_by`` names a sibling field whose word selects
    another kind, ``limits_by`` holds the limits of such a kind. ``said_with`` names a sibling field whose word is an
    instrument that may be read in words (:mod:`engcalc.case.reading_words`). ``also`` is a second kind that is
    accepted; a consumer asks ``Case.given`` which one was typed.
    ``derived`` says that an absent value follows from others (see :mod:`engcalc.case.whole`).
    """

    symbol: str
    label: str
    kind: str = "number"
    default: str | None = None
    basis: Basis = Basis.TYPICAL
    limits: tuple[str, str] | None = None
    usual: tuple[str, str] | None = None
    help: str = ""
    spread: str = ""
    shape: FileShape = FileShape.NUMBER
    options: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str | None] = field(default_factory=dict)
    kind_by: tuple[str, Mapping[str, str]] | None = None
    limits_by: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    said_with: str = ""
    also: str | None = None
    derived: bool = False
    level: DetailLevel = DetailLevel.REFINE


def choice(
    label: str,
    options: Mapping[str, str],
    default: str | None = None,
    help: str = "",
    level: DetailLevel = DetailLevel.REFINE,
) -> Input:
    """Declare a word out of a list."""
    return Input("", label, "word", default, options=options, help=help, shape=FileShape.WORD, level=level)


def text(label: str, help: str = "", level: DetailLevel = DetailLevel.REFINE) -> Input:
    """Declare free text."""
    return Input("", label, "text", help=help, shape=FileShape.TEXT, level=level)
