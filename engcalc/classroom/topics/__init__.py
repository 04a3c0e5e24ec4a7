"""The topics: every :class:`~engcalc.classroom.topic.Topic` of the modules in this package, by key.

The package is walked, so that a topic is added by writing its record into one module here, an old or a new one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from pkgutil import iter_modules

from engcalc.classroom.topic import Topic


def _records() -> Iterator[Topic]:
    for module in iter_modules(__path__, f"{__name__}."):
        yield from (value for value in vars(import_module(module.name)).values() if isinstance(value, Topic))


FIRST = "heat-balance"  # what a class begins with, and every list of topics


def _by_key() -> Mapping[str, Topic]:
    found: dict[str, Topic] = {}
    for topic in sorted(_records(), key=lambda one: one.key != FIRST):
        if found.setdefault(topic.key, topic) is not topic:
            raise ValueError(f"two topics have the key {topic.key}")
    return found


TOPICS: Mapping[str, Topic] = _by_key()
