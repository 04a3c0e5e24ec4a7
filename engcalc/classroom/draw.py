"""Numbers of a problem: drawn from seed and name, rounded as they are printed, looked up, and worked through.

A draw that gives no sensible answer, or in which a likely slip would not show, is thrown away and the next one made.
The numbers come from the generator's plain ``random()``, which is the same on every version of Python.
"""

from __future__ import annotations

import random
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_EVEN, Decimal

from engcalc.classroom.measures import MEASURES
from engcalc.classroom.stated import UNKNOWN, half_of_last_digit
from engcalc.classroom.topic import GivenNumber, LookedUp, Slip, SolutionLine, Topic
from engcalc.errors import RangeError
from engcalc.units import UnitSystem
from engcalc.words.texts import class_texts
from engcalc.working.formulas import evaluate, names_in

MOST_DRAWS = 500  # then the topic's bounds are at fault
FLOW_KIND = "Re"  # the number that tells laminar from turbulent flow
ANSWER_DIGITS = 3  # significant digits that are asked for; of temperatures a tenth


@dataclass(frozen=True)
class PrintedNumber:
    """A number as it is printed: symbol, label, text, unit, and half a unit of its last digit (0 of exact numbers)."""

    symbol: str
    label: str
    text: str
    unit: str
    half_step: float
    where: str = ""

    @property
    def value(self) -> float:
        """The number that is printed."""
        return float(self.text)


@dataclass(frozen=True)
class DrawnNumbers:
    """What is given, what is looked up, the values of every line in full precision, and what each slip makes of the
    answers; all in the units of the problem."""

    givens: tuple[PrintedNumber, ...]
    looked_up: tuple[PrintedNumber, ...]
    values: Mapping[str, float]
    bands: Mapping[str, float]
    slips: Mapping[str, Mapping[str, float]]

    @property
    def printed(self) -> dict[str, float]:
        """What stands on the sheet, by symbol."""
        return {number.symbol: number.value for number in (*self.givens, *self.looked_up)}


def as_one_name(name: str) -> str:
    """A name in one way of writing, whatever capitals, spaces and forms of accents it came with.

    Each part begins with a capital, as names mostly do: sheets that were printed before stay those of their seed.

    >>> as_one_name(" ada  QUILLON")
    'Ada Quillon'
    """
    return " ".join(unicodedata.normalize("NFC", name).lower().title().split())


def draw(topic: Topic, seed: int, name: str, system: UnitSystem, stated: Mapping[str, str]) -> DrawnNumbers:
    """The numbers of this person's problem; ``stated`` ones stand as they were typed, by symbol, in the sheet's units.

    Raises RangeError when the topic's bounds, or what is stated, allow none.
    """
    found = next(draws(topic, seed, name, system, stated), None)
    if found is None:
        raise no_sensible_draw(topic)
    return found


def draws(topic: Topic, seed: int, name: str, system: UnitSystem, stated: Mapping[str, str]) -> Iterator[DrawnNumbers]:
    """Every sensible draw of this person's numbers, the first one first."""
    generator = random.Random(f"{topic.key}|{seed}|{as_one_name(name)}")
    for _ in range(MOST_DRAWS):
        found = _one_draw(topic, generator, system, stated)
        if found is not None:
            yield found


def no_sensible_draw(topic: Topic) -> RangeError:
    """What is raised where no draw makes a sensible problem."""
    return RangeError(class_texts.DRAWS_GAVE_NO_SENSIBLE_PROBLEM.format(key=topic.key, most_draws=MOST_DRAWS))


def _one_draw(
    topic: Topic, generator: random.Random, system: UnitSystem, stated: Mapping[str, str]
) -> DrawnNumbers | None:
    drawn = tuple(_drawn(given, generator, system) for given in topic.givens)
    numbers = zip(topic.givens, drawn, strict=True)
    typed = {symbol: text for symbol, text in stated.items() if text != UNKNOWN}
    givens = tuple(_as_stated(given, number, typed.get(given.symbol)) for given, number in numbers)
    try:
        tables = looked_up(topic, givens, system)
        printed = {number.symbol: number.value for number in (*givens, *tables)}
        values = worked_out(topic, printed, system)
        si = in_si(topic, values, system)
        if not all(evaluate(condition, si) > 0.0 for condition in _conditions_to_hold(topic, stated)):
            return None
        bands = _bands(topic, (*givens, *tables), values, system)
    except RangeError:
        return None
    slips = {slip.key: _slipped(topic, slip, printed, si, system) for slip in topic.slips}
    if not stated and not all(_shows(made, values, bands) for made in slips.values()):
        return None
    return DrawnNumbers(givens, tables, values, bands, slips)


def _drawn(given: GivenNumber, generator: random.Random, system: UnitSystem) -> PrintedNumber:
    measure = MEASURES[given.measure]
    si = measure.si.to_si(given.low + (given.high - given.low) * generator.random())
    return _number(given, measure.unit(system).from_si(si), system)


def _conditions_to_hold(topic: Topic, stated: Mapping[str, str]) -> Iterator[str]:
    """The conditions that must hold. Where every number is stated none can be drawn better: then only those of the kind
    of flow, for without them the formulas do not hold."""
    all_stated = all(given.symbol in stated for given in topic.givens)
    for condition in topic.conditions:
        if not all_stated or tells_kind_of_flow(condition):
            yield condition


def tells_kind_of_flow(condition: str) -> bool:
    """Whether a condition is of the kind of flow, without which the formulas do not hold."""
    return FLOW_KIND in names_in(condition)


def _as_stated(given: GivenNumber, number: PrintedNumber, text: str | None) -> PrintedNumber:
    """A drawn number, or in its place the one that was typed, taken to be as exact as a drawn one at least."""
    if text is None:
        return number
    exact = half_step(float(text), given.digits, given.measure == "temperature")
    return replace(number, text=text, half_step=min(half_of_last_digit(text), exact))


def _number(what: GivenNumber | LookedUp, value: float, system: UnitSystem, where: str = "") -> PrintedNumber:
    exact = isinstance(what, LookedUp) and what.exact
    tenths = what.measure == "temperature" and isinstance(what, GivenNumber)
    text = rounded(value, what.digits, tenths)
    half = 0.0 if exact else half_step(value, what.digits, tenths)
    return PrintedNumber(what.symbol, what.label, text, MEASURES[what.measure].unit(system).name, half, where)


def _step(value: float, digits: int, tenths: bool) -> Decimal:
    """One unit of the last digit that is printed."""
    if tenths:
        return Decimal("0.1")
    exact = Decimal(repr(float(value)))
    step = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    near = exact.quantize(step, rounding=ROUND_HALF_EVEN) if step <= 1 else round(exact / step) * step
    return step if near.adjusted() == exact.adjusted() else step * 10  # 9.996 becomes 10.0


def rounded(value: float, digits: int, tenths: bool = False) -> str:
    """``value`` to that many significant digits, closing zeros kept, or to a tenth; halves go to the even digit.

    Powers of ten below a thousandth and from a million on.

    >>> rounded(0.01203, 3), rounded(12.0, 3), rounded(84532.0, 3), rounded(1.52e-4, 2), rounded(20.04, 3, tenths=True)
    ('0.0120', '12.0', '84500', '1.5e-4', '20.0')
    """
    if value == 0.0:
        return "0"
    step = _step(value, digits, tenths)
    near = round(Decimal(repr(float(value))) / step) * step
    power = near.adjusted()
    if not tenths and (power < -3 or power >= 6):
        return f"{near.scaleb(-power):.{digits - 1}f}e{power}"
    return f"{near:.{max(0, -step.adjusted())}f}"


def half_step(value: float, digits: int, tenths: bool = False) -> float:
    """Half a unit of the last digit that ``rounded`` prints.

    >>> half_step(0.01203, 3), half_step(100.2, 3), half_step(84532.0, 3)
    (5e-05, 0.5, 50.0)
    """
    return 0.0 if value == 0.0 else float(_step(value, digits, tenths) / 2)


def looked_up(topic: Topic, givens: tuple[PrintedNumber, ...], system: UnitSystem) -> tuple[PrintedNumber, ...]:
    """What the tables say at these numbers, rounded as it is printed. Raises RangeError where they do not reach."""
    measures = {given.symbol: given.measure for given in topic.givens}
    si = {n.symbol: MEASURES[measures[n.symbol]].unit(system).to_si(n.value) for n in givens}
    shown = {n.symbol: f"{n.text} {n.unit}" for n in givens}
    found = []
    for entry in topic.looked_up:
        value = MEASURES[entry.measure].unit(system).from_si(entry.read(si, system))
        found.append(_number(entry, value, system, entry.where.format(**shown)))
    return tuple(found)


def worked_out(
    topic: Topic, printed: Mapping[str, float], system: UnitSystem, puts: Mapping[str, str] | None = None
) -> dict[str, float]:
    """Every value of the chain in full precision, from what is printed; ``puts`` are other formulas for some lines."""
    values = dict(printed)
    for line in topic.lines:
        right = line.formula_in(system)
        formula = right if puts is None or line.symbol not in puts else puts[line.symbol].format(right)
        values[line.symbol] = evaluate(formula, values)
    return values


def in_si(topic: Topic, values: Mapping[str, float], system: UnitSystem) -> dict[str, float]:
    """The same values in SI."""
    kinds: tuple[GivenNumber | LookedUp | SolutionLine, ...] = (*topic.givens, *topic.looked_up, *topic.lines)
    measures = {kind.symbol: kind.measure for kind in kinds}
    return {symbol: MEASURES[measures[symbol]].unit(system).to_si(value) for symbol, value in values.items()}


def _bands(
    topic: Topic, numbers: tuple[PrintedNumber, ...], values: Mapping[str, float], system: UnitSystem
) -> dict[str, float]:
    """How far each answer may lie off: every printed number half a unit of its last digit off, all to the same side,
    and the answer itself rounded."""
    printed = {number.symbol: number.value for number in numbers}
    bands = {s: half_step(values[s], ANSWER_DIGITS, _is_temperature(topic, s)) for s in topic.asked}
    for number in numbers:
        if number.half_step == 0.0:
            continue
        moved = worked_out(topic, {**printed, number.symbol: number.value + number.half_step}, system)
        for symbol in topic.asked:
            bands[symbol] += abs(moved[symbol] - values[symbol])
    return bands


def answer_text(topic: Topic, symbol: str, value: float) -> str:
    """An answer to the digits that are asked for."""
    return rounded(value, ANSWER_DIGITS, _is_temperature(topic, symbol))


def measure_of(topic: Topic, symbol: str) -> str:
    """The measure of a given number or of a line."""
    numbers: tuple[GivenNumber | SolutionLine, ...] = (*topic.givens, *topic.lines)
    return next(one.measure for one in numbers if one.symbol == symbol)


def _is_temperature(topic: Topic, symbol: str) -> bool:
    return measure_of(topic, symbol) == "temperature"


def _slipped(
    topic: Topic, slip: Slip, printed: Mapping[str, float], si: Mapping[str, float], system: UnitSystem
) -> dict[str, float]:
    """The answers with this slip made; empty where it leads to no number at all."""
    try:
        if slip.reads is not None:
            measures = {line.symbol: line.measure for line in topic.lines}
            made = slip.reads(si)
            return {s: MEASURES[measures[s]].unit(system).from_si(made[s]) for s in topic.asked if s in made}
        values = worked_out(topic, printed, system, slip.puts)
    except RangeError:
        return {}
    return {symbol: values[symbol] for symbol in topic.asked}


def _shows(made: Mapping[str, float], values: Mapping[str, float], bands: Mapping[str, float]) -> bool:
    """Whether some answer tells the slip from the right way; one that leads to no number needs no telling."""
    return not made or any(abs(made[s] - values[s]) > 2.0 * bands[s] for s in made)
