"""A record judged while it grows: the conclusion that every face reads, the odds, and whether enough was seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from engcalc.case.case import Case
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.conclusion import Conclusion
from engcalc.diagnosis.danger_now import DangerWatch
from engcalc.diagnosis.enough import OddsPassed, SettledCauses, enough, odds_passed
from engcalc.diagnosis.evidence.key_on import KeyOn, key_on
from engcalc.diagnosis.odds.as_it_grows import GrowingOdds, GrownOdds
from engcalc.diagnosis.repair.before_after import BeforeAfter, compare
from engcalc.diagnosis.settled import with_odds
from engcalc.diagnosis.whole_check import WholeCheck, check_with_records
from engcalc.errors import HeatdocketError, InputError
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.vehicle.warmup_study import WarmupStudy
from ui.live.link import VehicleTold
from ui.live.planning import Planned, Stop, of_an_engine, planned_by, planned_on

LEAST_RUN = 45.0  # s of a running engine, before which no odds are asked for; common practice, no source
LEAST_SAMPLES = 5  # of the coolant
PROVED_AGAIN = 1.1  # times as long a record, before it is laid over the one before the repair anew: that takes seconds
LEAST_PLANNED = 180.0  # s; between two plans, at least, but for the last; common practice, no source


@dataclass(frozen=True, eq=False)
class Judged:
    """What is said of a record as far as it goes. ``whole`` and ``odds`` are None while the engine has hardly run;
    ``at`` [s] counts from its start, and from the first value while it stands (``started`` is False). ``passed`` tells
    since when the odds are past what settles. ``proof`` lays it over the run before the repair, where the case has
    one."""

    at: float
    coolant: float | None
    key_on: KeyOn | None
    whole: WholeCheck | None = None
    odds: GrownOdds | None = None
    enough: SettledCauses | None = None
    proof: BeforeAfter | None = None
    passed: OddsPassed | None = None
    started: bool = True

    @property
    def conclusion(self) -> Conclusion | None:
        """The one conclusion on the vehicle."""
        return None if self.whole is None else self.whole.conclusion

    @property
    def settles(self) -> tuple[str, ...]:
        """What is settled so far, by its keys: causes, and the proof of the repair where it stands. Whoever drives
        hears it when this changes."""
        causes = () if self.enough is None else self.enough.settled
        proof = (self.proof.proof.value,) if self.proof is not None and self.proof.stands else ()
        return (*causes, *proof)


class Watch:
    """One record of one case while it is read."""

    def __init__(
        self,
        text: CaseText | None,
        record: str,
        file: str = "log.csv",
        beside: Mapping[str, LogRecord] | None = None,
    ) -> None:
        """``text`` is the case without this log, None for no case at all; ``beside`` the log of its other record.

        InputError with every fault of it, and where it has no engine.
        """
        self.text, self.record, self.file = text or CaseText({"format": FORMAT}), record, file
        self.beside = dict(beside or {})
        self._growing = GrowingOdds(record)
        self._offered: CaseText | None = None  # typed since; taken at the next judgement
        self._planned_until = 0.0
        self._passed: OddsPassed | None = None
        self._proof: BeforeAfter | None = None
        self._proved_at = 0.0  # s
        self._case(())

    def offer_text(self, text: CaseText) -> None:
        """What stands typed now, such as a hose read by hand: it counts from the next judgement on, unless it has
        faults. From any thread."""
        self._offered = text

    @property
    def has_offer(self) -> bool:
        """Whether something typed waits for the next judgement."""
        return self._offered is not None

    def dangers(self) -> DangerWatch:
        """What watches the samples as they come."""
        return DangerWatch.of(check_with_records(self._case(()), {}, members=0).check, self.record)

    def judge(
        self, log: bytes, told: VehicleTold | None, cancelled: Stop = None, *, last: bool = False
    ) -> Judged | None:
        """Judge the record as far as it goes; None before anything was read. Raises Cancelled.

        The proof may be of a little earlier, but for the ``last`` time.
        """
        try:
            read = read_log(log)
        except HeatdocketError:  # no value yet
            return None
        self.take_offered()
        case = self._case(_codes(told))
        record = getattr(case.evidence, self.record)
        coolant = read.last(Channel.COOLANT)
        first = Judged(read.end, coolant, key_on(read, record), started=_has_started(read))
        if not _has_run(read):
            return first
        logs = self.logs_with(read)
        read_alone = check_with_records(case, logs, cancelled=cancelled)
        odds = self._growing.renew(case, logs, cancelled)
        whole = replace(read_alone, check=with_odds(read_alone.check, self.record, odds.causes))
        self._passed = odds_passed(self._passed, odds.causes, read.end)
        proof = self._proved(case, whole, read.end, last, cancelled)
        seen = enough(odds.causes, whole.conclusion, record.seen)
        return Judged(read.end, coolant, first.key_on, whole, odds, seen, proof, self._passed)

    def take_offered(self) -> None:
        """Let what was typed count, unless it has faults."""
        offered, self._offered = self._offered, None
        if offered is None:
            return
        before, self.text = self.text, offered
        try:
            self._case(())
        except InputError:  # half typed: what stood before counts on, and the form names what is to be mended
            self.text = before

    def _proved(self, case: Case, whole: WholeCheck, end: float, last: bool, cancelled: Stop) -> BeforeAfter | None:
        """Both records of the case laid together, anew where this one has grown enough since."""
        if last or end >= PROVED_AGAIN * self._proved_at:
            self._proof, self._proved_at = compare(WarmupStudy(case, whole.records), cancelled=cancelled), end
        return self._proof

    def logs_with(self, read: LogRecord) -> dict[str, LogRecord]:
        """The logs of the case by record, this reading's among them."""
        return {**self.beside, self.record: read}

    def plan_first(self, cancelled: Stop = None) -> Planned:
        """The drive that would settle the most, before anything is read. Raises Cancelled."""
        return self._keep(planned_by(self._case(()), self.beside, self.record, cold=True, cancelled=cancelled))

    def plan_again(self, found: Judged, told: VehicleTold | None, last: bool, cancelled: Stop = None) -> Planned | None:
        """A new plan where one is due: there is something open and the plan of before is over, or the reading is.

        Raises Cancelled.
        """
        odds, conclusion = found.odds, found.conclusion
        if odds is None or conclusion is None or found.enough is None or found.enough.settled:
            return None
        if not last and odds.at < self._planned_until:
            return None
        return self._keep(planned_on(self._case(_codes(told)), self.record, odds, conclusion, cancelled))

    def _keep(self, planned: Planned) -> Planned:
        minutes = 0.0 if planned.drive is None else planned.drive.minutes
        self._planned_until = planned.at + max(60.0 * minutes, LEAST_PLANNED)
        return planned

    def case_of(self, told: VehicleTold | None) -> Case:
        """The case with this reading as its record, resolved."""
        return self._case(_codes(told))

    def _case(self, codes: tuple[str, ...]) -> Case:
        return of_an_engine(with_reading(self.text, self.record, self.file, codes))


def _codes(told: VehicleTold | None) -> tuple[str, ...]:
    return () if told is None else told.codes


def with_reading(text: CaseText, record: str, file: str, codes: tuple[str, ...]) -> CaseText:
    """A case with a log in one of its records, in place of a log or a curve there, and codes beside those noted."""
    tree: dict[str, Any] = dict(text.tree)
    evidence = dict(tree.get("evidence") or {})
    own = dict(evidence.get(record) or {})
    own.pop("curve", None)
    own.pop("schedule", None)
    own["log"] = {"file": file}
    noted = list(own.get("codes") or ())
    if codes or noted:
        own["codes"] = list(dict.fromkeys([*noted, *codes]))
    evidence[record] = own
    tree["evidence"] = evidence
    return CaseText(tree)


def _has_started(log: LogRecord) -> bool:
    """Whether the engine turned; a log that does not read its speed is taken to begin with the start."""
    turned, n = log.observed(Channel.ENGINE_SPEED)
    return not turned.size or bool((n > 0.0).any())


def _has_run(log: LogRecord) -> bool:
    """Whether it ran long enough for a first answer."""
    t, _ = log.observed(Channel.COOLANT)
    return _has_started(log) and log.end >= LEAST_RUN and int((t >= 0.0).sum()) >= LEAST_SAMPLES
