"""Signing identities on the command line: made, shown, listed, renewed before they end, their password changed; those
on hardware tokens brought."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.case.file import is_file
from engcalc.errors import InputError, InputFault
from engcalc.words.texts import command_texts
from ui.command.passwords import NEW_PASSWORD_VARIABLE, password_for
from ui.trusting import change_known, end_told, known_to_user, now

if TYPE_CHECKING:
    from reports.identity import Identity
    from ui.command.answer import Answer, JsonObject


def identity_command(options: argparse.Namespace) -> Answer:
    """``heatdocket identity``: without a file those that are known here, else make, show, renew or lock one anew."""
    if options.output is None:
        return _listed()
    if options.token is not None:
        return _brought(options.output, options.token)
    if options.renew:
        return _renewed(options.output)
    if options.new_password:
        return _locked_anew(options.output)
    if options.name is None and options.credential is None:
        return _identity_shown(options.output)
    return _identity_made(options)


def _identity_made(options: argparse.Namespace) -> Answer:
    from reports.identity import make_identity

    missing = [f"--{name}" for name in ("name", "credential") if getattr(options, name) is None]
    if missing:
        raise InputError((InputFault("", missing[0], command_texts.IS_MISSING_A_NEW_IDENTITY_HAS_A_NAME),))
    password = password_for(options.output, twice=True)
    made = make_identity(options.output, options.name, options.credential, password, now())
    return _remembered(options.output, made), [
        command_texts.IDENTITY_OF_MADE.format(output=options.output, name=made.name, date=made.not_after.date()),
        f"Fingerprint {made.fingerprint}",
        command_texts.WHAT_IT_SHOWS,
        command_texts.GIVE_THE_FINGERPRINT_TO_YOUR_CUSTOMERS,
    ]


def _brought(path: Path, module: Path) -> Answer:
    from reports.identity import bring_token

    brought = bring_token(path, module, password_for(path))
    return _remembered(path, brought), [
        command_texts.NAMES_THE_TOKEN_WITH_THE_IDENTITY_OF.format(
            path=path, name=brought.name, date=brought.not_after.date()
        ),
        f"Fingerprint {brought.fingerprint}",
        command_texts.SIGN_WITH_IT_AS_WITH_ANY_IDENTITY,
        *end_told(brought.not_after, now()),
    ]


def _identity_shown(path: Path) -> Answer:
    from reports.identity import load_identity

    found = load_identity(path, password_for(path))
    return _remembered(path, found), [
        command_texts.IDENTITY_OF_VALID_TO.format(path=path, name=found.name, date=found.not_after.date()),
        f"Fingerprint {found.fingerprint}",
        *end_told(found.not_after, now()),
    ]


def _renewed(path: Path) -> Answer:
    from reports.identity import renew_identity

    found = renew_identity(path, password_for(path), now())
    return _remembered(path, found), [
        command_texts.IDENTITY_OF_RENEWED.format(path=path, name=found.name, date=found.not_after.date()),
        f"New fingerprint {found.fingerprint}",
        command_texts.ITS_KEY_IS_THE_OLD_ONE,
        command_texts.REPORTS_THAT_WERE_SIGNED_BEFORE_KEEP,
    ]


def _locked_anew(path: Path) -> Answer:
    from reports.identity import change_password

    old = password_for(path)
    found = change_password(path, old, password_for(path, twice=True, variable=NEW_PASSWORD_VARIABLE))
    return _remembered(path, found), [
        command_texts.IDENTITY_OF_OPENS_WITH_THE_NEW_PASSWORD_ONLY.format(path=path, name=found.name),
        command_texts.COPIES_OF_THE_FILE_THAT_YOU_KEEP,
    ]


def _listed() -> Answer:
    own = known_to_user().own
    lines: list[str] = []
    for one in own:
        gone = "" if is_file(one.path) else command_texts.FILE_IS_NO_LONGER_THERE
        lines += [f"{one.path}{gone}: {one.name}, {one.credential}, valid to {one.not_after:%Y-%m-%d}"]
        lines += [f"Fingerprint {one.fingerprint}", *end_told(one.not_after, now())]
    found: JsonObject = {
        "identities": [
            {
                "path": str(one.path),
                "name": one.name,
                "credential": one.credential,
                "fingerprint": one.fingerprint,
                "not_after": one.not_after.isoformat(),
            }
            for one in own
        ]
    }
    return found, lines or [command_texts.NO_IDENTITY_WAS_MADE_OR_OPENED_HERE_YET]


def _remembered(path: Path, identity: Identity) -> JsonObject:
    """Note the identity among those of this user; what ``--json`` prints of it."""
    change_known(lambda store: store.with_own(path, identity))
    return {
        "path": str(path),
        "name": identity.name,
        "credential": identity.credential,
        "fingerprint": identity.fingerprint,
        "self_issued": identity.self_issued,
        "not_after": identity.not_after.isoformat(),
    }
