"""What of a vehicle stays outside: asked for by a word or a name, it is refused in words and not answered wrongly.

A loop of its own for a battery or an inverter is held some 40 K cooler than an engine's and has its own pump, valves
and chiller; a heat pump takes its heat from the air or from such a loop by a refrigerant. Neither is in this model, and
work on them is for staff trained for high voltage.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engcalc.case.sections import Sections
from engcalc.errors import InputFault
from engcalc.words.texts import case_texts

_LOOPS: Mapping[str, str] = {
    "battery": case_texts.BATTERYS_COOLANT_LOOP_IS_OUTSIDE_WHAT,
    "inverter": case_texts.BATTERYS_COOLANT_LOOP_IS_OUTSIDE_WHAT,
    "heat pump": case_texts.HEAT_PUMP,
    "heatpump": case_texts.HEAT_PUMP,
}
_VEHICLES: Mapping[str, str] = dict.fromkeys(("electric", "fuel cell"), case_texts.NO_ENGINE)
"""Parts of what a person may write, lower case, and why that is refused; the first that fits speaks."""


def outside_of(word: str) -> str | None:
    """Why a word that is none of its list is outside; None where it asks for nothing of that kind."""
    return _first({**_LOOPS, **_VEHICLES}, word)


def _first(table: Mapping[str, str], written: str | None) -> str | None:
    plain = "" if written is None else written.casefold().replace("_", " ").replace("-", " ")
    return next((why for part, why in table.items() if part in plain), None)


def outside_by_name(sections: Sections) -> Iterator[InputFault]:
    """Items of the lists whose name asks for what is outside."""
    names = {f"circuit.extra[{i}].name": item.name for i, item in enumerate(sections.circuit.extra)}
    names |= {f"airflow.upstream[{i}].name": item.name for i, item in enumerate(sections.airflow.upstream)}
    for path, name in names.items():
        why = _first(_LOOPS, name)
        if why is not None:
            yield InputFault(path, name or "", case_texts.LEAVE_THIS_ITEM_OUT.format(why=why))
