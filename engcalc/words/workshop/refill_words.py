"""What a refill asks for and what a mixture stands, in plain sentences. Every array has one member."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engcalc.case.case import Case
from engcalc.properties.coolant import Base
from engcalc.studies.refill import Joint, Protection, Refill, RefractometerReading
from engcalc.studies.refill_check import T_COLD, OfferedReading, RefillCheck
from engcalc.units import UnitSystem, plain_number, to_unit, unit_for
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.terms.numbers import capital, difference, share, temperature
from engcalc.words.workshop.bleeding import (
    COLOUR,
    COMPATIBILITY,
    CONCENTRATE,
    BleedStep,
    FillingMethod,
    HeaterValve,
    SystemAtHand,
    Tank,
    bleed_steps,
)

LITTLE = 5e-5  # m3; less than this is nothing when coolant is poured
NAMES = {Base.WATER: "plain water", Base.ETHYLENE: "ethylene glycol", Base.PROPYLENE: "propylene glycol"}


def volume(cubic_metres: float, system: UnitSystem) -> str:
    """A volume as it is poured: two digits, "nothing" below LITTLE.

    >>> volume(2.857e-3, UnitSystem.SI)
    '2.9 L'
    """
    if abs(cubic_metres) < LITTLE:
        return "nothing"
    unit = unit_for("volume", system)
    shown = to_unit(cubic_metres, unit, "volume")
    return f"{plain_number(float(f'{shown:.2g}'), 2)} {unit}"


def protection_sentence(found: Protection, fraction: float, base: Base, system: UnitSystem) -> str:
    """What a mixture stands, cold and hot."""
    name = NAMES[base] if base is Base.WATER else f"{share(fraction)} {NAMES[base]}"
    said = (
        f"With {name} first ice forms at {temperature(float(found.freezing[0]), system)}. It boils at "
        f"{temperature(float(found.boiling[0]), system)} under the cap and at "
        f"{temperature(float(found.boiling_open[0]), system)} without pressure, give or take "
        f"{difference(found.boiling_uncertainty, system)}."
    )
    return f"{said} {CONCENTRATE}" if found.outside[0] else said


def reading_sentence(found: RefractometerReading, scale: Base, coolant: Base, system: UnitSystem) -> str:
    """What a refractometer's freezing point says of this coolant."""
    if found.outside[0]:
        return (
            f"This reading lies off the scale of {NAMES[scale]} that can be computed (0 to 60 %): check the "
            f"instrument with water first."
        )
    own = f"{share(float(found.fraction[0]))}, give or take {share(found.uncertainty)}"
    if scale is coolant:
        return f"The reading stands for {own}."
    ice = temperature(float(found.freezing[0]), system)
    return (
        f"Read on the scale of {NAMES[scale]}, but the coolant is {NAMES[coolant]}: that then stands for about "
        f"{own}, and first ice forms at {ice}, not at what the instrument shows."
    )


def offered_sentence(found: OfferedReading, system: UnitSystem) -> str:
    """That a refractometer's reading stands elsewhere in the case and does not count here yet."""
    ice = temperature(float(found.freezing[0]), system)
    return (
        f"The readings hold one by refractometer: first ice at {ice} on the scale of {NAMES[found.scale]}. It "
        "counts here once you enter it as the freezing point read."
    )


def drain_sentence(joint: Joint, amount: float, uncertainty: float, system: UnitSystem) -> str:
    """How much comes out where a joint is opened; vehicles differ, so a range."""
    low = amount - uncertainty
    high = volume(amount + uncertainty, system)
    out = f"up to {high}" if low < LITTLE else f"{volume(low, system)} to {high}"
    return f"Opened cold, the {joint.value} lets {out} run out, by the vehicle: put a catch pan under it."


def product_name(fraction: float) -> str:
    """What is filled in, by its concentration."""
    if fraction >= 0.995:  # as the trade calls what is sold undiluted
        return "concentrate"
    return "water" if fraction <= 0.0 else f"premix of {share(fraction)}"


def refill_sentence(found: Refill, target: float, product: float, system: UnitSystem) -> str:
    """What to let out and what to fill in."""
    drain, fill, water = (float(x[0]) for x in (found.drain, found.product, found.water))
    first = "Nothing has to come out" if drain < LITTLE else f"Let {volume(drain, system)} out"
    parts = [
        f"{volume(v, system)} of {name}" for v, name in ((fill, product_name(product)), (water, "water")) if v >= LITTLE
    ]
    then = f"then fill in {' and '.join(parts)}" if parts else "then nothing has to be filled in"
    reached = f"the full system is then at {share(float(found.reached[0]))}."
    said = f"{first}, {then}: {reached}" if parts or drain >= LITTLE else f"Nothing has to come out or go in: {reached}"
    if not found.possible[0]:
        said = f"{share(target)} cannot be reached this way. {said} Drain more, or fill in something stronger."
    return f"{said} {CONCENTRATE}" if found.outside[0] else said


def expansion_sentence(amount: float, T_cold: float, T_hot: float, system: UnitSystem) -> str:
    """By how much the filling grows from cold to hot."""
    cold = temperature(T_cold, system)
    hot = temperature(T_hot, system)
    return f"From {cold} to {hot} the coolant grows by {volume(amount, system)}: the tank must have that much room."


def released_sentence(released: float, system: UnitSystem) -> str:
    """What air left with the fall of the level [m3]."""
    if released < LITTLE:
        return "The level fell no more than cooling explains: no air came out."
    return f"The level fell by more than cooling explains: {volume(released, system)} of air came out."


def missing_sentence(missing: float, system: UnitSystem) -> str:
    """What the refill has not taken yet; below zero it took more than had come out."""
    if abs(missing) < LITTLE:
        return "As much went in as had come out."
    if missing < 0.0:
        return f"{capital(volume(-missing, system))} more went in than had come out: the system was not full before."
    said = capital(volume(missing, system))
    return f"{said} of what came out has not gone in again: so much air may still be inside."


def pressed_sentence(air: float, system: UnitSystem) -> str:
    """What a fall of the level under the tester's pressure says."""
    if air < LITTLE:
        return "The level does not fall under pressure: no air to speak of is inside."
    return f"By the fall under pressure at most {volume(air, system)} of air is inside (hoses swell too)."


IN_THE_SYSTEM = "In the system"
REFILL = "Refill"
AIR = "Trapped air"
STEPS = "Filling and bleeding"
MAKERS_FIRST = "The maker's filling and bleeding procedure, coolant and fill volume come first."
NO_SCALE = "A refractometer's reading says nothing here: water has no refractometer scale."


def refill_parts(found: RefillCheck, system: UnitSystem) -> Mapping[str, tuple[str, ...]]:
    """All that is said of a refill but its steps, under headings; a heading without sentences has nothing to say."""
    return {
        IN_THE_SYSTEM: tuple(_mixture(found, system)),
        REFILL: tuple(_refill(found, system)),
        AIR: tuple(_air(found, system)),
    }


def _mixture(found: RefillCheck, system: UnitSystem) -> Iterator[str]:
    if found.reading is not None:
        yield reading_sentence(found.reading, found.scale, found.base, system)
    elif found.case.refill.refractometer is not None:
        yield NO_SCALE
    if found.offered is not None:
        yield offered_sentence(found.offered, system)
    yield protection_sentence(found.protection, float(found.fraction[0]), found.base, system)
    yield COLOUR
    yield COMPATIBILITY


def _refill(found: RefillCheck, system: UnitSystem) -> Iterator[str]:
    yield drain_sentence(found.joint, float(found.opening[0][0]), float(found.opening[1][0]), system)
    if found.refill is not None:
        yield refill_sentence(found.refill, float(found.target[0]), float(found.case.refill.product[0]), system)
    yield expansion_sentence(float(found.growth[0]), T_COLD, float(found.hottest[0]), system)


def _air(found: RefillCheck, system: UnitSystem) -> Iterator[str]:
    if found.released is not None:
        yield released_sentence(float(found.released[0]), system)
    if found.missing is not None:
        yield missing_sentence(float(found.missing[0]), system)
    if found.pressed is not None:
        yield pressed_sentence(float(found.pressed[0]), system)


def setup_of(case: Case) -> SystemAtHand:
    """How the system of a case is built and filled."""
    entered = case.refill
    return SystemAtHand(
        tank=Tank(case.coolant.tank),
        bleed_screws=_SCREWS[entered.bleed_screws],
        fill=FillingMethod(entered.fill),
        heater_valve=HeaterValve(entered.heater_valve),
        electric_pump=case.circuit.pump_drive == "electric",
        rear_heater=entered.rear_heater == "yes",
    )


_SCREWS: Mapping[str, bool | None] = {"unknown": None, "yes": True, "no": False}


def refill_steps(found: RefillCheck) -> tuple[BleedStep, ...]:
    """The steps of filling and bleeding for this system."""
    return bleed_steps(setup_of(found.case))


def refill_lines(found: RefillCheck, system: UnitSystem) -> list[str]:
    """All of it as plain text: command line and clipboard."""
    lines = [MAKERS_FIRST, ""]
    for head, sentences in refill_parts(found, system).items():
        lines += [head, *(f"- {s}" for s in sentences), ""] if sentences else []
    lines.append(STEPS)
    for number, step in enumerate(refill_steps(found), 1):
        lines += [f"{number}. {step.text}", *(f"   Caution: {CAUTION_TEXTS[key]}" for key in step.cautions)]
    return lines
