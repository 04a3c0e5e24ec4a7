"""Invented cases by rules: complaint, reading, what was seen, fuel, class, how it ran, duties; drawn with a fixed seed.

``wanted_danger`` says by its own rules what is a danger, apart from the program's: common practice, no source.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

SEED, HOW_MANY = 20261129, 200
LIMIT_DEGC = 115
COMPLAINTS = ("no heat", "slow warm-up", "hot at idle", "hot at speed", "loss of coolant", "screening", None)
READINGS = (None, None, 40, 62, 84, 90, 97, 109, 111, 114, 116, 121)  # degC
INSTRUMENTS = ("scan_tool", "dash_gauge")
FACTS = (
    ("combustion_gas_found", True),
    ("combustion_gas_found", False),
    ("bubbles_when_running", True),
    ("level_low", True),
    ("level_low", False),
    ("coolant_leak", True),
    ("pressure_held_cold", False),
    ("cap_holds_pressure", False),
    ("fan_runs_when_hot", False),
    ("fan_runs_when_hot", True),
    ("fan_runs_always", True),
    ("fan_blows_backward", True),
    ("belt_drives_pump", False),
    ("lower_hose_collapses", True),
    ("thermostat_open_when_cold", True),
    ("thermostat_missing", True),
    ("thermostat_opens_hot", False),
    ("upper_hose_warms_early", True),
    ("heater_hoses_both_hot", True),
    ("heater_hoses_both_hot", False),
    ("vent_cold", True),
    ("face_dirty", True),
    ("heater_hoses_swapped", True),
)
DRIVING = ("idling", "town", "country road", "motorway")
CLASSES = ("family car", "delivery van", "small car")
HARD = {"name": "Hot hill", "ambient": "48 degC", "vehicle_speed": "50 km/h", "grade": "20 %"}


@dataclass(frozen=True)
class Invented:
    """One invented case: its tree, and what was drawn for it."""

    number: int
    tree: Mapping[str, Any]
    reason: str | None
    read: int | None
    seen: Mapping[str, bool]
    repaired: bool

    @property
    def wanted_danger(self) -> str:
        """What the danger must be at least: "stop", "care" or "none"."""
        seen, read = self.seen, self.read
        near = read is not None and read >= LIMIT_DEGC - 5
        if seen.get("combustion_gas_found") or seen.get("belt_drives_pump") is False:
            return "stop"
        if read is not None and read >= LIMIT_DEGC:
            return "stop"
        if near and seen.get("fan_runs_when_hot") is False:
            return "stop"
        careful = near or seen.get("bubbles_when_running") or seen.get("fan_runs_when_hot") is False
        return "care" if careful else "none"

    @property
    def broken(self) -> bool:
        """Whether a part was seen to be broken."""
        good = {"combustion_gas_found": False, "level_low": False, "fan_runs_when_hot": True}
        telling = {"heater_hoses_both_hot", "vent_cold", "upper_hose_warms_early"}
        return any(fact not in telling and good.get(fact) is not answer for fact, answer in self.seen.items())


def invented(how_many: int = HOW_MANY, seed: int = SEED) -> Iterator[Invented]:
    """The cases, the same ones each time."""
    draw = random.Random(seed)
    for number in range(how_many):
        yield _case(number, draw)


def _case(number: int, draw: random.Random) -> Invented:
    reason, read = draw.choice(COMPLAINTS), draw.choice(READINGS)
    seen = dict(draw.sample(FACTS, draw.choice((0, 0, 1, 1, 2, 3))))
    repaired = draw.random() < 0.15
    hot = reason in ("hot at idle", "hot at speed") or (read or 0) > 100
    record: dict[str, Any] = {
        "ambient": f"{draw.choice((25, 33, 38) if hot else (-12, -4, 8, 20))} degC",
        "heater_setting": draw.choice(("off", "high")),
        "driving": draw.choice(DRIVING),
        "seen": seen,
    }
    if read is not None:
        spot = {"what": "coolant", "at": f"{draw.choice((8, 20, 35))} min", "value": f"{read} degC"}
        record["spots"] = [{**spot, "instrument": draw.choice(INSTRUMENTS)}]
    tree: dict[str, Any] = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": draw.choice(CLASSES)},
        "limits": {"coolant_limit": f"{LIMIT_DEGC} degC"},
        "job": {} if reason is None else {"reason": reason},
        "evidence": {"after" if repaired else "before": record},
    }
    if repaired:
        tree["evidence"]["before"] = {"ambient": "20 degC", "seen": {"face_dirty": True}}
    if draw.random() < 0.3:
        tree["engine"] = {"fuel": draw.choice(("diesel", "petrol"))}
    if draw.random() < 0.3:
        tree["duties"] = [HARD]
    return Invented(number, tree, reason, read, seen, repaired)


PARTS = ("fan_fuse_good", "fan_relay_works", "fan_motor_runs")  # of the fan, each found at fault in turn
PLACES_LOST = ("cabin", "hose", "nowhere seen")
MORE = 24


def invented_more(first: int = HOW_MANY, how_many: int = MORE) -> Iterator[Invented]:
    """What was added after the first two hundred: the part found, where coolant is lost, one reading or two since the
    repair. Numbered behind the others, so that those stay as they are."""
    draw = random.Random(SEED + 1)
    for number in range(first, first + how_many):
        kind = (_part_found, _lost, _read_again)[number % 3]
        yield kind(number, draw)


def _with(
    number: int, reason: str, seen: Mapping[str, bool], tree: Mapping[str, Any], read: int, repaired: bool
) -> Invented:
    whole = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car"},
        "limits": {"coolant_limit": f"{LIMIT_DEGC} degC"},
        **tree,
    }
    return Invented(number, whole, reason, read, seen, repaired)


def _spot(read: int, at: int) -> dict[str, str]:
    return {"what": "coolant", "at": f"{at} min", "value": f"{read} degC", "instrument": "scan_tool"}


def _part_found(number: int, draw: random.Random) -> Invented:
    read, part = draw.choice((88, 103, 109, 112)), PARTS[number // 3 % len(PARTS)]
    seen = {"fan_runs_when_hot": False, part: False}
    record = {"ambient": "33 degC", "heater_setting": "off", "driving": "idling", "spots": [_spot(read, 30)]}
    tree = {"job": {"reason": "hot at idle"}, "evidence": {"before": {**record, "seen": seen}}}
    return _with(number, "hot at idle", seen, tree, read, repaired=False)


def _lost(number: int, draw: random.Random) -> Invented:
    seen = dict(
        draw.sample((("level_low", True), ("level_low", False), ("pressure_held_cold", False)), draw.choice((0, 1, 2)))
    )
    record = {"ambient": "8 degC", "heater_setting": "high", "driving": "town", "spots": [_spot(90, 30)], "seen": seen}
    job = {"reason": "loss of coolant", "coolant_lost_at": PLACES_LOST[number // 3 % len(PLACES_LOST)]}
    return _with(number, "loss of coolant", seen, {"job": job, "evidence": {"before": record}}, 90, repaired=False)


def _read_again(number: int, draw: random.Random) -> Invented:
    air = {"ambient": "8 degC", "heater_setting": "high", "driving": "town"}
    spots = [_spot(90, 30), *([_spot(70, 8)] if draw.random() < 0.5 else [])]
    evidence = {"before": {**air, "spots": [_spot(45, 30)]}, "after": {**air, "spots": spots}}
    return _with(number, "no heat", {}, {"job": {"reason": "no heat"}, "evidence": evidence}, 90, repaired=True)
