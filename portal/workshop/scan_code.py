"""How does a job's address become a code that the counter's scanner reads?"""

from dataclasses import dataclass

import segno
from django.conf import settings

QUIET_MODULES = 4
MODULE_MM = 0.9


@dataclass(frozen=True, slots=True)
class ScanCode:
    """A QR code as one path; `side` counts modules with the quiet zone, `side_mm` is its size on paper."""

    path: str
    side: int
    side_mm: float


def scan_address(number: str) -> str:
    """Return the job's address in capitals, which a code holds in fewer modules."""
    return f"{settings.SITE_URL}/W/{number}".upper()


def draw_code(text: str) -> ScanCode:
    """Return the code, level Q, quiet zone of four modules, modules of 0.9 mm."""
    rows = [list(row) for row in segno.make(text, error="q", micro=False, boost_error=False).matrix]
    parts = [
        f"M{x + QUIET_MODULES} {y + QUIET_MODULES}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, dark in enumerate(row)
        if dark
    ]
    side = len(rows) + 2 * QUIET_MODULES
    return ScanCode("".join(parts), side, round(side * MODULE_MM, 1))
