"""A case's text without what only names vehicle, people and work: what is left decides every answer."""

from __future__ import annotations

from engcalc.case.sections.job import NAMES
from engcalc.case.text import CaseText


def without_names(text: CaseText) -> CaseText:
    """The text with every name taken out; two that are equal have the same check and the same odds."""
    for path in NAMES:
        if text.get(path) is not None:
            text = text.with_value(path, None)
    return text if text.get("job") else text.with_value("job", None)
