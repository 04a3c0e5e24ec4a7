"""The password of an identity: from the environment or a terminal, never from the command line."""

from __future__ import annotations

import getpass
import os
import sys
from pathlib import Path

from engcalc.errors import InputError, InputFault
from engcalc.words.texts import command_texts

PASSWORD_VARIABLE = "HEATDOCKET_PASSWORD"
NEW_PASSWORD_VARIABLE = "HEATDOCKET_NEW_PASSWORD"


def password_for(path: Path, *, twice: bool = False, variable: str = PASSWORD_VARIABLE) -> str:
    """The identity's password: from the environment, else asked for on a terminal; never from the command line.

    Raises InputError when there is neither, or when the two entries of a new password differ.
    """
    given = os.environ.get(variable)
    if given is not None:
        return given
    if not sys.stdin.isatty():
        raise InputError(
            (
                InputFault(
                    "password",
                    "",
                    command_texts.NEEDS_ITS_PASSWORD.format(path=path, variable=variable),
                ),
            )
        )
    password = getpass.getpass(f"{'New password' if twice else 'Password'} of {path}: ")
    if twice and getpass.getpass("Once more: ") != password:
        raise InputError((InputFault("password", "", command_texts.TWO_ENTRIES_DIFFER),))
    return password
