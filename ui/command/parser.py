"""The command line's words: every subcommand, its arguments and the function that answers it."""

from __future__ import annotations

import argparse
import re
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import NoReturn

from engcalc.words.ready_words import READY_LABELS
from ui.command import (
    about,
    charts,
    checking,
    describing,
    diagnosing,
    identities,
    listening,
    papers,
    refilling,
    rigs,
    screening,
    sizing,
    verifying,
    warming,
    worksheets,
)
from ui.command.book_parser import BOOK_HELP, add_book, at_least_one
from ui.command.known_parser import KNOWN_HELP, add_known

SUBCOMMANDS = (
    *("check", "warmup", "diagnose", "size", "refill", "report"),
    *("identity", "verify", "known", "countersign", "book", "screen", "listen"),
    *("fields", "rig", "charts", "worksheet", "about"),
)

_REASONS = ("screening", "no heat", "slow warm-up", "hot at idle", "hot at speed", "loss of coolant")
_KINDS = ("customer", "sizing", "lesson")
_ANNEXES = ("none", "short", "full")


class PlainParser(argparse.ArgumentParser):
    """A parser that says in plain words what is missing or was not understood; subcommands are made by it too."""

    def error(self, message: str) -> NoReturn:
        """Say what would do and end with 2."""
        for pattern, plain in _PLAIN_ERRORS:
            message = re.sub(pattern, plain, message)
        super().error(message)


_PLAIN_ERRORS = (  # of argparse in Python 3.11 to 3.13, and in words of our own
    (r"^the following arguments are required: (.*)$", r"\1 is missing; --help shows what belongs here"),
    (r"^unrecognized arguments: (.*)$", r"'\1' does not belong here; --help shows what does"),
    (r"^argument (\S+): invalid int value: '(.*)'$", r"\1: '\2' was given; a whole number would do"),
    (r"^argument (\S+): invalid choice: '(.*)' \(choose from (.*)\)$", r"\1: '\2' was given; one of \3 would do"),
    (r"^argument (\S+): expected one argument$", r"\1 needs a value behind it"),
)


def make_parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; each subcommand sets ``command`` to the function that answers it."""
    parser = PlainParser(
        prog="heatdocket",
        description="Heat-and-flow checks of engine cooling and cabin heating. Without a subcommand "
        "the desktop opens; a case file as the only argument opens in it.",
    )
    parser.add_argument("--version", action="version", version=f"heatdocket {_version()}")
    commands = parser.add_subparsers(required=True, metavar="SUBCOMMAND")
    _check(commands)
    _warmup(commands)
    _diagnose(commands)
    _size(commands)
    _refill(commands)
    _report(commands)
    _identity(commands)
    _verify(commands)
    add_known(_new(commands, "known", KNOWN_HELP))
    _countersign(commands)
    add_book(_new(commands, "book", BOOK_HELP))
    _screen(commands)
    _listen(commands)
    _fields(commands)
    _rig(commands)
    _charts(commands)
    _worksheet(commands)
    _about(commands)
    return parser


def _version() -> str:
    try:
        return version("heatdocket")
    except PackageNotFoundError:
        return "from a source tree that is not installed"


_Commands = argparse._SubParsersAction  # argparse offers no public name for what add_subparsers returns


def _new(
    commands: _Commands[PlainParser],
    name: str,
    help_text: str,
    json_help: str = "print one JSON object and nothing else",
) -> argparse.ArgumentParser:
    parser = commands.add_parser(name, help=help_text, description=help_text)
    parser.add_argument("--json", action="store_true", help=json_help)
    return parser


def _force(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--force", action="store_true", help="write over a file that exists; never over what is read")


def _case_and_units(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", type=Path, metavar="CASE", help="a case file (*.heatcase.json)")
    parser.add_argument("--units", choices=("SI", "US"), default="SI", help="units of the words and the paper")


def _check(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "check", "the verdict for every duty of a case, with its reasons")
    _case_and_units(parser)
    parser.add_argument(
        "--uncertainty",
        action="store_true",
        help="how sure each duty is, to stated digits: intervals of the results, what to measure next",
    )
    parser.add_argument(
        "--lap",
        type=Path,
        metavar="FILE",
        help="a lap as CSV, with time [s], speed [km/h], throttle [%%] and, where it was logged, engine speed [rpm]: "
        "checked as duties that go round, below those of the case",
    )
    parser.add_argument(
        "--add",
        action="append",
        choices=tuple(READY_LABELS),
        help="a usual duty, checked below those of the case; may be given again",
    )
    parser.add_argument("--write", type=Path, metavar="FILE", help="write the case with the added duties in it")
    parser.set_defaults(command=checking.check_command)


def _warmup(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "warmup", "the warm-up: the curve, times to temperature, and the record beside it")
    _case_and_units(parser)
    parser.set_defaults(command=warming.warmup_command)


def _diagnose(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "diagnose", "causes with their odds, what carries them, and the next check worth making")
    _case_and_units(parser)
    parser.add_argument(
        "--record",
        choices=("before", "after"),
        help="which visit's readings; else the latest in which something was read or seen",
    )
    parser.add_argument(
        "--reason", choices=_REASONS, help="the reason for the visit whose base rates count; else the case's own"
    )
    parser.add_argument(
        "--rate",
        action="append",
        metavar="CAUSE=PERCENT",
        help="a base rate of your own in place of the built-in one; may be given again",
    )
    parser.add_argument(
        "--book",
        type=Path,
        metavar="BOOK",
        help="the workshop's own base rates from this job book; the odds are kept with the job of this case",
    )
    _without_history(parser)
    parser.add_argument("--pairs", action="store_true", help="try two faults at once among the leading ones")
    parser.add_argument("--seed", type=int, default=1, help="of the draws; the same seed gives the same odds")
    parser.set_defaults(command=diagnosing.diagnose_command)


def _without_history(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--without-history",
        action="store_true",
        help="with --book: expect of the vehicle what its class shows, not what its own healthy record shows",
    )


def _size(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "size", "what would hold the limit: changes ranked by gain, and what limits")
    _case_and_units(parser)
    parser.add_argument("--duty", type=int, metavar="N", help="the number of the duty to be mended; else the worst")
    parser.add_argument(
        "--table",
        type=Path,
        action="append",
        metavar="PARTS.csv",
        help="parts to choose from, one row each, beside the case's own; may be given again",
    )
    parser.add_argument(
        "--compare",
        metavar="NAMES",
        help='parts of the tables to lay side by side over every duty, up to six, by name: "name1, name2"; "" for the '
        "first six; else those that the case names",
    )
    parser.add_argument(
        "--room",
        metavar="SIZE",
        help='the room there is for a core, height x width x depth, such as "450 x 650 x 60 mm": the least core that '
        "holds every duty is sought in it; else the room that the case states",
    )
    parser.add_argument(
        "--least", choices=("volume", "mass"), default="volume", help="what of the core is to be least; else volume"
    )
    parser.add_argument("--adopt", metavar="NAME", help="the part of the tables that --write puts into the case")
    parser.add_argument(
        "--write",
        type=Path,
        metavar="FILE",
        help="write the case with the least core in it, or with the part of --adopt; the file must not exist",
    )
    parser.set_defaults(command=sizing.size_command)


def _refill(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "refill", "what the mixture stands, what to drain and fill in, trapped air, how to bleed")
    _case_and_units(parser)
    parser.set_defaults(command=refilling.refill_command)


def _report(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "report", "the PDF report of a case, signed when an identity is given")
    _case_and_units(parser)
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="OUT.pdf", help="the file to write")
    parser.add_argument(
        "--kind", choices=_KINDS, help="for whom the report is; else as the case says why the vehicle is here"
    )
    parser.add_argument(
        "--annex",
        choices=_ANNEXES,
        help="what stands behind the report itself; else full for a lesson, short for any other",
    )
    parser.add_argument(
        "--letterhead",
        type=Path,
        metavar="FILE.json",
        help="the shop's name, contact and logo; else the shop that the case names",
    )
    parser.add_argument(
        "--identity",
        type=Path,
        metavar="FILE.p12",
        help="signs with this identity; its password is asked for, or read from HEATDOCKET_PASSWORD",
    )
    parser.add_argument(
        "--timestamp-server",
        metavar="URL",
        help="asks this server, and no other, for a timestamp of the signature; it is sent a digest and no word more",
    )
    parser.add_argument(
        "--lasting",
        choices=("time", "data", "archive"),
        help="with a timestamp server: the time alone (PAdES B-T), with the data that checks certificates (B-LT), or "
        "that under a timestamp too (B-LTA); else the time alone",
    )
    parser.add_argument("--anonymised", action="store_true", help="leave customer and vehicle out of the carried case")
    parser.add_argument(
        "--book",
        type=Path,
        metavar="BOOK",
        help="the causes by the workshop's own base rates from this job book",
    )
    _without_history(parser)
    parser.add_argument(
        "--causes",
        action=argparse.BooleanOptionalAction,
        default=None,
        help="say what may be behind it with odds, from the readings, which takes some seconds; else for a complaint",
    )
    parser.add_argument(
        "--record",
        choices=("before", "after"),
        help="which visit's causes; else the latest in which something was read or seen",
    )
    _force(parser)
    parser.set_defaults(command=papers.report_command)


def _identity(commands: _Commands[PlainParser]) -> None:
    parser = _new(
        commands,
        "identity",
        "a signing identity, kept in a file under a password: made with --name and --credential, shown, renewed; "
        "without a file, those made or opened here",
    )
    parser.add_argument(
        "output", type=Path, nargs="?", metavar="FILE.p12", help="its file; to make one it must not exist yet"
    )
    parser.add_argument("--name", help="of a new one: the signer's name as it stands on the report")
    parser.add_argument("--credential", help="of a new one: what the signer is; printed as stated by the signer")
    parser.add_argument(
        "--token",
        type=Path,
        metavar="LIBRARY",
        help="make a file that names the hardware token which this PKCS#11 library of its maker reaches; the PIN is "
        "asked for, or read from HEATDOCKET_PASSWORD, and kept nowhere",
    )
    parser.add_argument("--renew", action="store_true", help="let it hold three years more, with the same key")
    parser.add_argument(
        "--new-password",
        action="store_true",
        help="lock it with another password; it is asked for, or read from HEATDOCKET_NEW_PASSWORD",
    )
    parser.set_defaults(command=identities.identity_command)


def _verify(commands: _Commands[PlainParser]) -> None:
    parser = _new(
        commands,
        "verify",
        "who signed a report, whether it is intact, and the case that it carries; ends with 0 for intact only, "
        "4 for broken, 5 for what nobody signed, 2 for what is no report",
    )
    parser.add_argument("reports", type=Path, nargs="+", metavar="REPORT.pdf", help="reports, or folders of them")
    parser.add_argument("--extract", type=Path, metavar="FILE", help="write the case that the one report carries")
    _force(parser)
    parser.add_argument(
        "--anyway", action="store_true", help="write the carried case even though the report is not proven intact"
    )
    parser.set_defaults(command=verifying.verify_command)


def _countersign(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "countersign", "add a reviewer's signature to an intact signed report")
    parser.add_argument("report", type=Path, metavar="REPORT.pdf", help="a signed report; it stays as it is")
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="OUT.pdf", help="the file to write")
    parser.add_argument(
        "--identity",
        type=Path,
        required=True,
        metavar="FILE.p12",
        help="the reviewer's; its password is asked for, or read from HEATDOCKET_PASSWORD",
    )
    _force(parser)
    parser.set_defaults(command=verifying.countersign_command)


def _screen(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "screen", "many logs judged as screening, vehicles ranked by what to look at first")
    parser.add_argument(
        "logs",
        type=Path,
        nargs="*",
        metavar="LOG",
        help="logs, each of another vehicle, or folders; the logs in one folder below a named one are of one vehicle",
    )
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="OUT", help="the folder for what is found")
    parser.add_argument(
        "--book",
        type=Path,
        metavar="BOOK",
        help="a job book: its base rates, and its vehicles for the logs that it knows; without LOG all of its logs",
    )
    parser.add_argument("--case", type=Path, metavar="CASE", help="a case that says what the other vehicles are")
    parser.add_argument("--workers", type=at_least_one, metavar="N", help="processes; else one for each core")
    parser.add_argument(
        "--lay-out",
        type=at_least_one,
        default=0,
        metavar="N",
        help="write a case with its newest log for each of the first N vehicles, to be opened and gone on with",
    )
    parser.add_argument(
        "--scheduler",
        metavar="ADDRESS",
        help="judge on a cluster of dask.distributed, such as tcp://10.0.0.5:8786; logs and cases are sent there "
        "unencrypted, so only within a network of your own; without it nothing leaves this machine",
    )
    parser.set_defaults(command=screening.screen_command)


def _listen(commands: _Commands[PlainParser]) -> None:
    parser = _new(
        commands,
        "listen",
        "a vehicle read live while it warms up, recorded and judged; or a log played so",
        'print one JSON object to a line as it goes, each with its "event": connected, value, mark, danger, answer, '
        "test_drive; and at the end one with the whole answer, end",
    )
    parser.add_argument("case", type=Path, nargs="?", metavar="CASE", help="what the vehicle is; else a usual one")
    parser.add_argument(
        "--port",
        metavar="PORT",
        help="the adapter: a serial port, or tcp:HOST:PORT; or the vehicle's own bus, "
        "socketcan:can0 (needs heatdocket[can], and the interface up at the bus's rate). "
        "All of them were tried on simulated vehicles only",
    )
    parser.add_argument("--baud", type=at_least_one, metavar="N", help="of a serial port; else the usual ones in turn")
    parser.add_argument("--replay", type=Path, metavar="LOG.csv", help="play this log in place of a vehicle")
    parser.add_argument("--speed", type=float, default=1.0, help="of a replay: times as fast as it was")
    parser.add_argument("--minutes", type=float, metavar="N", help="end after so long; else Ctrl-C ends it")
    parser.add_argument(
        "--record", choices=("before", "after"), help="of which visit it is; else before, and after with --before"
    )
    parser.add_argument(
        "--before",
        type=Path,
        metavar="LOG|CASE",
        help="the run before the repair: its log, or a case that has it (a name that ends in .json). This run is laid "
        "over it as it grows, and the proof told when it stands. A CASE with a record before has one without this",
    )
    parser.add_argument("--every", type=float, default=10.0, metavar="S", help="seconds between two answers")
    parser.add_argument("-o", "--output", type=Path, metavar="LOG.csv", help="the log to be written as it is read")
    parser.add_argument(
        "--plan",
        choices=("cold", "on"),
        help="read nothing: only plan the test drive that would settle the most, from a cold start, or on from the end "
        "of the log in the case",
    )
    parser.add_argument(
        "--test-drive",
        action=argparse.BooleanOptionalAction,
        help="plan the drive before the start and again while something is open; else done for a vehicle, not a replay",
    )
    parser.add_argument("--units", choices=("SI", "US"), default="SI", help="units of the words")
    _force(parser)
    parser.set_defaults(command=listening.listen_command, json_lines=True)


def _about(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "about", "versions, licences, sources, where things are kept; crashes that were kept")
    parser.add_argument("--crashes", action="store_true", help="the report of crashes, for support")
    parser.set_defaults(command=about.about_command)


def _fields(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "fields", "every input that a case may hold, with its units, limits and default")
    parser.add_argument("--schema", action="store_true", help="print the JSON Schema of the case file instead")
    parser.set_defaults(command=describing.fields_command)


def _rig(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "rig", "measured points and problems of a bench exchanger, a class's table in and out")
    _case_and_units(parser)
    parser.add_argument(
        "--points", type=Path, metavar="TABLE.csv", help="take the points from this table, in place of the case's own"
    )
    parser.add_argument("-o", "--output", type=Path, metavar="CASE", help="write the case with these points")
    parser.add_argument("--table", type=Path, metavar="OUT.csv", help="write the points as a table")
    _force(parser)
    parser.set_defaults(command=rigs.rig_command)


def _charts(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "charts", "the charts of one duty: where its point lies, what short ways cost")
    _case_and_units(parser)
    parser.add_argument("--duty", metavar="NAME", help="which duty; else the first")
    parser.set_defaults(command=charts.charts_command)


def _worksheet(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "worksheet", "problem sheets with keys for a class, and a class's answers marked")
    parser.add_argument("topic", nargs="?", metavar="TOPIC", help="what the problem is about; --list names all")
    parser.add_argument("--list", action="store_true", help="the topics that there are")
    parser.add_argument("--seed", type=int, default=1, help="of the numbers; the same seed gives the same sheets")
    parser.add_argument(
        "--class",
        dest="class_list",
        type=Path,
        metavar="LIST.csv",
        help="a class list, one name to a row: each person gets numbers of their own",
    )
    parser.add_argument("--units", choices=("SI", "US"), default="SI", help="units of the problem and its working")
    parser.add_argument(
        "--symbols",
        choices=("A", "B"),
        default="A",
        help="A: q, h, k, U, C, ε, T; B: Q with a dot, α, λ, k, W with a dot, Φ, ϑ",
    )
    parser.add_argument(
        "--number",
        action="append",
        default=[],
        metavar="SYMBOL=NUMBER",
        help="a number of your own in place of the drawn one, in the sheet's unit, such as m_h=0.5; again for another",
    )
    parser.add_argument("--check", type=Path, metavar="ANSWERS.csv", help="mark these answers and name likely slips")
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FOLDER", help="write sheet and key as PDF and JSON into this folder"
    )
    parser.set_defaults(command=worksheets.worksheet_command)
