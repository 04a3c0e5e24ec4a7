"""Papers of the workshop that are of no single case: how honest the odds were, and which vehicles to look at first."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from reportlab.platypus.flowables import Flowable

from engcalc.case.file import write_whole
from engcalc.diagnosis.odds.honesty import Honesty
from engcalc.diagnosis.ranking import Ranked
from engcalc.units import UnitSystem
from engcalc.words.workshop import book_words, screening_words
from reports.identity import Identity
from reports.layout import (
    PAGE_SIZES,
    HeadedTable,
    RunningLines,
    bullets,
    compose,
    frame_width,
    grid,
    heading,
    new_page,
    para,
    title,
)
from reports.pages.signature import SignatureBoxes, SignedPaper, signed_block
from reports.signing import SUBJECT, Stamp, sign_report, write_signed

CLAIM_SHARES = (0.16, 0.1, 0.13, 0.12, 0.19, 0.18, 0.12)
MISS_SHARES = (0.07, 0.32, 0.15, 0.32, 0.14)
RANK_SHARES = (0.04, 0.15, 0.065, 0.15, 0.12, 0.24, 0.065, 0.17)
_NUMBERS = frozenset(range(1, 6))


@dataclass(frozen=True)
class WrittenPaper:
    """A paper on disk: where, its SHA-256, its number, and whether it is signed."""

    path: Path
    sha256: str
    report_id: str
    signed: bool


def honesty_story(found: Honesty, entered: int, counting: int, width: float) -> list[Flowable]:
    """Claims against outcomes: what they amount to, the bands, the misses with their jobs."""
    story = [title(book_words.HONESTY_TITLE)]
    story += [para(text) for text in book_words.honesty_said(found, entered, counting)]
    if found.claims:
        rows = book_words.claim_rows(found)
        claims = HeadedTable(book_words.CLAIMS_HEAD, rows, _NUMBERS, shares=CLAIM_SHARES)
        story += [heading(book_words.CLAIMS_HEADING), grid(claims, width)]
    if found.misses:
        misses = HeadedTable(book_words.MISSES_HEAD, book_words.miss_rows(found), shares=MISS_SHARES)
        story += [heading(book_words.MISSES_HEADING), grid(misses, width)]
    return story


def write_honesty(
    found: Honesty,
    counts: tuple[int, int],
    path: Path,
    *,
    now: datetime,
    identity: Identity | None = None,
    system: UnitSystem = UnitSystem.SI,
) -> WrittenPaper:
    """Write the page of claims and outcomes, signed where an identity is given; else DRAFT stands on it.

    ``counts``: jobs that have an outcome, and of how many it counts. Raises InputError when the identity cannot sign at
    ``now`` and FileFault when the place cannot be written to.
    """
    page = PAGE_SIZES[system]
    width = frame_width(page)
    number = _number(f"{found}{counts}", now)
    boxes = SignatureBoxes(width)
    signature = signed_block(SignedPaper(identity, number, now, carries_case=False), boxes, width)
    running = _running(book_words.HONESTY_TITLE, number, now, page, draft=identity is None)
    pdf = compose([*honesty_story(found, *counts, width), *signature], running)
    if identity is not None:
        assert boxes.author is not None  # they were drawn
        pdf = sign_report(pdf, identity, Stamp(boxes.author, number), now, reviewer=boxes.reviewer)
    return WrittenPaper(path, write_signed(path, pdf), number, identity is not None)


def screening_pdf(
    vehicles: Sequence[Ranked], not_judged: Sequence[tuple[str, str]], now: datetime, system: UnitSystem = UnitSystem.SI
) -> bytes:
    """Two pages: what to look at first and why, then every vehicle in its order, as far as they fit."""
    page = PAGE_SIZES[system]
    width = frame_width(page)
    first = screening_words.first_lines(vehicles, screening_words.FIRST_ON_PAPER)
    story = [title(screening_words.TITLE), para(screening_words.first_head(vehicles))]
    story += [para(" ".join(line.split())) for line in first]
    if not_judged:
        told = screening_words.not_judged_lines(not_judged, screening_words.NOT_JUDGED_ON_PAPER)
        story += [heading(screening_words.NOT_JUDGED_HEADING), *bullets(told)]
    story.append(para(screening_words.NOTE, "small"))
    rows = [screening_words.page_row(rank, one) for rank, one in enumerate(vehicles[: screening_words.ON_PAPER], 1)]
    if rows:
        table = HeadedTable(screening_words.PAGE_HEAD, rows, small=True, shares=RANK_SHARES)
        story += [new_page(), heading(screening_words.RANKED_HEADING), grid(table, width)]
        more = len(vehicles) - len(rows)
        story += [para(screening_words.more_on_file(more), "small")] if more else []
    number = _number(repr([(one.vehicle, one.fault) for one in vehicles]), now)
    return compose(story, _running(screening_words.TITLE, number, now, page, draft=False))


def write_screening(
    vehicles: Sequence[Ranked], not_judged: Sequence[tuple[str, str]], path: Path, now: datetime
) -> None:
    """Write the two pages, in one step. FileFault when the place cannot be written to."""
    write_whole(path, screening_pdf(vehicles, not_judged, now))


def _number(of: str, now: datetime) -> str:
    """A number for a paper, from its day and what it is of."""
    moment = now.astimezone(UTC)
    digest = hashlib.sha256(f"{of} {moment.isoformat()}".encode()).hexdigest()
    return f"{moment:%Y%m%d}-{digest[:8].upper()}"


def _running(of: str, number: str, now: datetime, page: tuple[float, float], *, draft: bool) -> RunningLines:
    moment = now.astimezone(UTC)
    return RunningLines(
        title=of,
        left=of,
        right=f"{now:%Y-%m-%d}",
        footer=f"Heatdocket report {number}",
        draft=draft,
        page_size=page,
        subject=f"{SUBJECT}{number}",
        creation=(moment.year, moment.month, moment.day, moment.hour, moment.minute, moment.second),
    )
