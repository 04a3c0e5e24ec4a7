"""What a subcommand gives. Needs nothing but the standard library, as every command imports it."""

from __future__ import annotations

from typing import Any

JsonObject = dict[str, Any]
"""An object to be printed as JSON: texts, numbers, truths, null, and lists and objects of these."""

Answer = tuple[JsonObject, list[str]]
"""The object for --json, and the lines for a person."""
