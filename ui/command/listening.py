"""A vehicle read live on the command line, or a log played as if it were."""

from __future__ import annotations

import argparse
import json
import signal
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import command_texts, shared_texts
from ui.command.named_case import SYSTEMS

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from engcalc.case.text import CaseText
    from engcalc.diagnosis.enough import OddsPassed
    from engcalc.diagnosis.odds.diagnosis import Diagnosis
    from engcalc.diagnosis.repair.before_after import BeforeAfter
    from engcalc.diagnosis.whole_check import WholeCheck
    from engcalc.units import UnitSystem
    from ui.command.answer import Answer, JsonObject
    from ui.live.before_run import Logs
    from ui.live.events import Event, Sample
    from ui.live.link import VehicleTold
    from ui.live.listening import Listening, News
    from ui.live.planning import LegNow, Planned
    from ui.live.typed import TypedEvidence
    from ui.live.watch import Judged

FASTEST = 1000.0  # times as fast as it was


def listen_command(options: argparse.Namespace) -> Answer:
    """``heatdocket listen``: a vehicle read, recorded and judged as it warms up. InputError, WireLostError.

    News goes to standard error, a line each. Ctrl-C ends the reading; the record is judged once more as a whole.
    """
    from engcalc.words.workshop.live_words import AT_STANDSTILL, DRIVER_DRIVES
    from ui.command.outputs import may_replace
    from ui.live.listening import Listening
    from ui.live.recording import Recording
    from ui.live.typed import TypedEvidence
    from ui.live.watch import Watch

    _check(options)
    if options.plan is not None:
        return _plan(options)
    inputs = [options.case, options.replay, options.before]
    if options.output is not None:
        may_replace(options.output, inputs, force=options.force)
    if options.keep is not None:
        may_replace(options.keep, [*inputs, options.output], force=options.force)
    system, (text, beside) = SYSTEMS[options.units], _case_and_logs(options)
    watch = Watch(text, options.record, "log.csv" if options.output is None else options.output.name, beside)
    teller = _Teller(system)
    if options.port is not None:
        for caution in (DRIVER_DRIVES, *AT_STANDSTILL):
            teller.line(f"Caution: {caution}")
    ended = threading.Event()
    with _ended_by_ctrl_c(ended):
        recording = Recording(options.output, force=options.force)
        tell = _in_json(teller.tell) if options.json else teller.tell
        plans = options.replay is None if options.test_drive is None else options.test_drive
        events = _events(options, ended.is_set)
        listening = Listening(events, recording, watch, tell, every=options.every, plans=plans)
        typed = TypedEvidence(watch.text, options.record, system)
        with _typed(options, listening, typed, teller):
            listening.run()
    watch.take_offered()
    answer, lines = _whole_answer(options, listening, system)
    answer["typed"] = [line.as_data() for line in typed.lines]
    if options.keep is not None:
        _keep(options, listening)
        answer["kept"] = str(options.keep)
        lines.insert(1, command_texts.CASE_IS_KEPT.format(keep=options.keep))
    return answer, lines


@contextmanager
def _typed(options: argparse.Namespace, listening: Listening, typed: TypedEvidence, teller: _Teller) -> Iterator[None]:
    """Lines typed meanwhile count as evidence, where a person is at the terminal or it was asked for."""
    from ui.command.typed_input import at_terminal, typed_lines

    def take(line: str) -> None:
        try:
            words = typed.take(line, listening.running_for)
        except InputError as error:
            for fault in error.faults:
                teller.line(command_texts.NOT_TAKEN.format(line=line, wanted=fault.wanted))
        else:
            listening.take_typed(typed.text, words)

    wanted = at_terminal() if options.typed is None else options.typed
    if not wanted:
        yield
        return
    teller.line(command_texts.TYPE_WHAT_YOU_READ)
    with typed_lines(take):
        yield


def _keep(options: argparse.Namespace, listening: Listening) -> None:
    """Write the case with this reading as its record, and with what was typed."""
    from engcalc.case.file import write_case
    from ui.live.watch import with_reading

    watch, codes = listening.watch, () if listening.told is None else listening.told.codes
    log = (options.output or options.replay).resolve().relative_to(options.keep.resolve().parent).as_posix()
    write_case(with_reading(watch.text, watch.record, log, codes), options.keep)


def _check(options: argparse.Namespace) -> None:
    """Every fault of the arguments at once."""
    faults = []
    if options.before is not None and options.record == "before":
        faults.append(InputFault("--record", "before", command_texts.WITH_BEFORE_ONLY_AFTER_WOULD_DO))
    if options.before is not None and options.plan is not None:
        faults.append(InputFault("--before", str(options.before), command_texts.WITHOUT_PLAN_IT_WOULD_DO))
    if options.record is None:
        options.record = "before" if options.before is None else "after"
    if options.plan is not None and (options.port is not None or options.replay is not None):
        faults.append(InputFault("--plan", options.plan, command_texts.WITHOUT_PORT_AND_REPLAY_IT_WOULD_DO))
    elif options.plan is None and (options.port is None) == (options.replay is None):
        faults.append(InputFault("--port", "", command_texts.EITHER_PORT_TO_READ_A_VEHICLE))
    if options.port is not None and options.output is None:
        faults.append(InputFault("--output", "", command_texts.NAME_OF_THE_LOG_TO_BE_WRITTEN_WOULD_DO))
    log = options.output or options.replay
    if options.keep is not None and log is not None and not _beside(log, options.keep):
        faults.append(InputFault("--keep", str(options.keep), command_texts.FOLDER_OF_THE_LOG_WOULD_DO))
    if not 0.0 < options.speed <= FASTEST:
        faults.append(InputFault("--speed", f"{options.speed:g}", command_texts.MORE_THAN_0.format(fastest=FASTEST)))
    if not options.every > 0.0:
        faults.append(InputFault("--every", f"{options.every:g}", command_texts.MORE_THAN_0_WOULD_DO))
    if options.minutes is not None and not options.minutes > 0.0:
        faults.append(InputFault("--minutes", f"{options.minutes:g}", command_texts.MORE_THAN_0_WOULD_DO))
    if faults:
        raise InputError(tuple(faults))


def _beside(log: Path, case: Path) -> bool:
    """Whether a case may name this log: it lies in the case's folder, or beneath it."""
    return log.resolve().is_relative_to(case.resolve().parent)


def _case_and_logs(options: argparse.Namespace) -> tuple[CaseText | None, Logs]:
    """The case with the run before the repair in it, where there is one, and that run's log."""
    from engcalc.case.file import read_case
    from ui.command.named_case import folder_of
    from ui.live.before_run import logs_beside, with_before

    text = None if options.case is None else read_case(options.case)
    if options.before is not None:
        return with_before(text, options.before)
    return text, {} if text is None else logs_beside(text, options.record, folder_of(options.case))


def _plan(options: argparse.Namespace) -> Answer:
    """A test drive for a case, without a vehicle."""
    from engcalc.case.file import NO_FOLDER, read_case
    from ui.command.named_case import folder_of
    from ui.live.planning import plan_for

    text = None if options.case is None else read_case(options.case)
    folder = NO_FOLDER if options.case is None else folder_of(options.case)
    planned = plan_for(text, options.record, folder, cold=options.plan == "cold")
    return {"event": "test_drive", **plan_json(planned)}, plan_lines(planned)


def plan_lines(planned: Planned) -> list[str]:
    """The plan with its cautions, in lines."""
    from engcalc.words.workshop.drive_words import drive_cautions, drive_lines

    return [
        *drive_lines(planned.drive, found=planned.found),
        *(f"Caution: {text}" for text in drive_cautions(planned.drive)),
    ]


def plan_json(planned: Planned) -> JsonObject:
    """The plan as an object; ``legs`` is empty where nothing is worth driving (``next_check`` is looked at instead),
    ``danger_first`` where it is too dangerous, ``found_first`` where a fault was looked at and found."""
    drive = planned.drive
    if drive is None:
        first = {"danger_first": not planned.found, "found_first": planned.found}
        return {"at_s": planned.at, **first, "legs": [], "text": plan_lines(planned)}
    return {
        "at_s": planned.at,
        "danger_first": False,
        "found_first": False,
        "from_cold": drive.from_cold,
        "heater": drive.heater,
        "minutes": drive.minutes,
        "open_bits": drive.open_bits,
        "bits": drive.bits,
        "settled_after": drive.settled,
        "legs": [{"leg": x.leg, "minutes": x.minutes, "heater": x.heater} for x in drive.legs],
        "looks": list(drive.looks),
        "next_check": drive.next_check or None,
        "too_hot": list(drive.too_hot),
        "text": plan_lines(planned),
    }


def _events(options: argparse.Namespace, ended: Callable[[], bool]) -> Iterator[Event]:
    from ui.live.ports import opener
    from ui.live.reading import ReadingSetting, read_vehicle
    from ui.live.replay import replayed

    first: list[float] = []  # when it was first asked whether to stop: getting ready is no reading

    def stop() -> bool:
        now = time.monotonic()
        first[:] = first or [now]
        return ended() or (options.minutes is not None and now > first[0] + 60.0 * options.minutes)

    if options.replay is None:
        return read_vehicle(ReadingSetting(opener(options.port, options.baud), stop, patient=False))
    from engcalc.logs.log import read_log

    return replayed(read_log(options.replay), options.speed, stop)


@contextmanager
def _ended_by_ctrl_c(ended: threading.Event) -> Iterator[None]:
    """Ctrl-C ends the reading and not the program; where that cannot be arranged, it is left as it is."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, lambda *_: ended.set())
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


class _Teller:
    """News as lines on standard error, each thing once."""

    def __init__(self, system: UnitSystem) -> None:
        self._system = system
        self._key_on = self._enough = self._passed = self._proof = ""
        self._heard: tuple[str, ...] = ()

    def line(self, words: str) -> None:
        """One line."""
        from engcalc.words.terms.foreign import visible

        sys.stderr.write(visible(words) + "\n")
        sys.stderr.flush()

    def tell(self, news: News) -> None:
        """Whatever there is to tell."""
        from engcalc.diagnosis.danger_now import Alarm
        from engcalc.words.workshop.drive_words import leg_now_line
        from engcalc.words.workshop.live_words import alarm_line, freeze_frame_line
        from ui.live.events import Connected, ReadingMark
        from ui.live.planning import LegNow, Planned
        from ui.live.watch import Judged

        if isinstance(news, Alarm):
            self.line(f"\a{'!' * 60}\n{alarm_line(news, self._system)}\n{'!' * 60}")
        elif isinstance(news, Judged):
            self._judged(news)
        elif isinstance(news, Planned):
            for line in plan_lines(news):
                self.line(line)
        elif isinstance(news, LegNow):
            self.line(leg_now_line(news.drive, news.number))
        elif isinstance(news, Connected):
            told = news.told
            self.line(
                command_texts.VALUES_CAN_BE_READ.format(
                    adapter=told.adapter, protocol=told.protocol, asked_of_count=len(told.asked_of)
                )
            )
            if told.frozen:
                self.line(freeze_frame_line(told.frozen_by, told.frozen, self._system))
        elif isinstance(news, ReadingMark) and news.kind.name != "RATES":
            over = news.kind.name == "ENDED"
            self.line(f"{news.kind.value}: {news.words}." + f" {shared_texts.LAST_ANSWER_IS_WORKED_OUT}" * over)

    def _judged(self, news: Judged) -> None:
        from engcalc.words.diagnosis.proof_words import so_far_sentence
        from engcalc.words.workshop.live_words import enough_lines, key_on_line, passed_line

        said = "" if news.key_on is None else key_on_line(news.key_on, self._system)
        if said != self._key_on:
            self._key_on = said
            self.line(said)
        self.line(judged_line(news, self._system))
        if news.settles != self._heard:
            self._heard = news.settles
            sys.stderr.write("\a" if news.settles else "")
        still = "" if news.enough is None else " ".join(enough_lines(news.enough))
        if still != self._enough:
            self._enough = still
            self.line(still)
        passed = passed_line(news.passed)
        if passed != self._passed:
            self._passed = passed
            self.line(passed or command_texts.ODDS_FELL_BELOW)
        if news.proof is not None and news.proof.proof.value != self._proof:
            self._proof = news.proof.proof.value
            self.line(so_far_sentence(news.proof, self._system))


def _in_json(also: Callable[[News], None]) -> Callable[[News], None]:
    """News as a JSON object to a line on standard output, and told to whoever else listens."""

    def tell(news: News) -> None:
        from engcalc.words.terms.foreign import visible

        line = visible(json.dumps(news_json(news), ensure_ascii=False, allow_nan=False))
        sys.stdout.write(line + "\n")  # at one go: answers come on a thread of their own
        sys.stdout.flush()
        also(news)

    return tell


def news_json(news: News) -> JsonObject:
    """One piece of news. Values are in the unit that the log has, times in seconds since reading began; an answer's
    from the engine's start."""
    from engcalc.diagnosis.danger_now import Alarm
    from engcalc.units import ZERO_CELSIUS
    from ui.live.events import Connected, ReadingMark, Sample
    from ui.live.planning import LegNow, Planned

    if isinstance(news, Sample):
        return {"event": "value", "at_s": news.at, **_value(news), "control_unit": news.unit}
    if isinstance(news, ReadingMark):
        return {"event": "mark", "at_s": news.at, "what": news.kind.value, "text": news.words}
    if isinstance(news, Connected):
        return {"event": "connected", "at_s": news.at, **vehicle_json(news.told)}
    if isinstance(news, Alarm):
        hot = {"coolant_degC": news.T - ZERO_CELSIUS, "limit_degC": news.limit - ZERO_CELSIUS}
        return {"event": "danger", "at_s": news.at, "what": news.code.value, "danger": news.danger.value, **hot}
    if isinstance(news, Planned | LegNow):
        return _drive_json(news)
    return {"event": "answer", **_course(news)}


def _drive_json(news: Planned | LegNow) -> JsonObject:
    """A plan, or which of its legs is due, from 1; one more than there are where all are over."""
    from engcalc.words.workshop.drive_words import leg_now_line
    from ui.live.planning import Planned

    if isinstance(news, Planned):
        return {"event": "test_drive", **plan_json(news)}
    return {"event": "leg", "number": news.number + 1, "text": leg_now_line(news.drive, news.number)}


def _value(sample: Sample) -> JsonObject:
    """A value in the unit that the log has."""
    from ui.live.recording import sample_cells

    _, name, value, unit, _ = sample_cells(sample)
    return {"name": name, "value": float(value), "unit": unit}


def judged_line(news: Judged, system: UnitSystem) -> str:
    """One renewed answer on one line; while the engine stands, by the time of the reading."""
    from engcalc.words.diagnosis.conclusion_words import conclusion_label
    from engcalc.words.terms.numbers import temperature
    from engcalc.words.workshop.live_words import clock, moment, odds_line

    at = clock(news.at) if news.started else moment(news.at, None)
    shown = "coolant not read" if news.coolant is None else f"coolant {temperature(news.coolant, system)}"
    if news.odds is None or news.conclusion is None:
        return f"{at}  {shown}"
    return f"{at}  {shown}  {conclusion_label(news.conclusion)}; {odds_line(news.odds)}"


def _whole_answer(options: argparse.Namespace, listening: Listening, system: UnitSystem) -> Answer:
    """What the record as a whole says, in the words of ``diagnose``, and how the reading went."""
    from engcalc.diagnosis.enough import enough, odds_passed
    from engcalc.diagnosis.odds.diagnosis import diagnose
    from engcalc.diagnosis.repair.before_after import compare
    from engcalc.diagnosis.settled import with_odds
    from engcalc.diagnosis.whole_check import check_with_records
    from engcalc.logs.channels import Channel
    from engcalc.logs.log import read_log
    from engcalc.vehicle.warmup_study import WarmupStudy
    from engcalc.words.diagnosis.proof_words import proof_sentences
    from engcalc.words.workshop.live_words import enough_lines, passed_line
    from ui.command.as_json import conclusion_json
    from ui.command.warming import before_after_json

    recording, watch = listening.recording, listening.watch
    samples = sum(recording.samples.values())
    answer: JsonObject = {
        "event": "end",
        "log": None if options.output is None else str(options.output),
        "samples": samples,
        "gaps": recording.gaps,
        "vehicle": None if listening.told is None else vehicle_json(listening.told),
        "dangers": [{"what": a.code.value, "at_s": a.at} for a in listening.alarms],
        "course": [_course(judged) for judged in listening.judged],
        "test_drives": [plan_json(planned) for planned in listening.planned],
    }
    lines = [command_texts.VALUES_WERE_READ.format(samples=samples, gaps=recording.gaps)]
    if options.output is not None:
        lines.append(command_texts.THEY_STAND_IN.format(output=options.output))
    if not recording.samples.get(Channel.COOLANT):
        return {**answer, "status": "nothing to judge"}, [
            *lines,
            command_texts.COOLANT_WAS_NOT_READ,
        ]
    log = read_log(recording.so_far())
    logs = watch.logs_with(log)
    case = watch.case_of(listening.told)
    read = check_with_records(case, logs)
    found = diagnose(case, logs, record=options.record)
    whole = replace(read, check=with_odds(read.check, options.record, found.causes))
    answer["conclusion"] = conclusion_json(whole.check, system, [c.fault for c in found.causes[:3]])
    answer["causes"] = [{"fault": c.fault, "probability": c.probability, "error": c.error} for c in found.causes]
    seen = enough(found.causes, whole.conclusion, getattr(case.evidence, options.record).seen)
    answer["settled"], answer["open"] = list(seen.settled), list(seen.open)
    passed = odds_passed(listening.judged[-1].passed if listening.judged else None, found.causes, log.end)
    answer["odds_passed"], answer["record_over_s"] = _passed_json(passed), log.end
    lines += [*enough_lines(seen), passed_line(passed, log.end)]
    both = compare(WarmupStudy(case, whole.records))
    answer["before_after"] = None if both is None else before_after_json(both, system)
    proven = () if both is None else ("", *proof_sentences(both, system))
    return answer, [*lines, *proven, "", *_lines_of_whole(whole, found, system)]


def _lines_of_whole(whole: WholeCheck, found: Diagnosis, system: UnitSystem) -> list[str]:
    """Conclusion and causes of the whole record, in the words of ``diagnose``."""
    from engcalc.words.answer.answer import comes_before_odds, headline, state_told
    from engcalc.words.diagnosis.causes_told import diagnosis_lines

    first = comes_before_odds(whole.check, found.record)
    return [
        headline(whole.check, system),
        "",
        *diagnosis_lines(found, system, first, state_told(whole.check, found.record)),
    ]


def vehicle_json(told: VehicleTold) -> JsonObject:
    """What adapter and vehicle say of themselves."""
    from ui.live.events import Sample

    return {
        "adapter": told.adapter,
        "protocol": told.protocol,
        "units": list(told.units),
        "vin": told.vin,
        "codes": list(told.codes),
        "pending": list(told.pending),
        "freeze_frame": {"code": told.frozen_by, "values": [_value(Sample(0.0, *one)) for one in told.frozen.items()]}
        if told.frozen_by
        else None,
    }


def _course(judged: Judged) -> JsonObject:
    from engcalc.units import ZERO_CELSIUS

    odds, found = judged.odds, judged.conclusion
    return {
        "time_s": judged.at,
        "started": judged.started,
        "coolant_degC": None if judged.coolant is None else judged.coolant - ZERO_CELSIUS,
        "conclusion": None if found is None else found.state.value,
        "danger": None if found is None else found.danger.value,
        "causes": [] if odds is None else [{"fault": c.fault, "probability": c.probability} for c in odds.causes[:5]],
        "settled": [] if judged.enough is None else list(judged.enough.settled),
        "open": [] if judged.enough is None else list(judged.enough.open),
        "odds_passed": _passed_json(judged.passed),
        "proof": None if judged.proof is None else _proof_so_far(judged.proof),
    }


def _passed_json(passed: OddsPassed | None) -> JsonObject | None:
    """Since when the odds of these causes together are past nine in ten."""
    return None if passed is None else {"causes": list(passed.causes), "at_s": passed.at}


def _proof_so_far(both: BeforeAfter) -> JsonObject:
    """What the record shows so far beside the one before the repair; ``stands``: it shows something."""
    from engcalc.units import ZERO_CELSIUS
    from ui.command.as_json import number

    at = both.at_same_heat
    return {
        "proof": both.proof.value,
        "stands": both.stands,
        "odds_less_passes": None if both.odds is None else number(both.odds),
        "before_at_same_heat_degC": None if at is None else number(float(at.before[-1]) - ZERO_CELSIUS),
    }
