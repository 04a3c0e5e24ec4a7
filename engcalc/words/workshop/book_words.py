"""The job book in plain sentences: what was kept, own base rates, and how honest the odds were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engcalc.case.vin import VinState
from engcalc.causes.counted_rates import SHIPPED_WEIGHT, CountedRates, shipped_rates
from engcalc.causes.outcomes import CONFIRMED, CURED, Outcome
from engcalc.diagnosis.odds.honesty import FEW, ClaimBand, Honesty, MissedClaim
from engcalc.words.diagnosis.causes import cause_label
from engcalc.words.terms.foreign import visible
from engcalc.words.terms.numbers import chance, lowered, share, small_share

_SHOWN_RATES = 12  # causes of which own and shipped rates are listed

_VIN: Mapping[VinState, str] = {
    VinState.DISAGREES: "The VIN {vin} does not agree with its check digit: a character is wrong. Compare it with the plate.",
    VinState.MALFORMED: "The VIN {vin} is not 17 letters and digits without I, O and Q. Compare it with the plate.",
    VinState.NO_CHECK_DIGIT: "The VIN {vin} carries no check digit, as outside North America it need not: a slip in it would not show.",
}


def vin_sentence(state: VinState, vin: str) -> str:
    """What a VIN says of itself; empty where there is nothing to say."""
    return _VIN[state].format(vin=vin) if state in _VIN else ""


def kept_sentence(name: str, job: int, new_job: bool, new_case: bool) -> str:
    """What became of a case that was added."""
    if not new_case:
        return f"{name}: kept already, job {job}."
    return f"{name}: kept as a new job, number {job}." if new_job else f"{name}: kept as the newest case of job {job}."


def ahead_sentence(job: int) -> str:
    """A case on the disk that was worked on since the book last kept it."""
    return f"The case of job {job} was changed outside the job book. This is the changed one; save it, and the book has it too."


def state_sentence(job: int, state: str) -> str:
    """Whether a job is open or closed now."""
    return f"Job {job} is {state}."


def closed_sentence(job: int, outcome: Outcome | None) -> str:
    """A closed job that is opened again, and how it ended."""
    ended = "" if outcome is None else f" {outcome_sentence(outcome)}"
    return f"Job {job} is closed.{ended} To work on it again, enter a new outcome when it ends."


def missing_sentence(name: str) -> str:
    """A file that a case names and that could not be read."""
    return f"{name} is named by the case and could not be read: it is not kept."


def report_kept_sentence(name: str, job: int, verified: str) -> str:
    """A report that was added, and what verifying it gave."""
    return f"{name}: kept with job {job}. {verified}"


def job_lines(job: int, day: str, state: str, who: Sequence[str], complaint: str) -> list[str]:
    """A job in a list: which it is, then whose and why it came."""
    head = ", ".join(part for part in (f"Job {job}", day, state) if part)
    below = ": ".join(part for part in (", ".join(who), complaint) if part)
    return [head, below or "No vehicle and no complaint was noted."]


def outcome_sentence(outcome: Outcome) -> str:
    """How a job ended."""
    replaced = f" Replaced: {outcome.replaced}." if outcome.replaced else ""
    found = f"Found: {cause_label(outcome.cause)} ({CONFIRMED[outcome.confirmed]})."
    counts = "" if outcome.counts else " It does not count towards the workshop's own base rates."
    return f"{found}{replaced} {CURED[outcome.cured].capitalize()}.{counts}"


def counted(number: int, what: str) -> str:
    """A number of things.

    >>> counted(1, "job"), counted(2, "job")
    ('1 job', '2 jobs')
    """
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


OPEN_JOBS = "Open jobs"
EVERY_JOB = "Jobs"
JOBS_FOUND = "Jobs found, open and closed"
NONE_FOUND = "No job has these words."
NO_OPEN_JOB = "No job is open. Keep a case in the job book, and its job is listed here."
OUTCOME_INTRO = (
    "What the job ended with is counted in the workshop's own base rates, and it shows whether the odds were right."
)
CHOOSE = "choose ..."  # a list in which nothing is chosen yet
OUTCOME_MISSING = {
    "cause": "Choose what was found at fault.",
    "confirmed": "Choose how that was confirmed.",
    "cured": "Choose how the complaint is now.",
}
"""What is to be chosen before an outcome is kept, by field."""
BOOK_INTRO = (
    "One file keeps cases, logs, photographs, signed reports and how each job ended. It lies on this computer alone."
)
OWN_RATES_TOLD = "The odds then start from what your own jobs turned out to be. The fewer jobs, the more the shipped base rates still count."
SAVE_FIRST = "A case is kept as it stands in its file: save it first."
ODDS_FIRST = (
    "The causes have not been worked out for this case as it stands, so that no odds are held against this outcome."
)
NOTHING_TO_KEEP = "Nothing to keep was found there."


def loose_log_sentence(name: str) -> str:
    """A log in an imported folder that no case names."""
    return f"{name}: no case names this log; kept without a job."


def not_kept_sentence(path: str, why: str) -> str:
    """A file in an imported folder that could not be read."""
    return f"{path}: not kept. {why}"


def exported_sentence(folder: str, jobs: int, files: int) -> str:
    """What an export wrote."""
    return f"{folder}: {counted(jobs, 'job')}, {counted(files, 'file')}."


def renamed_sentence(name: str) -> str:
    """A file that an export could not write under the name that its case has for it."""
    return f"{name}: written under another name, as this one was taken or led out of the folder."


def backup_sentence(path: str) -> str:
    """A backup that was made."""
    return f"{path}: a whole copy of the book. Customers stand in it: keep it as safe as the book."


def restored_lines(book: str, backup: str, aside: str | None) -> list[str]:
    """A backup that was put in the book's place, and where the book lies that was there."""
    there = [] if aside is None else [f"The book that was there lies in {aside}."]
    return [f"{book}: restored from {backup}.", *there]


def given_lines(path: str, outcomes: int) -> list[str]:
    """Outcomes that were written for others."""
    return [
        f"{path}: {counted(outcomes, 'outcome')}.",
        "No customer, registration or VIN is in it, and no date but the quarter of the year.",
    ]


def file_signed_sentence(place: str, name: str, ends: Sequence[str] = ()) -> str:
    """A file of outcomes that was signed."""
    return " ".join((f"Signed by {visible(name)}: {place}. Send both files together.", *ends))


OUTCOMES_TOLD = "Confirmed outcomes can go to other workshops and come from them: no customer, registration or VIN is in them, no date but the quarter."
NOT_SIGNED = "Nobody signed the file: that it is from there, and as it was written, is not shown."


def signer_sentence(name: str, fingerprint: str, since: str, another: bool) -> str:
    """Who signed an intact file; ``since`` when the reader knows them, empty where nobody of the list has that key."""
    head = f"The file is as {visible(name)} signed it"
    if since and not another:
        return f"{head}, whom you know since {since}."
    namesake = ", though you know somebody of that name with another key" if another else ""
    return f"{head}. That it is they, nobody has vouched for{namesake}: compare the fingerprint with theirs, {fingerprint}."


def taken_sentence(new: int, known: int, source: str, weight: float) -> str:
    """Outcomes that were read in from others."""
    return (
        f"{counted(new, 'outcome')} taken from {source}, each as {weight:g} of a job; {known} were in the book already."
    )


def line_not_taken_sentence(number: int, why: str) -> str:
    """A line of a file of outcomes that could not be used."""
    return f"line {number}: not taken, {why}"


def forgotten_sentence(name: str, counts: Mapping[str, int], backups: int) -> str:
    """What was taken out with a customer: how many of each thing."""
    listed = ", ".join(counted(number, what) for what, number in counts.items())
    return f"{name} was taken out: {listed}; and out of {counted(backups, 'daily backup')}."


def kept_reports_sentence(count: int, why: str) -> str:
    """Signed reports that stay."""
    return f"{counted(count, 'report')} kept as signed: {why}."


AT_WORK = "At work …"
FORGETTING = (
    "Copies that lie elsewhere are not reached: backups that you made yourself, exported folders, case files and reports on the disk or in the mail. Delete those too.",
    "Their jobs no longer count in the workshop's own base rates.",
)
"""What is to be known after a customer was taken out."""


# ---- own base rates -------------------------------------------------------------------------------------------------


def rates_basis(rates: CountedRates) -> str:
    """What a workshop's own base rates rest on, as it stands beside the odds."""
    if not rates.jobs:
        return "no job with a confirmed outcome for this reason is in the job book; common practice, no source"
    of_class = f", {_number(rates.of_class)} of them on a {rates.vehicle_class}" if rates.vehicle_class else ""
    outside = f", {_number(rates.outside)} of them from other workshops" if rates.outside else ""
    counted = f"counted in the job book: {_jobs(rates.jobs)}{of_class}{outside}"
    return f"{counted}; they carry {share(rates.weight)}, the rest is common practice, no source"


def _number(count: float) -> str:
    return f"{count:.1f}".removesuffix(".0")


def _jobs(count: float) -> str:
    text = _number(count)
    return f"{text} job" if text == "1" else f"{text} jobs"


def rates_lines(rates: CountedRates) -> list[str]:
    """A workshop's own base rates for one reason beside those shipped, the most changed first."""
    if not rates.jobs:
        return [f"{rates.reason}: no job with a confirmed outcome yet; the shipped rates stand."]
    shipped = shipped_rates(rates.reason)
    order = sorted(shipped, key=lambda key: -abs(rates.rates[key] - shipped[key]))
    lines = [f"{rates.reason}: {rates_basis(rates)}."]
    for key in order[:_SHOWN_RATES]:
        own = small_share(rates.rates[key])
        was = small_share(shipped[key])
        lines.append(f"  {own:>6}  {cause_label(key)} (shipped {was}, met {_jobs(rates.counts.get(key, 0.0))})")
    return lines


RATES_NOTE = (
    f"The shipped rates count as {SHIPPED_WEIGHT:.0f} jobs. Own rates are in force only where you choose them: 'diagnose --book BOOK', or Jobs > Job book in the window.",
)
"""How own and shipped rates are put together, and when they count."""


NO_CLAIM_OF_PAIRS = "The odds are not kept in the job book: those with two faults at once are held against no outcome."
NO_CLAIM_AFTER = "The odds are not kept in the job book: after a repair they say what is left, not what was at fault."


def claim_sentence(job: int | None, *, kept: bool = False) -> str:
    """Whether the odds given were kept with a job, so that they can be held against its outcome."""
    if job is None:
        return "The odds are not kept: this case, as it is now, is not in the job book."
    if not kept:
        return f"The odds are not kept: job {job} has its outcome already, and a claim comes before that."
    return f"The odds are kept with job {job}, to be held against its outcome."


# ---- honesty --------------------------------------------------------------------------------------------------------


def honesty_lines(found: Honesty, entered: int, counting: int) -> list[str]:
    """How honest the odds were on the workshop's own jobs. ``entered`` jobs have an outcome, which of ``counting`` counts."""
    lines = honesty_said(found, entered, counting)
    if not found.claims:
        return lines
    lines += ["", f"{CLAIMS_HEADING}:"]
    lines += [_band_line(band) for band in found.bands if band.claims]
    lines.append(_band_words("in all", found.claims, found.true, found.claimed, found.interval))
    if found.misses:
        lines += ["", f"{MISSES_HEADING}:"]
        lines += [_miss_line(miss) for miss in found.misses]
    return lines


def _what_counts(found: Honesty, entered: int, counting: int) -> str:
    have = "1 job has" if entered == 1 else f"{entered} jobs have"
    return (
        f"{have} an outcome; {counting} of them are confirmed; of {found.claims} the odds were kept before the outcome."
    )


def paper_sentence(path: str, number: str, signed: bool) -> str:
    """A paper that was written."""
    return f"{path}: report {number} written, {'signed' if signed else 'a draft: it is not signed'}."


HONESTY_TITLE = "How honest the odds were"
CLAIMS_HEADING = "The cause named first, by the odds it was given"
CLAIMS_HEAD = ("Odds given", "Jobs", "Came true", "Share", "95 % interval", "Claimed on average", "Agrees")
MISSES_HEADING = "Misses, the most confident first"
MISSES_HEAD = ("Job", "Named first", "Odds", "It was", "Odds of that")


def honesty_said(found: Honesty, entered: int, counting: int) -> list[str]:
    """What the outcomes amount to, before any table."""
    lines = [_what_counts(found, entered, counting)]
    if found.few:
        lines.append(f"That is too few to conclude anything: {FEW} are wanted at least.")
    if found.claims:
        lines.append(_score_sentence(found))
    return lines


def claim_rows(found: Honesty) -> list[tuple[str, ...]]:
    """The bands of claims as rows of a table, and all of them together."""
    rows = [
        (_band_name(band), *_counted(band.claims, band.true, band.interval, band.claimed), _agrees(band.agrees))
        for band in found.bands
        if band.claims
    ]
    low, high = found.interval
    every = _agrees(low <= found.claimed <= high)
    return [*rows, ("in all", *_counted(found.claims, found.true, found.interval, found.claimed), every)]


def _counted(claims: int, true: int, interval: tuple[float, float], claimed: float) -> tuple[str, ...]:
    low, high = (f"{100.0 * bound:.0f}" for bound in interval)
    return str(claims), str(true), share(true / claims), f"{low} to {high} %", share(claimed)


def _agrees(agrees: bool) -> str:
    return "yes" if agrees else "no"


def miss_rows(found: Honesty) -> list[tuple[str, ...]]:
    """The misses as rows of a table."""
    return [
        (
            str(miss.job),
            cause_label(miss.named),
            chance(miss.probability),
            cause_label(miss.truth),
            chance(miss.truth_probability),
        )
        for miss in found.misses
    ]


def _band_name(band: ClaimBand) -> str:
    return f"{100.0 * band.low:.0f} to {100.0 * band.high:.0f} %"


def _band_line(band: ClaimBand) -> str:
    name = _band_name(band)
    verdict = "" if band.agrees else "; what was claimed lies outside that"
    return _band_words(name, band.claims, band.true, band.claimed, band.interval) + verdict


def _band_words(name: str, claims: int, true: int, claimed: float, interval: tuple[float, float]) -> str:
    low, high = (f"{100.0 * bound:.0f}" for bound in interval)
    came = f"{true} of {claims} came true ({share(true / claims)}; 95 % interval {low} to {high} %)"
    return f"  {name:>12}: {came}, claimed {share(claimed)} on average"


def _score_sentence(found: Honesty) -> str:
    scores = f"Log score, 0 at best: {found.score:.2f}; of the shipped base rates {found.shipped_score:.2f}."
    way = "Behind" if found.gain < 0.0 else "Ahead"
    error = f", standard error {found.gain_error:.2f}" if found.claims > 1 else ""  # one job has none
    gain = f"{way} by {abs(found.gain):.2f}{error}"
    if found.few:
        return f"{scores} {gain}."
    if found.gain > 2.0 * found.gain_error:
        return f"{scores} {gain}: the readings told more than the base rates alone."
    if found.gain < -2.0 * found.gain_error:
        return f"{scores} {gain}: the odds did worse than the base rates alone. Do not rely on them for such jobs."
    return f"{scores} {gain}: no difference can be shown yet."


def _miss_line(miss: MissedClaim) -> str:
    given = f"given {chance(miss.truth_probability)}"
    return f"  job {miss.job}: {cause_label(miss.named)}, {chance(miss.probability)}; it was: {lowered(cause_label(miss.truth))}, {given}"
