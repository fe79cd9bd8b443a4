"""What the `analyse` command is asked for: of whom, of which span, and the log as each analysis takes it."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from analysis.foods.expected import Expected
from analysis.results import Serving
from bot.frames.rows import Occasions, expected_between, rows_between
from bot.frames.servings import servings_between
from bot.model.entries import Meal
from bot.store import Logged, Person, Transaction

EVER = datetime(1970, 1, 1, tzinfo=UTC)
MOVED_AROUND = timedelta(hours=24)
"""Movement around a meal begins at most this long before it: no movement is longer than a day."""
SHARED = timedelta(hours=4)
"""The curve that a note shares may begin so long before or after it."""


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be analysed of whom in [since, until); since, until: None = all there is."""

    tx: Transaction
    person: Person
    since: datetime | None
    until: datetime | None
    now: datetime

    @property
    def ends(self) -> datetime:
        """The end of the span: `until`, but not behind the present and all that is stored."""
        newest = self.tx.readings.last_at(self.person.id)
        known = [self.now, *(meal.at for meal in self.tx.log.last(self.person.id))]
        last = max(known if newest is None else [*known, newest]) + timedelta.resolution
        return last if self.until is None else min(self.until, last)

    @property
    def meals(self) -> list[Logged]:
        """All that was eaten or drunk."""
        meals = self.tx.log.between(self.person.id, ("meal",), self.since, self.until)
        return [meal for meal in meals if isinstance(meal.entry, Meal) and meal.entry.items]

    def servings(self) -> tuple[Serving, ...]:
        """The meals to be scored, with their curves."""
        return servings_between(self.tx, self.person, self.since or EVER, self.ends)

    def occasions(self) -> Occasions:
        """The occasions with a curve of their own, as the food model takes them."""
        return rows_between(self.tx, self.person, self.since or EVER, self.ends)

    def expected(self) -> list[tuple[Serving, Expected]]:
        """The servings with what was expected of each, also those that begin just outside the span."""
        return expected_between(self.tx, self.person, (self.since or EVER) - SHARED, self.ends + SHARED)

    def servings_by_note(self) -> dict[int, Serving]:
        """The servings by each of their notes, those whose curve begins just outside the span, too."""
        since = self.since or EVER
        found = servings_between(self.tx, self.person, since - SHARED, self.ends + SHARED)
        return {one: serving for serving in found for one in serving.entry_ids}
