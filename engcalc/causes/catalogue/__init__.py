"""The causes: every :class:`~engcalc.causes.record.Cause` of the modules in this package, in the order of their place.

The package is walked, so that a cause is added by writing its record into one module here, an old or a new one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from pkgutil import iter_modules

from engcalc.causes.record import Cause


def _records() -> Iterator[Cause]:
    for module in iter_modules(__path__, f"{__name__}."):
        yield from (value for value in vars(import_module(module.name)).values() if isinstance(value, Cause))


def _in_order() -> Mapping[str, Cause]:
    written = dict.fromkeys(_records())  # once each, where one module takes a record from another
    records = sorted(written, key=lambda cause: cause.place)
    found = {cause.key: cause for cause in records}
    places = {cause.place for cause in records}
    if not len(found) == len(places) == len(records):
        told = ", ".join(f"{cause.key} at {cause.place}" for cause in records)
        raise ValueError(f"two causes share a key or a place: {told}")
    return found


CAUSES: Mapping[str, Cause] = _in_order()
"""Every cause by its key, in the order of their place."""
