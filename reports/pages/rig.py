"""Measured points of a rig: as entered, the heat of both streams, effectiveness, NTU and UA, and their working."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from reportlab.platypus.flowables import Flowable

from engcalc.case.bench_records import RigPoint
from engcalc.case.case import Case
from engcalc.case.catalogue import DeclaredInput, members
from engcalc.components.core import CoreResult
from engcalc.studies.rig import RigCheck
from engcalc.system.plant import Plant
from engcalc.units import Array, UnitSystem, plain_number
from engcalc.words.page.paper_words import HEATS_DIFFER, POINT_WORKING, POINTS_ALIKE, WORKING_LEAD
from engcalc.words.texts import page_texts
from engcalc.working.chapters import WorkedChapter
from engcalc.working.rig_chain import RigResults, work_point
from reports.kinds import Order
from reports.layout import HeadedTable, grid, heading, para, room
from reports.pages.derivation import MOST_WORKED, WORKING_ROOM, chapter_part
from reports.pages.values import as_given, label_of, quantity

_RIG_ROWS = (
    ("heat_hot", page_texts.HEAT_GIVEN_BY_THE_COOLANT, "heat rate"),
    ("heat_cold", page_texts.HEAT_TAKEN_BY_THE_AIR, "heat rate"),
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
    paths = [f"rig[{index}].{leaf.key}" for leaf in members(RigPoint) if isinstance(leaf, DeclaredInput)]
    typed = [f"{label_of(path).lower()} {value}" for path in paths if (value := as_given(case, path, system))]
    return page_texts.POINT_AS_ENTERED.format(index=index + 1, typed=", ".join(typed))


def rig_tables(points: Sequence[RigCheck], case: Case, system: UnitSystem, width: float) -> list[Flowable]:
    """Every measured point: what was entered, and what comes of it beside what the dimensions give."""
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
                HeadedTable(head, rows, frozenset(range(1, len(head))), small=True, shares=shares),
                width,
            )
        )
        parts.append(
            para(
                HEATS_DIFFER.format(
                    percent=plain_number(100.0 * point.balance, 2),
                    doubt=plain_number(100.0 * point.balance_uncertainty, 2),
                    times=plain_number(point.E_n, 2),
                ),
                "small",
            )
        )
    return parts


def point_working_part(order: Order, width: float) -> list[Flowable]:
    """The working of the first measured point and of those that do not agree, line by line."""
    points = order.check.rig
    printed = [i for i, point in enumerate(points) if i < MOST_WORKED or not point.agrees]
    rest = ", ".join(str(i + 1) for i in range(len(points)) if i not in printed)
    leads = [WORKING_LEAD, *([POINTS_ALIKE.format(points=rest)] if rest else [])]  # told once
    parts: list[Flowable] = []
    for i in printed:
        chapters = worked_point(order.check.plant, order.check.case, points[i])
        parts += [
            room(WORKING_ROOM),
            heading(POINT_WORKING.format(number=i + 1)),
            *(para(lead, "small") for lead in (leads if i == 0 else ())),
            *(part for chapter in chapters for part in chapter_part(chapter, width, order.write)),
        ]
    return parts


def worked_point(plant: Plant, case: Case, point: RigCheck) -> tuple[WorkedChapter, ...]:
    """The chapters of a measured point's working."""
    entered = case.rig[int(point.path.removeprefix("rig[").removesuffix("]"))]
    results = RigResults(
        point, entered.hot_in, entered.hot_out, entered.cold_in, entered.cold_out, plant.core.geometry.passes
    )
    return work_point(results, plant.arrangement)
