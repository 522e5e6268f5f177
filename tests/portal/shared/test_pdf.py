"""PDF files are tagged, read only our own files, and say what is missing when they cannot be made."""

import io
import sys

import pikepdf
import pytest

from portal.shared.pdf import ForeignAddress, PdfUnavailable, pdf_from_html, static_file

PAGE = (
    '<!doctype html><html lang="en"><head><title>Slip</title></head><body><h1>Slip</h1>{more}</body></html>'
)


def need_pango():
    try:
        import weasyprint  # noqa: F401
    except (ImportError, OSError):
        pytest.skip(
            "No pango: run `apt-get install libpango-1.0-0 libpangoft2-1.0-0` to see PDF files tested."
        )


@pytest.mark.filterwarnings("default")
def test_a_pdf_is_tagged_and_marked_for_screen_readers():
    need_pango()
    made = pdf_from_html(PAGE.format(more="<p>Hello</p>"), base_url="http://testserver/")
    with pikepdf.open(io.BytesIO(made)) as document:
        assert document.Root.MarkInfo.Marked
        assert "/StructTreeRoot" in document.Root
        with document.open_metadata() as metadata:
            assert str(metadata["pdfuaid:part"]) == "1"  # ISO 14289-1


@pytest.mark.filterwarnings("default")
def test_a_picture_from_elsewhere_is_not_fetched(tmp_path):
    need_pango()
    secret = tmp_path / "secret.png"
    secret.write_bytes(b"not for printing")
    more = "".join(
        f'<img alt="" src="{address}">'
        for address in (f"file://{secret}", "http://192.0.2.1/x.png", "/etc/passwd")
    )
    assert pdf_from_html(PAGE.format(more=more), base_url="http://testserver/").startswith(b"%PDF")


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "http://192.0.2.1/static/style.css",
        "http://testserver/owner/",
        "http://testserver/static/../manage.py",
        "http://testserver/static/%2e%2e/manage.py",
        "ftp://testserver/static/style.css",
    ],
)
def test_only_our_own_static_files_are_read(address):
    with pytest.raises(Exception, match=r"static|joined path|outside") as refused:
        static_file(address)
    assert refused.type.__name__ in {ForeignAddress.__name__, "SuspiciousFileOperation"}


def test_our_own_static_files_are_found():
    assert static_file("http://testserver/static/style.css").name == "style.css"


def test_a_missing_library_is_named_in_one_line(monkeypatch):
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    with pytest.raises(PdfUnavailable, match="apt-get install libpango") as refused:
        pdf_from_html(PAGE.format(more=""), base_url="http://testserver/")
    assert "\n" not in str(refused.value)
