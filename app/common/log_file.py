"""What went wrong, written down for whoever helps: a file in the user's folder that stays small."""

from __future__ import annotations

import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import make_folder
from app.common.resources import user_folder

LOG = logging.getLogger("leadfall")

LARGEST, KEPT = 500_000, 3
"""Bytes of one log file, and how many older ones stay beside it."""


def log_file() -> Path:
    """Where it is written; it may not exist yet."""
    return user_folder() / "leadfall.log"


class LogFile(RotatingFileHandler):
    """Open only while a line is written, so that every window may write and rotate it.

    Where it cannot be written nothing is said: what a person made is told of by its keeper.
    """

    def __init__(self, path: Path) -> None:
        super().__init__(path, maxBytes=LARGEST, backupCount=KEPT, encoding="utf-8", delay=True)
        self.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(process)d %(message)s"))

    def emit(self, record: logging.LogRecord) -> None:
        """Write a line, in a folder that is made for it."""
        try:
            make_folder(Path(self.baseFilename).parent)
            super().emit(record)
            if self.stream is not None:
                self.stream.close()
        except (OSError, BadInput):
            pass
        finally:
            self.stream = None

    def handleError(self, record: logging.LogRecord) -> None:
        """A full disk is no second trouble."""


def begin_log() -> LogFile:
    """Have LOG written to the user's folder; ``end_log`` ends that."""
    handler = LogFile(log_file())
    LOG.addHandler(handler)
    LOG.setLevel(logging.INFO)
    return handler


def end_log(handler: LogFile) -> None:
    """Write no more."""
    LOG.removeHandler(handler)
    LOG.setLevel(logging.NOTSET)
    handler.close()
