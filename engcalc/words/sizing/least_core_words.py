"""The least core that holds, in plain sentences: what it is, what it does, or why none fits and what would help."""

from __future__ import annotations

from engcalc.case.catalogue import entry
from engcalc.studies.choice.core_builds import Core, Room
from engcalc.studies.choice.core_search import CoreOption, Least
from engcalc.studies.choice.free_inputs import FreedInput
from engcalc.studies.choice.least_core import Growth, LeastCore, NothingFits
from engcalc.units import UnitSystem, show
from engcalc.words.answer.finding_sentences import finding_sentence
from engcalc.words.terms.numbers import capital, chance, difference, lowered, share

MOST_CHANGES = 4  # that are named where nothing fits
SMALLEST = {Least.VOLUME: "smallest", Least.MASS: "lightest"}
NO_ROOM = (
    "Enter the room there is for the core: height, width and depth, under Limits. The least core that holds every duty "
    "is then sought in it."
)
STAY = "Pump, hoses, thermostat, fan and ducts stay as they are."
NO_SIDE = ": its radiator gives off no heat, so that no side of it can be named."
REST_STAYS = "All else stays as it is."
NOT_COUNTED = "The mass is that of tubes and fins: tanks and brackets come on top."


def least_core_sentences(found: LeastCore, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """What came of the search, a sentence each, the answer first."""
    if found.least is None:
        assert found.nothing_fits is not None  # one of the two there is
        return _nothing(found.nothing_fits, found, system)
    least = found.least
    tried = f"{found.builds} ways to build it were tried, in a room of {_room(found.room, system)}."
    return (
        f"The {SMALLEST[found.wanted]} core that holds every duty is {core_words(least.core, system)}. "
        f"{_weighs(least, system)}",
        _holds(least, found.probability, system),
        f"{_drops(least, system)} {_beside(found.freed, system)}",
        f"{tried} {NOT_COUNTED}",
    )


CORES_HEAD = "Core, rows of tubes, fins per inch, passes"
"""Over a column of ``core_in_short``."""


def core_in_short(core: Core, system: UnitSystem = UnitSystem.SI) -> str:
    """A core's dimensions and how it is made, as short as a table wants it."""
    build = core.build
    lengths = [_length(length, system).rpartition(" ") for length in (core.height, core.width, build.depth)]
    size = f"{' x '.join(number for number, _, _ in lengths)} {lengths[0][2]}"
    rows = "1 row" if build.rows == 1 else f"{build.rows} rows"
    passes = "1 pass" if build.passes == 1 else f"{build.passes} passes"
    return f"{size}, {rows} of {core.tubes}, {build.fin_density * 0.0254:.0f} fins, {passes}"


def core_words(core: Core, system: UnitSystem = UnitSystem.SI) -> str:
    """A core's dimensions and how it is made."""
    build = core.build
    rows = "one row" if build.rows == 1 else f"{build.rows} rows"
    passes = "one pass" if build.passes == 1 else f"{build.passes} passes"
    size = " x ".join(_length(length, system) for length in (core.height, core.width, build.depth))
    return (
        f"{size} (height, width, depth): {rows} of {core.tubes} tubes {_length(build.tube_width, system)} wide, "
        f"{build.fin_density * 0.0254:.0f} fins to the inch, {passes}"
    )


def option_words(found: LeastCore, option: CoreOption, system: UnitSystem = UnitSystem.SI) -> str:
    """One core of the choice with what it does."""
    return (
        f"{capital(core_words(option.core, system))}. {_weighs(option, system)} "
        f"{_doubtful(option, system)}. Every duty holds with a chance of {option_chance(found, option)}. {_drops(option, system)}"
    )


def option_chance(found: LeastCore, option: CoreOption) -> str:
    """How likely a core of the choice holds: of the least the check's own chance.

    The others hold with the wanted chance by draws; what theirs is to a point the check of their case tells.
    """
    assert found.checked is not None  # where there is a choice there is a check
    if option == found.least:
        return chance(option.probability)
    return f"at least {share(float(found.checked.case.limits.confidence[0]))}"


def _beside(freed: tuple[FreedInput, ...], system: UnitSystem) -> str:
    """What moves beside the core, and what does not need to."""
    if not freed:
        return STAY
    moved = [one for one in freed if one.moved]
    kept = [lowered(entry(one.path).input.label) for one in freed if not one.moved]
    told = [
        f"{lowered(entry(one.path).input.label)} from {_value(one.path, one.before, system)} to "
        f"{_value(one.path, one.taken, system)}"
        for one in moved
    ]
    said = [f"It goes with {'; '.join(told)}."] if told else []
    said += [f"Free to move, but not moved: {'; '.join(kept)}."] if kept else []
    return " ".join([*said, REST_STAYS])


def _value(path: str, value: float, system: UnitSystem) -> str:
    return show(value, entry(path).input.kind, system)


def _room(room: Room, system: UnitSystem) -> str:
    return " x ".join(_length(length, system) for length in (room.height, room.width, room.depth))


def _length(metres: float, system: UnitSystem) -> str:
    return show(metres, "small length", system)


def _weighs(option: CoreOption, system: UnitSystem) -> str:
    return f"That is {show(option.volume, 'volume', system)} and {show(option.mass, 'mass', system)}."


def _holds(option: CoreOption, probability: float | None, system: UnitSystem) -> str:
    sure = "" if probability is None else f"; the chance that it holds is {chance(probability)}"
    return f"{_doubtful(option, system)}{sure}."


def _doubtful(option: CoreOption, system: UnitSystem) -> str:
    """The least sure duty; which one decides the verdict, by its margin, the check tells."""
    return (
        f"{option.least_sure} is the least sure: the coolant stays {difference(option.margin, system)} under its limit"
    )


def _drops(option: CoreOption, system: UnitSystem) -> str:
    air = show(option.air_drop, "pressure difference", system)
    coolant = show(option.coolant_drop, "pump pressure", system)
    return f"There the core takes {air} of the air's pressure and {coolant} of the coolant's."


def _nothing(why: NothingFits, found: LeastCore, system: UnitSystem) -> tuple[str, ...]:
    said = [
        f"No core that fits into {_room(found.room, system)} holds every duty. The best is {core_words(why.best, system)}.",
        _lacks(why, system),
    ]
    limits = NO_SIDE if why.limits is None else finding_sentence(why.limits, system)
    said.append(f"{why.duty}{limits}")
    if any(one.moved for one in found.freed):
        said.append(f"That counts with what may move at its best. {_beside(found.freed, system)}")
    said.append(_larger(why.growths))
    least = why.least_growth
    if least is not None and least.factor is not None:
        said.append(f"The least of these is {f'{least.factor - 1.0:.0%}'.replace('%', ' %')} more {least.dimension}.")
    names = [o.change.name for o in why.changes][:MOST_CHANGES]
    if names:
        said.append(f"With that core one of these would do: {'; '.join(names)}.")
    else:
        said.append("With that core no single change that was tried would do.")
    return tuple(said)


def _lacks(why: NothingFits, system: UnitSystem) -> str:
    """What the best core lacks in the duty that it holds least, and against what."""
    wanted = share(why.wanted)
    holds = share(why.probability) if share(why.probability) != wanted else f"just under {wanted}"
    odds = f" The chance that it holds is {holds}; {wanted} is wanted." if why.probability < why.wanted else ""
    if why.at_least:
        return (
            f"{why.duty} is the duty that decides: it lacks more than {difference(why.short, system)} of margin.{odds}"
        )
    where = "under" if why.margin >= 0.0 else "over"
    return (
        f"{why.duty} is the duty that decides: the coolant gets to {difference(why.margin, system)} {where} its limit.{odds} "
        f"That lacks {difference(why.short, system)} of margin."
    )


def _larger(growths: tuple[Growth, ...]) -> str:
    """How much larger the room would have to be."""
    possible = [f"{g.factor - 1.0:.0%} more {g.dimension}".replace("%", " %") for g in growths if g.factor is not None]
    never = [g.dimension for g in growths if g.factor is None]
    helps = f"A room with {' or '.join(possible)} would hold it." if possible else ""
    no_help = f"Twice the {' or '.join(never)} alone would not do." if never else ""
    return f"{helps} {no_help}".strip()
