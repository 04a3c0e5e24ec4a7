"""The integrity check of a PKCS#12 file, made anew with as many rounds as we want (RFC 7292 section 4 and appendix B).

The library that writes the file gives its integrity check 2,048 rounds and takes no other number. A password could be
guessed there far more cheaply than at the encryption beside it.
"""

from __future__ import annotations

import hashlib
import hmac

from asn1crypto import pkcs12

SALT_BYTES = 16  # RFC 8018 section 4.1 asks for 8 at least
_FOR_INTEGRITY = 3  # the kind of key, RFC 7292 appendix B.3
_BLOCK = 64  # bytes that SHA-256 works on at a time, FIPS 180-4


def with_integrity_of(file: bytes, password: str, salt: bytes, rounds: int) -> bytes:
    """The PKCS#12 ``file`` with its integrity check made anew with HMAC-SHA-256, ``salt`` and so many ``rounds``."""
    found = pkcs12.Pfx.load(file)
    content = found["auth_safe"]["content"].native
    key = _derived(password, salt, rounds)
    found["mac_data"] = pkcs12.MacData(
        {
            "mac": {
                "digest_algorithm": {"algorithm": "sha256"},
                "digest": hmac.digest(key, content, "sha256"),
            },
            "mac_salt": salt,
            "iterations": rounds,
        }
    )
    return bytes(found.dump())


def _derived(password: str, salt: bytes, rounds: int) -> bytes:
    """The key of the integrity check, RFC 7292 appendix B.2; one block of SHA-256 is all that it needs."""
    typed = password.encode("utf-16-be") + b"\0\0"
    kind = bytes([_FOR_INTEGRITY]) * _BLOCK
    key = hashlib.sha256(kind + _filled(salt) + _filled(typed)).digest()
    for _ in range(rounds - 1):
        key = hashlib.sha256(key).digest()
    return key


def _filled(text: bytes) -> bytes:
    """``text`` over and over, to the end of a block."""
    length = _BLOCK * -(-len(text) // _BLOCK)
    return (text * (length // max(len(text), 1) + 1))[:length]
