"""What sizing found, in plain sentences: why a duty fails, what would mend it, what each change brings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engcalc.studies.choice.changes import SystemSide
from engcalc.studies.choice.sizing import ConductanceHolds, Option, Sizing
from engcalc.studies.duties.cycle import Cycle, LegResult, Soak
from engcalc.studies.spread.sensitivity import ChangeStep, Sensitivities, Sensitivity
from engcalc.units import UnitSystem, plain_number, raised, show, to_unit, unit_for
from engcalc.words.answer.input_words import fault_words
from engcalc.words.terms.numbers import capital, difference, heat, minutes, share, temperature

LEAST_HELP = 0.5  # K; by which a fan that runs on has to lower the peak to be worth a word
RUN_ON_IN_VAIN = (
    "A fan that runs on does not change that: no coolant reaches the radiator while the pump stands with the engine."
)
MOST_NAMED = 6  # inputs that are named
SMALL = 0.5  # K; a gain below this is called small
SAME_CIRCUIT = (
    "Another core is tried with pump, jacket, thermostat and hoses as they are: its own resistance moves "
    "the coolant's flow. Typed into the form, the stated flow would count with that core."
)

ONLY_BENCH = (
    "Studies try other parts and other weather in a duty. There is none here: a bench has its answer under Bench."
)

LIMITS: Mapping[SystemSide, str] = {
    SystemSide.AIR: "the radiator's air side (its fins, face and depth)",
    SystemSide.COOLANT: "the radiator's coolant side (what flows in its tubes and lies on their walls)",
    SystemSide.AIRFLOW: "the air that comes through the radiator",
    SystemSide.PUMP: "the flow of coolant",
    SystemSide.HEAT: "the heat that the engine and what hangs on its coolant give off",
    SystemSide.CAP: "the pressure in the system and with it the boiling point",
    SystemSide.VALVE: "the thermostat",
}
"""What limits, as the end of a sentence."""


def why(sizing: Sizing, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """Why the duty fails, or what it has left, in two to four sentences."""
    sentences = [_stands(sizing, system)]
    if float(sizing.point.radiator_heat[0]) > 0.0:
        sentences.append(_handed(sizing, system))
    sentences.append(needed_of(sizing, system))
    sentences.append(limiting_sentence(sizing, system))
    return tuple(sentences)


def _stands(sizing: Sizing, system: UnitSystem) -> str:
    limit = temperature(sizing.limit, system)
    if sizing.boils:
        boiling = temperature(float(sizing.point.boiling[0]), system)
        return f"{sizing.name} fails: the coolant boils at {boiling} before it settles."
    out = temperature(sizing.coolant_out, system)
    gets = "settles at" if sizing.case.duties[sizing.duty_index].duration is None else "gets to"
    if sizing.margin < 0.0:
        return (
            f"{sizing.name} fails: the coolant {gets} {out}, {difference(sizing.margin, system)} over its "
            f"limit of {limit}."
        )
    wanted = "" if sizing.holds else f", less than the {difference(sizing.wanted_margin, system)} wanted"
    return (
        f"{sizing.name} is the hardest duty: the coolant {gets} {out}, "
        f"{difference(sizing.margin, system)} under its limit of {limit}{wanted}."
    )


def _handed(sizing: Sizing, system: UnitSystem) -> str:
    """Heat handed over, and what the radiator gives off at the limit, in proportion to coolant over air in."""
    p = sizing.point
    given = float(p.radiator_heat[0])
    out = float(p.coolant_out[0])
    air = float(p.air_in[0])
    handed = given + max(float(p.energy_residual[0]), 0.0)
    if out - air < 1.0:
        return f"The radiator gets {heat(handed, system)}."
    at_limit = given * (sizing.limit - air) / (out - air)
    return (
        f"The radiator gets {heat(handed, system)}; at the limit it gives off {heat(at_limit, system)}. "
        f"{_air(sizing, air, system)}"
    )


def _air(sizing: Sizing, air_in: float, system: UnitSystem) -> str:
    """The air that reaches the radiator, and what drives it."""
    p = sizing.point
    speed = _digits(float(p.air_velocity[0]), "air speed", 2, system)
    arrives = f"The air reaches it at {temperature(air_in, system)} and {speed}"
    if float(p.ram_pressure[0]) + float(p.fan_pressure[0]) <= 0.0:
        return f"{arrives}."
    fan = float(p.fan_share[0])
    drives = (
        "driven by the vehicle's speed alone"
        if fan < 0.05
        else "driven by the fan alone"
        if fan > 0.95
        else f"{share(fan)} of what drives it being the fan's"
    )
    return f"{arrives}, {drives}."


def _digits(value: float, kind: str, digits: int, system: UnitSystem) -> str:
    """A quantity rounded to so many digits."""
    unit = unit_for(kind, system)
    return f"{plain_number(float(f'{to_unit(value, unit, kind):.{digits}g}'), digits)} {raised(unit)}"


def needed_of(sizing: Sizing, system: UnitSystem) -> str:
    """What the conductance would have to be; names the duty that asks for most where that is another one."""
    said = needed_sentence(sizing, system)
    if sizing.needed.duty_index == sizing.duty_index or sizing.needed.reach is not ConductanceHolds.FOUND:
        return said
    return f"{sizing.needed.name} asks for the largest radiator. {said}"


def needed_sentence(sizing: Sizing, system: UnitSystem = UnitSystem.SI) -> str:
    """What the radiator's conductance would have to be."""
    needed = sizing.needed
    if needed.reach is ConductanceHolds.ANY:
        return f"{BY_NUMBERS} even a far smaller radiator holds the limit."
    if needed.UA is None or needed.scale is None:
        return f"No radiator of any size holds {needed.name} with these flows of air and coolant."
    target = temperature(needed.target, system)
    if needed.scale < 1.0:  # a valve that opens further changes flow and conductance too: only the factor is the core's
        return f"{BY_NUMBERS} one with {share(needed.scale)} of this radiator's conductance would still hold {target}."
    now, then = (_digits(UA, "conductance", 3, system) for UA in (needed.UA_now, needed.UA))
    more = share(needed.UA / needed.UA_now - 1.0)  # of the two that stand beside it: their flows and films differ too
    return f"To hold {target} the radiator's conductance has to be {then}, {more} more than now ({now})."


def limiting_sentence(sizing: Sizing, system: UnitSystem = UnitSystem.SI) -> str:
    """What limits, with the best gain there and the next best elsewhere."""
    side = sizing.limiting.side
    if side is None:
        return TOO_FAR_OVER if _untold(sizing) else "None of the changes tried gains anything."
    gains = sizing.limiting.gains
    others = sorted((s for s in gains if s is not side), key=lambda s: gains[s], reverse=True)
    after = (
        f" Next comes {LIMITS[others[0]]}, with {difference(gains[others[0]], system)}."
        if gains[others[0]] >= SMALL
        else ""
    )
    return (
        f"What limits most is {LIMITS[side]}: the best single change there gains "
        f"{difference(gains[side], system)}.{after}"
    )


def _untold(sizing: Sizing) -> bool:
    """Whether the duty is so far over its limit that no change's gain can be told."""
    return any(option.at_least for option in sizing.options)


def option_sentence(option: Option, system: UnitSystem = UnitSystem.SI) -> str:
    """One change and what it brings."""
    name = capital(option.change.name)
    if not option.feasible:
        return f"{name}: cannot be built. {'; '.join(fault_words(f) for f in option.why_not)}."
    assert option.gain is not None  # a feasible option has its numbers
    least = "at least " if option.at_least else ""
    if option.gain >= SMALL:
        gained = f"gains {least}{difference(option.gain, system)}"
    else:
        gained = f"costs {difference(option.gain, system)}" if option.gain <= -SMALL else "changes next to nothing"
    caution = f" {option.change.caution}" if option.change.caution else ""
    return f"{name}: {gained} ({_ends(option, system)}).{caution}{_spoils(option)}"


def option_lines(options: Sequence[Option], system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """Every change tried, a sentence each; those that change next to nothing and harm nothing in one, by name.

    So are those of which nothing is known, because the duty is beyond what can be told with each of them as without.
    """
    small = [
        o for o in options if o.gain is not None and abs(o.gain) < SMALL and not o.change.from_table and not o.spoils
    ]
    untold = [o for o in small if o.at_least]
    idle = [o for o in small if not o.at_least]
    few = len(idle) < 2
    said = [option_sentence(o, system) for o in options if o not in untold and (few or o not in idle)]
    if untold:
        said.append(f"Too far over the limit to tell what is gained by: {'; '.join(_named(o) for o in untold)}.")
    if not few:
        said.append(f"Next to nothing is changed by: {'; '.join(_named(o) for o in idle)}.")
    cores = any(path.startswith("radiator.") for o in options for path in o.change.values)
    return (*said, SAME_CIRCUIT) if cores else tuple(said)


def _named(option: Option) -> str:
    return f"{option.change.name[:1].lower()}{option.change.name[1:]}"


def _ends(option: Option, system: UnitSystem) -> str:
    """Where the duty comes to with a change."""
    if option.boils or option.coolant_out is None:
        return "still boils"
    return f"{temperature(option.coolant_out, system)}, {_holds(option, system)}"


def _holds(option: Option, system: UnitSystem) -> str:
    if option.holds:
        return "holds"
    assert option.margin is not None  # as above
    where = "under" if option.margin >= 0.0 else "over"
    return f"{difference(option.margin, system)} {where} the limit"


def _spoils(option: Option) -> str:
    return f" It spoils: {', '.join(option.spoils)}." if option.spoils else ""


def mending(sizing: Sizing, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """What would mend the duty: the best changes of different sides with their gains, and what they do together."""
    if sizing.holds:
        return (BY_THE_NUMBERS.format(name=sizing.name),)
    if not sizing.best:
        return (NO_CHANGE_COOLS if _untold(sizing) else "None of the changes tried helps.",)
    both = sizing.together
    mends = both.holds if both is not None else sizing.best[0].holds
    number = _NUMBERS[len(sizing.best)]
    head = (
        f"{number} that mend{'s' if len(sizing.best) == 1 else ''} it:"
        if mends
        else f"The best that can be done here does not suffice. {number}, each on another side:"
    )
    lines = [head, *(option_sentence(o, system) for o in sizing.best)]
    lines += [said] if (said := together_sentence(sizing, system)) else []
    if len(sizing.best) > 1 and sizing.best[0].holds:
        lines.append("The first alone is enough.")
    return tuple(lines)


def together_sentence(sizing: Sizing, system: UnitSystem = UnitSystem.SI) -> str:
    """What the best changes of different sides gain together; empty where they were not tried together."""
    both = sizing.together
    if both is None or both.gain is None:
        return ""
    return f"Together they gain {difference(both.gain, system)} ({_ends(both, system)}).{_spoils(both)}"


BY_NUMBERS = "By the numbers entered, their uncertainty left out,"
BY_THE_NUMBERS = "By the numbers entered {name} holds with the margin wanted. How sure that is, with their uncertainty, the check tells."
NO_CHANGE_COOLS = "No single change that was tried brings the coolant below its boiling point."
TOO_FAR_OVER = "The duty is too far over its limit to tell what a single change gains."
EACH_INPUT_ALONE = "Each input alone, all else as it is; the largest first."
_NUMBERS = {1: "One change", 2: "Two changes", 3: "Three changes"}


def hangs_on(found: Sensitivities, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """The inputs on which the coolant's temperature hangs most, and where heat and flows meet their resistance."""
    told = [
        f"{s.label[:1].lower()}{s.label[1:]} ({_signed(s.change, system)} {step_words(s, system)})"
        for s in found.ranked[:MOST_NAMED]
        if abs(s.change) >= SMALL
    ]
    lines = (
        [f"The coolant temperature hangs most on: {', '.join(told)}."]
        if told
        else ["No single input moves the coolant temperature by much: the thermostat holds it."]
    )
    ways = (
        ("to heat, from coolant to air", found.thermal),
        ("to the air's flow", found.air_flow),
        ("to the coolant's flow", found.coolant_flow),
    )
    lines += [
        f"Resistance {to}: " + ", ".join(f"{s.label} {share(s.share)}" for s in shares) + "."
        for to, shares in ways
        if shares
    ]
    return tuple(lines)


def _signed(kelvin: float, system: UnitSystem) -> str:
    return f"{'+' if kelvin > 0.0 else '-'}{difference(kelvin, system)}"


def step_words(found: Sensitivity, system: UnitSystem = UnitSystem.SI) -> str:
    """For which change of its input a sensitivity counts."""
    if found.step is ChangeStep.FIVE_KELVIN:
        unit = unit_for("temperature difference", system)
        return f"per {plain_number(to_unit(5.0, unit, 'temperature difference'))} {unit}"
    if found.step is ChangeStep.OFF_ZERO:
        return f"from zero to {show(found.high, found.kind, system)}"
    return str(found.step.value).removesuffix(" of the value")


def cycle_sentences(found: Cycle, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """A lap, a work cycle or duties one after another: peak and mean, each leg, and the stop after it."""
    whole = "Over the whole cycle" if found.repeats else "Run one after another,"
    closed = "" if found.closed or not found.repeats else " It has not closed on itself yet."
    first = (
        f"{whole} the coolant peaks at {temperature(found.peak, system)}, with a mean of "
        f"{temperature(found.mean, system)}.{closed}"
    )
    if found.boils:
        first = f"The coolant boils on the way, at {temperature(found.peak, system)}."
    return (first, *(_leg(leg, system) for leg in found.legs), *_stopped(found, system))


def _stopped(found: Cycle, system: UnitSystem) -> tuple[str, ...]:
    """What a stop right after does to the coolant in the engine, and what a fan that runs on changes there."""
    after = found.soak
    cooled = found.soak_with_fan
    stop = f"Stopped right after, the coolant in the engine climbs to at most {temperature(after.peak, system)}"
    helps = cooled is not None and after.peak - cooled.peak > LEAST_HELP
    advice = "let it idle first, or let fan and pump run on" if helps else "let it idle first"
    end = (
        f" and boils: {advice}."
        if after.boils
        else f"{_after(after)}, under its boiling point of {temperature(after.boiling, system)}."
    )
    if cooled is None:
        return (stop + end,)
    if not helps:
        return (stop + end, RUN_ON_IN_VAIN)
    peak = temperature(cooled.peak, system)
    return (stop + end, f"With fan and pump running on it gets to at most {peak}{_after(cooled)}.")


def _after(soak: Soak) -> str:
    """How long after the stop the peak comes; nothing where it begins there."""
    return f" {minutes(soak.peak_after)} after the stop" if soak.peak_after > 0.0 else ""


def _leg(leg: LegResult, system: UnitSystem) -> str:
    where = "over" if leg.margin < 0.0 else "under"
    start, end, peak = (temperature(T, system) for T in (leg.start, leg.end, leg.peak))
    return (
        f"{leg.name}, {minutes(leg.leg.duration)}: {start} to {end}, at most {peak}, "
        f"{difference(leg.margin, system)} {where} the limit."
    )
