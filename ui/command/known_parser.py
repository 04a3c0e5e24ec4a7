"""The words of ``heatdocket known``: whom this user knows, taken up and forgotten."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from ui.command import knowing
from ui.command.answer import Answer

KNOWN_HELP = "whom you know: people whose fingerprint you compared, issuers and clocks whose word counts"


def add_known(parser: argparse.ArgumentParser) -> None:
    """Give the parser of ``known`` its words."""
    actions = parser.add_subparsers(required=True, metavar="WHAT")

    def new(name: str, command: Callable[[argparse.Namespace], Answer], help_text: str) -> argparse.ArgumentParser:
        found: argparse.ArgumentParser = actions.add_parser(name, help=help_text, description=help_text)
        found.add_argument(
            "--json", action="store_true", default=argparse.SUPPRESS, help="print one JSON object and nothing else"
        )
        found.set_defaults(command=command)
        return found

    new("list", knowing.list_command, "everybody, with fingerprints and since when")
    person = new("person", knowing.person_command, "know the signer of a report, whose fingerprint you compared")
    person.add_argument("report", type=Path, metavar="REPORT.pdf", help="an intact report that they signed")
    person.add_argument(
        "--fingerprint",
        required=True,
        metavar="GROUPS",
        help="as they gave it to you another way, by telephone or on a card; not as the report shows it",
    )
    person.add_argument("--name", help="under which you know them; else as the certificate says")
    issuer = new("issuer", knowing.issuer_command, "take an authority's word on who people are")
    clock = new("clock", knowing.clock_command, "take an authority's word on when something was signed")
    for one in (issuer, clock):
        one.add_argument("file", type=Path, metavar="FILE.pem", help="its root certificate, PEM or DER")
    forget = new("forget", knowing.forget_command, "whoever has a fingerprint is no longer known")
    forget.add_argument("fingerprint", metavar="GROUPS", help="as known list shows it, in quotation marks")
