"""The files that a case names: the logs of its records, tables of parts, photographs; what they held when saved."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from engcalc.case.file import file_of_case, fingerprint_of, state_of
from engcalc.case.text import CaseText
from engcalc.errors import FileFault

TABLES = "job.part_tables"
PHOTOS = "job.photos"
DIGESTS = "files"
"""The key of a case under which each file that its numbers rest on has its SHA-256, by its name in the case."""
LARGEST_HASHED = 400_000_000  # bytes; as long as a log may be


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


def with_digests(text: CaseText, folder: Path) -> CaseText:
    """The case with the SHA-256 of every file in ``folder`` that its numbers rest on; as it was where it names none."""
    found = {name: digest for name in needed_files(text).values() if (digest := _digest_of(folder, name))}
    if text.get(DIGESTS) == found or not (found or text.get(DIGESTS)):
        return text
    return text.with_value(DIGESTS, found or None)


def files_changed(text: CaseText, folder: Path) -> tuple[str, ...]:
    """The files in ``folder`` that hold something else than when the case was saved, by name."""
    stated = text.get(DIGESTS)
    if not isinstance(stated, dict):
        return ()
    now = {name: _digest_of(folder, name) for name in needed_files(text).values() if name in stated}
    return tuple(name for name, digest in now.items() if digest and digest != stated[name])


def _digest_of(folder: Path, name: str) -> str:
    """SHA-256 of a file that the case names; empty where it cannot be read."""
    try:
        place = file_of_case(folder, name)
    except FileFault:
        return ""
    return _digest_in_state(place, state_of(place))


@lru_cache(maxsize=256)
def _digest_in_state(place: Path, _state: tuple[int, ...]) -> str:
    return fingerprint_of(place, LARGEST_HASHED)


def _listed(text: CaseText, path: str) -> dict[str, str]:
    names = text.get(path)
    return _named({f"{path}[{i}]": name for i, name in enumerate(names if isinstance(names, list) else [])})


def _named(found: dict[str, object]) -> dict[str, str]:
    return {path: name for path, name in found.items() if isinstance(name, str) and name.strip()}
