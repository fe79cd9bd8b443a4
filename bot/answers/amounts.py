"""Answers from the log itself: what was eaten, how much of a nutrient, how much movement."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.answers.day_list import say_day_list
from bot.answers.days import LONGEST_DAY, end_of
from bot.answers.sides import names
from bot.model.entries import Activity, Meal, Question, Sleep
from bot.model.messages import Outgoing
from bot.model.naming import join, title
from bot.reply import numbers
from bot.reply.words import contents, noted, nutrients
from bot.store import Logged, Person, Transaction

LOOK_BACK_MEALS = 1000
MOST_LISTED = 40
_OF = {
    "fibre": ("fibre_g", "g of fibre"), "fiber": ("fibre_g", "g of fibre"),
    "protein": ("protein_g", "g of protein"),
    "fat": ("fat_g", "g of fat"), "saturated fat": ("saturated_fat_g", "g of saturated fat"),
    "sugars": ("sugars_g", "g of sugars"),
    "calories": ("energy_kcal", "kcal"), "kcal": ("energy_kcal", "kcal"), "energy": ("energy_kcal", "kcal"),
}  # fmt: skip
"""Which nutrient a word names, and how its amount is said; carbohydrate for all other words."""


def _wanted(subject: str) -> tuple[str, str]:
    return _OF.get(subject, ("carbs_g", "g of carbohydrate"))


def say_total(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say how much of a nutrient the meals of a span held together."""
    until = end_of(question, now)
    meals = _meals(tx, person, question.since, until)
    if not meals:
        return Outgoing(
            person.id,
            f"I have no meal noted {_span(question, person, now)}, so there is nothing to add up yet.",
        )
    name, unit = _wanted(question.subject)
    held = [getattr(meal.nutrients, name) for meal in meals]
    if all(value is None for value in held):
        foods = join(list(dict.fromkeys(item.name for meal in meals for item in meal.items))[:5])
        what = unit.removeprefix("g of ").replace("kcal", "energy")
        return Outgoing(person.id, f"How much {what} that was I don't know: {foods} state none.")
    total, count = sum(v for v in held if v is not None), numbers.count(len(meals), "meal")
    said = f"About {total:.0f} {unit} {_span(question, person, now)}, from {count}."
    return Outgoing(person.id, " ".join([said, *_unknown(meals, name)]))


def say_entries(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """List what was eaten in a span, or in one meal of it."""
    until = end_of(question, now)
    if not question.subject and question.since is not None and until - question.since <= LONGEST_DAY:
        return say_day_list(tx, person, question, now)
    logged = [
        m for m in tx.log.between(person.id, ("meal",), question.since, until) if isinstance(m.entry, Meal)
    ]
    if question.subject:
        named = [m for m in logged if isinstance(m.entry, Meal) and names(question.subject, m.entry)]
        if not named and logged:
            others = join([title(m.entry) for m in logged if isinstance(m.entry, Meal)][:5])
            return Outgoing(
                person.id,
                f"I have no {question.subject} noted {_span(question, person, now)}; "
                f"what I do have is {others}.",
            )
        logged = named
    if not logged:
        return Outgoing(person.id, f"I have nothing noted {_span(question, person, now)}.")
    lines = [_line(m, person, now) for m in logged[:MOST_LISTED]]
    more = len(logged) - len(lines)
    return Outgoing(
        person.id, "\n".join([*lines, *([f"and {numbers.count(more, 'earlier meal')}"] if more else [])])
    )


def _line(logged: Logged, person: Person, now: datetime) -> str:
    assert isinstance(logged.entry, Meal)
    held = nutrients(logged.entry.nutrients)
    when = f"{logged.entry.slot.capitalize()} {numbers.day_and_clock(logged.at, person.zone, now)}"
    return f"{when}: {contents(logged.entry)}. {held}".rstrip()


def say_movement(tx: Transaction, person: Person, question: Question, now: datetime) -> Outgoing:
    """Say how much somebody moved, or slept, in a span."""
    until = end_of(question, now)
    if "sle" in question.subject:
        nights = [
            n
            for n in tx.log.between(person.id, ("sleep",), question.since, until)
            if isinstance(n.entry, Sleep)
        ]
        lines = [noted(n.entry, zone=person.zone, unit=person.unit, now=now) for n in nights]
        return Outgoing(
            person.id,
            "\n".join(lines)
            or f"I have no sleep noted {_span(question, person, now)}; say it like “slept 23:00 to 6:30”.",
        )
    moves = [
        m.entry
        for m in tx.log.between(person.id, ("activity",), question.since, until)
        if isinstance(m.entry, Activity)
    ]
    if not moves:
        return Outgoing(
            person.id,
            f"I have no movement noted {_span(question, person, now)}; say it like “walked 20 min after "
            f"lunch”.",
        )
    timed = [m.minutes for m in moves if m.minutes is not None]
    kinds = join(list(dict.fromkeys(m.what for m in moves)))
    bare = (
        ""
        if len(timed) == len(moves)
        else f" {numbers.count(len(moves) - len(timed), 'note')} of it without its length."
    )
    return Outgoing(
        person.id,
        f"{numbers.minutes(sum(timed))} in {numbers.count(len(moves), 'note')} "
        f"{_span(question, person, now)}: {kinds}.{bare}",
    )


def say_held(tx: Transaction, person: Person, question: Question) -> Outgoing:
    """Say what a food held when it was last noted."""
    for logged in tx.log.last(person.id, n=LOOK_BACK_MEALS):
        items = logged.entry.items if isinstance(logged.entry, Meal) else ()
        for item in items:
            if (
                item.nutrients is not None
                and question.subject
                and question.subject.rstrip("s") in f"{item.name} {item.said}"
            ):
                return Outgoing(
                    person.id,
                    f"Your last {item.name}, {numbers.grams(item.grams)}, held: {nutrients(item.nutrients)}",
                )
    what = question.subject or "it"
    return Outgoing(
        person.id,
        f"I say what a food holds once you have noted it: write “{what}” when you eat it, with its amount "
        f"if you know it.",
    )


def _meals(tx: Transaction, person: Person, since: datetime | None, until: datetime) -> list[Meal]:
    return [m.entry for m in tx.log.between(person.id, ("meal",), since, until) if isinstance(m.entry, Meal)]


def _unknown(meals: Sequence[Meal], nutrient: str) -> list[str]:
    """Say which foods are not in a sum since nobody knows what they hold of it."""
    items = [item for meal in meals for item in meal.items]
    unknown = [i.name for i in items if i.nutrients is None or getattr(i.nutrients, nutrient) is None]
    if not unknown:
        return []
    return [f"Not counted, since I don't know what they hold: {join(list(dict.fromkeys(unknown))[:5])}."]


def _span(question: Question, person: Person, now: datetime) -> str:
    """Put a question's span in words: today, on Tue 3 Mar, from Mon 2 Mar on."""
    if question.since is None:
        return "so far"
    first = question.since.astimezone(person.zone).date()
    last = (end_of(question, now) - timedelta(seconds=1)).astimezone(person.zone).date()
    today = now.astimezone(person.zone).date()
    if first == last:
        days = (today - first).days
        return "today" if days == 0 else "yesterday" if days == 1 else f"on {first:%a} {first.day} {first:%b}"
    return f"from {first:%a} {first.day} {first:%b}" + (
        " on" if last == today else f" to {last:%a} {last.day} {last:%b}"
    )
