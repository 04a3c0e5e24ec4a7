"""The three jobs, each as a table of its steps in order. No Qt.

A step names what it shows at the left (first entries, sections of the form), the views at its right with the one that
opens first, and how far it is (:mod:`ui.window.jobs.standing`). Rail, menu and help read these tables and nothing else.
To add a step, add its entry here and its page in :mod:`engcalc.words.workshop.step_help`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum

from engcalc.case.text import CaseText
from engcalc.words.texts import job_texts
from ui.window.jobs import standing
from ui.window.jobs.standing import Standing, StepState


class FirstPart(Enum):
    """Which of the first entries stand in a step."""

    COMPLAINT = "complaint"  # why the vehicle is here, and which one it is
    READINGS = "readings"  # what was read and seen before a repair


@dataclass(frozen=True)
class FormPart:
    """What of the form stands in a step: some of the first entries, and sections with the keys shown of each.

    No keys stand for the whole section. ``opens`` is the section that is open from the beginning.
    """

    first: FirstPart | None = None
    sections: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    opens: str = ""

    @property
    def is_short(self) -> bool:
        """Whether a few entries of one section are all there is: they need no heading and no choice of depth."""
        return self.first is None and len(self.sections) == 1 and all(self.sections.values())

    def holds(self, path: str) -> bool:
        """Whether the field at a path stands in this part."""
        first = next((p for p in FIRST_PATHS if path == p or path.startswith((f"{p}.", f"{p}["))), None)
        if first is not None:
            return self.first is FIRST_PATHS[first]
        return any(_holds(section, keys, path) for section, keys in self.sections.items())


FIRST_PATHS: Mapping[str, FirstPart] = {
    "job.reason": FirstPart.COMPLAINT,
    "job.complaint": FirstPart.COMPLAINT,
    "job.told": FirstPart.COMPLAINT,
    "job.coolant_lost_at": FirstPart.COMPLAINT,
    "job.onset": FirstPart.COMPLAINT,
    "job.after_work": FirstPart.COMPLAINT,
    "vehicle.class": FirstPart.COMPLAINT,
    "engine.fuel": FirstPart.COMPLAINT,
    "evidence.before.ambient": FirstPart.READINGS,
    "evidence.before.heater_setting": FirstPart.READINGS,
    "evidence.before.driving": FirstPart.READINGS,
}
"""The inputs that stand among the first entries and nowhere else."""


def _holds(section: str, keys: tuple[str, ...], path: str) -> bool:
    if not keys:
        return path == section or path.startswith((f"{section}.", f"{section}["))
    places = [f"{section}.{key}" for key in keys]
    return any(path == place or path.startswith((f"{place}.", f"{place}[")) for place in places)


@dataclass(frozen=True)
class Step:
    """One step of a job. ``form`` is None where nothing is entered; ``views`` are named as in the menu View."""

    key: str
    title: str
    tip: str
    form: FormPart | None
    views: tuple[str, ...]
    state: Callable[[Standing], StepState]
    whole_form: bool = False  # the whole form as it is, not a part of it
    first_view: Callable[[Standing], str] | None = None  # which of them opens first, where that is not the first one

    def opens_at(self, now: Standing) -> str:
        """The view that opens with the step."""
        return self.views[0] if self.first_view is None else self.first_view(now)

    def holds(self, path: str) -> bool:
        """Whether the field at a path stands in this step."""
        return self.whole_form or (self.form is not None and self.form.holds(path))


VIEW_TIPS: Mapping[str, str] = {
    "Verdict": job_texts.WHAT_IS_SAID_AND_WHY,
    "Causes": job_texts.WHAT_MAY_BE_BEHIND_THE_COMPLAINT,
    "Warm-up": job_texts.COOLANT_OVER_TIME,
    "Live": job_texts.VEHICLE_READ_WHILE_IT_WARMS_UP,
    "Studies": job_texts.WHAT_LIMITS_WHICH_PARTS_WOULD_DO,
    "Refill": job_texts.HOW_MUCH_TO_DRAIN_AND_FILL,
    "Before/after": job_texts.WHAT_THE_REPAIR_CHANGED,
    "Bench": job_texts.MEASURED_POINTS_OF_ANY_EXCHANGER,
    "Charts": job_texts.CHARTS_OF_ONE_DUTY,
    "Sheets": job_texts.PROBLEM_SHEETS_WITH_KEYS_FOR_A_CLASS,
    "Working": job_texts.EVERY_NUMBER_WITH_ITS_FORMULA,
    "Paper": job_texts.PAGES_OF_THE_REPORT_AS_THEY_ARE_NOW,
}
"""The views by their names in the menu, each with what it shows."""

ABOUT = ("title", "work_order", "shop", "shop_contact", "customer", "vehicle", "registration", "vin", "odometer")
SIGNED = ("prepared_by", "credential", "date", "notes", "photos")
ON_A_VEHICLE = ("work_order", "customer", "vehicle", "registration", "vin", "odometer")
"""What of the paper's entries a lesson without a vehicle has no use for."""
PAPER_FORM = FormPart(sections={"job": (*ABOUT, *SIGNED)}, opens="job")

DETAIL = Step(
    "detail",
    "Every detail",
    job_texts.EVERY_ENTRY_THERE_IS,
    None,
    tuple(VIEW_TIPS),
    standing.detail,
    whole_form=True,
)
PAPER = Step(
    "paper",
    "Paper",
    job_texts.LETTERHEAD_AND_SIGNATURE,
    PAPER_FORM,
    ("Paper",),
    standing.paper,
)
COMPLAINT = (
    Step(
        "complaint",
        "Complaint",
        job_texts.WHY_THE_VEHICLE_IS_HERE,
        FormPart(FirstPart.COMPLAINT),
        ("Verdict",),
        standing.complaint,
    ),
    Step(
        "readings",
        "Readings",
        job_texts.WHAT_WAS_READ_AND_SEEN_ON_THE_VEHICLE,
        FormPart(FirstPart.READINGS, {"evidence.before": ()}),
        ("Warm-up", "Verdict", "Live"),
        standing.readings,
    ),
    Step(
        "answer",
        "Answer",
        job_texts.WHAT_MAY_BE_BEHIND_IT,
        None,
        ("Causes", "Verdict", "Warm-up"),
        standing.answer,
    ),
    Step(
        "repair",
        "Repair and refill",
        job_texts.WHAT_WAS_DONE,
        FormPart(sections={"job": ("work_done",)}, opens="job"),
        ("Refill",),
        standing.repair,
    ),
    Step(
        "proof",
        "Proof",
        job_texts.WHAT_WAS_READ_AFTER_THE_REPAIR,
        FormPart(sections={"evidence.after": ()}, opens="evidence.after"),
        ("Before/after", "Warm-up", "Live"),
        standing.proof,
    ),
    PAPER,
    DETAIL,
)
SIZING = (
    Step(
        "vehicle",
        "Vehicle",
        job_texts.WHICH_VEHICLE_IT_IS,
        FormPart(
            FirstPart.COMPLAINT,
            {"vehicle": (), "engine": (), "coolant": (), "heater": (), "cabin": ()},
        ),
        ("Verdict",),
        standing.vehicle,
    ),
    Step(
        "duties",
        "Duties",
        job_texts.WHAT_THE_COOLING_HAS_TO_HOLD,
        FormPart(sections={"duties": (), "limits": ()}, opens="duties"),
        ("Verdict", "Studies"),
        standing.duties,
    ),
    Step(
        "parts",
        "Parts",
        job_texts.RADIATOR_FAN_PUMP,
        FormPart(
            sections={
                "radiator": (),
                "airflow": (),
                "circuit": (),
                "thermostat": (),
                "job": ("part_tables", "candidates"),
            },
            opens="radiator",
        ),
        ("Verdict", "Studies"),
        standing.parts,
    ),
    Step(
        "capacity",
        "Answer",
        job_texts.WHETHER_EACH_DUTY_IS_HELD,
        None,
        ("Verdict", "Studies"),
        standing.capacity,
    ),
    Step(
        "choice",
        "Choice",
        job_texts.WHAT_EACH_CHANGE_OF_PARTS_GAINS,
        None,
        ("Studies",),
        standing.choice,
    ),
    PAPER,
    DETAIL,
)
LESSON = (
    Step(
        "rig",
        "Rig or problem",
        job_texts.EXCHANGER_WHAT_WAS_MEASURED_ON_IT,
        FormPart(
            FirstPart.COMPLAINT,
            {
                "hot_stream": (),
                "cold_stream": (),
                "exchanger": (),
                "rig": (),
                "problems": (),
                "radiator": (),
                "coolant": (),
                "duties": (),
            },
            opens="rig",
        ),
        ("Verdict", "Bench"),
        standing.rig,
        first_view=standing.rig_view,
    ),
    Step(
        "working",
        "Working",
        job_texts.EVERY_NUMBER_WITH_ITS_FORMULA_SHORT,
        None,
        ("Working",),
        standing.worked,
    ),
    Step(
        "charts",
        "Charts",
        job_texts.MEASURED_AGAINST_COMPUTED,
        None,
        ("Bench", "Charts", "Verdict", "Studies"),
        standing.worked,
        first_view=standing.charts_view,
    ),
    Step(
        "sheets",
        "Sheets",
        job_texts.PROBLEM_SHEETS_WITH_KEYS_FOR_A_CLASS,
        None,
        ("Sheets",),
        standing.sheets,
    ),
    PAPER,
    DETAIL,
)


@dataclass(frozen=True)
class JobSteps:
    """The steps of a job in order, and which of them gets it on most (by its key)."""

    steps: tuple[Step, ...]
    best: Callable[[Standing], str]

    def helps_most(self, now: Standing) -> Step | None:
        """The step that gets the job on most; None once a report of what stands typed was written."""
        if standing.paper(now).done:
            return None
        key = self.best(now)
        return next(step for step in self.steps if step.key == key)

    def step(self, key: str) -> Step:
        """The step of this key; the first one where the job has none such."""
        return next((step for step in self.steps if step.key == key), self.steps[0])

    def holding(self, path: str) -> Step:
        """The first step in which the field at a path stands."""
        return next(step for step in self.steps if step.holds(path))


_COMPLAINT = JobSteps(COMPLAINT, standing.best_of_complaint)
_BY_REASON: Mapping[str, JobSteps] = {
    "sizing": JobSteps(SIZING, standing.best_of_sizing),
    "lesson": JobSteps(LESSON, standing.best_of_lesson),
}
JOBS = (_COMPLAINT, *_BY_REASON.values())


def has_vehicle(text: CaseText) -> bool:
    """Whether the case is of a vehicle: every one but a lesson on a bench."""
    return text.typed("job.reason") != "lesson" or text.typed("vehicle.class") not in (None, "", "bench rig")


def job_of(text: CaseText) -> JobSteps:
    """The job that a case is, by the reason typed in it."""
    return _BY_REASON.get(text.typed("job.reason").strip(), _COMPLAINT)
