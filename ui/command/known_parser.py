"""The words of ``heatdocket known``: whom this user knows, taken up and forgotten."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from engcalc.words.texts import option_texts
from ui.command import knowing
from ui.command.answer import Answer


def add_known(parser: argparse.ArgumentParser) -> None:
    """Give the parser of ``known`` its words."""
    actions = parser.add_subparsers(required=True, metavar="WHAT")

    def new(name: str, command: Callable[[argparse.Namespace], Answer], help_text: str) -> argparse.ArgumentParser:
        found: argparse.ArgumentParser = actions.add_parser(name, help=help_text, description=help_text)
        found.add_argument(
            "--json",
            action="store_true",
            default=argparse.SUPPRESS,
            help=option_texts.PRINT_ONE_JSON_OBJECT_AND_NOTHING_ELSE,
        )
        found.set_defaults(command=command)
        return found

    new("list", knowing.list_command, option_texts.EVERYBODY_WITH_FINGERPRINTS_AND_SINCE_WHEN)
    person = new("person", knowing.person_command, option_texts.KNOW_THE_SIGNER_OF_A_REPORT)
    person.add_argument("report", type=Path, metavar="REPORT.pdf", help=option_texts.INTACT_REPORT_THAT_THEY_SIGNED)
    person.add_argument(
        "--fingerprint",
        required=True,
        metavar="GROUPS",
        help=option_texts.AS_THEY_GAVE_IT_TO_YOU_ANOTHER_WAY,
    )
    person.add_argument("--name", help=option_texts.UNDER_WHICH_YOU_KNOW_THEM)
    issuer = new("issuer", knowing.issuer_command, option_texts.TAKE_AN_AUTHORITYS_WORD_ON_WHO_PEOPLE_ARE)
    clock = new("clock", knowing.clock_command, option_texts.TAKE_AN_AUTHORITYS_WORD)
    for one in (issuer, clock):
        one.add_argument("file", type=Path, metavar="FILE.pem", help=option_texts.ITS_ROOT_CERTIFICATE)
    forget = new("forget", knowing.forget_command, option_texts.FORGET_WHOEVER_HAS_A_FINGERPRINT)
    forget.add_argument("fingerprint", metavar="GROUPS", help=option_texts.AS_KNOWN_LIST_SHOWS_IT)
