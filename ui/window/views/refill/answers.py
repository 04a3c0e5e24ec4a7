"""What the refill view works out from what is typed in it. No Qt."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.case.case import Case
from engcalc.errors import RangeError
from engcalc.properties.coolant import Base
from engcalc.studies import refill
from engcalc.units import Array, System
from engcalc.words import refill_words as words
from engcalc.words.bleeding import COLOUR, COMPATIBILITY, BleedStep, Setup, bleed_steps
from engcalc.words.cautions import ALL
from engcalc.words.numbers import capital

COLD = 293.15  # K; a cold vehicle in the shop, where no other temperature is typed
CONCENTRATE = 1.0
CAUTION_TEXTS: Mapping[str, str] = {caution.key: caution.text for caution in ALL}


@dataclass(frozen=True)
class Quantity:
    """One line of the form: its key, label, kind, what is accepted, help, and the unit that a bare number takes."""

    key: str
    label: str
    kind: str
    limits: tuple[str, str]
    help: str = ""
    unit: str = ""


_FRACTION = ("0 %", "100 %")
_VOLUME = ("0 L", "1000 L")
_TEMPERATURE = ("-60 degC", "140 degC")
_PRESSURE = ("0.01 bar", "4 bar")

GROUPS: Mapping[str, tuple[Quantity, ...]] = {
    "In the system": (
        Quantity("capacity", "Full volume", "volume", ("0.1 L", "1000 L")),
        Quantity("fraction", "Concentration", "fraction", _FRACTION,
                 "What was filled in. A refractometer's reading takes its place."),
        Quantity("cap", "Cap pressure", "gauge pressure", ("0 bar", "4 bar")),
        Quantity("altitude", "Altitude", "altitude", ("-430 m", "6000 m")),
        Quantity("read", "Freezing point read", "temperature", ("-60 degC", "2 degC"),
                 "As the refractometer shows it, on the scale named beside.")),
    "Refill": (
        Quantity("drained", "Already drained or lost", "volume", _VOLUME, "What came out and was measured."),
        Quantity("drainable", "Most that drains out", "volume", _VOLUME,
                 "What the drain plug gives: the block may keep some."),
        Quantity("target", "Concentration wanted", "fraction", _FRACTION),
        Quantity("product", "Filled in with", "fraction", _FRACTION,
                 "100 % is concentrate, 50 % a half-and-half premix."),
        Quantity("hot", "Hottest coolant", "temperature", ("20 degC", "140 degC"),
                 "For the room that the tank must have.")),
    "Trapped air": (
        Quantity("filled", "Filled in so far", "volume", _VOLUME, "With topping up."),
        Quantity("fall", "Level fell by", "small length", ("0 mm", "1000 mm"), "Between two looks at the tank."),
        Quantity("area", "Area of the tank", "area", ("1 cm2", "1 m2"), "Its length times its width, inside.", "cm2"),
        Quantity("before", "Coolant at the first look", "temperature", _TEMPERATURE),
        Quantity("after", "Coolant at the second look", "temperature", _TEMPERATURE),
        Quantity("pressed", "Fall under pressure", "volume", _VOLUME,
                 "Of the cold closed system, pumped up with a tester."),
        Quantity("tester", "Pressure of the tester", "gauge pressure", _PRESSURE))}
QUANTITIES: Mapping[str, Quantity] = {q.key: q for group in GROUPS.values() for q in group}


@dataclass(frozen=True)
class Typed:
    """What stands in the form, SI: quantities by key (None where nothing is typed or taken), and the words chosen."""

    amounts: Mapping[str, float | None]
    base: Base
    scale: Base
    joint: refill.Joint
    setup: Setup


@dataclass(frozen=True)
class Answers:
    """What the view says: sentences under headings, and the steps."""

    parts: Mapping[str, tuple[str, ...]]
    steps: tuple[BleedStep, ...]

    @property
    def text(self) -> str:
        """All of it as plain text, to be taken along."""
        lines: list[str] = []
        for head, sentences in self.parts.items():
            lines += [head, *(f"- {s}" for s in sentences), ""] if sentences else []
        lines.append("Filling and bleeding")
        for number, step in enumerate(self.steps, 1):
            lines += [f"{number}. {step.text}", *(f"   Caution: {CAUTION_TEXTS[key]}" for key in step.cautions)]
        return "\n".join(lines) + "\n"


def taken(case: Case | None) -> dict[str, float | None]:
    """What the program takes for a line in which nothing is typed, from the case."""
    found: dict[str, float | None] = dict.fromkeys(QUANTITIES)
    found |= {"product": CONCENTRATE, "drained": 0.0, "before": COLD, "after": COLD}
    if case is not None:
        hot = case.limits.coolant_limit
        found |= {
            "capacity": float(case.coolant.volume[0]), "fraction": float(case.coolant.concentration[0]),
            "cap": float(case.coolant.cap_pressure[0]), "target": float(case.coolant.concentration[0]),
            "altitude": float(case.duties[0].altitude[0]) if case.duties else 0.0, "hot": float(hot[0])}
    return found


def answers(typed: Typed, system: System) -> Answers:
    """Everything that can be said from what is typed, by the groups of the form."""
    parts = {head: tuple(_safely(say(typed, system))) for head, say in zip(GROUPS, (_mixture, _refill, _air),
                                                                           strict=True)}
    return Answers(parts, bleed_steps(typed.setup))


def _safely(sentences: Iterator[str]) -> Iterator[str]:
    """The sentences up to one that cannot be said, and why it cannot."""
    try:
        yield from sentences
    except RangeError as error:
        yield f"{capital(str(error))}."


def _one(value: float | None) -> Array:
    return np.full(1, value)


def _fraction(typed: Typed) -> float | None:
    """The coolant's own concentration: as read, else as filled in."""
    read = typed.amounts["read"]
    if read is None or Base.WATER in (typed.base, typed.scale):
        return 0.0 if typed.base is Base.WATER else typed.amounts["fraction"]
    return float(refill.refractometer(_one(read), typed.scale, typed.base).fraction[0])


def _mixture(typed: Typed, system: System) -> Iterator[str]:
    read, a = typed.amounts["read"], typed.amounts
    if read is not None:
        found = refill.refractometer(_one(read), typed.scale, typed.base)
        yield words.reading_sentence(found, typed.scale, typed.base, system)
    fraction = _fraction(typed)
    if fraction is not None and a["cap"] is not None and a["altitude"] is not None:
        stands = refill.protection(typed.base, _one(fraction), _one(a["cap"]), _one(a["altitude"]))
        yield words.protection_sentence(stands, fraction, typed.base, system)
    yield COLOUR
    yield COMPATIBILITY


def _refill(typed: Typed, system: System) -> Iterator[str]:
    a, fraction = typed.amounts, _fraction(typed)
    capacity, target, product, drained = a["capacity"], a["target"], a["product"], a["drained"]
    if capacity is None:
        return
    amount, spread = refill.drain_to_open(_one(capacity), typed.joint)
    yield words.drain_sentence(typed.joint, float(amount[0]), float(spread[0]), system)
    if None not in (fraction, target, product, drained) and typed.base is not Base.WATER:
        holds = max(capacity - (drained or 0.0), 0.0)
        drainable = None if a["drainable"] is None else _one(a["drainable"])
        inside = refill.System(_one(capacity), _one(holds), _one(fraction), drainable)
        found = refill.refill(inside, _one(target), _one(product))
        yield words.refill_sentence(found, float(target or 0.0), float(product or 0.0), system)
    if fraction is not None and a["hot"] is not None:
        grown = refill.expansion(typed.base, _one(fraction), _one(capacity), _one(COLD), _one(a["hot"]))
        yield words.expansion_sentence(float(grown[0]), COLD, a["hot"], system)


def _air(typed: Typed, system: System) -> Iterator[str]:
    a, fraction = typed.amounts, _fraction(typed)
    expected, filled = (_one(a[key]) if a["drained"] and a["filled"] is not None else None
                        for key in ("drained", "filled"))
    if a["capacity"] is not None and fraction is not None and a["fall"] is not None and a["area"] is not None:
        fall = refill.LevelFall(_one(a["fall"]), _one(a["area"]), _one(a["before"]), _one(a["after"]))
        found = refill.trapped_air(typed.base, _one(fraction), _one(a["capacity"]), fall)
        yield words.released_sentence(found, system)
    if expected is not None and filled is not None:
        yield words.missing_sentence(float(expected[0] - filled[0]), system)
    if a["pressed"] is not None and a["tester"] is not None:
        air = refill.air_by_pressure(_one(a["pressed"]), _one(a["tester"]), _one(a["altitude"] or 0.0))
        yield words.pressed_sentence(float(air[0]), system)
