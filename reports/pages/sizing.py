"""The pages of a sizing report: what was asked, what comes of it, what limits it, and predicted beside measured."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.case.case import Case
from engcalc.case.catalogue import DeclaredInput, members
from engcalc.case.declare import FileShape
from engcalc.case.records import Duty
from engcalc.components.core import RatedScale, RatedStatus
from engcalc.diagnosis.conclusion import conclude
from engcalc.studies.checked import Check, DutyCheck
from engcalc.system.plant import ScaledTo
from engcalc.system.state import Status
from engcalc.units import UnitSystem, plain_number
from engcalc.words.answer.answer import capacity_sentence, headline, speaks_for_the_class
from engcalc.words.answer.explained import limits_of, why_undersized
from engcalc.words.answer.finding_sentences import given_at_limit
from engcalc.words.answer.reasons import deciding, duty_sentence, verdict_label
from engcalc.words.answer.results import RESULTS
from engcalc.words.page.paper_words import NO_SUCH_CORE, POINT_ASKS, SCALED_FROM_HERE, TYPICAL_IN_EVERY_DUTY
from engcalc.words.sizing.cooler_words import cooler_rows
from engcalc.words.sizing.sizing_words import cycle_sentences
from engcalc.words.terms.numbers import capital, chance, heat, odds_error
from engcalc.words.texts import page_texts, shared_texts
from reports.kinds import Order
from reports.layout import HeadedTable, abreast, boxed, facts, grid, half_width, heading, para, together
from reports.pages.duty_tables import NOTHING, result_label, shown_result, tables_abreast, whole_tables
from reports.pages.front import head_part
from reports.pages.mending import HOT
from reports.pages.pictures import figure, figures, figures_beside, unbound
from reports.pages.rig import rig_tables
from reports.pages.spread import spread_tables
from reports.pages.values import as_given, label_of, quantity
from reports.pages.verdicts import ink_of
from reports.plots.describe import Flow, Rows
from reports.plots.registry import ChosenDuty, Paper, drawn_at

HARDEST, WHAT_LIMITS = "The hardest duty", "What limits it"  # heads the duty that decides; the latter where it is hot
ELSEWHERE = (
    "holds_probability",
    "holds_probability_error",
    "spread_low_degC",
    "spread_high_degC",
)  # results with a table of their own
OF_A_VEHICLE = (  # results that mean nothing on a bench without an engine
    *("engine_speed_rev_s", "vent_degC", "cabin_degC", "thermostat_opening", "air_to_boil_degC"),
    *("boiling_degC", "boiling_margin_K", "limiting_ambient_degC", "fan_speed", "fan_on_share"),
)


def sizing_page(order: Order, width: float) -> list[Flowable]:
    """Page one: whose it is, the verdict, each duty in a sentence, all margins in one picture."""
    check = order.check
    said = [[duty.name, verdict_label(duty.verdict), _in_words(duty, order.system)] for duty in check.duties]
    return [
        *head_part(order, width),
        *_what_was_asked(check.case),
        heading("Verdict"),
        boxed(_verdict(check, order.system), width, ink_of(check)),
        grid(HeadedTable(("Duty", "Verdict", "In words"), said, small=True, shares=(0.24, 0.1, 0.66)), width),
        *figures(Paper.SIZING_PAGE, ChosenDuty(check, None), order.system, width),
    ]


def _verdict(check: Check, system: UnitSystem) -> list[Flowable]:
    """What is said of the vehicle; where that is not of its duties, their verdict under its own name."""
    beside = "" if speaks_for_the_class(conclude(check)) else capacity_sentence(check, system)
    why = why_undersized(check, system)
    return [para(headline(check, system), "lead"), *(para(text) for text in (beside, why) if text)]


def _in_words(duty: DutyCheck, system: UnitSystem) -> str:
    """The duty's sentence without its name, which stands beside it."""
    said = duty_sentence(duty, system).removeprefix(f"{duty.name}: ")
    return capital(said)


def _what_was_asked(case: Case) -> list[Flowable]:
    complaint = (case.job.complaint or "").strip()
    return [heading("What was asked"), para(complaint, "quote")] if complaint else []


def duties_part(order: Order, width: float) -> list[Flowable]:
    """What was asked of the system, duty by duty, and what is the same for all."""
    case = order.check.case
    leaves = [
        leaf for leaf in members(Duty) if isinstance(leaf, DeclaredInput) and leaf.input.shape is not FileShape.TEXT
    ]
    table = {
        leaf.key: [as_given(case, f"duties[{i}].{leaf.key}", order.system) for i in range(len(case.duties))]
        for leaf in leaves
    }
    rows = {key: values for key, values in table.items() if any(values)}
    typed = {
        key
        for key in rows
        for i in range(len(case.duties))
        if (given := case.given.get(f"duties[{i}].{key}")) is not None and given.typed
    }
    untyped = {key: values[0] for key, values in rows.items() if key not in typed and values[0]}
    same = [f"{label_of(f'duties[].{key}').lower()} {value}" for key, value in untyped.items()]
    shown = [(label_of(f"duties[].{key}"), rows[key]) for key in rows if key in typed]
    parts = whole_tables(order.check.duties, shown, width)
    if same and order.check.plant.engine.present:
        parts.append(para(TYPICAL_IN_EVERY_DUTY.format(inputs="; ".join(same)), "small"))
    return parts


def results_part(order: Order, width: float) -> list[Flowable]:
    """The operating points: every result of every duty. So long a table may break: whole, it left half a page empty."""
    bench, duties = not order.check.plant.engine.present, order.check.duties
    rows = [
        (result_label(row, order.write, bench=bench), [shown_result(row, duty, order.system) for duty in duties])
        for row in RESULTS
        if row.key not in ELSEWHERE and not (bench and row.key in OF_A_VEHICLE)
    ]
    shown = [(label, values) for label, values in rows if any(value not in NOTHING for value in values)]
    return tables_abreast(order.check.duties, shown, width)


def coolers_part(order: Order, width: float) -> list[Flowable]:
    """What every cooler beside the radiator does in every duty, settled; nothing where there is none."""
    rows = [
        (row.label, [quantity(value, row.kind, order.system) for value in row.values])
        for row in cooler_rows(order.check.duties)
    ]
    return whole_tables(order.check.duties, rows, width) if rows else []


def courses_part(order: Order, width: float) -> list[Flowable]:
    """Laps, work cycles and duties one after another: in words and as curves."""
    parts: list[Flowable] = []
    for course in order.check.courses:
        said = [para(text) for text in cycle_sentences(course, order.system)]
        pictures = figures_beside(Paper.COURSES, course, order.system, half_width(width))
        parts += [
            heading("One after another" if not course.repeats else "Round after round"),
            abreast(said, pictures, width),
        ]
    return parts


def how_sure_part(order: Order, width: float) -> list[Flowable]:
    """Spread and odds of each duty, where they were computed; of a sizing report also the study of the one that
    decides: intervals, shares of the variance, what to measure next."""
    rows = [
        [
            duty.name,
            quantity(duty.spread_low, "temperature", order.system),
            quantity(duty.spread_high, "temperature", order.system),
            chance(duty.holds_probability),
            odds_error(duty.holds_error),
        ]
        for duty in order.check.duties
        if duty.holds_probability is not None and duty.status is Status.SOLVED
    ]
    if not rows:
        return []
    head = ("Duty", "Coolant out, 5 %", "95 %", page_texts.THAT_IT_HOLDS_IS, "Error of that")
    table = HeadedTable(head, rows, frozenset({1, 2, 4}), small=True, shares=(0.3, 0.17, 0.13, 0.26, 0.14))
    return [grid(table, width), *spread_tables(order, width)]


def limits_part(order: Order, width: float) -> list[Flowable]:
    """What limits the deciding duty: heat, temperatures and resistances as pictures."""
    duty = deciding(order.check)
    if duty is None or duty.verdict is None:
        return []
    plots = drawn_at(Paper.HARDEST_DUTY, ChosenDuty(order.check, duty), order.system)
    words = WHAT_LIMITS if duty.verdict in HOT else HARDEST
    narrow = [plot for plot in plots if isinstance(plot, Rows) and not plot.marks]
    ways = [plot for plot in plots if isinstance(plot, Flow)]
    settles = duty.duty.duration is None  # the temperatures are those where it settles: not of a peak on the way
    wide = [plot for plot in plots if settles and plot not in narrow and plot not in ways]
    half = half_width(width)
    left = [*_short_of(duty, order.system, half), *unbound(narrow, half)]
    return [
        heading(f"{words}: {duty.name}"),
        para(duty_sentence(duty, order.system)),
        together([abreast(left, unbound(ways, half), width)]),
        *(figure(plot, width) for plot in wide),
    ]


def _short_of(duty: DutyCheck, system: UnitSystem, width: float) -> list[Flowable]:
    """The numbers of what limits a hot duty, where they were found."""
    limits = limits_of(duty)
    if limits is None:
        return []
    found = limits.numbers
    return facts(
        [
            (page_texts.HEAT_HANDED_TO_THE_RADIATOR, heat(found["handed"], system)),
            (page_texts.GIVEN_OFF_AT_THE_LIMIT, given_at_limit(limits, system)),
            (page_texts.AIR_INTO_THE_CORE, quantity(found["air_in"], "temperature", system)),
            (page_texts.AIR_AT_THE_CORES_FACE, quantity(found["air_velocity"], "air speed", system)),
            (shared_texts.COOLANT_THROUGH_THE_RADIATOR, quantity(found["radiator_flow"], "mass flow", system)),
        ],
        width,
        150,
    )


def measured_part(order: Order, width: float) -> list[Flowable]:
    """Predicted beside measured: a maker's point, and the points of a rig."""
    check = order.check
    parts = [
        *_rated(check.rated, check.case, order.system, width),
        *rig_tables(check.rig, check.case, order.system, width),
    ]
    if not parts:
        return []
    pictures = figures(Paper.MEASURED, ChosenDuty(check, None), order.system, width)
    return [*parts, *pictures]


def _rated(rated: RatedScale | None, case: Case, system: UnitSystem, width: float) -> list[Flowable]:
    if rated is None:
        return []
    predicted = quantity(float(rated.predicted.Q[0]), "heat rate", system)
    given = as_given(case, "radiator.rated_heat", system)
    if int(rated.status[0]) != RatedStatus.SCALED:
        words = NO_SUCH_CORE
    elif case.radiator.ua_scale is not None or case.radiator.scale_to != ScaledTo.RATED.value:
        words = POINT_ASKS.format(times=plain_number(float(rated.ua_scale[0])))
    else:
        words = SCALED_FROM_HERE.format(factor=plain_number(float(rated.ua_scale[0])))
    rows = [[page_texts.HEAT_AT_THE_MAKERS_POINT, given, predicted]]
    return [
        grid(HeadedTable(("", "Maker", "From the dimensions"), rows, frozenset({1, 2}), shares=(0.4, 0.3, 0.3)), width),
        para(words),
    ]
