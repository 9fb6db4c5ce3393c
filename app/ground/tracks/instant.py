"""The ways files write an instant, as seconds."""

from __future__ import annotations

from datetime import UTC, datetime


class NotATime(ValueError):
    """A text that is no instant in any way known here."""


def seconds_of(text: str) -> float:
    """Seconds from 1970 UTC of an ISO 8601 instant, taken as UTC when it names no zone.

    Raises NotATime.
    """
    try:
        instant = datetime.fromisoformat(text)
        if instant.tzinfo is None:
            instant = instant.replace(tzinfo=UTC)
        return instant.timestamp()
    except (ValueError, OverflowError) as error:
        raise NotATime(text) from error


def second_of_day(text: str) -> float:
    """Seconds since midnight of h:mm:ss. Raises NotATime."""
    parts = text.split(":")
    try:
        hour, minute = int(parts[0]), int(parts[1])
        second = float(parts[2]) if len(parts) > 2 else 0.0
    except (ValueError, IndexError) as error:
        raise NotATime(text) from error
    if len(parts) > 3 or not (0 <= hour < 24 and 0 <= minute < 60 and 0.0 <= second < 61.0):
        raise NotATime(text)
    return 3600.0 * hour + 60.0 * minute + second
