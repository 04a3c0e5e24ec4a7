"""Real parts side by side: the case with each of up to six parts in it, checked over every duty.

Each candidate is the case's own text with the part's inputs put in, resolved and checked as any case is. So what is
said of a part is what ``check`` says of the case after it was adopted.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.errors import Cancelled, InputError, InputFault
from engcalc.studies.check import check
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.choice.core_builds import RATED_POINT, out_of_room, with_circuit_kept, with_old_scale
from engcalc.studies.choice.heat_points import HeatFit
from engcalc.studies.choice.tables import CataloguePart, notes_of
from engcalc.studies.crew import Crew
from engcalc.studies.members import Progress, Stop
from engcalc.studies.what_limits import what_limits
from engcalc.system.running_fan import while_fan_runs
from engcalc.verdict import Finding
from engcalc.words.texts import shared_texts, study_texts

MOST = 6
"""Parts that are laid side by side."""


@dataclass(frozen=True, eq=False)
class PartDuty:
    """What a candidate does in one duty; ``probability`` of holding [-], None where it has none.

    ``limits`` says which side limits. The drops [Pa] are the core's, ``fan_flow`` [m3/s] goes through one fan and
    ``fan_pressure`` [Pa] is the fan's: its point on its curve, of one that switches while it runs. 0 flow where none
    turns: without a fan (``has_fan``), held off, or cool enough without. ``fan_waits`` where it is off once settled.
    """

    duty: DutyCheck
    limits: Finding | None
    air_drop: float
    coolant_drop: float
    fan_flow: float
    fan_pressure: float
    has_fan: bool = True
    fan_waits: bool = False

    @property
    def probability(self) -> float | None:
        """Probability of holding [-]."""
        return self.duty.holds_probability


@dataclass(frozen=True, eq=False)
class Candidate:
    """One part in the case; ``part`` is None of the case as it is.

    ``text`` and ``checked`` are None where the part does not go into this case, its room for a core included, and
    ``why_not`` says why. ``heat`` is
    the factor through a core's points of heat.
    """

    part: CataloguePart | None
    text: CaseText | None
    checked: Check | None
    duties: tuple[PartDuty, ...]
    why_not: tuple[InputFault, ...] = ()
    heat: HeatFit | None = None

    @property
    def least_probability(self) -> float | None:
        """The least probability of holding over the duties [-]."""
        return min((d.probability for d in self.duties if d.probability is not None), default=None)


@dataclass(frozen=True, eq=False)
class Comparison:
    """The case as it is, then the parts in the order asked; ``notes`` are what is to be said of their tables."""

    case: Case
    candidates: tuple[Candidate, ...]
    notes: tuple[str, ...]


def bare(found: Comparison) -> Comparison:
    """The comparison without the columns that are only shown."""
    each = (c if c.part is None else replace(c, part=replace(c.part, beside={})) for c in found.candidates)
    return replace(found, candidates=tuple(each), notes=())


def chosen_parts(parts: Sequence[CataloguePart], names: Sequence[str], path: str) -> tuple[CataloguePart, ...]:
    """The parts of these names in their order; the first six where none is named.

    Raises InputError under ``path`` where a name is in no table, is there twice, or more than six are named.
    """
    if not names:
        return tuple(parts[:MOST])
    faults = []
    if len(names) > MOST:
        faults.append(InputFault(path, f"{len(names)} parts", shared_texts.AT_MOST_WOULD_DO.format(most=MOST)))
    found = []
    for name in dict.fromkeys(names):
        same = [part for part in parts if part.name.casefold() == name.strip().casefold()]
        if len(same) != 1:
            wanted = (
                study_texts.NAME_OUT_OF_THE_TABLES_WOULD_DO if not same else study_texts.SEVERAL_PARTS_HAVE_THIS_NAME
            )
            faults.append(InputFault(path, name, wanted))
        found += same[:1]
    if faults:
        raise InputError(tuple(faults))
    return tuple(found)


def with_part(text: CaseText, case: Case, part: CataloguePart) -> CaseText:
    """The text of a case with a part in it.

    A core leaves the circuit as it was sized with the first one. A core that brings no maker's point of its own keeps
    the factor that the old one gave. Another fan without a power or a diameter of its own does not have the old one's.
    Raises InputError where a core is larger than the room that the case states for it.
    """
    too_large = out_of_room(case, part.values)
    if too_large:
        raise InputError(too_large)
    typed = part.typed_in(case)
    for path in _of_the_old_part(typed):
        text = text.with_value(path, None)
    for path, value in typed.items():
        text = text.with_value(path, value)
    if not any(path.startswith("radiator.") for path in typed):
        return text
    text = with_circuit_kept(text, case)
    own_point = any(f"radiator.{name}" in typed for name in RATED_POINT) or "radiator.ua_scale" in typed
    return text if own_point else with_old_scale(text, case)


def _of_the_old_part(typed: Mapping[str, str]) -> Iterator[str]:
    """Inputs that described the part which goes out and say nothing of the new one."""
    if "airflow.fan_free_flow" in typed:
        yield from (path for path in ("airflow.fan_power", "airflow.fan_diameter") if path not in typed)
    if "radiator.ua_scale" in typed:
        yield from (f"radiator.{name}" for name in RATED_POINT if f"radiator.{name}" not in typed)
    if "radiator.rated_heat" in typed and "radiator.ua_scale" not in typed:
        yield "radiator.ua_scale"
    if "radiator.core_depth" in typed and "radiator.tube_width" not in typed:
        yield "radiator.tube_width"


def compare_parts(
    text: CaseText,
    parts: Sequence[CataloguePart],
    *,
    progress: Progress = None,
    cancelled: Stop = None,
    crew: Crew | None = None,
) -> Comparison:
    """A case as it is and with each part, checked; ``crew`` checks some of them beside this process.

    Raises InputError where the case itself is at fault, Cancelled.
    """
    case = resolve(text)
    if not isinstance(case, Case):
        raise InputError(case.faults)

    def go_on() -> None:
        if cancelled is not None and cancelled():
            raise Cancelled(shared_texts.COMPARISON_WAS_CANCELLED)

    go_on()
    asked = [(crew or Crew(1)).ask(_candidate, text, case, part) for part in (None, *parts)]
    found = []
    for k, one in enumerate(asked):
        go_on()
        found.append(one.result(go_on))
        if progress is not None:
            progress((k + 1) / len(asked))
    return Comparison(case, tuple(found), notes_of(parts))


def _candidate(text: CaseText, case: Case, part: CataloguePart | None) -> Candidate:
    try:
        changed = text if part is None else with_part(text, case, part)
        resolved = resolve(changed)
        if not isinstance(resolved, Case):
            return Candidate(part, None, None, (), resolved.faults)
        checked = check(resolved)
    except InputError as error:  # a core that cannot be built, an item of a list that is not there
        return Candidate(part, None, None, (), error.faults)
    fit = None if part is None else part.heat_fit_in(case)
    return Candidate(part, changed, checked, tuple(part_duty(checked, duty) for duty in checked.duties), heat=fit)


def part_duty(checked: Check, duty: DutyCheck) -> PartDuty:
    """What core and fan of a checked case do in one of its duties."""
    point = duty.point
    fans = max(float(checked.case.airflow.fan_count[0]), 1.0)
    has_fan = checked.case.airflow.fan_drive != "none"
    peak = None if duty.duration is None else duty.peak
    runs = while_fan_runs(checked.plant, conditions_of((duty.duty,)), point, peak)
    own_speed = float(point.fan_speed[0])
    turns = has_fan and (own_speed > 0.0 or bool((runs.fan_pressure != point.fan_pressure).any()))
    return PartDuty(
        duty=duty,
        limits=what_limits(point, duty.limit, None if duty.duration is None else duty.peak),
        air_drop=float(point.core.dp_air.ravel()[0]),
        coolant_drop=float(point.core.coolant_drop.dp.ravel()[0]),
        fan_flow=float(runs.fan_flow[0]) / fans if turns else 0.0,
        fan_pressure=float(runs.fan_pressure[0]) if turns else 0.0,
        has_fan=has_fan,
        fan_waits=has_fan and own_speed <= 0.0,
    )
