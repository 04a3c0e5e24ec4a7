"""What was done to a log, and what is wrong with a sensor in it: structured, with words for a person."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from engcalc.words.texts import log_texts


class NoteCode(StrEnum):
    """One kind of thing that the reader did or found."""

    ENCODING = "encoding repaired"
    DELIMITER = "delimiter"
    PREAMBLE = log_texts.LINES_BEFORE_THE_HEADER_SKIPPED
    HEADER_REPEATED = "repeated headers skipped"
    ROWS_SKIPPED = "rows skipped"
    CELLS_UNREADABLE = "cells unreadable"
    UNIT_ASSUMED = "unit assumed"
    COLUMN_TAKEN = "column taken"
    DUPLICATE_STAMPS = "duplicate stamps merged"
    BACKWARD_STAMPS = "backward stamps skipped"
    CLOCK_SET_BACK = "clock set back"
    MIDNIGHT = "midnight passed"
    GAP = log_texts.SPLIT_AT_A_GAP
    HELD = "held values"
    STALE_FIRST = log_texts.STALE_FIRST_VALUE_DROPPED
    ENGINE_START = "engine start"
    ENGINE_STOPPED = "engine stopped meanwhile"
    RAW_BYTES = "raw bytes decoded"
    SENSOR_STEP = "impossible step"
    SENSOR_STUCK = "stuck sensor"
    SENSOR_END = log_texts.SENSOR_AT_THE_END_OF_ITS_SCALE
    SENSORS_PART = "two sensors part"


SENSOR_FAULTS = frozenset({NoteCode.SENSOR_STEP, NoteCode.SENSOR_STUCK, NoteCode.SENSOR_END, NoteCode.SENSORS_PART})


@dataclass(frozen=True)
class Note:
    """One thing done or found: its code, plain words, how often, on which channel, and the numbers in SI."""

    code: NoteCode
    words: str
    count: int = 1
    channel: str = ""
    numbers: Mapping[str, float] = field(default_factory=dict)

    @property
    def is_sensor_fault(self) -> bool:
        """Whether the note says that a sensor, not the coolant, did something."""
        return self.code in SENSOR_FAULTS
