"""Orders to the helm and about the lines as tables of a scenario file, both ways."""

from __future__ import annotations

from collections.abc import Callable, MutableMapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

import tomlkit
from tomlkit.items import AoT

from app.common.bad_input import BadInput
from app.common.quantities import put, tidy
from app.common.reading import Reader, in_words
from app.common.tables import Table, set_rows, set_value
from app.common.units import Unit
from app.scenario import keys
from physics.line.line_orders import LINE_ACTIONS, LineOrder
from physics.vessel.boat import ACTIONS, MOST_LEGS, Leg, Order

Either = TypeVar("Either", Order, LineOrder)

SIDES = ("port", "starboard", "straight")

MOST_ORDERS = 1000
"""Most orders to the helm, and most about the lines, in one file."""

LONGEST_LEG, SHORTEST_LEG = 1e5, 0.1
"""Of a course, m."""


def read_order(reader: Reader) -> Order:
    """One order to the helm. Raises BadInput."""
    time = keys.ORDER_TIME.read(reader)
    action = reader.choice("do", ACTIONS)
    value = 0.0
    legs: tuple[Leg, ...] = ()
    if action == "throttle":
        value = keys.HELM_SPEED.read(reader)
    elif action == "engines":
        value = float(reader.whole("engines", 1, 2))
    elif action == "mark":
        value = keys.MARK_DEPTH.read(reader)
    elif action == "course":
        legs = _legs(reader)
    elif action == "wheel":
        side = reader.choice("side", SIDES)
        if side != "straight":
            radius = keys.TURN_RADIUS.read(reader)
            value = (1.0 if side == "starboard" else -1.0) / radius
    reader.done()
    return Order(time, next(known for known in ACTIONS if known == action), value, legs)


def _legs(reader: Reader) -> tuple[Leg, ...]:
    """The legs of a course: length and radius, positive to starboard, 0 straight ahead."""
    given = [key for key in keys.LEGS if reader.has(key)]
    if len(given) > 1:
        reader.refuse(given[1], f"only one of {' and '.join(given)}", "says it twice")
    name = given[0] if given else next(iter(keys.LEGS))
    rows = reader.rows(name, ["length", "radius"], most=MOST_LEGS)
    return tuple(
        _leg(row, keys.LEGS[name], reader, f"{reader.where(name)}, row {number}")
        for number, row in enumerate(rows, start=1)
    )


def _leg(row: list[float], unit: Unit, reader: Reader, where: str) -> Leg:
    length, radius = unit.to_si(row[0]), unit.to_si(row[1])
    slack = 1.0 + 1e-11
    low, high = keys.TURN_RADIUS.low, keys.TURN_RADIUS.high
    if not SHORTEST_LEG / slack <= length <= LONGEST_LEG * slack:
        least, most = unit.from_si(SHORTEST_LEG), unit.from_si(LONGEST_LEG)
        allowed = f"a length of {in_words(least)} to {in_words(most)} {unit.symbol}"
        raise BadInput(reader.file, where, row, allowed)
    if radius and not low / slack <= abs(radius) <= high * slack:
        allowed = f"a radius of {in_words(unit.from_si(low))} {unit.symbol} or more to starboard,"
        allowed += " the same with a minus to port, or 0 straight ahead"
        raise BadInput(reader.file, where, row, allowed)
    length = min(max(length, SHORTEST_LEG), LONGEST_LEG)
    curvature = 1.0 / radius if radius else 0.0
    tightest = 1.0 / low
    return Leg(length, min(max(curvature, -tightest), tightest))


def read_line_order(reader: Reader, rods: Sequence[str]) -> LineOrder:
    """One order about the line of one of the ``rods``. Raises BadInput."""
    time, rod = keys.ORDER_TIME.read(reader), reader.choice("line", rods)
    action = reader.choice("do", LINE_ACTIONS)
    order = LineOrder(
        time,
        rod,
        next(known for known in LINE_ACTIONS if known == action),
        *(quantity.read(reader) for quantity in keys.LINE_ORDER[action]),
    )
    reader.done()
    return order


def plain_order(order: Order) -> Order:
    """The order without a value that its action has no use for."""
    used = order.action in ("throttle", "engines", "mark", "wheel")
    return order if used or not order.value else replace(order, value=0.0)


def plain_line_order(order: LineOrder) -> LineOrder:
    """The order without value and rate that its action has no use for."""
    uses = len(keys.LINE_ORDER[order.action])
    usual = keys.RATE.default or 0.0
    value = order.value if uses > 0 else 0.0
    return replace(order, value=value, rate=order.rate if uses > 1 else usual)


def write_orders(table: Table, orders: Sequence[Order]) -> None:
    """Orders to the helm into its table; what says the same already stays as it is."""
    old = table.get("orders")
    _write(table, "orders", orders, read_order, _fill, array=not isinstance(old, AoT))


def write_line_orders(document: Table, orders: Sequence[LineOrder], rods: Sequence[str]) -> None:
    """Orders about the lines of ``rods`` into the document, each a table of its own."""

    def read(reader: Reader) -> LineOrder:
        return read_line_order(reader, rods)

    array = isinstance(document.get("line_orders"), list) and not isinstance(
        document["line_orders"], AoT
    )
    _write(document, "line_orders", orders, read, _fill_line, array=array)


def _write(
    parent: Table,
    key: str,
    orders: Sequence[Either],
    read: Callable[[Reader], Either],
    fill: Callable[[Table, Either], None],
    *,
    array: bool,
) -> None:
    """Bring the list of tables at a key up to date, each with the units it was written in."""
    old = list(parent[key]) if isinstance(parent.get(key), list) else []
    said = [_said(row, read) for row in old]
    if said == list(orders):
        return
    if not orders:
        parent.pop(key, None)
        return
    rows: list[Table] = []
    free = dict(enumerate(said))
    for number, order in enumerate(orders):
        same = next((k for k, known in free.items() if known == order), None)
        at = number if same is None and number in free and said[number] not in orders else same
        row = _copy(old[at], array) if at is not None else _new(array)
        if at is not None:
            del free[at]
        if same is None:
            fill(row, order)
        rows.append(row)
    out: Any = tomlkit.array().multiline(True) if array else tomlkit.aot()
    for row in rows:
        out.append(row)
    parent[key] = out


def _new(array: bool) -> Table:
    return tomlkit.inline_table() if array else tomlkit.table()


def _copy(row: Any, array: bool) -> Table:
    """The same table; an inline one afresh, whose spacing belonged to its old place."""
    if not array and isinstance(row, MutableMapping):
        return row
    copied = _new(array)
    copied.update(row.unwrap() if hasattr(row, "unwrap") else dict(row))
    return copied


def _said(row: Any, read: Callable[[Reader], Either]) -> Either | None:
    """What a table says now, or None where it makes no sense."""
    try:
        return read(Reader(row, ""))
    except (BadInput, AttributeError, TypeError):
        return None


def _fill(row: Table, order: Order) -> None:
    used: tuple[str, ...] = ()
    put(row, keys.ORDER_TIME.keys, order.time)
    set_value(row, "do", order.action)
    if order.action == "throttle":
        used = tuple(keys.HELM_SPEED.keys)
        put(row, keys.HELM_SPEED.keys, order.value)
    elif order.action == "engines":
        used = ("engines",)
        set_value(row, "engines", int(order.value))
    elif order.action == "mark":
        used = tuple(keys.MARK_DEPTH.keys)
        put(row, keys.MARK_DEPTH.keys, order.value)
    elif order.action == "course":
        used = tuple(keys.LEGS)
        name = next((key for key in keys.LEGS if key in row), next(iter(keys.LEGS)))
        set_rows(row, name, [_row(leg, keys.LEGS[name]) for leg in order.legs])
    elif order.action == "wheel":
        used = ("side",)
        if abs(order.value) * keys.TURN_RADIUS.high < 1.0:
            set_value(row, "side", "straight")
        else:
            used = ("side", *keys.TURN_RADIUS.keys)
            set_value(row, "side", "starboard" if order.value > 0.0 else "port")
            put(row, keys.TURN_RADIUS.keys, 1.0 / abs(order.value))
    _only(row, *keys.ORDER_TIME.keys, "do", *used)


def _row(leg: Leg, unit: Unit) -> list[float | int]:
    straight = abs(leg.curvature) * keys.TURN_RADIUS.high < 1.0
    radius = 0.0 if straight else 1.0 / leg.curvature
    return [tidy(unit.from_si(leg.length)), tidy(unit.from_si(radius))]


def _fill_line(row: Table, order: LineOrder) -> None:
    put(row, keys.ORDER_TIME.keys, order.time)
    set_value(row, "line", order.rod)
    set_value(row, "do", order.action)
    quantities = keys.LINE_ORDER[order.action]
    for quantity, value in zip(quantities, (order.value, order.rate), strict=False):
        put(row, quantity.keys, value)
    used = [key for quantity in quantities for key in quantity.keys]
    _only(row, *keys.ORDER_TIME.keys, "line", "do", *used)


def _only(row: Table, *wanted: str) -> None:
    for key in [key for key in row if key not in wanted]:
        del row[key]
