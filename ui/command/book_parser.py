"""The words of ``heatdocket book``: what can be done with a job book, and what each takes."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from pathlib import Path

from engcalc.causes.counted_rates import OUTSIDE_WEIGHT
from engcalc.causes.outcomes import CONFIRMED, CURED
from engcalc.causes.record import RARE
from engcalc.words.texts import option_texts
from ui.command import booking
from ui.command.answer import Answer


def add_book(parser: argparse.ArgumentParser) -> None:
    """Give the parser of ``book`` its words."""
    parser.add_argument("book", type=Path, metavar="BOOK", help=option_texts.JOB_BOOK_JOBBOOK)
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

    _jobs(new)
    _folders_and_copies(new)
    _outcomes(new)


_New = Callable[[str, Callable[[argparse.Namespace], Answer], str], argparse.ArgumentParser]


def _jobs(new: _New) -> None:
    add = new("add", booking.add_command, option_texts.KEEP_CASES_WITH_THE_LOGS)
    add.add_argument("files", type=Path, nargs="+", metavar="CASE", help=option_texts.CASE_FILE_OR_A_REPORT_PDF)
    add.add_argument("--job", type=int, metavar="N", help=option_texts.JOB_THAT_THEY_BELONG_TO)
    find = new("find", booking.find_command, option_texts.JOBS_IN_WHICH_EVERY_WORD)
    find.add_argument("words", nargs="*", metavar="WORD", help=option_texts.ANY_WORD_OF_THE_JOB)
    find.add_argument("--open", action="store_true", help=option_texts.ONLY_JOBS_THAT_ARE_NOT_CLOSED_BY_AN_OUTCOME)
    find.add_argument("--limit", type=at_least_one, default=50, metavar="N", help=option_texts.HOW_MANY_AT_MOST)
    show = new("show", booking.show_command, option_texts.EVERYTHING_OF_ONE_JOB)
    show.add_argument("job", type=int, metavar="JOB", help=option_texts.NUMBER_OF_THE_JOB)
    show.add_argument("--case", type=Path, metavar="FILE", help=option_texts.WRITE_ITS_NEWEST_CASE_TO_THIS_NEW_FILE)
    before = new("history", booking.history_command, option_texts.EVERY_VISIT_OF_A_JOBS_VEHICLE)
    before.add_argument("job", type=int, metavar="JOB", help=option_texts.NUMBER_OF_ONE_OF_ITS_JOBS)
    before.add_argument(
        "--as-measured",
        action="store_true",
        help=option_texts.WITHOUT_WHAT_EACH_RECORDS_FIT_SAYS,
    )
    before.add_argument("--units", choices=("SI", "US"), default="SI", help=option_texts.UNITS_OF_THE_WORDS)
    forget = new("forget", booking.forget_command, option_texts.TAKE_OUT_A_CUSTOMER_WITH_EVERYTHING)
    forget.add_argument("customer", metavar="CUSTOMER", help="the whole name")
    forget.add_argument("--keep-reports", metavar="WHY", help=option_texts.KEEP_THEIR_SIGNED_REPORTS)


def _folders_and_copies(new: _New) -> None:
    bring = new("import", booking.import_command, option_texts.KEEP_EVERY_CASE)
    bring.add_argument("folder", type=Path, metavar="FOLDER", help=option_texts.FOLDER_TO_READ)
    out = new("export", booking.export_command, option_texts.WRITE_THE_WHOLE_BOOK_AS_FILES)
    out.add_argument("folder", type=Path, metavar="FOLDER", help=option_texts.FOLDER_TO_MAKE)
    backup = new("backup", booking.backup_command, option_texts.WRITE_A_WHOLE_COPY_OF_THE_BOOK)
    backup.add_argument("file", type=Path, metavar="FILE", help=option_texts.FILE_TO_WRITE)
    restore = new("restore", booking.restore_command, option_texts.PUT_A_BACKUP_IN_THE_BOOKS_PLACE)
    restore.add_argument("file", type=Path, metavar="FILE", help="the backup")


def _outcomes(new: _New) -> None:
    outcome = new("outcome", booking.outcome_command, option_texts.HOW_A_JOB_ENDED)
    outcome.add_argument("job", type=int, metavar="JOB", help=option_texts.NUMBER_OF_THE_JOB)
    outcome.add_argument("--cause", required=True, metavar="KEY", help=option_texts.CAUSE_AS_DIAGNOSE_JSON_HAS_IT)
    outcome.add_argument("--confirmed", required=True, metavar="HOW", help=_words(CONFIRMED))
    outcome.add_argument("--replaced", default="", metavar="TEXT", help=option_texts.WHAT_WAS_REPLACED_OR_PUT_RIGHT)
    outcome.add_argument("--cured", required=True, metavar="CURED", help=_words(CURED))
    rates = new("rates", booking.rates_command, option_texts.WORKSHOPS_OWN_BASE_RATES)
    rates.add_argument("--reason", choices=tuple(RARE), help=option_texts.OF_THIS_REASON_FOR_THE_VISIT)
    rates.add_argument("--class", dest="vehicle_class", metavar="CLASS", help=option_texts.OF_THIS_CLASS_OF_VEHICLE)
    honest = new("honesty", booking.honesty_command, option_texts.OF_WHAT_THE_PROGRAM_CLAIMED)
    honest.add_argument("-o", "--output", type=Path, metavar="OUT.pdf", help=option_texts.WRITE_IT_AS_A_PDF_TOO)
    honest.add_argument("--identity", type=Path, metavar="FILE.p12", help=option_texts.SIGNS_THE_PDF_WITH_THIS_IDENTITY)
    honest.add_argument("--force", action="store_true", help=option_texts.WRITE_OVER_A_PDF_THAT_EXISTS)
    give = new("give", booking.give_command, option_texts.WRITE_THE_CONFIRMED_OUTCOMES)
    give.add_argument("file", type=Path, metavar="FILE", help=option_texts.FILE_TO_WRITE_JSON_LINES)
    give.add_argument("--identity", type=Path, metavar="FILE.p12", help=option_texts.SIGNS_THE_FILE)
    take = new("take", booking.take_command, option_texts.READ_IN_THE_OUTCOMES_OF_ANOTHER_WORKSHOP)
    take.add_argument("file", type=Path, metavar="FILE", help=option_texts.FILE_THAT_GIVE_WROTE)
    take.add_argument("--source", required=True, metavar="NAME", help="who gave it")
    take.add_argument(
        "--weight",
        type=float,
        default=OUTSIDE_WEIGHT,
        metavar="W",
        help=option_texts.HOW_MUCH_ONE_COUNTS_BESIDE_ONES_OWN_JOB,
    )


def _words(table: Mapping[str, str]) -> str:
    """The words of a table with what they mean."""
    return "; ".join(f"{word}: {meaning}" for word, meaning in table.items())


def at_least_one(text: str) -> int:
    """A whole number from 1 on."""
    number = int(text)
    if number < 1:
        raise argparse.ArgumentTypeError(option_texts.WAS_GIVEN_A_WHOLE_NUMBER_FROM_1_ON_WOULD_DO.format(text=text))
    return number
