"""A night told in two messages is one night."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.frames.nights import pair
from bot.model.entries import Sleep
from tests.talk import talking

NOON = datetime(2026, 3, 3, 12, tzinfo=UTC)


def night(start: float | None, end: float | None) -> Sleep:
    """Return a sleep between hours before noon, None where an end was not told."""
    return Sleep(*(None if h is None else NOON - timedelta(hours=h) for h in (start, end)), "")


@pytest.mark.parametrize(
    ("noted", "hours"),
    [
        ([night(13, None), night(None, 6)], [(13, 6)]),
        ([night(14, None), night(13, None), night(None, 6)], [(13, 6)]),  # bed told twice: the later one
        ([night(13, None), night(None, 9), night(None, 6)], [(13, 9)]),  # awake twice: no second night
        ([night(13, None), night(12, 6), night(None, 6)], [(12, 6)]),  # told whole, too
        ([night(None, 6)], []),
        ([night(40, None), night(None, 6)], []),  # the waking between them was never noted
        ([night(30, 22), night(13, None), night(None, 6)], [(30, 22), (13, 6)]),
    ],
)
def test_bedtimes_and_wakings_are_joined(noted, hours) -> None:
    spans = [(NOON - timedelta(hours=a), NOON - timedelta(hours=b)) for a, b in hours]
    assert pair(noted) == spans


def test_a_length_told_in_the_morning_begins_at_the_bedtime_noted() -> None:
    with talking() as talk:
        talk.say("/start")
        talk.clock.move_to(talk.clock.now() + timedelta(hours=15))
        talk.say("off to bed")
        bed_at = talk.clock.now()
        talk.clock.move_to(bed_at + timedelta(hours=9))
        talk.say("slept about 7 hours")
        with talk.app.store.begin() as tx:
            nights = [one.entry for one in tx.log.between("local", ("sleep",), None, None)]
    assert nights[-1].from_at == bed_at
    assert nights[-1].to_at == bed_at + timedelta(hours=7)
