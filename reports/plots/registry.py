"""Every picture of the program, one entry each: its key, its title, who builds it, where on screen, where on paper.

A panel, a view or a page shows the pictures of its own place, in the order of this list. To add a picture, write its
builder beside the others in this folder and its entry here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.diagnosis.repair.before_after import BeforeAfter
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.choice.least_core import LeastCore
from engcalc.studies.choice.sizing import Sizing
from engcalc.studies.duties.cycle import Cycle
from engcalc.studies.spread.sensitivity import Sensitivities
from engcalc.studies.sweeps import MarginMap, Sweep
from engcalc.studies.teaching import TaughtDuty
from engcalc.units import UnitSystem
from engcalc.vehicle.earlier import EarlierVisit
from engcalc.vehicle.moment import RecordMoment
from engcalc.vehicle.run import records
from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.words.lesson.class_symbols import symbols_for
from engcalc.words.page.picture_words import NO_HEAT, NO_STEADY_STATE
from reports.plots.balance import heat_balance
from reports.plots.bench import bench_effectiveness, bench_profiles, bench_sizes, wilson_plot
from reports.plots.causes import curves_chart
from reports.plots.circuit import cause_circuit, duty_circuit, moment_circuit
from reports.plots.describe import Plot
from reports.plots.earlier import earlier_runs, openings_over_visits, times_over_visits
from reports.plots.exchanger import duty_effectiveness, resistances, rig_effectiveness
from reports.plots.f_chart import f_chart
from reports.plots.front import front_chart
from reports.plots.measured import readings, rig
from reports.plots.proof import before_after_chart, so_far_chart
from reports.plots.studies import (
    cycle_chart,
    flow_shares,
    margin_picture,
    options_picture,
    sensitivity_picture,
    sweep_chart,
)
from reports.plots.teaching import (
    fan_chart,
    lumped_chart,
    pump_chart,
    radiator_profiles,
    taught_effectiveness,
    taught_heat,
    taught_resistances,
)
from reports.plots.temperatures import margins, temperatures
from reports.plots.warmup import places_chart, residual_chart, warmup_chart


@dataclass(frozen=True, eq=False)
class ChosenDuty:
    """A check and the duty of it that is looked at; None where the check has no duty."""

    check: Check
    duty: DutyCheck | None


S = TypeVar("S")  # what the pictures of a place are made from


@dataclass(frozen=True, eq=False)
class PicturePlace(Generic[S]):
    """A spot on the screen or on paper that shows every picture of its own. ``name`` says where that is."""

    name: str


class Screen:
    """The places on the screen."""

    READINGS: PicturePlace[ChosenDuty] = PicturePlace("verdict, beneath the reasons")
    BENCH: PicturePlace[ChosenDuty] = PicturePlace("verdict, the points of a rig")
    EXCHANGER: PicturePlace[ChosenDuty] = PicturePlace("bench, beneath the sliders")
    TEACHING: PicturePlace[TaughtDuty] = PicturePlace("charts, beneath the sliders")
    DUTY: PicturePlace[ChosenDuty] = PicturePlace("verdict, the chosen duty")
    CIRCUIT: PicturePlace[ChosenDuty] = PicturePlace("verdict, the circuit at the chosen duty")
    MORE: PicturePlace[ChosenDuty] = PicturePlace("verdict, beneath the table of results")
    CAUSES: PicturePlace[Diagnosis] = PicturePlace("causes, beneath the evidence")
    WARMUP: PicturePlace[RecordStudy] = PicturePlace("warm-up, beneath the verdict on it")
    WARMUP_CIRCUIT: PicturePlace[RecordMoment] = PicturePlace("warm-up, the circuit at a moment, under the curve")
    WARMUP_END: PicturePlace[RecordStudy] = PicturePlace("warm-up, at the end")
    LIVE: PicturePlace[RecordStudy] = PicturePlace("live, the curve as it grows")
    LIVE_PROOF: PicturePlace[BeforeAfter] = PicturePlace("live, before and after as the record grows")
    PROOF: PicturePlace[BeforeAfter] = PicturePlace("before/after, beneath the sentence")
    EARLIER: PicturePlace[Sequence[EarlierVisit]] = PicturePlace("jobs, the same vehicle before")
    LIMITS: PicturePlace[Sizing] = PicturePlace("studies, what limits")
    COURSES: PicturePlace[Cycle] = PicturePlace("studies, all duties, each course in time")
    LEAST_CORE: PicturePlace[LeastCore] = PicturePlace("studies, least core")
    SWEEP: PicturePlace[Sweep] = PicturePlace("studies, sweep")
    MAP: PicturePlace[MarginMap] = PicturePlace("studies, map")
    SENSITIVITY: PicturePlace[Sensitivities] = PicturePlace("studies, sensitivity")


class Paper:
    """The places in a report."""

    READINGS: PicturePlace[ChosenDuty] = PicturePlace("customer's page one, or what we measured and saw")
    SIZING_PAGE: PicturePlace[ChosenDuty] = PicturePlace("sizing report, page one")
    HARDEST_DUTY: PicturePlace[ChosenDuty] = PicturePlace("sizing report, the hardest duty")
    COURSES: PicturePlace[Cycle] = PicturePlace("sizing report, each course in time")
    LEAST_CORE: PicturePlace[LeastCore] = PicturePlace("sizing report, the least core")
    CURVES: PicturePlace[TaughtDuty] = PicturePlace("sizing report, fan and pump on their curves")
    MEASURED: PicturePlace[ChosenDuty] = PicturePlace("sizing report, predicted beside measured")
    LESSON_PAGE: PicturePlace[ChosenDuty] = PicturePlace("lesson, page one and on")
    TEACHING: PicturePlace[TaughtDuty] = PicturePlace("lesson, charts of the deciding duty")
    CAUSES: PicturePlace[Diagnosis] = PicturePlace("what may be behind it")
    WARMUP: PicturePlace[RecordStudy] = PicturePlace("the warm-up, each record")
    PROOF: PicturePlace[BeforeAfter] = PicturePlace("customer's page one, what changed")


def _always(_subject: Any) -> bool:
    return True


def _no_words(_subject: Any) -> str:
    return ""


@dataclass(frozen=True, eq=False)
class PictureEntry(Generic[S]):
    """One picture. None for ``screen`` or ``paper`` means that it is not shown there.

    ``builder`` gives None where there is nothing to draw. ``instead`` then says why, on the screen; without words
    nothing is shown. A picture that it leaves without a title has that of its entry. ``screen_if`` says whether the
    picture is worth its room on the screen.
    """

    key: str
    title: str
    builder: Callable[[S, UnitSystem], Plot | None]
    screen: PicturePlace[S] | None
    paper: PicturePlace[S] | None
    instead: Callable[[S], str] = _no_words
    screen_if: Callable[[S], bool] = _always

    def build(self, subject: S, system: UnitSystem) -> Plot | None:
        """The picture of a subject in a system of units; None where there is nothing to draw."""
        plot = self.builder(subject, system)
        if plot is None or plot.words.title:
            return plot
        return replace(plot, words=replace(plot.words, title=self.title))


def _of_check(build: Callable[[Check, UnitSystem], Plot | None]) -> Callable[[ChosenDuty, UnitSystem], Plot | None]:
    """A builder that looks at the whole check, whichever duty is chosen."""
    return lambda chosen, system: build(chosen.check, system)


def _of_duty(
    build: Callable[[Check, DutyCheck, UnitSystem], Plot | None],
) -> Callable[[ChosenDuty, UnitSystem], Plot | None]:
    """A builder that looks at the chosen duty; nothing is drawn where there is none."""
    return lambda chosen, system: None if chosen.duty is None else build(chosen.check, chosen.duty, system)


def _no_heat(chosen: ChosenDuty) -> str:
    """Why no heat is drawn for the chosen duty."""
    if chosen.duty is None:
        return ""
    return NO_STEADY_STATE if chosen.duty.margin is None else NO_HEAT


def _several_duties(chosen: ChosenDuty) -> bool:
    return len(chosen.check.duties) > 1


def _causes(found: Diagnosis, system: UnitSystem) -> Plot:
    return curves_chart(found, records(found.case)[found.record], system)


PICTURES: tuple[PictureEntry[Any], ...] = (
    PictureEntry(
        "heat_balance",
        "Heat balance",
        _of_duty(lambda _check, duty, system: heat_balance(duty, system)),
        Screen.DUTY,
        Paper.HARDEST_DUTY,
        instead=_no_heat,
    ),
    PictureEntry(
        "temperatures",
        "Temperatures",
        _of_duty(lambda check, duty, system: temperatures(duty, check.case, system)),
        Screen.DUTY,
        Paper.HARDEST_DUTY,
    ),
    PictureEntry("earlier_runs", "This vehicle's warm-ups", earlier_runs, Screen.EARLIER, None),
    PictureEntry("earlier_times", "Time to temperature over the visits", times_over_visits, Screen.EARLIER, None),
    PictureEntry("earlier_openings", "What the shut valve passes", openings_over_visits, Screen.EARLIER, None),
    PictureEntry("duty_circuit", "The circuit at this duty", _of_duty(duty_circuit), Screen.CIRCUIT, None),
    PictureEntry(
        "margins",
        "Margins of all duties",
        _of_check(margins),
        Screen.MORE,
        Paper.SIZING_PAGE,
        screen_if=_several_duties,
    ),
    PictureEntry(
        "readings",
        "Readings against what is expected",
        _of_check(readings),
        Screen.READINGS,
        Paper.READINGS,
    ),
    PictureEntry(
        "resistances",
        "Thermal resistances of the radiator",
        _of_duty(lambda _check, duty, system: resistances(duty, system)),
        Screen.MORE,
        Paper.HARDEST_DUTY,
    ),
    PictureEntry(
        "effectiveness",
        "Effectiveness and NTU",
        _of_duty(
            lambda check, duty, _system: duty_effectiveness(duty, check.plant.arrangement, symbols_for(check.case))
        ),
        Screen.MORE,
        None,
    ),
    PictureEntry(
        "rig",
        "Measured against computed",
        _of_check(lambda check, _system: rig(check)),
        Screen.BENCH,
        Paper.MEASURED,
    ),
    PictureEntry(
        "rig_effectiveness",
        "Measured points on the effectiveness-NTU chart",
        _of_check(lambda check, _system: rig_effectiveness(check)),
        Screen.BENCH,
        None,
    ),
    PictureEntry(
        "bench_sizes",
        "Effectiveness and NTU on the bench",
        _of_check(lambda check, _system: bench_sizes(check)),
        Screen.EXCHANGER,
        Paper.LESSON_PAGE,
    ),
    PictureEntry(
        "bench_F",
        "Correction F of the mean temperature difference",
        _of_check(lambda check, _system: f_chart(check)),
        Screen.EXCHANGER,
        Paper.LESSON_PAGE,
    ),
    PictureEntry(
        "bench_profiles",
        "Temperatures along the exchanger",
        _of_check(bench_profiles),
        Screen.EXCHANGER,
        Paper.LESSON_PAGE,
    ),
    PictureEntry(
        "wilson",
        "Wilson plot",
        _of_check(wilson_plot),
        Screen.EXCHANGER,
        Paper.LESSON_PAGE,
    ),
    PictureEntry(
        "bench_effectiveness",
        "Effectiveness, measured and computed",
        _of_check(bench_effectiveness),
        Screen.EXCHANGER,
        Paper.LESSON_PAGE,
    ),
    PictureEntry(
        "taught_effectiveness",
        "The duty between effectiveness and NTU",
        taught_effectiveness,
        Screen.TEACHING,
        Paper.TEACHING,
    ),
    PictureEntry(
        "radiator_profiles", "Temperatures through the radiator", radiator_profiles, Screen.TEACHING, Paper.TEACHING
    ),
    PictureEntry("taught_resistances", "The chain of resistances", taught_resistances, Screen.TEACHING, Paper.TEACHING),
    PictureEntry("fan_and_way", "Fan and the air's way", fan_chart, Screen.TEACHING, Paper.TEACHING),
    PictureEntry("pump_and_circuit", "Pump and circuit", pump_chart, Screen.TEACHING, Paper.TEACHING),
    PictureEntry("fan_curve", "The fan on its curve", fan_chart, None, Paper.CURVES),
    PictureEntry("pump_curve", "The pump on its curve", pump_chart, None, Paper.CURVES),
    PictureEntry("taught_heat", "The duty's heat", taught_heat, Screen.TEACHING, Paper.TEACHING),
    PictureEntry("lumped_warmup", "A lump that warms", lumped_chart, Screen.TEACHING, Paper.TEACHING),
    PictureEntry("causes", "What each cause would show", _causes, Screen.CAUSES, Paper.CAUSES),
    PictureEntry("cause_circuit", "Where it would be lost", cause_circuit, Screen.CAUSES, Paper.CAUSES),
    PictureEntry("warmup", "Coolant after the start", warmup_chart, Screen.WARMUP, Paper.WARMUP),
    PictureEntry("live_warmup", "Coolant so far", warmup_chart, Screen.LIVE, None),
    PictureEntry("live_before_after", "Before and after so far", so_far_chart, Screen.LIVE_PROOF, None),
    PictureEntry("warmup_residual", "Measured less fitted", residual_chart, Screen.WARMUP_END, Paper.WARMUP),
    PictureEntry("warmup_circuit", "The circuit at a moment", moment_circuit, Screen.WARMUP_CIRCUIT, None),
    PictureEntry("warmup_places", "Elsewhere in the vehicle", places_chart, Screen.WARMUP_END, None),
    PictureEntry("before_after", "Before and after the repair", before_after_chart, Screen.PROOF, Paper.PROOF),
    PictureEntry("course", "Course in time", cycle_chart, Screen.COURSES, Paper.COURSES),
    PictureEntry(
        "options",
        "What each change gains",
        options_picture,
        Screen.LIMITS,
        None,
        screen_if=lambda found: found.limiting.side is not None,  # bars of nothing would be drawn as long as any
    ),
    PictureEntry("front", "Cores that hold", front_chart, Screen.LEAST_CORE, Paper.LEAST_CORE),
    PictureEntry("sweep", "Sweep", sweep_chart, Screen.SWEEP, None),
    PictureEntry("margin_map", "Map of the margin", margin_picture, Screen.MAP, None),
    PictureEntry("sensitivity", "What the temperature hangs on", sensitivity_picture, Screen.SENSITIVITY, None),
    PictureEntry(
        "air_shares",
        "What holds the air back",
        lambda found, _system: flow_shares(found, coolant=False),
        Screen.SENSITIVITY,
        None,
    ),
    PictureEntry(
        "coolant_shares",
        "What holds the coolant back",
        lambda found, _system: flow_shares(found, coolant=True),
        Screen.SENSITIVITY,
        None,
    ),
)


def pictures_at(place: PicturePlace[S]) -> tuple[PictureEntry[S], ...]:
    """The pictures of a place, on screen or on paper, in their order."""
    return tuple(entry for entry in PICTURES if place in (entry.screen, entry.paper))


def drawn_at(place: PicturePlace[S], subject: S, system: UnitSystem) -> tuple[Plot, ...]:
    """The pictures of a place on paper, made from its subject; those with nothing to draw are left out."""
    made = (entry.build(subject, system) for entry in pictures_at(place))
    return tuple(plot for plot in made if plot is not None)
