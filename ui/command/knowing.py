"""Whom this user knows, on the command line: people met, issuers and clocks whose word counts."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.errors import InputError, InputFault
from engcalc.words.terms.foreign import quoted
from engcalc.words.texts import command_texts
from ui.trusting import change_known, know_signer, known_to_user, now

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reports.trust_store import KnownAuthority, KnownPerson, TrustStore
    from ui.command.answer import Answer, JsonObject


def list_command(_options: argparse.Namespace) -> Answer:
    """``heatdocket known list``: everybody, with the fingerprint and since when."""
    store = known_to_user()
    heads = (
        (command_texts.PEOPLE_WHOM_YOU_KNOW, store.persons),
        (command_texts.ISSUERS_WHOSE_WORD_ON_NAMES_COUNTS, store.issuers),
        (command_texts.CLOCKS_WHOSE_WORD_ON_TIMES_COUNTS, store.clocks),
    )
    lines: list[str] = []
    for head, known in heads:
        lines += [f"{head}:"] + (_lines(known) or ["none"])
    return _as_json(store), lines


def person_command(options: argparse.Namespace) -> Answer:
    """``heatdocket known person``: pin the signer of a report whose fingerprint was compared with them."""
    name = know_signer(options.report, options.fingerprint, options.name or "")
    return _as_json(known_to_user()), [command_texts.KNOWN_FROM_NOW_ON.format(name=quoted(name))]


def issuer_command(options: argparse.Namespace) -> Answer:
    """``heatdocket known issuer``: a root whose word on names counts from now on."""
    from reports.trust_store import read_root

    root = read_root(options.file)
    change_known(lambda store: store.with_issuer(root, now().date()))
    return _word_taken(options.file, "names")


def clock_command(options: argparse.Namespace) -> Answer:
    """``heatdocket known clock``: a root whose word on times counts from now on."""
    from reports.trust_store import read_root

    root = read_root(options.file)
    change_known(lambda store: store.with_clock(root, now().date()))
    return _word_taken(options.file, "times")


def forget_command(options: argparse.Namespace) -> Answer:
    """``heatdocket known forget``: whoever has this fingerprint is no longer known."""
    from reports.trust_store import grouped

    fingerprint = grouped(options.fingerprint)

    def without(store: TrustStore) -> TrustStore:
        if fingerprint not in store.fingerprints:
            raise InputError((InputFault("fingerprint", fingerprint, command_texts.NOBODY_WHOM_YOU_KNOW_HAS_IT),))
        return store.without(fingerprint)

    return _as_json(change_known(without)), [f"Forgotten: {fingerprint}"]


def _word_taken(file: Path, of_what: str) -> Answer:
    return _as_json(known_to_user()), [command_texts.ITS_WORD_ON_COUNTS_FROM_NOW_ON.format(file=file, of_what=of_what)]


def _lines(known: Sequence[KnownPerson | KnownAuthority]) -> list[str]:
    told = [(one.fingerprint, f"{quoted(one.name)}, since {one.since:%Y-%m-%d}") for one in known]
    return [line for fingerprint, name in told for line in (f"Fingerprint: {fingerprint}", name)]


def _as_json(store: TrustStore) -> JsonObject:
    parts: dict[str, Sequence[KnownPerson | KnownAuthority]] = {
        "persons": store.persons,
        "issuers": store.issuers,
        "clocks": store.clocks,
    }
    return {key: [_one_as_json(one) for one in known] for key, known in parts.items()}


def _one_as_json(one: KnownPerson | KnownAuthority) -> JsonObject:
    return {"name": one.name, "fingerprint": one.fingerprint, "since": one.since.isoformat()}
