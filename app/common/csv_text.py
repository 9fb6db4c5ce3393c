"""Tables as CSV text that a spreadsheet opens without taking a name for a formula.

A text that begins like a formula gets an apostrophe in front, and so does one that has the
apostrophe already; ``plain`` takes it off again. Numbers, also those given as text, stay.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from types import SimpleNamespace

_END = "\r\n"
_FORMULA = re.compile(r"'*[=+\-@\t\r\n＝＋－＠].", re.DOTALL)
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")


def safe(cell: object) -> object:
    """A cell as it is written: what is no text is left as it is."""
    # most cells begin like no formula: that is quickly seen
    if (
        isinstance(cell, str)
        and not cell[:1].isalnum()
        and _FORMULA.match(cell)
        and not _NUMBER.fullmatch(cell)
    ):
        return f"'{cell}"
    return cell


def plain(text: str) -> str:
    """A cell as it was before it was made ``safe``."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


def as_csv(rows: Iterable[Sequence[object]], between: str = ",") -> str:
    """Rows of cells as CSV, a line a row; a clipboard wants tabs ``between`` them."""
    lines: list[str] = []
    # some versions of csv put quotes around a carriage return only if it ends lines
    writer = csv.writer(SimpleNamespace(write=lines.append), lineterminator=_END, delimiter=between)
    writer.writerows([safe(cell) for cell in row] for row in rows)
    return "".join(line.removesuffix(_END) + "\n" for line in lines)
