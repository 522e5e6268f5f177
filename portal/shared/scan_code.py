"""How does a job's address become a code that the counter's scanner reads?"""

from io import BytesIO

import segno
from django.conf import settings
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

MODULE_MM = 0.9
QUIET_MODULES = 4


def scan_address(number: str) -> str:
    """Return the workshop page's address in capitals, which a QR code holds in fewer modules."""
    return f"{settings.SITE_URL}/W/{number}".upper()


def qr_svg(text: str) -> SafeString:
    """Return a QR code as SVG: level Q, 4 quiet modules, 0.9 mm a module, always on white."""
    code = segno.make(text, error="q", micro=False, boost_error=False)
    out = BytesIO()
    code.save(
        out,
        kind="svg",
        scale=MODULE_MM,
        unit="mm",
        border=QUIET_MODULES,
        dark="#000",
        light="#fff",
        xmldecl=False,
        svgns=True,
        nl=False,
        title=_("Code for the shop's scanner"),
        svgclass="qr-code",
        lineclass=None,
    )
    return SafeString(out.getvalue().decode())
