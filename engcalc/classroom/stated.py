"""Numbers of one's own in place of drawn ones, such as ``T_h,in = 90`` and ``m_h = 0.5``, in the units of the sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal, InvalidOperation

from engcalc.classroom.measures import MEASURES
from engcalc.classroom.symbols import SymbolSet, printed, with_index_below, written
from engcalc.classroom.topic import GivenNumber, SolutionLine, Topic
from engcalc.errors import InputError, InputFault
from engcalc.units import UnitSystem, raised
from engcalc.words.texts import class_texts
from engcalc.working.formulas import names_in

PLACE = "numbers"  # where the faults of these numbers lie
UNKNOWN = "?"  # typed for a number that is asked
_LONGEST = 30  # letters of a number


def stated_numbers(topic: Topic, typed: Sequence[str]) -> Mapping[str, str]:
    """The text of each number by its symbol, from texts such as ``m_h = 0.5``; symbols as in either set.

    ``U = ?`` asks for a number that is given else; then a result of the working may be stated in its place.
    Raises InputError with every fault.
    """
    asks = any(one.partition("=")[2].strip() == UNKNOWN for one in typed)
    results = {_plain(name): line for line in _results(topic) for name in _ways_to_write(line)}
    known = {**(results if asks else {}), **dict(_names(topic))}
    found: dict[str, str] = {}
    faults = []
    for one in typed:
        name, equals, number = (part.strip() for part in one.partition("="))
        symbol = known.get(_plain(name))
        text = number.replace(",", ".")
        if not equals or symbol is None:
            names = ", ".join(typed_name(given.symbol) for given in topic.givens)
            faults.append(InputFault(PLACE, one, class_texts.SYMBOL_NUMBER_WITH_ONE_OF.format(names=names)))
        elif text == UNKNOWN and symbol not in askable(topic):
            names = ", ".join(typed_name(each) for each in askable(topic))
            faults.append(InputFault(PLACE, one, class_texts.CAN_BE_ASKED.format(names=names)))
        elif text != UNKNOWN and not _is_number(text):
            faults.append(InputFault(PLACE, one, class_texts.PLAIN_NUMBER_IN_THE_UNIT_OF_THE_SHEET))
        else:
            found[symbol] = text
    faults += _faults_of_turning(topic, found)
    if faults:
        raise InputError(tuple(faults))
    return found


def askable(topic: Topic) -> tuple[str, ...]:
    """The given numbers that can be asked: those at which no table is read, for the sheet names where it was read."""
    where = "".join(entry.where for entry in topic.looked_up)
    return tuple(given.symbol for given in topic.givens if f"{{{given.symbol}}}" not in where)


def asked_and_given(topic: Topic, stated: Mapping[str, str]) -> tuple[str, tuple[str, ...]] | None:
    """The given number that is asked, and the results that may be given for it: the one stated, else those that hang on
    it, the last first. None where nothing is turned round."""
    asked = next((symbol for symbol, text in stated.items() if text == UNKNOWN), None)
    if asked is None:
        return None
    result = next((symbol for symbol in stated if symbol in _results(topic)), None)
    hang_on_it = tuple(symbol for symbol in reversed(topic.asked) if asked in _all_behind(topic, symbol))
    return asked, hang_on_it if result is None else (result,)


def _faults_of_turning(topic: Topic, stated: Mapping[str, str]) -> Iterator[InputFault]:
    asked = [symbol for symbol, text in stated.items() if text == UNKNOWN]
    results = [symbol for symbol in stated if symbol in _results(topic)]
    if len(asked) > 1 or len(results) > 1:
        names = ", ".join(map(typed_name, asked if len(asked) > 1 else results))
        yield InputFault(PLACE, names, class_texts.ONE_ASKED_AND_ONE_RESULT)
    elif asked and results and asked[0] not in _all_behind(topic, results[0]):
        behind = [symbol for symbol in _results(topic) if asked[0] in _all_behind(topic, symbol)]
        names = ", ".join(map(typed_name, behind))
        yield InputFault(PLACE, typed_name(results[0]), class_texts.RESULT_THAT_HANGS_ON_IT.format(names=names))


def _results(topic: Topic) -> tuple[str, ...]:
    """The results of the working, without lines that only convert a unit and that nobody asks for."""
    return tuple(line.symbol for line in topic.lines if line.symbol in topic.asked or not line.converts)


def _all_behind(topic: Topic, symbol: str) -> frozenset[str]:
    """Every symbol that a line is made of, in one step or in many."""
    formulas = {line.symbol: line.formula for line in topic.lines}
    found: set[str] = set()
    wanted = [symbol]
    while wanted:
        for name in names_in(formulas.get(wanted.pop(), "0")):
            if name not in found:
                found.add(name)
                wanted.append(name)
    return frozenset(found)


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


def results_with_units(topic: Topic, system: UnitSystem, symbols: SymbolSet) -> str:
    """The results that may be given where one of the numbers is asked, written as :func:`names_with_units` does.

    >>> from engcalc.classroom.topics import TOPICS
    >>> results_with_units(TOPICS["fin-efficiency"], UnitSystem.SI, SymbolSet.A)
    'mL, eta_f (η_f)'
    """
    lines = (line for line in topic.lines if line.symbol in topic.asked)
    return ", ".join(_name_with_unit(one, system, symbols) for one in lines)


def _name_with_unit(number: GivenNumber | SolutionLine, system: UnitSystem, symbols: SymbolSet) -> str:
    name, symbol = typed_name(number.symbol), printed(number.symbol, symbols)
    unit = raised(MEASURES[number.measure].unit(system).name)
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
        for name in _ways_to_write(given.symbol):
            yield _plain(name), given.symbol


def _ways_to_write(symbol: str) -> Iterator[str]:
    """A symbol as keyboards, files and sheets have it, in either set."""
    yield symbol
    yield typed_name(symbol)
    for symbols in SymbolSet:
        shown = printed(symbol, symbols)
        yield written(symbol, symbols)
        yield shown
        yield with_index_below(shown) or shown  # as it stands on a sheet


def _plain(name: str) -> str:
    return name.replace(",", "_")


def _is_number(text: str) -> bool:
    try:
        return len(text) <= _LONGEST and Decimal(text).is_finite() and abs(Decimal(text)) < Decimal("1e12")
    except InvalidOperation:
        return False
