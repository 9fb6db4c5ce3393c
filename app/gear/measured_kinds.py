"""The kinds of measurement as a person meets them: words, columns, errors; one declaration each.

What a kind predicts, what it tells of and what it costs is declared with its row in
physics.calibration.measured.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from physics.calibration.measured import CoastDown, DockFall, DropTouch, Row, TowDepth
from physics.line.tackle import Rod


@dataclass(frozen=True, slots=True)
class ErrorOf:
    """One of sheet.Errors by ``name``, in ``words``, and the ``fields`` of a row it is the error
    of."""

    name: str
    words: str
    fields: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind. ``made`` makes its row; ``title`` over many, ``one`` and ``many`` after a count.

    ``how`` says how it is done; ``numbers`` are those of a line of the sheet, in its order;
    ``needed`` and ``optional`` the columns of a file; ``read_off`` the numbers that differ from
    try to try.
    """

    made: Callable[..., Row]
    title: str
    one: str
    many: str
    how: str
    numbers: tuple[str, ...]
    needed: tuple[str, ...]
    optional: tuple[str, ...]
    errors: tuple[ErrorOf, ...]
    read_off: tuple[str, ...]

    def row(
        self, given: Mapping[str, float], rod: Rod | None = None, errors: object | None = None
    ) -> Row:
        """Its row: numbers SI, ``rod`` as it was out, ``errors`` a sheet's. Raises InvalidValue."""
        values: dict[str, object] = {key: given[key] for key in self.numbers if key != "line_out"}
        if "line_out" in self.numbers:
            values["rod"] = rod
        if errors is not None:
            for error in self.errors:
                values |= dict.fromkeys(error.fields, getattr(errors, error.name))
        return self.made(**values)


SPEED_OFF = ErrorOf("logged", "Speed", ("speed_error",))
DEPTH_OFF = ErrorOf("sounded", "Depth", ("depth_error",))

KINDS = {
    DockFall.kind: Kind(
        DockFall, "Falls at the dock", "fall at the dock", "falls at the dock",
        "Let it go level on a slack line over a known depth in still water and time it. "
        "Several tries tell more than one.",
        numbers=("depth", "seconds"), needed=("depth", "seconds"), optional=(),
        errors=(
            ErrorOf("marked", "Depth", ("depth_error",)),
            ErrorOf("hand", "Stopwatch", ("seconds_error",)),
        ),
        read_off=("seconds",),
    ),
    TowDepth.kind: Kind(
        TowDepth, "Depths under way", "depth under way", "depths under way",
        "A bottom it just ticks, or any depth you know, at a steady speed. With several "
        "speeds or lengths of line, line and lure can be told apart.",
        numbers=("speed", "line_out", "depth"), needed=("speed", "depth"), optional=("line_out",),
        errors=(DEPTH_OFF, SPEED_OFF), read_off=("depth",),
    ),
    DropTouch.kind: Kind(
        DropTouch, "Touches in a drop", "touch in a drop", "touches in drops",
        "Out of gear over a known depth: seconds until the line or lure touches.",
        numbers=("speed", "line_out", "hold", "seconds", "depth"),
        needed=("speed", "hold", "seconds", "depth"), optional=("line_out",),
        errors=(DEPTH_OFF, ErrorOf("felt", "Touch felt", ("seconds_error",)), SPEED_OFF),
        read_off=("seconds",),
    ),
    CoastDown.kind: Kind(
        CoastDown, "Coast-downs", "coast-down", "coast-downs",
        "Out of gear in slack water: the speed left after so many seconds. Do it both ways.",
        numbers=("start", "seconds", "speed"), needed=("seconds",),
        optional=("speed", "share", "start"),
        errors=(
            ErrorOf("logged", "Speed", ("speed_error", "start_error")),
            ErrorOf("read_off", "Read off", ("seconds_error",)),
        ),
        read_off=("seconds", "speed"),
    ),
}  # fmt: skip
"""A coast-down in a file also needs the speed or a share of it."""
