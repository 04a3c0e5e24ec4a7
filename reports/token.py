"""A signing key that never leaves a hardware token, reached by PKCS#11 (OASIS, version 2.40).

The token's maker gives a program library that speaks PKCS#11. A small file names that library, the token and its
certificate; the PIN is asked for each time and kept nowhere. Such a file may come from a stranger, and a program
library runs whatever is in it: only one that this system's administrator installed is loaded.

Needs the package python-pkcs11, which is not installed unless asked for (``pip install 'heatdocket[token]'``).
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
from engcalc.words.foreign import visible

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
            raise FileFault(str(path), f"it is of another version ({visible(str(tree['format']))[:60]})")
        certificate = x509.load_pem_x509_certificate(str(tree["certificate"]).encode())
        key_id = bytes.fromhex(tree["key_id"])
        key = TokenKey(Path(str(tree["module"])), str(tree["token"]), str(tree["serial"]), key_id, pin)
    except (ValueError, KeyError, TypeError, RecursionError) as fault:
        wanted = "this file, which names a token, is damaged; make it anew: heatdocket identity FILE --token LIBRARY"
        raise FileFault(str(path), wanted) from fault
    with opened(key) as session:
        there = _signing_pairs(key, session)
    found = next((one for one in there if one.certificate == certificate and one.key.key_id == key_id), None)
    if found is None:
        raise FileFault(str(path), "the token no longer holds this certificate; make the file anew")
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
        raise _fault("token", str(module), f"{len(tokens)} tokens are plugged in; plug in the one to sign with")
    key = TokenKey(module, tokens[0].label, tokens[0].serial.hex(), b"", pin)
    with opened(key) as session:
        pairs = _signing_pairs(key, session)
    if len(pairs) != 1:
        told = f"the token {visible(key.token)} holds {len(pairs)} keys with their certificates; exactly one is wanted"
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
            raise _fault("token", key.token, "this token is not plugged in, or its library does not see it")
        session = token.open(user_pin=key.pin)
    except (pkcs11.PinIncorrect, pkcs11.PinInvalid, pkcs11.PinLenRange, pkcs11.ArgumentsBad) as fault:
        raise _fault(PIN, "", "the token refuses this PIN; it locks itself after a few wrong ones") from fault
    except pkcs11.PinLocked as fault:
        raise _fault(PIN, "", "the token is locked after wrong PINs; its maker's program unlocks it") from fault
    except pkcs11.PKCS11Error as fault:
        raise _fault("token", key.token, f"the token cannot be opened ({type(fault).__name__})") from fault
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
            raise _fault("token", key.token, f"the token did not sign ({type(fault).__name__})") from fault


def refused_library(module: Path) -> str:
    """Why a program library is not loaded, in words; empty where the system's administrator installed it: file and
    folders are theirs, and nobody else may write there."""
    try:
        place = module.resolve(strict=True)
        if not module.is_absolute() or not is_file(place):
            return "name the library of the token's maker with its full path; it ends in .so, .dylib or .dll"
        owned = [one.stat() for one in (place, *place.parents)]
    except (OSError, ValueError):
        return "there is no such library; the token's maker says where it is installed"
    if os.name == "nt":
        return ""  # who may write there is kept in another way; not tried
    if any(one.st_uid != ADMINISTRATOR or one.st_mode & OTHERS_MAY_WRITE for one in owned):
        return "only a library that the system's administrator installed is loaded: others may write to this one"
    return ""


def _library(module: Path) -> Any:
    refused = refused_library(module)
    if refused:
        raise _fault("token", visible(str(module))[:200], refused)
    try:
        import pkcs11
    except ImportError as fault:
        wanted = (
            "hardware tokens need the package python-pkcs11, which a folder build does not carry; where Python is: "
        )
        wanted += "pip install 'heatdocket[token]'"
        raise _fault("token", "", wanted) from fault
    try:
        return pkcs11.lib(str(module.resolve()))
    except (pkcs11.PKCS11Error, RuntimeError, OSError) as fault:
        raise _fault(
            "token", str(module), "this library does not speak PKCS#11, or its token service is off"
        ) from fault


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
