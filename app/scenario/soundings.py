"""What makes the depths of a recorded track depths under one level of the sea."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from app.common import scales
from app.common.bad_input import BadInput
from app.common.quantities import Quantity, spell
from app.common.reading import Reader
from app.common.tables import Table, set_value
from app.common.units import FOOT, HOUR, METER
from physics.checks import InvalidValue, Limits, require_number

TideRow = tuple[datetime, float]
"""A moment by the table's own clock, and the height of the tide, m."""

TRANSDUCER = Quantity(
    "transducer", spell("transducer", "ft", "m"), Limits(0.0, 10.0, "m"), 0.0, scales.FINE_LENGTH,
    "transducer under the surface",
)  # fmt: skip
TIDES = Limits(-20.0, 20.0, "m")
TIDE = Quantity(
    "tide", spell("tide", "ft", "m"), TIDES, 0.0, scales.FINE_LENGTH, "tide when it was recorded"
)
TIDE_NOW = Quantity(
    "tide_now", spell("tide_now", "ft", "m"), TIDES, 0.0, scales.FINE_LENGTH,
    "tide to rehearse at",
)  # fmt: skip
CLOCK = Quantity(
    "clock", spell("tide_clock", "h"), Limits(HOUR.to_si(-14.0), HOUR.to_si(14.0), "s"), 0.0,
    scales.always(HOUR, 1, 1.0), "the table's clock, hours ahead of UTC",
)  # fmt: skip
SOUNDINGS = (TRANSDUCER, TIDE, TIDE_NOW, CLOCK)

TABLE = {"tide_table_ft": FOOT, "tide_table_m": METER}
MOST_ROWS = 400


@dataclass(frozen=True, slots=True)
class Soundings:
    """Lengths m, ``clock`` s.

    ``transducer`` is how deep it sits. The tide stood ``tide`` m high when the track was
    recorded, or as the ``table`` says, whose clock is ``clock`` ahead of UTC; it is to stand
    ``tide_now`` high in the rehearsal. Heights are over one datum, whichever that is.
    Raises InvalidValue (the names above).
    """

    transducer: float = 0.0
    tide: float = 0.0
    tide_now: float = 0.0
    clock: float = 0.0
    table: tuple[TideRow, ...] = ()

    def __post_init__(self) -> None:
        for quantity in SOUNDINGS:
            require_number(quantity.attribute, getattr(self, quantity.attribute), *quantity.limits)
        if len(self.table) == 1 or len(self.table) > MOST_ROWS:
            raise InvalidValue("table", len(self.table), f"2 to {MOST_ROWS} rows")
        for _, height in self.table:
            require_number("table", height, *TIDES)
        for (before, _), (after, _) in pairwise(self.table):
            if after <= before:
                raise InvalidValue("table", after.isoformat(" ", "minutes"), "times that rise")


def read_soundings(reader: Reader) -> Soundings:
    """The table of a scenario file. Raises BadInput."""
    values = {quantity.attribute: quantity.read(reader) for quantity in SOUNDINGS}
    given = [key for key in TABLE if reader.has(key)]
    if len(given) > 1:
        reader.refuse(given[1], f"only one of {' and '.join(given)}", "says it twice")
    rows = _read_rows(reader, given[0]) if given else ()
    reader.done()
    try:
        return Soundings(**values, table=rows)
    except InvalidValue as error:
        raise BadInput(
            reader.file, reader.where(given[0] if given else error.field), error.value,
            error.allowed,
        ) from error  # fmt: skip


def _read_rows(reader: Reader, key: str) -> tuple[TideRow, ...]:
    value = reader.raw[key]
    allowed = f"2 to {MOST_ROWS} rows of [date and time without a zone, height]"
    if not isinstance(value, list) or len(value) > MOST_ROWS:
        reader.refuse(key, allowed)
    rows: list[TideRow] = []
    for number, row in enumerate(value, start=1):
        where = f"{reader.where(key)}, row {number}"
        if not isinstance(row, list) or len(row) != 2:
            raise BadInput(reader.file, where, row, allowed)
        moment, height = row
        if not isinstance(moment, datetime) or moment.tzinfo is not None:
            raise BadInput(reader.file, where, moment, "a date and time without a zone")
        if isinstance(height, bool) or not isinstance(height, int | float):
            raise BadInput(reader.file, where, height, "a height")
        rows.append((moment, TABLE[key].to_si(float(height))))
    return tuple(rows)


def write_soundings(table: Table, soundings: Soundings) -> None:
    """Into a table of a scenario file, under the keys already there."""
    for quantity in SOUNDINGS:
        quantity.write(table, getattr(soundings, quantity.attribute))
    key = next((key for key in TABLE if key in table), next(iter(TABLE)))
    unit = TABLE[key]
    if soundings.table:
        rows = [[moment, float(f"{unit.from_si(h):.12g}")] for moment, h in soundings.table]
        set_value(table, key, rows)
    else:
        table.pop(key, None)
