"""The one network client: asks a timestamp server that the user names, and fetches lists of withdrawn certificates.

Imported only where a server is named. Answers are bounded in size and time; nothing but HTTP and HTTPS is spoken.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from urllib.error import URLError
from urllib.parse import urlsplit
from urllib.request import HTTPRedirectHandler, Request, build_opener

from asn1crypto import tsp
from cryptography import x509
from pyhanko.sign.timestamps.api import TimeStamper

from engcalc.errors import InputError, InputFault
from engcalc.words.terms.foreign import visible
from engcalc.words.texts import report_texts

WAIT = 15.0  # s; common practice, no source
LARGEST_ANSWER = 8 << 20  # bytes; a timestamp has some thousands, a list of withdrawn certificates seldom millions
MOST_LISTS = 8  # fetched for one signature
_ASKED = {"Content-Type": "application/timestamp-query", "Accept": "application/timestamp-reply"}  # RFC 3161, 3.4


class NamedServer(TimeStamper):
    """A timestamp server by its address. InputError (at ``timestamp.server``) where it does not answer as one."""

    def __init__(self, address: str) -> None:
        super().__init__()  # type: ignore[no-untyped-call]  # the library leaves it bare
        self.address = _checked(address)

    async def async_request_tsa_response(self, req: tsp.TimeStampReq) -> tsp.TimeStampResp:
        """Ask once; the library looks whether the answer is to this question (nonce and digest)."""
        answer = await asyncio.to_thread(_answer_of, self.address, req.dump(), _ASKED)
        try:
            found = tsp.TimeStampResp.load(answer, strict=True)
            _ = found["status"]["status"].native
        except (ValueError, TypeError) as fault:
            raise _not_answered(self.address, report_texts.ITS_ANSWER_IS_NO_TIMESTAMP) from fault
        return found


def lists_of_withdrawn(certificates: Iterable[x509.Certificate]) -> list[bytes]:
    """The lists that these certificates name (RFC 5280 section 4.2.1.13), DER each; what cannot be had is left out."""
    addresses = dict.fromkeys(address for one in certificates for address in _list_addresses(one))
    found = []
    for address in list(addresses)[:MOST_LISTS]:
        try:
            data = _answer_of(_checked(address), None, {})
            x509.load_der_x509_crl(data)
        except (InputError, ValueError):
            continue
        found.append(data)
    return found


def _list_addresses(certificate: x509.Certificate) -> list[str]:
    try:
        points = certificate.extensions.get_extension_for_class(x509.CRLDistributionPoints).value
    except x509.ExtensionNotFound:
        return []
    names = [name for point in points for name in point.full_name or ()]
    return [name.value for name in names if isinstance(name, x509.UniformResourceIdentifier)]


class _SameKind(HTTPRedirectHandler):
    """Follows a redirection to HTTP or HTTPS only."""

    def redirect_request(self, req, fp, code, msg, headers, newurl):  # type: ignore[no-untyped-def]  # the library's own signature
        """As the library does, for an address that may be asked."""
        return super().redirect_request(req, fp, code, msg, headers, _checked(newurl))


def _checked(address: str) -> str:
    parts = urlsplit(address)
    if parts.scheme not in ("http", "https") or not parts.hostname:
        wanted = report_texts.ADDRESS_WITH_HTTP_OR_HTTPS_WOULD_DO
        raise InputError((InputFault("timestamp.server", address[:200], wanted),))
    return address


def _answer_of(address: str, body: bytes | None, headers: dict[str, str]) -> bytes:
    try:
        with build_opener(_SameKind).open(Request(address, data=body, headers=headers), timeout=WAIT) as reply:
            data: bytes = reply.read(LARGEST_ANSWER + 1)
    except (URLError, OSError, ValueError) as fault:
        raise _not_answered(address, report_texts.IT_DOES_NOT_ANSWER.format(fault=fault)) from fault
    if len(data) > LARGEST_ANSWER:
        raise _not_answered(address, report_texts.ITS_ANSWER_HAS_NO_END)
    return data


def _not_answered(address: str, why: str) -> InputError:
    wanted = report_texts.NAME_ANOTHER_SERVER.format(why=visible(why)[:200])
    return InputError((InputFault("timestamp.server", address[:200], wanted),))
