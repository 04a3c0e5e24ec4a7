"""Inputs that a coverage-guided fuzzer makes: those that reach new lines of the program are mutated on.

    pip install -e '.[test,fuzz]'
    PYTHONPATH=.:tests/trust python tests/trust/guided_fuzz.py cases 50000 OUT        one kind, so many inputs

OUT/KIND.json holds what came of them, OUT/KIND/ the inputs that reached something new; a next run goes on from these.
"""

from __future__ import annotations

import json
import random
import sys
import tempfile
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["engcalc", "reports", "ui", "pyhanko", "pyhanko_certvalidator", "asn1crypto"]):
    from fuzzed_inputs import SEED, STUMBLING_BLOCKS, Kind, Run, kinds, tried

WRITTEN_EVERY = 200  # inputs, after which the count is written: the fuzzer ends the process without a word
LARGEST = 60_000  # bytes of an input
STRANGE = (
    "",
    "-1",
    "0",
    "1e308",
    "-40 °C",
    "9999 kW",
    "1e-9",
    "nan",
    "∞",
    "../x.csv",
    "<b>x</b>",
    "\u202e",
    "x" * 5000,
)
STRANGE_TREES: tuple[object, ...] = (*STRANGE, None, True, 0, -1, 1e308, [], {}, [[]], {"x": {}})


def leaves(tree: object) -> list[tuple[object, object]]:
    """Every place in a tree of JSON, as what holds it and its key or index."""
    if isinstance(tree, dict):
        pairs = list(tree.items())
    elif isinstance(tree, list):
        pairs = list(enumerate(tree))
    else:
        return []
    return [place for key, value in pairs for place in ((tree, key), *leaves(value))]


def changed_tree(data: bytes, draw: random.Random, words: list[object]) -> bytes | None:
    """A case with values exchanged, dropped or doubled, which stays JSON; None where it is none."""
    try:
        tree = json.loads(data)
    except (ValueError, RecursionError):
        return None
    for _ in range(draw.randrange(1, 4)):
        places = leaves(tree)
        if not places:
            return None
        holder, key = draw.choice(places)
        change = draw.randrange(4)
        if change == 0:
            del holder[key]
        elif change == 1 and isinstance(holder, list):
            holder.insert(key, holder[key])
        else:
            holder[key] = draw.choice(words if change == 2 else STRANGE_TREES)
    return json.dumps(tree, ensure_ascii=draw.random() < 0.5).encode("utf-8", "replace")


def mutator_of_cases(sources: list[bytes]) -> Callable[[bytes, int, int], bytes]:
    """Two of three mutations keep a case readable as JSON, with values of other places of other cases."""
    trees = [json.loads(one) for one in sources]
    words = [holder[key] for tree in trees for holder, key in leaves(tree)]

    def mutate(data: bytes, largest: int, seed: int) -> bytes:
        draw = random.Random(seed)
        changed = changed_tree(data, draw, words) if draw.random() < 2 / 3 else None
        return changed if changed is not None and len(changed) <= largest else atheris.Mutate(data, largest)

    return mutate


def run(kind: Kind, count: int, out: Path) -> None:
    """So many inputs of one kind. Does not return: the fuzzer ends the process."""
    corpus = out / kind.name.replace(" ", "_")
    corpus.mkdir(parents=True, exist_ok=True)
    for number, source in enumerate(kind.sources):
        (corpus / f"source{number}").write_bytes(source)
    found = Run(kind.name)

    def one(data: bytes) -> None:
        already = len(found.defects)
        tried(found, kind.ask, data)
        if len(found.defects) > already:
            (out / f"defect_{kind.name.replace(' ', '_')}_{found.tried}").write_bytes(data)
        if found.tried % WRITTEN_EVERY == 0 or found.tried >= count:
            corpus.with_suffix(".json").write_text(json.dumps(asdict(found), indent=1), encoding="utf-8")

    words = out / "words"
    words.write_text(
        "".join('"' + "".join(f"\\x{b:02x}" for b in word) + '"\n' for word in STUMBLING_BLOCKS if len(word) < 64),
        encoding="ascii",
    )
    options = [f"-runs={count}", f"-max_len={LARGEST}", f"-seed={SEED}", "-timeout=120", "-rss_limit_mb=4000"]
    more = {"custom_mutator": mutator_of_cases(list(kind.sources))} if kind.name == "cases" else {}
    atheris.Setup([sys.argv[0], str(corpus), *options, f"-dict={words}", "-print_final_stats=1"], one, **more)
    atheris.Fuzz()


if __name__ == "__main__":
    scratch = Path(tempfile.mkdtemp(dir="/dev/shm"))
    wanted = next(one for one in kinds(scratch) if one.name == sys.argv[1])
    run(wanted, int(sys.argv[2]), Path(sys.argv[3]))
