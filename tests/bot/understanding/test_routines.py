"""Routines read from what was told, and days on which one was not kept."""

from datetime import date

import pytest

from bot.model.entries import Fact
from bot.understanding.settings.routines import Routine, read_routine, skips_in

TUESDAY = date(2026, 3, 3)
DESK = read_routine(Fact("routine", "desk; mon-fri; 09:00-12:30"))
TWINS = read_routine(Fact("routine", "bathe twins; mon-sun; 18:30"))
TRAIN = read_routine(Fact("routine", "train; tue,sat; 12:00"))
SWIM = read_routine(Fact("routine", "swim hour; mon; 18:00", "I swim every Monday at 18:00 for an hour"))
DOG = read_routine(Fact("routine", "walk dog; mon-sun; after dinner"))
ALL = (DESK, TWINS, TRAIN, SWIM, DOG)


def test_days_times_lengths_and_kinds() -> None:
    assert (DESK.days, DESK.start, DESK.minutes, DESK.kind) == (frozenset(range(5)), 540, 210, "sitting")
    assert (TWINS.days, TWINS.start, TWINS.minutes, TWINS.kind) == (frozenset(range(7)), 1110, None, "light")
    assert (TRAIN.days, TRAIN.start, TRAIN.kind) == (frozenset({1, 5}), 720, "exercise")
    assert (SWIM.minutes, SWIM.kind, SWIM.name) == (60, "exercise", "swimming")
    assert (DOG.start, DOG.beside, DOG.kind) == (None, "after dinner", "walk")


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        ("drive tram; mon-fri; 04:30-12:45", "sitting"), ("yoga; wed; 19:00", "exercise"),
        ("wash dishes; mon-sun; 20:00", "light"), ("choir practice; thu; 19:00", "exercise"),
        ("market stall; sat; 08:00-13:00", ""),
    ],
)  # fmt: skip
def test_what_it_counts_as(value: str, kind: str) -> None:
    one = read_routine(Fact("routine", value))
    assert one.kind == kind
    assert one.counts == bool(kind)


def test_a_night_over_midnight_and_no_time_at_all() -> None:
    assert read_routine(Fact("routine", "drive bus; fri; 22:00-06:00")).minutes == 480
    assert not read_routine(Fact("routine", "train; tue; mornings")).counts
    assert not read_routine(Fact("routine", "")).counts


@pytest.mark.parametrize(
    ("said", "meant", "day"),
    [
        ("no training today", TRAIN, TUESDAY), ("skipped training", TRAIN, TUESDAY),
        ("the training fell through today", TRAIN, TUESDAY), ("I did not train", TRAIN, TUESDAY),
        ("training was cancelled", TRAIN, TUESDAY), ("didn’t bathe the twins tonight", TWINS, TUESDAY),
        ("no bathing twins today", TWINS, TUESDAY), ("worked standing today", DESK, TUESDAY),
        ("no desk yesterday", DESK, date(2026, 3, 2)), ("day off today", DESK, TUESDAY),
        ("no swim on Monday", SWIM, date(2026, 3, 2)),
        ("didn't walk the dog last night", DOG, date(2026, 3, 2)),
    ],
)  # fmt: skip
def test_a_day_without_it(said: str, meant: Routine, day: date) -> None:
    assert skips_in(said, ALL, TUESDAY) == ([meant], day)


def test_of_another_day_it_is_no_routine() -> None:
    assert skips_in("no training yesterday", ALL, TUESDAY) == ([], date(2026, 3, 2))


@pytest.mark.parametrize(
    "said",
    [
        "no butter", "training", "I did train today", "trained, not at noon", "no training, pasta at home",
        "did I skip training?", "skipped lunch", "no desk lunch, 2 rolls", "", "no",
        "the train was not late, rice for lunch",
    ],
)  # fmt: skip
def test_other_words_are_left_to_the_rest(said: str) -> None:
    assert skips_in(said, ALL, TUESDAY) is None
