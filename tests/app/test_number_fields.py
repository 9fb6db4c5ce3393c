"""Every field for a number, on every page: it shows, it never changes, it refuses in its place."""

from __future__ import annotations

import ast
import math
import random
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QFocusEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.page_stack import PAGES
from app.setup import Setup
from app.units import FOOT, KNOT
from app.views.number_field import NumberField, Refusal, Waiting
from app.window import Window
from physics.checks import Unusable
from physics.water import Bottom
from tests.app.by_hand import Live

RANGES = {"setRange", "setMinimum", "setMaximum", "setDecimals", "setSingleStep", "Limits"}

KIN = {"depth": {"edge"}, "edge": {"depth"}}
"""What a field of one attribute shows anew when another is edited: a mark is its edges."""

VALUES = 4
"""Legal values every field is shown, beside the ends of its range."""


def odd(demo: Setup) -> Setup:
    """The demo with a current and a wind, and numbers finer than any field shows."""
    water = replace(
        demo.water,
        bottom=Bottom.level(27.123456789),
        current=(0.123456789, -0.323456789),
        wind=(-3.123456789, 2.123456789),
    )
    assert demo.mark is not None
    mark = replace(demo.mark, depth=9.123456789, band=0.987654321)
    rods = tuple(
        replace(
            rod,
            line_out=rod.line_out + 0.123456789,
            leader_length=3.123456789,
            astern=1.987654321,
            abeam=0.123456789 + 2.0 * number,
            height=1.555555555,
        )
        for number, rod in enumerate(demo.rods)
    )
    doubt = replace(demo.doubt, line_drag=0.123456789, speed=0.0423456789)
    timing = replace(demo.timing, clearance=0.654321987, radius=7.654321987)
    return replace(
        demo, water=water, mark=mark, rods=rods, doubt=doubt, timing=timing,
        speed=3.912345678, heading=0.543212345,
    )  # fmt: skip


@pytest.fixture
def whole(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> Window:
    """A window with all its pages and the spread editor made, and tackle of the user's own."""
    window = make_window(make_live(odd(demo)))
    for name, _, _ in PAGES:
        getattr(window.pages, name)
    window.edit_spread()
    window.pages.tackle.copy.click()
    return window


def number_fields(window: Window) -> list[NumberField]:
    return window.findChildren(NumberField)


def name_of(window: Window, field: NumberField) -> str:
    """Which field it is: its place among all of its name."""
    place = [f for f in number_fields(window) if f.accessibleName() == field.accessibleName()]
    return f"{field.accessibleName()} {place.index(field) + 1}"


def leaves(value: object, path: str = "") -> Iterator[tuple[str, object]]:
    """Every attribute of a dataclass, of those within it and within its tuples."""
    if is_dataclass(value):
        for part in fields(value):
            yield from leaves(getattr(value, part.name), f"{path}.{part.name}")
    elif isinstance(value, tuple) and value and is_dataclass(value[0]):
        for number, item in enumerate(value):
            yield from leaves(item, f"{path}.{number}")
    else:
        yield path, value


def document(window: Window) -> dict[str, object]:
    """All that is kept: setup, candidates, errors of measurement, fish."""
    pages = window.pages
    return {
        path: value
        for name, part in (
            ("setup", window.rehearsal.setup),
            ("lineup", pages.comparison.lineup),
            ("errors", pages.measuring.sheet.errors),
            ("fight", pages.fish.fight),
        )
        for path, value in leaves(part, name)
    }


def values(window: Window) -> list[float]:
    return [field._get() for field in number_fields(window)]


def visit(field: NumberField) -> None:
    """Come by with Tab, and go on."""
    for kind in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
        QApplication.sendEvent(field, QFocusEvent(kind, Qt.FocusReason.TabFocusReason))


def type_in(field: NumberField, text: str) -> None:
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def legal(field: NumberField, dice: random.Random) -> list[float]:
    low, high, _ = field.limits()
    span = min(high, low + 60.0) - low
    return [low, high, *(low + span * dice.random() for _ in range(VALUES))]


def can_be_edited(field: NumberField) -> bool:
    return field.isEnabledTo(field.window()) and not field.isReadOnly()


def test_that_every_legal_value_stays_bit_for_bit_through_showing_focus_and_units(
    whole: Window,
) -> None:
    dice = random.Random(1)
    found = number_fields(whole)
    for field in found:
        if not can_be_edited(field):
            continue
        taken = 0
        for value in legal(field, dice):
            try:
                field._put(value)
            except (Unusable, Waiting):
                continue
            taken += 1
            before, kept = values(whole), document(whole)
            visit(field)
            whole.preferences.set_length("meters")
            visit(field)
            whole.preferences.set_length("feet")
            visit(field)
            assert values(whole) == before, name_of(whole, field)
            assert document(whole) == kept, name_of(whole, field)
            assert field.value() == pytest.approx(field.scale().number(field._get()), rel=1e-12), (
                name_of(whole, field)
            )
        assert taken >= 2, name_of(whole, field)
        field._put(before[found.index(field)])


def test_that_all_fields_are_of_this_one_kind_and_stand_by_their_refusal(whole: Window) -> None:
    every = number_fields(whole)
    assert len(every) > 60
    assert all(field.accessibleName() and field.toolTip() for field in every)
    resting = {field.accessibleName() for field in every if not can_be_edited(field)}
    assert resting == {"Wait after the mark", "Hold out of gear", "Replay from", "Replay up to"}


def test_that_editing_one_field_changes_nothing_else(whole: Window) -> None:
    dice = random.Random(2)
    every = number_fields(whole)
    for field in filter(can_be_edited, every):
        shown, kept = values(whole), document(whole)
        for value in legal(field, dice)[2:]:
            number = field.scale().number(value)
            if number != field.value():
                type_in(field, f"{number:.{field.decimals()}f}")
                if not field.refusal:
                    break
                field.reset()
        name = name_of(whole, field)
        assert field._get() != shown[every.index(field)], name
        after = document(whole)
        changed = {path for path in kept if kept[path] != after[path]}
        mark = {"setup.mark.depth", "setup.mark.band"}
        assert len(changed) <= 1 or changed == mark, f"{name}: {changed}"
        attribute = field.quantity.attribute
        for other, old in zip(every, shown, strict=True):
            same = math.isclose(other._get(), old, rel_tol=1e-11, abs_tol=1e-11)
            kin = {attribute, *KIN.get(attribute, ())}
            assert same or other.quantity.attribute in kin, (name, name_of(whole, other))


def test_that_a_number_out_of_range_is_refused_where_it_stands(whole: Window) -> None:
    for field in filter(can_be_edited, number_fields(whole)):
        name, kept, before = name_of(whole, field), document(whole), values(whole)
        _, far = field.scale().ends(*field.limits()[:2])
        text = f"{far + 10.0 ** -field.decimals() + 1.0:.{field.decimals()}f}"
        type_in(field, text)
        assert field.range_text() in field.refusal, name
        assert document(whole) == kept, name
        assert values(whole) == before, name
        said = [label.text() for label in whole.findChildren(Refusal) if not label.isHidden()]
        assert said == [field.refusal], name
        visit(field)
        assert field.refusal, f"{name}: coming by takes nothing back"
        QTest.keyClick(field, Qt.Key.Key_Escape)
        assert not field.refusal, name
        assert field.value() == pytest.approx(field.scale().number(field._get())), name
        assert not [label for label in whole.findChildren(Refusal) if not label.isHidden()], name


def test_that_the_wheel_scrolls_the_page_and_turns_only_a_field_in_hand(whole: Window) -> None:
    field = whole.page.helm.hold
    at = QPointF(5.0, 5.0)
    event = QWheelEvent(
        at, field.mapToGlobal(at), QPoint(), QPoint(0, 120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    before = whole.rehearsal.hold_seconds
    field.clearFocus()
    QApplication.sendEvent(field, event)
    assert whole.rehearsal.hold_seconds == before
    whole.activateWindow()
    field.setFocus()
    QApplication.sendEvent(field, event)
    assert whole.rehearsal.hold_seconds == before + 1.0


def test_that_a_bearing_goes_round_and_a_depth_stops_at_its_end(whole: Window) -> None:
    heading = whole.pages.ground.water.heading.box
    type_in(heading, "358")
    heading.stepBy(1)
    assert heading.value() == 3.0
    heading.stepBy(-1)
    assert heading.value() == 358.0
    mark = whole.page.helm.mark
    mark.stepBy(1000)
    assert whole.rehearsal.mark_depth() == whole.rehearsal.setup.water.bottom.deepest
    assert not mark.refusal


# ---- what was wrong on screen


def test_that_a_deep_bottom_and_a_long_hold_are_shown_as_they_are(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    water = replace(demo.water, bottom=Bottom.level(300.0))
    window = make_window(make_live(replace(demo, water=water, hold=500.0)))
    assert window.page.helm.bottom.text() == "984.3 ft"
    assert window.page.helm.hold.text() == "500.0 s"
    assert window.pages.timing.fields.fields["bottom"].box.text() == "984.3 ft"


@pytest.mark.parametrize("place", ["ground", "spread"])
def test_that_a_fast_current_turned_runs_as_fast_as_before(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup,
    place: str,
) -> None:  # fmt: skip
    water = replace(demo.water, current=(0.0, 6.0))
    window = make_window(make_live(replace(demo, water=water)))
    window.edit_spread()
    assert window.editor is not None
    ground = window.pages.ground.water.set.box
    type_in(ground if place == "ground" else window.editor.set_bearing, "10")
    east, north = window.rehearsal.setup.water.current
    assert math.hypot(east, north) == pytest.approx(6.0, rel=1e-12)
    assert math.degrees(math.atan2(east, north)) == pytest.approx(10.0)


def test_that_a_wind_that_backs_blows_as_hard_as_before(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    window = make_window(make_live(replace(demo, water=replace(demo.water, wind=(0.0, 6.4)))))
    type_in(window.pages.ground.water.source.box, "190")
    east, north = window.rehearsal.setup.water.wind
    assert math.hypot(east, north) == pytest.approx(6.4, rel=1e-12)
    assert math.degrees(math.atan2(east, north)) == pytest.approx(10.0)


def test_that_a_number_entered_is_what_is_shown_and_kept(whole: Window) -> None:
    type_in(whole.page.helm.throttle, "6.5")
    assert whole.rehearsal.throttle()[0] == KNOT.to_si(6.5)
    type_in(whole.page.helm.bottom, "88.5")
    assert whole.rehearsal.setup.water.bottom.deepest == FOOT.to_si(88.5)


# ---- declared once


def literal(node: ast.expr) -> bool:
    """Whether a number is written out in an expression."""
    return any(
        isinstance(part, ast.Constant) and type(part.value) in (int, float)
        for part in ast.walk(node)
    )


def test_that_no_view_or_page_writes_out_the_range_of_a_number() -> None:
    app = Path(__file__).parents[2] / "app"
    found = []
    for path in sorted([*(app / "views").rglob("*.py"), *(app / "pages").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text("utf-8"), path.name)):
            if not isinstance(node, ast.Call):
                continue
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if name in RANGES and any(map(literal, node.args)):
                found.append(f"{path.name}:{node.lineno}")
            assert name not in ("QDoubleSpinBox", "QSpinBox"), path.name
    assert not found
