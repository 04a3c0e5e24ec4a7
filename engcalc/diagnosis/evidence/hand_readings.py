"""What readings by hand say before anything is simulated: of the heater's hoses, and of the air from the vents."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from engcalc.case.instruments import instrument_of
from engcalc.case.reading_words import WORDS
from engcalc.case.records import Record, Spot, heater_at
from engcalc.verdict import Finding, FindingCode, FindingLevel

HOT_HOSE = 338.15  # K; 65 degC: coolant in a hot heater hose; common practice, no source
LUKEWARM_HOSE = 323.15  # K; 50 degC: in a lukewarm one; common practice, no source
BELOW_AIR = 3.0  # K; by which air from the vents may read colder than outside before it is doubted; common practice


def heater_hoses_felt(record: Record | None) -> bool | None:
    """Whether both heater hoses were read hot: True, or False where the inlet is hot and the outlet is not even warm.

    None where they were not both read, or leave it open. The latest reading of each counts.
    """
    spots = () if record is None else record.spots
    inlet, outlet = (_latest(spots, what) for what in ("heater_inlet_hose", "heater_outlet_hose"))
    if inlet is None or outlet is None or inlet < HOT_HOSE:
        return None
    return True if outlet >= HOT_HOSE else False if outlet < LUKEWARM_HOSE else None


def _latest(spots: Sequence[Spot], what: str) -> float | None:
    """The latest reading of a place [K], less what its instrument misses."""
    read = [(spot, instrument_of(spot)) for spot in spots if spot.what == what]
    timed = [
        (-np.inf if spot.at is None else float(spot.at[0]), float(spot.value[0]) - instrument.bias)
        for spot, instrument in read
        if instrument is not None
    ]
    return max(timed)[1] if timed else None


def colder_than_outside(record: Record) -> Spot | None:
    """A reading of the air from the vents that is colder than the air outside, with the heater on; None for none.

    Without cooling no air leaves a heater colder than it came in.
    """
    if record.ambient is None:
        return None
    outside = float(record.ambient[0])
    vents = (spot for spot in record.spots if spot.what == "vent" and heater_at(record, spot.at) in ("low", "high"))
    cold = (spot for spot in vents if _below(spot, outside))
    return next(cold, None)


def _below(spot: Spot, outside: float) -> bool:
    instrument = instrument_of(spot)
    if instrument is None:
        return False
    highest = WORDS[spot.instrument][spot.word].high if spot.word is not None else float(spot.value[0])
    return highest - instrument.bias + BELOW_AIR < outside


def doubted_readings(name: str, record: Record) -> tuple[Finding, ...]:
    """The finding that a record holds such air; empty where it does not."""
    spot = colder_than_outside(record)
    if spot is None or record.ambient is None:
        return ()
    numbers = {"vent": float(spot.value[0]), "outside": float(record.ambient[0])}
    return (Finding(FindingCode.VENT_BELOW_AIR, FindingLevel.CAUTION, numbers, {"record": name}),)
