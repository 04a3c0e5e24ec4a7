"""A planned test drive in plain sentences: what is driven, how long, where, and what to mind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK
from engcalc.diagnosis.drive.drive_legs import LEGS
from engcalc.diagnosis.drive.planned_drive import PlannedDrive, PlannedLeg, minutes_of_looks
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.terms.numbers import chance, lowered

NO_TOUCH = (
    "The driver drives and looks at the road: nothing needs a touch while the vehicle moves. Read the plan before you "
    "start. A passenger reads on, or the record does the rest."
)


@dataclass(frozen=True)
class LegWords:
    """What is done in a leg, where, and the keys of the cautions that go with it."""

    does: str
    place: str
    cautions: tuple[str, ...]


_BESIDE_THE_ENGINE = ("exhaust", "moving_parts", "fan_by_itself", "hot_cap")
_BY_HAND = (
    "In the last two minutes read the outlet neck, both radiator hoses and both heater hoses with a clamp. Read the air "
    "of the centre vent with a probe"
)
_NOT_HOT = "If it does not get hot, note nothing of the fan"
_PARKED = "outdoors, parked and chocked"
LEG_WORDS: Mapping[str, LegWords] = {
    "idle": LegWords(
        "let it idle, {heater}", "outdoors or with exhaust extraction, parked and chocked", ("exhaust", "chocks")
    ),
    "steady_road": LegWords(
        "drive at a steady 80 km/h (50 mph), or as fast as the vehicle and the road allow, {heater}",
        "on a level road outside town",
        ("stop_hot",),
    ),
    "hill": LegWords(
        "climb at a steady 50 km/h (30 mph), {heater}", "on a long hill of about 6 %, without a trailer", ("stop_hot",)
    ),
    "fan_at_idle": LegWords(
        f"let it idle, {{heater}}. Listen whether the radiator fan starts. {_NOT_HOT}",
        _PARKED,
        ("exhaust", "moving_parts", "stop_hot"),
    ),
    "stop": LegWords(f"let it idle, {{heater}}. {_BY_HAND}", _PARKED, _BESIDE_THE_ENGINE),
    "stop_with_fan": LegWords(
        f"let it idle, {{heater}}. {_BY_HAND}. Listen for the radiator fan. {_NOT_HOT}", _PARKED, _BESIDE_THE_ENGINE
    ),
}
_HEATER = {
    "high": "heater on full",
    "low": "heater on low",
    "off": "heater off",
    "unknown": "the heater left as it is",
}
_LOOKS_FIRST = "Before you drive off, {minutes:.0f} minutes: {looks}. Enter what you saw."
_LOOKS_LAST = "Then, standing, {minutes:.0f} minutes: {looks}. Enter what you saw."
_LOOKS_ONLY = "No drive would settle as much as a look does now. Standing, {minutes:.0f} minutes: {looks}."
_LEFT_OUT = "Not planned: {legs}. More than 1 in 10 vehicles like this one would get too hot in it."
_TITLES = {"steady_road": "a steady road", "hill": "a hill"}
DANGER_FIRST = "No test drive is planned: the danger comes first. Do not drive it like this."
NOTHING_LEFT = "No drive would settle much more."
_NEXT_BY_HAND = "Next by hand, {minutes:.0f} minutes: {look}."
NO_CHECK_EITHER = "No check by hand would settle much more either."
_HEATER_SET = "Set the heater before the start and leave it so. Enter it: {typed}."
_HEATER_SET_ANEW = (
    "A passenger sets the heater as each leg says, or you do where you stand. Enter it as it is set: {typed}."
)


_LEG_NOW = "Now leg {number} of {count}, {minutes:.0f} minutes: {does}."
LEGS_OVER = "The legs of the test drive are over."
FOUND_FIRST = "No test drive is planned: mend first what was looked at and found. Then drive to prove it."


def drive_lines(plan: PlannedDrive | None, *, found: bool = False) -> tuple[str, ...]:
    """The plan, a line for each leg, then what it would settle and what is left out; None where danger comes first, or
    a fault that was ``found``."""
    if plan is None:
        return (FOUND_FIRST if found else DANGER_FIRST,)
    hot = [_LEFT_OUT.format(legs=" and ".join(_TITLES[leg] for leg in plan.too_hot))] if plan.too_hot else []
    after = f"After it, it would be settled in {chance(plan.settled)} vehicles like this one."
    if not plan.legs:
        return (
            (*_looks(_LOOKS_ONLY, plan.looks), "Enter what you saw.", after) if plan.looks else (*_nothing(plan), *hot)
        )
    begins = "from a cold start" if plan.from_cold else "on from now"
    lines = [f"Test drive that would settle the most, {plan.minutes:.0f} minutes {begins}:"]
    lines += _looks(_LOOKS_FIRST, plan.looks_first)
    lines += [line] if (line := heater_line(plan)) else []
    at = 0.0
    for number, leg in enumerate(plan.legs, start=1):
        lines.append(f"{number}. {leg_line(leg, at)}")
        at += leg.minutes
    lines += _looks(_LOOKS_LAST, plan.looks_last)
    return (*lines, after, *hot)


def heater_line(plan: PlannedDrive) -> str:
    """How the heater is set in its course, and that this is entered; empty where it stays as it is."""
    words = [leg.heater for leg in plan.legs if leg.heater != "unknown"]
    settings = [word for word, before in zip(words, ["", *words], strict=False) if word != before]
    if not plan.from_cold and settings == [plan.heater]:
        return ""
    typed = ", then ".join(f"heater {word}" for word in settings)
    if plan.from_cold and len(settings) == 1:
        return _HEATER_SET.format(typed=typed)
    return _HEATER_SET_ANEW.format(typed=typed) if settings else ""


def _nothing(plan: PlannedDrive) -> tuple[str, str]:
    """That no drive is left, and what is looked at instead."""
    if not plan.next_check:
        return NOTHING_LEFT, NO_CHECK_EITHER
    check = EVERY_CHECK[plan.next_check]
    return NOTHING_LEFT, _NEXT_BY_HAND.format(minutes=check.minutes, look=lowered(check.title))


def _looks(words: str, keys: Sequence[str]) -> list[str]:
    """One line for looks; none where there are none."""
    titles = "; ".join(lowered(CHECKS[key].title) for key in keys)
    return [words.format(minutes=minutes_of_looks(keys), looks=titles)] if keys else []


def leg_line(leg: PlannedLeg, at: float) -> str:
    """One leg with its minutes; ``at`` [min] it begins."""
    words = LEG_WORDS[leg.leg]
    does = words.does.format(heater=_HEATER[leg.heater])
    return f"Minute {at:.0f} to {at + leg.minutes:.0f}, {words.place}: {does}."


def leg_now_line(plan: PlannedDrive, number: int) -> str:
    """What is driven now: the leg of that ``number``, from 0, or that all are over."""
    if number >= len(plan.legs):
        return LEGS_OVER
    leg = plan.legs[number]
    does = LEG_WORDS[leg.leg].does.format(heater=_HEATER[leg.heater])
    return _LEG_NOW.format(number=number + 1, count=len(plan.legs), minutes=leg.minutes, does=does)


def drive_cautions(plan: PlannedDrive | None) -> tuple[str, ...]:
    """What to mind in it, each once."""
    if plan is None:
        return ()
    looks = (*plan.looks, plan.next_check) if plan.next_check else plan.looks
    of_looks = [key for look in looks for key in EVERY_CHECK[look].cautions]
    keys = dict.fromkeys((*of_looks, *(key for leg in plan.legs for key in LEG_WORDS[leg.leg].cautions)))
    drives = [NO_TOUCH] if any(not LEGS[leg.leg].stands for leg in plan.legs) else []
    return (*drives, *(CAUTION_TEXTS[key] for key in keys))
