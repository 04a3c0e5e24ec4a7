"""What the program is, and the report of crashes, on the command line."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING

from engcalc.words.texts import document_texts
from ui import crashes
from ui.about import about_parts, packages, places

if TYPE_CHECKING:
    from ui.command.answer import Answer, JsonObject


def about_command(options: argparse.Namespace) -> Answer:
    """``heatdocket about``: versions, licences, sources and folders; with ``--crashes`` what the window kept."""
    if options.crashes:
        kept = crashes.report(crashes.default_folder())
        said = [document_texts.ABOUT_REPORT, "", *kept.splitlines()] if kept else [document_texts.NO_CRASHES]
        return {"crashes": kept}, said
    parts = about_parts()
    found: JsonObject = {
        "versions": crashes.versions(),
        "places": {name: str(place) for name, place in places().items()},
        "packages": [asdict(one) for one in packages()],
    }
    return found, [line for head, text in parts for line in (head, *text.splitlines(), "")][:-1]
