"""The kinds of log entry: frozen, with units in their names, each keeping the words it came from.

Instants (`at`, `from_at`, `to_at`) are aware datetimes in any zone, or None when the message states none
and none can be inferred. `timed` says how a time was found: "stated", "now" or "slot".
"""

from dataclasses import dataclass, field, fields
from datetime import date, datetime
from typing import Literal

Slot = Literal["breakfast", "lunch", "dinner", "snack", "drink"]
Effort = Literal["light", "moderate", "hard"]
Timed = Literal["stated", "now", "slot"]
About = Literal[
    "best_worst", "one_meal", "food", "habit", "fasting", "day", "trial", "plan", "help", "status", "other"
]


@dataclass(frozen=True, slots=True)
class Nutrients:
    """What a portion holds; carbohydrate is available carbohydrate (total minus fibre). None = not known."""

    energy_kcal: float | None = None
    carbs_g: float | None = None
    fibre_g: float | None = None
    sugars_g: float | None = None
    fat_g: float | None = None
    saturated_fat_g: float | None = None
    protein_g: float | None = None

    def scaled(self, factor: float) -> "Nutrients":
        """Return these amounts times `factor`."""
        values = (getattr(self, name) for name in _NUTRIENTS)
        return Nutrients(*(None if v is None else v * factor for v in values))

    def rounded(self) -> "Nutrients":
        """Return these amounts without the noise of reckoning ("1.6239999999999999")."""
        values = (getattr(self, name) for name in _NUTRIENTS)
        return Nutrients(*(None if v is None else round(v, _DECIMALS) for v in values))

    def __add__(self, other: "Nutrients") -> "Nutrients":
        def both(a: float | None, b: float | None) -> float | None:
            return None if a is None and b is None else round((a or 0.0) + (b or 0.0), _DECIMALS)

        return Nutrients(*(both(getattr(self, name), getattr(other, name)) for name in _NUTRIENTS))


_DECIMALS = 6
"""Of grams of nutrients that are kept."""
_NUTRIENTS = tuple(f.name for f in fields(Nutrients))


@dataclass(frozen=True, slots=True)
class Item:
    """One food of a meal.

    said: the words; name: a plain everyday name; food: the description in the composition table, None
    when the food is not known there (then `nutrients` is None too)
    grams with its range; stated: the person gave the amount; sure: 0 to 1, how sure the match is
    assumed: what was taken for granted, in words ("1 slice = 32 g"), empty when nothing was
    """

    said: str
    name: str
    food: str | None
    grams: float
    grams_low: float
    grams_high: float
    stated: bool
    sure: float
    nutrients: Nutrients | None = None
    assumed: str = ""


@dataclass(frozen=True, slots=True)
class Extra:
    """Something taken for its effect rather than as food: vinegar, cinnamon. grams None = not said."""

    name: str
    grams: float | None = None


@dataclass(frozen=True, slots=True)
class Meal:
    """Something eaten or drunk; `at` is the first bite, `called` the name that the person gave it."""

    at: datetime | None
    slot: Slot
    items: tuple[Item, ...]
    extras: tuple[Extra, ...] = ()
    eaten_in_order: bool = False
    timed: Timed = "now"
    said: str = ""
    called: str = ""

    @property
    def nutrients(self) -> Nutrients:
        """The sum over the items whose composition is known."""
        return sum((i.nutrients for i in self.items if i.nutrients is not None), Nutrients())


@dataclass(frozen=True, slots=True)
class Activity:
    """Movement: what, for how many minutes, from when."""

    what: str
    minutes: float | None
    at: datetime | None
    effort: Effort = "light"
    timed: Timed = "now"
    said: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One glucose value; `flag` is "" or why it deserves care ("low limit", "high limit").

    of_blood: it was said to be of blood (a finger-prick), so that it can check the sensor
    """

    mmol: float
    at: datetime | None
    flag: str = ""
    timed: Timed = "stated"
    said: str = ""
    of_blood: bool = False


@dataclass(frozen=True, slots=True)
class Sleep:
    """A night or a nap."""

    from_at: datetime | None
    to_at: datetime | None
    said: str = ""


@dataclass(frozen=True, slots=True)
class Sync:
    """The sensor's memory was read out."""

    at: datetime | None
    said: str = ""


@dataclass(frozen=True, slots=True)
class Sensor:
    """A sensor was put on (started) or came off (ended)."""

    what: Literal["started", "ended"]
    at: datetime | None
    said: str = ""


@dataclass(frozen=True, slots=True)
class Feeling:
    """How the person felt: tired, ill, stressed ..."""

    what: str
    at: datetime | None
    said: str = ""


@dataclass(frozen=True, slots=True)
class Skipped:
    """A routine that was not kept on one day: `at` is when it would have begun.

    what: what it is called ("training"); routine: the value of its fact ("train; tue,sat; 12:00")
    """

    what: str
    at: datetime | None
    routine: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """Something asked of the bot; `subject` is a food, slot or habit in the person's words.

    sort: which question about it, where there are several ("average day" and "eating" are both about a day)
    against: the other side of a comparison ("toast" in "porridge or toast?")
    """

    about: About
    since: datetime | None = None
    until: datetime | None = None
    subject: str = ""
    said: str = ""
    sort: str = ""
    against: str = ""


@dataclass(frozen=True, slots=True)
class Correction:
    """A change to the entry logged last (or the one replied to).

    what: "amount" (items hold the foods with their new amounts, or minutes says how long a movement was),
    "add", "remove" (items to take out, by name), "time" (at, and slot where that follows), "slot" (slot),
    "undo" (take the whole entry back), "name" (call the meal `name` from now on), "note" (note `after`, which
    is something new after all), "order" (items hold what was
    eaten first), "fill" (the unknown food `name` is the first item; the second is one of it)
    Two change the person's own words instead: "teach" (`name` is one food, its item under that very name, or
    a mixture of the items) and "forget" (`name`).
    slot_of, day_of: the meal that the person named ("delete yesterday's lunch"), None where they named none
    target: the id of the entry that is changed; after: what it becomes, None where it is taken out or where
    whoever applies the correction works it out
    also: what the same words change or note beside, where one answer stands for all
    others: the same change on each other entry that it could have meant, the likeliest first
    usual: the amount is the bare answer to a question for it, so that it holds for the next time, too
    """

    what: Literal[
        "amount", "add", "remove", "time", "slot", "undo", "name", "teach", "forget", "note", "fill", "order"
    ]
    items: tuple[Item, ...] = ()
    at: datetime | None = None
    slot: Slot | None = None
    said: str = ""
    minutes: float | None = None
    name: str = ""
    slot_of: Slot | None = None
    day_of: date | None = None
    target: int | None = None
    after: "Stored | None" = None
    also: "tuple[Correction, ...]" = ()
    others: "tuple[Correction, ...]" = ()
    usual: bool = False


@dataclass(frozen=True, slots=True)
class Nothing:
    """Words that were not understood; they are said back, never dropped."""

    said: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """Something that the bot is to do from now on: `what` as a slash command names it, `value` its words.

    "stop reminding me" is remind: off; "I sleep 17:30 to 0:45" is quiet: 17:30-00:45.
    """

    what: Literal[
        "unit",
        "clock",
        "zone",
        "quiet",
        "shift",
        "remind",
        "lead",
        "memory",
        "sensor",
        "nudge",
        "week",
        "erase",
        "reviews",
        "evening",
    ]
    value: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that somebody says about themselves: kept and listed, or answered with a caution.

    value: a routine as "what; days; from-to" ("desk; mon-fri; 09:00-12:30"), a medicine's or food's name
    """

    what: Literal["medicine", "pregnancy", "eating disorder", "avoids", "routine", "health", "other"]
    value: str = ""
    said: str = ""


ConcernKind = Literal["medicine", "pregnancy", "breastfeeding", "eating", "low", "high", "fasting"]


@dataclass(frozen=True, slots=True)
class Concern:
    """Something that calls for a caution.

    level: how grave it is beside others of its kind, from 1 on; mmol: the value it is about, where it has one
    """

    kind: ConcernKind
    level: int = 1
    mmol: float | None = None


Stored = Meal | Activity | Reading | Sleep | Sync | Sensor | Feeling | Skipped
Entry = Stored | Question | Correction | Nothing


@dataclass(frozen=True, slots=True)
class Choice:
    """A question that only the person can answer, with a change for each answer."""

    text: str
    options: tuple[tuple[str, Correction], ...]


@dataclass(frozen=True, slots=True)
class Understood:
    """What was made of one message.

    entries: in the order said; asks: short questions back to the person
    left_out: the content words that nothing above uses, as they were said
    told: settings, and what the person said about themselves
    choice: which of two entries a change means, where both fit
    concerns: what of it calls for a caution
    """

    entries: tuple[Entry, ...] = ()
    asks: tuple[str, ...] = field(default=())
    left_out: tuple[str, ...] = field(default=())
    told: tuple[Setting | Fact, ...] = field(default=())
    choice: Choice | None = None
    concerns: tuple[Concern, ...] = ()
