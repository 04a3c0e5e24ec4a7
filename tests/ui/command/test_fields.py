"""The catalogue on the command line, and the JSON Schema made from it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import worked_examples
from engcalc.case.catalogue import catalogue, json_schema

EXAMPLES = sorted(worked_examples.folder().rglob("*.heatcase.json"))
UNDERSTOOD = {
    "type",
    "const",
    "enum",
    "anyOf",
    "properties",
    "required",
    "items",
    "minItems",
    "maxItems",
    "title",
    "description",
    "$schema",
}
TYPES = {"object": dict, "array": list, "string": str, "boolean": bool, "number": (int, float)}


def breaches(node: Any, schema: dict[str, Any], path: str = "") -> Iterator[str]:
    """Where ``node`` breaks ``schema``: those parts of JSON Schema 2020-12 that ours uses."""
    unknown = set(schema) - UNDERSTOOD
    assert not unknown, f"the schema uses {unknown}, which this check does not know"
    if "const" in schema and node != schema["const"]:
        yield f"{path}: {node!r} is not {schema['const']!r}"
    if "enum" in schema and node not in schema["enum"]:
        yield f"{path}: {node!r} is none of {schema['enum']}"
    if "anyOf" in schema and all(any(True for _ in breaches(node, one, path)) for one in schema["anyOf"]):
        yield f"{path}: {node!r} fits none of the alternatives"
    named = schema.get("type", [])
    if named and not any(_is(node, name) for name in ([named] if isinstance(named, str) else named)):
        yield f"{path}: {node!r} is no {named}"
        return
    yield from _inside(node, schema, path)


def _is(node: Any, name: str) -> bool:
    return isinstance(node, TYPES[name]) and (name == "boolean") == isinstance(node, bool)


def _inside(node: Any, schema: dict[str, Any], path: str) -> Iterator[str]:
    if isinstance(node, dict):
        yield from (f"{path}: {key} is missing" for key in schema.get("required", ()) if key not in node)
        for key, inner in schema.get("properties", {}).items():
            if key in node:
                yield from breaches(node[key], inner, f"{path}.{key}")
    if isinstance(node, list):
        if not schema.get("minItems", 0) <= len(node) <= schema.get("maxItems", len(node)):
            yield f"{path}: {len(node)} items"
        for i, item in enumerate(node):
            yield from breaches(item, schema.get("items", {}), f"{path}[{i}]")


def test_fields_lists_the_whole_catalogue(within):
    found = within("fields", "--json")
    assert (found.code, found.err) == (0, "")
    fields = found.json["fields"]
    assert [field["path"] for field in fields] == [entry.path for entry in catalogue()]
    assert {"path", "section", "symbol", "label", "kind", "help", "default", "limits", "usual"} <= set(fields[0])
    [mass] = [field for field in fields if field["path"] == "vehicle.mass"]
    assert {"kg", "lb"} <= set(mass["units"])
    assert any(field["path"] == "duties[].grade" for field in fields)


def test_fields_reads_as_words_too(within):
    found = within("fields")
    assert (found.code, found.err) == (0, "")
    lines = found.out.splitlines()
    assert all(any(line.startswith(f"{entry.path}: ") for line in lines) for entry in catalogue())


def test_fields_needs_no_qt_and_survives_a_reader_that_stops(heatdocket):
    found = heatdocket("fields", "--schema", qt=False)
    assert (found.code, found.err) == (0, "")
    assert json.loads(found.out) == json.loads(json.dumps(json_schema()))


def test_the_schema_refuses_what_it_should():
    schema = json_schema()
    good = {
        "format": "heatdocket-case/1",
        "vehicle": {"class": "family car", "mass": "1450 kg"},
        "duties": [{"ambient": {"value": "20 degC", "basis": "measured"}}],
    }
    assert list(breaches(good, schema)) == []
    for path, bad in (
        ("format", 2),
        ("vehicle", []),
        ("duties", {}),
        ("duties", [{"ambient": {"basis": "measured"}}]),
        ("duties", [{"ambient": {"value": "20 degC", "basis": "guessed"}}]),
        ("vehicle", {"class": "spaceship"}),
        ("evidence", {"before": {"seen": {"level_low": "yes"}}}),
    ):
        assert list(breaches({**good, path: bad}, schema)), (path, bad)
    assert list(breaches({}, schema)) == [": format is missing"]


@pytest.mark.parametrize("example", EXAMPLES, ids=[e.name for e in EXAMPLES])
def test_each_example_fits_the_schema(example: Path):
    assert list(breaches(json.loads(example.read_text(encoding="utf-8")), json_schema())) == []


def test_a_symbol_stands_as_it_is_printed_beside_the_name_that_is_typed(within):
    lines = within("fields").out.splitlines()
    assert "hot_stream.concentration: Glycol by volume, φ_s, fraction" in lines
