"""Measured points as a table: what a class pastes or keeps as CSV, into points of a case and out of it again.

A head names each column and its unit: ``hot flow [L/min]``, ``hot in [°C]``, ``cold out (K)``, ``group``. A fluid of
the rig may stand for its side, such as ``oil in``, where the two fluids differ. A column
``u hot in [K]`` holds the standard uncertainty of the one it names. Columns stand in any order, parted by tabs,
semicolons or commas. A cell may bring its own unit. Units may stand in a row of their own under the heads, and a first
column may count the points: it says nothing.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from engcalc.case.bench_records import RigPoint
from engcalc.case.catalogue import DeclaredInput, members
from engcalc.case.declare import FileShape
from engcalc.case.sections.bench import BY_NAME, BY_PROPERTIES
from engcalc.case.text import CaseText
from engcalc.errors import InputError, InputFault
from engcalc.units import with_unit
from engcalc.words.texts import case_texts

LARGEST = 200_000  # characters of a table
LONGEST_HEAD = 60  # characters of a head that are told again
_ALSO = {
    "m hot": "hot_flow",
    "mass flow hot": "hot_flow",
    "t hot in": "hot_in",
    "t h in": "hot_in",
    "th in": "hot_in",
    "t hot out": "hot_out",
    "t h out": "hot_out",
    "th out": "hot_out",
    "hot side in": "hot_in",
    "hot side out": "hot_out",
    "m cold": "cold_flow",
    "mass flow cold": "cold_flow",
    "t cold in": "cold_in",
    "t c in": "cold_in",
    "tc in": "cold_in",
    "t cold out": "cold_out",
    "t c out": "cold_out",
    "tc out": "cold_out",
    "cold side in": "cold_in",
    "cold side out": "cold_out",
    "air flow": "cold_flow",
    "air in": "cold_in",
    "air out": "cold_out",
    "coolant flow": "hot_flow",
    "coolant in": "hot_in",
    "coolant out": "hot_out",
    "team": "group",
}
"""Other heads that classes write, in plain letters."""
_COUNTS = ("point", "no", "nr", "number", "run", "test", "#", "№")
"""Heads of a column that only counts the points."""
_HEAD = re.compile(r"^\s*(?P<name>[^\[(]*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*)\s*[\])]+)?\s*$")
_UNIT = re.compile(r"[°%]|[^\W\d_]")  # how a unit begins: with a letter or its sign, never with a digit
NUMBERS = tuple(
    leaf.key for leaf in members(RigPoint) if isinstance(leaf, DeclaredInput) and leaf.input.shape is FileShape.NUMBER
)


@dataclass(frozen=True)
class _ColumnHead:
    """A column: which number (or the group) it holds, whether it is its uncertainty, and its unit."""

    key: str
    is_uncertainty: bool
    unit: str


def sides_by_fluid(case: CaseText) -> dict[str, str]:
    """Which side each fluid's name means, in full or by its last word; none where one name would mean both."""
    hot, cold = (_names_of(case.typed(f"{side}_stream.fluid")) for side in ("hot", "cold"))
    both = hot & cold
    return dict.fromkeys(hot - both, "hot") | dict.fromkeys(cold - both, "cold")


def _names_of(fluid: str) -> set[str]:
    """``engine oil`` is called so, or oil; a substance by its name or properties has no name of its own here."""
    return {fluid, fluid.rsplit(maxsplit=1)[-1]} if fluid and fluid not in (BY_NAME, BY_PROPERTIES) else set()


def points_of_table(text: str, sides: Mapping[str, str] | None = None) -> tuple[dict[str, Any], ...]:
    """Points as they stand in a case, from a table's text. Raises InputError with every fault and its row.

    ``sides`` says which side a fluid's name means, as :func:`sides_by_fluid` gives it.
    """
    if len(text) > LARGEST:
        raise InputError(
            (InputFault("rig", "", case_texts.TABLE_OF_AT_MOST_CHARACTERS_WOULD_DO.format(largest=LARGEST)),)
        )
    rows = [row for row in _rows(text) if any(cell.strip() for cell in row)]
    if len(rows) < 2:
        raise InputError(
            (InputFault("rig", "", case_texts.ROW_OF_HEADS_AND_A_ROW_FOR_EACH_POINT.format(wanted=_columns_wanted())),)
        )
    heads, faults = _heads(rows[0], sides or {})
    if not faults:
        faults = [*_missing(heads)]
    if faults:
        raise InputError(tuple(faults))
    heads, rows = _with_units_below(heads, rows[1:])
    points = []
    wrong = []
    for i, row in enumerate(rows):
        if len(row) > len(heads):
            wrong.append(
                InputFault(f"rig[{i}]", " ".join(row)[:60], case_texts.CELLS_WOULD_DO.format(heads_count=len(heads)))
            )
            continue
        points.append(_point(heads, row))
    if not rows:
        wrong.append(
            InputFault("rig", "", case_texts.ROW_OF_HEADS_AND_A_ROW_FOR_EACH_POINT.format(wanted=_columns_wanted()))
        )
    if wrong:
        raise InputError(tuple(wrong))
    return tuple(points)


def _rows(text: str) -> list[list[str]]:
    parter = max("\t;,", key=text.partition("\n")[0].count)
    return list(csv.reader(io.StringIO(text.lstrip("\ufeff")), delimiter=parter, skipinitialspace=True))


def _columns_wanted() -> str:
    return ", ".join(f"{name.replace('_', ' ')} [unit]" for name in NUMBERS)


def _heads(cells: Sequence[str], sides: Mapping[str, str]) -> tuple[list[_ColumnHead | None], list[InputFault]]:
    """What each column holds; None for one without a head, or that counts the points. Wrong heads are told together."""
    heads: list[_ColumnHead | None] = []
    wrong = []
    for cell in cells:
        if not cell.strip() or cell.strip(" .").lower() in _COUNTS:
            heads.append(None)
            continue
        head = _head_of(cell, sides)
        again = head is not None and any(_same(head, other) for other in heads)
        if head is None or again:
            wrong.append(cell.strip()[:LONGEST_HEAD])
        heads.append(head)
    if not wrong:
        return heads, []
    would_do = case_texts.EACH_OF_THESE_ONCE_WOULD_DO.format(wanted=_columns_wanted())
    return heads, [InputFault("rig", ", ".join(wrong), would_do)]


def _with_units_below(
    heads: Sequence[_ColumnHead | None], rows: list[list[str]]
) -> tuple[list[_ColumnHead | None], list[list[str]]]:
    """The heads with the units of a row under them, where there is one, and the rows of points that are left."""
    below = [cell.strip(" []()") for cell in rows[0]] + [""] * len(heads)
    pairs = list(zip(heads, below, strict=False))
    units = [unit for head, unit in pairs if head is not None and head.key != "group" and unit]
    if not units or not all(_UNIT.match(unit) for unit in units):
        return list(heads), rows
    return [head and replace(head, unit=unit or head.unit) for head, unit in pairs], rows[1:]


def _same(one: _ColumnHead, other: _ColumnHead | None) -> bool:
    """Whether two columns hold the same, in whatever unit."""
    return other is not None and (one.key, one.is_uncertainty) == (other.key, other.is_uncertainty)


def _head_of(cell: str, sides: Mapping[str, str]) -> _ColumnHead | None:
    match = _HEAD.match(cell)
    if match is None:
        return None
    plain = " ".join(re.split(r"[\s_,.]+", match["name"].strip().lower()))
    doubt = plain.startswith("u ")
    plain = plain.removeprefix("u ")
    fluid, _, what = plain.rpartition(" ")
    if fluid in sides:
        plain = f"{sides[fluid]} {what}"
    key = _ALSO.get(plain, plain.replace(" ", "_"))
    if key not in (*NUMBERS, "group") or (doubt and key == "group"):
        return None
    return _ColumnHead(key, doubt, (match["unit"] or "").strip())


def _missing(heads: Sequence[_ColumnHead | None]) -> Iterator[InputFault]:
    there = {head.key for head in heads if head is not None and not head.is_uncertainty}
    for name in NUMBERS:
        if name not in there:
            yield InputFault("rig", "", case_texts.COLUMN_IS_MISSING.format(name=name.replace("_", " ")))


def _point(heads: Sequence[_ColumnHead | None], row: Sequence[str]) -> dict[str, Any]:
    point: dict[str, Any] = {}
    for head, cell in zip(heads, row, strict=False):
        if head is None or not cell.strip():
            continue
        typed = cell.strip() if head.key == "group" else with_unit(cell.strip(), head.unit)
        kept = point.get(head.key)
        if head.is_uncertainty:
            stated = {} if kept is None else {"value": kept}
            point[head.key] = {**(kept if isinstance(kept, dict) else stated), "uncertainty": typed}
        elif isinstance(kept, dict):
            point[head.key] = {"value": typed, **kept}
        else:
            point[head.key] = typed
    return point


def table_of_points(case: CaseText) -> str:
    """The points of a case as CSV, every cell as it was typed, with its uncertainty beside where one was."""
    points = case.get("rig") or []
    doubts = [name for name in NUMBERS if any(_part_as_typed(point, name, "uncertainty") for point in points)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*("u " * (kind == "u") + name.replace("_", " ") for kind, name in _columns(doubts)), "group"])
    for point in points:
        cells = [
            _part_as_typed(point, name, "uncertainty" if kind == "u" else "value") for kind, name in _columns(doubts)
        ]
        writer.writerow([*cells, str(point.get("group", ""))])
    return out.getvalue()


def _columns(doubts: Sequence[str]) -> list[tuple[str, str]]:
    return [pair for name in NUMBERS for pair in (("", name), ("u", name)) if not pair[0] or name in doubts]


def _part_as_typed(point: Mapping[str, Any], name: str, part: str) -> str:
    kept = point.get(name, "")
    if isinstance(kept, dict):
        return str(kept.get(part, ""))
    return str(kept) if part == "value" else ""


def with_points(case: CaseText, points: Sequence[Mapping[str, Any]]) -> CaseText:
    """The case with these points in place of its own."""
    return case.with_value("rig", [dict(point) for point in points])
