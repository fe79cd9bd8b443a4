"""The only reader of "now"."""

import logging
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Protocol

OFF = timedelta(minutes=5)
"""A machine's clock that is off by less is believed."""
_log = logging.getLogger(__name__)


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


def steady_s() -> float:
    """Return seconds that no setting of the clock moves; sleeping machines count on where they can."""
    counter = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if counter is None else time.clock_gettime(counter)


class CheckedClock:
    """The machine's clock as long as it agrees with what a server last said, else what that server said.

    A clock that is a year ahead for a minute would have everything due said, and dated, a year early.
    """

    def __init__(
        self,
        machine: Callable[[], datetime] | None = None,
        steady_s: Callable[[], float] = steady_s,
    ) -> None:
        self._machine, self._steady_s = machine or SystemClock().now, steady_s
        self._told: tuple[datetime, float] | None = None
        self._is_off = False

    def hear(self, said: datetime) -> None:
        """Take note of what time it is elsewhere, just now."""
        self._told = said, self._steady_s()
        off = self._machine() - said
        if (abs(off) > OFF) != self._is_off:
            self._is_off = not self._is_off
            if self._is_off:
                off = timedelta(seconds=round(abs(off).total_seconds()))
                _log.error("this machine's clock is off by %s and is not used: set it by network time", off)
            else:
                _log.warning("this machine's clock is right again")

    def now(self) -> datetime:
        """Return the present instant."""
        machine = self._machine()
        if self._told is None:
            return machine
        said, at_s = self._told
        elsewhere = said + timedelta(seconds=self._steady_s() - at_s)
        return machine if abs(machine - elsewhere) <= OFF else elsewhere


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
