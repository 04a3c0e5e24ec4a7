"""What a duty or a moment asks of the plant, in numbers: each field once, with what it means.

The steady point, a duty in its time, a lap, the warm-up, a parked vehicle, the uncertainty and the limiting ambient all
take these conditions, or a table of them (``engcalc.system.in_time.drive``). Whoever needs a list of the fields reads
it here.

A new number of a duty is a field here with the name that it has in ``records.Duty``; its value then comes from there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cache
from typing import Annotated, get_type_hints

import numpy as np
from numpy.typing import NDArray

from engcalc.case.catalogue import DeclaredInput
from engcalc.case.catalogue import members as declared_in
from engcalc.case.records import Duty
from engcalc.units import Array, parse

HEATER_AIR_SHARE: Mapping[str, float] = {"off": 0.0, "low": 1.0 / 3.0, "high": 1.0, "unknown": 1.0 / 3.0}
"""Share of the blower's high flow that each heater setting takes; low is common practice, no source."""
AIR_CONDITIONING_MODE: Mapping[str, float] = {"off": -1.0, "weather": 0.0, "on": 1.0}
FAN_MODE: Mapping[str, float] = {"off": -1.0, "auto": 0.0, "on": 1.0}

NOT_GIVEN = float("nan")


@dataclass(frozen=True)
class ConditionMeaning:
    """What one field of the conditions means.

    ``unit`` is SI. ``may_be_absent``: NaN stands for "not given", and the model puts its own value there.
    ``by_row``: it may change from one row of a drive to the next; else one value holds for the whole run.
    ``of_engine``: it tells what the engine does. It is 0 of an engine that stands, and absent where nobody noted it.
    ``word`` names the duty's choice that ``numbers`` turns into this field. ``always`` is the value of a field that no
    duty has an input for. With neither, the field is the duty's number of the same name.
    ``only_of_duty``: a record, made on another day, does not have it; there it is as if nothing were typed.
    """

    unit: str
    may_be_absent: bool = False
    by_row: bool = False
    of_engine: bool = False
    word: str | None = None
    numbers: Mapping[str, float] = field(default_factory=dict)
    always: float | None = None
    only_of_duty: bool = False

    @property
    def is_typed_number(self) -> bool:
        """Whether a duty has an input of the same name."""
        return self.word is None and self.always is None


@dataclass(frozen=True, eq=False)
class Conditions:
    """What is asked of the plant, every field float64 in SI units.

    One duty for each member: every field has shape (members,). In the table of a drive a field that may change by row
    has shape (rows, members or 1) and the others (members or 1,), so that they broadcast.
    """

    brake_power: Annotated[Array, ConditionMeaning("W", may_be_absent=True, by_row=True, of_engine=True)]
    fuel_flow: Annotated[Array, ConditionMeaning("kg/s", may_be_absent=True, by_row=True, of_engine=True)]
    engine_speed: Annotated[Array, ConditionMeaning("rev/s", may_be_absent=True, by_row=True, of_engine=True)]
    vehicle_speed: Annotated[Array, ConditionMeaning("m/s", by_row=True)]
    headwind: Annotated[Array, ConditionMeaning("m/s", only_of_duty=True)]
    grade: Annotated[Array, ConditionMeaning("-", by_row=True)]
    trailer_mass: Annotated[Array, ConditionMeaning("kg", by_row=True)]
    trailer_frontal_area: Annotated[Array, ConditionMeaning("m2", by_row=True)]
    trailer_drag_coefficient: Annotated[Array, ConditionMeaning("-", by_row=True)]
    ambient: Annotated[Array, ConditionMeaning("K")]
    altitude: Annotated[Array, ConditionMeaning("m")]
    relative_humidity: Annotated[Array, ConditionMeaning("-")]
    # -1 held off, 0 as its control wants, 1 held on
    fan_mode: Annotated[Array, ConditionMeaning("-", word="fan", numbers=FAN_MODE)]
    # of the blower's high flow
    heater_air_share: Annotated[Array, ConditionMeaning("-", by_row=True, word="heater", numbers=HEATER_AIR_SHARE)]
    # through the radiator with the valve open, in the place of pump and branches
    coolant_flow: Annotated[Array, ConditionMeaning("m3/s", may_be_absent=True)]
    # at the core's face, in the place of fan and ram
    air_velocity: Annotated[Array, ConditionMeaning("m/s", may_be_absent=True)]
    # opening at which the valve is held (SAE J1393 holds it at 1); absent leaves it free, as it is in a warm-up
    valve_held: Annotated[Array, ConditionMeaning("-", may_be_absent=True, always=NOT_GIVEN)]
    # share of its power at which a heater in the coolant circuit is run
    coolant_heater: Annotated[Array, ConditionMeaning("-", by_row=True, always=1.0)]
    # -1 off, 0 by the weather, else the share of its heat at which it runs
    air_conditioning: Annotated[Array, ConditionMeaning("-", word="air_conditioning", numbers=AIR_CONDITIONING_MODE)]

    @property
    def count(self) -> int:
        """Number of members."""
        return max(int(np.shape(getattr(self, name))[-1]) for name in MEANINGS)

    @property
    def air_speed(self) -> Array:
        """Speed [m/s] of the air against the vehicle's front; negative where it comes from behind."""
        return np.asarray(self.vehicle_speed + self.headwind)

    def each(self, change: Callable[[Array], Array]) -> Conditions:
        """The conditions with every field changed in the same way."""
        return Conditions(**{name: change(getattr(self, name)) for name in MEANINGS})

    def replace(self, **changes: Array) -> Conditions:
        """Conditions of members with some fields changed; everything broadcasts to one number of members."""
        changed = replace(self, **changes)
        return changed.spread_to(changed.count)

    def spread_to(self, members: int) -> Conditions:
        """The same with every field of shape (members,); numpy's detour only where a field has another."""
        shape = (members,)
        return self.each(lambda value: value if value.shape == shape else np.broadcast_to(value, shape))

    def taken(self, which: NDArray[np.int64] | slice) -> Conditions:
        """Some of the members; every field must have them all."""
        return self.each(lambda value: value[which])

    def repeated(self, times: int) -> Conditions:
        """Each member so many times, one after another."""
        return self.spread_to(self.count).each(lambda value: np.repeat(value, times))

    def without_load(self) -> Conditions:
        """The same on a level road, with nothing said of what the engine does."""
        absent = np.full(1, NOT_GIVEN)
        return self.replace(grade=np.zeros(1), **dict.fromkeys(_named(lambda m: m.of_engine), absent))

    def of_another_day(self) -> Conditions:
        """The same without what only the duty says."""
        as_usual = _nothing_typed()
        return self.replace(**{name: getattr(as_usual, name) for name in _named(lambda m: m.only_of_duty)})

    def with_engine_standing(self) -> Conditions:
        """The same with an engine that stands."""
        still = {name: np.zeros_like(getattr(self, name)) for name in _named(lambda m: m.of_engine)}
        return replace(self, **still)


def _meanings() -> Mapping[str, ConditionMeaning]:
    hints = get_type_hints(Conditions, include_extras=True)
    return {f.name: hints[f.name].__metadata__[0] for f in fields(Conditions)}


MEANINGS: Mapping[str, ConditionMeaning] = _meanings()
"""What each field means, by its name."""


def _named(chosen: Callable[[ConditionMeaning], bool]) -> tuple[str, ...]:
    return tuple(name for name, meaning in MEANINGS.items() if chosen(meaning))


BY_ROW = _named(lambda meaning: meaning.by_row)
TYPED_NUMBERS = _named(lambda meaning: meaning.is_typed_number)


def conditions_of(duties: Sequence[Duty]) -> Conditions:
    """One member for each duty; each duty's arrays have shape (1,), or (members,) of one ensemble."""
    asked = [Conditions(**{name: _of_duty(duty, name) for name in MEANINGS}) for duty in duties]
    members = max((one.count for one in asked), default=1)
    return joined_conditions([one.spread_to(members) for one in asked])


def _of_duty(duty: Duty, name: str) -> Array:
    meaning = MEANINGS[name]
    if meaning.always is not None:
        return np.full(1, meaning.always)
    if meaning.word is not None:
        return np.full(1, meaning.numbers[getattr(duty, meaning.word)])
    typed: Array | None = getattr(duty, name)
    return np.full(1, NOT_GIVEN) if typed is None else typed


def joined_conditions(parts: Sequence[Conditions]) -> Conditions:
    """The members of all parts, one part after another."""
    whole = [part.spread_to(part.count) for part in parts]
    return Conditions(**{name: np.concatenate([getattr(part, name) for part in whole]) for name in MEANINGS})


def only_given(**given: Array) -> Conditions:
    """Conditions in which only this is said; the rest is as in a duty in which nothing else was typed."""
    return replace(_nothing_typed(), **given)


@cache
def _nothing_typed() -> Conditions:
    declared = {leaf.attribute: leaf for leaf in declared_in(Duty) if isinstance(leaf, DeclaredInput)}
    return Conditions(**{name: np.full(1, _default(declared, name)) for name in MEANINGS})


def _default(declared: Mapping[str, DeclaredInput], name: str) -> float:
    meaning = MEANINGS[name]
    if meaning.always is not None:
        return meaning.always
    if meaning.word is not None:
        return meaning.numbers[str(declared[meaning.word].input.default)]
    typed = declared[name].input
    if typed.default is None:
        return NOT_GIVEN
    return parse(typed.default, typed.kind).si


def table_of(rows: Sequence[Conditions], whole_run: Conditions) -> Conditions:
    """Rows of conditions as a table; what holds for the whole run is that of ``whole_run``."""
    tables = {name: np.stack(np.broadcast_arrays(*(getattr(row, name) for row in rows))) for name in BY_ROW}
    return replace(whole_run, **tables)


def rows_after_rows(table: Conditions, more: Conditions) -> Conditions:
    """A table with the rows of another of as many members below its own; what holds for the run stays."""
    tables = {name: np.concatenate((getattr(table, name), getattr(more, name))) for name in BY_ROW}
    return replace(table, **tables)


def every_row(table: Conditions) -> Conditions:
    """A table in which each field that may change by row has a line for every row."""
    rows = max(len(getattr(table, name)) for name in BY_ROW)
    tables = {name: np.broadcast_to(getattr(table, name), (rows, *getattr(table, name).shape[1:])) for name in BY_ROW}
    return replace(table, **tables)


def whole_run(table: Conditions) -> Conditions:
    """What holds for all of a drive. What changes by row is NaN, so that nobody takes one row for all."""
    return replace(table, **dict.fromkeys(BY_ROW, np.full(1, NOT_GIVEN)))
