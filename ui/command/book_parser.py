"""The words of ``heatdocket book``: what can be done with a job book, and what each takes."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from pathlib import Path

from engcalc.causes.counted_rates import OUTSIDE_WEIGHT
from engcalc.causes.outcomes import CONFIRMED, CURED
from engcalc.causes.record import RARE
from ui.command import booking
from ui.command.answer import Answer

BOOK_HELP = "the job book: cases kept, found again, and learned from"


def add_book(parser: argparse.ArgumentParser) -> None:
    """Give the parser of ``book`` its words."""
    parser.add_argument("book", type=Path, metavar="BOOK", help="the job book (*.jobbook); 'add' and 'import' make one")
    actions = parser.add_subparsers(required=True, metavar="WHAT")

    def new(name: str, command: Callable[[argparse.Namespace], Answer], help_text: str) -> argparse.ArgumentParser:
        found: argparse.ArgumentParser = actions.add_parser(name, help=help_text, description=help_text)
        found.add_argument(
            "--json", action="store_true", default=argparse.SUPPRESS, help="print one JSON object and nothing else"
        )
        found.set_defaults(command=command)
        return found

    _jobs(new)
    _folders_and_copies(new)
    _outcomes(new)


_New = Callable[[str, Callable[[argparse.Namespace], Answer], str], argparse.ArgumentParser]


def _jobs(new: _New) -> None:
    add = new("add", booking.add_command, "keep cases, with the logs, photographs and tables they name, and reports")
    add.add_argument("files", type=Path, nargs="+", metavar="CASE", help="a case file, or a report (PDF)")
    add.add_argument("--job", type=int, metavar="N", help="the job that they belong to; else it is told by the case")
    find = new("find", booking.find_command, "the jobs in which every word, or its beginning, is met; the newest first")
    find.add_argument("words", nargs="*", metavar="WORD", help="any word of the job; without one, all jobs")
    find.add_argument("--open", action="store_true", help="only jobs that are not closed by an outcome")
    find.add_argument("--limit", type=at_least_one, default=50, metavar="N", help="how many at most; else 50")
    show = new("show", booking.show_command, "everything of one job; its reports are verified anew")
    show.add_argument("job", type=int, metavar="JOB", help="the number of the job")
    show.add_argument("--case", type=Path, metavar="FILE", help="write its newest case to this new file")
    before = new("history", booking.history_command, "every visit of a job's vehicle: warm-ups, how it ended")
    before.add_argument("job", type=int, metavar="JOB", help="the number of one of its jobs")
    before.add_argument(
        "--as-measured",
        action="store_true",
        help="without what each record's fit says of the valve, which takes seconds",
    )
    before.add_argument("--units", choices=("SI", "US"), default="SI", help="units of the words")
    forget = new("forget", booking.forget_command, "take out a customer with everything that is theirs, for good")
    forget.add_argument("customer", metavar="CUSTOMER", help="the whole name")
    forget.add_argument(
        "--keep-reports", metavar="WHY", help="keep their signed reports, and say why, such as a law that asks for it"
    )


def _folders_and_copies(new: _New) -> None:
    bring = new("import", booking.import_command, "keep every case, report and log in a folder and those below it")
    bring.add_argument("folder", type=Path, metavar="FOLDER", help="the folder to read")
    out = new("export", booking.export_command, "write the whole book as files")
    out.add_argument("folder", type=Path, metavar="FOLDER", help="the folder to make; it must not exist yet")
    backup = new("backup", booking.backup_command, "write a whole copy of the book, beside those made each day")
    backup.add_argument("file", type=Path, metavar="FILE", help="the file to write")
    restore = new(
        "restore", booking.restore_command, "put a backup in the book's place; close the book elsewhere first"
    )
    restore.add_argument("file", type=Path, metavar="FILE", help="the backup")


def _outcomes(new: _New) -> None:
    outcome = new(
        "outcome", booking.outcome_command, "how a job ended: what was found at fault, and whether it is cured"
    )
    outcome.add_argument("job", type=int, metavar="JOB", help="the number of the job")
    outcome.add_argument(
        "--cause", required=True, metavar="KEY", help="the cause, as 'diagnose --json' has it; healthy for none"
    )
    outcome.add_argument("--confirmed", required=True, metavar="HOW", help=_words(CONFIRMED))
    outcome.add_argument("--replaced", default="", metavar="TEXT", help="what was replaced or put right")
    outcome.add_argument("--cured", required=True, metavar="CURED", help=_words(CURED))
    rates = new("rates", booking.rates_command, "the workshop's own base rates, from its confirmed outcomes")
    rates.add_argument("--reason", choices=tuple(RARE), help="of this reason for the visit; else of each")
    rates.add_argument("--class", dest="vehicle_class", metavar="CLASS", help="of this class of vehicle, where enough")
    honest = new("honesty", booking.honesty_command, "of what the program claimed, how much came true on these jobs")
    honest.add_argument("-o", "--output", type=Path, metavar="OUT.pdf", help="write it as a PDF too")
    honest.add_argument("--identity", type=Path, metavar="FILE.p12", help="signs the PDF with this identity")
    honest.add_argument("--force", action="store_true", help="write over a PDF that exists; never over what is read")
    give = new("give", booking.give_command, "write the confirmed outcomes, anonymised, for another workshop")
    give.add_argument("file", type=Path, metavar="FILE", help="the file to write (JSON Lines); it must not exist yet")
    give.add_argument("--identity", type=Path, metavar="FILE.p12", help="signs the file; the signature lies beside it")
    take = new("take", booking.take_command, "read in the outcomes of another workshop")
    take.add_argument("file", type=Path, metavar="FILE", help="a file that 'give' wrote")
    take.add_argument("--source", required=True, metavar="NAME", help="who gave it")
    take.add_argument(
        "--weight",
        type=float,
        default=OUTSIDE_WEIGHT,
        metavar="W",
        help="how much one counts beside one's own job, to 1; else 0.3",
    )


def _words(table: Mapping[str, str]) -> str:
    """The words of a table with what they mean."""
    return "; ".join(f"{word}: {meaning}" for word, meaning in table.items())


def at_least_one(text: str) -> int:
    """A whole number from 1 on."""
    number = int(text)
    if number < 1:
        raise argparse.ArgumentTypeError(f"'{text}' was given; a whole number from 1 on would do")
    return number
