"""Time, the worker and the waves moved by hand, so that tests wait for nothing."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from typing import Any, ClassVar

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.ground.page import GroundPage
from app.session.document import Document
from app.session.live_run import LiveRun
from app.session.pool import Rank
from app.shell.window import Window

WORKING = (
    "session.live_run",
    "timing.model",
    "tackle.tryout",
    "measure.model",
    "compare.model",
    "ground.ways_model",
    "ground.tracks.model",
    "ground.pass_model",
    "ground.fish.model",
    "drill.model",
    "put_out.model",
    "log.model",
)
"""Modules of app whose view-models have worker processes."""


class HandTime:
    """A wall clock that moves when told to; stands in for ``time.perf_counter``, s."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now

    perf_counter = __call__

    def go_by(self, seconds: float) -> None:
        self.now += seconds


class HandBackground(QObject):
    """The worker's stand-in: keeps the newest job of each kind and does it when told to.

    Jobs go through pickle when asked for, as on their way to another process.
    A test says by ``pulse`` how far a waiting job is; ``progress`` never stops one.
    With a ``memory`` a job that was done before is not done again.
    """

    progress = Signal()
    memory: ClassVar[dict[bytes, Any] | None] = None

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.waiting: dict[str, tuple[Callable[[Any], None], bytes]] = {}
        self.shares: dict[str, float] = {}
        self.ranks: dict[str, Rank] = {}
        self.closed = False

    def ask(
        self,
        kind: str,
        answer: Callable[[Any], None],
        job: Callable[..., Any],
        *args: Any,
        reports: bool = False,
        rank: Rank = Rank.ANSWER,
    ) -> None:
        self.cancel(kind)
        self.ranks[kind] = rank
        self.waiting[kind] = answer, pickle.dumps((job, args, reports))

    def cancel(self, kind: str) -> None:
        self.waiting.pop(kind, None)
        self.shares.pop(kind, None)

    def busy(self, kind: str) -> bool:
        return kind in self.waiting

    def share(self, kind: str) -> float:
        return self.shares.get(kind, 0.0) if self.busy(kind) else 0.0

    def pulse(self, kind: str, share: float) -> None:
        """A waiting job tells its share done."""
        self.shares[kind] = share
        self.progress.emit()

    def deliver(self, *kinds: str) -> None:
        """Do every waiting job, or those of some kinds, and hand over what came out."""
        for kind in kinds or list(self.waiting):
            answer, packed = self.waiting.pop(kind)
            answer(self._done(packed))

    def _done(self, packed: bytes) -> Any:
        if self.memory is not None and packed in self.memory:
            return self.memory[packed]
        job, args, reports = pickle.loads(packed)
        try:
            result = job(*args, progress=lambda _share: False) if reports else job(*args)
        except Exception as error:
            # on its way back from another process
            result = pickle.loads(pickle.dumps(error))
        if self.memory is not None:
            self.memory[packed] = result
        return result

    def close(self) -> None:
        self.waiting.clear()
        self.closed = True


def worker_of(model: Any) -> HandBackground:
    """The stand-in a view-model works with."""
    worker = model.background
    assert isinstance(worker, HandBackground)
    return worker


class Live:
    """A live run with its times and its worker in a test's hands.

    ``time`` drives the drop; ``screen`` drives how often figures, look-aheads
    and events are due.
    """

    def __init__(self, live_run: LiveRun, time: HandTime, screen: HandTime) -> None:
        self.live_run, self.time, self.screen = live_run, time, screen
        self.said: list[str] = []
        for source in (live_run.document, live_run):
            source.trouble.connect(self.said.append)

    @property
    def document(self) -> Document:
        return self.live_run.document

    @property
    def worker(self) -> HandBackground:
        worker: Any = self.live_run.background
        assert isinstance(worker, HandBackground)
        return worker

    def frame(self, seconds: float) -> None:
        """One frame, so many wall seconds after the last."""
        self.time.go_by(seconds)
        self.screen.go_by(seconds)
        self.live_run.tick()

    def sail(self, seconds: float, frame: float = 0.1) -> None:
        """Let rehearsal seconds go by, in frames of at most ``frame`` wall seconds."""
        clock = self.live_run.clock
        end = clock.now + seconds
        while clock.now < end - 1e-9:
            self.frame(min(frame, (end - clock.now) / clock.speed))

    def look(self) -> None:
        """New figures, look-ahead and events for this very moment."""
        self.worker.waiting.clear()
        self.screen.go_by(2.0)
        self.live_run.tick()
        self.worker.deliver()

    def settle(self) -> None:
        """Let the steady tow be found."""
        assert self.live_run.settling
        self.worker.deliver()


def lower_panel(window: Window, number: int) -> GroundPage:
    """The Ground page just opened with one of its lower panels in front."""
    QTest.keyClick(window, Qt.Key.Key_F8)
    window.live_run.timer.stop()
    window.pages.ground.show_lower(number)
    return window.pages.ground


def hover(port: QWidget, at: QPoint) -> None:
    """The pointer over ``at`` (pixels of ``port``) with no button down.

    Sent to the widget itself: ``QTest.mouseMove`` goes by way of the platform's cursor
    and gives no event when that is thought to be there already.
    """
    none = Qt.MouseButton.NoButton
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        QPointF(at),
        QPointF(port.mapToGlobal(at)),
        none,
        none,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(port, event)


def lay_out() -> None:
    """Let Qt do what waits: what is laid out may ask for another layout."""
    for _ in range(3):
        QApplication.processEvents()
