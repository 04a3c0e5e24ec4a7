"""Signatures that outlive their certificate: what goes into a report so that it can be checked years on.

PAdES baseline levels (ETSI EN 319 142-1): B-T adds a timestamp, B-LT the certificates and lists of withdrawn ones with
which everything in it is checked, B-LTA a timestamp over all of that, to be renewed before its authority's ends.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from typing import Any

from asn1crypto import crl as asn1_crl
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.sign.signers.pdf_signer import DSSContentSettings, SigDSSPlacementPreference
from pyhanko.sign.timestamps.api import TimeStamper
from pyhanko_certvalidator import ValidationContext

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import report_texts
from reports.identity import Identity, is_self_issued


class Lasting(Enum):
    """How long a signature is to be checked for; the word of the command line."""

    TIME = "time"  # B-T
    DATA = "data"  # B-LT
    ARCHIVE = "archive"  # B-LTA


@dataclass(frozen=True, eq=False)
class Timestamping:
    """A clock to ask, how lasting the signature is to be, and what checks certificates: roots for names and for times,
    and lists of withdrawn certificates as DER."""

    clock: TimeStamper
    lasting: Lasting = Lasting.TIME
    roots: Sequence[x509.Certificate] = ()
    withdrawn: Sequence[bytes] = ()


def named_clock(address: str, lasting: Lasting, identity: Identity, roots: Sequence[x509.Certificate]) -> Timestamping:
    """The clock of a server that the user names; the network client is imported here and nowhere else.

    Raises InputError (at ``timestamp.server``) where it does not answer.
    """
    from reports.servers import NamedServer, lists_of_withdrawn

    clock = NamedServer(address)
    lists: list[bytes] = []
    if lasting is not Lasting.TIME:
        lists = lists_of_withdrawn((identity.certificate, *identity.chain, *_certificates_of(clock)))
    return Timestamping(clock, lasting, roots, lists)


def _certificates_of(clock: TimeStamper) -> list[x509.Certificate]:
    """The certificates that a clock sends along; it is asked for a timestamp of nothing for that.

    Raises InputError where its answer is none.
    """
    token = asyncio.run(clock.async_dummy_response("sha256"))
    return [x509.load_der_x509_certificate(one.chosen.dump()) for one in token["content"]["certificates"]]


def signing_words(stamping: Timestamping | None, identity: Identity, now: datetime) -> dict[str, Any]:
    """What the library is told beside the usual; empty where no more than a timestamp is wanted."""
    if stamping is None or stamping.lasting is Lasting.TIME:
        return {}
    return {
        "embed_validation_info": True,
        "use_pades_lta": stamping.lasting is Lasting.ARCHIVE,
        "validation_context": checking_context(stamping, identity, now),
        "dss_settings": DSSContentSettings(
            include_vri=False, placement=SigDSSPlacementPreference.TOGETHER_WITH_SIGNATURE
        ),
    }


def checking_context(stamping: Timestamping, identity: Identity, now: datetime) -> ValidationContext:
    """What checks the signer's and the clock's certificates: the roots that are known, and the signer's own top."""
    own = identity.certificate if identity.self_issued else _top(identity)
    roots = [_asn1(one) for one in (*stamping.roots, *([] if own is None else [own]))]
    return ValidationContext(
        trust_roots=roots,
        other_certs=[_asn1(one) for one in identity.chain],
        crls=[asn1_crl.CertificateList.load(one) for one in stamping.withdrawn],
        allow_fetching=False,
        revocation_mode="soft-fail",
        moment=now,
    )


def no_timestamp(fault: Exception) -> InputError:
    """That a clock gave no timestamp, in words."""
    wanted = report_texts.THIS_CLOCK_GAVE_NO_TIMESTAMP.format(fault=str(fault)[:120])
    return InputError((InputFault("timestamp.server", "", wanted),))


def not_checked(fault: Exception) -> InputError:
    """That a certificate could not be checked while signing, in words."""
    return InputError(
        (InputFault("timestamp.server", "", f"{report_texts.WHOEVER_ISSUED_ITS_CERTIFICATE} ({str(fault)[:120]})"),)
    )


def _top(identity: Identity) -> x509.Certificate | None:
    return next((one for one in identity.chain if is_self_issued(one)), None)


def _asn1(certificate: x509.Certificate) -> asn1_x509.Certificate:
    return asn1_x509.Certificate.load(certificate.public_bytes(Encoding.DER))
