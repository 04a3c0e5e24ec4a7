"""The catalogue on the command line."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from engcalc.case.catalogue import describe, json_schema
from engcalc.classroom.symbols import in_letters

if TYPE_CHECKING:
    from ui.command.answer import Answer


def fields_command(options: argparse.Namespace) -> Answer:
    """``heatdocket fields``: the catalogue, or the JSON Schema made from it."""
    if options.schema:
        import json

        schema = json_schema()
        return schema, json.dumps(schema, indent=2).splitlines()
    entries = describe()
    return {"fields": entries}, [line for e in entries for line in _lines(e)]


def _lines(e: Mapping[str, Any]) -> list[str]:
    """The words for one input, as :func:`engcalc.case.catalogue.describe` gives it: what is typed, then its symbol."""
    symbol = f" {in_letters(e['symbol'])}," if e["symbol"] else ""
    lines = [f"{e['path']}: {e['label']},{symbol} {e['kind']}".replace(",,", ",")]
    if e["default"] is not None:
        lines.append(f"    default {e['default']}")
    if e["limits"]:
        usual = f", usually {e['usual'][0]} to {e['usual'][1]}" if e["usual"] else ""
        lines.append(f"    accepts {e['limits'][0]} to {e['limits'][1]}{usual}")
    if e.get("words"):
        lines.append(f"    words {', '.join(e['words'])}")
    if e.get("units") and e["units"] != [""]:
        lines.append(f"    units {', '.join(e['units'])}")
    if e["help"]:
        lines.append(f"    {e['help']}")
    return lines
