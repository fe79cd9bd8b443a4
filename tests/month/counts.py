"""Counts what the bot says in a month: `python -m tests.month.counts [DAYS] [--talk DAY]`."""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from tests.month.play import Month, Said, played_month
from tests.month.script import DAYS, day_of, is_ordinary, shift_of


@dataclass(frozen=True, slots=True)
class Day:
    """One day's messages, marks and words from the bot, and what the person sent; a mark is no message."""

    number: int
    meals: int
    syncs: int
    more: int
    marks: int
    unasked: int
    answers: int
    unasked_words: int
    answer_words: int

    @property
    def messages(self) -> int:
        return self.unasked + self.answers

    @property
    def words(self) -> int:
        return self.unasked_words + self.answer_words

    @property
    def is_ordinary(self) -> bool:
        """Three meals, three syncs, and nothing asked or changed."""
        return is_ordinary(self.number) and (self.meals, self.syncs) == (3, 3)


def words_of(said: Said) -> int:
    """Return how many words a message has."""
    return len(said.message.shown.split())


def count(month: Month) -> list[Day]:
    """Return the days of a month, counted."""
    days = sorted({said.day for said in month.said})
    return [_count_day(month, day) for day in days]


def _count_day(month: Month, day: int) -> Day:
    sent = [step.kind for step in month.steps if day_of(step.at) == day]
    said_then = [said for said in month.said if said.day == day]
    said_in_words = [said for said in said_then if said.message.reaction is None]
    unasked = [said for said in said_in_words if said.message.reminder]
    answers = [said for said in said_in_words if not said.message.reminder]
    return Day(
        day,
        sent.count("meal"),
        sent.count("sync"),
        sent.count("more"),
        len(said_then) - len(said_in_words),
        len(unasked),
        len(answers),
        sum(map(words_of, unasked)),
        sum(map(words_of, answers)),
    )


def spread(values: Sequence[int]) -> str:
    """Return least, quartiles and most of some counts."""
    if not values:
        return "none"
    ordered = sorted(values)
    at = [ordered[round(q * (len(ordered) - 1))] for q in (0, 0.25, 0.5, 0.75, 1)]
    return f"{at[0]} / {at[1]} / {median(ordered):g} / {at[3]} / {at[4]}"


def print_counts(month: Month) -> None:
    """Print a row for each day, and how messages and words are spread over the days."""
    days = count(month)
    print("day shift  meals syncs more marks | unasked answers = messages | unasked answers = words")
    for day in days:
        mark = "*" if day.is_ordinary else " "
        print(
            f"{day.number:3d}{mark}{shift_of(day.number) if day.number else '':6s} {day.meals:5d} "
            f"{day.syncs:5d} {day.more:4d} {day.marks:5d} | {day.unasked:7d} {day.answers:7d} "
            f"= {day.messages:8d} | {day.unasked_words:7d} {day.answer_words:7d} = {day.words:5d}"
        )
    for name, chosen in (
        ("all whole days", [day for day in days if 1 <= day.number <= DAYS]),
        ("ordinary days (*)", [day for day in days if day.is_ordinary]),
    ):
        print(f"{name}: {len(chosen)}; least / quarter / middle / three quarters / most")
        print(f"  messages: {spread([day.messages for day in chosen])}")
        print(f"  words:    {spread([day.words for day in chosen])}")


def print_talk(month: Month, day: int) -> None:
    """Print one day's talk."""
    lines = [(step.at, 0, f"me: {step.text}") for step in month.steps if day_of(step.at) == day]
    lines += [
        (said.at, 1, f"{'bot!' if said.message.reminder else 'bot:'} {said.message.shown}")
        for said in month.said
        if said.day == day
    ]
    for when, _, text in sorted(lines, key=lambda line: line[:2]):
        print(f"{when.astimezone(month.steps[0].at.tzinfo):%d %H:%M} {text}")


if __name__ == "__main__":
    args = [arg for arg in sys.argv[1:] if arg.isdigit()]
    shown = int(args[-1]) if "--talk" in sys.argv else None
    found = played_month(int(args[0]) if args and (shown is None or len(args) > 1) else None)
    print_counts(found)
    if shown is not None:
        print_talk(found, shown)
