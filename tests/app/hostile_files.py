"""Hostile files of every kind the program reads: real ones spoiled, and made ones, by a seed.

All content is invented or the program's own.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence

from tests.app.ground.tracks.invented_logs import sentence

LARGEST = 900_000
"""Bytes of a file; what is asked of the readers is asked for files under a megabyte."""

NUMBERS = (
    "nan", "inf", "-inf", "1e308", "-1e308", "1e-320", "1e999", "-1e999", "1e9", "1e-9", "0",
    "-0.0", "-1", "9" * 30, "9" * 400, "9" * 5000, "0." + "0" * 400 + "1", "0x7fffffffffffffff",
    "1_000", "+5", "٣", "１２", "1e", "..", "1,5", "2000-01-01", "0001-01-01T00:00:00Z",
    "9999-12-31T23:59:59Z", "25:61:61", "true", '"5"', "[]", "{}", "''",
)  # fmt: skip

PIECES = (
    b"\x00", b"\x00" * 300, b"\x1b[31m", b"\x07", b"\x7f", b"\xff\xfe", b"\xfe\xff",
    b"\xef\xbb\xbf", b"\xc3\x28", b"\xe9", b"\xed\xa0\x80", "é".encode(), "\u202e".encode(),
    "\u2028".encode(), "٣".encode(), b"\r", b"\n", b"\r\n\r\n", b"\t", b'"', b'"""', b"'", b"'''",
    b"\\", b"\\u0000", b"#", b"=", b"[", b"]", b"[[", b"]]", b"{", b"}", b",", b";", b".", b"$",
    b"*", b"!", b"<", b">", b"&", b"<!--", b"<![CDATA[", b"<?xml", b"</", b"&#0;", b"&lt;",
    b"=1+1", b"@", b"|",
)  # fmt: skip

REPEATED = (
    b"[", b"{a=", b"a.", b" . a", b'"a".', b"9", b"<a>", b"<a ", b'"', b"\\", b",", b"[[a]]\n",
    b"{},", b"\n", b"$", b"$GPRMC,", b"x", b"\x00", b"\xff", b"1.5,", b"# ", b"k = 1\n", b"[1, 2],",
    b"&amp;",
)  # fmt: skip

Spoil = Callable[[random.Random, bytes], bytes]


def _flip(draw: random.Random, data: bytes) -> bytes:
    out = bytearray(data)
    for _ in range(draw.choice((1, 1, 3, 20))):
        if out:
            out[draw.randrange(len(out))] = draw.randrange(256)
    return bytes(out)


def _cut(draw: random.Random, data: bytes) -> bytes:
    a, b = sorted((draw.randrange(len(data) + 1), draw.randrange(len(data) + 1)))
    return draw.choice((data[:b], data[a:], data[:a] + data[b:]))


def _lines(draw: random.Random, data: bytes) -> bytes:
    """A line or a few repeated, left out, or moved."""
    lines = data.splitlines(keepends=True)
    if not lines:
        return data
    at, count = draw.randrange(len(lines)), draw.randint(1, 5)
    taken = lines[at : at + count]
    how = draw.choice(("repeat", "often", "drop", "move"))
    if how == "repeat":
        return b"".join(lines[:at] + taken + lines[at:])
    if how == "often":
        return b"".join(lines[:at] + taken * draw.choice((30, 1000)) + lines[at:])
    rest = lines[:at] + lines[at + count :]
    to = draw.randrange(len(rest) + 1)
    return b"".join(rest[:to] + (taken if how == "move" else []) + rest[to:])


def _number(draw: random.Random, data: bytes) -> bytes:
    """A number made an impossible one, or only another one."""
    found = list(re.finditer(rb"-?\d+(\.\d+)?", data))
    if not found:
        return data
    spot = draw.choice(found)
    new = draw.choice(NUMBERS).encode()
    if draw.random() < 0.6:
        value = float(spot[0]) * draw.choice((-1.0, 0.0, 0.5, 0.9, 1.1, 2.0, 10.0, 1e6, 1e-6))
        new = f"{value:.6g}".encode()
    return data[: spot.start()] + new + data[spot.end() :]


def _nudge(draw: random.Random, data: bytes) -> bytes:
    """A number a little off, so that much is still taken."""
    found = list(re.finditer(rb"\d+(\.\d+)?", data))
    if not found:
        return data
    spot = draw.choice(found)
    new = f"{float(spot[0]) * draw.uniform(0.9, 1.1):.9g}".encode()
    return data[: spot.start()] + new + data[spot.end() :]


def _insert(draw: random.Random, data: bytes) -> bytes:
    at = draw.randrange(len(data) + 1)
    return data[:at] + draw.choice(PIECES) + data[at + draw.randrange(3) :]


def _repeat(draw: random.Random, data: bytes) -> bytes:
    at = draw.choice((0, draw.randrange(len(data) + 1), len(data)))
    piece = draw.choice(REPEATED)
    return data[:at] + piece * draw.choice((25, 1500, 1500, 20_000)) + data[at:]


def _word(draw: random.Random, data: bytes) -> bytes:
    """A word stretched, or put in the place of another."""
    words = list(re.finditer(rb"[A-Za-z_]{2,}", data))
    if not words:
        return data
    spot, other = draw.choice(words), draw.choice(words)
    new = draw.choice((other[0], spot[0] * draw.choice((3, 1000)), spot[0].upper(), b""))
    return data[: spot.start()] + new + data[spot.end() :]


def _encoding(draw: random.Random, data: bytes) -> bytes:
    text = data.decode("utf-8", "replace")
    name = draw.choice(
        ("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-8-sig", "latin-1", "cp500")
    )
    out = text.encode(name, "replace")
    half = len(data) // 2
    return draw.choice((out, out, data[:half] + out[half:]))


def _digits(draw: random.Random, data: bytes) -> bytes:
    zero = draw.choice((0x660, 0x966, 0xFF10, 0x1D7CE))
    text = data.decode("utf-8", "replace")
    there = sorted({c for c in text if c in "0123456789"})
    one = draw.choice(there) if there else "0"
    return text.replace(one, chr(zero + int(one))).encode()


SPOILS: Sequence[Spoil] = (
    _flip, _cut, _lines, _number, _number, _number, _number, _insert, _insert, _repeat, _word,
    _word, _encoding, _digits, _nudge, _nudge, _nudge,
)  # fmt: skip


def spoiled(draw: random.Random, data: bytes) -> bytes:
    """A real file with one to three things wrong."""
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        data = draw.choice(SPOILS)(draw, data)[:LARGEST]
    return data


def relaid(draw: random.Random, text: str) -> str:
    """The same TOML, or nearly, as another hand would have written it."""
    lines = text.splitlines()
    for _ in range(draw.randint(1, 8)):
        at = draw.randrange(len(lines))
        found = re.fullmatch(r"( *)([a-z_0-9]+) *= *([^\[{#]+)", lines[at])
        how = draw.randrange(9)
        if how == 0:
            lines.insert(at, draw.choice(("", "# a remark", "   ", "\t# é", "#")))
        elif found is not None and found[3].count('"') in (0, 2):
            pad, key, value = found.groups()
            lines[at] = (
                f"{pad}{key}={value}", f"{pad}{key}   =   {value}   # why",
                f'{pad}"{key}" = {value}', f"\t'{key}' = {value}",
                f"{pad}{key} = {value}\r", f"{pad}{key} = {value}.0",
                f"{pad}{key} = +{value}", f"{pad}{key} = {value}e0",
            )[how - 1]  # fmt: skip
        elif lines[at].startswith("[") and how < 4:
            inner = lines[at].strip("[]")
            wide, spaced = f"[ {inner} ]", f"[{inner}] # of its own"
            lines[at] = f"[{wide}]" if lines[at].startswith("[[") else draw.choice((wide, spaced))
    tables = [n for n, line in enumerate(lines) if line.startswith("[") and "." not in line]
    if tables and draw.random() < 0.4:
        # a table moved to the end of the file, with all that is in it
        at = draw.choice(tables)
        end = next((n for n in tables if n > at), len(lines))
        lines = lines[:at] + lines[end:] + lines[at:end]
    return draw.choice(("\n", "\n", "\r\n")).join(lines) + draw.choice(("\n", "", "\n\n\n"))


def made_toml(draw: random.Random, seeds: Sequence[bytes]) -> bytes:
    """Another layout of a good file; or tables and keys the readers know, with any values."""
    if draw.random() < 0.7:
        return _nudge(draw, relaid(draw, draw.choice(seeds).decode()).encode())
    text = b"\n".join(seeds).decode()
    keys = sorted(set(re.findall(r"(?m)^([a-z_0-9]+) *=", text)))
    tables = sorted(set(re.findall(r"(?m)^(\[+[a-z_.]+\]+)$", text)))
    values = sorted(set(re.findall(r"(?m)^[a-z_0-9]+ *= *([^\[{\n]+)$", text)))

    def value(depth: int = 0) -> str:
        kind = draw.randrange(10)
        if kind < 6:
            return draw.choice(values)
        if kind < 8 or depth > 30:
            return draw.choice(NUMBERS)
        inner = [value(depth + 1) for _ in range(draw.randrange(3))]
        if kind == 8:
            return "[" + ", ".join(inner) + "]"
        return "{" + ", ".join(f"{draw.choice(keys)} = {each}" for each in inner) + "}"

    first = [line for line in text.splitlines() if line.startswith(("leadfall", "compare"))][:1]
    lines = [*first, 'name = "made"']
    for _ in range(draw.randrange(30)):
        if tables and draw.random() < 0.25:
            lines.append(draw.choice(tables))
        else:
            lines.append(f"{draw.choice(keys)} = {value()}")
    return "\n".join(lines).encode("utf-8", "replace")


def made_nmea(draw: random.Random, _: Sequence[bytes]) -> bytes:
    """Sentences with the right checksum and anything between the commas."""
    fields = (
        "", "A", "V", "N", "S", "E", "W", "M", "f", "R", "T", "K", "123519", "235959.99", "246060",
        "4807.038", "01131.000", "9999.999", "18000.00", "-100.5", "230394", "311299", "320013",
        "5.4", *NUMBERS[:20],
    )  # fmt: skip
    lines = []
    for _ in range(draw.randrange(1, 60)):
        kind = draw.choice(("RMC", "GGA", "GLL", "VTG", "DPT", "DBT", "DBS", "MWV", "ZDA", "XXX"))
        body = [draw.choice(fields) for _ in range(draw.randrange(14))]
        if draw.random() < 0.6:
            time, day = (
                f"{draw.randrange(240000):06}",
                f"{draw.randrange(1, 32):02}0{draw.randrange(10)}04",
            )
            place = ["4807.038", "N", f"0113{draw.randrange(10)}.000", "E"]
            body = {
                "RMC": [time, "A", *place, "5.0", draw.choice(fields), day, "", ""],
                "GGA": [time, *place, "1", "08", "0.9"],
                "GLL": [*place, time, "A"],
                "DPT": [draw.choice(fields), draw.choice(fields)],
            }.get(kind, body)
        lines.append(sentence(",".join([draw.choice(("GP", "SD", "II")) + kind, *body])))
    return "\r\n".join(lines).encode("utf-8", "replace")


def made_gpx(draw: random.Random, _: Sequence[bytes]) -> bytes:
    """Track points in odd places with odd values."""
    tags = ("trk", "trkseg", "ele", "speed", "depth", "x:depth", "time", "extensions", "a")
    out = ["<gpx>"]
    for _ in range(draw.randrange(1, 40)):
        lat, lon, time, deep = (draw.choice(NUMBERS) for _ in range(4))
        if draw.random() < 0.7:
            lat, lon = f"{draw.uniform(-90, 90):.6f}", f"{draw.uniform(-180, 180):.6f}"
            time = f"{draw.choice((1, 1969, 1970, 2004, 2099, 9999)):04}-03-02T08:00:00Z"
        tag = draw.choice(tags)
        inner = f"<time>{time}</time><{tag}>{deep}</{draw.choice((tag, tag, tag, 'a'))}>"
        out.append(f'<trkpt lat="{lat}" lon="{lon}">{inner}</trkpt>'.replace("''", ""))
    return ("".join(out) + draw.choice(("</gpx>", ""))).encode("utf-8", "replace")


def made_geojson(draw: random.Random, _: Sequence[bytes]) -> bytes:
    """Features of any build, in a file that says that it is crowd-sourced bathymetry."""
    values = ("null", "true", "[]", "{}", '"x"', "-1", "12.5", "NaN", "1e999", "9" * 5000)
    times = ('"2004-03-02T08:00:0{}Z"', '"9999-12-31T23:59:5{}.9z"', "{}", '"{}"', "null")
    features = []
    for number in range(draw.randrange(40)):
        place = ", ".join(
            f"{draw.uniform(-200, 200):.6f}" if draw.random() < 0.9 else draw.choice(values)
            for _ in range(draw.choice((0, 1, 2, 2, 2, 2, 3)))
        )
        kind = draw.choice(("Point", "Point", "Point", "LineString"))
        time = draw.choice(times).format(number % 10)
        features.append(
            draw.choice(values) if draw.random() < 0.1 else
            f'{{"geometry": {{"type": "{kind}", "coordinates": [{place}]}}, '
            f'"properties": {{"depth": {draw.choice(values)}, "time": {time}}}}}'
        )  # fmt: skip
    about = draw.choice(('{"convention": "CSB"}', draw.choice(values)))
    members = [
        f'"features": [{", ".join(features)}]',
        f'"crs": {draw.choice(values)}',
        f'"properties": {about}',
    ]
    draw.shuffle(members)
    return ("{" + ", ".join(members) + draw.choice(("}", ""))).encode()


def made_csv(draw: random.Random, seeds: Sequence[bytes]) -> bytes:
    """Columns of any headings with cells of any kind."""
    between = draw.choice(",;\t|")
    cells = sorted(set(re.split(r"[,\n]", b"\n".join(seeds).decode())))
    width = draw.randrange(1, 9)
    head = seeds[0].decode().splitlines()[0] if draw.random() < 0.6 else None
    lines = [head or between.join(draw.choice(cells) for _ in range(width))]
    for _ in range(draw.randrange(40)):
        row = [draw.choice((draw.choice(cells), draw.choice(NUMBERS))) for _ in range(width)]
        lines.append(between.join(row))
    return "\n".join(lines).encode("utf-8", "replace")
