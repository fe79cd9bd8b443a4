"""How often each person's programs may post: a bucket of tokens for each, refilled steadily."""

from collections.abc import Callable

from bot.model.clock import steady_s

BURST = 60
PER_MIN = 30.0


class Buckets:
    """Full buckets hold `burst` posts and get `per_min` back each minute. In memory: a restart fills them.

    now_s: seconds that no setting of the clock moves, or a wrong one would fill all buckets
    """

    def __init__(
        self, burst: int = BURST, per_min: float = PER_MIN, now_s: Callable[[], float] = steady_s
    ) -> None:
        self._burst, self._per_s, self._now_s = burst, per_min / 60, now_s
        self._levels: dict[str, tuple[float, float]] = {}

    def take(self, person: str) -> float:
        """Take one post and return 0; from an empty bucket nothing, and return the seconds to wait."""
        now_s = self._now_s()
        level, at_s = self._levels.get(person, (float(self._burst), now_s))
        level = min(float(self._burst), level + (now_s - at_s) * self._per_s)
        allowed = level >= 1
        self._levels[person] = (level - allowed, now_s)
        return 0.0 if allowed else (1 - level) / self._per_s
