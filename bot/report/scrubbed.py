"""A copy of a run that can be shown to anybody, in a database of its own that is gone afterwards.

The shareable report is made from the copy alone, so that nothing can come into it that is not in the copy.
Left out are who it is, dates and the clock zone (`analysis.day_names`; the hour stays), everything in the
person's own words (names of foods and meals, what was said, feelings, rules, tests), what they told about
themselves, photos but those they let others see, and what is marked private, with the readings around it.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, tzinfo

from analysis.day_names import begin_numbered
from bot.foodtable import FoodTable, load_table
from bot.model.entries import Activity, Item, Meal, Sensor, Sleep, Stored, Sync
from bot.store import Logged, Person, Transaction, open_store
from bot.store.records import Source

SOMEBODY = "somebody"
KINDS = ("meal", "activity", "sleep", "sync", "sensor")
SHIFTS = ("early", "late", "night", "nights", "day", "off")
"""Names of shifts that tell nothing of whose they are."""
BEFORE, AFTER = timedelta(hours=1), timedelta(hours=4)
"""Readings so near to what is private would tell of it."""
SOURCES: tuple[Source, ...] = ("file", "typed", "meter")
MOST_DESCRIBED = 3
"""Parts of a table's description ("Rice, white, cooked, ...") that make a name."""
Span = tuple[datetime, datetime]


@contextmanager
def scrubbed(
    tx: Transaction, person: Person, since: datetime, until: datetime
) -> Iterator[tuple[Transaction, Person, Span]]:
    """Give the copy of [since, until): a transaction on it, who it is about there, and its span.

    LookupError where nothing is on record.
    """
    store = open_store("sqlite://")
    try:
        with store.begin() as copy:
            span = _copy(tx, person, (since, until), copy)
        with store.read() as copy:
            somebody = copy.people.get(SOMEBODY)
            assert somebody is not None  # just made
            yield copy, somebody, span
    finally:
        store.close()


class _Clock:
    """Lays instants into the numbered record: the wall clock stays, as if there were no zones."""

    def __init__(self, zone: tzinfo, first: date) -> None:
        self._zone, self.first = zone, first
        self._shift = begin_numbered(first) - first
        self.start = datetime.combine(begin_numbered(first), datetime.min.time(), UTC)

    def move(self, at: datetime) -> datetime:
        return at.astimezone(self._zone).replace(tzinfo=UTC, fold=0) + self._shift

    def maybe(self, at: datetime | None) -> datetime | None:
        return None if at is None else self.move(at)


class _Foods:
    """Names for foods that are the table's, not the person's."""

    def __init__(self, table: FoodTable) -> None:
        self._table, self._names = table, frozenset(table.names())
        self._own: dict[str, str] = {}

    def name(self, item: Item) -> Item:
        bare = replace(item, said="", assumed="")
        described = item.food is not None and self._table.describes(item.food)
        if item.name in self._names:
            return bare if described or item.food is None else replace(bare, food=item.name)
        if item.food is not None and described:
            return replace(bare, name=_describe(item.food))
        own = self._own.setdefault(item.food or item.name, f"own food {len(self._own) + 1}")
        return replace(bare, name=own, food=None if item.food is None else own)


def _describe(food: str) -> str:
    """Return a name made of a table's description.

    >>> _describe("Cake or cupcake, NFS"), _describe("Rice, white, cooked, made with oil")
    ('cake or cupcake', 'rice, white, cooked')
    """
    parts = [part.strip().lower() for part in food.split(",")]
    return ", ".join([part for part in parts if part not in ("nfs", "ns")][:MOST_DESCRIBED])


def _copy(tx: Transaction, person: Person, asked: Span, copy: Transaction) -> Span:
    noted = tx.log.between(person.id, KINDS, *asked)
    clock = _Clock(person.zone, _first_day(tx, person, noted, asked))
    end = clock.move(asked[1])
    copy.people.ensure(SOMEBODY, zone="UTC", unit=person.unit, at=clock.start)
    copy.people.update(SOMEBODY, unit_chosen=True, sensor_days=person.sensor_days, scores=person.scores)
    private = tx.private.of(person.id)
    foods = _Foods(load_table())
    shown: dict[int | None, list[bytes]] = defaultdict(list)
    for photo, jpeg in tx.photos.kept(person.id, *asked, shared_only=True):
        shown[photo.entry_id].append(jpeg)
    for number, one in enumerate(each for each in noted if each.id not in private):
        entry, at = _scrub(one.entry, foods, clock), clock.move(one.at)
        if at >= clock.start and entry is not None:
            kept = copy.log.add(SOMEBODY, entry, update_id=str(number), ordinal=0, message_id=None, at=at)
            for jpeg in shown.get(one.id, ()):
                copy.photos.put_with(copy.photos.add(SOMEBODY, jpeg, at=at, message_id=None), kept.id)
    hidden = [(one.at - BEFORE, one.at + AFTER) for one in noted if one.id in private]
    for source in SOURCES:
        _copy_readings(tx, person, asked, hidden, clock, copy, source)
    for switch in tx.shifts.begun(person.id):
        from_on = max(clock.start.date(), begin_numbered(clock.first) + (switch.from_on - clock.first))
        copy.shifts.begin(SOMEBODY, from_on, switch.name if switch.name in SHIFTS else "other")
    return clock.start, end


def _first_day(tx: Transaction, person: Person, noted: Sequence[Logged], asked: Span) -> date:
    """Return the local day of the first meal or reading; LookupError where there is neither."""
    starts = [one.at for one in noted if one.kind == "meal"][:1]
    seconds, _, _ = tx.readings.arrays(person.id, *asked)
    starts += [datetime.fromtimestamp(min(seconds), UTC)] if seconds else []
    if not starts:
        raise LookupError("nothing is on record in that time")
    return min(starts).astimezone(person.zone).date()


def _scrub(entry: Stored, foods: _Foods, clock: _Clock) -> Stored | None:
    """Return an entry without a word of the person's; None for one of a kind that is left out."""
    match entry:
        case Meal():
            items = tuple(foods.name(item) for item in entry.items)
            return replace(entry, at=clock.maybe(entry.at), items=items, said="", called="")
        case Activity() | Sync() | Sensor():
            return replace(entry, at=clock.maybe(entry.at), said="")
        case Sleep():
            return Sleep(clock.maybe(entry.from_at), clock.maybe(entry.to_at))
    return None


def _copy_readings(
    tx: Transaction,
    person: Person,
    asked: Span,
    hidden: Sequence[Span],
    clock: _Clock,
    copy: Transaction,
    source: Source,
) -> None:
    instants, mmol, flags = [], [], []
    for second, value, flag in zip(*tx.readings.arrays(person.id, *asked, sources=(source,)), strict=True):
        at = datetime.fromtimestamp(second, UTC)
        if not any(start <= at <= end for start, end in hidden):
            instants.append(round(clock.move(at).timestamp()) * 1_000_000)
            mmol.append(value)
            flags.append(flag)
    if instants:
        at = datetime.fromtimestamp(instants[-1] / 1_000_000, UTC)
        copy.readings.add_columns(
            SOMEBODY, instants, mmol, flags=flags, source=source, at=at, update_id=source
        )
