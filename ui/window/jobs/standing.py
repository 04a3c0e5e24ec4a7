"""How far a step of a job is: read off what stands typed and the newest check. No Qt."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from engcalc.case.records import SEEN_FACTS
from engcalc.case.sections.job import reason_told
from engcalc.case.text import CaseText
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import job_texts

if TYPE_CHECKING:
    from engcalc.diagnosis.conclusion import Conclusion
    from engcalc.studies.checked import Check

LONGEST = 40  # letters of a text that a line quotes


@dataclass(frozen=True, eq=False)
class Standing:
    """What there is to judge a step by. ``check`` is None while there is no answer to what stands typed."""

    text: CaseText
    check: Check | None = None
    exported: CaseText | None = None  # what stood typed when a report was last written

    @property
    def conclusion(self) -> Conclusion | None:
        """What is said of the vehicle; None while the answer is being worked out."""
        if self.check is None:
            return None
        from engcalc.diagnosis.conclusion import conclude  # a check is there, so that this is loaded

        found = conclude(self.check)
        return found if found.outranks or not self.check.unfinished else None

    @property
    def says_something(self) -> bool:
        """Whether the answer is about what stands typed, and not only about a typical vehicle of the class."""
        from engcalc.diagnosis.grounds import VehicleState

        found = self.conclusion
        return found is not None and (found.asked or found.state is not VehicleState.NOTHING_TO_JUDGE)


@dataclass(frozen=True)
class StepState:
    """Whether a step has what it needs, and in one line what is in it."""

    done: bool
    line: str


# ---- a complaint -----------------------------------------------------------------------------------------------------


def complaint(now: Standing) -> StepState:
    """Why the vehicle is here, and which class it is of."""
    kind = now.text.typed("vehicle.class").strip()
    reason = now.text.typed("job.reason").strip() or _reason_by_signs(now.text)
    if not reason:
        return StepState(False, "nothing entered" if not kind else job_texts.WHY_IT_IS_HERE_IS_MISSING)
    if not kind:
        return StepState(False, job_texts.VEHICLE_CLASS_IS_MISSING)
    return StepState(True, f"{reason}, {kind}")


def _reason_by_signs(text: CaseText) -> str:
    """The reason that follows from what the customer tells, as the report will give it; empty where none does."""
    told = text.get("job.told")
    signs = {sign: so for sign, so in told.items() if isinstance(so, bool)} if isinstance(told, Mapping) else {}
    return reason_told(signs, text.typed("job.coolant_lost_at").strip() or None) or ""


def readings(now: Standing) -> StepState:
    """What was read and seen before the repair."""
    said = record_line(now.text, "before")
    return StepState(bool(said), said or "none yet")


def answer(now: Standing) -> StepState:
    """What is said of the vehicle."""
    found = now.conclusion
    if found is None or now.check is None:
        return StepState(False, "no answer yet")
    from engcalc.words.answer.answer import check_label

    return StepState(settled(found), check_label(now.check))


def settled(found: Conclusion) -> bool:
    """Whether the vehicle's state is known."""
    from engcalc.diagnosis.grounds import VehicleState

    return found.state not in (VehicleState.CANNOT_TELL, VehicleState.NOTHING_TO_JUDGE)


def repair(now: Standing) -> StepState:
    """What was done to the vehicle."""
    done = now.text.typed("job.work_done").strip()
    if done:
        return StepState(True, shortened(done))
    return StepState(False, "refill entered" if now.text.get("refill") else "nothing done yet")


def proof(now: Standing) -> StepState:
    """What was read and seen after the repair."""
    said = record_line(now.text, "after")
    return StepState(bool(said), said or job_texts.NOTHING_READ_AFTER_A_REPAIR)


def paper(now: Standing) -> StepState:
    """Whether a report of what stands typed was written."""
    if now.exported is None:
        return StepState(False, "not exported")
    fresh = now.exported == now.text
    return StepState(fresh, "exported" if fresh else job_texts.CHANGED_SINCE_THE_EXPORT)


# ---- parts to be chosen ----------------------------------------------------------------------------------------------


def vehicle(now: Standing) -> StepState:
    """Which class of vehicle it is."""
    kind = now.text.typed("vehicle.class").strip()
    return StepState(bool(kind), kind or job_texts.VEHICLE_CLASS_IS_MISSING)


def duties(now: Standing) -> StepState:
    """What the parts have to hold. A duty of which nothing but its name is typed asks for nothing yet."""
    listed = now.text.get("duties")
    every = listed if isinstance(listed, list) else []
    if not every:
        return StepState(False, job_texts.THOSE_OF_THE_CLASS)
    named = ({k: v for k, v in duty.items() if k != "name"} for duty in every if isinstance(duty, dict))
    empty = sum(1 for typed in named if not _leaves(typed))
    if empty:
        return StepState(False, job_texts.STILL_EMPTY.format(empty=empty, duties=counted(len(every), "duty", "duties")))
    return StepState(True, counted(len(every), "duty", "duties"))


def parts(now: Standing) -> StepState:
    """What is known of the parts."""
    count = sum(_leaves(now.text.get(section)) for section in ("radiator", "airflow", "circuit", "thermostat"))
    return StepState(count > 0, f"{count} typed" if count else job_texts.TYPICAL_OF_THE_CLASS)


def capacity(now: Standing) -> StepState:
    """Whether the duties are held."""
    if now.check is None or now.check.verdict is None:
        return StepState(False, "no answer yet")
    from engcalc.words.answer.answer import check_label

    return StepState(now.says_something and parts(now).done, check_label(now.check))


def choice(now: Standing) -> StepState:
    """Whether parts that hold every duty were found: those of the class are nobody's choice."""
    if now.check is None or now.check.verdict is None or not now.says_something:
        return StepState(False, "no answer yet")
    if not parts(now).done:
        return StepState(False, job_texts.NO_PART_CHOSEN_YET)
    from engcalc.verdict import Verdict

    holds = now.check.verdict is Verdict.HOLDS
    return StepState(holds, job_texts.EVERY_DUTY_IS_HELD if holds else job_texts.NOT_EVERY_DUTY_IS_HELD)


# ---- a lesson --------------------------------------------------------------------------------------------------------


def rig(now: Standing) -> StepState:
    """What was measured on a rig, or the duties of a problem."""
    points, asked = _length(now.text.get("rig")), _length(now.text.get("duties"))
    said = [counted(points, "point", "points")] if points else []
    said += [counted(asked, "duty", "duties")] if asked else []
    problems = _length(now.text.get("problems"))
    said += [counted(problems, "problem", "problems")] if problems else []
    return StepState(bool(said), ", ".join(said) or "no point measured")


def sheets(_now: Standing) -> StepState:
    """Problem sheets stand beside the case: nothing of them is kept in it."""
    return StepState(False, "for a class")


def rig_view(now: Standing) -> str:
    """An exchanger of two fluids is worked in its own view, where a table is pasted too; a radiator has its verdict."""
    of_two_fluids = now.text.typed("hot_stream.fluid") and now.text.typed("cold_stream.fluid")
    return "Bench" if of_two_fluids or not rig(now).done else "Verdict"


def charts_view(now: Standing) -> str:
    """A bench has its charts in its own view, a duty under Charts; the points of a radiator's rig with the verdict."""
    if now.check is not None and now.check.bench is not None:
        return "Bench"
    return "Charts" if now.check is not None and now.check.duties and not now.check.rig else "Verdict"


def worked(now: Standing) -> StepState:
    """Whether there is something to look at: what was measured or asked, worked out."""
    if not rig(now).done:
        return StepState(False, job_texts.NOTHING_TO_WORK_OUT_YET)
    there = now.check is not None and not now.check.unfinished
    return StepState(there, "worked out" if there else "no answer yet")


# ---- what gets a job on most -----------------------------------------------------------------------------------------


def best_of_complaint(now: Standing) -> str:
    """The key of the step that gets a complaint on most."""
    if not complaint(now).done:
        return "complaint"
    if repair(now).done:
        return "paper" if proof(now).done else "proof"
    if not readings(now).done:
        return "readings"
    found = now.conclusion
    if found is None:
        return "answer"
    if found.green:
        return "paper"
    from engcalc.diagnosis.grounds import Rank

    return "repair" if found.rank is Rank.FOUND else "answer"


def best_of_sizing(now: Standing) -> str:
    """The key of the step that gets a choice of parts on most."""
    if not vehicle(now).done:
        return "vehicle"
    if not duties(now).done:
        return "duties"
    if not parts(now).done:
        return "parts"
    return "paper" if choice(now).done else "choice"


def best_of_lesson(now: Standing) -> str:
    """The key of the step that gets a lesson on most."""
    return "working" if rig(now).done else "rig"


# ---- counting --------------------------------------------------------------------------------------------------------


def detail(now: Standing) -> StepState:
    """How many values are typed in the whole case."""
    count = sum(_leaves(node) for key, node in now.text.tree.items() if key != "format")
    return StepState(False, f"{counted(count, 'value', 'values')} typed")


def record_line(text: CaseText, record: str) -> str:
    """What a record holds, in words; empty where it holds nothing that can be judged by."""
    place = f"evidence.{record}"
    spots, seen, codes = (text.get(f"{place}.{key}") for key in ("spots", "seen", "codes"))
    read = sum(1 for spot in spots if isinstance(spot, dict) and spot.get("value")) if isinstance(spots, list) else 0
    known = seen.items() if isinstance(seen, dict) else ()
    looked = sum(1 for fact, value in known if fact in SEEN_FACTS and isinstance(value, bool))
    said = ["a log"] if text.get(f"{place}.log") else []
    said += ["a typed curve"] if text.get(f"{place}.curve") else []
    said += [counted(read, "reading", "readings")] if read else []
    said += [f"{looked} seen"] if looked else []
    said += [counted(_length(codes), "code", "codes")] if _length(codes) else []
    return ", ".join(said)


def counted(count: int, one: str, many: str) -> str:
    """A number with its noun."""
    return f"{count} {one if count == 1 else many}"


def shortened(said: str) -> str:
    """The beginning of a text, on one line."""
    plain = capital(" ".join(said.split()))
    return plain if len(plain) <= LONGEST else f"{plain[: LONGEST - 1].rstrip()}…"


def _length(node: object) -> int:
    return len(node) if isinstance(node, list) else 0


def _leaves(node: object) -> int:
    """How many values stand in this part of a case."""
    return sum(1 for _ in _values(node))


def _values(node: object) -> Iterator[object]:
    if isinstance(node, dict) and "value" not in node:
        for inner in node.values():
            yield from _values(inner)
    elif isinstance(node, list) and node and all(isinstance(item, dict) for item in node):
        for item in node:
            yield from _values(item)
    elif node is not None:
        yield node
