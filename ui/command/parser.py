"""The command line's words: every subcommand, its arguments and the function that answers it."""

from __future__ import annotations

import argparse
import re
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import NoReturn

from engcalc.words.sizing.ready_words import READY_LABELS
from engcalc.words.texts import option_texts
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
from ui.command.book_parser import add_book, at_least_one
from ui.command.known_parser import add_known

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
    (r"^the following arguments are required: (.*)$", option_texts.IS_MISSING_HELP_SHOWS_WHAT_BELONGS_HERE),
    (r"^unrecognized arguments: (.*)$", option_texts.DOES_NOT_BELONG_HERE),
    (r"^argument (\S+): invalid int value: '(.*)'$", option_texts.WAS_GIVEN_A_WHOLE_NUMBER_WOULD_DO),
    (r"^argument (\S+): invalid choice: '(.*)' \(choose from (.*)\)$", option_texts.WAS_GIVEN_ONE_OF_3_WOULD_DO),
    (r"^argument (\S+): expected one argument$", option_texts.NEEDS_A_VALUE_BEHIND_IT),
)


def make_parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; each subcommand sets ``command`` to the function that answers it."""
    parser = PlainParser(
        prog="heatdocket",
        description=option_texts.HEAT_AND_FLOW_CHECKS_OF_ENGINE_COOLING,
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
    add_known(_new(commands, "known", option_texts.KNOWN_HELP))
    _countersign(commands)
    add_book(_new(commands, "book", option_texts.BOOK_HELP))
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
        return option_texts.FROM_A_SOURCE_TREE_THAT_IS_NOT_INSTALLED


_Commands = argparse._SubParsersAction  # argparse offers no public name for what add_subparsers returns


def _new(
    commands: _Commands[PlainParser],
    name: str,
    help_text: str,
    json_help: str = option_texts.PRINT_ONE_JSON_OBJECT_AND_NOTHING_ELSE,
) -> argparse.ArgumentParser:
    parser = commands.add_parser(name, help=help_text, description=help_text)
    parser.add_argument("--json", action="store_true", help=json_help)
    return parser


def _force(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--force", action="store_true", help=option_texts.WRITE_OVER_A_FILE_THAT_EXISTS)


def _case_and_units(parser: argparse.ArgumentParser, *, needed: bool = True) -> None:
    count = None if needed else "?"
    parser.add_argument("case", type=Path, nargs=count, metavar="CASE", help=option_texts.CASE_FILE_HEATCASE_JSON)
    parser.add_argument(
        "--units", choices=("SI", "US"), default="SI", help=option_texts.UNITS_OF_THE_WORDS_AND_THE_PAPER
    )


def _check(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "check", option_texts.VERDICT_FOR_EVERY_DUTY_OF_A_CASE)
    _case_and_units(parser)
    parser.add_argument(
        "--uncertainty",
        action="store_true",
        help=option_texts.HOW_SURE_EACH_DUTY_IS,
    )
    parser.add_argument(
        "--lap",
        type=Path,
        metavar="FILE",
        help=option_texts.LAP_AS_CSV,
    )
    parser.add_argument(
        "--add",
        action="append",
        choices=tuple(READY_LABELS),
        help=option_texts.USUAL_DUTY_CHECKED_BELOW_THOSE_OF_THE_CASE,
    )
    parser.add_argument(
        "--write", type=Path, metavar="FILE", help=option_texts.WRITE_THE_CASE_WITH_THE_ADDED_DUTIES_IN_IT
    )
    parser.set_defaults(command=checking.check_command)


def _warmup(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "warmup", option_texts.WARM_UP_THE_CURVE)
    _case_and_units(parser)
    parser.set_defaults(command=warming.warmup_command)


def _diagnose(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "diagnose", option_texts.CAUSES_WITH_THEIR_ODDS)
    _case_and_units(parser)
    parser.add_argument(
        "--record",
        choices=("before", "after"),
        help=option_texts.WHICH_VISITS_READINGS,
    )
    parser.add_argument("--reason", choices=_REASONS, help=option_texts.REASON_FOR_THE_VISIT_WHOSE_BASE_RATES_COUNT)
    parser.add_argument(
        "--rate",
        action="append",
        metavar="CAUSE=PERCENT",
        help=option_texts.BASE_RATE_OF_YOUR_OWN_IN_PLACE,
    )
    parser.add_argument(
        "--book",
        type=Path,
        metavar="BOOK",
        help=option_texts.WORKSHOPS_OWN_BASE_RATES_FROM_THIS_JOB_BOOK,
    )
    _without_history(parser)
    parser.add_argument("--pairs", action="store_true", help=option_texts.TRY_TWO_FAULTS_AT_ONCE_AMONG)
    parser.add_argument("--seed", type=int, default=1, help=option_texts.OF_THE_DRAWS)
    parser.set_defaults(command=diagnosing.diagnose_command)


def _without_history(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--without-history",
        action="store_true",
        help=option_texts.WITH_BOOK_EXPECT_OF_THE_VEHICLE_WHAT,
    )


def _size(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "size", option_texts.WHAT_WOULD_HOLD_THE_LIMIT)
    _case_and_units(parser, needed=False)  # a template needs none
    parser.add_argument("--duty", type=int, metavar="N", help=option_texts.NUMBER_OF_THE_DUTY_TO_BE_MENDED)
    parser.add_argument(
        "--table",
        type=Path,
        action="append",
        metavar="PARTS.csv",
        help=option_texts.PARTS_TO_CHOOSE_FROM,
    )
    parser.add_argument(
        "--template",
        nargs=2,
        metavar=("KIND", "OUT.csv"),
        help=option_texts.TABLE_OF_PARTS_TO_FILL_IN,
    )
    parser.add_argument(
        "--compare",
        metavar="NAMES",
        help=option_texts.PARTS_OF_THE_TABLES_TO_LAY_SIDE,
    )
    parser.add_argument(
        "--room",
        metavar="SIZE",
        help=option_texts.ROOM_THERE_IS_FOR_A_CORE,
    )
    parser.add_argument(
        "--least", choices=("volume", "mass"), default="volume", help=option_texts.WHAT_OF_THE_CORE_IS_TO_BE_LEAST
    )
    parser.add_argument("--adopt", metavar="NAME", help=option_texts.PART_OF_THE_TABLES_THAT_WRITE_PUTS)
    parser.add_argument(
        "--write",
        type=Path,
        metavar="FILE",
        help=option_texts.WRITE_THE_CASE_WITH_THE_LEAST_CORE_IN_IT,
    )
    parser.set_defaults(command=sizing.size_command)


def _refill(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "refill", option_texts.WHAT_THE_MIXTURE_STANDS)
    _case_and_units(parser)
    parser.set_defaults(command=refilling.refill_command)


def _report(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "report", option_texts.PDF_REPORT_OF_A_CASE)
    _case_and_units(parser)
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="OUT.pdf", help=option_texts.FILE_TO_WRITE)
    parser.add_argument("--kind", choices=_KINDS, help=option_texts.FOR_WHOM_THE_REPORT_IS)
    parser.add_argument(
        "--annex",
        choices=_ANNEXES,
        help=option_texts.WHAT_STANDS_BEHIND_THE_REPORT_ITSELF,
    )
    parser.add_argument(
        "--letterhead",
        type=Path,
        metavar="FILE.json",
        help=option_texts.SHOPS_NAME_CONTACT_AND_LOGO,
    )
    parser.add_argument(
        "--identity",
        type=Path,
        metavar="FILE.p12",
        help=option_texts.SIGNS_WITH_THIS_IDENTITY,
    )
    parser.add_argument(
        "--timestamp-server",
        metavar="URL",
        help=option_texts.ASKS_THIS_SERVER,
    )
    parser.add_argument(
        "--lasting",
        choices=("time", "data", "archive"),
        help=option_texts.WITH_A_TIMESTAMP_SERVER,
    )
    parser.add_argument("--anonymised", action="store_true", help=option_texts.LEAVE_CUSTOMER_AND_VEHICLE)
    parser.add_argument(
        "--book",
        type=Path,
        metavar="BOOK",
        help=option_texts.CAUSES_BY_THE_WORKSHOPS_OWN_BASE_RATES,
    )
    _without_history(parser)
    parser.add_argument(
        "--causes",
        action=argparse.BooleanOptionalAction,
        default=None,
        help=option_texts.SAY_WHAT_MAY_BE_BEHIND_IT_WITH_ODDS,
    )
    parser.add_argument(
        "--record",
        choices=("before", "after"),
        help=option_texts.WHICH_VISITS_CAUSES,
    )
    _force(parser)
    parser.set_defaults(command=papers.report_command)


def _identity(commands: _Commands[PlainParser]) -> None:
    parser = _new(
        commands,
        "identity",
        option_texts.SIGNING_IDENTITY_KEPT_IN_A_FILE,
    )
    parser.add_argument(
        "output", type=Path, nargs="?", metavar="FILE.p12", help=option_texts.ITS_FILE_TO_MAKE_ONE_IT_MUST_NOT_EXIST_YET
    )
    parser.add_argument("--name", help=option_texts.OF_A_NEW_ONE)
    parser.add_argument("--credential", help=option_texts.OF_A_NEW_ONE_WHAT_THE_SIGNER_IS)
    parser.add_argument(
        "--token",
        type=Path,
        metavar="LIBRARY",
        help=option_texts.MAKE_A_FILE_THAT_NAMES_THE_HARDWARE,
    )
    parser.add_argument("--renew", action="store_true", help=option_texts.LET_IT_HOLD_THREE_YEARS_MORE)
    parser.add_argument(
        "--new-password",
        action="store_true",
        help=option_texts.LOCK_IT_WITH_ANOTHER_PASSWORD,
    )
    parser.set_defaults(command=identities.identity_command)


def _verify(commands: _Commands[PlainParser]) -> None:
    parser = _new(
        commands,
        "verify",
        option_texts.WHO_SIGNED_A_REPORT,
    )
    parser.add_argument(
        "reports", type=Path, nargs="+", metavar="REPORT.pdf", help=option_texts.REPORTS_OR_FOLDERS_OF_THEM
    )
    parser.add_argument(
        "--extract", type=Path, metavar="FILE", help=option_texts.WRITE_THE_CASE_THAT_THE_ONE_REPORT_CARRIES
    )
    _force(parser)
    parser.add_argument("--anyway", action="store_true", help=option_texts.WRITE_THE_CARRIED_CASE_EVEN_THOUGH)
    parser.set_defaults(command=verifying.verify_command)


def _countersign(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "countersign", option_texts.ADD_A_REVIEWERS_SIGNATURE_TO_AN_INTACT)
    parser.add_argument("report", type=Path, metavar="REPORT.pdf", help=option_texts.SIGNED_REPORT_IT_STAYS_AS_IT_IS)
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="OUT.pdf", help=option_texts.FILE_TO_WRITE)
    parser.add_argument(
        "--identity",
        type=Path,
        required=True,
        metavar="FILE.p12",
        help=option_texts.REVIEWERS_ITS_PASSWORD_IS_ASKED_FOR,
    )
    _force(parser)
    parser.set_defaults(command=verifying.countersign_command)


def _screen(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "screen", option_texts.MANY_LOGS_JUDGED_AS_SCREENING)
    parser.add_argument(
        "logs",
        type=Path,
        nargs="*",
        metavar="LOG",
        help=option_texts.LOGS_EACH_OF_ANOTHER_VEHICLE,
    )
    parser.add_argument(
        "-o", "--output", type=Path, required=True, metavar="OUT", help=option_texts.FOLDER_FOR_WHAT_IS_FOUND
    )
    parser.add_argument(
        "--book",
        type=Path,
        metavar="BOOK",
        help=option_texts.JOB_BOOK_ITS_BASE_RATES,
    )
    parser.add_argument(
        "--case", type=Path, metavar="CASE", help=option_texts.CASE_THAT_SAYS_WHAT_THE_OTHER_VEHICLES_ARE
    )
    parser.add_argument("--workers", type=at_least_one, metavar="N", help=option_texts.PROCESSES_ELSE_ONE_FOR_EACH_CORE)
    parser.add_argument(
        "--lay-out",
        type=at_least_one,
        default=0,
        metavar="N",
        help=option_texts.WRITE_A_CASE_WITH_ITS_NEWEST_LOG,
    )
    parser.add_argument(
        "--scheduler",
        metavar="ADDRESS",
        help=option_texts.JUDGE_ON_A_CLUSTER_OF_DASK_DISTRIBUTED,
    )
    parser.set_defaults(command=screening.screen_command)


def _listen(commands: _Commands[PlainParser]) -> None:
    parser = _new(
        commands,
        "listen",
        option_texts.VEHICLE_READ_LIVE_WHILE_IT_WARMS_UP,
        option_texts.PRINT_ONE_JSON_OBJECT_TO_A_LINE_AS_IT_GOES,
    )
    parser.add_argument("case", type=Path, nargs="?", metavar="CASE", help=option_texts.WHAT_THE_VEHICLE_IS)
    parser.add_argument(
        "--port",
        metavar="PORT",
        help=option_texts.ADAPTER_A_SERIAL_PORT,
    )
    parser.add_argument("--baud", type=at_least_one, metavar="N", help=option_texts.OF_A_SERIAL_PORT)
    parser.add_argument("--replay", type=Path, metavar="LOG.csv", help=option_texts.PLAY_THIS_LOG_IN_PLACE_OF_A_VEHICLE)
    parser.add_argument("--speed", type=float, default=1.0, help=option_texts.OF_A_REPLAY)
    parser.add_argument("--minutes", type=float, metavar="N", help=option_texts.END_AFTER_SO_LONG)
    parser.add_argument("--record", choices=("before", "after"), help=option_texts.OF_WHICH_VISIT_IT_IS)
    parser.add_argument(
        "--before",
        type=Path,
        metavar="LOG|CASE",
        help=option_texts.RUN_BEFORE_THE_REPAIR,
    )
    parser.add_argument("--every", type=float, default=10.0, metavar="S", help=option_texts.SECONDS_BETWEEN_TWO_ANSWERS)
    parser.add_argument(
        "-o", "--output", type=Path, metavar="LOG.csv", help=option_texts.LOG_TO_BE_WRITTEN_AS_IT_IS_READ
    )
    parser.add_argument("--keep", type=Path, metavar="CASE", help=option_texts.WRITE_THE_CASE_WITH_THIS_READING)
    parser.add_argument("--typed", action=argparse.BooleanOptionalAction, help=option_texts.TAKE_LINES_THAT_ARE_TYPED)
    parser.add_argument(
        "--plan",
        choices=("cold", "on"),
        help=option_texts.READ_NOTHING_ONLY_PLAN_THE_TEST_DRIVE,
    )
    parser.add_argument(
        "--test-drive",
        action=argparse.BooleanOptionalAction,
        help=option_texts.PLAN_THE_DRIVE_BEFORE_THE_START,
    )
    parser.add_argument("--units", choices=("SI", "US"), default="SI", help=option_texts.UNITS_OF_THE_WORDS)
    _force(parser)
    parser.set_defaults(command=listening.listen_command, json_lines=True)


def _about(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "about", option_texts.VERSIONS_LICENCES_SOURCES)
    parser.add_argument("--crashes", action="store_true", help=option_texts.REPORT_OF_CRASHES)
    parser.set_defaults(command=about.about_command)


def _fields(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "fields", option_texts.EVERY_INPUT_THAT_A_CASE_MAY_HOLD)
    parser.add_argument("--schema", action="store_true", help=option_texts.PRINT_THE_JSON_SCHEMA_OF_THE_CASE_FILE)
    parser.set_defaults(command=describing.fields_command)


def _rig(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "rig", option_texts.MEASURED_POINTS_AND_PROBLEMS)
    _case_and_units(parser)
    parser.add_argument("--points", type=Path, metavar="TABLE.csv", help=option_texts.TAKE_THE_POINTS_FROM_THIS_TABLE)
    parser.add_argument("-o", "--output", type=Path, metavar="CASE", help=option_texts.WRITE_THE_CASE_WITH_THESE_POINTS)
    parser.add_argument("--table", type=Path, metavar="OUT.csv", help=option_texts.WRITE_THE_POINTS_AS_A_TABLE)
    _force(parser)
    parser.set_defaults(command=rigs.rig_command)


def _charts(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "charts", option_texts.CHARTS_OF_ONE_DUTY)
    _case_and_units(parser)
    parser.add_argument("--duty", metavar="NAME", help=option_texts.WHICH_DUTY_ELSE_THE_FIRST)
    parser.set_defaults(command=charts.charts_command)


def _worksheet(commands: _Commands[PlainParser]) -> None:
    parser = _new(commands, "worksheet", option_texts.PROBLEM_SHEETS_WITH_KEYS_FOR_A_CLASS)
    parser.add_argument("topic", nargs="?", metavar="TOPIC", help=option_texts.WHAT_THE_PROBLEM_IS_ABOUT)
    parser.add_argument("--list", action="store_true", help=option_texts.TOPICS_THAT_THERE_ARE)
    parser.add_argument("--seed", type=int, default=1, help=option_texts.OF_THE_NUMBERS)
    parser.add_argument(
        "--class",
        dest="class_list",
        type=Path,
        metavar="LIST.csv",
        help=option_texts.CLASS_LIST_ONE_NAME_TO_A_ROW,
    )
    parser.add_argument(
        "--units", choices=("SI", "US"), default="SI", help=option_texts.UNITS_OF_THE_PROBLEM_AND_ITS_WORKING
    )
    parser.add_argument(
        "--symbols",
        choices=("A", "B"),
        default="A",
        help=option_texts.TWO_SETS_OF_SYMBOLS,
    )
    parser.add_argument(
        "--number",
        action="append",
        default=[],
        metavar="SYMBOL=NUMBER",
        help=option_texts.NUMBER_OF_YOUR_OWN_IN_PLACE_OF_THE_DRAWN_ONE,
    )
    parser.add_argument(
        "--check", type=Path, metavar="ANSWERS.csv", help=option_texts.MARK_THESE_ANSWERS_AND_NAME_LIKELY_SLIPS
    )
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FOLDER", help=option_texts.WRITE_SHEET_AND_KEY_AS_PDF_AND_JSON
    )
    parser.set_defaults(command=worksheets.worksheet_command)
