"""What a refill asks for and what a mixture stands, in plain sentences. Every array has one member."""

from __future__ import annotations

from engcalc.properties.coolant import Base
from engcalc.studies.refill import Joint, Protection, Reading, Refill, TrappedAir
from engcalc.units import System, plain_number, to_unit, unit_for
from engcalc.words.bleeding import CONCENTRATE
from engcalc.words.numbers import capital, difference, share, temperature

LITTLE = 5e-5  # m3; less than this is nothing when coolant is poured
NAMES = {Base.WATER: "plain water", Base.ETHYLENE: "ethylene glycol", Base.PROPYLENE: "propylene glycol"}


def volume(cubic_metres: float, system: System) -> str:
    """A volume as it is poured: two digits, "nothing" below LITTLE.

    >>> volume(2.857e-3, System.SI)
    '2.9 L'
    """
    if abs(cubic_metres) < LITTLE:
        return "nothing"
    unit = unit_for("volume", system)
    shown = to_unit(cubic_metres, unit, "volume")
    return f"{plain_number(float(f'{shown:.2g}'), 2)} {unit}"


def protection_sentence(found: Protection, fraction: float, base: Base, system: System) -> str:
    """What a mixture stands, cold and hot."""
    name = NAMES[base] if base is Base.WATER else f"{share(fraction)} {NAMES[base]}"
    said = f"With {name} first ice forms at {temperature(float(found.freezing[0]), system)}. It boils at " \
           f"{temperature(float(found.boiling[0]), system)} under the cap and at " \
           f"{temperature(float(found.boiling_open[0]), system)} without pressure, give or take " \
           f"{difference(found.boiling_uncertainty, system)}."
    return f"{said} {CONCENTRATE}" if found.outside[0] else said


def reading_sentence(found: Reading, scale: Base, coolant: Base, system: System) -> str:
    """What a refractometer's freezing point says of this coolant."""
    if found.outside[0]:
        return f"This reading lies off the scale of {NAMES[scale]} that can be computed (0 to 60 %): check the " \
               f"instrument with water first."
    own = f"{share(float(found.fraction[0]))}, give or take {share(found.uncertainty)}"
    if scale is coolant:
        return f"The reading stands for {own}."
    ice = temperature(float(found.freezing[0]), system)
    return f"Read on the scale of {NAMES[scale]}, but the coolant is {NAMES[coolant]}: that then stands for about " \
           f"{own}, and first ice forms at {ice}, not at what the instrument shows."


def drain_sentence(joint: Joint, amount: float, uncertainty: float, system: System) -> str:
    """How much to let out before a joint is opened; vehicles differ, so a range."""
    low, high = amount - uncertainty, volume(amount + uncertainty, system)
    out = f"up to {high}" if low < LITTLE else f"{volume(low, system)} to {high}"
    return f"Before opening the {joint.value}, let {out} out, or it runs over; how much depends on the vehicle."


def product_name(fraction: float) -> str:
    """What is filled in, by its concentration."""
    if fraction >= 0.995:  # as the trade calls what is sold undiluted
        return "concentrate"
    return "water" if fraction <= 0.0 else f"premix of {share(fraction)}"


def refill_sentence(found: Refill, target: float, product: float, system: System) -> str:
    """What to let out and what to fill in."""
    drain, fill, water = (float(x[0]) for x in (found.drain, found.product, found.water))
    first = "Nothing has to come out" if drain < LITTLE else f"Let {volume(drain, system)} out"
    parts = [f"{volume(v, system)} of {name}" for v, name in ((fill, product_name(product)), (water, "water"))
             if v >= LITTLE]
    then = f"then fill in {' and '.join(parts)}" if parts else "nothing has to be filled in"
    said = f"{first}, {then}: the full system then stands at {share(float(found.reached[0]))}."
    if not found.possible[0]:
        said = f"{share(target)} cannot be reached this way. {said} Drain more, or fill in something stronger."
    return f"{said} {CONCENTRATE}" if found.outside[0] else said


def expansion_sentence(amount: float, T_cold: float, T_hot: float, system: System) -> str:
    """By how much the filling grows from cold to hot."""
    cold, hot = temperature(T_cold, system), temperature(T_hot, system)
    return f"From {cold} to {hot} the coolant grows by {volume(amount, system)}: so much room the tank must have."


def released_sentence(found: TrappedAir, system: System) -> str:
    """What air left with the fall of the level."""
    released = float(found.released[0])
    if released < LITTLE:
        return "The level fell no more than cooling explains: no air came out."
    return f"The level fell by more than cooling explains: {volume(released, system)} of air came out."


def missing_sentence(missing: float, system: System) -> str:
    """What the refill has not taken yet; below zero it took more than had come out."""
    if abs(missing) < LITTLE:
        return "As much went in as had come out."
    if missing < 0.0:
        return f"{_begin(volume(-missing, system))} more went in than had come out: the system was not full before."
    return f"{_begin(volume(missing, system))} of what came out has not gone in again: so much air may still be inside."


def _begin(words: str) -> str:
    return capital(words)


def pressed_sentence(air: float, system: System) -> str:
    """What a fall of the level under the tester's pressure says."""
    if air < LITTLE:
        return "The level does not fall under pressure: no air to speak of is inside."
    return f"By the fall under pressure at most {volume(air, system)} of air is inside (hoses swell too)."
