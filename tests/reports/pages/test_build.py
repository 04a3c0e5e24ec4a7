"""What a report says and how the file is made, read by pdfium, qpdf (pikepdf) and poppler: programs of others."""

from __future__ import annotations

import hashlib
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from poppler import pdfsig

from engcalc.case.file import case_bytes
from engcalc.errors import FileFault, InputError
from engcalc.system.state import Status
from engcalc.units import UnitSystem, show
from engcalc.verdict import Verdict
from engcalc.words.answer.reasons import duty_sentence, verdict_label
from engcalc.words.answer.results import RESULTS, result_name
from engcalc.words.lesson.bench_words import BENCH_CAUTIONS
from engcalc.words.page.cautions import ALL as ALL_CAUTIONS
from reports.anonymous import anonymous
from reports.build import Options, build, export_report, report_number
from reports.identity import Identity
from reports.kinds import Annex, ReportKind
from reports.layout import FOOTER, HEADER, MARGIN
from reports.pages.sizing import ELSEWHERE, OF_A_VEHICLE
from reports.verification import VerifyAnswer
from reports.verifying import verify_report

EXAMPLES = ("van-no-heat", "track-day-car", "bench-exchanger", "tow-and-track", "repaired")
EVERY = [
    (name, kind, system)
    for name in EXAMPLES
    for kind in ReportKind
    for system in UnitSystem
    if system is UnitSystem.SI or name == "tow-and-track"
]
Reports = Callable[..., bytes]
Texts = Callable[[bytes], list[str]]
FULL = Options(annex=Annex.FULL)
EDGE = 0.51  # pt; pdfium's boxes of letters are rounded outwards
ACROSS = 100.0  # pt; the word across a draft is set larger, and reaches over the frame


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


# ---- what it says ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("name", ["track-day-car", "tow-and-track", "bench-exchanger"])
def test_the_operating_points_are_the_check_s_numbers(
    name: str, system: UnitSystem, report: Reports, page_texts: Texts, example: Any
) -> None:
    """Every number of the check, as the units module shows it, stands on the page in the row of its label."""
    text = " ".join(page_texts(report(name, ReportKind.SIZING, system)))
    found = 0
    duties = example(name).check.duties
    elsewhere = {*ELSEWHERE, "energy_residual_W"}
    bench = not example(name).check.plant.engine.present
    if bench:
        elsewhere |= set(OF_A_VEHICLE)
    for row in RESULTS:
        if row.key in elsewhere:
            continue
        values = [row.getter(duty) for duty in duties]
        shown = [show(v, row.kind, system) for v in values if v is not None and abs(v) > 1e-3]
        rows = [m.group() for m in re.finditer(re.escape(result_name(row, bench=bench)) + r".{0,150}", text)]
        for number in shown:
            printed = number.replace("m3", "m³").replace("m2", "m²")
            assert any(printed in r for r in rows), (row.key, number)
            found += 1
    assert found > 20 * len(duties) / 2


@pytest.mark.parametrize("name", ["track-day-car", "tow-and-track"])
def test_each_duty_has_its_verdict_and_sentence(name: str, report: Reports, page_texts: Texts, example: Any) -> None:
    text = squeezed(" ".join(page_texts(report(name, ReportKind.SIZING))))
    for duty in example(name).check.duties:
        sentence = duty_sentence(duty, UnitSystem.SI).removeprefix(f"{duty.name}: ")
        assert squeezed(f"{duty.name} {verdict_label(duty.verdict)} {sentence[:1].upper()}{sentence[1:]}") in text


def test_a_duty_without_an_answer_shows_no_numbers_of_its_own(
    subject_from: Any, moment: datetime, page_texts: Texts
) -> None:
    """Where nothing settles, the solver's numbers are those at boiling: pictures say so, tables leave them out."""
    one = subject_from(
        {
            "format": "heatdocket-case/1",
            "radiator": {"blocked_face": "85 %"},
            "duties": [
                {"name": "Idle"},
                {"name": "Climb", "vehicle_speed": "90 km/h", "grade": "8 %", "ambient": "38 degC"},
            ],
        }
    )
    climb = one.check.duties[1]
    assert climb.status is Status.BOILS
    text = " ".join(page_texts(build(one.check, one.text, ReportKind.SIZING, moment).pdf))
    assert "the coolant does not settle below its boiling point" in text
    assert squeezed("find no way out there") in squeezed(text)
    tables = text.split("What limits it")[0]
    for number in (climb.point.heat_to_metal, climb.point.fuel_power):
        assert show(float(number[0]), "heat rate", UnitSystem.SI) not in tables


def test_page_one_of_the_customer_s_report(report: Reports, page_texts: Texts, example: Any) -> None:
    first, second, *_ = page_texts(report("repaired", ReportKind.CUSTOMER))
    job = example("repaired").check.case.job
    for said in (
        job.vehicle,
        job.registration,
        job.odometer,
        job.work_order,
        job.shop,
        job.shop_contact,
        job.customer,
        f"“{job.complaint}”",
        "So far it runs as a healthy vehicle does. The repair is not proven yet.",
    ):
        assert said in first
    assert job.work_done in second
    assert "38.5 °C after 58 min 86 °C after 25 min" in second, "the latest reading before, and after"
    assert "Air from the vents" not in second, "it was not measured after"
    assert re.search(r"Of healthy vehicles of this kind, under 1 in 20 would read as low as before the repair", first)
    assert not re.search(r"\d\.\d", first), "no decimals that nobody measured"


@pytest.mark.parametrize("word", ["NTU", "effectiveness", "Reynolds", "None", "nan", "not known", "unknown", "J/(kg"])
@pytest.mark.parametrize("name", ["van-no-heat", "repaired"])
def test_page_one_speaks_plainly(name: str, word: str, report: Reports, page_texts: Texts) -> None:
    assert word not in page_texts(report(name, ReportKind.CUSTOMER))[0]


def test_rows_that_say_nothing_are_left_out(subject_from: Any, moment: datetime, page_texts: Texts) -> None:
    bare = subject_from({"format": "heatdocket-case/1", "vehicle": {"class": "small car"}})
    text = page_texts(build(bare.check, bare.text, ReportKind.CUSTOMER, moment).pdf)
    for label in (
        "Registration",
        "Odometer",
        "Customer",
        "Contact",
        "What you told us",
        "What was done",
        "What changed",
    ):
        assert label not in text[0]
    assert "What we measured and saw" not in " ".join(text)


def test_readings_stand_beside_what_a_healthy_vehicle_shows(report: Reports, page_texts: Texts, example: Any) -> None:
    text = " ".join(page_texts(report("repaired", ReportKind.CUSTOMER)))
    check = example("repaired").check
    reading = next(r for r in (*check.history, *check.readings) if r.as_read == pytest.approx(273.15 + 38.5))
    low, high = (f"{t - 273.15:.0f} °C" for t in (reading.expected_low, reading.expected_high))
    assert f"38.5 °C scan tool {low} to {high} (nine in ten)" in text
    for said in (
        "P0128",
        "The upper radiator hose warms while the engine is still cold yes",
        "The coolant level is low no",
        "How it ran vehicle speed 90 km/h",
    ):
        assert said in text


@pytest.mark.parametrize(("name", "kind"), [(n, k) for n in EXAMPLES for k in ReportKind])
def test_every_report_ends_with_what_it_rests_on(
    name: str, kind: ReportKind, report: Reports, page_texts: Texts, example: Any
) -> None:
    text = " ".join(page_texts(report(name, kind)))
    document = pypdfium2.PdfDocument(report(name, kind))
    headings = [e.get_title() for e in document.get_toc() if e.level == 0]
    document.close()
    ends = ["Inputs and where they come from", "Assumptions", "Uncertainty", "Sources", "Cautions"]
    signed = [] if kind is ReportKind.CUSTOMER else ["Signature"]  # a customer's stands on page two
    assert headings[-len(ends + signed) :] == [*ends, *signed]
    tight = squeezed(text)
    of_vehicles = [caution.text for caution in ALL_CAUTIONS]
    for caution in of_vehicles if example(name).check.plant.engine.present else BENCH_CAUTIONS:
        assert squeezed(caution) in tight
    for path, given in example(name).check.case.given.items():
        if given.typed and path.split(".")[0].split("[")[0] not in ("job", "duties", "evidence", "rig"):
            assert squeezed(given.text.replace("degC", "°C").replace("m2", "m²").replace("m3", "m³")) in tight, path


def test_a_typed_unit_stays_and_the_system_s_stands_beside_it(
    subject_from: Any, moment: datetime, page_texts: Texts
) -> None:
    """1 hp = 745.7 W and 1 in = 25.4 mm by definition: 165 kW are 221 hp, 420 mm are 16.5 in."""
    one = subject_from(
        {
            "format": "heatdocket-case/1",
            "engine": {"rated_power": "165 kW"},
            "radiator": {"core_height": "420 mm", "fin_pitch": "18 /in"},
        },
        members=0,
    )
    text = " ".join(page_texts(build(one.check, one.text, ReportKind.SIZING, moment, Options(UnitSystem.US)).pdf))
    assert "165 kW (221 hp)" in text
    assert "420 mm (16.5 in)" in text
    assert "18 /in" in text
    assert "18 /in (" not in text, "it is shown so already"


def test_the_hot_climb_is_explained_with_three_changes(report: Reports, page_texts: Texts) -> None:
    text = " ".join(page_texts(report("tow-and-track", ReportKind.SIZING)))
    assert "What limits it: Climb with trailer" in text
    assert "the radiator's conductance has to be" in text
    assert text.count("not enough alone") + text.count("holds with the margin wanted") >= 3


# ---- how the file is made --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "kind", "system"), EVERY)
def test_no_letter_lies_outside_the_frame(name: str, kind: ReportKind, system: UnitSystem, report: Reports) -> None:
    """In a draft, whose running foot is the longer one."""
    document = pypdfium2.PdfDocument(report(name, kind, system))
    letters = 0
    for page in document:
        width, height = page.get_size()
        footer = page.get_textpage().get_text_bounded(width - MARGIN - 3.0, MARGIN - 2.0, width, MARGIN + 8.0)
        assert footer.strip(), "the number of pages ends at the margin"
        text = page.get_textpage()
        for i in range(text.count_chars()):
            left, bottom, right, top = text.get_charbox(i)
            if right - left <= 0.0 or pypdfium2.raw.FPDFText_GetFontSize(text, i) > ACROSS:
                continue
            letters += 1
            assert left >= MARGIN - EDGE
            assert right <= width - MARGIN + EDGE
            assert bottom >= MARGIN - 4.0
            assert top <= height - MARGIN + EDGE
    document.close()
    assert letters > 1000


@pytest.mark.parametrize(("name", "kind", "system"), EVERY)
def test_pages_are_numbered_and_named(
    name: str, kind: ReportKind, system: UnitSystem, report: Reports, page_texts: Texts, example: Any
) -> None:
    pages = page_texts(report(name, kind, system))
    order = example(name).check.case.job.work_order
    for number, text in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
        assert text.count("DRAFT") >= 2, "across the page and in the footer"
        if order:
            assert f"Work order {order}" in text


@pytest.mark.parametrize("kind", ReportKind)
def test_a_final_report_is_no_draft(kind: ReportKind, report: Reports, page_texts: Texts) -> None:
    final = page_texts(report("tow-and-track", kind, UnitSystem.SI, True))
    assert len(final) == len(page_texts(report("tow-and-track", kind)))
    assert not any("DRAFT" in text for text in final)


@pytest.mark.parametrize(("name", "kind"), [("van-no-heat", ReportKind.CUSTOMER), ("tow-and-track", ReportKind.SIZING)])
def test_the_outline_leads_to_its_headings(name: str, kind: ReportKind, report: Reports, page_texts: Texts) -> None:
    pdf = report(name, kind)
    pages = page_texts(pdf)
    document = pypdfium2.PdfDocument(pdf)
    entries = list(document.get_toc())
    assert len(entries) > 8
    for entry in entries:
        place = entry.get_dest()
        assert squeezed(entry.get_title()) in squeezed(pages[place.get_index()])
    titles = [entry.get_title() for entry in entries]
    assert titles[-1] == ("Cautions" if kind is ReportKind.CUSTOMER else "Signature")
    document.close()


def _fonts(node: Any, seen: set[Any]) -> Iterator[pikepdf.Object]:
    """Every font that a page or form names, forms within forms included."""
    resources = node.get("/Resources")
    if resources is None:
        return
    yield from resources.get("/Font", pikepdf.Dictionary()).values()
    for form in resources.get("/XObject", pikepdf.Dictionary()).values():
        if form.objgen not in seen:
            seen.add(form.objgen)
            yield from _fonts(form, seen)


@pytest.mark.parametrize(("name", "kind"), [(n, k) for n in EXAMPLES for k in ReportKind])
def test_every_font_is_embedded_and_the_file_is_sound(
    name: str, kind: ReportKind, report: Reports, tmp_path: Path
) -> None:
    path = tmp_path / "report.pdf"
    path.write_bytes(report(name, kind))
    with pikepdf.open(path) as pdf:
        assert pdf.check_pdf_syntax() == []
        fonts = [font for page in pdf.pages for font in _fonts(page.obj, set())]
        assert fonts
        assert all("/FontFile2" in font.FontDescriptor for font in fonts)
        assert {str(font.BaseFont).split("+")[1] for font in fonts} == {"DejaVuSans", "DejaVuSans-Bold"}


def test_the_file_says_what_it_is(report: Reports, moment: datetime) -> None:
    """ISO 32000-2: version 2.0, language, shown title, XMP metadata, tagged content; dated by the time handed in."""
    with pikepdf.open(pypdfium2_bytes(report("van-no-heat", ReportKind.CUSTOMER))) as pdf:
        assert pdf.pdf_version == "2.0"
        assert str(pdf.Root.Lang) == "en"
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        assert bool(pdf.Root.MarkInfo.Marked)
        assert str(pdf.Root.PageMode) == "/UseOutlines"
        assert str(pdf.docinfo["/Title"]) == "Delivery van, no heat in frost – Delivery van, 2.2 litre diesel"
        assert str(pdf.docinfo["/CreationDate"]).startswith(f"D:{moment:%Y%m%d%H%M%S}")
        meta = pdf.open_metadata()
        assert meta["dc:title"] == str(pdf.docinfo["/Title"])
        assert meta["xmp:CreateDate"] == f"{moment:%Y-%m-%dT%H:%M:%SZ}"


def pypdfium2_bytes(pdf: bytes) -> Any:
    from io import BytesIO

    return BytesIO(pdf)


def test_content_is_tagged_in_reading_order(report: Reports) -> None:
    """Headings, tables with heads, pictures with words in their place; every mark has its element."""
    with pikepdf.open(pypdfium2_bytes(report("track-day-car", ReportKind.SIZING))) as pdf:
        root = pdf.Root.StructTreeRoot
        roles: list[str] = []
        alternatives: list[str] = []
        _walk(root.K, roles, alternatives)
        heads = [one for one in pdf.objects if isinstance(one, pikepdf.Dictionary) and one.get("/S") == "/TH"]
        assert {str(one.A.Scope) for one in heads} == {"/Column", "/Row"}
        assert roles[0] == "/Document"
        assert roles[1] == "/H1"
        assert {"/H2", "/H3", "/P", "/Table", "/TR", "/TH", "/TD", "/Figure", "/Formula"} <= set(roles)
        assert roles.count("/Figure") + roles.count("/Formula") == len(alternatives)
        assert all(alternatives)
        numbers = root.ParentTree.Nums
        for index, page in enumerate(pdf.pages):
            assert int(page.obj.StructParents) == index
            marks = re.findall(rb"/MCID (\d+)>> BDC", page.Contents.read_bytes())
            assert [int(m) for m in marks] == list(range(len(numbers[2 * index + 1])))


def _walk(node: Any, roles: list[str], alternatives: list[str]) -> None:
    if isinstance(node, pikepdf.Array):
        for kid in node:
            _walk(kid, roles, alternatives)
    elif isinstance(node, pikepdf.Dictionary) and node.get("/Type") == "/StructElem":
        roles.append(str(node.S))
        if "/Alt" in node:
            alternatives.append(str(node.Alt))
        _walk(node.K, roles, alternatives)


def test_marks_are_balanced_and_everything_drawn_is_marked(report: Reports) -> None:
    """Each page's text stands within marked content: a paragraph of the tree, or an artifact."""
    with pikepdf.open(pypdfium2_bytes(report("repaired", ReportKind.CUSTOMER))) as pdf:
        for page in pdf.pages:
            depth = 0
            for operands, operator in pikepdf.parse_content_stream(page):
                del operands
                if str(operator) in ("BDC", "BMC"):
                    depth += 1
                elif str(operator) == "EMC":
                    depth -= 1
                elif str(operator) in ("Tj", "TJ", "'"):
                    assert depth >= 1
            assert depth == 0


@pytest.mark.parametrize("kind", ReportKind)
def test_the_same_input_and_time_give_the_same_bytes(
    kind: ReportKind, report: Reports, example: Any, moment: datetime
) -> None:
    one = example("track-day-car")
    assert build(one.check, one.text, kind, moment, FULL).pdf == report("track-day-car", kind)


def test_a_second_later_it_is_another_file(report: Reports, example: Any, moment: datetime) -> None:
    one = example("van-no-heat")
    later = build(one.check, one.text, ReportKind.CUSTOMER, moment + timedelta(seconds=1)).pdf
    assert later != report("van-no-heat", ReportKind.CUSTOMER)


VAN = Path(__file__).resolve().parents[3] / "worked_examples" / "van-no-heat.heatcase.json"


def test_another_process_gives_the_same_bytes(report: Reports) -> None:
    """Another hash seed orders sets and dictionaries otherwise; nothing on the page may hang on that."""
    program = (
        "import hashlib\nfrom datetime import UTC, datetime\nfrom pathlib import Path\n"
        "from engcalc.case.file import read_case\nfrom engcalc.case.resolve import resolve\n"
        "from engcalc.diagnosis.whole_check import check_with_records\nfrom reports.build import Options, build\n"
        "from reports.kinds import Annex, ReportKind\n"
        f"text, now = read_case(Path({str(VAN)!r})), datetime(2026, 3, 2, 9, 30, tzinfo=UTC)\n"
        "check = check_with_records(resolve(text), {}, members=20).check\n"
        "pdf = build(check, text, ReportKind.CUSTOMER, now, Options(annex=Annex.FULL)).pdf\n"
        "print(hashlib.sha256(pdf).hexdigest())\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
        cwd=Path(__file__).parents[3],
        env={"PYTHONHASHSEED": "77", "PATH": "/usr/bin:/bin"},
    )
    assert done.stdout.strip() == hashlib.sha256(report("van-no-heat", ReportKind.CUSTOMER)).hexdigest()


def test_a_time_without_its_zone_is_refused(example: Any) -> None:
    one = example("van-no-heat")
    with pytest.raises(InputError, match="time zone"):
        build(one.check, one.text, ReportKind.CUSTOMER, datetime(2026, 3, 2, 9, 30))


# ---- signed and on disk ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "kind"), [("van-no-heat", ReportKind.CUSTOMER), ("tow-and-track", ReportKind.SIZING)])
def test_exported_signed_and_verified_by_poppler(
    name: str, kind: ReportKind, example: Any, author: Identity, moment: datetime, tmp_path: Path, page_texts: Texts
) -> None:
    one, path = example(name), tmp_path / "report.pdf"
    made = export_report(one.check, one.text, kind, path, now=moment, identity=author)
    data = path.read_bytes()
    assert made.sha256 == hashlib.sha256(data).hexdigest()
    found = verify_report(data)
    assert found.outcome is VerifyAnswer.PASSED
    assert verify_report(data).case_bytes == case_bytes(one.text)
    assert hashlib.sha256(verify_report(data).case_bytes).hexdigest() == made.case_sha256
    told = pdfsig(path)
    assert "Signature is Valid" in told
    assert "Total document signed" in told
    pages = page_texts(data)
    assert not any("DRAFT" in page for page in pages)
    signed = pages[1] if kind is ReportKind.CUSTOMER else pages[-1]
    assert squeezed(author.fingerprint) in squeezed(signed)
    assert "not vouched for by others" in signed
    assert made.report_id in signed


def test_the_attached_case_is_byte_for_byte_the_case(example: Any, moment: datetime, tmp_path: Path) -> None:
    """Read by qpdf; a draft carries it as well."""
    one, path = example("bench-exchanger"), tmp_path / "draft.pdf"
    made = export_report(one.check, one.text, ReportKind.SIZING, path, now=moment)
    assert not made.signed
    with pikepdf.open(path) as pdf:
        assert pdf.attachments["case.heatcase.json"].get_file().read_bytes() == case_bytes(one.text)


def test_the_signature_s_boxes_are_where_the_frames_are_drawn(
    example: Any, author: Identity, moment: datetime, tmp_path: Path
) -> None:
    one, path = example("van-no-heat"), tmp_path / "report.pdf"
    built = build(one.check, one.text, ReportKind.CUSTOMER, moment, final=True, signer=author)
    export_report(one.check, one.text, ReportKind.CUSTOMER, path, now=moment, identity=author)
    with pikepdf.open(path) as pdf:
        second = pdf.pages[1]
        boxes = {str(a.T): [float(x) for x in a.Rect] for a in second.obj.Annots}
        width, height = (float(x) for x in second.mediabox[2:])
    assert built.author.page == built.reviewer.page == 1
    for name, place in (("Author", built.author), ("Reviewer", built.reviewer)):
        assert boxes[name] == [round(x) for x in place.box]
        left, bottom, right, top = place.box
        assert MARGIN - 1 <= left < right <= width - MARGIN + 1
        assert MARGIN + FOOTER - 1 <= bottom < top <= height - MARGIN - HEADER


def test_what_stood_there_stays_when_it_cannot_be_written(example: Any, moment: datetime, tmp_path: Path) -> None:
    one = example("van-no-heat")
    with pytest.raises(FileFault, match="cannot be written"):
        export_report(one.check, one.text, ReportKind.CUSTOMER, tmp_path / "no" / "such.pdf", now=moment)
    assert list(tmp_path.iterdir()) == []


def test_an_anonymised_report_names_nobody(
    example: Any, author: Identity, moment: datetime, tmp_path: Path, page_texts: Texts
) -> None:
    one, path = example("repaired"), tmp_path / "report.pdf"
    export_report(
        one.check, one.text, ReportKind.CUSTOMER, path, now=moment, identity=author, options=Options(anonymised=True)
    )
    carried = verify_report(path.read_bytes()).case_bytes.decode()
    text = " ".join(page_texts(path.read_bytes()))
    for said in ("Märtens", "AB 12 CDE", "WO-2031", "Northgate", "12 Mill Lane"):
        assert said not in carried
        assert said not in text
    assert one.check.case.job.complaint in carried
    assert anonymous(one.text).get("thermostat.minimum_opening") == "4 %"


def test_the_number_hangs_on_case_kind_and_time(example: Any, moment: datetime) -> None:
    van, track = example("van-no-heat"), example("track-day-car")
    numbers = {
        report_number(one.text, kind, at)
        for one in (van, track)
        for kind in ReportKind
        for at in (moment, moment + timedelta(minutes=1))
    }
    assert len(numbers) == 2 * len(ReportKind) * 2
    assert all(re.fullmatch(r"20260302-[0-9A-F]{8}", number) for number in numbers)


def test_each_verdict_has_its_words(subject_from: Any, moment: datetime, page_texts: Texts) -> None:
    """A vehicle for each verdict, and one without an answer."""
    duty = {"name": "Hill", "vehicle_speed": "90 km/h", "grade": "8 %", "ambient": "38 degC"}
    trees: dict[Verdict | None, dict[str, Any]] = {
        Verdict.HOLDS: {"duties": [{"name": "Idle"}]},
        Verdict.UNDERSIZED: {"duties": [duty], "radiator": {"blocked_face": "70 %"}},
        Verdict.MARGINAL: {"duties": [{**duty, "ambient": "20 degC"}], "limits": {"margin": "40 K"}},
        None: {
            "duties": [{"name": "Pump off", "coolant_flow": "0 L/min"}],
            "circuit": {"pump_flow": "0 L/min", "heater_flow": "0 L/min"},
        },
    }
    words = {
        Verdict.HOLDS: "holds its temperature",
        Verdict.UNDERSIZED: "runs too hot",
        Verdict.MARGINAL: "only just",
        None: "no answer for this vehicle",
    }
    for verdict, tree in trees.items():
        one = subject_from({"format": "heatdocket-case/1", **tree})
        assert one.check.verdict is verdict
        assert words[verdict] in page_texts(build(one.check, one.text, ReportKind.CUSTOMER, moment).pdf)[0]
        if verdict is None:
            assert "No answer" in page_texts(build(one.check, one.text, ReportKind.SIZING, moment).pdf)[0]


def test_a_signed_report_of_six_pages_or_more(
    benchmark: Any, example: Any, author: Identity, moment: datetime, tmp_path: Path
) -> None:
    """A benchmark, not a timed test (aim: 2 s)."""
    one, path = example("van-no-heat"), tmp_path / "report.pdf"
    benchmark(
        lambda: export_report(one.check, one.text, ReportKind.CUSTOMER, path, now=moment, identity=author, options=FULL)
    )
    assert len(pypdfium2.PdfDocument(path)) >= 6


RIG: dict[str, Any] = {
    "format": "heatdocket-case/1",
    "job": {"reason": "lesson"},
    "vehicle": {"class": "bench rig"},
    "coolant": {"base": "water", "concentration": "0 %"},
    "radiator": {"core_height": "300 mm", "core_width": "350 mm", "core_depth": "32 mm"},
    "rig": [
        {"hot_flow": "12 L/min", "hot_in": "80 degC", "hot_out": "70.2 degC"}
        | {"cold_flow": "1000 m3/h", "cold_in": "22 degC", "cold_out": "47.3 degC"}
    ],
}


def test_a_measured_point_stands_on_paper_as_it_was_entered(
    subject_from: Any, moment: datetime, page_texts: Texts
) -> None:
    rig = subject_from(RIG)
    text = squeezed(" ".join(page_texts(build(rig.check, rig.text, ReportKind.SIZING, moment).pdf)))
    assert (
        squeezed(
            "Point 1 as entered: hot flow 12 L/min, hot side in 80 °C, hot side out 70.2 °C, cold flow 1000 m³/h, "
            "cold side in 22 °C, cold side out 47.3 °C."
        )
        in text
    )


def test_where_measured_points_decide_nothing_is_offered_against_heat(
    subject_from: Any, moment: datetime, page_texts: Texts
) -> None:
    rig = subject_from(RIG)
    assert rig.check.verdict is Verdict.MARGINAL
    text = squeezed(" ".join(page_texts(build(rig.check, rig.text, ReportKind.SIZING, moment).pdf)))
    assert squeezed("What would mend it") not in text


def test_the_assumptions_say_that_a_trailer_drags(report: Reports, page_texts: Texts) -> None:
    text = squeezed(" ".join(page_texts(report("tow-and-track", ReportKind.SIZING))))
    assert squeezed("and drag with its own frontal area and drag coefficient") in text
    assert squeezed("no drag of its own") not in text
