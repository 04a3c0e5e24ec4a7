"""From what was typed to a case in SI, or to every fault at once."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from engcalc.case.begun import without_begun
from engcalc.case.case import Case, Given, frozen_array
from engcalc.case.catalogue import Branch, DeclaredInput, entry, members, words_kept
from engcalc.case.declare import VALUE_KEYS, WRITABLE_BASES, Basis, FileShape, Input, SpreadLaw
from engcalc.case.named_files import DIGESTS
from engcalc.case.near_keys import what_would_do
from engcalc.case.outside import outside_of
from engcalc.case.presets import CLASSES, class_value, default_duties
from engcalc.case.reading_words import ONLY_IN_WORDS, WORDS, instruments_with, spoken_instrument, word_of
from engcalc.case.records import Log
from engcalc.case.sections import Sections
from engcalc.case.sections.job import TOLD_INPUTS
from engcalc.case.text import CaseText, Number
from engcalc.case.whole import check_given, check_whole, derive
from engcalc.errors import InputError, InputFault, UnitFault
from engcalc.units import parse, parse_difference
from engcalc.words.texts import case_texts

MOST_ITEMS = 500
NOT_KNOWN_WIDENS = 3.0  # a rating stated as unknown may be that of any valve of the trade; common practice, no source
LONGEST_FREE_TEXT = 20_000


@dataclass(frozen=True)
class Faults:
    """Everything that keeps a case from being computed, in the order of the catalogue."""

    faults: tuple[InputFault, ...]
    warnings: tuple[str, ...]


@dataclass
class Findings:
    """What is gathered while a text is read."""

    class_name: str
    fuel: str | None = None  # as typed, where it is a fuel's word
    faults: list[InputFault] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    given: dict[str, Given] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)  # of values that were read in words

    def not_known(
        self, prefix: str, keys: Iterable[str], known: Collection[str], said: str = case_texts.THIS_KEY_IS_NOT_KNOWN
    ) -> None:
        """Note keys that nobody reads, each with what would do."""
        self.warnings.extend(said.format(key=f"{prefix}{key}", would_do=what_would_do(key, known)) for key in keys)

    def fault(self, path: str, given: Any, wanted: str) -> None:
        """Note a fault."""
        text = "" if given is None else str(given)
        self.faults.append(InputFault(path, text if len(text) <= 60 else text[:57] + "...", wanted))


@dataclass(frozen=True, eq=False)
class ReadSection:
    """A section of the text with what was made of it: its value, and what was found on the way."""

    node: Any
    value: Any
    found: Findings


KeptSections: TypeAlias = dict[str, ReadSection]
"""What was read of each section the last time, by its key."""


def resolve(text: CaseText, kept: KeptSections | None = None) -> Case | Faults:
    """The case in SI, or every fault with its field path and what would do.

    Unknown keys are kept in the text and become warnings. A value that is absent is filled from the vehicle class,
    then from the catalogue; :attr:`Case.given` says which. ``kept`` is for one text that is edited again and again:
    sections that stand as they stood are not read anew.
    """
    tree, begun = without_begun(with_duties(_with_a_visit(text.tree)))
    found = Findings(_class_of(tree), fuel_of(tree))
    found.warnings.extend(case_texts.READING_WITHOUT_A_VALUE.format(path=path) for path in begun)
    sections_known = {m.key for m in members(Sections)}
    found.not_known("", sorted(set(tree) - sections_known - {"format", DIGESTS}), sections_known)
    sections = _sections(tree, found, {} if kept is None else kept)
    if sections is not None:
        sections = derive(sections, found.given)
        found.faults.extend(check_whole(sections))
        found.faults.extend(check_given(sections, found.given))
    if found.faults or sections is None:
        return Faults(tuple(found.faults), tuple(found.warnings))
    return Case(
        **{m.attribute: getattr(sections, m.attribute) for m in members(Sections)},
        given=found.given,
        warnings=tuple(found.warnings),
        own_duties=bool(text.tree.get("duties")),
    )


def _sections(tree: Mapping[str, Any], found: Findings, kept: KeptSections) -> Sections | None:
    """Every section from its part of the tree; None after a fault."""
    values = {}
    for member in members(Sections):
        read = _section(member, tree.get(member.key), found, kept)
        values[member.attribute] = read.value
        found.faults.extend(read.found.faults)
        found.warnings.extend(read.found.warnings)
        found.given.update(read.found.given)
    return None if found.faults else Sections(**values)


def _section(member: Branch | DeclaredInput, node: Any, found: Findings, kept: KeptSections) -> ReadSection:
    """One section, as it was read before where the same stands there and the vehicle is of the same class and fuel."""
    before = kept.get(member.key)
    if before is not None:
        alike = (before.found.class_name, before.found.fuel) == (found.class_name, found.fuel)
        if alike and (node is before.node or node == before.node):
            return before
    own = Findings(found.class_name, found.fuel)
    value = _branch(member, node, member.key, own) if isinstance(member, Branch) else None
    kept[member.key] = ReadSection(node, value, own)
    return kept[member.key]


def read_value(path: str, typed: str) -> Any:
    """What :func:`resolve` would make of ``typed`` at one path: SI of shape (1,), or a word. Raises InputError.

    KeyError where the path names no input of a case.
    """
    found = Findings(_class_of({}))
    value = _leaf(entry(path).leaf, typed, path, {}, found)
    if found.faults:
        raise InputError(tuple(found.faults))
    return value


def _class_of(tree: Mapping[str, Any]) -> str:
    section = tree.get("vehicle")
    name = section.get("class") if isinstance(section, dict) else None
    if isinstance(name, str) and name in CLASSES:
        return name
    return "family car"


def fuel_of(tree: Mapping[str, Any]) -> str | None:
    """The fuel's word as the catalogue spells it; None where none, or no known one, was typed."""
    section = tree.get("engine")
    typed = section.get("fuel") if isinstance(section, dict) else None
    return spelled(typed, entry("engine.fuel").input)


def with_duties(tree: dict[str, Any]) -> dict[str, Any]:
    """Give a case without duties those of its class, in the weather and with the heater of its first record."""
    if tree.get("duties"):
        return tree
    job = tree.get("job")
    reason = job.get("reason") if isinstance(job, dict) else None
    record = tree.get("evidence", {}).get("before") if isinstance(tree.get("evidence"), dict) else None
    shared: dict[str, Any] = {}
    if isinstance(record, dict):
        if "ambient" in record:
            shared["ambient"] = record["ambient"]
        if record.get("heater_setting") in ("off", "low", "high"):
            shared["heater"] = record["heater_setting"]
    duties = [{**duty, **shared} for duty in default_duties(_class_of(tree), reason)]
    return {**tree, "duties": duties}


def _with_a_visit(tree: dict[str, Any]) -> dict[str, Any]:
    """Give a case in which a customer tells something, and nothing was read yet, the record of this visit."""
    job = tree.get("job")
    evidence = tree.get("evidence", {})
    told = isinstance(job, dict) and any(job.get(key) for key in TOLD_INPUTS)
    if not told or not isinstance(evidence, dict) or evidence.get("before") is not None:
        return tree
    return {**tree, "evidence": {**evidence, "before": {}}}


def _build(cls: type, node: Any, path: str, found: Findings) -> Any:
    """An instance of a section dataclass from its part of the tree; None after a fault."""
    if not isinstance(node, dict):
        found.fault(path, node, case_texts.OBJECT_WITH_THE_KEYS_OF_THIS_SECTION)
        return None
    before = len(found.faults)
    values = {}
    known = {m.key for m in members(cls)}
    if path:
        prefix = path + "."
        found.not_known(prefix, [k for k in node if k not in known], known)
    else:
        prefix = ""
    for member in members(cls):
        here = f"{prefix}{member.key}"
        child = node.get(member.key)
        if isinstance(member, DeclaredInput):
            values[member.attribute] = _leaf(member, child, here, node, found)
        else:
            values[member.attribute] = _branch(member, child, here, found)
    values |= {attribute: found.words.get(f"{prefix}{key}") for attribute, key in words_kept(cls).items()}
    return cls(**values) if len(found.faults) == before else None


def _branch(branch: Branch, node: Any, path: str, found: Findings) -> Any:
    if not branch.is_list:
        absent_record = node is None and path.startswith("evidence.")
        return None if absent_record else _build(branch.cls, {} if node is None else node, path, found)
    if node is None:
        return ()
    is_list = isinstance(node, list)
    if not is_list or len(node) > MOST_ITEMS:
        found.fault(
            path, None if is_list else node, case_texts.LIST_OF_AT_MOST_ITEMS_BELONGS_HERE.format(most_items=MOST_ITEMS)
        )
        return ()
    return tuple(_build(branch.cls, item, f"{path}[{i}]", found) for i, item in enumerate(node))


def _leaf(leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings) -> Any:
    return _READERS[leaf.input.shape](leaf, node, path, siblings, found)


def _text_of_number(
    leaf: DeclaredInput, typed: str | None, path: str, found: Findings
) -> tuple[str, str, Basis] | None:
    """The number as text, its source and its basis: as it was typed or else filled in; None where there is none."""
    declared = leaf.input
    if typed is not None and declared.words.get(typed, typed) is not None:
        return typed, "as entered", Basis.ENTERED
    filled = None if declared.derived else _filled(declared, path, found)
    if filled is None:
        told = any(fault.path.startswith(path) for fault in found.faults)
        if not (leaf.optional or declared.derived or told):
            found.fault(path, None, f"{declared.label} is missing; {_example(declared)}")
        return None
    text, source, basis = filled
    return text, source if typed is None else f"{source}; stated as {typed}", basis


def _number(leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings) -> Any:
    """The number of an input in SI, typed or filled in; None where there is none, or after a fault."""
    declared = leaf.input
    typed, extras = _typed_number(node, path, found)
    told = _text_of_number(leaf, typed, path, found)
    if told is None:
        return None
    text, source, basis = told
    read = _number_in(text, typed, declared, path, siblings, found)
    if read is None:
        return None
    text, si, kind = read
    if not _is_within_limits(si, declared, kind, text, path, found):
        return None
    basis, source = _stated_basis(extras, basis, source)
    entered = basis is not Basis.TYPICAL or source == "as entered"
    spread = _uncertainty(si, declared, kind, extras, entered, path, found)
    if typed is not None and not entered:
        spread *= NOT_KNOWN_WIDENS
    found.given[path] = Given(
        path,
        text,
        basis,
        source,
        spread,
        kind,
        typed=source == "as entered",
        law=_law(extras, si, path, found),
        correlated=_correlated(extras, path, found),
    )
    return frozen_array(si)


def _number_in(
    text: str, typed: str | None, declared: Input, path: str, siblings: Mapping[str, Any], found: Findings
) -> tuple[str, float, str] | None:
    """A text as it is kept, its value in SI and its kind: a word of the instrument, of the input, or a number."""
    kind = _kind(declared, siblings)
    tool = spoken_instrument(siblings.get(declared.said_with))
    word = word_of(tool, text)
    if word is not None and kind == declared.kind:
        found.words[path] = word
        number = WORDS[tool][word].stands_for
        kept = word
    elif tool in ONLY_IN_WORDS:
        found.fault(path, typed, case_texts.ONE_OF_THE_WORDS_WOULD_DO.format(words=", ".join(WORDS[tool])))
        return None
    else:
        number = declared.words.get(text) or text
        kept = text
    value = _value(number, declared, kind, path, siblings, found)
    return None if value is None else (kept, *value)


def _typed_number(node: Any, path: str, found: Findings) -> tuple[str | None, Mapping[str, Any]]:
    """The typed text of a number, and the object's other keys when it was given as one."""
    extras: Mapping[str, Any] = {}
    if isinstance(node, dict):
        extras = node
        node = node.get("value")
        found.not_known(f"{path}.", [k for k in extras if k not in VALUE_KEYS], VALUE_KEYS)
        if node is None:
            found.fault(path, None, case_texts.OBJECT_NEEDS_A_VALUE)
            return None, extras
        basis = extras.get("basis")
        if basis is not None and basis not in WRITABLE_BASES:
            found.fault(
                f"{path}.basis", basis, case_texts.ONE_OF_WOULD_DO.format(writable_bases=", ".join(WRITABLE_BASES))
            )
    if node is None or node == "":
        return None, extras
    if isinstance(node, bool | list | dict):
        found.fault(path, node, case_texts.ONE_NUMBER_WITH_ITS_UNIT)
        return None, extras
    return str(node), extras


def _filled(declared: Input, path: str, found: Findings) -> tuple[str, str, Basis] | None:
    """The text that fills an absent value, its source in words and its basis."""
    by_class = class_value(found.class_name, path, found.fuel)
    if by_class is not None:
        return by_class[0], by_class[1], Basis.TYPICAL
    if declared.default is None:
        return None
    source = "typical, all classes" if declared.basis is Basis.TYPICAL else "assumed"
    return declared.default, source, declared.basis


def _kind(declared: Input, siblings: Mapping[str, Any]) -> str:
    if declared.kind_by is None:
        return declared.kind
    selector, kinds = declared.kind_by
    return kinds.get(str(siblings.get(selector)), declared.kind)


def _value(
    text: str, declared: Input, kind: str, path: str, siblings: Mapping[str, Any], found: Findings
) -> tuple[float, str] | None:
    try:
        return parse(text, kind, path).si, kind
    except UnitFault as fault:
        if declared.also is not None:
            try:
                return parse(text, declared.also, path).si, declared.also
            except UnitFault:
                pass
        extra = _words_that_would_do(declared, text, siblings)
        found.faults.extend(InputFault(f.path, f.given, f.wanted + extra) for f in fault.faults)
        return None


def _words_that_would_do(declared: Input, text: str, siblings: Mapping[str, Any]) -> str:
    """What may be written instead of a number, as the end of a fault."""
    if declared.words:
        return case_texts.OR_ONE_OF_THE_WORDS.format(words=", ".join(declared.words))
    if not declared.said_with:
        return ""
    tool = spoken_instrument(siblings.get(declared.said_with))
    if tool:
        return case_texts.OR_ONE_OF_THE_WORDS.format(words=", ".join(WORDS[tool]))
    others = instruments_with(text)
    if others:
        return case_texts.THIS_WORD_GOES_WITH.format(said_with=declared.said_with, others=" or ".join(others))
    return ""


def _is_within_limits(si: float, declared: Input, kind: str, text: str, path: str, found: Findings) -> bool:
    """Whether a value [SI] lies within what its input takes; if not, that is a fault."""
    limits = declared.limits if kind == declared.kind else declared.limits_by.get(kind)
    if limits is None:
        return True
    low, high = (parse(limit, kind).si for limit in limits)
    if low - 1e-12 * abs(low) <= si <= high + 1e-12 * abs(high):
        if kind == "count" and si != int(si):
            found.fault(path, text, case_texts.WHOLE_NUMBER_WOULD_DO)
            return False
        return True
    hint = case_texts.DID_YOU_MEAN.format(text=text) if kind == "fraction" and "%" not in text and 1 < si <= 100 else ""
    found.fault(path, text, case_texts.TO_WOULD_DO.format(limits_low=limits[0], limits_high=limits[1], hint=hint))
    return False


def _stated_basis(extras: Mapping[str, Any], basis: Basis, source: str) -> tuple[Basis, str]:
    stated = extras.get("basis")
    if stated in WRITABLE_BASES:
        return (Basis(stated), source)
    return (basis, source)


def _uncertainty(
    si: float, declared: Input, kind: str, extras: Mapping[str, Any], typed: bool, path: str, found: Findings
) -> float:
    stated = extras.get("uncertainty")
    if stated is None:
        return 0.0 if typed or kind != declared.kind else spread_of(si, declared)
    here = f"{path}.uncertainty"
    if isinstance(stated, bool | list | dict):
        found.fault(here, stated, case_texts.ONE_NUMBER_WITH_ITS_UNIT)
        return 0.0
    try:
        if kind not in ("fraction", "grade") and str(stated).strip().endswith("%"):
            size = abs(si) * parse(str(stated), "fraction", here).si
        else:
            size = parse_difference(str(stated), kind, here, at=si)
    except UnitFault as fault:
        found.faults.extend(fault.faults)
        return 0.0
    if size < 0:
        found.fault(here, stated, case_texts.ZERO_OR_MORE_WOULD_DO)
    return size


def _law(extras: Mapping[str, Any], si: float, path: str, found: Findings) -> SpreadLaw:
    """The law that a value states; normal where it states none."""
    stated = extras.get("law")
    if stated is None:
        return SpreadLaw.NORMAL
    if stated not in tuple(SpreadLaw):
        found.fault(f"{path}.law", stated, case_texts.ONE_OF_WOULD_DO.format(writable_bases=", ".join(SpreadLaw)))
        return SpreadLaw.NORMAL
    if stated == SpreadLaw.LOGNORMAL and si <= 0.0:
        found.fault(f"{path}.law", stated, case_texts.LOGNORMAL_LAW_NEEDS_A_VALUE_ABOVE_0)
        return SpreadLaw.NORMAL
    return SpreadLaw(stated)


def _correlated(extras: Mapping[str, Any], path: str, found: Findings) -> dict[str, float]:
    """Correlation coefficients with other inputs, by path."""
    stated = extras.get("correlated", {})
    wanted = case_texts.OBJECT_SUCH_AS_ENGINE_RATED_POWER
    if not isinstance(stated, dict):
        found.fault(f"{path}.correlated", stated, wanted)
        return {}
    read = {}
    for other, node in stated.items():
        try:
            read[other] = float(str(node).replace(",", "."))
        except ValueError:
            read[other] = 2.0
        if isinstance(node, bool | list | dict) or not -1.0 < read[other] < 1.0 or other == path:
            found.fault(f"{path}.correlated", f"{other}: {node}", wanted)
            del read[other]
    return read


def spread_of(si: float, declared: Input) -> float:
    """The standard uncertainty, in SI, of a default or a value typical by class."""
    if not declared.spread:
        return 0.0
    if declared.spread.endswith("%"):
        return abs(si) * parse(declared.spread, "fraction").si
    return parse_difference(declared.spread, declared.kind, at=si)


def _example(declared: Input) -> str:
    if declared.usual:
        return case_texts.SUCH_AS_TO.format(usual_low=declared.usual[0], usual_high=declared.usual[1])
    return case_texts.IT_HAS_TO_BE_GIVEN


def _resolved_word(
    leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings
) -> str | None:
    """One of the words that an input takes, or what fills it where nothing is typed; None with a fault."""
    del siblings
    declared = leaf.input
    if node is None or node == "":
        filled = _filled(declared, path, found)
        if filled is None:
            return None
        found.given[path] = Given(path, filled[0], filled[2], filled[1], 0.0, "word", typed=False)
        return filled[0]
    word = spelled(node, declared)
    if word is None:
        why = outside_of(node) if isinstance(node, str) else None
        wanted = case_texts.ONE_OF_WOULD_DO.format(writable_bases=", ".join(declared.options))
        found.fault(path, node, wanted if why is None else f"{why}; {wanted}")
        return None
    found.given[path] = Given(path, word, Basis.ENTERED, "as entered", 0.0, "word", typed=True)
    return word


def spelled(node: Any, declared: Input) -> str | None:
    """A typed word as the catalogue spells it; None where it is none of the list."""
    plain = node.strip().casefold().replace("_", " ") if isinstance(node, str) else None
    return next((w for w in declared.options if w.casefold().replace("_", " ") == plain), None)


def _free_text(leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings) -> str | None:
    del leaf, siblings
    if node is None:
        return None
    if isinstance(node, Number) or (isinstance(node, str) and len(node) <= LONGEST_FREE_TEXT):
        return str(node) or None
    found.fault(path, node, case_texts.TEXT_OF_AT_MOST_CHARACTERS_WOULD_DO.format(longest_free_text=LONGEST_FREE_TEXT))
    return None


def _texts(leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings) -> tuple[str, ...]:
    if node is None:
        return ()
    if not isinstance(node, list) or len(node) > MOST_ITEMS:
        found.fault(path, node, case_texts.LIST_OF_AT_MOST_TEXTS_WOULD_DO.format(most_items=MOST_ITEMS))
        return ()
    texts = (_free_text(leaf, item, f"{path}[{i}]", siblings, found) for i, item in enumerate(node))
    return tuple(t for t in texts if t is not None)


def _flags(leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings) -> dict[str, bool]:
    del siblings
    if node is None:
        return {}
    if not isinstance(node, dict):
        found.fault(path, node, case_texts.OBJECT_OF_FACTS)
        return {}
    for fact, value in node.items():
        if fact not in leaf.input.options:
            found.not_known(f"{path}.", [fact], leaf.input.options, case_texts.THIS_FACT_IS_NOT_KNOWN)
        elif not isinstance(value, bool):
            found.fault(f"{path}.{fact}", value, case_texts.TRUE_OR_FALSE_WOULD_DO)
    return {k: v for k, v in node.items() if k in leaf.input.options and isinstance(v, bool)}


def _resolved_pairs(
    leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings
) -> tuple[tuple[float, float], ...]:
    """A list of pairs of numbers as typed, in SI; what is none is a fault of its own item."""
    del siblings
    if node is None:
        return ()
    if not isinstance(node, list):
        found.fault(path, node, case_texts.LIST_OF_PAIRS_SUCH_AS_5)
        return ()
    pairs = []
    for i, item in enumerate(node):
        here = f"{path}[{i}]"
        if not isinstance(item, list) or len(item) != 2 or any(isinstance(x, bool | list | dict) for x in item):
            found.fault(here, item, case_texts.ONE_PAIR_SUCH_AS_5)
            continue
        try:
            typed = str(item[0])
            at = typed if any(c.isalpha() for c in typed) else f"{typed} min"
            pairs.append((parse(at, "time", f"{here}[0]").si, parse(str(item[1]), leaf.input.kind, f"{here}[1]").si))
        except UnitFault as fault:
            found.faults.extend(fault.faults)
    return tuple(pairs)


def _log(leaf: DeclaredInput, node: Any, path: str, siblings: Mapping[str, Any], found: Findings) -> Log | None:
    del leaf, siblings
    if node is None:
        return None
    if not isinstance(node, dict) or not isinstance(node.get("file"), str):
        found.fault(path, node, case_texts.OBJECT_WITH_A_FILE_AND)
        return None
    columns = node.get("columns", {})
    if not isinstance(columns, dict) or not all(isinstance(v, str) for v in columns.values()):
        found.fault(f"{path}.columns", columns, case_texts.OBJECT_THAT_NAMES_THE_COLUMN_OF_EACH)
        return None
    return Log(node["file"], columns)


_READERS: Mapping[FileShape, Callable[[DeclaredInput, Any, str, Mapping[str, Any], Findings], Any]] = {
    FileShape.NUMBER: _number,
    FileShape.WORD: _resolved_word,
    FileShape.TEXT: _free_text,
    FileShape.TEXTS: _texts,
    FileShape.FLAGS: _flags,
    FileShape.PAIRS: _resolved_pairs,
    FileShape.LOG: _log,
}
