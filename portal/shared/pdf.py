"""How does a print page become a PDF? By WeasyPrint, loaded only when one is wanted."""

import mimetypes
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from django.utils.translation import gettext as _

FONT_PACKAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"


class PdfUnavailable(Exception):
    """This machine cannot make a PDF; its text names what to install."""


class ForeignAddress(ValueError):
    """The page asks for something that is not one of the site's own static files."""


def pdf_from_html(html: str, *, base_url: str) -> bytes:
    """Return the page as a tagged PDF (PDF/UA-1) that a screen reader can follow.

    Only the site's own static files are read; an address anywhere else is left out of the page.

    Raises: PdfUnavailable when the text-drawing libraries of the system are missing.
    """
    try:
        import weasyprint  # noqa: PLC0415 - needs system libraries that may be missing
    except (ImportError, OSError) as missing:
        raise PdfUnavailable(
            _(
                "This machine cannot make PDF files yet: run `apt-get install %(packages)s` and start the "
                "site again. The page itself prints well from the browser."
            )
            % {"packages": FONT_PACKAGES}
        ) from missing

    class StaticFetcher(weasyprint.urls.URLFetcher):  # type: ignore[misc]
        """Opens the site's own static files and nothing else, so that no page makes the server fetch one."""

        def fetch(self, url: str, headers: Any = None) -> Any:
            del headers
            path = static_file(url)
            kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
            return weasyprint.urls.URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})

    page = weasyprint.HTML(string=html, base_url=base_url, url_fetcher=StaticFetcher())
    document: bytes = page.write_pdf(pdf_variant="pdf/ua-1")
    return document


def static_file(url: str) -> Path:
    """Return where the static file of this address lies.

    Raises: ForeignAddress when it is none.
    """
    parts = urlsplit(url)
    prefix = urlsplit(settings.STATIC_URL).path
    own_host = urlsplit(settings.SITE_URL).netloc
    if parts.scheme not in {"http", "https", ""} or parts.netloc not in {own_host, ""}:
        raise ForeignAddress("Only static files of the site may be drawn into a PDF.")
    if not parts.path.startswith(prefix):
        raise ForeignAddress("Only static files of the site may be drawn into a PDF.")
    name = unquote(parts.path.removeprefix(prefix))
    built = (Path(settings.STATIC_ROOT) / name).resolve()
    if built.is_relative_to(Path(settings.STATIC_ROOT).resolve()) and built.is_file():
        return built
    found = finders.find(name)
    if not isinstance(found, str):
        raise ForeignAddress("Only static files of the site may be drawn into a PDF.")
    return Path(found)
