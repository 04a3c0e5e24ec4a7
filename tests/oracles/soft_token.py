"""A token in software: SoftHSM, from Debian's package softhsm2. One a process: its library reads its settings once."""

from __future__ import annotations

import atexit
import os
import shutil
import subprocess
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

MODULE = Path("/usr/lib/softhsm/libsofthsm2.so")
PIN, LABEL = "495713", "Invented token"


class SoftToken:
    """A token in software, with an empty slot after it as such tokens have."""

    def __init__(self) -> None:
        self.module = MODULE.resolve()
        self._place = Path(tempfile.mkdtemp())
        atexit.register(shutil.rmtree, self._place, ignore_errors=True)
        (self._place / "tokens").mkdir()
        conf = self._place / "conf"
        conf.write_text(f"directories.tokendir = {self._place / 'tokens'}\nlog.level = ERROR\n", encoding="utf-8")
        os.environ["SOFTHSM2_CONF"] = str(conf)
        self._ask("--init-token", "--free", "--label", LABEL, "--so-pin", "12345678")

    def hold(self, key: ec.EllipticCurvePrivateKey | rsa.RSAPrivateKey, certificates: list[x509.Certificate]) -> None:
        """Put a key and its certificate on it, then those of its issuers; whatever was there goes."""
        import pkcs11

        with self._session() as session:
            for one in list(session.get_objects()):
                one.destroy()
        pem = self._place / "key.pem"
        pem.write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
        self._ask("--import", str(pem), "--token", LABEL, "--label", "k", "--id", "A1")
        pem.unlink()
        with self._session() as session:
            for number, certificate in enumerate(certificates):
                session.create_object(
                    {
                        pkcs11.Attribute.CLASS: pkcs11.ObjectClass.CERTIFICATE,
                        pkcs11.Attribute.CERTIFICATE_TYPE: pkcs11.CertificateType.X_509,
                        pkcs11.Attribute.TOKEN: True,
                        pkcs11.Attribute.ID: bytes([0xA1 + number]),
                        pkcs11.Attribute.SUBJECT: certificate.subject.public_bytes(),
                        pkcs11.Attribute.VALUE: certificate.public_bytes(Encoding.DER),
                    }
                )

    def _ask(self, *words: str) -> None:
        subprocess.run(["softhsm2-util", *words, "--pin", PIN], check=True, capture_output=True)

    def _session(self) -> Any:
        import pkcs11

        return pkcs11.lib(str(self.module)).get_token(token_label=LABEL).open(rw=True, user_pin=PIN)


@cache
def _token() -> SoftToken:
    return SoftToken()


def soft_token() -> SoftToken:
    """The token of this process. Skips the test where SoftHSM or the extra for tokens is not installed."""
    pytest.importorskip("pkcs11", reason="the extra for tokens is not installed")
    if not MODULE.exists() or shutil.which("softhsm2-util") is None:
        pytest.skip("softhsm2, a token in software, is not installed")
    return _token()
