"""What the coolant sensor's own signal tells: jumps that no coolant can make, dropouts, scatter, two sensors that part.

Jumps, dropouts and scatter are one look at one signal, however many of them there are: they count once, by the surest.
Where they were seen, what the sensor showed is trusted less under every cause alike, so that the same jumps do not
count again as a curve that no healthy vehicle has. All rates are common practice, no source; that of the surest is
bounded by fourteen real healthy trips without any.
"""

from __future__ import annotations

from enum import Enum

import numpy as np

from engcalc.causes.record import VisibleState
from engcalc.diagnosis.evidence.sights import SeenItem
from engcalc.diagnosis.members.simulated import Simulated
from engcalc.logs.channels import Channel
from engcalc.logs.notes import Note, NoteCode
from engcalc.units import Array
from engcalc.vehicle.run import Run
from engcalc.vehicle.unknowns import normal_share
from engcalc.words.texts import diagnosis_texts

WINDOW = 180.0  # s; of a mean of the curve, as long as usual cycles of a fan
SCATTER = 3.5  # K rms about a straight line within a window, from which a curve jumps
DENSE = 6  # samples that tell it
SHOWN = 0.8  # -; of sensors that jump, those that do so within a record
IN_AIR = 0.02  # -; of sensors in air or foam, those whose signal jumps like a bad connection
OFTEN = 2  # dropouts or lone excursions from which they are no slip of the tool that wrote the log
PARTED = 0.7  # -; two sensors part where one reads 8 K wrong
PARTED_FALSELY = 0.02  # -; where both are in order


class SignalLook(Enum):
    """What was seen of the signal."""

    CERTAIN = diagnosis_texts.JUMPS_THAT_NO_COOLANT_CAN_MAKE
    LONE = diagnosis_texts.ONE_SHORT_EXCURSION
    DOUBTFUL = diagnosis_texts.SCATTER_OR_A_READING_THAT_STANDS_STILL
    STEADY = diagnosis_texts.NOTHING_THOUGH_THERE_WERE_SAMPLES_ENOUGH


FALSELY = {SignalLook.CERTAIN: 1e-4, SignalLook.LONE: 2e-3, SignalLook.DOUBTFUL: 0.02, SignalLook.STEADY: 0.02}
"""Share of healthy records in which as much is seen all the same; of a steady signal, in which anything is."""


def look_at_signal(run: Run) -> SignalLook | None:
    """The surest of what the signal shows; None where there are too few samples to tell."""
    notes = _of_the_signal(run)
    if any(_certain(note) for note in notes):
        return SignalLook.CERTAIN
    if any(note.code in (NoteCode.SENSOR_STEP, NoteCode.SENSOR_END) for note in notes):
        return SignalLook.LONE
    scatter = _scatter(run)
    if notes or (scatter is not None and scatter > SCATTER):
        return SignalLook.DOUBTFUL
    return None if scatter is None else SignalLook.STEADY


def signal_sights(run: Run) -> list[SeenItem]:
    """The signal as evidence: its jumps once, and whether two sensors part."""
    found = []
    look = look_at_signal(run)
    if look is not None:
        seen = look is not SignalLook.STEADY
        falsely = FALSELY[look]
        what = diagnosis_texts.JUMPS_OR_DROPOUTS_IN_THE_COOLANT
        found.append(SeenItem("signal", what, seen, lambda s: _jumps(s, falsely), of_signal=True))
    log = run.log
    if log is not None and log.has(Channel.COOLANT) and log.has(Channel.COOLANT_2):
        part = any(note.code is NoteCode.SENSORS_PART for note in log.faults)
        found.append(
            SeenItem(
                "sensors_part",
                diagnosis_texts.SECOND_COOLANT_SENSOR_THAT_READS_HOTTER,
                part,
                _parts_from_second_sensor,
                of_signal=True,
            )
        )
    return found


def _of_the_signal(run: Run) -> list[Note]:
    """The log's own faults of the coolant sensor alone: another sensor's say nothing of it."""
    faults = () if run.log is None else run.log.faults
    return [n for n in faults if n.channel == Channel.COOLANT.value and n.code is not NoteCode.SENSORS_PART]


def _certain(note: Note) -> bool:
    """Whether no slip of the tool that wrote the log explains it: a jump that lasts, or more than one short one."""
    if note.code is NoteCode.SENSOR_END:
        return note.count >= OFTEN
    there_and_back = 2
    return note.code is NoteCode.SENSOR_STEP and (
        note.numbers.get("lasting", 0.0) > 0.0 or note.count >= OFTEN * there_and_back
    )


def _jumps(s: Simulated, falsely: float) -> Array:
    erratic = normal_share((s.states[VisibleState.ERRATIC] - 0.5) / 0.1)
    in_air = IN_AIR * normal_share((s.states[VisibleState.LEVEL] - 0.12) / 0.03)
    return np.asarray(np.maximum(falsely + (SHOWN - falsely) * erratic, in_air))


def _parts_from_second_sensor(s: Simulated) -> Array:
    wrong = np.maximum(
        normal_share((s.states[VisibleState.SENSOR_ERROR] - 8.0) / 3.0),
        normal_share((s.states[VisibleState.ERRATIC] - 0.5) / 0.1),
    )
    return np.asarray(PARTED_FALSELY + (PARTED - PARTED_FALSELY) * wrong)


def _scatter(run: Run) -> float | None:
    """How far the curve's samples lie from straight lines within windows [K rms], in the middle one of them; None
    where too few lie in each."""
    t, x = run.curve
    parts = [t // WINDOW == i for i in np.unique(t // WINDOW)]
    scatters = [_about_its_line(t[p], x[p]) for p in parts if p.sum() >= DENSE]
    if scatters:
        return float(np.median(scatters))
    return None


def _about_its_line(t: Array, x: Array) -> float:
    """How far samples lie from the straight line through them, rms."""
    since = t - t[0]
    line = np.polyfit(since, x, 1)
    off = x - np.polyval(line, since)
    return float(np.sqrt((off**2).mean()))
