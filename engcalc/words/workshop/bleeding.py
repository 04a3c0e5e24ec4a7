"""Filling and bleeding in general terms, step by step, for the kind of system at hand.

Common practice, no source. The maker's procedure always comes first; a step names the cautions (keys of
:mod:`engcalc.words.page.cautions`) that belong where the person acts. Numbers come from :mod:`engcalc.studies.refill`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

COLOUR = "The colour of a coolant does not tell its chemistry: dyes follow no standard."
COMPATIBILITY = (
    "The vehicle maker says which coolants may be mixed; no computation can. If you do not know what "
    "is in there, drain, flush and fill with what the maker names."
)
CONCENTRATE = (
    "Neat concentrate freezes sooner than a mixture and carries less heat: above 60 % the numbers here do not hold."
)


class Tank(StrEnum):
    """Where the coolant expands; the words of the case file."""

    SURGE = "surge tank"
    OVERFLOW = "overflow bottle"
    NONE = "none"


class FillingMethod(StrEnum):
    """How the system is filled."""

    GRAVITY = "gravity"
    VACUUM = "vacuum"


class HeaterValve(StrEnum):
    """Whether coolant can be shut off from the heater core."""

    NONE = "always flows"
    MANUAL = "cable or vacuum valve"
    COMMANDED = "electric valve"


@dataclass(frozen=True)
class SystemAtHand:
    """The system at hand; None where it is not known (then the step covers both)."""

    tank: Tank = Tank.SURGE
    bleed_screws: bool | None = None
    fill: FillingMethod = FillingMethod.GRAVITY
    heater_valve: HeaterValve = HeaterValve.NONE
    electric_pump: bool = False
    rear_heater: bool = False


@dataclass(frozen=True)
class BleedStep:
    """One step: a key that others may name, what to do, and the keys of its cautions."""

    key: str
    text: str
    cautions: tuple[str, ...] = ()


def bleed_steps(setup: SystemAtHand) -> tuple[BleedStep, ...]:
    """The procedure for one kind of system, in order."""
    return (
        *_before(setup),
        *(_vacuum() if setup.fill is FillingMethod.VACUUM else _gravity(setup)),
        *_running(setup),
        *_after(setup),
    )


def _before(setup: SystemAtHand) -> tuple[BleedStep, ...]:
    return (
        BleedStep(
            "makers_data",
            "Look up the maker's filling and bleeding procedure, the coolant that it names and "
            "the fill volume. Where it differs from these steps, it comes "
            "first.",
            ("bleeding", "colour"),
        ),
        BleedStep(
            "cold",
            "Let the engine cool until the upper hose is cool to the hand. Stand the vehicle level, or "
            "with its filler highest where the maker says so; brake set, wheels chocked.",
            ("hot_cap", "chocks", "fan_by_itself", "high_voltage"),
        ),
        BleedStep(
            "volume",
            "Measure what came out: the refill should take as much again. What is missing is air still "
            "inside, or coolant that was missing before.",
            ("poison", "disposal"),
        ),
        _heater(setup),
    )


def _heater(setup: SystemAtHand) -> BleedStep:
    text = {
        HeaterValve.NONE: "Set the heater to full hot, blower low: coolant flows through its core all the time, and "
        "the vent tells later whether it is full.",
        HeaterValve.MANUAL: "Set the heater to full hot, so that its valve is open; see that cable or vacuum "
        "really moves it. With the valve shut the core keeps its air.",
        HeaterValve.COMMANDED: "Switch the ignition on and the heater to full hot, so that its electric valve opens; "
        "some open only through a scan tool's filling function.",
    }[setup.heater_valve]
    rear = " Set a rear heater to full hot as well." if setup.rear_heater else ""
    return BleedStep("heater_open", text + rear)


def _gravity(setup: SystemAtHand) -> tuple[BleedStep, ...]:
    where = {
        Tank.SURGE: "into the surge tank, slowly, up to its cold mark",
        Tank.OVERFLOW: "into the radiator's neck, slowly, to the brim; then the bottle to its cold mark",
        Tank.NONE: "into the filler neck, slowly, leaving the room below the neck that the coolant needs to expand",
    }[setup.tank]
    return (
        BleedStep("screws_open", _SCREWS[setup.bleed_screws]),
        BleedStep(
            "fill",
            f"Fill {where}. Pause whenever the level no longer falls, and squeeze the hoses: air comes up in "
            "gulps. Close each bleed point when coolant runs from it without bubbles, the lowest first.",
            ("poison",),
        ),
    )


_SCREWS = {
    True: "Open every bleed screw, the lowest and the highest: they sit at the thermostat housing, the heater hoses "
    "and the radiator's top.",
    False: "There are no bleed screws: loosen the hose at the highest point, mostly a heater hose, until coolant "
    "comes, or rely on the self-venting hose to the tank; see that it is free.",
    None: "Look for bleed screws at the thermostat housing, the heater hoses and the radiator's top, and open them. "
    "Without any, loosen the hose at the highest point until coolant comes.",
}


def _vacuum() -> tuple[BleedStep, ...]:
    return (
        BleedStep(
            "vacuum_pull",
            (
                "Fit the vacuum filler and draw the system down as far as the tool's maker says. The "
                "hoses flatten: that is normal."
            ),
        ),
        BleedStep(
            "vacuum_hold", "Shut it off and wait some minutes. A vacuum that fades is a leak: find it before you fill."
        ),
        BleedStep(
            "vacuum_fill",
            "Have more mixed coolant ready than the system holds, free of bubbles. Hold the suction hose deep in it and "
            "let it draw in until the gauge is back at zero. Then set the level.",
            ("poison",),
        ),
    )


def _running(setup: SystemAtHand) -> tuple[BleedStep, ...]:
    pump = (
        (
            BleedStep(
                "pump_function",
                "Run the electric pump's bleeding function (scan tool, or the maker's sequence "
                "of switches) to its end: an idling engine does not move its coolant.",
                ("high_voltage",),
            ),
        )
        if setup.electric_pump
        else ()
    )
    cap = {
        Tank.SURGE: "with the cap on, unless the maker wants it off",
        Tank.OVERFLOW: "with the radiator cap off only while it is still cold, on before it gets hot",
        Tank.NONE: "with the cap off only while it is still cold, on before it gets hot",
    }[setup.tank]
    return (
        *pump,
        BleedStep(
            "warm_up",
            f"Run the engine at a fast idle, {cap}. Top up only while the cap is off and the coolant no more than "
            "warm. Watch the temperature all the time and stop at its limit.",
            ("exhaust", "moving_parts", "stop_hot", "hot_cap", "topping_up"),
        ),
        BleedStep(
            "valve_opens",
            (
                "Wait until the thermostat opens: the hose behind it turns hot and the level drops once "
                "more. Hold 2,500 rpm for about half a minute and let it idle again. Do that twice."
            ),
            ("moving_parts",),
        ),
        BleedStep(
            "vent_hot",
            "Feel the vents on full hot: steadily hot at idle says that the heater core is full; hot "
            "only at higher speed, or gurgling, says that air is in it.",
        ),
    )


def _after(setup: SystemAtHand) -> tuple[BleedStep, ...]:
    level = {
        Tank.SURGE: "the surge tank is at its cold mark",
        Tank.OVERFLOW: "the radiator is full to the neck and the bottle at its cold mark (bottle high but "
        "radiator not full: suspect the cap or a leak)",
        Tank.NONE: "the level is as far below the neck as the maker says",
    }[setup.tank]
    return (
        BleedStep(
            "cool_down",
            f"Let it cool right down and see that {level}. Mark how far the level fell: that much "
            "air came out. Top up, and look again after the next drives until it stays.",
            ("hot_cap", "bleeding"),
        ),
        BleedStep(
            "strength",
            "Test the mixture with a refractometer, on the scale of the glycol that is inside, and "
            "write down the freezing point.",
            ("colour",),
        ),
        BleedStep(
            "leaks",
            (
                "Look for leaks with the system under pressure, and again cold. Bubbles that do not stop "
                "are no trapped air: test for combustion gas before you close the system."
            ),
            ("gas_positive",),
        ),
    )
