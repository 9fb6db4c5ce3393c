"""A number as a person types or writes it."""

from __future__ import annotations

import math
import re


def number(text: str, delimiter: str) -> float:
    """The number in a cell, decimal point or comma. Raises ValueError saying what is wrong."""
    plain = text.replace(" ", "").replace("\u00a0", "").replace("\u2212", "-")
    if "," in plain and "." in plain:
        raise ValueError("has both comma and point; write thousands without a comma")
    if "," in plain:
        if delimiter == "," and re.fullmatch(r"[-+]?\d{1,3},\d{3}", plain):
            raise ValueError("may be thousands or decimals; write it without a comma")
        plain = plain.replace(",", ".")
    try:
        value = float(plain)
    except ValueError:
        raise ValueError("is not a number") from None
    if not math.isfinite(value) or "_" in plain:
        raise ValueError("is not a number")
    return value
