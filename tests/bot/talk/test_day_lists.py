"""A day's entries with a button each, a search, and a day as text: handed out, pasted back."""

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.model.messages import Outgoing
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as opened:
        opened.at("21:00")
        opened.say("porridge with 60 g oats, 200 ml milk and a lemon at 7:10")
        opened.say("walked 15 min at 7:40")
        opened.note("200 g buckwheat and a boiled egg at 12:30")
        opened.say("finger-prick 5.4 at 14:45")
        opened.say("felt tired at 15:00")
        opened.say("slept 22:30 to 6:15")
        yield opened


def last(talk: Talk) -> Outgoing:
    return talk.heard[-1]


@pytest.mark.parametrize(
    "asked",
    ["today", "/day", "what did I log today?", "what have I noted today", "list today", "today's entries"],
)
def test_a_day_is_listed_oldest_first_with_a_button_for_each_entry(talk: Talk, asked: str) -> None:
    said = talk.say(asked).splitlines()
    assert said[-1].startswith("Together about ")
    assert [line[:5] for line in said[1:-1]] == ["22:30", "07:10", "07:40", "12:30", "14:45", "15:00"]
    labels = [button.label for button in last(talk).buttons]
    assert labels == [
        "22:30 sleep", "07:10 breakfast", "07:40 walk", "12:30 lunch", "14:45 reading", "15:00 tired",
    ]  # fmt: skip
    assert all(len(button.data.encode()) <= 64 for button in last(talk).buttons)


def test_the_button_of_an_entry_brings_it_up_with_its_fixes(talk: Talk) -> None:
    talk.say("today")
    assert "buckwheat 200 g" in talk.press("12:30 lunch")
    assert [button.label for button in last(talk).buttons] == ["Fix amounts", "Fix time", "Undo"]
    assert talk.press("Undo").startswith("Taken back: lunch")
    assert "12:30" not in talk.say("today")
    talk.heard = talk.heard[:-3]  # the list as it stands further up in the chat
    assert "nothing to change" in talk.press("12:30 lunch")


def test_another_day_is_listed_and_an_empty_one_says_so(talk: Talk) -> None:
    talk.at("9:00", 2)
    assert "12:30 lunch: buckwheat 200 g" in talk.say("what did I log on Monday?")
    assert talk.say("list yesterday").startswith("I have nothing noted for yesterday")


def test_meals_with_a_curve_show_their_score(talk: Talk) -> None:
    talk.file(readings_csv(MORNING - timedelta(days=2), [5.0 + (k % 30) / 20 for k in range(800)]))
    assert re.search(r"12:30 lunch: .*; evenness \d+", talk.say("today"))
    assert re.search(r"12:30 .*, 200 g of it; evenness \d+", talk.say("everything with buckwheat"))


def test_a_search_gives_dates_and_amounts_eight_lines_at_most(talk: Talk) -> None:
    for day in range(1, 12):
        talk.at("20:00", day).note(f"{100 + day} g buckwheat at 12:30")
    lines = talk.say("everything with buckwheat").splitlines()
    assert lines[0] == "Buckwheat is in 12 meals, the newest first:"
    assert lines[1] == "12:30 buckwheat, 111 g of it"
    assert lines[3] == "Wed 11 Mar 12:30 buckwheat, 109 g of it"
    assert lines[-1] == "… and 4 earlier ones."
    assert len(lines) == 10


@pytest.mark.parametrize(
    "asked", ["find lemon", "everything with lemon", "all meals with lemon", "search for lemons"]
)
def test_a_food_is_found_in_a_plate(talk: Talk, asked: str) -> None:
    assert "07:10 oats, milk and lemon" in talk.say(asked)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (
            "how long since buckwheat?",
            "That was 3 days ago: Mon 2 Mar 12:30 buckwheat and boiled egg, 200 g of it",
        ),
        ("when did I last have bukwheat", "That was 3 days ago: Mon 2 Mar 12:30"),
        ("when did I last have rice pudding", "I find no rice pudding in the 2 meals I have."),
    ],
)
def test_how_long_ago_is_said(talk: Talk, asked: str, said: str) -> None:
    assert talk.at("9:00", 3).say(asked).startswith(said)


def test_a_day_as_text_reads_back_as_the_same_day() -> None:
    with talking() as first:
        first.at("21:00")
        first.say("porridge with 60 g oats, 200 ml milk and a lemon at 7:10")
        first.say("walked 15 min at 7:40")
        first.say("finger-prick 5.4 at 14:45")
        first.say("slept 22:30 to 6:15")
        first.say("felt tired at 15:00")
        text = first.at("9:00", 1).say("Monday as text")
    with talking() as second:
        second.at("9:00", 3)
        assert second.say(text).startswith("Noted for Mon 2 Mar:")
        assert second.say("Monday as text") == text
        assert second.say(text) == "I had 5 entries of it already."
        assert second.say("Monday as text") == text
        assert second.say("undo").startswith("Taken back: the sleep, Sun 1 Mar 22:30")
        assert second.say("Monday as text").startswith("I have nothing noted for Mon 2 Mar")


def test_a_day_in_own_words_is_noted_on_the_day_it_names(talk: Talk) -> None:
    talk.at("9:00", 3)
    said = talk.say(
        "yesterday:\n7:10 porridge\n12:30 soup and bread\n6 pm lentil curry\nwalked 20 min at 19:00"
    )
    assert said.splitlines()[0] == "Noted for yesterday:"
    assert len(said.splitlines()) == 5
    said = talk.say("7:10 porridge\n7:40 walk 10 min\n8:15 an apple")
    assert said.splitlines()[0] == "Noted for today:"
    assert {one.at.astimezone(MORNING.tzinfo).day for one in talk.logged("meal", "activity")[-3:]} == {5}


def test_what_a_pasted_line_does_not_say_is_said_back(talk: Talk) -> None:
    talk.at("9:00", 3)
    assert "I left out: “12:30 blurgh of the zonk”" in talk.say(
        "yesterday\n7:10 porridge\n12:30 blurgh of the zonk"
    )
    assert "is still to come" in talk.say("Friday 13 March 2026\nlunch 12:30: soup")


def test_a_pasted_day_cautions_as_its_lines_would(talk: Talk) -> None:
    talk.at("9:00", 3)
    said = talk.say("yesterday\n7:10 porridge\n2.8 at 9:10\ntook 5 units at 12:00")
    assert "2.8 mmol/L is very low" in said
    assert "you take insulin" in said
    assert "left out" not in said


def test_a_day_named_in_answer_to_a_question_is_the_answer(talk: Talk) -> None:
    talk.say("rye toast at 8:00")
    talk.press("Fix time")
    assert "What I have" not in talk.say("today")
