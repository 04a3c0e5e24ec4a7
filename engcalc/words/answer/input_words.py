"""Sentences on inputs that are to be doubted: what was entered, what else speaks against it, and what is computed with.

Each takes the numbers of a finding (SI) and the system to show them in.
"""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.case.catalogue import entry
from engcalc.case.declare import Basis
from engcalc.errors import InputFault
from engcalc.units import UnitSystem, plain_number, show
from engcalc.words.terms.foreign import quoted
from engcalc.words.terms.numbers import heat, share, temperature
from engcalc.words.texts import shared_texts

Numbers = Mapping[str, float]


def fault_words(fault: InputFault) -> str:
    """What is wrong with an input, under its label: its key in the file is for nobody who reads a sentence."""
    try:
        where = f"{entry(fault.path).input.label}: "
    except KeyError:
        whole = shared_texts.MEASURED_POINTS if fault.path == "rig" else fault.path
        where = f"{whole}: " if whole else ""
    given = f"{quoted(fault.given)} was given; " if fault.given else ""
    return f"{where}{given}{fault.wanted}"


def pitch_differs(numbers: Numbers, system: UnitSystem) -> str:
    """That the tube pitch is not tube height plus fin height, and which of them counts for what."""
    pitch, total, passage = (show(numbers[key], "small length", system) for key in ("pitch", "sum", "passage"))
    return (
        f"The tube pitch is {pitch}, tube height and fin height together are {total}. All three count as "
        "entered. The pitch gives the number of tubes, the fin height the size of the fins. Air passes through "
        f"{passage} of each pitch: the smaller of fin height and gap between tubes. Check them if that is not "
        "meant."
    )


def rated_point_doubted(numbers: Numbers, system: UnitSystem) -> str:
    """That a maker's point is far from what the dimensions give, and what to look at."""
    stated, predicted = (heat(numbers[key], system) for key in ("stated", "predicted"))
    factor = plain_number(numbers["ua_scale"], 2)
    return (
        f"The maker's point is to be doubted: it states {stated}, where these dimensions give about {predicted}; "
        f"the conductance is multiplied by {factor} to meet it. Is it the point of this core, with its coolant "
        "flow, air velocity and difference of inlets? Are the dimensions this core's?"
    )


def power_limited(name: str, numbers: Numbers, words: Mapping[str, str], system: UnitSystem) -> str:
    """What a duty asks of the engine, what the engine gives in its air, and that it is computed with the latter."""
    asked, gives, rated = (show(numbers[key], "power", system) for key in ("asked", "brake_power", "rated"))
    by_class = ", typical of its class" if words["rating"] == Basis.TYPICAL.value else ""
    asks = "is asked of the engine" if words["asks"] == "entered" else "is what the road asks"
    told = (
        f"{name}: {asked} {asks}, and {gives} is the most that it gives in this air (rated {rated}{by_class}). "
        f"It is computed with {gives}."
    )
    if words["impossible"] == "no":
        return told
    return f"{told} Correct the power asked, or enter the engine's own rated power if it makes more."


def power_at_wheels(name: str, numbers: Numbers, system: UnitSystem) -> str:
    """That a duty's power was entered at the wheels, and what it is at the crankshaft."""
    wheel, crank = (show(numbers[key], "power", system) for key in ("wheel", "crank"))
    return (
        f"{name}: {wheel} at the wheels is {crank} at the crankshaft, by a driveline efficiency of "
        f"{share(numbers['efficiency'])}."
    )


def power_at_crank(name: str, numbers: Numbers, system: UnitSystem) -> str:
    """That a duty's power counts at the crankshaft, though the rating was measured at the wheels."""
    crank = show(numbers["crank"], "power", system)
    return (
        f"{name}: its power of {crank} counts at the crankshaft, while the rated power was measured at the wheels. "
        "If this one was as well, enter it as the power at the wheels."
    )


def vent_below_air(numbers: Numbers, system: UnitSystem) -> str:
    """That the vents' air was read colder than outside with the heater on, and what to look at."""
    vent, outside = (temperature(numbers[key], system) for key in ("vent", "outside"))
    return (
        f"The air from the vents read {vent}, colder than the {outside} outside, with the heater on. A heater cannot do "
        "that. Check the probe, the outside temperature, and whether the air conditioning ran."
    )


def file_changed(name: str) -> str:
    """That a log or a table is not the one with which the case was saved."""
    return (
        f"The file {quoted(name)} holds something else than when this case was saved: its SHA-256 is another. The "
        "numbers here are of the file as it is now."
    )
