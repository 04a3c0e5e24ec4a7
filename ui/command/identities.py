"""Signing identities on the command line: made, shown, listed, renewed before they end, their password changed; those
on hardware tokens brought."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from engcalc.case.file import is_file
from engcalc.errors import InputError, InputFault
from ui.command.passwords import NEW_PASSWORD_VARIABLE, password_for
from ui.trusting import change_known, end_told, known_to_user, now

if TYPE_CHECKING:
    from reports.identity import Identity
    from ui.command.answer import Answer, JsonObject

WHAT_IT_SHOWS = (
    "It is made by the signer: a report signed with it shows who signed and that nothing changed, and nobody else "
    "vouches for it."
)
GIVE_IT = "Give the fingerprint to your customers by another way, such as on your invoice, so that they can compare it."


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
        return _shown(options.output)
    return _made(options)


def _made(options: argparse.Namespace) -> Answer:
    from reports.identity import make_identity

    missing = [f"--{name}" for name in ("name", "credential") if getattr(options, name) is None]
    if missing:
        raise InputError((InputFault("", missing[0], "is missing; a new identity has a name and a credential"),))
    password = password_for(options.output, twice=True)
    made = make_identity(options.output, options.name, options.credential, password, now())
    return _remembered(options.output, made), [
        f"{options.output}: identity of {made.name} made, valid to {made.not_after.date()}.",
        f"Fingerprint {made.fingerprint}",
        WHAT_IT_SHOWS,
        GIVE_IT,
    ]


def _brought(path: Path, module: Path) -> Answer:
    from reports.identity import bring_token

    brought = bring_token(path, module, password_for(path))
    return _remembered(path, brought), [
        f"{path}: names the token with the identity of {brought.name}, valid to {brought.not_after.date()}.",
        f"Fingerprint {brought.fingerprint}",
        "Sign with it as with any identity; the PIN takes the place of the password. The key stays on the token.",
        *end_told(brought.not_after, now()),
    ]


def _shown(path: Path) -> Answer:
    from reports.identity import load_identity

    found = load_identity(path, password_for(path))
    return _remembered(path, found), [
        f"{path}: identity of {found.name}, valid to {found.not_after.date()}.",
        f"Fingerprint {found.fingerprint}",
        *end_told(found.not_after, now()),
    ]


def _renewed(path: Path) -> Answer:
    from reports.identity import renew_identity

    found = renew_identity(path, password_for(path), now())
    return _remembered(path, found), [
        f"{path}: identity of {found.name} renewed, valid to {found.not_after.date()}.",
        f"New fingerprint {found.fingerprint}",
        "Its key is the old one: whoever knows you in this program knows you on. To others give the new fingerprint.",
        "Reports that were signed before keep their old certificate.",
    ]


def _locked_anew(path: Path) -> Answer:
    from reports.identity import change_password

    old = password_for(path)
    found = change_password(path, old, password_for(path, twice=True, variable=NEW_PASSWORD_VARIABLE))
    return _remembered(path, found), [
        f"{path}: the identity of {found.name} opens with the new password only.",
        "Copies of the file that you keep elsewhere still open with the old one.",
    ]


def _listed() -> Answer:
    own = known_to_user().own
    lines: list[str] = []
    for one in own:
        gone = "" if is_file(one.path) else " (the file is no longer there)"
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
    return found, lines or ["No identity was made or opened here yet."]


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
