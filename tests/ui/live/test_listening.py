"""A reading with its judgement beside it, from the adapter to the answer, without a window."""

from __future__ import annotations

import threading
from dataclasses import replace
from types import SimpleNamespace

import pytest
from live_courses import TOWN, course
from simulated_adapter import Adapter, OnTcp

from engcalc.case.file import NO_FOLDER
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.danger_now import Alarm, AlarmCode
from engcalc.diagnosis.drive.planned_drive import PlannedDrive, PlannedLeg
from engcalc.diagnosis.enough import SettledCauses
from engcalc.diagnosis.grounds import Danger
from engcalc.diagnosis.repair.before_after import Proof
from engcalc.errors import InputError
from engcalc.logs.log import read_log
from engcalc.units import UnitSystem
from engcalc.words.workshop.live_words import clock, passed_line
from ui.command.listening import judged_line
from ui.live.events import Connected, Sample
from ui.live.listening import Listening
from ui.live.planning import LegNow, Planned, plan_for, planned_on
from ui.live.ports import opener
from ui.live.reading import ReadingSetting, read_vehicle
from ui.live.recording import Recording
from ui.live.replay import replayed
from ui.live.watch import Judged, Watch, with_reading

CASE = CaseText({"format": FORMAT, "vehicle": {"class": "family car"}, "job": {"reason": "no heat"}})


@pytest.fixture(scope="module")
def listened(tmp_path_factory):
    """A valve that stands open, read for eight minutes at 100 times its speed, judged every half second."""
    from engcalc.logs.channels import scale
    from ui.live.reading import Clock

    scale("degC", "temperature")
    import time

    begun, ran = time.monotonic(), course("lift=0.4", TOWN, 5.0)

    def now() -> float:
        return (time.monotonic() - begun) * 100.0

    adapter = Adapter(lambda: ran.answers(now()), codes=(b"\x01\x28",))
    path = tmp_path_factory.mktemp("live") / "log.csv"
    news, threads = [], set()

    def tell(what: object) -> None:
        news.append(what)
        threads.add(threading.current_thread().name)

    with OnTcp(adapter) as served:
        setting = ReadingSetting(
            opener(served.port), lambda: now() > 480.0, clock=Clock(now, lambda s: time.sleep(s / 100.0))
        )
        listening = Listening(read_vehicle(setting), Recording(path), Watch(CASE, "before"), tell, every=0.5)
        listening.run()
    return listening, path, news, threads


def test_the_answer_is_renewed_beside_the_reading(listened):
    listening, _, news, threads = listened
    judged = [x for x in news if isinstance(x, Judged)]
    assert judged == listening.judged
    assert any(x.odds is not None for x in judged)
    assert len(threads) == 2
    last = judged[-1]
    assert last.odds is not None
    assert last.conclusion is not None
    assert last.odds.best.fault == "thermostat_stuck_open"


def test_when_the_odds_passed_is_told_beside_when_the_record_was_over(listened):
    """A valve that stands open, from key-on."""
    judged = [x for x in listened[0].judged if x.odds is not None]
    first = next(x for x in judged if x.passed is not None)
    last = judged[-1]
    # A valve that is missing is its like. Whether the two pass together depends on how late the first odds come.
    assert last.passed.causes[0] == "thermostat_stuck_open"
    assert set(last.passed.causes) <= {"thermostat_stuck_open", "thermostat_missing"}
    assert (last.passed.at, last.at) == (first.at, pytest.approx(470.0, abs=6.0))
    assert f"The record was over at {clock(last.at)}." in passed_line(last.passed, last.at)


def test_what_was_read_is_told_and_on_disk(listened):
    listening, path, news, _ = listened
    assert path.read_bytes() == listening.recording.so_far()
    assert sum(isinstance(x, Sample) for x in news) == sum(listening.recording.samples.values())
    assert [x.told.codes for x in news if isinstance(x, Connected)] == [("P0128",)]


def test_codes_that_were_read_count_as_evidence(listened):
    listening = listened[0]
    case = listening.watch.case_of(listening.told)
    assert case.evidence.before.codes == ("P0128",)
    assert case.evidence.before.log.file == "log.csv"


def test_a_reading_takes_its_place_in_the_case_and_leaves_the_rest():
    text = CaseText(
        {
            "format": FORMAT,
            "evidence": {"before": {"ambient": "5 degC", "codes": ["P0217"], "curve": [["0 min", "5 degC"]]}},
        }
    )
    made = with_reading(text, "before", "a.csv", ("P0128", "P0217"))
    assert made.tree["evidence"]["before"] == {
        "ambient": "5 degC", "codes": ["P0217", "P0128"], "log": {"file": "a.csv"},
    }  # fmt: skip
    assert "curve" in text.tree["evidence"]["before"]
    assert with_reading(text, "after", "a.csv", ()).tree["evidence"]["after"] == {"log": {"file": "a.csv"}}


def test_a_danger_is_told_with_the_sample_that_shows_it():
    """A valve that stays shut in town: it boils in the end, and the reading says so at once."""
    ran = course("most_lift=0.0", TOWN, 25.0, 0.0)
    news = []
    log = read_log(ran.log())
    listening = Listening(
        replayed(log, 1e9, lambda: False), Recording(None), Watch(CASE, "before"), news.append, every=60.0
    )
    listening.run()
    first = next(i for i, x in enumerate(news) if isinstance(x, Alarm))
    sample, alarm = news[first - 1], news[first]
    assert isinstance(sample, Sample)
    assert (sample.at, sample.value) == (alarm.at, alarm.T)
    assert AlarmCode.OVER_LIMIT in [alarm.code for alarm in listening.alarms]


def test_what_goes_wrong_in_the_judgement_ends_the_reading_and_keeps_the_record():
    class Broken(Watch):
        def judge(self, *_: object, **__: object) -> None:
            raise ZeroDivisionError("planted")

    log, recording = read_log(course().log()), Recording(None)
    listening = Listening(
        replayed(log, 400.0, lambda: False), recording, Broken(CASE, "before"), lambda _: None, every=0.1
    )
    with pytest.raises(ZeroDivisionError, match="planted"):
        listening.run()
    assert sum(recording.samples.values()) > 10


PLAN = PlannedDrive((PlannedLeg("idle", 10.0),), True, "high", 2.0, 1.0, 0.5, ())


class Planner(Watch):
    """Plans at once, and notes when it was asked again; nothing is settled."""

    def __init__(self) -> None:
        super().__init__(CASE, "before")
        self.last: list[bool] = []

    def plan_first(self, *_: object) -> Planned:
        return Planned(0.0, PLAN)

    def judge(self, *_: object, **__: object) -> Judged:
        return Judged(60.0, 300.0, None)

    def plan_again(self, _found: Judged, _told: object, last: bool, *_: object) -> Planned | None:
        self.last.append(last)
        return Planned(60.0, None) if last else None


@pytest.mark.parametrize("plans", [True, False])
def test_a_drive_is_planned_before_the_start_and_when_the_reading_ends(plans):
    watch, news = Planner(), []
    events = replayed(read_log(course().log(until=60.0)), 60.0, lambda: False)
    listening = Listening(events, Recording(None), watch, news.append, every=0.3, plans=plans)
    listening.run()
    told = [x for x in news if isinstance(x, Planned)]
    assert told == listening.planned == ([Planned(0.0, PLAN), Planned(60.0, None)] if plans else [])
    assert watch.last.count(True) == plans


def test_the_answer_is_renewed_while_a_plan_is_still_made():
    """The first plan takes longer than the ten seconds in which an answer is due: whoever drove off got none."""

    class Slow(Planner):
        def __init__(self) -> None:
            super().__init__()
            self.answers = threading.Event()

        def plan_first(self, *_: object) -> Planned:
            assert self.answers.wait(30.0)
            return Planned(0.0, PLAN)

        def judge(self, *_: object, **__: object) -> Judged:
            self.answers.set()
            return Judged(60.0, 300.0, None)

    watch, news = Slow(), []
    events = replayed(read_log(course().log(until=60.0)), 30.0, lambda: False)
    Listening(events, Recording(None), watch, news.append, every=0.1, plans=True).run()
    kinds = [type(x) for x in news if isinstance(x, Judged | Planned)]
    assert kinds[0] is Judged
    assert Planned in kinds


def test_each_leg_of_a_plan_is_told_as_it_is_due():
    two = PlannedDrive((PlannedLeg("idle", 1.0), PlannedLeg("hill", 0.5)), True, "high", 2.0, 1.0, 0.5, ())

    class TwoLegs(Planner):
        def plan_first(self, *_: object) -> Planned:
            return Planned(0.0, two)

        def plan_again(self, *_: object) -> None:
            return None

    news, started = [], 10.0  # s with the ignition on, in this log
    events = replayed(read_log(course().log(until=120.0)), 60.0, lambda: False)
    listening = Listening(events, Recording(None), TwoLegs(), news.append, every=0.3, plans=True)
    listening.run()
    legs = [(i, x) for i, x in enumerate(news) if isinstance(x, LegNow)]
    assert [x for _, x in legs] == [LegNow(two, 0), LegNow(two, 1), LegNow(two, 2)]
    at = [max(x.at for x in news[:i] if isinstance(x, Sample)) - started for i, _ in legs]
    assert at[1:] == pytest.approx([60.0, 90.0], abs=2.1)
    planned = Planned(300.0, two)
    assert [planned.leg_at(at) for at in (299.0, 300.0, 359.9, 360.0, 390.0)] == [None, 0, 0, 1, 2]
    assert Planned(0.0, None).leg_at(5.0) is None


def test_it_is_planned_anew_when_the_plan_is_over_or_the_reading_ends_early(listened, monkeypatch):
    judged = next(x for x in listened[0].judged if x.odds is not None)
    still = replace(judged, enough=SettledCauses((), ("healthy",)))
    made = []

    def plan(*_: object) -> Planned:
        made.append(1)
        return Planned(still.odds.at, PLAN)

    monkeypatch.setattr("ui.live.watch.planned_on", plan)
    watch = Watch(CASE, "before")
    assert watch.plan_again(still, None, last=False) is not None  # none was planned before
    assert watch.plan_again(still, None, last=False) is None  # it is on its way
    assert watch.plan_again(still, None, last=True) is not None  # it ended early
    over = replace(still, odds=replace(still.odds, at=still.odds.at + 600.0))
    assert watch.plan_again(over, None, last=False) is not None
    settled = replace(still, enough=SettledCauses(("healthy",), ()))
    assert watch.plan_again(settled, None, last=True) is None
    assert len(made) == 3


def test_no_drive_is_planned_while_there_is_a_danger():
    odds, found = SimpleNamespace(at=5.0), SimpleNamespace(danger=Danger.STOP)
    assert planned_on(SimpleNamespace(), "before", odds, found) == Planned(5.0, None)
    hot = {"seen": {"combustion_gas_found": True}}
    text = CaseText({**CASE.tree, "evidence": {"before": hot}})
    assert plan_for(text, "before", NO_FOLDER, cold=True) == Planned(0.0, None)
    low = CaseText({**CASE.tree, "evidence": {"before": {"seen": {"level_low": True}}}})
    assert plan_for(low, "before", NO_FOLDER, cold=True) == Planned(0.0, None, found=True)


def test_what_is_read_by_hand_meanwhile_counts_with_the_next_answer():
    """A level that was seen low; half typed entries change nothing."""
    watch, log = Watch(CASE, "before"), course("", TOWN, 5.0).log(100)

    def low() -> float:
        found = watch.judge(log, None)
        assert found is not None
        assert found.odds is not None
        return found.odds.probability("low_coolant")

    alone = low()
    watch.offer_text(with_seen({"level_low": "perhaps"}))
    assert low() == pytest.approx(alone, rel=0.5)
    watch.offer_text(with_seen({"level_low": True}))
    assert low() > 5.0 * alone


def with_seen(seen: dict[str, object]) -> CaseText:
    return CaseText({**CASE.tree, "evidence": {"before": {"seen": seen}}})


def test_what_settles_is_the_cause_and_the_proof():
    class Stands:
        def __init__(self, proof: Proof) -> None:
            self.proof, self.stands = proof, proof is not Proof.OPEN

    def settles(causes: tuple[str, ...], proof: Proof | None) -> tuple[str, ...]:
        both = None if proof is None else Stands(proof)
        judged = Judged(60.0, None, None, enough=SettledCauses(causes, ()), proof=both)
        return judged.settles

    assert settles((), None) == settles((), Proof.OPEN) == Judged(60.0, None, None).settles == ()
    assert settles(("pump_weak",), Proof.OPEN) == ("pump_weak",)
    stands = next(proof for proof in Proof if proof is not Proof.OPEN)
    assert settles(("healthy",), stands) == ("healthy", stands.value)


def test_before_the_engine_has_run_there_is_no_answer_but_the_sensors():
    watch = Watch(CASE, "before")
    assert watch.judge(b"Time [s],Name,Value,Unit,Control unit\n", None) is None
    found = watch.judge(course().log(until=20.0), None)
    assert found is not None
    assert (found.whole, found.odds, found.enough) == (None, None, None)
    assert found.key_on is not None
    standing = watch.judge(course().log(until=8.0), None)
    assert standing is not None
    assert (standing.started, found.started) == (False, True)
    lines = [judged_line(judged, UnitSystem.SI) for judged in (standing, found)]
    assert lines == ["0:06 of reading  coolant 5 °C", "0:08  coolant 6 °C"]


def test_a_case_with_faults_is_refused_before_anything_is_read():
    with pytest.raises(InputError):
        Watch(CaseText({"format": FORMAT, "vehicle": {"class": "boat"}}), "before")


@pytest.mark.parametrize(
    "ask",
    [
        lambda text: Watch(text, "before"),
        lambda text: plan_for(text, "before", NO_FOLDER, cold=True),
    ],
    ids=["reading", "plan"],
)
def test_a_bench_without_an_engine_is_refused_in_words(ask):
    """A log played on a class's bench ended in "a defect of Heatdocket": it has no duty whose boiling point could be
    asked for."""
    water = {"fluid": "water"}
    bench = {"vehicle": {"class": "bench rig"}, "hot_stream": water, "cold_stream": water}
    text = CaseText({"format": FORMAT, "exchanger": {"arrangement": "counterflow"}, **bench})
    with pytest.raises(InputError, match=r"a vehicle would do\. A bench has no engine that warms up\."):
        ask(text)
