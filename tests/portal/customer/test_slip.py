"""The slip: one page on both papers, a code that scans, and everything a box without a label needs."""

from datetime import timedelta
from io import BytesIO

import numpy
import pikepdf
import pytest
import segno
import zxingcpp
from django.utils import timezone

from jobs.models import StepTick
from portal.shared.scan_code import MODULE_MM, QUIET_MODULES, qr_svg, scan_address
from tests.factories import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def posted(shop, let_in):
    job = make_job(stage="posted", now=timezone.now() - timedelta(days=9))
    return job, let_in(job)


def test_the_slip_names_job_customer_contents_and_times(posted):
    job, browser = posted
    page = browser.get(f"/job/{job.number}/slip/").content.decode()
    for said in (
        f"{job.number[:3]}\u00a0{job.number[3:6]}-{job.number[6]}",
        "Ada Thornby",
        "ada@example.com",
        "Used carburettor, drained and aired, no fuel",
        "4 Ropewalk",
        "Europe/London time",
        "100 mm",
        "To be inside",
        "What the list says to take off and keep",
    ):
        assert said in page


def test_the_slip_states_what_the_list_asks_and_what_was_ticked(posted):
    job, browser = posted
    steps = [item for item in job.strip_list["items"] if item["action"] in ("take_off", "send_along")]
    assert len(steps) >= 2
    page = browser.get(f"/job/{job.number}/slip/").content.decode()
    assert f"ticked as done by the sender: 0 of {len(steps)}." in page
    StepTick.objects.create(job=job, step=f"strip-{steps[0]['slug']}", ticked_at=timezone.now())
    page = browser.get(f"/job/{job.number}/slip/").content.decode()
    assert f"ticked as done by the sender: 1 of {len(steps)}." in page


def test_the_slip_says_nothing_of_a_drawing(posted):
    job, browser = posted
    page = browser.get(f"/job/{job.number}/slip/").content.decode()
    assert "Lay a ruler on these lines" in page
    assert "drawing" not in page


def test_the_address_in_the_code_is_in_capitals(posted):
    job, _browser = posted
    assert scan_address(job.number) == f"HTTP://TESTSERVER/W/{job.number}"


def test_the_code_is_printed_large_enough_and_read_by_another_decoder(posted):
    job, browser = posted
    address = scan_address(job.number)
    svg = str(qr_svg(address))
    assert svg in browser.get(f"/job/{job.number}/slip/").content.decode()
    # 0.8 mm a module is our own bar for paper handled in a workshop; no published source.
    assert MODULE_MM >= 0.8
    # ISO/IEC 18004 asks for a quiet zone of 4 modules.
    assert QUIET_MODULES == 4
    code = segno.make(address, error="q", micro=False, boost_error=False)
    side_mm = code.symbol_size(border=QUIET_MODULES)[0] * MODULE_MM
    assert f'width="{side_mm:g}mm"' in svg
    assert code.error == "Q"
    rows = numpy.array(
        [[0 if dark else 255 for dark in row] for row in code.matrix_iter(scale=6, border=4)],
        dtype=numpy.uint8,
    )
    assert [found.text for found in zxingcpp.read_barcodes(rows)] == [address]


@pytest.mark.parametrize(("paper", "size_pt"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_the_pdf_is_one_tagged_page_on_either_paper(posted, paper, size_pt):
    job, browser = posted
    answer = browser.get(f"/job/{job.number}/slip.pdf?paper={paper}")
    assert answer.headers["Content-Type"] == "application/pdf"
    with pikepdf.open(BytesIO(answer.content)) as document:
        assert len(document.pages) == 1
        box = document.pages[0].mediabox
        assert (round(float(box[2])), round(float(box[3]))) == size_pt
        assert document.Root.MarkInfo.Marked
        assert str(document.Root.Lang).startswith("en")
        with document.open_metadata() as metadata:
            assert "Slip of job" in str(metadata["dc:title"])


def test_the_pdf_is_styled_by_whatever_name_the_site_is_reached(posted, settings):
    job, browser = posted
    settings.ALLOWED_HOSTS = ["testserver", "workbench.local"]
    sizes = set()
    for host in ("testserver", "workbench.local"):
        answer = browser.get(f"/job/{job.number}/slip.pdf", headers={"host": host})
        with pikepdf.open(BytesIO(answer.content)) as document:
            fonts = document.pages[0].Resources.Font
            sizes.add((len(document.pages), tuple(sorted(str(font.BaseFont)[7:] for font in fonts.values()))))
    assert len(sizes) == 1


def test_long_words_stay_on_one_page(shop, let_in):
    job = make_job(
        stage="posted",
        now=timezone.now() - timedelta(days=9),
        name="Wilhelmina Featherstonehaugh-Cholmondeley of the Long Quay Boatyard",
        address_lines=(
            "The Old Engine House behind the Ropewalk\nUpper Tidemill Passage 117 to 119\n"
            "Nether Saltmere-by-the-Sea\nNorth Riding of the Fens"
        ),
        country="United Kingdom of Great Britain and Northern Ireland",
        number_as_read="KV4081B",
    )
    for paper in ("a4", "letter"):
        answer = let_in(job).get(f"/job/{job.number}/slip.pdf?paper={paper}")
        with pikepdf.open(BytesIO(answer.content)) as document:
            assert len(document.pages) == 1, paper
