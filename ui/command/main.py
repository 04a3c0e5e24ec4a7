"""The program's entry: the desktop without a subcommand, a command-line answer with one.

Exit codes: 0 a result, whatever the verdict; 2 the input is at fault; 3 no duty has a solution; 1 a defect of ours.
A command whose answer has an ``exit_code`` ends with that: ``verify`` has 4 for broken and 5 for unsigned.
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
from typing import TextIO

from engcalc.words.texts import command_texts
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
    if _script_is_read_again():
        print(command_texts.SCRIPT_NEEDS_ITS_GUARD, file=sys.stderr)
        return INPUT_AT_FAULT
    try:
        startup.check_own_packages()
    except startup.StartupError as error:
        print(error, file=sys.stderr)
        return DEFECT
    from ui.command.parser import SUBCOMMANDS, make_parser

    first = next((a for a in arguments if not a.startswith("-")), None)
    if arguments and (first in SUBCOMMANDS or arguments[0] in ("-h", "--help", "--version")):
        return _run_command(make_parser().parse_args(arguments))
    if len(arguments) > 1 or (arguments and arguments[0].startswith("-")):
        make_parser().error(command_texts.ONE_CASE_FILE.format(subcommands=", ".join(SUBCOMMANDS)))
    return _open_desktop(arguments)


def _script_is_read_again() -> bool:
    """Whether a process that was started to help reads its parent's script from the top, as a script without a guard
    makes it: it would do the whole work a second time. The flag is the one by which the library itself refuses then."""
    from multiprocessing import current_process

    return bool(getattr(current_process(), "_inheriting", False))


def _open_desktop(arguments: Sequence[str]) -> int:
    from engcalc.case.file import is_there

    if arguments and not is_there(Path(arguments[0])):
        from engcalc.words.terms.foreign import visible

        words = command_texts.THERE_IS_NO_SUCH_FILE
        print(f"{visible(arguments[0])}: {words}", file=sys.stderr)
        return INPUT_AT_FAULT
    try:
        startup.check_qt()
    except startup.StartupError as error:
        print(error, file=sys.stderr)
        return DEFECT
    from ui.window import app

    return app.run(list(arguments))


def _run_command(options: argparse.Namespace) -> int:
    from engcalc.errors import HeatdocketError, InputError, NoSolutionError
    from engcalc.words.terms.foreign import visible_lines

    command: Callable[[argparse.Namespace], Answer] = options.command
    try:
        found, lines = command(options)
    except InputError as error:
        faults = [{"path": f.path, "given": f.given, "wanted": f.wanted} for f in error.faults]
        words = [str(fault) for fault in error.faults]
        return _print_answer(options, {"status": "input at fault", "faults": faults}, words, INPUT_AT_FAULT, sys.stderr)
    except NoSolutionError as error:
        found = {"status": "no solution", "reason": str(error), **error.answer}
        return _print_answer(options, found, str(error).split("\n"), NO_SOLUTION, sys.stderr)
    except HeatdocketError as error:
        found = {"status": "input at fault", "faults": [{"path": "", "given": "", "wanted": str(error)}]}
        return _print_answer(options, found, [str(error)], INPUT_AT_FAULT, sys.stderr)
    except Exception:  # the last line of defence: whatever is left is a defect of ours, told as such with its trace
        print(visible_lines(traceback.format_exc()), file=sys.stderr)
        print(command_texts.THIS_IS_A_DEFECT_OF_HEATDOCKET, file=sys.stderr)
        return DEFECT
    code = found.get("exit_code")
    return _print_answer(options, found, lines, code if isinstance(code, int) else RESULT, sys.stdout)


def _print_answer(
    options: argparse.Namespace, found: JsonObject, lines: Sequence[str], code: int, stream: TextIO
) -> int:
    """Print the answer. No sign that others chose moves the cursor or begins a line: each is shown by its number."""
    from engcalc.words.terms.foreign import visible, visible_lines

    if options.json:
        indent = None if getattr(options, "json_lines", False) else 2
        print(visible_lines(json.dumps(found, ensure_ascii=False, allow_nan=False, indent=indent)))
    elif lines:
        print("\n".join(visible(line) for line in lines), file=stream)
    return code
