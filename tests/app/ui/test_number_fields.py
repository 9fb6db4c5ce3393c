"""Every field for a number, on every page: it shows, it never changes, it refuses in its place."""

from __future__ import annotations

import ast
import math
import random
import re
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QFocusEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT, KNOT
from app.scenario.setup import Setup
from app.shell.page_stack import PAGES
from app.shell.window import Window
from app.tackle.form import ThingNumber
from app.ui.number_field import NumberField, Refusal, Waiting
from physics.checks import InvalidValue
from physics.environment.water import Bottom
from physics.vessel.boat import Order
from tests.app.by_hand import Live

RANGES = {"setRange", "setMinimum", "setMaximum", "setDecimals", "setSingleStep", "Limits"}

KIN = {"depth": {"edge"}, "edge": {"depth"}, "speed": {"slower"}}
"""What a field of one attribute shows anew when another is edited: a mark is its edges."""

ROUNDS = 4
"""Times that every field is given another legal value."""

TRIES = 20
"""Values tried for a field that has to agree with others."""


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
        speed=3.912345678, heading=0.543212345, orders=(Order(50.0, "engines", 1),),
    )  # fmt: skip


@pytest.fixture
def whole(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> Window:
    """A window with all its pages and the spread editor made, and tackle of the user's own."""
    window = make_window(make_live(odd(demo)))
    for name, _, _ in PAGES:
        getattr(window.pages, name)
    window.pages.tackle.copy.click()
    fish = window.pages.fish
    fish.choose(replace(fish.fight, throttle=2.123456789, fish_depth=1.123456789))
    window.edit_spread()
    return window


def number_fields(window: Window) -> list[NumberField]:
    """All there are; those of tackle last, for the spread's are made anew with other tackle."""
    return sorted(window.findChildren(NumberField), key=lambda f: isinstance(f, ThingNumber))


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
            ("setup", window.document.setup),
            ("lineup", pages.comparison.lineup),
            ("errors", pages.measuring.sheet.errors),
            ("fight", pages.fish.fight),
        )
        for path, value in leaves(part, name)
    }


def values(every: list[NumberField]) -> list[float]:
    """What the document says to every field."""
    return [field.get() for field in every]


def visit(field: NumberField) -> None:
    """Come by with Tab, and go on."""
    for kind in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
        QApplication.sendEvent(field, QFocusEvent(kind, Qt.FocusReason.TabFocusReason))


def type_in(field: NumberField, text: str) -> None:
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def same(field: NumberField, old: float) -> bool:
    """Whether the document says what it said before; a bearing may be told another way round."""
    off = field.get() - old
    if field.scale().turn:
        off = math.remainder(off, 2.0 * math.pi)
    return abs(off) <= 1e-11 * max(abs(old), 1.0)


def some(field: NumberField, dice: random.Random) -> float:
    """A legal value: an end of the range, or one finer than is shown."""
    low, high, _ = field.limits()
    span = min(high, low + 60.0) - low
    return dice.choice([low, high, *(low + span * dice.random() for _ in range(4))])


def can_be_edited(field: NumberField) -> bool:
    return field.isEnabledTo(field.window()) and not field.isReadOnly()


def test_that_every_legal_value_stays_bit_for_bit_through_showing_focus_and_units(
    whole: Window,
) -> None:
    dice = random.Random(1)
    every = number_fields(whole)
    taken = dict.fromkeys(every, 0)
    for _ in range(ROUNDS):
        for field in filter(can_be_edited, every):
            for _ in range(TRIES):
                try:
                    field.put(some(field, dice))
                except (InvalidValue, Waiting):
                    field.reset()
                else:
                    taken[field] += 1
                    break
        before, kept = values(every), document(whole)
        steps = whole.document.undo_stack.count()
        for unit in ("meters", "feet"):
            for field in every:
                visit(field)
            whole.preferences.set_length(unit)
            shown = [
                field.scale().number(value) for field, value in zip(every, before, strict=True)
            ]
            assert [field.value() for field in every] == pytest.approx(shown, rel=1e-12)
        assert values(every) == before
        assert document(whole) == kept
        assert whole.document.undo_stack.count() == steps
    assert not [f.accessibleName() for f in every if can_be_edited(f) and taken[f] < 2]


def test_that_all_fields_are_of_this_one_kind_and_stand_by_their_refusal(whole: Window) -> None:
    every = number_fields(whole)
    assert len(every) > 60
    assert all(field.accessibleName() and field.toolTip() for field in every)
    resting = {field.accessibleName() for field in every if not can_be_edited(field)}
    assert resting == {
        "Wait after the mark", "Hold out of gear", "Replay from", "Replay up to",
        "Bottom runs along", "Hold just", "Wait just",
    }, "without a plan, a track, a slope or a pin"  # fmt: skip


def test_that_editing_one_field_changes_nothing_else(whole: Window) -> None:
    dice = random.Random(2)
    every = number_fields(whole)
    mark = {"setup.mark.depth", "setup.mark.band"}
    # warmth and salt are what these two come of
    water = {"setup.water.density", "setup.water.viscosity"}
    for field in filter(can_be_edited, every):
        name, attribute = field.accessibleName(), field.quantity.attribute
        shown, kept = values(every), document(whole)
        for _ in range(TRIES):
            number = field.scale().number(some(field, dice))
            if number != field.value():
                type_in(field, f"{number:.{field.decimals()}f}")
                if not field.refusal:
                    break
                field.reset()
        assert field.get() != shown[every.index(field)], (name, field.refusal)
        after = document(whole)
        changed = {path for path in kept if kept[path] != after[path]}
        # a candidate that nobody named is named for what it is
        changed = {path for path in changed if not re.fullmatch(r"lineup\..*\.name", path)}
        assert len(changed) <= 1 or changed in (mark, water), (name, changed)
        kin = {attribute, *KIN.get(attribute, ())}
        for other, old in zip(every, shown, strict=True):
            told = name, other.accessibleName()
            assert same(other, old) or other.quantity.attribute in kin, told


def test_that_a_number_out_of_range_is_refused_where_it_stands(whole: Window) -> None:
    every, labels = number_fields(whole), whole.findChildren(Refusal)
    kept, before = document(whole), values(every)
    for field in filter(can_be_edited, every):
        name = field.accessibleName()
        far = field.scale().ends(*field.limits()[:2])[1]
        type_in(field, f"{far + 1.0:.{field.decimals()}f}")
        assert field.range_text() in field.refusal, name
        said = [label.text() for label in labels if not label.isHidden()]
        assert said == [field.refusal], name
        visit(field)
        assert field.refusal, f"{name}: coming by takes nothing back"
        QTest.keyClick(field, Qt.Key.Key_Escape)
        assert not field.refusal, name
        assert field.value() == pytest.approx(field.scale().number(field.get())), name
        assert not [label for label in labels if not label.isHidden()], name
    assert document(whole) == kept
    assert values(every) == before


@pytest.mark.parametrize("name", ["50 lb mono leader", "skiff, 18 ft, one engine"])
def test_that_numbers_of_a_line_and_a_boat_are_kept_and_changed_alone(
    window: Window, name: str
) -> None:
    dice = random.Random(3)
    page = window.pages.tackle
    assert page.list.choose(name)
    page.copy.click()
    every: list[NumberField] = [row.box for row in page.form.rows.values()]
    assert len(every) >= 6
    for field in every:
        before = values(every)
        for _ in range(TRIES):
            number = field.scale().number(some(field, dice))
            type_in(field, f"{number:.6f}")
            if not field.refusal and field.get() != before[every.index(field)]:
                break
        after = values(every)
        changed = [k for k in range(len(every)) if before[k] != after[k]]
        assert changed == [every.index(field)], field.accessibleName()
        for unit in ("meters", "feet"):
            visit(field)
            window.preferences.set_length(unit)
        assert values(every) == after


def test_that_the_wheel_scrolls_the_page_and_turns_only_a_field_in_hand(window: Window) -> None:
    field = window.page.helm.hold
    at = QPointF(5.0, 5.0)
    event = QWheelEvent(
        at, field.mapToGlobal(at), QPoint(), QPoint(0, 120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    before = window.live_run.auto_hold.seconds
    QApplication.sendEvent(field, event)
    assert window.live_run.auto_hold.seconds == before
    field.setFocus()
    QApplication.sendEvent(field, event)
    assert window.live_run.auto_hold.seconds == before + 1.0


def test_that_a_bearing_goes_round_and_a_depth_stops_at_its_end(whole: Window) -> None:
    heading = whole.pages.ground.water.heading.box
    type_in(heading, "358")
    heading.stepBy(1)
    assert heading.value() == 3.0
    heading.stepBy(-1)
    assert heading.value() == 358.0
    mark = whole.page.helm.mark
    mark.stepBy(1000)
    assert whole.document.mark_depth() == whole.document.setup.water.bottom.deepest
    assert not mark.refusal


def test_that_a_number_taken_back_is_not_taken_up_with_the_next(window: Window) -> None:
    fields = window.pages.timing.fields.fields
    before = window.document.setup
    type_in(fields["mark_top"].box, "29")
    assert fields["mark_top"].box.refusal == "Not used yet."
    QTest.keyClick(fields["mark_top"].box, Qt.Key.Key_Escape)
    type_in(fields["clearance"].box, "3")
    after = window.document.setup
    assert after.timing.clearance == FOOT.to_si(3.0)
    assert after.mark == before.mark


def test_that_the_bearing_of_a_slope_is_kept_and_turned_alone(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], shoal: Setup
) -> None:
    water = replace(shoal.water, bottom=replace(shoal.water.bottom, bearing=1.23456789))
    window = make_window(make_live(replace(shoal, water=water)))
    box = window.pages.ground.bottom.bearing.box
    visit(box)
    assert window.document.setup.water.bottom.bearing == 1.23456789
    type_in(box, "90")
    bottom = window.document.setup.water.bottom
    assert bottom.bearing == pytest.approx(math.radians(90.0))
    assert bottom.points == shoal.water.bottom.points


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
    east, north = window.document.setup.water.current
    assert math.hypot(east, north) == pytest.approx(6.0, rel=1e-12)
    assert math.degrees(math.atan2(east, north)) == pytest.approx(10.0)


def test_that_a_current_put_on_a_bearing_before_it_runs_is_on_it_everywhere(
    window: Window,
) -> None:
    window.edit_spread()
    assert window.editor is not None
    type_in(window.pages.ground.water.set.box, "70")
    type_in(window.editor.drift, "2")
    east, north = window.document.setup.water.current
    assert math.degrees(math.atan2(east, north)) == pytest.approx(70.0)


def test_that_a_wind_that_backs_blows_as_hard_as_before(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    window = make_window(make_live(replace(demo, water=replace(demo.water, wind=(0.0, 6.4)))))
    type_in(window.pages.ground.water.source.box, "190")
    east, north = window.document.setup.water.wind
    assert math.hypot(east, north) == pytest.approx(6.4, rel=1e-12)
    assert math.degrees(math.atan2(east, north)) == pytest.approx(10.0)


def test_that_a_number_entered_is_what_is_shown_and_kept(whole: Window) -> None:
    type_in(whole.page.helm.throttle, "6.5")
    assert whole.live_run.throttle()[0] == KNOT.to_si(6.5)
    type_in(whole.page.helm.bottom, "88.5")
    assert whole.document.setup.water.bottom.deepest == FOOT.to_si(88.5)


# ---- declared once


def literal(node: ast.expr) -> bool:
    """Whether a number is written out in an expression."""
    return any(
        isinstance(part, ast.Constant) and type(part.value) in (int, float)
        for part in ast.walk(node)
    )


def test_that_no_view_or_page_writes_out_the_range_of_a_number() -> None:
    app = Path(__file__).parents[3] / "app"
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
