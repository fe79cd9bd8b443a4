from datetime import UTC, datetime, timedelta

from bot.model.clock import SettableClock
from bot.web.buckets import Buckets

NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)


def test_a_bucket_empties_and_is_refilled_steadily() -> None:
    clock = SettableClock(NOW)
    buckets = Buckets(clock, burst=3, per_min=30)
    assert [buckets.take("tg:1") for _ in range(4)] == [0, 0, 0, 2.0]
    assert buckets.take("tg:2") == 0, "one person's posts are not another's"
    clock.move_to(NOW + timedelta(seconds=1))
    assert buckets.take("tg:1") == 1.0
    clock.move_to(NOW + timedelta(seconds=2))
    assert [buckets.take("tg:1") for _ in range(2)] == [0, 2.0]
    clock.move_to(NOW + timedelta(days=1))
    assert [buckets.take("tg:1") for _ in range(4)] == [0, 0, 0, 2.0], "it never holds more than it is large"


class SteppedClock:
    def __init__(self) -> None:
        self.at = NOW

    def now(self) -> datetime:
        return self.at


def test_a_clock_set_back_locks_nobody_out() -> None:
    clock = SteppedClock()
    buckets = Buckets(clock, burst=1, per_min=60)
    assert buckets.take("tg:1") == 0
    clock.at = NOW - timedelta(hours=1)
    assert buckets.take("tg:1") == 1.0
    clock.at += timedelta(seconds=1)
    assert buckets.take("tg:1") == 0
