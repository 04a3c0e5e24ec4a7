"""Cautions, for the place where a person acts and for the end of every report.

They are the trade's common practice; the maker's instructions and local rules come first, as the last one says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum


class Situation(Enum):
    """When a caution applies."""

    RUNNING = "with the engine running"
    RUNNING_HOT = "while it runs hot"
    FROZEN = "when the coolant may have frozen"
    OPENING = "before the system is opened"
    FILLING = "when coolant is handled or filled in"
    LIFTED = "with the vehicle lifted or on a slope"
    ELECTRIC = "on a vehicle with a high-voltage system"
    PREHEATING = "when heaters run before the start or beside the engine"
    GAS_TEST = "after a test for combustion gas"
    TESTING = "when system or thermostat are tested"
    FITTING = "when parts are fitted"
    ALWAYS = "always"


@dataclass(frozen=True)
class Caution:
    """One caution: a key that others may name, its text, and when it applies."""

    key: str
    text: str
    when: Situation


ALL: tuple[Caution, ...] = (
    Caution(
        "stop_hot",
        "Stop the engine when the coolant passes its limit, or 115 °C (240 °F) where no limit is known. Turn the "
        "heater on full while you pull over.",
        Situation.RUNNING_HOT,
    ),
    Caution(
        "hot_cap",
        "Never open the cap or the system while it is hot: scalding coolant and steam shoot out. Wait until the "
        "upper hose is cool to the hand.",
        Situation.OPENING,
    ),
    Caution(
        "cold_water",
        "Never pour cold water into a hot engine: castings crack. Let it cool first.",
        Situation.RUNNING_HOT,
    ),
    Caution(
        "frozen",
        "Do not start an engine with slush or ice in its coolant: nothing flows and it overheats within minutes. "
        "Thaw it in a warm place, never with a flame; look for cracks and burst hoses before it runs again.",
        Situation.FROZEN,
    ),
    Caution(
        "moving_parts",
        "Keep hands, hair, sleeves and tools away from belts and fans with the engine running.",
        Situation.RUNNING,
    ),
    Caution(
        "fan_by_itself",
        "Electric fans start by themselves, even with the engine off and the key out. Unplug the fan before you "
        "reach near it.",
        Situation.OPENING,
    ),
    Caution(
        "exhaust",
        "Run engines outdoors or with exhaust extraction only: exhaust gas kills without a smell.",
        Situation.RUNNING,
    ),
    Caution(
        "poison",
        "Coolant is poison to people and animals and tastes sweet to them. Catch every drop, wipe up spills, "
        "keep it in marked closed containers.",
        Situation.FILLING,
    ),
    Caution(
        "disposal",
        "Old coolant is hazardous waste: hand it in, never pour it into a drain or on the ground.",
        Situation.FILLING,
    ),
    Caution(
        "colour",
        "The colour does not tell the chemistry. The vehicle maker says which coolant may be filled in or mixed.",
        Situation.FILLING,
    ),
    Caution(
        "topping_up",
        (
            "Top up with the engine running only while it is cold or warm and its tank is open. If it "
            "runs with the cap on, let it cool down first."
        ),
        Situation.FILLING,
    ),
    Caution(
        "bleeding",
        "Fill and bleed by the maker's procedure; trapped air makes hot spots and false readings. Check the "
        "level again after the first cool-down.",
        Situation.FILLING,
    ),
    Caution(
        "pressure",
        "Fit a tester to a cold system only. Never pump above the pressure stamped on the cap. Let the pressure off "
        "before the tester comes off.",
        Situation.TESTING,
    ),
    Caution(
        "boiling_pot",
        (
            "Boiling water and its steam scald: hang the thermostat on a wire, keep your face away, and "
            "let it cool before you touch it. Coolant clings to it: never use the pot for food."
        ),
        Situation.TESTING,
    ),
    Caution("torque", "Fit parts to the maker's torque and with new seals where the maker says so.", Situation.FITTING),
    Caution(
        "chocks",
        "Support a lifted vehicle on stands, never on the jack alone; chock the wheels and set the brake.",
        Situation.LIFTED,
    ),
    Caution(
        "high_voltage",
        "Electric heaters and battery cooling loops may carry high voltage. Stop here: trained staff only.",
        Situation.ELECTRIC,
    ),
    Caution(
        "coolant_heater",
        (
            "Never run a heater that burns fuel in a garage or a closed room, not even before the start: "
            "its exhaust kills. An electric one may carry high voltage: trained staff only. Unplug a "
            "block heater before driving; use an undamaged cable made for outdoors."
        ),
        Situation.PREHEATING,
    ),
    Caution(
        "gas_positive",
        "After a positive test for combustion gas do not seal or pressurise the system and do not drive on: the "
        "pressure has no way out.",
        Situation.GAS_TEST,
    ),
    Caution(
        "local_rules",
        "This is a computation from the numbers that were entered. Maker's data, local rules and a licensed "
        "practitioner come first.",
        Situation.ALWAYS,
    ),
)

CAUTIONS: Mapping[Situation, tuple[Caution, ...]] = {
    situation: tuple(c for c in ALL if c.when is situation) for situation in Situation
}

CAUTION_TEXTS: Mapping[str, str] = {caution.key: caution.text for caution in ALL}
