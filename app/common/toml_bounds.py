"""Refuse a TOML text that would cost far more to parse than any file of the program's.

Parsers take time and memory that grow with the square of a key's parts, and call themselves for
every bracket. One pass over the text, which knows strings and comments, finds both first.
"""

from __future__ import annotations

import re

DEEPEST = 20
"""Parts of a key, and brackets within brackets; the program's own files have three."""

LONGEST_WORD = 1000
"""Characters of a number or of a key without quotes."""

MOST_TABLES = 10_000
"""Tables of all kinds; 500 things of tackle in each of five groups have 7,500 at most."""

_TOKEN = re.compile(
    r"""
      "{3}(?:[^"\\]++|\\(?:.|\Z)|"{1,2}(?!"))*+(?:"{3,5}|\Z)
    | '{3}(?:[^']++|'{1,2}(?!'))*+(?:'{3,5}|\Z)
    | "(?:[^"\\\n]++|\\[^\n])*+"?
    | '[^'\n]*+'?
    | \#[^\n]*+
    | (?P<word>[\w.+:-]++)
    | (?P<mark>[\n=,\[\]{}])
    """,
    re.VERBOSE | re.DOTALL,
)


def beyond_bounds(text: str) -> str:
    """What is too deep, long or many in a TOML text, and in which line; empty if nothing is."""
    tables = depth = dots = 0
    said = False
    for token in _TOKEN.finditer(text):
        problem = ""
        if token.lastgroup == "word":
            word = token[0]
            dots += word.count(".")
            if len(word) > LONGEST_WORD:
                problem = f"a number or key of more than {LONGEST_WORD:,} characters"
        elif token.lastgroup == "mark":
            mark = token[0]
            if mark in "[{":
                depth += 1
                tables += mark == "{"
            elif mark in "]}":
                # the brackets of a heading, which has no equals sign before them
                tables += 0 if said or depth != 1 else 1 + dots
                depth = max(depth - 1, 0)
            elif mark == "=":
                tables += dots
                said = True
            elif mark == "\n" and depth == 0:
                said = False
            dots = 0
            if depth > DEEPEST:
                problem = f"brackets more than {DEEPEST} deep"
        if dots >= DEEPEST:
            problem = problem or f"a key of more than {DEEPEST} parts"
        if tables > MOST_TABLES:
            problem = f"more than {MOST_TABLES:,} tables"
        if problem:
            return f"has {problem} in line {text.count(chr(10), 0, token.start()) + 1}"
    return ""
