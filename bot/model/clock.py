"""The only reader of "now"."""

from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Tells the present instant, aware and in UTC."""

    def now(self) -> datetime:
        """Return the present instant."""
        ...


class SystemClock:
    """The machine's clock."""

    def now(self) -> datetime:
        """Return the present instant."""
        return datetime.now(UTC)


class SettableClock:
    """A clock for scripts and tests: it stands still until it is moved, and never moves back."""

    def __init__(self, at: datetime) -> None:
        self._at = at.astimezone(UTC)

    def now(self) -> datetime:
        """Return the instant it was last set to."""
        return self._at

    def move_to(self, at: datetime) -> None:
        """Move forward to `at`; an earlier instant raises ValueError."""
        at = at.astimezone(UTC)
        if at < self._at:
            raise ValueError(f"the clock cannot go back from {self._at} to {at}")
        self._at = at
