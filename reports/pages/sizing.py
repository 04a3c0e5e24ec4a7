"""The pages of a sizing report: what was asked, what comes of it, what limits it, and predicted beside measured."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from reportlab.platypus.flowables import Flowable

from engcalc.case.case import Case
from engcalc.case.catalogue import Leaf, members
from engcalc.case.declare import FileShape
from engcalc.case.records import Duty, RigPoint
from engcalc.components.core import CoreResult, RatedScale, RatedStatus
from engcalc.diagnosis.conclusion import conclude
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.rig import RigCheck
from engcalc.system.plant import ScaledTo
from engcalc.system.state import Status
from engcalc.units import Array, UnitSystem, plain_number
from engcalc.verdict import FindingCode
from engcalc.words.answer import capacity_sentence, headline, speaks_for_the_class
from engcalc.words.numbers import capital, chance, heat, share
from engcalc.words.reasons import deciding, duty_sentence, verdict_label
from engcalc.words.results import RESULTS, ResultRow
from engcalc.words.sizing_words import cycle_sentences
from reports.formulas import symbol_markup
from reports.kinds import Order
from reports.layout import HeadedTable, Marked, boxed, facts, grid, heading, para, subheading, title
from reports.pages.front import danger_part, who_and_what
from reports.pages.mending import HOT
from reports.pages.pictures import figures
from reports.pages.values import as_given, label_of, quantity
from reports.pages.verdicts import ink_of
from reports.plots.registry import ChosenDuty, Paper
from reports.texts import markup

TITLE = "Cooling system check"
HARDEST, WHAT_LIMITS = "The hardest duty", "What limits it"  # heads the duty that decides; the latter where it is hot
DUTIES_ABREAST = 5  # columns of duties beside the column of labels
LABELS = 0.32  # of the width
ELSEWHERE = ("holds_probability", "spread_low_degC", "spread_high_degC")  # results with a table of their own
LEAST_HEAT = 0.001  # W; what is below this is rounding
NOTHING = ("", "0", "0 kW", "0 BTU/h", "0 hp", "0 kg/s", "0 lb/min")  # a row of nothing but these is left out
SPEED = "engine_speed_rev_s"  # means nothing without an engine


def sizing_page(order: Order, width: float) -> list[Flowable]:
    """Page one: whose it is, the verdict, each duty in a sentence, all margins in one picture."""
    check = order.check
    said = [[duty.name, verdict_label(duty.verdict), _in_words(duty, order.system)] for duty in check.duties]
    return [
        title(check.case.job.title or TITLE),
        *danger_part(order, width),
        *who_and_what(order, width),
        *_asked(check.case),
        heading("Verdict"),
        boxed(_verdict(check, order.system), width, ink_of(check)),
        grid(HeadedTable(("Duty", "Verdict", "In words"), said, shares=(0.22, 0.14, 0.64)), width),
        *figures(Paper.SIZING_PAGE, ChosenDuty(check, None), order.system, width),
    ]


def _verdict(check: Check, system: UnitSystem) -> list[Flowable]:
    """What is said of the vehicle; where that is not of its duties, their verdict under its own name."""
    beside = "" if speaks_for_the_class(conclude(check)) else capacity_sentence(check, system)
    return [para(headline(check, system), "lead"), *([para(beside)] if beside else [])]


def _in_words(duty: DutyCheck, system: UnitSystem) -> str:
    """The duty's sentence without its name, which stands beside it."""
    said = duty_sentence(duty, system).removeprefix(f"{duty.name}: ")
    return capital(said)


def _asked(case: Case) -> list[Flowable]:
    complaint = (case.job.complaint or "").strip()
    return [heading("What was asked"), para(complaint, "quote")] if complaint else []


def duties_part(order: Order, width: float) -> list[Flowable]:
    """What was asked of the system, duty by duty, and what is the same for all."""
    case = order.check.case
    leaves = [leaf for leaf in members(Duty) if isinstance(leaf, Leaf) and leaf.input.shape is not FileShape.TEXT]
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
    same = [f"{label_of(f'duties[].{key}').lower()} {rows[key][0]}" for key in rows if key not in typed]
    shown = [(label_of(f"duties[].{key}"), rows[key]) for key in rows if key in typed]
    parts = _abreast(order.check.duties, shown, width)
    if same:
        parts.append(para(f"In every duty, typical and not typed: {'; '.join(same)}.", "small"))
    return parts


def results_part(order: Order, width: float) -> list[Flowable]:
    """The operating points: every result of every duty."""
    rows = [
        (_result_label(row), [_result(row, duty, order.system) for duty in order.check.duties])
        for row in RESULTS
        if row.key not in ELSEWHERE and (order.check.plant.engine.present or row.key != SPEED)
    ]
    shown = [(label, values) for label, values in rows if any(value not in NOTHING for value in values)]
    return [
        *_abreast(order.check.duties, shown, width),
        *_odds(order, width),
        *_courses(order, width),
    ]


def _courses(order: Order, width: float) -> list[Flowable]:
    """Laps, work cycles and duties one after another: in words and as curves."""
    parts: list[Flowable] = []
    for course in order.check.courses:
        parts += [
            subheading("One after another" if not course.repeats else "Round after round"),
            *(para(text) for text in cycle_sentences(course, order.system)),
            *figures(Paper.COURSES, course, order.system, width),
        ]
    return parts


def _abreast(
    duties: Sequence[DutyCheck], rows: Sequence[tuple[str | Marked, Sequence[str]]], width: float
) -> list[Flowable]:
    """A table with a column for each duty, in as many tables as the page's width asks for."""
    tables = -(-len(duties) // DUTIES_ABREAST)
    abreast = -(-len(duties) // tables) if tables else 1  # ten duties make two tables of five
    parts = []
    for first in range(0, len(duties), abreast):
        some = range(first, min(first + abreast, len(duties)))
        body = [[label, *(values[i] for i in some)] for label, values in rows if any(values[i] for i in some)]
        columns = (LABELS, *[(1.0 - LABELS) / max(abreast, 3)] * len(some))
        head = ("", *(duties[i].name for i in some))
        shares = tuple(c / sum(columns) for c in columns)
        parts.append(
            grid(HeadedTable(head, body, frozenset(range(1, len(some) + 1)), shares=shares), width * sum(columns))
        )
    return parts


def _result_label(row: ResultRow) -> Marked:
    return Marked(f"{markup(row.label)} {symbol_markup(row.symbol)}", f"{row.label} {row.symbol}")


def _result(row: ResultRow, duty: DutyCheck, system: UnitSystem) -> str:
    value = row.getter(duty)
    if value is not None and "heat rate" in row.kind and abs(value) < LEAST_HEAT:
        return f"under {quantity(LEAST_HEAT, row.kind, system, 1)}" if row.kind == "small heat rate" else "0"
    return quantity(value, row.kind, system)


def _odds(order: Order, width: float) -> list[Flowable]:
    """Spread and odds of each duty, where they were computed."""
    rows = [
        [
            duty.name,
            quantity(duty.spread_low, "temperature", order.system),
            quantity(duty.spread_high, "temperature", order.system),
            chance(duty.holds_probability),
        ]
        for duty in order.check.duties
        if duty.holds_probability is not None and duty.status is Status.SOLVED
    ]
    if not rows:
        return []
    head = ("Duty", "Coolant out, 5 %", "95 %", "That it holds is")
    return [
        subheading("How sure"),
        grid(HeadedTable(head, rows, frozenset({1, 2}), shares=(0.3, 0.18, 0.16, 0.36)), width),
    ]


def limits_part(order: Order, width: float) -> list[Flowable]:
    """What limits the deciding duty: heat, temperatures and resistances as pictures."""
    duty = deciding(order.check)
    if duty is None or duty.verdict is None:
        return []
    words = WHAT_LIMITS if duty.verdict in HOT else HARDEST
    return [
        heading(f"{words}: {duty.name}"),
        para(duty_sentence(duty, order.system)),
        *_short_of(duty, order.system, width),
        *figures(Paper.HARDEST_DUTY, ChosenDuty(order.check, duty), order.system, width),
    ]


def _short_of(duty: DutyCheck, system: UnitSystem, width: float) -> list[Flowable]:
    """The numbers of what limits a hot duty, where they were found."""
    found = next((f.numbers for f in duty.findings if f.code is FindingCode.WHAT_LIMITS), None)
    if found is None:
        return []
    return facts(
        [
            ("Heat handed to the radiator", heat(found["handed"], system)),
            ("Given off at the limit", heat(found["given_at_limit"], system)),
            ("Resistance on the air side", share(found["air_share"])),
            ("Resistance on the coolant side", share(found["coolant_share"])),
            ("Air into the core", quantity(found["air_in"], "temperature", system)),
            ("Air at the core's face", quantity(found["air_velocity"], "air speed", system)),
            ("Coolant through the radiator", quantity(found["radiator_flow"], "mass flow", system)),
        ],
        width,
        190,
    )


def measured_part(order: Order, width: float) -> list[Flowable]:
    """Predicted beside measured: a maker's point, and the points of a rig."""
    check = order.check
    parts = [*_rated(check.rated, check.case, order.system, width), *_rig(check.rig, check.case, order.system, width)]
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
        words = "No core of this arrangement gives that heat at those flows: the dimensions alone count."
    elif case.radiator.ua_scale is not None or case.radiator.scale_to != ScaledTo.RATED.value:
        words = (
            f"The maker's point asks for {plain_number(float(rated.ua_scale[0]))} times the conductance; as "
            "entered, the prediction is not scaled to it."
        )
    else:
        words = (
            f"From here on the conductance is multiplied by {plain_number(float(rated.ua_scale[0]))}, so that the "
            "maker's point comes out."
        )
    rows = [["Heat at the maker's point", given, predicted]]
    return [
        grid(HeadedTable(("", "Maker", "From the dimensions"), rows, frozenset({1, 2}), shares=(0.4, 0.3, 0.3)), width),
        para(words),
    ]


_RIG_ROWS = (
    ("heat_hot", "Heat given by the coolant", "heat rate"),
    ("heat_cold", "Heat taken by the air", "heat rate"),
    ("effectiveness", "Effectiveness", "number"),
    ("NTU", "NTU", "number"),
    ("UA", "UA", "conductance"),
    ("hot_out", "Coolant out", "temperature"),
    ("cold_out", "Air out", "temperature"),
)


_AFTER: Mapping[str, Callable[[CoreResult], Array]] = {
    "heat_hot": lambda c: c.Q,
    "heat_cold": lambda c: c.Q,
    "effectiveness": lambda c: c.effectiveness,
    "NTU": lambda c: c.NTU,
    "UA": lambda c: c.UA,
    "hot_out": lambda c: c.T_coolant_out,
    "cold_out": lambda c: c.T_air_out,
}


def _after(point: RigCheck, name: str, kind: str, system: UnitSystem) -> tuple[str, ...]:
    """The same number once the points have scaled the conductance, where they do."""
    return () if point.scaled is None else (quantity(float(_AFTER[name](point.scaled)[0]), kind, system, 4),)


def _entered(case: Case, index: int, system: UnitSystem) -> str:
    """The flows and temperatures of a measured point as they were typed: a reader works the rest out from them."""
    paths = [f"rig[{index}].{leaf.key}" for leaf in members(RigPoint) if isinstance(leaf, Leaf)]
    typed = [f"{label_of(path).lower()} {value}" for path in paths if (value := as_given(case, path, system))]
    return f"Point {index + 1} as entered: {', '.join(typed)}."


def _rig(points: Sequence[RigCheck], case: Case, system: UnitSystem, width: float) -> list[Flowable]:
    parts: list[Flowable] = []
    for i, point in enumerate(points):
        rows = []
        for name, label, kind in _RIG_ROWS:
            one = getattr(point, name)
            spread_kind = "temperature difference" if kind == "temperature" else kind
            rows.append(
                [
                    label,
                    quantity(one.measured, kind, system, 4),
                    f"± {quantity(one.uncertainty, spread_kind, system, 2)}" if one.uncertainty > 0.0 else "",
                    quantity(one.computed, kind, system, 4),
                    *_after(point, name, kind, system),
                ]
            )
        after = ("Scaled",) if point.scaled is not None else ()
        head = (
            f"Point {i + 1}",
            "Measured",
            "Standard uncertainty",
            "From the dimensions" if after else "Computed",
            *after,
        )
        shares = (0.28, 0.18, 0.18, 0.18, 0.18) if after else (0.34, 0.22, 0.22, 0.22)
        parts.append(para(_entered(case, i, system), "small"))
        parts.append(
            grid(
                HeadedTable(head, rows, frozenset({1, 2, 3, 4}) if after else frozenset({1, 2, 3}), shares=shares),
                width,
            )
        )
        parts.append(
            para(
                f"The two heats differ by {plain_number(100.0 * point.balance, 2)} % of their mean "
                f"(standard uncertainty {plain_number(100.0 * point.balance_uncertainty, 2)} %). UA: the "
                f"difference is {plain_number(point.E_n, 2)} times the expanded uncertainties together; "
                "within 1 they explain it.",
                "small",
            )
        )
    return parts
