"""Minutes until a reading is settled, with the planned test drive and without it, on vehicles of the generator here:

    PYTHONPATH=tests/oracles python tests/foreign/drives.py --rows tests/foreign/drives.csv

Each cause is driven twice from cold: in town, as anybody would, and as the plan says, which is made anew when it is
over. The level is looked at before both, as the program wants it first. Other looks, readings by hand and a fan that
is listened for are taken where the plan says so. A drive is over where it is settled, at a danger, where the plan has
nothing left, or after half an hour.

What is open then is looked at by hand, after both drives alike: the check that tells most a minute by the odds, until
it is settled or no check tells anything. Neck, hoses and vent are read at a stop of five minutes, but not after a
danger. A check that wants another cold start is left out; waiting for a cold engine counts nothing. All minutes count;
looks tell the truth. A row is appended as it is done. What came of it stands in ``RESULTS.md``.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from live_courses import KEY_ON, TOWN, Course, course

from engcalc.case.case import Case
from engcalc.case.conditions import HEATER_AIR_SHARE
from engcalc.case.instruments import INSTRUMENTS
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import known_reason
from engcalc.diagnosis.checks.found_causes import surely_at_fault
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.checks.next_check import CheckValue
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.danger_now import DangerWatch
from engcalc.diagnosis.drive.drive_legs import LEGS, READ_LAST
from engcalc.diagnosis.drive.expected_readings import instrument_at
from engcalc.diagnosis.drive.planned_drive import LEAST_BITS, LOOKS_FIRST, READ_WITH, PlannedLeg, minutes_of_looks
from engcalc.diagnosis.enough import SettledCauses, enough, settled_causes
from engcalc.diagnosis.grounds import Danger
from engcalc.diagnosis.members.simulated import joined
from engcalc.diagnosis.odds.as_it_grows import GrowingOdds, GrownOdds
from engcalc.diagnosis.odds.checks_by_odds import checked_vehicles, checks_in_order
from engcalc.diagnosis.odds.diagnosis import LOWEST_EFFECTIVE
from engcalc.diagnosis.odds.drawn_vehicles import drawn_vehicles
from engcalc.diagnosis.odds.sampler import LIKELY
from engcalc.diagnosis.settled import with_odds
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from ui.live.planning import drive_by, planned_by

K0 = 273.15
AGAIN = 3  # times that odds are renewed, at most, where too few draws carry them
LONGEST = 1800.0  # s; then a drive counts as not settled
FIELDS = (
    *("cause", "reason", "air_degC", "way", "minutes", "ended", "settled", "drive"),
    *("minutes_by_hand", "settled_by_hand", "by_hand"),
)
COLD, WARM = 5.0, 28.0  # degC
FAN_ON = 101.0  # degC of the coolant; where the generator's fan starts
LOOKED = {  # what a look finds in a vehicle with nothing wrong there
    "level_low": False,
    "bubbles_when_running": False,
    "face_dirty": False,
    "shutter_closed": False,
    "seals_missing": False,
    "belt_drives_pump": True,
    "lower_hose_collapses": False,
    "fan_runs_when_hot": True,
    "fan_runs_always": False,
    "fan_blows_backward": False,
    "heater_hoses_swapped": False,
    "coolant_leak": False,
    "combustion_gas_found": False,
    "cap_holds_pressure": True,
    "pressure_held_cold": True,
    "thermostat_open_when_cold": False,
    "thermostat_missing": False,
    "thermostat_opens_hot": True,
}
BODIES = {  # the generator's own, and one of a larger engine
    "small": "",
    "large": "litres=2,mass=1550,liners=26e3,block=55e3,inside=4.4e-3,radiator=2.4e-3,pump=0.95e-3,heater_UA=165,"
    "front=1700,top_gear=1.1",
}
AT_A_STOP = (
    "thermometer_at_outlet_neck",
    "heater_hose_pair",
    "vent_at_full_hot",
    "radiator_hose_pair_hot",
)  # read together, in one leg
STARTS_COLD = ("upper_hose_while_warming", "lower_hose_while_warming")
MOST_CHECKS = 12  # by hand, after a drive
OPENS, OPENED = 88.0, 100.0  # degC; the generator's valve
CHECKED_VEHICLES, OF_A_CAUSE = 200, 10  # in which checks are predicted
VEHICLES = (  # cause, the generator's words for it, reason for the visit, outside air
    ("thermostat_stuck_open", "lift=0.4", "no heat", COLD),
    ("thermostat_missing", "no_valve=1", "slow warm-up", COLD),
    ("thermostat_opens_early", "opens_by=-16", "slow warm-up", COLD),
    ("thermostat_stuck_shut", "most_lift=0.02", "hot at speed", WARM),
    ("low_coolant", "missing=0.45", "no heat", COLD),
    ("heater_core_restricted", "heater=0.08", "no heat", COLD),
    ("pump_weak", "pump=0.25", "hot at speed", WARM),
    ("radiator_restricted", "rows=0.25,UA=0.4", "hot at speed", WARM),
    ("fan_not_running", "fan=never", "hot at idle", WARM),
    ("sensor_reads_low", "sensor_shift=-14", "slow warm-up", COLD),
)
Row = dict[str, str]


@dataclass
class Driven:
    """One vehicle on its way: what was driven, read by hand and heard so far."""

    broken: str
    reason: str
    air: float
    heater: str
    body: str
    trip: list[tuple[float, ...]] = field(default_factory=list)
    spots: list[dict[str, object]] = field(default_factory=list)
    seen: dict[str, bool] = field(default_factory=dict)
    looked: float = 0.0  # min
    heater_changes: list[dict[str, str]] = field(default_factory=list)
    growing: GrowingOdds = field(default_factory=lambda: GrowingOdds("before"))
    legs: list[str] = field(default_factory=list)
    checks: list[str] = field(default_factory=list)
    hand_minutes: float = 0.0

    def case_without_log(self) -> Case:
        return case_of(self.reason, {"ambient": f"{self.air:g} degC", "seen": self.seen})

    def case(self) -> Case:
        record = {
            "ambient": f"{self.air:g} degC",
            "heater_setting": self.heater,
            "heater_changes": self.heater_changes,
            "log": {"file": "log.csv"},
            "spots": self.spots,
            "seen": self.seen,
        }
        return case_of(self.reason, record)

    def course(self) -> Course:
        return course(self.broken, tuple(self.trip), self.air, HEATER_AIR_SHARE[self.heater], BODIES[self.body])

    @property
    def driven(self) -> float:
        return sum(part[1] for part in self.trip)

    @property
    def heater_now(self) -> str:
        return self.heater_changes[-1]["setting"] if self.heater_changes else self.heater

    def look(self, looks: Sequence[str]) -> None:
        """Look at all of this."""
        self.looked += minutes_of_looks(looks)
        for key in looks:
            self.legs.append(key)
            self.seen |= {fact: LOOKED[fact] for fact in CHECKS[key].answers}
        if "level_low" in self.seen:
            self.seen["level_low"] = "missing" in self.broken
        if "fan_commanded" in looks:
            self.seen["fan_runs_when_hot"] = "fan=never" not in self.broken
        if "valve_out_and_looked_at_cold" in looks or "valve_in_a_pot_of_water" in looks:
            self._look_at_valve()
        if "valve_in_a_pot_of_water" in looks and "thermostat_open_when_cold" in self.seen:
            self._heat_valve()

    def _look_at_valve(self) -> None:
        """A valve that stands open, or none."""
        self.seen["thermostat_missing"] = "no_valve" in self.broken
        self.seen["thermostat_open_when_cold"] = self.broken.startswith("lift")

    def _heat_valve(self) -> None:
        """What it does in a pot of water; one that stands does nothing there."""
        self.seen["thermostat_opens_hot"] = "most_lift" not in self.broken
        if "lift" in self.broken or "no_valve" in self.broken:
            return
        by = float(self.broken.partition("opens_by=")[2] or 0.0)
        for what, T in (("valve_starts", OPENS + by), ("valve_open", OPENED + by)):
            self.spots.append({"what": what, "value": f"{T:g} degC", "instrument": "immersed"})

    def drive(self, leg: PlannedLeg) -> None:
        """One leg of a plan, read by hand at its end and its fan listened for."""
        self.began = self.driven
        asked = LEGS[leg.leg]
        if leg.heater not in ("unknown", self.heater_now):
            self.heater_changes.append({"at": f"{self.driven:g} s", "setting": leg.heater})
        self.trip.append((asked.speed * 3.6, 60.0 * leg.minutes, asked.grade, HEATER_AIR_SHARE[self.heater_now]))
        self.legs.append(f"{leg.leg} {leg.minutes:g}")
        self.read_by_hand = [(place, self.driven - READ_LAST) for place in asked.reads]
        self.hears = asked.listens

    def at_its_end(self) -> None:
        """Note what was read by hand in the last leg; the vehicle shows it, with the instruments' errors."""
        places, rng = self.course().places, np.random.default_rng(len(self.spots))
        for place, at in self.read_by_hand:
            name = instrument_at(place)
            told = INSTRUMENTS[name]
            T = float(places[place][int(KEY_ON + at)]) + told.bias + rng.normal(0.0, told.uncertainty)
            self.spots.append({"what": place, "value": f"{T:.1f} degC", "at": f"{at:g} s", "instrument": name[0]})
        if self.hears:
            self._listen(places)

    def _listen(self, places: Mapping[str, np.ndarray]) -> None:
        """Note whether the fan ran; nothing where the leg did not get hot enough for one to run."""
        leg = slice(int(KEY_ON + self.began), None)
        if places["fan"][leg].any():
            self.seen["fan_runs_when_hot"] = True
        elif places["coolant"][leg].max() > FAN_ON:
            self.seen["fan_runs_when_hot"] = False

    def judged(self, until: float) -> tuple[GrownOdds, SettledCauses]:
        """What is said of it after so many seconds of the engine running."""
        case, log = self.case(), read_log(self.course().log(until + KEY_ON))
        odds = self.growing.renew(case, {"before": log})
        for _ in range(AGAIN):  # a live reading asks again after ten seconds
            if all(c.effective >= LOWEST_EFFECTIVE for c in odds.causes if c.probability > LIKELY):
                break
            odds = self.growing.renew(case, {"before": log})
        if not (settled_causes(odds.causes) or surely_at_fault(self.seen)):
            return odds, SettledCauses((), tuple(c.fault for c in odds.causes[:4]))
        checked = check_with_records(case, {"before": log}).check
        return odds, enough(odds.causes, conclude(with_odds(checked, "before", odds.causes)), self.seen)

    def next_check(self, odds: GrownOdds, stopped: bool) -> CheckValue | None:
        """The check by hand that tells most a minute; None where none tells anything."""
        problem, rng = odds.problem, np.random.default_rng(7)
        unknowns = len(problem.unknowns)
        drawn = drawn_vehicles(odds.draws, odds.probabilities, CHECKED_VEHICLES, OF_A_CAUSE, unknowns, rng)
        record = joined([d.simulated().taken(which) for d, which in drawn.which])
        checked = checked_vehicles(problem, drawn, record)
        values = checks_in_order(checked, problem, self.case(), known_reason(self.reason))
        out = {*STARTS_COLD, *(AT_A_STOP if stopped else ())}
        left = [value for value in values if value.key not in (*out, *self.checks)]
        return next((value for value in left if value.first or value.information_bits >= LEAST_BITS), None)

    def by_hand(self, until: float, odds: GrownOdds, seen: SettledCauses, stopped: bool) -> SettledCauses:
        """Check after check by hand, from a drive's end on [s], until it is settled."""
        before, driven = self.looked, until
        while not seen.settled and len(self.checks) < MOST_CHECKS:
            check = self.next_check(odds, stopped)
            if check is None:
                break
            if check.key in AT_A_STOP:
                self.checks += AT_A_STOP
                self.drive(PlannedLeg("stop", LEGS["stop"].minutes, READ_WITH))
                until = self.driven
                self.at_its_end()
            else:
                self.checks.append(check.key)
                self.look((check.key,))
            odds, seen = self.judged(until)
        self.hand_minutes = self.looked - before + (until - driven) / 60.0
        return seen

    def found_before(self) -> SettledCauses | None:
        """What was found before it was driven at all, and is mended first; None for nothing."""
        if not surely_at_fault(self.seen):
            return None
        case = self.case_without_log()
        odds = GrowingOdds("before").renew(case, {})
        return enough(odds.causes, conclude(check_with_records(case, {}).check), self.seen)

    def danger(self, until: float) -> float | None:
        """When the program says stop, if it does."""
        watch = DangerWatch.of(check_with_records(self.case(), {}, members=0).check, "before")
        ran = self.course()
        for i in range(int(until + KEY_ON)):
            watch.take(float(i), Channel.VEHICLE_SPEED, ran.speed[i] / 3.6)
            alarm = watch.take(float(i), Channel.COOLANT, float(round(ran.coolant[i])) + K0)
            if alarm is not None and alarm.danger is Danger.STOP:
                return i - KEY_ON
        return None


def case_of(reason: str, record: dict[str, object]) -> Case:
    tree = {"format": FORMAT, "vehicle": {"class": "family car"}, "job": {"reason": reason}}
    found = resolve(CaseText({**tree, "evidence": {"before": record}}))
    assert isinstance(found, Case), found
    return found


def looks(begins: float, ends: float) -> Iterator[float]:
    """When it is judged between two moments [s]: each minute at first, every other one later, and at the end."""
    at = max(begins, 0.0)
    while at < ends:
        at = min(at + (60.0 if at < 480.0 else 120.0), ends)
        yield at


@dataclass
class Ended:
    """A drive that is over after so many seconds: why, and what is said of it then."""

    way: Driven
    at: float
    why: str
    seen: SettledCauses
    odds: GrownOdds | None = None


def stopped_at(way: Driven, at: float) -> Ended:
    """Stopped by the program's warning."""
    odds, seen = way.judged(at)
    return Ended(way, at, "stopped: danger", seen, odds)


def in_town(broken: str, reason: str, air: float, body: str) -> Ended:
    """Driven in town, nothing read by hand but what comes first by any road: the level."""
    way = Driven(broken, reason, air, "low", body, list(TOWN + TOWN)[:60])
    way.look(LOOKS_FIRST)
    if (found := way.found_before()) is not None:
        return Ended(way, 0.0, "found", found)
    stop = way.danger(LONGEST)
    way.legs.append("town")
    for at in looks(0.0, LONGEST):
        if stop is not None and at >= stop:
            return stopped_at(way, stop)
        odds, seen = way.judged(at)
        if seen.settled:
            return Ended(way, at, "settled", seen)
    return Ended(way, LONGEST, "open", seen, odds)


def as_planned(broken: str, reason: str, air: float, body: str) -> Ended:
    """Driven as planned, and planned anew when that is over."""
    empty = case_of(reason, {"ambient": f"{air:g} degC"})
    plan = planned_by(empty, {}, "before", cold=True).drive
    assert plan is not None
    way, seen, odds = Driven(broken, reason, air, plan.heater, body), SettledCauses((), ()), None
    way.look(plan.looks_first)
    if (found := way.found_before()) is not None:
        return Ended(way, 0.0, "found", found)
    while (plan.legs or plan.looks) and way.driven < LONGEST:
        for leg in plan.legs:
            begins = way.driven
            way.drive(leg)
            stop = way.danger(way.driven)
            for at in looks(begins, way.driven):
                if stop is not None and at >= stop:
                    return stopped_at(way, stop)
                if at == way.driven:
                    way.at_its_end()
                odds, seen = way.judged(at)
                if seen.settled:
                    return Ended(way, at, "settled", seen)
        if plan.looks_last:
            way.look(plan.looks_last)
            odds, seen = way.judged(way.driven)
            if seen.settled:
                return Ended(way, way.driven, "settled", seen)
        assert odds is not None
        plan = drive_by(way.case(), "before", odds, cold=False)
    return Ended(way, way.driven, "open", seen, odds)


WAYS = {"town": in_town, "planned": as_planned}


def row_of(name: str, body: str, key: str, broken: str, reason: str, air: float) -> Row:
    over = WAYS[name](broken, reason, air, body)
    way, minutes, driven = over.way, over.at / 60.0 + over.way.looked, ", ".join(over.way.legs)
    cells = (key, reason, f"{air:g}", name, f"{minutes:.1f}", over.why, told(over.seen), driven)
    after, by_hand = over.seen, ""
    if over.odds is not None:
        way.legs.clear()
        after = way.by_hand(over.at, over.odds, over.seen, over.why.startswith("stopped"))
        by_hand = ", ".join(way.checks)
    return dict(zip(FIELDS, (*cells, f"{way.hand_minutes:.1f}", told(after), by_hand), strict=True))


def told(seen: SettledCauses) -> str:
    """What is settled, or what is open."""
    return " ".join(seen.settled or ("open:", *seen.open))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=Path, required=True)
    parser.add_argument("--way", choices=tuple(WAYS), action="append")
    parser.add_argument("--body", choices=tuple(BODIES), default="small")
    parser.add_argument("--cause", choices=[vehicle[0] for vehicle in VEHICLES], action="append")
    options = parser.parse_args()
    there = options.rows.exists()
    done = {(row["cause"], row["way"]) for row in csv.DictReader(options.rows.open())} if there else set()
    with options.rows.open("a", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, FIELDS, lineterminator="\n")
        if not there:
            out.writeheader()
        for vehicle in VEHICLES:
            for name in options.way or WAYS:
                wanted = options.cause is None or vehicle[0] in options.cause
                if wanted and (vehicle[0], name) not in done:
                    row = row_of(name, options.body, *vehicle)
                    out.writerow(row)
                    file.flush()
                    sys.stdout.write(f"{row}\n")
                    sys.stdout.flush()


if __name__ == "__main__":
    main()
