"""A machine's clock that is wrong is put right by what a server elsewhere says."""

import logging
from datetime import UTC, datetime, timedelta

import pytest

from bot.model.clock import CheckedClock

NOON = datetime(2026, 3, 3, 12, tzinfo=UTC)
YEAR = timedelta(days=365)


class World:
    """True time, and a machine's clock that may be off from it."""

    def __init__(self) -> None:
        self.passed_s, self.off = 0.0, timedelta(0)
        self.clock = CheckedClock(lambda: self.true + self.off, lambda: self.passed_s)

    @property
    def true(self) -> datetime:
        """What time it really is."""
        return NOON + timedelta(seconds=self.passed_s)

    @property
    def error_s(self) -> float:
        """How far the checked clock is from it."""
        return abs((self.clock.now() - self.true).total_seconds())


@pytest.mark.parametrize("off", [YEAR, -YEAR, timedelta(hours=1), timedelta(minutes=-6)])
def test_a_clock_that_is_wrong_from_the_start_is_right_from_the_first_answer_on(off: timedelta) -> None:
    world = World()
    world.off = off
    assert world.clock.now() == world.true + off  # nobody was asked yet
    world.clock.hear(world.true)
    for _ in range(5):
        world.passed_s += 40
        assert world.error_s < 1


@pytest.mark.parametrize("off", [YEAR, -YEAR, timedelta(hours=1), timedelta(minutes=-6)])
def test_a_step_is_not_believed_even_before_the_next_answer(off: timedelta) -> None:
    world = World()
    for step in (timedelta(0), off, timedelta(0), -off):
        world.clock.hear(world.true)
        world.passed_s += 10
        world.off = step
        assert world.error_s < 1
        world.passed_s += 100
        assert world.error_s < 1


def test_a_clock_that_is_about_right_is_the_machines_own() -> None:
    world = World()
    world.off = timedelta(seconds=90)
    world.clock.hear(world.true)
    world.passed_s += 5
    assert world.clock.now() == world.true + world.off


def test_a_wrong_clock_is_said_once_and_so_is_that_it_is_right_again(
    caplog: pytest.LogCaptureFixture,
) -> None:
    world = World()
    for off in (timedelta(0), YEAR, YEAR, timedelta(0), timedelta(0)):
        world.off = off
        world.clock.hear(world.true)
    assert [record.levelno for record in caplog.records] == [logging.ERROR, logging.WARNING]
    assert "365 days" in caplog.text
