"""The shop's letterhead: name, contact and logo, from a file, the window's settings or the case itself.

A file is one JSON object, such as ``{"name": "Example Garage", "contact": "12 Sample Street", "logo": "logo.png"}``.
The logo, a PNG or JPEG picture, is looked for beside the file.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from engcalc.case.file import read_whole
from engcalc.case.sections.job import Job
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import report_texts, shared_texts
from reports.raster import Bounds, PictureFault, Raster, read_raster
from reports.texts import cut

KEYS = ("name", "contact", "logo")
LARGEST_FILE = 1 << 16  # bytes, of the file with name and contact
LONGEST_NAME, LONGEST_CONTACT, MOST_LINES = 80, 240, 4  # characters, characters, lines of the contact
LOGO = Bounds(
    largest_file=5 << 20, most_pixels=25_000_000, longest_side=900, least_side=16, most_slender=10.0, lossless=True
)


@dataclass(frozen=True)
class ShopProfile:
    """A shop as its settings keep it: the logo by its place on disk."""

    name: str = ""
    contact: str = ""
    logo: Path | None = None


NO_SHOP = ShopProfile()


@dataclass(frozen=True)
class Letterhead:
    """What heads the customer's page, ready to be drawn."""

    name: str
    contact: str = ""
    logo: Raster | None = None


def letterhead_of(profile: ShopProfile) -> Letterhead | None:
    """The letterhead of a profile; None for an empty one. Raises InputError with every fault, each with its key."""
    if profile == NO_SHOP:
        return None
    faults = list(_faults_of_words(profile))
    logo: Raster | None = None
    if profile.logo is not None:
        try:
            logo = read_raster(profile.logo, LOGO)
        except PictureFault as fault:
            faults.append(InputFault("letterhead.logo", str(profile.logo), _logo_would_do(fault)))
    if faults:
        raise InputError(tuple(faults))
    return Letterhead(profile.name.strip(), profile.contact.strip(), logo)


def read_letterhead(path: Path) -> Letterhead | None:
    """The letterhead in this file. Raises FileFault where it cannot be read, InputError for what is no letterhead."""
    return letterhead_of(profile_in(read_whole(path, "a letterhead", LARGEST_FILE), path))


def profile_in(data: bytes, path: Path) -> ShopProfile:
    """The profile that the bytes of the file at ``path`` hold. Raises InputError."""
    try:
        found = json.loads(data.decode("utf-8-sig"))
    except ValueError as fault:
        raise _no_letterhead(path) from fault
    if not isinstance(found, dict):
        raise _no_letterhead(path)
    faults = tuple(_faults_of_keys(found))
    if faults:
        raise InputError(faults)
    logo = found.get("logo", "")
    return ShopProfile(found.get("name", ""), found.get("contact", ""), path.parent / logo if logo else None)


def of_job(job: Job) -> Letterhead | None:
    """The letterhead that a case names by itself, its shop and how to reach it; None without. Long text is cut."""
    name, contact = (job.shop or "").strip(), (job.shop_contact or "").strip()
    if not (name or contact):
        return None
    if contact.count("\n") >= MOST_LINES or len(contact) > LONGEST_CONTACT:
        contact = cut(contact, LONGEST_CONTACT)
    return Letterhead(cut(name, LONGEST_NAME), contact)


def _no_letterhead(path: Path) -> InputError:
    wanted = report_texts.ONE_JSON_OBJECT_WITH_NAME
    return InputError((InputFault("letterhead", str(path), wanted),))


def _faults_of_keys(found: dict[str, Any]) -> Iterator[InputFault]:
    for key, value in found.items():
        if key not in KEYS:
            yield InputFault(
                f"letterhead.{key}", str(value)[:LONGEST_NAME], report_texts.KEYS_ARE.format(keys=", ".join(KEYS))
            )
        elif not isinstance(value, str):
            yield InputFault(f"letterhead.{key}", str(value)[:LONGEST_NAME], report_texts.TEXT_IN_QUOTES_WOULD_DO)


def _faults_of_words(profile: ShopProfile) -> Iterator[InputFault]:
    name, contact = profile.name.strip(), profile.contact.strip()
    if not name:
        yield InputFault("letterhead.name", "", report_texts.TYPE_THE_SHOPS_NAME_AS_ITS_CUSTOMERS_KNOW_IT)
    if len(name) > LONGEST_NAME:
        yield InputFault("letterhead.name", name, shared_texts.AT_MOST_CHARACTERS_WOULD_DO.format(longest=LONGEST_NAME))
    if len(contact) > LONGEST_CONTACT or contact.count("\n") >= MOST_LINES:
        wanted = report_texts.AT_MOST_CHARACTERS_ON_LINES_WOULD_DO.format(
            longest_contact=LONGEST_CONTACT, most_lines=MOST_LINES
        )
        yield InputFault("letterhead.contact", contact, wanted)


def _logo_would_do(fault: PictureFault) -> str:
    return report_texts.PNG_OR_JPEG_FILE_OF_AT_MOST_MB_WOULD_DO.format(
        fault=fault, largest_file=LOGO.largest_file >> 20
    )
