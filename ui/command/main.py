"""The program's entry: the desktop without a subcommand, a command-line answer with one.

Exit codes: 0 a result, whatever the verdict; 2 the input is at fault; 3 no duty has a solution; 1 a defect of ours.
At import time this module needs nothing but the standard library, so that it can say in words what is missing.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path

from ui.command import startup
from ui.command.answer import Answer, JsonObject

RESULT, DEFECT, INPUT_AT_FAULT, NO_SOLUTION = 0, 1, 2, 3


def run() -> None:
    """Console entry: exits with the code of :func:`main`."""
    try:
        code = main(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:  # the reader had enough, as head has: no defect; and nothing more is to be written at exit
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = RESULT
    sys.exit(code)


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    try:
        startup.check_own_packages()
    except startup.StartupError as error:
        print(error, file=sys.stderr)
        return DEFECT
    from ui.command.parser import SUBCOMMANDS, make_parser

    first = next((a for a in arguments if not a.startswith("-")), None)
    if arguments and (first in SUBCOMMANDS or arguments[0] in ("-h", "--help", "--version")):
        return _answer(make_parser().parse_args(arguments))
    if len(arguments) > 1 or (arguments and arguments[0].startswith("-")):
        make_parser().error(f"one case file or one of the subcommands would do: {', '.join(SUBCOMMANDS)}")
    return _open_desktop(arguments)


def _open_desktop(arguments: Sequence[str]) -> int:
    if arguments and not Path(arguments[0]).exists():
        print(f"{arguments[0]}: there is no such file, and it is no subcommand; try heatdocket --help", file=sys.stderr)
        return INPUT_AT_FAULT
    try:
        startup.check_qt()
    except startup.StartupError as error:
        print(error, file=sys.stderr)
        return DEFECT
    from ui.window import app

    return app.run(list(arguments))


def _answer(options: argparse.Namespace) -> int:
    from engcalc.errors import HeatdocketError, InputError, NoSolutionError

    command: Callable[[argparse.Namespace], Answer] = options.command
    try:
        found, lines = command(options)
    except InputError as error:
        faults = [{"path": f.path, "given": f.given, "wanted": f.wanted} for f in error.faults]
        return _tell(options, {"status": "input at fault", "faults": faults}, [str(error)], INPUT_AT_FAULT)
    except NoSolutionError as error:
        found = {"status": "no solution", "reason": str(error), **error.answer}
        return _tell(options, found, [str(error)], NO_SOLUTION)
    except HeatdocketError as error:
        return _tell(
            options,
            {"status": "input at fault", "faults": [{"path": "", "given": "", "wanted": str(error)}]},
            [str(error)],
            INPUT_AT_FAULT,
        )
    except Exception:  # the last line of defence: whatever is left is a defect of ours, told as such with its trace
        traceback.print_exc()
        print("This is a defect of Heatdocket, not of your input. Nothing was changed.", file=sys.stderr)
        return DEFECT
    return _tell(options, found, lines, RESULT)


def _tell(options: argparse.Namespace, found: JsonObject, lines: Sequence[str], code: int) -> int:
    if options.json:
        print(json.dumps(found, ensure_ascii=False, allow_nan=False, indent=2))
    elif lines:
        print("\n".join(lines), file=sys.stdout if code == RESULT else sys.stderr)
    return code
