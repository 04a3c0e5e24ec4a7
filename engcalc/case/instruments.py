"""How far each instrument reads from the coolant: what it shows is not what flows inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.case.records import Spot


@dataclass(frozen=True)
class Instrument:
    """How far an instrument reads from the coolant (to be taken off the reading), and its standard uncertainty, K."""

    bias: float
    uncertainty: float


# By instrument and, where it matters, surface. All common practice, no source.
INSTRUMENTS: Mapping[tuple[str, str], Instrument] = {
    ("immersed", ""): Instrument(0.0, 1.0),
    ("clamp", ""): Instrument(-3.0, 1.0),  # 2 to 4 K low
    ("infrared", "rubber"): Instrument(-6.5, 2.0),  # 3 to 10 K low
    ("infrared", "painted"): Instrument(-2.0, 1.5),
    ("infrared", "none"): Instrument(-6.5, 3.0),  # surface not noted: a hose is likely
    ("scan_tool", ""): Instrument(0.0, 2.0),
    ("dash_gauge", ""): Instrument(0.0, 8.0),
    ("vent_probe", ""): Instrument(0.0, 3.0),
    ("hand", ""): Instrument(-5.0, 4.0),  # the outside of a rubber hose, and people differ
    ("pressure_gauge", ""): Instrument(0.0, 3.0),
    ("ethylene_scale", ""): Instrument(0.0, 2.0),
    ("propylene_scale", ""): Instrument(0.0, 2.0),
}


def instrument_of(spot: Spot) -> Instrument | None:
    """Bias and uncertainty of a spot's instrument; None where its reading is refused."""
    if spot.instrument == "infrared" and spot.surface == "bare_metal":
        return None  # reads tens of kelvin low
    if spot.instrument == "hand" and spot.what == "vent":
        return Instrument(0.0, INSTRUMENTS[("hand", "")].uncertainty)  # in the air itself
    found = INSTRUMENTS.get((spot.instrument, spot.surface))
    return found or INSTRUMENTS[(spot.instrument, "")]
