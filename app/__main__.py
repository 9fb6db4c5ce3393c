"""Start the program: ``leadfall`` or ``python -m app``."""

from __future__ import annotations

import sys

from app.shell.cli import main

__all__ = ["main"]

if __name__ == "__main__":
    sys.exit(main())
