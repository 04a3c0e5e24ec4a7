"""What every cooler beside the radiator does, in the rows and sentences that all faces share."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from engcalc.studies.checked import DutyCheck
from engcalc.studies.coolers import CoolerInDuty, CoolerStream
from engcalc.units import UnitSystem, show
from engcalc.words.terms.numbers import capital, heat, temperature

KINDS: Mapping[str, str] = {
    "condenser": "condenser",
    "charge air": "charge-air cooler",
    "oil": "oil cooler in the air",
    "constant": "cooler ahead",
    "engine": "oil cooler beside the engine",
    "hot tank": "oil cooler in the hot tank",
    "cold tank": "oil cooler in the cold tank",
}
NO_HEAT = 50.0  # W; less is told as none
COOLERS = "Coolers beside the radiator"


@dataclass(frozen=True)
class CoolerRow:
    """One quantity of one cooler over the duties: label, kind of quantity, help, SI values, None where there is none."""

    label: str
    kind: str
    help: str
    values: tuple[float | None, ...]


@dataclass(frozen=True)
class _Quantity:
    name: str
    kind: str
    help: str
    of: Callable[[CoolerInDuty], float | None]


_OF_AIR = (
    _Quantity("heat into the air", "heat rate", "Heat that it gives to the air.", lambda c: c.heat),
    _Quantity("air in", "temperature", "Air that comes to it.", lambda c: c.enters),
    _Quantity("air out", "temperature", "Air behind it.", lambda c: c.leaves),
    _Quantity("air drop", "pressure difference", "Pressure that it takes from the air.", lambda c: c.drop),
)
_OF_COOLANT = (
    _Quantity("heat into the coolant", "heat rate", "Heat that it gives to the coolant.", lambda c: c.heat),
    _Quantity("coolant in", "temperature", "Coolant that comes to it.", lambda c: c.enters),
    _Quantity("coolant out", "temperature", "Coolant behind it.", lambda c: c.leaves),
    _Quantity("oil in", "temperature", "Oil that comes to it: as hot as its heat needs.", lambda c: c.oil_in),
    _Quantity("oil out", "temperature", "Oil behind it.", lambda c: c.oil_out),
    _Quantity("coolant drop", "pump pressure", "Pressure that it takes from the coolant.", lambda c: c.drop),
)
_QUANTITIES = {CoolerStream.AIR: _OF_AIR, CoolerStream.COOLANT: _OF_COOLANT}


def cooler_name(cooler: CoolerInDuty) -> str:
    """What a cooler is called: by the name it was given, else by what it is."""
    return cooler.name or KINDS[cooler.kind]


def cooler_rows(duties: Sequence[DutyCheck]) -> Iterator[CoolerRow]:
    """Every quantity of every cooler over the duties."""
    solved = next((duty.coolers for duty in duties if duty.coolers), ())
    for k, first in enumerate(solved):
        in_duties = [duty.coolers[k] if duty.coolers else None for duty in duties]
        for quantity in _QUANTITIES[first.stream]:
            values = tuple(None if one is None else quantity.of(one) for one in in_duties)
            yield CoolerRow(f"{capital(cooler_name(first))}: {quantity.name}", quantity.kind, quantity.help, values)


def cooler_sentences(duty: DutyCheck, system: UnitSystem) -> list[str]:
    """What each cooler does in a duty, one sentence each."""
    said = []
    for cooler in duty.coolers:
        if cooler.kind == "charge air" and cooler.heat < NO_HEAT:
            said.append(
                f"{capital(cooler_name(cooler))}: no heat, since the engine gets its air without boost here; "
                f"it takes {show(cooler.drop, 'pressure difference', system)}."
            )
            continue
        way = f"{temperature(cooler.enters, system)} to {temperature(cooler.leaves, system)}"
        kind = "pressure difference" if cooler.stream is CoolerStream.AIR else "pump pressure"
        oil = "" if cooler.oil_in is None else f", its oil enters at {temperature(cooler.oil_in, system)}"
        said.append(
            f"{capital(cooler_name(cooler))}: {heat(cooler.heat, system)} into the {cooler.stream.value}, which it warms "
            f"from {way}{oil}; it takes {show(cooler.drop, kind, system)}."
        )
    return said
