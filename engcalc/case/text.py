"""What the person typed: verbatim, in order, unknown keys kept. Equality, the dirty mark and undo live on this.

A :class:`CaseText` is a value: every edit gives a new one and leaves the old one as it was, so an undo list need only
keep the old values. Paths are written as ``radiator.core_height`` or ``duties[1].grade``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import case_texts

FORMAT = "heatdocket-case/1"

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


class Number(str):
    """A bare JSON number with its spelling kept, so that 1.50 stays 1.50."""

    __slots__ = ()


def steps(path: str) -> tuple[str | int, ...]:
    """The keys and indices of a path.

    >>> steps("duties[1].grade")
    ('duties', 1, 'grade')
    """
    return tuple(int(index) if index else key for key, index in _STEP.findall(path))


@dataclass(frozen=True)
class CaseText:
    """The text of a case. ``tree`` holds dicts, lists, str, Number, bool and None, and is never changed in place.

    ``read_from`` are the bytes that the text was read from; an edited text has none. They play no part in equality.
    """

    tree: dict[str, Any] = field(default_factory=lambda: {"format": FORMAT})
    read_from: bytes | None = field(default=None, compare=False, repr=False)

    def get(self, path: str, otherwise: Any = None) -> Any:
        """What stands at ``path``, or ``otherwise``."""
        here: Any = self.tree
        for step in steps(path):
            if isinstance(step, int):
                if not isinstance(here, list) or step >= len(here):
                    return otherwise
            elif not isinstance(here, dict) or step not in here:
                return otherwise
            here = here[step]
        return here

    def typed(self, path: str) -> str:
        """The value at ``path`` as a person typed it; the empty text when absent. Looks into {"value": ...} objects."""
        found = self.get(path)
        if isinstance(found, dict):
            found = found.get("value")
        if found is None or isinstance(found, dict | list):
            return ""
        return str(found)

    def with_value(self, path: str, value: Any) -> CaseText:
        """A new text with ``value`` at ``path``; missing objects on the way are made. None takes the key away."""
        return CaseText(_with_value_at(self.tree, steps(path), value, path))

    def with_typed(self, path: str, typed: str) -> CaseText:
        """As :meth:`with_value`, but a ``{"value": ...}`` object keeps its basis and uncertainty; empty removes."""
        found = self.get(path)
        if typed == "":
            return self.with_value(path, None)
        value: Any = Number(typed) if isinstance(found, Number) and _is_json_number(typed) else typed
        return self.with_value(path, {**found, "value": value} if isinstance(found, dict) else value)

    def with_item(self, list_path: str, index: int, item: dict[str, Any]) -> CaseText:
        """A new text with ``item`` inserted into the list before ``index``."""
        items = list(self.get(list_path) or [])
        return self.with_value(list_path, [*items[:index], item, *items[index:]])

    def without_item(self, list_path: str, index: int) -> CaseText:
        """A new text without the item at ``index`` of the list."""
        items = list(self.get(list_path) or [])
        return self.with_value(list_path, [*items[:index], *items[index + 1 :]])


def _is_json_number(typed: str) -> bool:
    return re.fullmatch(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?", typed) is not None


def _with_value_at(here: Any, path: tuple[str | int, ...], value: Any, whole: str) -> Any:
    if not path:
        return value
    step = path[0]
    rest = path[1:]
    if isinstance(step, int):
        items = list(here) if isinstance(here, list) else []
        if step > len(items):
            raise InputError((InputFault(whole, "", case_texts.LIST_HAS_ITEMS.format(items_count=len(items))),))
        item = items[step] if step < len(items) else None
        items[step : step + 1] = [_with_value_at(item, rest, value, whole)]
        return items
    branch = dict(here) if isinstance(here, dict) else {}
    if not rest and value is None:
        branch.pop(step, None)
    else:
        branch[step] = _with_value_at(branch.get(step), rest, value, whole)
    return branch
