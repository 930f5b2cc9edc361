"""Tables as a spreadsheet reads them: CSV of RFC 4180, with no text that a program would run as a formula."""

import csv
import io
from collections.abc import Iterable, Sequence

# OWASP, CSV Injection: what a cell must not begin with; the last four are full-width.
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def csv_text(rows: Iterable[Sequence[str]], *, separator: str = ",") -> str:
    """Return the CSV of rows, each line ended by CR LF."""
    written = io.StringIO()
    csv.writer(written, delimiter=separator).writerows(rows)
    return written.getvalue()


def neutral(text: str) -> str:
    """Return a free text that no spreadsheet takes for a formula."""
    return f"'{text}" if text.lstrip(" ").startswith(_STARTS_FORMULA) else text
