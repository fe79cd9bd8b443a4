"""What the store gives out: frozen records, never rows."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Literal
from zoneinfo import ZoneInfo

from bot.language.texts import Language
from bot.language.times import ClockStyle
from bot.model.entries import Correction, Meal, Stored
from bot.model.units import GlucoseUnit

Source = Literal["file", "typed", "meter", "second"]
"""A sensor's file; typed, typed or in a file as a value of blood; a second sensor worn for comparison."""
SPOKEN: tuple[Language, ClockStyle] = ("en", "24")
"""How somebody is spoken to of whom nothing is known."""
WordKind = Literal["food", "meal"]
InboxState = Literal["new", "done", "failed", "parked"]
ReminderState = Literal["pending", "sent", "dropped"]
Remind = Literal["all", "sync", "none"]
Mode = Literal["light", "dark"]
Manner = Literal["short", "full"]
TrialStep = Literal["agreed", "put off", "stopped", "judged"]


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who talks to the bot, with their settings.

    quiet_from, quiet_to: wall times in `zone` between which no reminder is sent
    sync_lead_min: how long before the sensor's memory is full the reminder comes (min)
    memory_min: how long the sensor remembers readings (min)
    remind: all reminders, only those to sync before readings lapse, or none
    nudge: whether a day without a note since noon is asked about
    sensor_days: how long a sensor is worn (days)
    unit_chosen: whether they said which unit they read, or a file of theirs showed it
    pictures: drawn light or dark; clock: times written as 17:30 or as 5:30 pm
    language: in which they are answered
    card: whether the day's entries are kept on a pinned card
    reviews: whether the week is looked back on by itself; evening: whether the day is, each evening
    scores: whether scores are shown to them; curves are either way
    talk: how much the bot says: short leaves out what was said today and what needs no saying
    no_checks_until: before this instant no meal is to be checked ("not today"), None = no such wish
    """

    id: str
    zone: ZoneInfo
    unit: GlucoseUnit
    quiet_from: time
    quiet_to: time
    sync_lead_min: int
    memory_min: int
    created_at: datetime
    remind: Remind = "all"
    nudge: bool = False
    sensor_days: int = 14
    no_checks_until: datetime | None = None
    unit_chosen: bool = False
    pictures: Mode = "light"
    talk: Manner = "short"
    language: Language = "en"
    clock: ClockStyle = "24"
    card: bool = True
    reviews: bool = True
    evening: bool = False
    scores: bool = True

    @property
    def spoken(self) -> tuple[Language, ClockStyle]:
        """How they are spoken to: in which language, by which clock."""
        return self.language, self.clock


@dataclass(frozen=True, slots=True)
class Topic:
    """Something a newcomer is asked once: since when, when it was asked, whether nothing is open about it."""

    name: str
    begun_at: datetime
    asked_at: datetime | None
    settled: bool


@dataclass(frozen=True, slots=True)
class Shift:
    """A shift pattern by its name: the quiet hours that go with it."""

    name: str
    quiet_from: time
    quiet_to: time


@dataclass(frozen=True, slots=True)
class Switch:
    """From a local day on the shift pattern of this name holds."""

    from_on: date
    name: str


@dataclass(frozen=True, slots=True)
class InboxRow:
    """A received update; `raw` is what the channel stored, emptied once it is done."""

    update_id: str
    person: str
    raw: str
    state: InboxState
    attempts: int
    received_at: datetime
    error: str | None


@dataclass(frozen=True, slots=True)
class Logged:
    """An entry in the log.

    at: when it happened, by which it is found: the entry's own instant (a night's start, or its end when
    only that is known), and the moment of logging where the entry has none
    """

    id: int
    person: str
    kind: str
    entry: Stored
    at: datetime
    message_id: str | None
    update_id: str
    logged_at: datetime
    removed_at: datetime | None


@dataclass(frozen=True, slots=True)
class Change:
    """What an update did to an entry; `before` is None when it came back, `after` when it went."""

    entry_id: int
    what: str
    update_id: str
    at: datetime
    before: Stored | None
    after: Stored | None


@dataclass(frozen=True, slots=True)
class StoredReadings:
    """What became of the readings handed in.

    stored: new ones; known: their instant was there already; differing: those of the known whose value was
    another (the first one stays); first_at, last_at: span of what was handed in, None when it was nothing.
    What was out of the sensor's range has no value and is not counted.
    """

    stored: int
    known: int
    differing: int
    first_at: datetime | None
    last_at: datetime | None


@dataclass(frozen=True, slots=True)
class OpenFile:
    """A file that waits for an answer to one question of how it is to be read.

    about, options: as in `bot.model.errors.AskFile`; layout: what the answer is remembered for
    column, day_first: what was answered so far
    """

    id: int
    person: str
    name: str
    data: bytes
    second: bool
    about: Literal["column", "day_first"]
    options: tuple[str, ...]
    layout: str
    column: str | None
    day_first: bool | None


@dataclass(frozen=True, slots=True)
class Import:
    """One lot of readings: where it came from, when, and what became of it."""

    id: int
    source: Source
    name: str
    update_id: str
    at: datetime
    result: StoredReadings


@dataclass(frozen=True, slots=True)
class Reminder:
    """A reminder of one kind, about an entry or about none; `settled_at` is when it was sent or dropped."""

    id: int
    person: str
    kind: str
    entry_id: int | None
    due_at: datetime
    state: ReminderState
    settled_at: datetime | None


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of a meal, without its bytes.

    entry_id: the meal, None while it is of none; message_id: the message it came with
    shared: it may be in what others are shown
    """

    id: int
    person: str
    entry_id: int | None
    at: datetime
    message_id: str | None
    shared: bool


@dataclass(frozen=True, slots=True)
class Card:
    """The pinned card of one waking day, [since, until).

    outbox_id: the message that it is, or its last edit; ref: the messenger's id of it, once that is known
    basis: a mark of what it was made from
    """

    person: str
    since: datetime
    until: datetime
    outbox_id: int
    ref: str | None
    basis: str


@dataclass(frozen=True, slots=True)
class Pending:
    """A question of ours that waits for an answer."""

    about: str
    entry_id: int | None
    asked_at: datetime
    expires_at: datetime


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a person's own: what `name` stands for.

    kind: "food" (one item under that very name, its grams those of one of it) or "meal" (what was on a plate)
    """

    name: str
    kind: WordKind
    meal: Meal
    taught_at: datetime


@dataclass(frozen=True, slots=True)
class Asked:
    """A question put to a person once: what about, for which entry, what each answer would change.

    about: what is asked, in words that make it the same question another time ("portion rice")
    choices: (label, correction) of each button; answer: the correction that was chosen, None so far
    """

    id: int
    person: str
    about: str
    entry_id: int
    choices: tuple[tuple[str, Correction], ...]
    answer: Correction | None


@dataclass(frozen=True, slots=True)
class Act:
    """What one turn changed, row by row: as it was before it (`before`), and as it is now (`now`)."""

    id: int
    update_id: str
    before: tuple[tuple[str, Mapping[str, Any]], ...]
    now: tuple[tuple[str, Mapping[str, Any]], ...]


@dataclass(frozen=True, slots=True)
class Step:
    """What became of a trial: agreed to, put off `until` an instant, stopped by the person, or judged."""

    id: int
    trial_id: int
    what: TrialStep
    until: datetime | None
    update_id: str
    at: datetime


@dataclass(frozen=True, slots=True)
class StoredTrial:
    """A trial as it was proposed, and the steps that stand, oldest first.

    protocol: all that was fixed beforehand, the seed of its lots among it, as plain JSON values
    """

    id: int
    person: str
    protocol: Mapping[str, Any]
    proposed_at: datetime
    steps: tuple[Step, ...] = ()

    @property
    def agreed_at(self) -> datetime | None:
        """When it began; None for a proposal."""
        return next((step.at for step in self.steps if step.what == "agreed"), None)

    @property
    def ended(self) -> Step | None:
        """What ended it; None while it runs."""
        return next((step for step in self.steps if step.what in ("stopped", "judged")), None)

    @property
    def plates(self) -> tuple[frozenset[str], ...]:
        """The foods of each arm, as the food table calls them."""
        own, arms = self.protocol["foods"], self.protocol["protocol"]["arms"]
        return tuple(frozenset(own.get(one["food"], one["food"]) for one in arm["foods"]) for arm in arms)

    @property
    def runs(self) -> bool:
        """Whether it is agreed to and not over."""
        return self.agreed_at is not None and self.ended is None

    @property
    def put_off_until(self) -> datetime | None:
        """Until when it rests; None where it was never put off."""
        return max((step.until for step in self.steps if step.until is not None), default=None)


@dataclass(frozen=True, slots=True)
class Share:
    """A meal that two people set side by side.

    person: who offered it; other: who took its code, None so far; words: what the meal is called
    expires_at: until when it can be agreed to; agreed_at: None so far
    """

    id: int
    person: str
    other: str | None
    words: str
    expires_at: datetime
    agreed_at: datetime | None

    def beside(self, person: str) -> str | None:
        """Return who shares it with a person."""
        return self.other if person == self.person else self.person


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of eating in a person's own words; place: its order among theirs, None while only proposed."""

    id: int
    person: str
    place: int | None
    text: str
