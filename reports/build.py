"""From a check to a PDF, and from a PDF to a signed file on disk.

``build`` gives the pages; the same check, text and time give the same bytes. ``export_report`` builds, attaches
the case, signs where an identity is at hand, and writes the file whole or not at all.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from reportlab.platypus.flowables import Flowable

from engcalc.case.file import case_bytes
from engcalc.case.named_files import needed_files
from engcalc.case.text import CaseText
from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.diagnosis.settled import with_odds
from engcalc.diagnosis.whole_check import joined
from engcalc.errors import InputError, InputFault
from engcalc.studies.checked import Check
from engcalc.studies.choice.candidates import Comparison, bare
from engcalc.studies.choice.least_core import LeastCore
from engcalc.studies.members import Stop
from engcalc.units import UnitSystem
from engcalc.words.page.paper_words import ANNEX
from engcalc.words.texts import report_texts
from reports.anonymous import anonymous, anonymous_case
from reports.carried import carried_with
from reports.identity import Identity
from reports.kinds import USUAL_TITLES, Annex, Order, Records, ReportKind, RestsOn, usual_annex
from reports.lasting import Timestamping
from reports.layout import PAGE_SIZES, RunningLines, compose, frame_height, frame_width, new_page, title
from reports.letterhead import Letterhead, of_job
from reports.pages.customer import customer_pages
from reports.pages.signature import SignatureBoxes, of_order, signature_part
from reports.sections import SECTIONS, WORKING_KEYS, ReportSection, sections_of
from reports.signing import SUBJECT, PageBox, Particulars, Stamp, attach_case, attach_files, sign_report, write_signed
from reports.texts import cut

LONGEST_NAME = 80  # characters of a duty's name on the pages


@dataclass(frozen=True)
class BuiltReport:
    """Pages, and where on them the two signatures go."""

    pdf: bytes
    author: PageBox
    reviewer: PageBox
    report_id: str


@dataclass(frozen=True, eq=False)
class Options:
    """How a report is made. ``files_folder`` is where pictures and tables that the case names are looked for;
    ``records`` are the warm-ups of the same case, where it has any, ``diagnosis`` the causes behind its complaint,
    ``least_core`` the least core, ``candidates`` parts side by side, ``stamping`` the clock that stamps the signature.
    ``annex`` is what stands behind the report itself, None for what is usual of its kind; ``letterhead`` the shop's,
    None for the shop that the case names.
    """

    system: UnitSystem = UnitSystem.SI
    anonymised: bool = False
    files_folder: Path | None = None
    records: Records | None = None
    diagnosis: Diagnosis | None = None
    annex: Annex | None = None
    letterhead: Letterhead | None = None
    least_core: LeastCore | None = None
    candidates: Comparison | None = None
    stamping: Timestamping | None = None


@dataclass(frozen=True)
class ExportedReport:
    """A report on disk: where, its SHA-256, its number, and whether it is signed."""

    path: Path
    sha256: str
    report_id: str
    signed: bool
    case_sha256: str


def build(
    check: Check,
    case_text: CaseText,
    kind: ReportKind,
    now: datetime,
    options: Options = Options(),
    *,
    final: bool = False,
    signer: Identity | None = None,
    cancelled: Stop = None,
) -> BuiltReport:
    """The pages, with the places of the signatures and the report's number; neither attachment nor signature.

    DRAFT stands on each page unless ``final``. ``now`` carries its time zone (InputError else). Where ``cancelled``
    comes true, Cancelled is raised.
    """
    order = replace(_order(check, case_text, kind, now, options, final=final, signer=signer), cancelled=cancelled)
    page_size = PAGE_SIZES[options.system]
    boxes = SignatureBoxes(frame_width(page_size))
    story = _story(order, boxes, page_size)
    order.go_on()
    pdf = compose(story, _running(order, page_size))
    if boxes.author is None or boxes.reviewer is None:
        raise AssertionError("the signature page was not drawn")
    return BuiltReport(pdf, boxes.author, boxes.reviewer, order.report_id)


def working_pages(
    check: Check, case_text: CaseText, now: datetime, system: UnitSystem, cancelled: Stop = None
) -> bytes | None:
    """The working alone, of measured points and of the duty that decides, to be read on the screen; None without any.

    ``now`` carries its time zone (InputError else). Where ``cancelled`` comes true, Cancelled is raised.
    """
    order = _order(check, case_text, ReportKind.LESSON, now, Options(system), final=True, signer=None)
    order = replace(order, cancelled=cancelled)
    page_size = PAGE_SIZES[system]
    width = frame_width(page_size)
    story = _flowables_of([section for section in SECTIONS if section.key in WORKING_KEYS], order, width)
    return compose(story, _running(order, page_size)) if story else None


def _order(
    check: Check,
    case_text: CaseText,
    kind: ReportKind,
    now: datetime,
    options: Options,
    *,
    final: bool,
    signer: Identity | None,
) -> Order:
    """What the pages are made from."""
    if now.tzinfo is None:
        raise InputError((InputFault("now", now.isoformat(), report_texts.TIME_WITH_ITS_TIME_ZONE_IS_WANTED),))
    records = options.records
    check = joined(check, () if records is None else records.study.records)
    if options.diagnosis is not None:
        check = with_odds(check, options.diagnosis.record, options.diagnosis.causes)
    check = _named_briefly(replace(check, case=anonymous_case(check.case)) if options.anonymised else check)
    return Order(
        check,
        kind,
        now,
        options.system,
        final,
        options.files_folder,
        signer,
        report_number(case_text, kind, now),
        records,
        options.diagnosis,
        usual_annex(kind) if options.annex is None else options.annex,
        None if options.anonymised else options.letterhead or of_job(check.case.job),
        options.least_core,
        _shown_beside(options),
        *_rested_on(case_text, options),
    )


def _shown_beside(options: Options) -> Comparison | None:
    """The parts side by side; anonymised, without the columns that the program only shows: they may name people."""
    found = options.candidates
    return bare(found) if found is not None and options.anonymised else found


def _rested_on(case_text: CaseText, options: Options) -> tuple[tuple[RestsOn, ...], tuple[str, ...]]:
    """The logs and tables that the report carries, and the names of those that it does not.

    Of an anonymised one none, for their names may name people.
    """
    if options.anonymised:
        return (), ()
    attached, files = carried_with(case_text, options.files_folder)
    carried = tuple(RestsOn(one.name, len(one.data), hashlib.sha256(one.data).hexdigest()) for one in files)
    return carried, tuple(sorted(set(needed_files(attached).values()) - {one.name for one in files}))


def _story(order: Order, boxes: SignatureBoxes, page_size: tuple[float, float]) -> list[Flowable]:
    """Everything that stands on the pages. A customer signs on page two, before the annex; the others at the end."""
    width = frame_width(page_size)
    sections = _flowables_of(sections_of(order.kind, order.annex), order, width)
    if order.kind is not ReportKind.CUSTOMER:
        return [*sections, *signature_part(of_order(order), boxes, width)]
    annex = [new_page(), title(ANNEX), *sections] if sections else []
    return [*customer_pages(order, boxes, width, frame_height(page_size)), *annex]


def _flowables_of(sections: Sequence[ReportSection], order: Order, width: float) -> list[Flowable]:
    """What stands in some sections."""
    found: list[Flowable] = []
    for section in sections:
        order.go_on()
        found += section.parts(order, width)
    return found


def export_report(
    check: Check,
    case_text: CaseText,
    kind: ReportKind,
    path: Path,
    *,
    now: datetime,
    identity: Identity | None = None,
    options: Options = Options(),
    cancelled: Stop = None,
) -> ExportedReport:
    """Build, attach the case, sign (without an identity: a DRAFT) and write.

    Raises Cancelled where ``cancelled`` comes true while it is built, InputError when the identity cannot sign at
    ``now``, FileFault when the place cannot be written to; what stood at ``path`` before is then untouched.
    """
    to_attach, files = (
        (anonymous(case_text), ()) if options.anonymised else carried_with(case_text, options.files_folder)
    )
    attached = case_bytes(to_attach)
    final = identity is not None
    built = build(check, case_text, kind, now, options, final=final, signer=identity, cancelled=cancelled)
    pdf = attach_files(attach_case(built.pdf, attached), files)
    if identity is not None:
        credential = "" if options.anonymised else check.case.job.credential or ""
        stamp = Stamp(built.author, built.report_id, credential)
        words = Particulars(stamping=options.stamping)
        pdf = sign_report(pdf, identity, stamp, now, reviewer=built.reviewer, particulars=words)
    sha256 = write_signed(path, pdf)
    return ExportedReport(path, sha256, built.report_id, identity is not None, hashlib.sha256(attached).hexdigest())


def report_number(case_text: CaseText, kind: ReportKind, now: datetime) -> str:
    """A number for a report, from its day and from case, kind and time: the same report has the same number."""
    moment = now.astimezone(UTC)
    digest = hashlib.sha256(case_bytes(case_text) + f"{kind.value} {moment.isoformat()}".encode()).hexdigest()
    return f"{moment:%Y%m%d}-{digest[:8].upper()}"


def _named_briefly(check: Check) -> Check:
    """The check with names of duties that fit a table's head; the case that is attached keeps them whole."""
    return replace(check, duties=tuple(replace(duty, name=cut(duty.name, LONGEST_NAME)) for duty in check.duties))


def _running(order: Order, page_size: tuple[float, float]) -> RunningLines:
    job = order.check.case.job
    usual = USUAL_TITLES[order.kind]
    title = " – ".join(part for part in (job.title or usual, job.vehicle) if part)
    left = f"Work order {job.work_order}" if job.work_order else (job.title or usual)
    moment = order.now.astimezone(UTC)
    return RunningLines(
        title=title,
        left=left,
        right=" · ".join(p for p in (job.vehicle, job.registration) if p),
        footer=f"Heatdocket report {order.report_id}",
        draft=not order.final,
        page_size=page_size,
        subject=f"{SUBJECT}{order.report_id}",
        author=order.signer.name if order.signer else job.prepared_by or "",
        creation=(moment.year, moment.month, moment.day, moment.hour, moment.minute, moment.second),
    )
