"""The catalogue: every input that a case may hold, read from the section dataclasses and nowhere else declared."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from engcalc.case.declare import WRITABLE_BASES, FileShape, Input, SpreadLaw
from engcalc.case.named_files import DIGESTS
from engcalc.case.reading_words import WORDS
from engcalc.case.sections import SECTION_LABELS, Sections
from engcalc.quantity_kinds import KINDS


@dataclass(frozen=True)
class DeclaredInput:
    """One input of one dataclass: its key in the file, its attribute, its declaration, and whether it may be None."""

    key: str
    attribute: str
    input: Input
    optional: bool


@dataclass(frozen=True)
class Branch:
    """A nested dataclass: a list of items, or one record that may be absent."""

    key: str
    attribute: str
    cls: type
    is_list: bool


@dataclass(frozen=True)
class CaseInput:
    """One input of a case with the pattern of its path, such as ``duties[].grade``."""

    path: str
    section: str
    leaf: DeclaredInput

    @property
    def input(self) -> Input:
        """The declaration."""
        return self.leaf.input


@cache
def members(cls: type) -> tuple[DeclaredInput | Branch, ...]:
    """The inputs and nested dataclasses of a section dataclass, in their order."""
    hints = typing.get_type_hints(cls, include_extras=True)
    own = (field for field in dataclasses.fields(cls) if "word_of" not in field.metadata)
    return tuple(_member_of_section(field.name, hints[field.name]) for field in own)


@cache
def words_kept(cls: type) -> Mapping[str, str]:
    """Attributes that keep the word of an input that may be read in words, and the input's key."""
    return {f.name: f.metadata["word_of"] for f in dataclasses.fields(cls) if "word_of" in f.metadata}


def _member_of_section(attribute: str, hint: Any) -> DeclaredInput | Branch:
    """A field of a section: an input by its declaration, or a branch, alone or as a list."""
    key = attribute.rstrip("_")
    declared = [m for m in getattr(hint, "__metadata__", ()) if isinstance(m, Input)]
    if declared:
        arguments = typing.get_args(typing.get_args(hint)[0])
        return DeclaredInput(key, attribute, declared[0], type(None) in arguments)
    if typing.get_origin(hint) is tuple:
        return Branch(key, attribute, typing.get_args(hint)[0], is_list=True)
    if isinstance(hint, types.UnionType):
        inner = next(a for a in typing.get_args(hint) if a is not type(None))
        return Branch(key, attribute, inner, is_list=False)
    return Branch(key, attribute, hint, is_list=False)


@cache
def catalogue() -> tuple[CaseInput, ...]:
    """Every input, in the order of the case file; items of lists carry ``[]`` in their path."""
    return tuple(_walk(Sections, "", ""))


@cache
def entry(pattern: str) -> CaseInput:
    """The entry with this path; indices such as ``duties[3].grade`` are accepted. KeyError when there is none."""
    plain = "".join("[]" if part.isdigit() else part for part in _split_indices(pattern))
    return _by_path()[plain]


def pattern_of(path: str) -> str:
    """The path with its indices taken out: ``duties[3].grade`` gives ``duties[].grade``."""
    return "".join("[]" if part.isdigit() else part for part in _split_indices(path))


def _split_indices(path: str) -> Iterator[str]:
    rest = path
    while "[" in rest:
        head, _, tail = rest.partition("[")
        index, _, rest = tail.partition("]")
        yield head
        yield index if index else "0"
    yield rest


@cache
def _by_path() -> Mapping[str, CaseInput]:
    return {e.path: e for e in catalogue()}


def _walk(cls: type, prefix: str, section: str) -> Iterator[CaseInput]:
    for member in members(cls):
        path = f"{prefix}{member.key}"
        if isinstance(member, DeclaredInput):
            yield CaseInput(path, section, member)
        else:
            yield from _walk(member.cls, f"{path}[]." if member.is_list else f"{path}.", section or member.key)


def describe() -> list[dict[str, Any]]:
    """The catalogue as plain data, for the command line and for people who write case files by script."""
    return [_input_as_data(e) for e in catalogue()]


def _input_as_data(e: CaseInput) -> dict[str, Any]:
    """An input as an object: path, label, kind, limits and help, as ``heatdocket fields`` tells them."""
    declared = e.input
    found: dict[str, Any] = {
        "path": e.path,
        "section": SECTION_LABELS[e.section],
        "symbol": declared.symbol,
        "label": declared.label,
        "kind": declared.kind if declared.shape is FileShape.NUMBER else declared.shape.value,
        "help": declared.help,
        "default": declared.default,
        "limits": declared.limits,
        "usual": declared.usual,
        "optional": e.leaf.optional,
    }
    if declared.shape is FileShape.NUMBER:
        found["units"] = list(KINDS[declared.kind].spellings)
    if declared.said_with:
        found["words"] = {tool: list(bands) for tool, bands in WORDS.items()}
    elif declared.options or declared.words:
        found["words"] = list(declared.options or declared.words)
    return found


def json_schema() -> dict[str, Any]:
    """A JSON Schema (2020-12) of the case file, made from the same declarations."""
    schema = _object_schema(Sections)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["properties"]["format"] = {"const": "heatdocket-case/1"}
    schema["properties"][DIGESTS] = {"type": "object", "additionalProperties": {"type": "string"}}
    schema["required"] = ["format"]
    return schema


def _object_schema(cls: type) -> dict[str, Any]:
    properties: dict[str, Any] = {}
    for member in members(cls):
        if isinstance(member, DeclaredInput):
            properties[member.key] = _leaf_schema(member.input)
        else:
            inner = _object_schema(member.cls)
            properties[member.key] = {"type": "array", "items": inner} if member.is_list else inner
    return {"type": "object", "properties": properties}


def _leaf_schema(declared: Input) -> dict[str, Any]:
    kinds: dict[FileShape, dict[str, Any]] = {
        FileShape.NUMBER: {"anyOf": [{"type": ["string", "number"]}, _VALUE_OBJECT]},
        FileShape.WORD: {"type": "string", "enum": list(declared.options)} if declared.options else {"type": "string"},
        FileShape.TEXT: {"type": "string"},
        FileShape.TEXTS: {"type": "array", "items": {"type": "string"}},
        FileShape.FLAGS: {"type": "object", "properties": {k: {"type": "boolean"} for k in declared.options}},
        FileShape.PAIRS: {"type": "array", "items": {"type": "array", "minItems": 2, "maxItems": 2}},
        FileShape.LOG: {"type": "object", "properties": {"file": {"type": "string"}, "columns": {"type": "object"}}},
    }
    return {**kinds[declared.shape], "title": declared.label, "description": declared.help}


_VALUE_OBJECT = {
    "type": "object",
    "required": ["value"],
    "properties": {
        "value": {"type": ["string", "number"]},
        "uncertainty": {"type": ["string", "number"]},
        "basis": {"enum": list(WRITABLE_BASES)},
        "law": {"enum": list(SpreadLaw)},
        "correlated": {"type": "object", "additionalProperties": {"type": ["string", "number"]}},
    },
}
