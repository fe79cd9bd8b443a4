"""A clock that was a year ahead, or behind, for an hour leaves the days after it as they would have been."""

from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from bot.app import App
from bot.model.messages import Attachment, Incoming
from tests.talk import readings_csv

START = datetime(2026, 3, 3, 6, tzinfo=UTC)
YEAR, STEP = timedelta(days=365), timedelta(minutes=30)


class WrongClock:
    """A clock that tells true time moved by `off`."""

    def __init__(self) -> None:
        self.true, self.off = START, timedelta(0)

    def now(self) -> datetime:
        """Return what this clock shows."""
        return self.true + self.off


@cache
def reminded(off: timedelta) -> tuple[list[str], list[str]]:
    """Live six days, on the second of which the clock is off for an hour.

    Return what the clock brought in that hour, and what it brought, and when, from a day after it on
    (how it begins).
    """
    clock = WrongClock()
    app = App("sqlite://", zone="Europe/Vienna", clock=clock, talk="full")
    wrong_from, wrong_until = START + timedelta(days=1, hours=6), START + timedelta(days=1, hours=7)
    meanwhile, after = [], []
    said = 0

    def send(text: str = "", file: Attachment | None = None) -> None:
        nonlocal said
        said += 1
        update = f"u{said}"
        at = clock.now()
        app.receive(Incoming("me", update, at, message_id=update, text=text, file=file))

    send("new sensor on yesterday at 8:00")
    send("evening line please")
    while clock.true < START + timedelta(days=6):
        wrong = wrong_from <= clock.true < wrong_until
        clock.off = off if wrong else timedelta(0)
        for message in app.tick():
            assert message.id is not None
            app.sent({message.id: f"r{message.id}"})
            if wrong:
                meanwhile.append(message.text)
            elif clock.true > wrong_until + timedelta(days=1):
                after.append(f"{clock.true:%d %H:%M} {message.text[:20]}")
        if clock.true.minute == 0 and clock.true.hour in (6, 12, 17):
            send("150 g oats")
        if clock.true.minute == 30 and clock.true.hour == 12 and clock.true.day % 2:
            since = clock.now() - timedelta(hours=6)
            send(file=Attachment("r.csv", readings_csv(since, [5.5] * 70).encode()))
        if wrong and clock.true.minute in (0, 30):
            send("synced")
            send("I feel tired")
        clock.true += STEP
    app.close()
    return meanwhile, after


@pytest.mark.parametrize("off", [YEAR, -YEAR])
def test_reminders_come_as_if_the_clock_had_been_right(off: timedelta) -> None:
    _, right = reminded(timedelta(0))
    meanwhile, after = reminded(off)
    assert len(meanwhile) <= 1
    assert any("Your week" in line for line in right)
    assert after == right
