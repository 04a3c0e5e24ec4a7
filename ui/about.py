"""What this program is, what it runs with and where it keeps things: for the about page and the command line. No Qt."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from engcalc.words.texts import document_texts
from ui import crashes, recovery

PROGRAM = "heatdocket"
_NAME = re.compile(r"^[A-Za-z0-9][A-Za-z0-9._-]*")
_LONGEST_LICENCE = 60  # signs; some packages print the whole text there
_SOURCE_LABELS = ("source", "source code", "repository", "homepage")  # of a package's links, the best first


@dataclass(frozen=True)
class Package:
    """A package that the program runs with: its name, version, licence and where its source stands."""

    name: str
    version: str
    licence: str
    source: str


def packages() -> tuple[Package, ...]:
    """Every package that the program needs, those that they need included, by name; empty where it is not installed."""
    found: dict[str, Package] = {}
    _follow(PROGRAM, found)
    found.pop(PROGRAM, None)
    return tuple(sorted(found.values(), key=lambda one: one.name.casefold()))


def places() -> Mapping[str, Path]:
    """Where the program keeps things of this user."""
    return {
        "Settings": crashes.default_folder().parent,
        "Unsaved work": recovery.default_folder(),
        "Crashes": crashes.default_folder(),
    }


def about_parts() -> list[tuple[str, str]]:
    """The about page: a heading and its text each."""
    listed = "\n".join(f"{one.name} {one.version}: {one.licence}. {one.source}".rstrip() for one in packages())
    return [
        (f"Heatdocket {crashes.version_of(PROGRAM)}", document_texts.WHAT_IT_IS),
        (document_texts.TITLE_OF_WHAT_IT_IS_NOT, document_texts.WHAT_IT_IS_NOT),
        ("Versions", crashes.versions()),
        ("Licence", document_texts.OWN_LICENCE),
        ("Sources", document_texts.EACH_REPORT_ENDS_WITH_THE_SOURCES),
        (document_texts.WHERE_IT_KEEPS_THINGS, "\n".join(f"{name}: {place}" for name, place in places().items())),
        (document_texts.WHAT_IT_RUNS_WITH, listed or document_texts.PACKAGES_ARE_NOT_INSTALLED_IN_THE_USUAL_WAY),
    ]


def _follow(name: str, found: dict[str, Package]) -> None:
    key = re.sub(r"[-_.]+", "-", name).lower()
    if key in found:
        return
    try:
        installed = metadata.distribution(name)
    except metadata.PackageNotFoundError:
        return  # of another system or another Python
    about = installed.metadata
    found[key] = Package(about["Name"], installed.version, _licence(about), _source(about))
    for needed in _needed(installed.requires or []):
        _follow(needed, found)


def _needed(requirements: list[str]) -> Iterator[str]:
    """The names in requirements that always count."""
    for requirement in requirements:
        name = _NAME.match(requirement)
        if name and "extra ==" not in requirement.partition(";")[2]:
            yield name.group(0)


def _line(about: metadata.PackageMetadata, key: str) -> str:
    """A field of a package's metadata; empty where it has none."""
    found = about.get_all(key)
    return str(found[0]) if found else ""


def _licence(about: metadata.PackageMetadata) -> str:
    """As the package states it: an expression, a short text, or the class it puts itself in."""
    lines = _line(about, "License").splitlines()
    classes = [one.rpartition("::")[2].strip() for one in about.get_all("Classifier") or [] if one.startswith("Licen")]
    short = lines[0] if lines and len(lines[0]) <= _LONGEST_LICENCE else ""
    return _line(about, "License-Expression") or short or ", ".join(classes) or document_texts.LICENCE_IN_ITS_OWN_FOLDER


def _source(about: metadata.PackageMetadata) -> str:
    """A link to its source, else to its home page."""
    links = {}
    for link in about.get_all("Project-URL") or []:
        label, _, address = link.partition(", ")
        links[label.lower()] = address
    return next((links[label] for label in _SOURCE_LABELS if label in links), _line(about, "Home-page"))
