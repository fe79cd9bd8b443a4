from bot.web.buckets import Buckets


class Seconds:
    def __init__(self) -> None:
        self.passed = 0.0

    def __call__(self) -> float:
        return self.passed


def test_a_bucket_empties_and_is_refilled_steadily() -> None:
    now = Seconds()
    buckets = Buckets(burst=3, per_min=30, now_s=now)
    assert [buckets.take("tg:1") for _ in range(4)] == [0, 0, 0, 2.0]
    assert buckets.take("tg:2") == 0, "one person's posts are not another's"
    now.passed = 1
    assert buckets.take("tg:1") == 1.0
    now.passed = 2
    assert [buckets.take("tg:1") for _ in range(2)] == [0, 2.0]
    now.passed = 86_400
    assert [buckets.take("tg:1") for _ in range(4)] == [0, 0, 0, 2.0], "it never holds more than it is large"
