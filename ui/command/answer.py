"""What a subcommand gives. Needs nothing but the standard library, as every command imports it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

JsonValue: TypeAlias = "bool | int | float | str | Sequence[JsonValue] | Mapping[str, JsonValue] | None"
"""What JSON can say."""

JsonObject: TypeAlias = "dict[str, JsonValue]"
"""An object to be printed as JSON."""

Answer: TypeAlias = "tuple[JsonObject, list[str]]"
"""The object for --json, and the lines for a person."""
