"""A signing key that never leaves a hardware token, reached by PKCS#11 (OASIS, version 2.40).

The token's maker gives a program library that speaks PKCS#11. A small file names that library, the token and its
certificate; the PIN is asked for each time and kept nowhere. Such a file may come from a stranger, and a program
library runs whatever is in it: only one that this system's administrator installed is loaded.

Needs the package python-pkcs11, which is not installed unless asked for (``pip install 'heatdocket[token]'``); the
folder build carries it.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

from engcalc.case.file import is_file
from engcalc.errors import FileFault, HeatdocketError, InputError, InputFault
from engcalc.words.terms.foreign import visible
from engcalc.words.texts import report_texts

FORMAT = "heatdocket-token/1"
PIN = "identity.password"
OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH
ADMINISTRATOR = 0  # the user number of root


@dataclass(frozen=True)
class TokenKey:
    """A private key on a token: the library that reaches it, which token, which key, and the PIN."""

    module: Path
    token: str
    serial: str
    key_id: bytes
    pin: str = field(repr=False)


@dataclass(frozen=True)
class OnToken:
    """What a token holds for signing: a key, the certificate of it, and the certificates without a key, such as those
    of who issued it."""

    key: TokenKey
    certificate: x509.Certificate
    chain: tuple[x509.Certificate, ...] = ()


def read_token_file(path: Path, data: bytes, pin: str) -> OnToken:
    """The key that such a file names, once the token has accepted the PIN and has the certificate still.

    Raises FileFault where the file is damaged or another token is plugged in, InputError for a wrong PIN.
    """
    try:
        tree = json.loads(data)
        if tree["format"] != FORMAT:
            raise FileFault(
                str(path), report_texts.IT_IS_OF_ANOTHER_VERSION.format(format=visible(str(tree["format"]))[:60])
            )
        certificate = x509.load_pem_x509_certificate(str(tree["certificate"]).encode())
        key_id = bytes.fromhex(tree["key_id"])
        key = TokenKey(Path(str(tree["module"])), str(tree["token"]), str(tree["serial"]), key_id, pin)
    except (ValueError, KeyError, TypeError, RecursionError) as fault:
        wanted = report_texts.THIS_FILE_WHICH_NAMES_A_TOKEN
        raise FileFault(str(path), wanted) from fault
    with opened(key) as session:
        there = _signing_pairs(key, session)
    found = next((one for one in there if one.certificate == certificate and one.key.key_id == key_id), None)
    if found is None:
        raise FileFault(str(path), report_texts.TOKEN_NO_LONGER_HOLDS_THIS_CERTIFICATE)
    return found


def token_file(found: OnToken) -> bytes:
    """The bytes of the file that names a token; neither key nor PIN is in it."""
    tree = {
        "format": FORMAT,
        "module": str(found.key.module),
        "token": found.key.token,
        "serial": found.key.serial,
        "key_id": found.key.key_id.hex(),
        "certificate": found.certificate.public_bytes(Encoding.PEM).decode(),
    }
    return (json.dumps(tree, indent=2) + "\n").encode()


def sought_on_token(module: Path, pin: str) -> OnToken:
    """The one key with a certificate on the one token that ``module`` reaches.

    Raises InputError for a wrong PIN, and where there is no token, no key with its certificate, or more than one.
    """
    slots = [slot.get_token() for slot in _library(module).get_slots(token_present=True)]
    tokens = [one for one in slots if one.label]  # an empty slot of a software token has no name
    if len(tokens) != 1:
        raise _fault("token", str(module), report_texts.TOKENS_ARE_PLUGGED_IN.format(tokens_count=len(tokens)))
    key = TokenKey(module, tokens[0].label, tokens[0].serial.hex(), b"", pin)
    with opened(key) as session:
        pairs = _signing_pairs(key, session)
    if len(pairs) != 1:
        told = report_texts.TOKEN_HOLDS_KEYS_WITH_THEIR_CERTIFICATES.format(
            token=visible(key.token), pairs_count=len(pairs)
        )
        raise _fault("token", str(module), told)
    return pairs[0]


@contextmanager
def opened(key: TokenKey) -> Iterator[Any]:
    """A session with the token, closed at the end. InputError for a wrong PIN, or where the token is not there."""
    import pkcs11

    library = _library(key.module)
    try:
        token = next(iter(library.get_tokens(token_label=key.token, token_serial=bytes.fromhex(key.serial))), None)
        if token is None:
            raise _fault("token", key.token, report_texts.THIS_TOKEN_IS_NOT_PLUGGED_IN)
        session = token.open(user_pin=key.pin)
    except (pkcs11.PinIncorrect, pkcs11.PinInvalid, pkcs11.PinLenRange, pkcs11.ArgumentsBad) as fault:
        raise _fault(PIN, "", report_texts.TOKEN_REFUSES_THIS_PIN) from fault
    except pkcs11.PinLocked as fault:
        raise _fault(PIN, "", report_texts.TOKEN_IS_LOCKED_AFTER_WRONG_PINS) from fault
    except pkcs11.PKCS11Error as fault:
        raise _fault(
            "token", key.token, report_texts.TOKEN_CANNOT_BE_OPENED.format(name=type(fault).__name__)
        ) from fault
    try:
        yield session
    finally:
        session.close()


@contextmanager
def signer_on_token(key: TokenKey, certificate: Any, chain: list[Any]) -> Iterator[Any]:
    """A signer of the signature library whose key stays on the token. The two are asn1crypto's certificates."""
    import pkcs11
    from pyhanko.sign.pkcs11 import PKCS11Signer

    with opened(key) as session:
        # the digest is made here and the token signs it: not every token digests
        signer = PKCS11Signer(
            session, signing_cert=certificate, ca_chain=chain, key_id=key.key_id, use_raw_mechanism=True
        )
        try:
            yield signer
        except pkcs11.PKCS11Error as fault:
            raise _fault(
                "token", key.token, report_texts.TOKEN_DID_NOT_SIGN.format(name=type(fault).__name__)
            ) from fault


def refused_library(module: Path) -> str:
    """Why a program library is not loaded, in words; empty where the system's administrator installed it: file and
    folders are theirs, and nobody else may write there."""
    try:
        place = module.resolve(strict=True)
        if not module.is_absolute() or not is_file(place):
            return report_texts.NAME_THE_LIBRARY_OF_THE_TOKENS_MAKER
        owned = [one.stat() for one in (place, *place.parents)]
    except (OSError, ValueError):
        return report_texts.THERE_IS_NO_SUCH_LIBRARY
    if os.name == "nt":
        return ""  # who may write there is kept in another way; not tried
    if any(one.st_uid != ADMINISTRATOR or one.st_mode & OTHERS_MAY_WRITE for one in owned):
        return report_texts.ONLY_A_LIBRARY_THAT_THE_SYSTEMS
    return ""


def _library(module: Path) -> Any:
    refused = refused_library(module)
    if refused:
        raise _fault("token", visible(str(module))[:200], refused)
    try:
        import pkcs11
    except ImportError as fault:
        raise _fault("token", "", report_texts.HARDWARE_TOKENS_NEED_THE_PACKAGE) from fault
    try:
        return pkcs11.lib(str(module.resolve()))
    except (pkcs11.PKCS11Error, RuntimeError, OSError) as fault:
        raise _fault("token", str(module), report_texts.THIS_LIBRARY_DOES_NOT_SPEAK_PKCS_11) from fault


def _signing_pairs(key: TokenKey, session: Any) -> list[OnToken]:
    """Each certificate on the token whose private key is there too and may sign."""
    from pkcs11 import Attribute, ObjectClass

    keys = session.get_objects({Attribute.CLASS: ObjectClass.PRIVATE_KEY, Attribute.SIGN: True})
    with_key = {bytes(one[Attribute.ID]) for one in keys}
    held = [
        (bytes(one[Attribute.ID]), x509.load_der_x509_certificate(one[Attribute.VALUE]))
        for one in session.get_objects({Attribute.CLASS: ObjectClass.CERTIFICATE})
    ]
    chain = tuple(certificate for key_id, certificate in held if key_id not in with_key)
    return [
        OnToken(replace(key, key_id=key_id), certificate, chain) for key_id, certificate in held if key_id in with_key
    ]


def _fault(path: str, given: str, wanted: str) -> HeatdocketError:
    return InputError((InputFault(path, given, wanted),))
