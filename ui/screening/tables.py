"""What a screening writes: the table of vehicles as CSV, and everything of vehicles and logs as JSON."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from engcalc.case.file import write_whole
from engcalc.diagnosis.ranking import Ranked, ranked
from engcalc.diagnosis.screening import LogJudged
from engcalc.errors import FileFault
from engcalc.words.texts import book_texts
from engcalc.words.workshop.screening_words import HEADS, row
from reports.shop_papers import write_screening
from ui.screening.run import Screened, ScreeningRun
from ui.trusting import now

LINES, TABLE, EVERYTHING, PAPER = "judged.jsonl", "screening.csv", "screening.json", "screening.pdf"
_FORMULA = ("=", "+", "-", "@")  # what a spreadsheet would take a text for a formula by


def made_folder(folder: Path) -> Path:
    """The folder for what is written; made where it is not there. FileFault when it cannot be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileFault(
            str(folder), book_texts.FOLDER_CANNOT_BE_MADE.format(strerror=error.strerror or error)
        ) from error
    return folder


def vehicles_of(run: ScreeningRun) -> list[Ranked]:
    """The vehicles in order of what to look at first, each with its logs in the order they were named."""
    logs: dict[str, list[LogJudged]] = {}
    for _, screened in sorted(run.screened.items()):
        if screened.judged is not None:
            logs.setdefault(screened.source.vehicle, []).append(screened.judged)
    return ranked(logs)


def not_judged(run: ScreeningRun) -> list[tuple[str, str]]:
    """The logs that could not be judged, by name, each with the reason in words."""
    return [(s.source.name, s.why) for _, s in sorted(run.screened.items()) if s.judged is None]


def everything(run: ScreeningRun, vehicles: Sequence[Ranked]) -> dict[str, Any]:
    """The whole answer for JSON; temperatures differences in K, times in s."""
    return {
        "complete": run.complete,
        "logs": len(run.sources),
        "judged_before": run.again,
        "vehicles": [_vehicle_json(rank, one) for rank, one in enumerate(vehicles, 1)],
        "judged": [_log_json(screened) for _, screened in sorted(run.screened.items()) if screened.judged is not None],
        "not_judged": [{"name": name, "why": why} for name, why in not_judged(run)],
    }


def _vehicle_json(rank: int, one: Ranked) -> dict[str, Any]:
    return {
        "rank": rank,
        "vehicle": one.vehicle,
        "logs": one.logs,
        "look_first": one.look_first,
        "danger": one.danger.value,
        "state": one.last.state.value,
        "fault_probability": one.fault,
        "leading_fault": one.last.leading,
        "leading_probability": one.last.leading_odds,
        "next_check": one.last.next_check or None,
        "deviation_K": one.last.deviation,
        "drift_K": None if one.drift is None else one.drift.total,
        "drift_shown": None if one.drift is None else one.drift.shown,
    }


def _log_json(screened: Screened) -> dict[str, Any]:
    assert screened.judged is not None
    found = asdict(screened.judged)
    return {
        "name": screened.source.name,
        "vehicle": screened.source.vehicle,
        "state": found["state"],
        "danger": found["danger"],
        "fault_probability": found["fault"],
        "leading_fault": found["leading"],
        "leading_probability": found["leading_odds"],
        "next_check": found["next_check"] or None,
        "deviation_K": found["deviation"],
        "lasted_s": found["lasted"],
        "enough": found["enough"],
    }


def write_tables(folder: Path, run: ScreeningRun, vehicles: Sequence[Ranked]) -> None:
    """Write table, JSON and the two pages into the folder, each in one step. FileFault when they cannot be written."""
    sheet = io.StringIO()
    writer = csv.writer(sheet, lineterminator="\n")
    writer.writerow(HEADS)
    for rank, one in enumerate(vehicles, 1):
        rank_text, vehicle, *rest = row(rank, one)
        writer.writerow([rank_text, _no_formula(vehicle), *rest])
    write_whole(folder / TABLE, sheet.getvalue().encode("utf-8-sig"))
    text = json.dumps(everything(run, vehicles), ensure_ascii=False, allow_nan=False, indent=2)
    write_whole(folder / EVERYTHING, (text + "\n").encode("utf-8"))
    write_screening(vehicles, not_judged(run), folder / PAPER, now())


def _no_formula(text: str) -> str:
    """A name of a file or folder that a spreadsheet shows and never runs."""
    return f"'{text}" if text.startswith(_FORMULA) else text
