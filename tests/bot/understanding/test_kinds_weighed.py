"""Notes, questions, settings and small talk against each other: what sense words make as a note counts."""

import pytest

from bot.foodtable import FoodTable
from bot.model.entries import Activity, Feeling, Meal, Nothing, Question, Setting
from bot.understanding import understand
from bot.understanding.search.weighing import Sense, cost_of_neither, costs_of_kinds
from tests.bot.understanding.compact import context_at


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("Walked the top field, two miles or so, took forty minutes. Back by 4.", Activity),
        ("did my rounds, 40 mins on foot", Activity),
        ("came down with the flu", Feeling),
        ("small bowl of bran flakes, skimmed milk, half a banana sliced on top", Meal),
        ("leftover mac & cheese off their plates, maybe half a cup, like 8:15?", Meal),
        ("how was lunch", Question),
        ("fasting values last 7 days", Question),
        ("the weather is lovely today", Nothing),
        ("this is chat not more eating", Nothing),
    ],
)
def test_what_words_are_taken_for(said: str, kind: type, table: FoodTable) -> None:
    understood = understand(said, context_at("18:40", table))
    assert [type(entry) for entry in understood.entries] == [kind]


def test_what_leans_on_the_note_before_stays_part_of_it(table: FoodTable) -> None:
    for said in (
        "Lunch was ugali. I ate at quarter past one.",
        "Soup and two rolls at 1. no butter",
        "Croquettes, a bit of cheese. That was dinner standing at the bar",
    ):
        understood = understand(said, context_at("20:40", table))
        assert [type(entry) for entry in understood.entries] == [Meal], said


def test_a_setting_needs_more_than_a_word_where_food_is_told(real_table: FoodTable) -> None:
    said = "poke bowl for lunch around 1:15 (tuna, brown rice, no mayo sauce)"
    understood = understand(said, context_at("13:30", real_table))
    assert understood.told == ()
    told = understand("no reminders between 10 and 7 please", context_at("13:15", real_table)).told
    assert [type(each) for each in told] == [Setting]


def test_the_more_words_say_what_is_noted_the_less_it_is_anything_else() -> None:
    little, much = (costs_of_kinds(Sense(used=n), 0.0, None, None) for n in (1, 8))
    assert much["note"] < little["note"]
    assert much["talk"] > little["talk"]
    assert cost_of_neither(much) == 0.0


def test_sense_beside_what_stands_before() -> None:
    before, both = Sense(odd=0.5, used=4), Sense(odd=0.8, used=4, clear=True)
    beside = both.beside(before)
    assert beside.odd == pytest.approx(0.3)
    assert beside.used == 0
    assert beside.nothing


def test_a_question_at_the_end_of_a_long_message_is_answered(table: FoodTable) -> None:
    said = "2 slices toast with butter at 7, soup and a roll at 12.\n" * 12 + "How was lunch?"
    understood = understand(said, context_at("20:40", table))
    assert isinstance(understood.entries[-1], Question)
    assert sum(isinstance(entry, Question) for entry in understood.entries) == 1
