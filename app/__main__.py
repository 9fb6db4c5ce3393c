"""Start the program: ``leadfall`` or ``python -m app``."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from app.common.interrupts import end_on_interrupt
from app.common.one_thread import compute_in_one_thread

__all__ = ["main"]


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code."""
    if argv is None:
        end_on_interrupt()
    # before anything loads a matrix library
    compute_in_one_thread()
    words = list(sys.argv[1:] if argv is None else argv)
    if words[:1] == ["--check"]:
        # asked when something is broken: before anything else is loaded
        from app.shell.check import main as check

        return check(words[1:])
    from app.shell.cli import main as command

    return command(words)


if __name__ == "__main__":
    if getattr(sys, "frozen", False):
        # worker processes of a stand-alone Leadfall begin here, too
        import multiprocessing

        multiprocessing.freeze_support()
    sys.exit(main())
