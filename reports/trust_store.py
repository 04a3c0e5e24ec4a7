"""Whom a person trusts: people met, issuers and clocks whose word counts on names and on times; own identities.

One file in a folder that only its owner may read, changed by one window at a time. A person is known by the
fingerprint of the certificate and by that of the key: who renews an identity keeps the key, and is known on. Names here
are labels; only fingerprints count.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from filelock import FileLock, Timeout

from engcalc.case.file import is_there, read_whole, write_whole
from engcalc.errors import FileFault, InputError, InputFault
from engcalc.words.texts import report_texts
from reports.identity import Identity, fingerprint_of, is_self_issued, key_print_of, name_of

FORMAT = "heatdocket-trust/1"
FILE = "known.json"
LOCK = "known.lock"
WAIT = 10.0  # s for another window's change, which takes milliseconds
LARGEST = 8 << 20  # bytes of the file
_OWNER_ONLY = 0o700
_GROUPED = 4  # digits in a group of a fingerprint
_DIGITS = 64  # of SHA-256 in hexadecimal


@dataclass(frozen=True)
class KnownPerson:
    """Somebody whose fingerprint was compared with them: under which name, and since when."""

    name: str
    fingerprint: str
    key: str
    since: date


@dataclass(frozen=True)
class KnownAuthority:
    """A root certificate whose word counts, and since when."""

    certificate: x509.Certificate
    since: date

    @property
    def name(self) -> str:
        """The name in the certificate."""
        return name_of(self.certificate)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, in groups."""
        return fingerprint_of(self.certificate)


@dataclass(frozen=True)
class OwnIdentity:
    """An identity file of the person's own, as it was when last opened; never its key or password."""

    path: Path
    name: str
    credential: str
    fingerprint: str
    not_after: datetime


@dataclass(frozen=True)
class TrustStore:
    """Everybody known. ``issuers`` are roots for names, ``clocks`` roots for times: one says nothing of the other."""

    persons: tuple[KnownPerson, ...] = ()
    issuers: tuple[KnownAuthority, ...] = ()
    clocks: tuple[KnownAuthority, ...] = ()
    own: tuple[OwnIdentity, ...] = ()

    def with_person(self, name: str, certificate: x509.Certificate, since: date) -> TrustStore:
        """The store with this person; who is known already stays known since then, under the new name."""
        fingerprint, key = fingerprint_of(certificate), key_print_of(certificate)
        before = next((one.since for one in self.persons if one.key == key), since)
        others = tuple(one for one in self.persons if one.fingerprint != fingerprint)
        return replace(self, persons=(*others, KnownPerson(name, fingerprint, key, min(before, since))))

    def with_issuer(self, certificate: x509.Certificate, since: date) -> TrustStore:
        """The store with another root for names."""
        return replace(self, issuers=_added(self.issuers, certificate, since))

    def with_clock(self, certificate: x509.Certificate, since: date) -> TrustStore:
        """The store with another root for times."""
        return replace(self, clocks=_added(self.clocks, certificate, since))

    def with_own(self, path: Path, identity: Identity) -> TrustStore:
        """The store with an identity of one's own, as its file now holds it."""
        place = path.resolve()
        found = OwnIdentity(place, identity.name, identity.credential, identity.fingerprint, identity.not_after)
        return replace(self, own=(*(one for one in self.own if one.path != place), found))

    def without(self, fingerprint: str) -> TrustStore:
        """The store without whoever has this fingerprint, be it person, issuer, clock or own identity."""
        return TrustStore(
            tuple(one for one in self.persons if one.fingerprint != fingerprint),
            tuple(one for one in self.issuers if one.fingerprint != fingerprint),
            tuple(one for one in self.clocks if one.fingerprint != fingerprint),
            tuple(one for one in self.own if one.fingerprint != fingerprint),
        )

    @property
    def roots(self) -> tuple[x509.Certificate, ...]:
        """Of issuers and clocks together: for checking certificates while signing, not for believing anything."""
        return tuple(one.certificate for one in (*self.issuers, *self.clocks))

    @property
    def fingerprints(self) -> tuple[str, ...]:
        """Of everybody."""
        found = [one.fingerprint for one in self.persons]
        found += [one.fingerprint for one in (*self.issuers, *self.clocks)]
        return (*found, *(one.fingerprint for one in self.own))


def _added(known: tuple[KnownAuthority, ...], certificate: x509.Certificate, since: date) -> tuple[KnownAuthority, ...]:
    if any(one.certificate == certificate for one in known):
        return known
    return (*known, KnownAuthority(certificate, since))


def grouped(fingerprint: str) -> str:
    """A fingerprint as somebody typed or pasted it, in groups of four. InputError where it is none."""
    digits = "".join(fingerprint.replace(":", " ").split()).upper()
    if len(digits) != _DIGITS or set(digits) - set("0123456789ABCDEF"):
        wanted = report_texts.SIXTEEN_GROUPS_OF_FOUR_DIGITS
        raise InputError((InputFault("fingerprint", fingerprint[:100], wanted),))
    return " ".join(digits[start : start + _GROUPED] for start in range(0, _DIGITS, _GROUPED))


def read_root(path: Path) -> x509.Certificate:
    """A root certificate from a file, PEM or DER; it vouches for itself. FileFault otherwise."""
    data = read_whole(path, "a certificate", LARGEST)
    try:
        certificate = (
            x509.load_pem_x509_certificate(data) if b"-----BEGIN" in data else x509.load_der_x509_certificate(data)
        )
    except ValueError as fault:
        wanted = report_texts.THIS_IS_NO_CERTIFICATE
        raise FileFault(str(path), wanted) from fault
    if not is_self_issued(certificate):
        raise FileFault(str(path), report_texts.THIS_CERTIFICATE_WAS_ISSUED_BY_ANOTHER)
    return certificate


def read_store(folder: Path) -> TrustStore:
    """Everybody known in ``folder``; nobody where there is no file yet. FileFault where the file is damaged: a store
    that lost somebody in silence would be worse than none."""
    path = folder / FILE
    if not is_there(path):
        return TrustStore()
    data = read_whole(path, report_texts.LIST_OF_WHOM_YOU_KNOW, LARGEST)
    try:
        tree = json.loads(data)
        if tree["format"] != FORMAT:
            raise FileFault(str(path), report_texts.IT_IS_OF_ANOTHER_VERSION_USE.format(format=tree["format"]))
        return TrustStore(
            tuple(_person(one) for one in tree["persons"]),
            tuple(_authority(one) for one in tree["issuers"]),
            tuple(_authority(one) for one in tree["clocks"]),
            tuple(_own_identity(one) for one in tree["own"]),
        )
    except (ValueError, KeyError, TypeError) as fault:
        wanted = report_texts.LIST_OF_WHOM_YOU_KNOW_IS_DAMAGED
        raise FileFault(str(path), wanted) from fault


def change_store(folder: Path, change: Callable[[TrustStore], TrustStore]) -> TrustStore:
    """Change what is kept in ``folder`` and give it back. Windows and commands take turns: none undoes what another
    has just added. Raises FileFault where the place cannot be used, and whatever ``change`` raises."""
    _make_private(folder)
    try:
        with FileLock(folder / LOCK, timeout=WAIT):
            changed = change(read_store(folder))
            write_store(folder, changed)
            return changed
    except Timeout as fault:
        wanted = report_texts.ANOTHER_WINDOW_HAS_HELD_THE_LIST.format(wait=WAIT)
        raise FileFault(str(folder / FILE), wanted) from fault
    except OSError as fault:
        raise _unusable(folder, fault) from fault


def write_store(folder: Path, store: TrustStore) -> None:
    """Keep everybody known, in a folder and a file that only their owner may read. FileFault."""
    tree = {
        "format": FORMAT,
        "persons": [_person_tree(one) for one in store.persons],
        "issuers": [_authority_tree(one) for one in store.issuers],
        "clocks": [_authority_tree(one) for one in store.clocks],
        "own": [_own_tree(one) for one in store.own],
    }
    _make_private(folder)
    write_whole(folder / FILE, (json.dumps(tree, indent=2) + "\n").encode(), private=True)


def _make_private(folder: Path) -> None:
    try:
        folder.mkdir(mode=_OWNER_ONLY, parents=True, exist_ok=True)
        folder.chmod(_OWNER_ONLY)
    except OSError as fault:
        raise _unusable(folder, fault) from fault


def _unusable(folder: Path, fault: OSError) -> FileFault:
    return FileFault(str(folder), report_texts.THIS_FOLDER_CANNOT_BE_USED.format(strerror=fault.strerror or fault))


def _person(tree: Any) -> KnownPerson:
    since = date.fromisoformat(tree["since"])
    return KnownPerson(str(tree["name"]), str(tree["fingerprint"]), str(tree["key"]), since)


def _person_tree(one: KnownPerson) -> dict[str, str]:
    return {"name": one.name, "fingerprint": one.fingerprint, "key": one.key, "since": one.since.isoformat()}


def _authority(tree: Any) -> KnownAuthority:
    certificate = x509.load_pem_x509_certificate(tree["certificate"].encode())
    return KnownAuthority(certificate, date.fromisoformat(tree["since"]))


def _authority_tree(one: KnownAuthority) -> dict[str, str]:
    pem = one.certificate.public_bytes(Encoding.PEM).decode()
    return {"name": one.name, "certificate": pem, "since": one.since.isoformat()}


def _own_identity(tree: Any) -> OwnIdentity:
    until = datetime.fromisoformat(tree["not_after"]).astimezone(UTC)
    name, credential, fingerprint = (str(tree[key]) for key in ("name", "credential", "fingerprint"))
    return OwnIdentity(Path(tree["path"]), name, credential, fingerprint, until)


def _own_tree(one: OwnIdentity) -> dict[str, str]:
    return {
        "path": str(one.path),
        "name": one.name,
        "credential": one.credential,
        "fingerprint": one.fingerprint,
        "not_after": one.not_after.isoformat(),
    }
