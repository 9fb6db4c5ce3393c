"""Ctrl+C, being asked to end, or a terminal that closes leaves the dashboard the proper way."""

from __future__ import annotations

import signal
import socket
from collections.abc import Callable

from PySide6.QtCore import QObject, QSocketNotifier

SIGNALS = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


def leave_on_signals(leave: Callable[[int], None], parent: QObject) -> Callable[[], None]:
    """Call ``leave(128 + signal)`` on the GUI thread when one of SIGNALS comes; returns its end.

    Qt's event loop lets no Python run while it waits, so the signal also wakes
    it, by way of a socket.
    """
    here, there = socket.socketpair()
    for side in (here, there):
        side.setblocking(False)
    wake = QSocketNotifier(here.fileno(), QSocketNotifier.Type.Read, parent)
    wake.activated.connect(lambda: here.recv(64))
    signal.set_wakeup_fd(there.fileno(), warn_on_full_buffer=False)
    for number in SIGNALS:
        # with nohup it is to outlive its terminal
        if number == signal.SIGINT or signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, lambda number, _frame: leave(128 + number))

    def end() -> None:
        signal.set_wakeup_fd(-1)
        wake.setEnabled(False)
        here.close()
        there.close()

    return end
