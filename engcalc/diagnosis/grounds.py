"""What a conclusion is made of: the vehicle's state, the danger, and the grounds that it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum

from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.hottest import HotReading
from engcalc.studies.checked import SettledOdds, WeighedOdds


class VehicleState(StrEnum):
    """How the vehicle in front of us is."""

    HEALTHY = "healthy"
    RUNS_COLD = "runs_cold"
    RUNS_HOT = "runs_hot"
    HEATS_POORLY = "heats_poorly"
    LOSES_COOLANT = "loses_coolant"
    CANNOT_TELL = "cannot_tell"
    NOTHING_TO_JUDGE = "nothing_to_judge"


class Danger(StrEnum):
    """Whether it may be driven."""

    NONE = "none"
    CARE = "care"
    STOP = "stop"


class Rank(IntEnum):
    """By what authority something is said; the lower number speaks first."""

    DANGER = 1
    FOUND = 2
    READINGS = 3
    CLASS_ONLY = 4


class GroundCode(StrEnum):
    """What a conclusion rests on. Words for each stand in :mod:`engcalc.words.diagnosis.conclusion_words`."""

    GAS = "combustion_gas"
    BUBBLES_LOW_HOT = "bubbles_low_hot"
    FAN_STILL_HOT = "fan_still_hot"
    OVER_LIMIT = "over_limit"
    OVER_PRESSURE = "over_pressure"
    NO_PUMP_DRIVE = "no_pump_drive"
    RISING_FAST = "rising_fast"
    NEAR_LIMIT = "near_limit"
    FAN_MISSED = "fan_missed"
    OVERHEAT_CODE = "overheat_code"
    FREEZES = "can_freeze"
    FAN_STILL = "fan_still"
    BUBBLES = "bubbles"
    LEVEL_LOW = "level_low"
    LEAK = "leak"
    PRESSURE_LOST = "pressure_lost"
    CAP_WEAK = "cap_weak"
    VALVE_STAYS_SHUT = "valve_stays_shut"
    SUCTION_HOSE = "suction_hose"
    FAN_BACKWARD = "fan_backward"
    VALVE_OPEN = "valve_open"
    VALVE_MISSING = "valve_missing"
    FAN_ALWAYS = "fan_always"
    HEATER_HOSES = "heater_hoses"
    NOT_SEEN_AGAIN = "not_seen_again"
    HOTTER = "hotter_than_healthy"
    COLD_CODE = "cold_code_stored"
    COLDER = "colder_than_healthy"
    VALVE_SUSPECTED = "valve_suspected"
    ODDS_SETTLE = "odds_settle"
    ODDS_DOUBT_HEALTHY = "odds_doubt_healthy"
    ODDS_DOUBT_VALVE = "odds_doubt_valve"
    UNDECIDED = "reading_undecided"
    TOO_EARLY = "too_early"
    TOLD_STEAM = "told_steam"
    TOLD_LAMP = "told_warning_lamp"
    WARM_ENGINE = "warm_engine"
    TOLD_HEATER = "told_heater_cold"
    READ_ONCE = "read_once_since_repair"
    AGREES_SO_FAR = "agrees_so_far"
    AGREES = "reading_agrees"
    AGREES_COLD = "as_warm_as_such_running_makes_it"
    COMPLAINT_OPEN = "complaint_open"
    REPAIR_OPEN = "repair_open"
    NOTHING_READ = "nothing_read"
    NOTHING_ENTERED = "nothing_entered"


@dataclass(frozen=True)
class Ground:
    """One thing that a conclusion rests on.

    ``was`` names the danger of before the repair that nobody has looked at since. ``pressure`` and ``cap`` [Pa] are
    gauge pressures, where one was read. ``odds`` are those that settle it, where no single reading does; ``weighed``
    those that speak against what single readings say.
    """

    code: GroundCode
    rank: Rank
    state: VehicleState
    danger: Danger = Danger.NONE
    next_step: NextStep | None = None
    hot: HotReading | None = None
    was: GroundCode | None = None
    pressure: float | None = None
    cap: float | None = None
    odds: SettledOdds | None = None
    weighed: WeighedOdds | None = None
