"""Numbers of one's own in place of drawn ones, such as ``T_h,in = 90`` and ``m_h = 0.5``, in the units of the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation

from engcalc.classroom.measures import MEASURES
from engcalc.classroom.symbols import SymbolSet, printed, with_index_below, written
from engcalc.classroom.topic import GivenNumber, Topic
from engcalc.errors import InputError, InputFault
from engcalc.units import UnitSystem, raised
from engcalc.words.texts import class_texts

PLACE = "numbers"  # where the faults of these numbers lie
_LONGEST = 30  # letters of a number


def stated_numbers(topic: Topic, typed: Sequence[str]) -> Mapping[str, str]:
    """The text of each number by its symbol, from texts such as ``m_h = 0.5``; symbols as in either set.

    Raises InputError with every fault.
    """
    known = dict(_names(topic))
    found: dict[str, str] = {}
    faults = []
    for one in typed:
        name, equals, number = (part.strip() for part in one.partition("="))
        symbol = known.get(_plain(name))
        text = number.replace(",", ".")
        if not equals or symbol is None:
            names = ", ".join(typed_name(given.symbol) for given in topic.givens)
            faults.append(InputFault(PLACE, one, class_texts.SYMBOL_NUMBER_WITH_ONE_OF.format(names=names)))
        elif not _is_number(text):
            faults.append(InputFault(PLACE, one, class_texts.PLAIN_NUMBER_IN_THE_UNIT_OF_THE_SHEET))
        else:
            found[symbol] = text
    if faults:
        raise InputError(tuple(faults))
    return found


def typed_name(symbol: str) -> str:
    """A symbol as keyboards have it, one of the names that are taken: a dot above is left out.

    >>> typed_name("m_h"), typed_name("T_h_in"), typed_name("d_mm"), typed_name("Cth")
    ('m_h', 'T_h,in', 'd', 'C')
    """
    head, line, index = written(symbol, SymbolSet.A).partition("_")
    return head.removesuffix("dot") + line + index.replace("_", ",")


def names_with_units(topic: Topic, system: UnitSystem, symbols: SymbolSet) -> str:
    """The numbers that a topic takes, as they are typed: each with its symbol where the sheet writes another, and its
    unit there.

    >>> from engcalc.classroom.topics import TOPICS
    >>> names_with_units(TOPICS["turbulent-tube"], UnitSystem.SI, SymbolSet.A)
    'm (ṁ) [kg/s], d [mm], T_b [°C]'
    >>> names_with_units(TOPICS["turbulent-tube"], UnitSystem.US, SymbolSet.B)
    'm (ṁ) [lb/h], d [in], T_b (ϑ_b) [°F]'
    """
    return ", ".join(_name_with_unit(one, system, symbols) for one in topic.givens)


def _name_with_unit(given: GivenNumber, system: UnitSystem, symbols: SymbolSet) -> str:
    name, symbol = typed_name(given.symbol), printed(given.symbol, symbols)
    unit = raised(MEASURES[given.measure].unit(system).name)
    return name + f" ({symbol})" * (symbol != name) + f" [{unit}]" * bool(unit)


def half_of_last_digit(text: str) -> float:
    """Half a unit of the last digit of a number as it was typed.

    >>> half_of_last_digit("0.50"), half_of_last_digit("90")
    (0.005, 0.5)
    """
    exponent = Decimal(text).as_tuple().exponent
    assert isinstance(exponent, int)  # a plain number
    return float(Decimal(5).scaleb(exponent - 1))


def _names(topic: Topic) -> Iterator[tuple[str, str]]:
    for given in topic.givens:
        yield _plain(given.symbol), given.symbol
        for symbols in SymbolSet:
            shown = printed(given.symbol, symbols)
            yield written(given.symbol, symbols), given.symbol
            yield _plain(shown), given.symbol
            yield _plain(with_index_below(shown) or shown), given.symbol  # as it stands on a sheet


def _plain(name: str) -> str:
    return name.replace(",", "_")


def _is_number(text: str) -> bool:
    try:
        return len(text) <= _LONGEST and Decimal(text).is_finite() and abs(Decimal(text)) < Decimal("1e12")
    except InvalidOperation:
        return False
