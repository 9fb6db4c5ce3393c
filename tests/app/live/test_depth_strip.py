"""The depth strip: hover tells each lure's depth, and events carry their figures."""

from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QMouseEvent, QPainter, QTransform
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT, POUND_FORCE
from app.gear.catalog import Catalog
from app.live.depth_strip import AFTER, BEFORE, DepthStrip
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.canvas import Axes
from app.ui.hover import draw_hover
from app.ui.preferences import Preferences
from physics.simulation.events import Event
from tests.app.by_hand import Live
from tests.app.live.stages import STAGES, dropping, lifting


@pytest.fixture
def strip(window: Window) -> DepthStrip:
    return window.page.depth_strip


def point_at(strip: DepthStrip, seconds: float) -> list[str]:
    """Put the pointer at a time from now and read what is told."""
    at = QPointF(strip.view.mapViewToDevice(QPointF(seconds, 0.0)).x(), 40.0)
    event = QMouseEvent(
        QEvent.Type.MouseMove, at, strip.viewport().mapToGlobal(at),
        Qt.MouseButton.NoButton, Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    QApplication.sendEvent(strip.viewport(), event)
    strip.grab()
    return strip.hover_lines


def told_depth(line: str, name: str, unit: str = "ft") -> float:
    """The figure in ``port: 12.3 ft down``."""
    assert line.startswith(f"{name}: ")
    assert line.endswith(f" {unit} down")
    return float(line.removeprefix(f"{name}: ").removesuffix(f" {unit} down"))


def test_that_the_box_of_values_leaves_most_of_the_strip_in_sight(strip: DepthStrip) -> None:
    words = ["9.0 s ago", "a very long name of a rod by which nobody ever calls it: 12.1 ft down"]
    strip.grab()
    image = QImage(800, 200, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.red)
    painter = QPainter(image)
    axes = Axes(QTransform(), QRectF(0.0, 0.0, 800.0, 200.0))
    draw_hover(painter, axes, strip.look, 100.0, words)
    painter.end()
    row = [image.pixelColor(x, 30) for x in range(110, 800)]
    red = QColor(Qt.GlobalColor.red)
    assert row[50] != red
    assert all(color == red for color in row[int(0.4 * 800) + 20 :])


def test_that_the_strip_spans_the_water_and_a_fixed_time(
    strip: DepthStrip, preferences: Preferences
) -> None:
    (left, right), (low, high) = strip.view.viewRange()
    assert (left, right) == (-BEFORE, AFTER)
    assert low < -30.0
    assert high > 0.0
    preferences.set_length("meters")
    assert -10.5 < strip.view.viewRange()[1][0] < FOOT.to_si(-30.0)


@pytest.mark.parametrize("back", [50.0, 20.0, 10.0, 1.0])
def test_that_hover_tells_where_every_lure_was(live: Live, strip: DepthStrip, back: float) -> None:
    lifting(live)
    head, port, starboard = point_at(strip, -back)[:3]
    assert head.endswith(" s ago")
    seconds = float(head.split()[0])
    assert seconds == pytest.approx(back, abs=0.2)
    track = live.live_run.track
    for number, (line, name) in enumerate(((port, "port"), (starboard, "starboard"))):
        depths = -np.interp(
            live.live_run.now - seconds + np.array([-0.1, 0.1]),
            track.time, track.lure[:, number, 2],
        )  # fmt: skip
        told = told_depth(line, name)
        assert FOOT.from_si(depths.min()) - 0.06 <= told <= FOOT.from_si(depths.max()) + 0.06


@pytest.mark.parametrize("view", ["depth_strip", "side_view"])
def test_that_the_turn_of_a_look_ahead_carries_its_lines_symbol(
    live: Live, window: Window, view: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    dropping(live)
    drawn: list[int] = []
    monkeypatch.setattr(
        f"app.live.{view}.draw_turn", lambda _painter, number, *_: drawn.append(number)
    )
    getattr(window.page, view).grab()
    assert set(drawn) == set(range(len(live.document.setup.rods)))


def test_that_hover_ahead_of_now_tells_the_look_ahead(live: Live, strip: DepthStrip) -> None:
    dropping(live)
    head, port, _ = point_at(strip, 15.0)[:3]
    assert head.endswith(" s ahead")
    ahead = live.live_run.ahead
    assert ahead is not None
    line = ahead.lines[0]
    z = np.interp(live.live_run.now + float(head.split()[0]), line.time, line.place[:, 2])
    assert told_depth(port, "port") == pytest.approx(FOOT.from_si(-z), abs=0.2)


def test_that_hover_tells_nothing_where_nothing_is_known(live: Live, strip: DepthStrip) -> None:
    live.sail(1.0)
    assert live.live_run.ahead is None
    assert point_at(strip, 15.0) == []


def test_that_hover_in_meters_tells_meters(
    live: Live, strip: DepthStrip, preferences: Preferences
) -> None:
    preferences.set_length("meters")
    live.sail(1.0)
    _, port, _ = point_at(strip, -0.5)
    deep = live.live_run.run_depth(0)
    assert told_depth(port, "port", "m") == pytest.approx(deep, abs=0.06)


def test_that_the_tale_ends_when_the_pointer_leaves(live: Live, strip: DepthStrip) -> None:
    live.sail(1.0)
    assert point_at(strip, -5.0)
    QApplication.sendEvent(strip, QEvent(QEvent.Type.Leave))
    strip.grab()
    assert strip.hover_lines == []


def test_that_hover_on_an_event_tells_its_figures(live: Live, strip: DepthStrip) -> None:
    lifting(live)
    now = live.live_run.now
    deepest = {e.rod: e for e in live.live_run.events if e.kind == "deepest"}
    assert set(deepest) == {"port", "starboard"}
    for name, event in deepest.items():
        told = [line for line in point_at(strip, event.time - now) if f"{name}: deepest" in line]
        figures = event.values
        assert told == [
            f"{name}: deepest, {FOOT.text(figures['depth_m'])}, "
            f"{FOOT.text(figures['height_m'])} off bottom, "
            f"{figures['after_in_gear_s']:.1f} s after in gear"
        ]


def test_that_every_event_in_view_can_be_told(
    make_live: Callable[[Setup], Live],
    make_window: Callable[[Live], Window],
    demo: Setup,
    catalog: Catalog,
) -> None:
    kinds: set[str] = set()
    for name in ("lifting", "on bottom"):
        live = make_live(STAGES[name].setup(demo, catalog))
        strip = make_window(live).page.depth_strip
        STAGES[name].play(live)
        now = live.live_run.now
        for event in live.live_run.events:
            if event.kind in ("out of gear", "in gear") or event.time < now - BEFORE + 1.0:
                continue
            told = point_at(strip, event.time - now)
            start = f"{event.rod}: {event.kind}"
            (line,) = {line for line in told if line.startswith(start)}
            assert any(character.isdigit() for character in line.removeprefix(start)), line
            kinds.add(event.kind)
    assert kinds >= {"deepest", "starts to lift", "passes the mark", "lure touches"}


def test_that_a_line_that_would_part_is_told_on_hover(live: Live, strip: DepthStrip) -> None:
    lifting(live)
    values = {"tension_n": POUND_FORCE.to_si(61.0), "strength_n": POUND_FORCE.to_si(27.0),
              "depth_m": 5.0}  # fmt: skip
    event = Event("over strength", live.live_run.now - 2.0, "port", values, "27 lb leadcore")
    live.live_run.outlook.events = [event]
    live.live_run.events_changed.emit()
    told = [line for line in point_at(strip, -2.0) if line.startswith("port: over strength")]
    assert told == [
        "port: over strength, 27 lb leadcore would part, pulled by up to 61 lb, stands 27 lb"
    ]


def test_that_a_low_strip_sheds_its_words_and_a_usual_one_does_not(
    strip: DepthStrip, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[int] = []
    monkeypatch.setattr(strip, "_gear_labels", lambda *_: said.append(strip.height()))
    strip.resize(700, 150)
    strip.grab()
    assert said
    said.clear()
    strip.resize(700, 90)
    strip.grab()
    assert not said
