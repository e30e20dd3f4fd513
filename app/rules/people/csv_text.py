"""Tables as text with commas between, read and written as RFC 4180 says."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from app.rules.refusal import Reason, Refused

DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs"}

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+\Z")
_ESCAPED = re.compile(r"'*[=+\-@\t\r]")
_BOMS = {b"\xef\xbb\xbf": "utf-8", b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}
_WORDS = {"utf-8": "UTF-8", "utf-16-le": "UTF-16", "utf-16-be": "UTF-16"}
_ZIP = b"PK\x03\x04"

_NO_TEXT = "This is not a file of text. Save the table as CSV, then choose that file."
_EMPTY = "This file is empty."
_QUOTES = "A quotation mark in this file is opened and never closed, or the file is not CSV."


@dataclass(frozen=True, slots=True)
class Decoded:
    """The text of a file, and which encoding it was read as; ``sure`` when it cannot be another."""

    text: str
    encoding: str
    sure: bool


def decode(data: bytes) -> Decoded:
    """Read a file as UTF-8 or UTF-16, with or without their mark, or else as Windows-1252.

    Raises Refused with a sentence for the field ``file`` when it is no text.
    """
    if not data.strip():
        raise Refused(Reason(_EMPTY, "file"))
    if data.startswith(_ZIP):
        raise Refused(Reason(_NO_TEXT, "file"))
    encoding, mark = _encoding(data)
    found = _as(data[mark:], encoding) or Decoded(_old(data), "Windows-1252", sure=False)
    if any(ord(c) < 32 and c not in "\r\n\t\f" for c in found.text):
        raise Refused(Reason(_NO_TEXT, "file"))
    if not found.text.strip():
        raise Refused(Reason(_EMPTY, "file"))
    return found


def _encoding(data: bytes) -> tuple[str, int]:
    for mark, encoding in _BOMS.items():
        if data.startswith(mark):
            return encoding, len(mark)
    # Text of Latin letters in UTF-16 has a zero in every other byte.
    zeros = [data[start:2000:2].count(0) / max(1, len(data[start:2000:2])) for start in (0, 1)]
    if max(zeros) > 0.5 > min(zeros):
        return ("utf-16-le" if zeros[1] > zeros[0] else "utf-16-be"), 0
    return "utf-8", 0


def _as(data: bytes, encoding: str) -> Decoded | None:
    try:
        return Decoded(data.decode(encoding), _WORDS[encoding], sure=True)
    except UnicodeDecodeError:
        return None


def _old(data: bytes) -> str:
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        raise Refused(Reason(_NO_TEXT, "file")) from None


@dataclass(frozen=True, slots=True)
class Line:
    """The cells of one row as they stand, and the line of the file on which it begins, from 1."""

    number: int
    cells: tuple[str, ...]


def lines(text: str, delimiter: str) -> Iterator[Line]:
    """The rows that have anything in them. Raises Refused for text that cannot be such a table."""
    # The csv module wants lines, and str.splitlines cuts at more signs than a file does.
    reader = csv.reader(_LINE.findall(text), delimiter=delimiter, strict=True)
    begins = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield Line(begins, tuple(cells))
            begins = reader.line_num + 1
    except csv.Error:
        raise Refused(Reason(f"{_QUOTES} Look at line {begins}.", "file")) from None


def plain_cell(cell: str) -> str:
    """A cell as it is meant: without the apostrophe that keeps a spreadsheet from running it."""
    return cell[1:] if cell.startswith("'") and _ESCAPED.match(cell) else cell


def safe_cell(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula; :func:`plain_cell` gives it back.

    OWASP, "CSV Injection": cells that begin with = + - @, a tab or a carriage return.
    """
    return f"'{cell}" if _ESCAPED.match(cell) else cell


def write(rows: Iterable[Sequence[str]]) -> str:
    """The rows as text: commas, quotation marks where they are needed, lines ended by CR LF."""
    return "".join(f"{','.join(_quoted(safe_cell(cell)) for cell in row)}\r\n" for row in rows)


def _quoted(cell: str) -> str:
    if cell.strip() == cell and not any(sign in cell for sign in ',;"\r\n\t'):
        return cell
    return '"{}"'.format(cell.replace('"', '""'))
