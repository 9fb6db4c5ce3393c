"""A course to steer: a shape with radius and side, or a way drawn with the mouse."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout

from app.common.units import FOOT
from app.ground.course_drawing import CourseDrawing
from app.scenario.courses import (
    SHAPES,
    TURNS,
    ahead_of,
    course_now,
    course_path,
    drift_of,
    length_of,
    shaped_course,
    steered_along,
)
from app.session.live_run import LiveRun
from app.ui.fold import EnterButton, FoldPanel
from app.ui.number_field import Field, NumberField, all_taken
from app.ui.panel import quiet
from app.ui.preferences import Preferences
from app.ui.wheel_needs_focus import ChoiceBox
from physics.checks import InvalidValue
from physics.vessel.boat import Leg

Array = NDArray[np.float64]

DRAWN = "as drawn"

USUAL_RADIUS = FOOT.to_si(200.0)

LEAST_SPEED = 0.5
"""A track is predicted at no less, m/s: without way there is only drift."""

SHOWN = 2000.0
"""So much of a course still to run is drawn, m."""


class CoursePanel(FoldPanel):
    """Fields, the course's track before it is ordered, and the order. ``drawing`` paints."""

    def __init__(self, live_run: LiveRun, drawing: CourseDrawing, preferences: Preferences) -> None:
        super().__init__("Course to steer")
        self._live_run, self._drawing, self._preferences = live_run, drawing, preferences
        self._drawn: Array | None = None
        self._wanted = False
        self._radius = USUAL_RADIUS
        self.shape, self.side = ChoiceBox(), ChoiceBox()
        self.shape.setAccessibleName("Shape of the course")
        self.shape.addItems([shape.capitalize() if shape.islower() else shape for shape in SHAPES])
        self.side.setAccessibleName("Side of the first turn")
        self.side.addItems(["to starboard", "to port"])
        self.radius = Field("Radius of the turns", NumberField(
            TURNS, lambda: self._radius, self._set_radius, preferences
        ))  # fmt: skip
        self.told = quiet()
        self.told.setWordWrap(True)
        # as tall as its longest words, so that the buttons stay where they are
        self.told.setMinimumHeight(2 * self.told.fontMetrics().lineSpacing())
        self.told.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.steer = EnterButton("Steer it now", "Steer this course from here (Enter)")
        self.draw = EnterButton("Draw it", "Draw a way with the mouse on the view from above")
        self.amidships = EnterButton("Amidships", "End the course and go straight on (C)")
        first = QHBoxLayout()
        first.addWidget(self.shape, 1)
        first.addWidget(self.side)
        self.body.addLayout(first)
        self.body.addWidget(self.radius)
        self.body.addWidget(self.told)
        self.body.addWidget(self.steer)
        second = QHBoxLayout()
        second.addWidget(self.draw)
        second.addWidget(self.amidships)
        self.body.addLayout(second)
        self.shape.currentIndexChanged.connect(self._changed)
        self.side.currentIndexChanged.connect(self._changed)
        self.steer.clicked.connect(self._steer)
        self.draw.clicked.connect(self._draw)
        self.amidships.clicked.connect(lambda: live_run.set_wheel(0.0))
        drawing.drawn.connect(self._take_drawn)
        drawing.ended.connect(self._changed)
        self.folded.connect(self._fold_changed)
        live_run.helm_changed.connect(self.refresh)
        live_run.restarted.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        self.refresh()

    def _set_radius(self, radius: float) -> None:
        self._radius = radius
        self._changed()

    def _changed(self) -> None:
        self._wanted = self.is_open
        self.refresh()

    def _fold_changed(self) -> None:
        """A page that opens the panel because there is room asks for no course."""
        self._wanted = self.is_open and self.by_hand
        self.refresh()

    # ---- drawing

    def _draw(self) -> None:
        if self._drawing.drawing:
            self._drawing.give_up()
        else:
            self._drawing.begin()
            self.refresh()

    def _take_drawn(self, places: Array) -> None:
        self._drawn = places
        if self.shape.findText(DRAWN.capitalize()) < 0:
            self.shape.addItem(DRAWN.capitalize())
        self.shape.setCurrentIndex(self.shape.count() - 1)

    # ---- the course

    def course(self) -> tuple[Leg, ...]:
        """The course that would be steered from here. Raises InvalidValue."""
        if self.shape.currentIndex() < len(SHAPES):
            side = 1 if self.side.currentIndex() == 0 else -1
            return shaped_course(SHAPES[self.shape.currentIndex()], self._radius, side)
        boat = self._live_run.picture.boat
        places = np.empty((0, 2)) if self._drawn is None else self._drawn
        return steered_along(places, boat, self._speed(), drift_of(boat))

    def _speed(self) -> float:
        """Speed she makes in gear, m/s: her own, or out of gear what the throttle asks for."""
        boat = self._live_run.picture.boat
        speed = boat.speed if boat.in_gear else self._live_run.throttle()[0]
        return max(speed, LEAST_SPEED)

    def _steer(self) -> None:
        if not all_taken(self.radius.box):
            return
        try:
            legs = self.course()
        except InvalidValue as error:
            self.told.setText(f"Cannot be steered: needs {error.allowed}.")
            return
        self._wanted = False
        self._live_run.steer(legs)

    def refresh(self) -> None:
        """What is drawn and what may be pressed; cheap enough for five times a second."""
        live_run, drawing = self._live_run, self._drawing
        under = live_run.under_orders
        now = course_now(live_run.run, live_run.now)
        boat, speed = live_run.picture.boat, self._speed()
        drawing.steered = drawing.planned = None
        if now is not None:
            rest = ahead_of(*now, SHOWN)
            drawing.steered = course_path(boat, rest, speed, drift_of(boat))
        by_shape = self.shape.currentIndex() < len(SHAPES)
        self.side.setEnabled(under and by_shape)
        self.radius.setEnabled(under and by_shape)
        for widget in (self.shape, self.steer, self.draw):
            widget.setEnabled(under)
        self.amidships.setEnabled(under and (now is not None or live_run.wheel() != 0.0))
        self.draw.setText("Give up" if drawing.drawing else "Draw it")
        words = self._words(under)
        if self.is_open and under and (self._wanted or now is None) and not drawing.drawing:
            try:
                legs = self.course()
            except InvalidValue as error:
                words = f"Cannot be steered: needs {error.allowed}."
                self.steer.setEnabled(False)
            else:
                if self._wanted:
                    drawing.planned = course_path(boat, legs, speed, drift_of(boat))
                words = self._length_words(legs, speed)
        if self.told.text() != words:
            self.told.setText(words)

    def _words(self, under: bool) -> str:
        if not under:
            return "The boat's motion is given by a table: the helm does not answer."
        if self._drawing.drawing:
            return "Draw with the mouse on the view from above; Escape gives up."
        return ""

    def _length_words(self, legs: tuple[Leg, ...], speed: float) -> str:
        unit = self._preferences.length
        length = length_of(legs)
        minutes, seconds = divmod(math.ceil(length / speed), 60)
        wide = ""
        if self.shape.currentIndex() < len(SHAPES):
            wide = f", {unit.text(2.0 * self._radius, 0)} wide"
        at = self._preferences.speed.text(speed)
        return f"{unit.text(length, 0)} through the water{wide}: {minutes}:{seconds:02d} at {at}."
