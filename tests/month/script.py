"""What a tram driver says in 28 days: from the first hello to the report, on early and late shifts.

Every day is lived by the shift: three meals, three syncs, a walk now and then; some days a correction, a
question, a forgotten sync. Two sensors, with a day between them.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Vienna")
FIRST_EVENING = date(2026, 5, 3)
DAYS = 28
DAY_BEGINS = time(3)
"""Nobody here is awake then: what is said before belongs to the day before."""
FILE = "(file)"
SENSORS = ((timedelta(hours=19), timedelta(days=14, hours=19)), (timedelta(days=15, hours=19), None))
"""Since when and until when the sensors are worn, from the first evening's midnight on."""


@dataclass(frozen=True, slots=True)
class Step:
    """One message of the person; `FILE` stands for the readings that the sensor holds then.

    kind: meal, sync or more (a walk, a question, a setting)
    """

    at: datetime
    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class Shift:
    """The clock of one kind of day: when is eaten and read out; hours beyond 24 are after midnight."""

    meals: tuple[str, str, str]
    syncs: tuple[str, str, str]


SHIFTS = {
    "early": Shift(("4:20", "12:20", "17:20"), ("4:05", "11:50", "19:45")),
    "late": Shift(("9:10", "13:10", "20:10"), ("8:35", "16:20", "24:15")),
    "off": Shift(("7:40", "12:40", "18:40"), ("7:10", "14:50", "22:40")),
}
ASKS_AT = {"early": "19:58", "late": "20:45", "off": "19:20"}
BREAKFASTS = (
    "porridge with 60 g oats, 200 ml milk and a banana",
    "porridge with 60 g oats, 200 ml milk and a banana",
    "2 slices rye toast with butter and a boiled egg",
    "150 g plain yoghurt with 80 g blueberries and 20 g walnuts",
    "2 slices white toast with 20 g honey and coffee",
)
LUNCHES = (
    "250 g cooked rice with 120 g grilled chicken and 100 g broccoli",
    "lentil soup and a slice of sourdough bread",
    "ham sandwich and an apple",
    "180 g cooked pasta with tomato sauce and 20 g parmesan",
    "200 g boiled potatoes, 150 g salmon and a green salad",
    "250 g cooked rice with 150 g tofu and 100 g pak choi",
)
DINNERS = (
    "2 slices rye bread with cheese and a tomato",
    "a bowl of vegetable soup with 60 g bread",
    "200 g boiled potatoes with 100 g quark and a cucumber salad",
    "omelette of 2 eggs with 100 g mushrooms and a slice of rye toast",
    "lentil soup and a slice of sourdough bread",
)
FIRST = (
    ("17:30", "/start"),
    ("17:32", "I drive trams, early and late shifts"),
    ("17:33", "/shift early 20:30-04:00"),
    ("17:34", "/shift late 01:00-08:30"),
    ("17:35", "/shift off 23:00-07:00"),
    ("17:36", "early shift from tomorrow"),
    ("19:00", "new sensor on, left arm"),
)
AFTER_MEALS: dict[int, tuple[tuple[int, str], ...]] = {
    3: ((1, "no, 200 g rice"),),
    7: ((2, "it was at 18:20"),),
    9: ((0, "add a coffee"),),
    12: ((1, "remove the apple"), (1, "and a pear")),
    16: ((2, "undo"),),
    21: ((0, "3 slices, not 2"),),
    24: ((1, "only ate half of it"),),
}
"""Corrections: the day, and after which meal what is said."""
QUESTIONS: dict[int, tuple[str, ...]] = {
    1: ("what does evenness mean?",),
    3: ("how was breakfast?",),
    5: ("best and worst this week",),
    7: ("best and worst this week", "what's my fasting?"),
    9: ("how many carbs was that?",),
    12: ("what drives it?",),
    14: ("best and worst so far",),
    16: ("status",),
    19: ("does a walk help?",),
    21: ("average day", "what is worth trying?"),
    24: ("what does rice do to me?",),
    26: ("early against late shifts",),
    28: ("how complete is my record?", "send me the report"),
}
FORGOTTEN = {(4, 1), (18, 2)}
"""The day and the sync that is left out until the bot asks."""
ON_DAY: dict[int, tuple[int, str]] = {3: (1, LUNCHES[0]), 12: (1, LUNCHES[2]), 21: (0, BREAKFASTS[4])}
"""What is eaten on days whose corrections need it: which meal, and what."""
SWITCHES = {
    5: "days off from tomorrow",
    7: "late shift from tomorrow",
    12: "off shift from tomorrow",
    14: "early shift from tomorrow",
    19: "off shift from tomorrow",
    21: "late shift from tomorrow",
    26: "off shift from tomorrow",
}
BUSY = {*AFTER_MEALS, *QUESTIONS, *SWITCHES, *(day for day, _ in FORGOTTEN), 15}


def shift_of(day: int) -> str:
    """Return the shift of a day: a week of early ones, a week of late ones, the weekends off."""
    week, weekday = divmod(day - 1, 7)
    return "off" if weekday >= 5 else ("early", "late")[week % 2]


def is_ordinary(day: int) -> bool:
    """Tell whether nothing is said on a day but three meals, three syncs and perhaps a walk."""
    return 1 <= day <= DAYS and day not in BUSY


def at(day: int, clock: str, jitter_min: int = 0) -> datetime:
    """Return when the clock shows a time of a day of the month; 24:15 is a quarter past midnight."""
    hour, minute = (int(part) for part in clock.split(":"))
    midnight = datetime.combine(FIRST_EVENING + timedelta(days=day), time(0))
    return (midnight + timedelta(hours=hour, minutes=minute + jitter_min)).replace(tzinfo=ZONE)


def day_of(when: datetime) -> int:
    """Return to which day of the month a moment belongs, as the person counts."""
    begins = timedelta(hours=DAY_BEGINS.hour)
    return ((when.astimezone(ZONE) - begins).date() - FIRST_EVENING).days


def month(seed: int = 13) -> list[Step]:
    """Return all that is said, in order of time."""
    rng = random.Random(seed)
    steps = [Step(at(0, clock), text, "more") for clock, text in FIRST]
    for day in range(1, DAYS + 1):
        steps += _day(day, rng)
    steps += [
        Step(at(14, "19:00"), "sensor off", "more"),
        Step(at(15, "19:00"), "new sensor on, right arm", "more"),
    ]
    return sorted(steps, key=lambda step: step.at)


def _day(day: int, rng: random.Random) -> Iterator[Step]:
    shift = SHIFTS[shift_of(day)]
    menu = [rng.choice(BREAKFASTS), rng.choice(LUNCHES), rng.choice(DINNERS)]
    if day in ON_DAY:
        place, plate = ON_DAY[day]
        menu[place] = plate
    for place, (clock, plate) in enumerate(zip(shift.meals, menu, strict=True)):
        said_at = at(day, clock, rng.randint(-8, 12))
        walk = rng.random() < 0.2
        yield Step(said_at, plate, "meal")
        if walk:
            yield Step(said_at + timedelta(minutes=50), "walked 15 min", "more")
        for n, (_, fix) in enumerate(f for f in AFTER_MEALS.get(day, ()) if f[0] == place):
            yield Step(said_at + timedelta(minutes=2 + n), fix, "more")
    for place, clock in enumerate(shift.syncs):
        when = at(day, clock, rng.randint(-10, 10))
        if (day, place) not in FORGOTTEN and _is_worn(when):
            yield Step(when, FILE, "sync")
    for n, question in enumerate(QUESTIONS.get(day, ())):
        yield Step(at(day, ASKS_AT[shift_of(day)], 2 * n), question, "more")
    if day in SWITCHES:
        yield Step(at(day, "20:15"), SWITCHES[day], "more")


def _is_worn(when: datetime) -> bool:
    since = when - at(0, "0:00")
    return any(on + timedelta(hours=1) <= since and (off is None or since <= off) for on, off in SENSORS)
