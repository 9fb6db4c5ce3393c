"""The user's own recorded track: take a file in, read what was left out, use what it offers."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import numpy as np
from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QPlainTextEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.common.units import MINUTE, compass_degrees
from app.ground.tracks.model import TrackModel
from app.ground.tracks.offer import Offer
from app.ground.tracks.reduced import tide_during
from app.ground.tracks.replay import STRETCH
from app.ground.tracks.soundings_row import SoundingsRow
from app.session.document import Document
from app.ui.fold import EnterButton
from app.ui.late_bar import WHOLE
from app.ui.number_field import NumberField, Refusal, all_taken
from app.ui.panel import quiet
from app.ui.preferences import Preferences
from app.ui.wheel_needs_focus import ChoiceBox
from physics.calibration.slowings import MOST_START
from physics.checks import Limits

FILES = "Recorded tracks (*.nmea *.log *.txt *.gpx *.csv *.geojson *.json);;All files (*)"

HELP = (
    "Import a track you recorded: an NMEA 0183 log with places and depths, a GPX track with "
    "depths, or a CSV file with columns for time, latitude, longitude, depth and speed; or one "
    "that others gave to the public (crowd-sourced bathymetry, as GeoJSON or CSV). Its bottom "
    "becomes one to rehearse over; where the boat coasted down it can be measured."
)


class TrackPanel(QWidget):
    """``coasted`` asks for the coast-downs to be taken among the measurements."""

    coasted = Signal()

    def __init__(self, document: Document, model: TrackModel, preferences: Preferences) -> None:
        super().__init__()
        self._model, self._preferences = model, preferences
        self._offered: Offer | None = None
        self.choose = QPushButton("Import a track…")
        self.choose.clicked.connect(self._choose)
        self.bar = QProgressBar()
        self.bar.setMaximum(WHOLE)
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(8)
        self.bar.setAccessibleName("How much of the track is read")
        self.stop = QPushButton("Stop")
        self.stop.clicked.connect(model.stop)
        self.use = QPushButton("Use this bottom")
        self.use.setToolTip("Make it the scenario's, the boat heading along it (Ctrl+Z undoes)")
        self.use.clicked.connect(model.use_bottom)
        self.coasts = QPushButton("Measure the coast-downs")
        self.coasts.setToolTip("Put them among the measurements; leave out those that were none")
        self.coasts.clicked.connect(self.coasted)
        self.trip = ChoiceBox()
        self.trip.setAccessibleName("Which trip of the track")
        self.trip.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.trip.setMinimumContentsLength(24)
        self.trip.activated.connect(model.choose)
        self.replay = EnterButton(
            "Replay this run",
            "The boat goes this stretch again, turn by turn, over its bottom: try drops on it "
            "(Ctrl+Z undoes)",
        )
        self.replay.clicked.connect(self._replay)
        self._stretch = [0.0, 0.0]
        self.since = self._number(0, "Replay from")
        self.until = self._number(1, "Replay up to")
        self.soundings = SoundingsRow(document, preferences)
        self.told = QPlainTextEdit()
        self.told.setReadOnly(True)
        self.told.setAccessibleName("What was read and what was left out")
        row = QHBoxLayout()
        for widget in (self.choose, self.use, self.coasts):
            row.addWidget(widget)
        again = QHBoxLayout()
        again.addWidget(self.trip)
        again.addWidget(self.replay)
        for words, box in (("from", self.since), ("to", self.until)):
            again.addWidget(quiet(words))
            again.addWidget(box)
        again.addWidget(Refusal(self.since, self.until))
        again.addStretch(1)
        row.addWidget(self.bar, 1)
        row.addWidget(self.stop)
        row.addStretch(0)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(row)
        layout.addLayout(again)
        layout.addWidget(self.soundings)
        layout.addWidget(self.told, 1)
        model.changed.connect(self.refresh)
        model.progress_changed.connect(self._progress)
        preferences.units_changed.connect(self.refresh)
        self.refresh()

    def _choose(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Import a track", "", FILES)
        if name:
            self._model.read(Path(name))

    def _progress(self) -> None:
        self.bar.setValue(round(WHOLE * self._model.progress))

    def refresh(self) -> None:
        """Show what there is."""
        model = self._model
        busy, offer = model.busy, model.offer
        self.bar.setVisible(busy)
        self.stop.setVisible(busy)
        self._progress()
        self.use.setEnabled(offer is not None and offer.ground is not None)
        self.coasts.setEnabled(offer is not None and bool(offer.coasts))
        self.trip.setVisible(len(model.offers) > 1)
        before, self._offered = self._offered, offer
        if _times(offer) is not _times(before):
            self._offer_trips()
            self._offer_stretch()
        known = offer is not None and not busy
        for widget in (self.replay, self.since, self.until):
            widget.setEnabled(known and not model.replaying)
        self.told.setPlainText("\n".join(self.words()))

    def _offer_trips(self) -> None:
        """All trips to choose from, by when they began."""
        offers = self._model.offers
        self.trip.clear()
        for number, offer in enumerate(offers, start=1):
            self.trip.addItem(f"Trip {number} of {len(offers)}: {_when(offer)}")
        self.trip.setCurrentIndex(self._model.trip)

    def _offer_stretch(self) -> None:
        """The whole track to choose from, its usual stretch to begin with."""
        offer = self._offered
        if offer is None:
            return
        self._stretch[:] = self._model.stretch or (0.0, self._end())
        self.since.reset()
        self.until.reset()

    def _number(self, place: int, name: str) -> NumberField:
        """The beginning or the end of the stretch."""
        return NumberField(
            STRETCH, lambda: self._stretch[place], partial(self._stretch.__setitem__, place),
            self._preferences, name,
            limits=lambda: Limits(STRETCH.low, self._end(), STRETCH.limits.unit),
        )  # fmt: skip

    def _end(self) -> float:
        """Where the track ends, s."""
        return 0.0 if self._offered is None else float(self._offered.log.time[-1])

    def _replay(self) -> None:
        if all_taken(self.since, self.until):
            self._model.replay(*self._stretch)

    def words(self) -> list[str]:
        """What was read, left out and found, a line each."""
        model, unit = self._model, self._preferences.length
        if model.busy:
            return [f"Reading {model.path.name if model.path else ''}…"]
        offer = model.offer
        if offer is None:
            return [model.trouble or HELP]
        out = [offer.log.name, *offer.log.report.sentences()]
        if len(model.offers) > 1:
            number = f"Trip {model.trip + 1} of {len(model.offers)}"
            out.append(f"{number}, {_when(offer)}, {len(offer.log):,} places:")
        if offer.ground is None:
            out.append(f"No bottom: {offer.none}")
        else:
            bottom = offer.ground.bottom
            length = bottom.points[-1][0] - bottom.points[0][0]
            out.append(
                f"Bottom along {compass_degrees(bottom.bearing):03.0f}°, {unit.text(length, 0)} "
                f"long, {unit.text(bottom.shallowest)} to {unit.text(bottom.deepest)} deep; depths "
                f"spread by {unit.text(offer.ground.rough)} within a spot, and nine in ten places "
                f"lie within {unit.text(offer.ground.aside, 0)} of the line."
            )
        out += self._depth_words(offer)
        out += [
            f"Coasted down? From {self._preferences.speed.text(float(coast.speed[0]))} to "
            f"{self._preferences.speed.text(float(coast.speed[-1]))} in {coast.seconds[-1]:.0f} s, "
            f"{coast.began:.0f} s into the track."
            for coast in offer.coasts
        ]
        if offer.too_fast:
            fastest = self._preferences.speed.text(MOST_START)
            out.append(f"Left out as coast-downs, begun faster than {fastest}: {offer.too_fast}.")
        return self._replay_words() + out

    def _depth_words(self, offer: Offer) -> list[str]:
        """What was done to the depths for the transducer and the tide."""
        unit, soundings = self._preferences.length, self._model.soundings
        if offer.log.depth_from == "none":
            return []
        out = []
        if offer.log.depth_from == "surface":
            out.append("The file's depths are from the surface: the transducer adds nothing.")
        elif soundings.transducer:
            out.append(f"{unit.text(soundings.transducer)} added for the transducer.")
        else:
            out.append("Add how deep the transducer sits, unless the sounder adds it itself.")
        if soundings.table and offer.ground is not None:
            tide = tide_during(offer.log, soundings)
            low, high = unit.text(float(np.nanmin(tide))), unit.text(float(np.nanmax(tide)))
            out.append(f"Tide of {low} to {high} taken off.")
            if lost := int(np.isnan(tide).sum()):
                out.append(f"Left out, before or after the tide table: {lost:,} depths.")
        elif soundings.tide:
            out.append(f"Tide of {unit.text(soundings.tide)} taken off.")
        if soundings.tide_now:
            out.append(f"Tide of {unit.text(soundings.tide_now)} to rehearse at put on.")
        return [" ".join(out)]

    def _replay_words(self) -> list[str]:
        model, unit = self._model, self._preferences.length
        if model.replaying:
            return ["Working out how she was steered…"]
        if model.no_replay:
            return [f"No replay: {model.no_replay}"]
        replay = model.replayed
        if replay is None:
            return []
        minutes, seconds = divmod(round(replay.seconds), 60)
        far = unit.text(replay.way, 0)
        return [
            f"Replaying {minutes}:{seconds:02d} of it, {far} through the water: "
            f"{unit.text(replay.off, 0)} off the recorded places on the whole, "
            f"{unit.text(replay.worst, 0)} at most. Go out of gear anywhere on it."
        ]


def _times(offer: Offer | None) -> object:
    """What stays the same of an offer when only its depths are another's."""
    return None if offer is None else offer.log.time


def _when(offer: Offer) -> str:
    """When a trip began, where it is known, and how long it was."""
    minutes = MINUTE.from_si(float(offer.log.time[-1]))
    long = f"{minutes:.0f} min" if minutes < 120.0 else f"{minutes / 60.0:.1f} h"
    began = offer.log.began
    return long if began is None else f"{began:%Y-%m-%d %H:%M} UTC, {long}"
