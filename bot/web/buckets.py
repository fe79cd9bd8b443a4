"""How often each person's programs may post: a bucket of tokens for each, refilled steadily."""

from datetime import datetime

from bot.model.clock import Clock

BURST = 60
PER_MIN = 30.0


class Buckets:
    """Full buckets hold `burst` posts and get `per_min` back each minute. In memory: a restart fills them."""

    def __init__(self, clock: Clock, burst: int = BURST, per_min: float = PER_MIN) -> None:
        self._clock, self._burst, self._per_s = clock, burst, per_min / 60
        self._levels: dict[str, tuple[float, datetime]] = {}

    def take(self, person: str) -> float:
        """Take one post and return 0; from an empty bucket nothing, and return the seconds to wait."""
        now = self._clock.now()
        level, at = self._levels.get(person, (float(self._burst), now))
        passed_s = max(0.0, (now - at).total_seconds())  # a clock set back gives nothing and takes nothing
        level = min(float(self._burst), level + passed_s * self._per_s)
        allowed = level >= 1
        self._levels[person] = (level - allowed, now)
        return 0.0 if allowed else (1 - level) / self._per_s
