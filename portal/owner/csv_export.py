"""How does a list leave as a CSV file that a spreadsheet opens rightly and that cannot do harm there?

UTF-8 with its mark, dates as in ISO 8601. A spreadsheet takes a cell that begins with = + - @, a tab or a
carriage return for a formula and would compute it; such a cell gets an apostrophe in front, which shows it as
plain text. Source: OWASP, CSV Injection, as remembered; the same list of signs.
"""

import csv
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.http import StreamingHttpResponse

MARK = "\ufeff"
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")

Cell = str | int | bool | date | datetime | None


class _Echo:
    """A file that hands back each line instead of keeping it."""

    def write(self, line: str) -> str:
        """Return the line."""
        return line


def guard(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula.

    >>> guard("=1+1"), guard("A. Thornby")
    ("'=1+1", 'A. Thornby')
    """
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_SIGNS) else text


def cell_text(cell: Cell, *, zone: ZoneInfo) -> str:
    """Return what stands in one cell; moments are told in the shop's zone with their offset."""
    match cell:
        case None:
            return ""
        case bool():
            return "yes" if cell else "no"
        case datetime():
            return cell.astimezone(zone).isoformat(timespec="seconds")
        case date():
            return cell.isoformat()
        case int():
            return str(cell)
    return guard(cell)


def csv_lines(head: Sequence[str], rows: Iterable[Sequence[Cell]], *, zone: ZoneInfo) -> Iterator[str]:
    """Yield the mark, the head and every row as lines of CSV."""
    writer = csv.writer(_Echo())
    yield MARK
    yield writer.writerow(head)
    for row in rows:
        yield writer.writerow([cell_text(cell, zone=zone) for cell in row])


def csv_response(
    head: Sequence[str], rows: Iterable[Sequence[Cell]], *, name: str, zone: ZoneInfo
) -> StreamingHttpResponse:
    """Return a download that is written while it is read, so that its length costs no memory."""
    response = StreamingHttpResponse(csv_lines(head, rows, zone=zone), content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response
