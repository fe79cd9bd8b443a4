"""How a night was, how one feels, meals that were skipped: said in other words than the plain ones."""

import pytest

from bot.foodtable import FoodTable
from bot.understanding.questions.small_talk import NOT_EATEN
from tests.bot.understanding.compact import context_at, read

NIGHTS_AND_MOODS = [
    ("no sleep", "bad night"),
    ("can't sleep", "bad night"),
    ("woke 3 times", "bad night"),
    ("woke twice", "bad night"),
    ("woke every hour", "bad night"),
    ("slept rubbish", "bad night"),
    ("tossed and turned", "bad night"),
    ("bad night, woke 3 times", "bad night"),
    ("day 3 of covid", "ill"),
    ("low mood", "low"),
    ("back pain", "pain"),
    ("no energy at all", "tired"),
    ("sad today", "low"),
    ("relaxed", "relaxed"),
    ("constipated", "constipated"),
]


@pytest.mark.parametrize(("text", "felt"), NIGHTS_AND_MOODS)
def test_how_one_feels(table: FoodTable, text: str, felt: str) -> None:
    assert read(text, context_at("08:00", table)) == f"feeling {felt} 08:00"


def test_a_waking_hour_is_still_one(table: FoodTable) -> None:
    assert read("woke at 3", context_at("08:00", table)) == "sleep - to 03:00"
    assert read("up at 4 for the flower market", context_at("08:00", table)) == "sleep - to 04:00"
    assert read("slept 11 till 6.30 woke twice", context_at("08:00", table)).startswith(
        "sleep 01.23:00 to 06:30"
    )


@pytest.mark.parametrize(
    "text",
    [
        "skipped lunch",
        "no breakfast today",
        "nothing for breakfast",
        "didn't have dinner",
        "I missed lunch again.",
    ],
)
def test_what_was_skipped_is_not_noted_and_needs_no_excuse(table: FoodTable, text: str) -> None:
    assert read(text, context_at("20:00", table)) == f"? {NOT_EATEN}"


@pytest.mark.parametrize("text", ["no, lunch", "lunch: no bread, soup", "nothing for breakfast but an apple"])
def test_a_correction_or_a_meal_is_not_taken_for_a_skipped_one(table: FoodTable, text: str) -> None:
    assert NOT_EATEN not in read(text, context_at("20:00", table))


@pytest.mark.parametrize("text", ["phone synced 7:45", "sensor synced at 7:45", "read out at 7:45"])
def test_what_was_read_out(table: FoodTable, text: str) -> None:
    assert read(text, context_at("08:00", table)) == "sync 07:45"


def test_pain_is_no_bread_and_bread_no_pain(table: FoodTable) -> None:
    assert "feeling" not in read("pain au chocolat", context_at("08:00", table))


WHOLE = [
    ("stressed; skipped lunch; big dinner: pasta", "feeling stressed 20:00 | dinner 20:00~: pasta 200~"),
    ("skipped breakfast, coffee at 9", "drink 09:00: coffee 200~"),
    ("headache so early lunch at 11: soup", "feeling headache 20:00 | lunch 11:00: soup 300~"),
    ("a light lunch: salad", "lunch 12:30~slot: salad 80~"),
    ("sync 7, porridge 7:15", "sync 07:00 | breakfast 07:15: porridge 250~"),
]


@pytest.mark.parametrize(("text", "expected"), WHOLE)
def test_what_stands_around_a_meal(table: FoodTable, text: str, expected: str) -> None:
    assert read(text, context_at("20:00", table)) == expected


def test_a_sensor_is_put_on_when_it_is_said(table: FoodTable) -> None:
    assert read("sensor on Thursday 19:00", context_at("08:00", table)).startswith("sensor started")
