"""The slip on paper: one page, true to scale, and a code that leads the counter to the job."""

import ctypes
from datetime import timedelta
from io import BytesIO
from urllib.parse import urlsplit

import numpy
import pikepdf
import pypdfium2
import pytest
import zxingcpp
from django.utils import timezone

from jobs.models import Job
from tests.factories import make_job
from tests.journeys.booking import EMAIL, open_by_mail

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PAPERS_PT = {"a4": (595, 842), "letter": (612, 792)}
DPI = 150
MM_IN_PT = 72 / 25.4


@pytest.fixture
def customer(shop, come_in):
    """Return a customer with a unit that may be posted, let in by the mailed link."""
    make_job(stage="posted", now=timezone.now() - timedelta(days=9))
    visitor = come_in(shop)
    open_by_mail(visitor, email=EMAIL)
    return visitor


def as_download(customer, paper):
    answer = customer.page.request.get(
        f"{customer.site}/job/{Job.objects.get().number}/slip.pdf?paper={paper}"
    )
    assert answer.headers["content-type"] == "application/pdf"
    return answer.body()


def as_printed(customer, paper):
    customer.visit(f"/job/{Job.objects.get().number}/slip/")
    return customer.page.pdf(format=paper.upper() if paper == "a4" else "Letter")


ways = pytest.mark.parametrize(
    "make", [as_download, as_printed], ids=["downloaded", "printed by the browser"]
)
papers = pytest.mark.parametrize("paper", PAPERS_PT)


@ways
@papers
def test_it_is_one_page_whose_code_leads_to_the_job(customer, sign_in, make, paper):
    document = make(customer, paper)
    with pikepdf.open(BytesIO(document)) as pdf:
        assert len(pdf.pages) == 1
        box = pdf.pages[0].mediabox
        assert (float(box[2]), float(box[3])) == pytest.approx(PAPERS_PT[paper], abs=1.5)
    (code,) = zxingcpp.read_barcodes(raster(document))
    assert code.text == code.text.upper()
    assert code.text == f"{customer.site}/W/{Job.objects.get().number}".upper()

    worker = sign_in(customer.site, name="Tobin Ashgrove", role="workshop")
    for path in (urlsplit(code.text).path, urlsplit(code.text).path.lower()):
        worker.visit(path)
        assert urlsplit(worker.page.url).path == f"/workshop/jobs/{Job.objects.get().number}/"


@ways
@papers
def test_its_ruler_is_true(customer, make, paper):
    # Lines of the page's own drawing, read back from the PDF: the ruler says 100 mm and 4 in.
    lengths_mm = horizontal_lines_mm(make(customer, paper))
    for true_mm in (100.0, 101.6):
        assert any(abs(length_mm - true_mm) <= true_mm / 100 for length_mm in lengths_mm), sorted(lengths_mm)


@papers
def test_the_download_is_tagged_with_its_language_and_title(customer, paper):
    with pikepdf.open(BytesIO(as_download(customer, paper))) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert "/StructTreeRoot" in pdf.Root
        assert str(pdf.Root.Lang).startswith("en")
        with pdf.open_metadata() as metadata:
            assert Job.objects.get().number[:3] in str(metadata["dc:title"])


def raster(document):
    """Return the page as grey dots, as a printer of 150 dots to the inch would set them."""
    page = pypdfium2.PdfDocument(document)[0]
    return numpy.asarray(page.render(scale=DPI / 72).to_pil().convert("L"))


def horizontal_lines_mm(document):
    """Return the width of every drawn path on the page."""
    page = pypdfium2.PdfDocument(document)[0]
    widths = []
    for item in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=8):
        left, bottom, right, top = (ctypes.c_float() for _ in range(4))
        pypdfium2.raw.FPDFPageObj_GetBounds(item, left, bottom, right, top)
        widths.append((right.value - left.value) / MM_IN_PT)
    return widths
