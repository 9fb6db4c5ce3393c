"""What Ctrl+C does while the program starts, and while a command runs."""

from __future__ import annotations

import signal


def end_on_interrupt() -> None:
    """Ctrl+C ends the process without a word: nothing has been done yet that could be lost.

    A KeyboardInterrupt among imports is a traceback, and one that falls into a library's own
    start may be swallowed there and leave half a library.
    """
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)


def raise_on_interrupt() -> None:
    """Ctrl+C raises KeyboardInterrupt, as Python has it, unless it is ignored."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_DFL:
        signal.signal(signal.SIGINT, signal.default_int_handler)
