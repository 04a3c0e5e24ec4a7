"""Readings that somebody has begun: with what they are taken stands there, and no value yet. Nothing is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

RECORDS = ("before", "after")


def without_begun(tree: Mapping[str, Any]) -> tuple[Mapping[str, Any], tuple[str, ...]]:
    """A case file's tree without the readings at the end of each list that have no value, and the paths of these.

    One that stands before a whole reading stays: its missing value is a fault, for the paths of those after it count.
    """
    evidence = tree.get("evidence")
    if not isinstance(evidence, dict):
        return tree, ()
    kept = dict(evidence)
    begun = []
    for name in RECORDS:
        record = evidence.get(name)
        if not isinstance(record, dict) or not isinstance(spots := record.get("spots"), list):
            continue
        whole = len(spots)
        while whole and _is_begun(spots[whole - 1]):
            whole -= 1
        if whole < len(spots):
            kept[name] = {**record, "spots": spots[:whole]}
            begun += [f"evidence.{name}.spots[{i}]" for i in range(whole, len(spots))]
    if begun:
        return ({**tree, "evidence": kept}, tuple(begun))
    return (tree, ())


def _is_begun(spot: Any) -> bool:
    return isinstance(spot, dict) and spot.get("value") in (None, "")
