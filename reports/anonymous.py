"""A case without who the customer is, which vehicle it was and who looked at it: by a list of what may stay.

Numbers, words out of our own lists and yes-or-no facts stay. Of what people write freely, only the fields named here
do. A key that no input has is dropped: nobody knows what stands there.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from typing import Any

from engcalc.case.case import Case
from engcalc.case.catalogue import Branch, DeclaredInput, catalogue, members, pattern_of
from engcalc.case.declare import FileShape
from engcalc.case.records import Record
from engcalc.case.sections import Sections
from engcalc.case.sections.job import Job
from engcalc.case.text import CaseText

FREE_TEXTS_THAT_STAY = frozenset(
    {
        "job.vehicle",
        "job.odometer",
        "job.complaint",
        "job.date",
        "job.work_done",
        "duties.name",
        "airflow.upstream.name",
        "circuit.extra.name",
        "evidence.before.codes",
        "evidence.after.codes",
    }
)
LEFT_OUT = {"file": "left-out.csv"}
"""Stands for a log: that there was one stays, its name and its columns do not."""
_CLOSED = (FileShape.NUMBER, FileShape.WORD, FileShape.PAIRS, FileShape.FLAGS)
_BESIDE_A_VALUE = ("value", "uncertainty", "basis", "law")
_FACT = re.compile("[a-z_]{1,40}")  # how our own facts are spelled
_LONGEST_VALUE = 60  # signs of a number with its unit, or of a word; common practice, no source


def anonymous(case_text: CaseText) -> CaseText:
    """The text of the case with nothing but what may stay, in the order in which it was typed."""
    kept = _kept(case_text.tree, Sections, "")
    return CaseText({"format": case_text.tree["format"], **kept})


def anonymous_case(case: Case) -> Case:
    """The resolved case for the pages: free texts of the job that may not stay, pictures and notes are gone."""
    free = [one for one in members(Job) if isinstance(one, DeclaredInput) and one.input.shape is FileShape.TEXT]
    empty = {one.attribute: None for one in free if f"job.{one.key}" not in FREE_TEXTS_THAT_STAY}
    emptied: Any = {**empty, "photos": ()}
    job: Job = dataclasses.replace(case.job, **emptied)
    records = {name: _without_notes(getattr(case.evidence, name)) for name in ("before", "after")}
    return dataclasses.replace(case, job=job, evidence=dataclasses.replace(case.evidence, **records))


def _without_notes(record: Record | None) -> Record | None:
    if record is None:
        return None
    return dataclasses.replace(record, spots=tuple(dataclasses.replace(spot, note=None) for spot in record.spots))


def _kept(tree: Mapping[str, Any], cls: type, prefix: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    known = {member.key: member for member in members(cls)}
    for key, value in tree.items():
        member = known.get(key)
        if isinstance(member, DeclaredInput):
            kept = _what_may_stay(member, value, f"{prefix}{key}")
        elif isinstance(member, Branch):
            kept = _branch(member, value, f"{prefix}{key}")
        else:
            continue
        if kept is not None:
            found[key] = kept
    return found


def _branch(member: Branch, value: Any, path: str) -> Any:
    if member.is_list:
        return [_kept(item, member.cls, f"{path}.") for item in value if isinstance(item, dict)]
    return _kept(value, member.cls, f"{path}.") if isinstance(value, dict) else None


def _what_may_stay(member: DeclaredInput, value: Any, path: str) -> Any:
    """What of an input's value may stay in an anonymised case: numbers, listed words and facts; None for all else."""
    shape = member.input.shape
    if shape is FileShape.LOG:
        return LEFT_OUT
    if shape not in _CLOSED:
        return value if path in FREE_TEXTS_THAT_STAY else None
    if shape is FileShape.FLAGS:
        facts = value.items() if isinstance(value, dict) else ()
        return {key: said for key, said in facts if isinstance(said, bool) and _FACT.fullmatch(key)}
    if isinstance(value, dict):
        kept = {key: value[key] for key in _BESIDE_A_VALUE if key in value and _is_short(value[key])}
        return kept | _correlated(value.get("correlated"))
    return value if _is_short(value) or shape is FileShape.PAIRS else None


def _correlated(stated: Any) -> dict[str, Any]:
    """Coefficients with other inputs, none under a name that is not an input's."""
    known = {one.path for one in catalogue()}
    pairs = stated.items() if isinstance(stated, dict) else ()
    kept = {path: r for path, r in pairs if pattern_of(path) in known and _is_short(r)}
    return {"correlated": kept} if kept else {}


def _is_short(value: Any) -> bool:
    return isinstance(value, bool) or (isinstance(value, str) and len(value) <= _LONGEST_VALUE)
