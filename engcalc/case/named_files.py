"""The files that a case names: the logs of its records, tables of parts, photographs."""

from __future__ import annotations

from engcalc.case.text import CaseText

TABLES, PHOTOS = "job.part_tables", "job.photos"


def logs_named(text: CaseText) -> dict[str, str]:
    """The logs that a case names, by the path of the field that names each."""
    evidence = text.get("evidence")
    paths = [f"evidence.{record}.log.file" for record in evidence] if isinstance(evidence, dict) else []
    return _named({path: text.get(path) for path in paths})


def needed_files(text: CaseText) -> dict[str, str]:
    """What the numbers of a case rest on beside it: its logs and tables of parts."""
    return logs_named(text) | _listed(text, TABLES)


def named_files(text: CaseText) -> dict[str, str]:
    """Every file that a case names."""
    return needed_files(text) | _listed(text, PHOTOS)


def _listed(text: CaseText, path: str) -> dict[str, str]:
    names = text.get(path)
    return _named({f"{path}[{i}]": name for i, name in enumerate(names if isinstance(names, list) else [])})


def _named(found: dict[str, object]) -> dict[str, str]:
    return {path: name for path, name in found.items() if isinstance(name, str) and name.strip()}
