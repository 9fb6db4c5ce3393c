"""How the current changes with depth, as a scenario file spells it: ``current_profile``.

Either a word, ``"uniform"`` or ``"power"``, or a table with a root of its own or with rows:
``shares_ft = [[depth, share of the drift], ...]`` or ``layers_ft_deg_kn = [[depth, set, drift],
...]``. Set and drift themselves are the surface's, so the rows begin below it.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import atan2, hypot

from app.common.bad_input import BadInput
from app.common.quantities import optional, put, tidy
from app.common.reading import Reader, in_words
from app.common.tables import Table, set_rows, set_value, subtable
from app.common.units import DEGREE, Unit, compass_degrees
from app.scenario import keys
from physics.checks import InvalidValue
from physics.environment.current import UNIFORM, Layers, PowerLaw, Profile, Shares, Uniform
from physics.environment.water import compass_vector

KEY = "current_profile"
WORDS = ("uniform", "power")

SLACK = 1.0 + 1e-11
"""A limit written in feet to 12 digits and read back may be over by that much."""


def read_profile(water: Reader) -> Profile:
    """The profile of a [water] table; uniform when none is named. Raises BadInput."""
    if not water.has(KEY):
        return UNIFORM
    if not isinstance(water.raw[KEY], Mapping):
        return UNIFORM if water.choice(KEY, WORDS) == "uniform" else PowerLaw()
    reader = water.table(KEY)
    names = [key for key in (*keys.SHARES, *keys.LAYERS) if reader.has(key)]
    power = [key for key in (*keys.ROOT.keys, *keys.FLOOR.keys) if reader.has(key)]
    if len(names) + bool(power) > 1:
        allowed = f"only one of root, {', '.join((*keys.SHARES, *keys.LAYERS))}"
        reader.refuse((*power, *names)[-1], allowed, "says it twice")
    if not names and not power:
        reader.done()
        reader.refuse("root", f"a number, or rows under one of {', '.join(keys.SHARES)}, "
                              f"{', '.join(keys.LAYERS)}")  # fmt: skip
    if power:
        profile: Profile = PowerLaw(keys.ROOT.read(reader), optional(keys.FLOOR, reader))
    elif names[0] in keys.SHARES:
        profile = _shares(reader, names[0], keys.SHARES[names[0]])
    else:
        profile = _layers(reader, names[0], *keys.LAYERS[names[0]])
    reader.done()
    return profile


def _shares(reader: Reader, name: str, deep: Unit) -> Shares:
    rows = reader.rows(name, ["depth", "share"], most=200)
    out, last = [], 0.0
    for number, (depth, share) in enumerate(rows, start=1):
        last = _deeper(reader, name, number, rows[number - 1], deep.to_si(depth), last)
        if not -2.0 <= share <= 2.0:
            _refuse(reader, name, number, rows[number - 1], "a share of -2 to 2")
        out.append((last, share))
    return Shares(tuple(out))


def _layers(reader: Reader, name: str, deep: Unit, fast: Unit) -> Layers:
    rows = reader.rows(name, ["depth", "set", "drift"], most=200)
    out, last = [], 0.0
    for number, (depth, bearing, drift) in enumerate(rows, start=1):
        row = rows[number - 1]
        last = _deeper(reader, name, number, row, deep.to_si(depth), last)
        if not keys.SET.low <= DEGREE.to_si(bearing) <= keys.SET.high:
            _refuse(reader, name, number, row, "a set of -360 to 360 °")
        if not 0.0 <= fast.to_si(drift) <= keys.DRIFT.high * SLACK:
            most = in_words(fast.from_si(keys.DRIFT.high))
            _refuse(reader, name, number, row, f"a drift of 0 to {most} {fast.symbol}")
        east, north = compass_vector(DEGREE.to_si(bearing))
        out.append((last, fast.to_si(drift) * east, fast.to_si(drift) * north))
    try:
        return Layers(tuple(out))
    except InvalidValue as error:
        raise BadInput(reader.file, reader.where(name), error.value, error.allowed) from error


def _deeper(
    reader: Reader, name: str, number: int, row: list[float], depth: float, last: float
) -> float:
    """The depth, m, when it may follow ``last``."""
    if not last < depth <= keys.FLOOR.high * SLACK:
        _refuse(reader, name, number, row, "depths under the surface, each deeper, to 2,000 m")
    return min(depth, keys.FLOOR.high)


def _refuse(reader: Reader, name: str, number: int, row: list[float], allowed: str) -> None:
    raise BadInput(reader.file, f"{reader.where(name)}, row {number}", row, allowed)


def write_profile(water: Table, profile: Profile) -> None:
    """Bring ``current_profile`` of a [water] table up to date."""
    if isinstance(profile, Uniform):
        if water.get(KEY, "uniform") != "uniform":
            del water[KEY]
        return
    tabled = isinstance(water.get(KEY), Mapping)
    if profile == PowerLaw() and not tabled:
        set_value(water, KEY, "power")
        return
    if not tabled:
        water.pop(KEY, None)
    table = subtable(water, KEY)
    if isinstance(profile, PowerLaw):
        _only(table, *keys.ROOT.keys, *keys.FLOOR.keys)
        keys.ROOT.write(table, profile.root, shown=True)
        if profile.floor is None:
            _only(table, *keys.ROOT.keys)
        else:
            put(table, keys.FLOOR.keys, profile.floor)
    elif isinstance(profile, Shares):
        name = next((key for key in keys.SHARES if key in table), "shares_ft")
        _only(table, name)
        deep = keys.SHARES[name]
        rows = [[tidy(deep.from_si(depth)), tidy(share)] for depth, share in profile.rows]
        set_rows(table, name, rows)
    else:
        name = next((key for key in keys.LAYERS if key in table), "layers_ft_deg_kn")
        _only(table, name)
        deep, fast = keys.LAYERS[name]
        set_rows(table, name, [
            [tidy(deep.from_si(d)), tidy(compass_degrees(atan2(e, n))),
             tidy(fast.from_si(hypot(e, n)))]
            for d, e, n in profile.rows
        ])  # fmt: skip


def _only(table: Table, *wanted: str) -> None:
    for key in [key for key in table if key not in wanted]:
        del table[key]
