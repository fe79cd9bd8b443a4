"""What the README says can be said is understood: every example of its tables, word for word."""

import re
from functools import cache
from pathlib import Path

import pytest

from bot.foodtable import FoodTable, load_table
from bot.model.entries import Meal, Nothing, Question, Understood
from bot.understanding import Context, understand
from tests.talk import MORNING, VIENNA, talking

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
SAID = README[README.index("### What you can say") : README.index("### What `understand --json` prints")]
BY_ITSELF = re.compile(
    r"^(?!/|undo$|Put back$|same |half of Tuesday|the usual$|going to bed$|my usual breakfast)"
)
"""What can be understood without the diary and the clock around it; the demos say the others."""
ANSWERS = {
    *("agree", "8 pairs", "not now", "not today"),  # tests/bot/talk/test_trials.py
    *("our porridge", "stop sharing"),  # tests/bot/talk/test_sharing.py
    *(
        "no training today",
        "didn't bathe the twins tonight",
        "worked standing today",
    ),  # understanding/test_routines.py
}
"""What is said about something agreed to or told before; tested there."""


@cache
def table() -> FoodTable:
    return load_table()


def said_in(start: str) -> list[str]:
    """The examples of the table that follows some words: its second column, between backticks."""
    listed = SAID[SAID.index(start) :].split("\n\n")[1]
    rows = [row.split(" | ")[1] for row in listed.splitlines()[2:]]
    found = [said for row in rows for said in re.findall(r"`([^`]+)`", row)]
    return [said for said in found if BY_ITSELF.match(said) and said not in ANSWERS | OF_THE_TALK]


OF_THE_TALK = {
    "undo the file", "share this photo", "keep the photo private", "delete the photo", "hide scores",
    "show scores", "my rule: walk after big dinners", "what are my rules?", "change rule 2 to …",
    "drop rule 2",
    "keep this private",
}  # fmt: skip
"""What is not of the diary: the talk knows these words before anything is understood."""


@pytest.mark.parametrize("said", sorted(OF_THE_TALK))
def test_what_the_talk_knows_is_answered(said: str) -> None:
    assert f"`{said}`" in SAID
    with talking() as talk:
        vars(talk.app)["_table"] = table()
        talk.at("18:00").say(TOAST)
        answer = talk.at("18:30").say(said)
    assert answer
    assert not any(
        words in answer for words in ("did not understand", "didn't understand", "left out", "wrong on my")
    )


TOAST = "2 slices rye toast with butter and a boiled egg at 7:15"
RICE = "200 g rice, 120 g chicken and an apple at 12:30"
SNACK = "a plum and 30 g almonds at 15:00"
# What stands in the diary before; where an example is of other food, that.
BEFORE: dict[str, list[str]] = {
    "the butter was margarine": [TOAST],
    "swap the rice for couscous": [RICE],
    "no, a pear": ["an apple"],
    "it was a run, not a walk": ["walked 20 min at 7:00"],
    "3 slices, not 2": [TOAST],
    "no, 120 g rice": [RICE],
    "the rice was 150 g": [RICE],
    "make the walk 30 min": ["walked 20 min at 7:00"],
    "rice 200, tofu 150": ["180 g rice with 100 g tofu"],
    "only ate half the rice": [RICE],
    "left a third of the pasta": ["300 g pasta with pesto"],
    "double the rice": [RICE],
    "a quarter of that": ["2 slices toast with jam"],
    "remove the egg": [TOAST],
    "scratch the plum": [SNACK, "300 g pasta with pesto at 17:30"],
    "never got round to the apple": [RICE],
    "remove yesterday's roll": ["300 g leek soup and a roll yesterday at 18:30"],
    "delete lunch": [RICE],
    "add a boiled egg": ["2 slices rye toast with butter"],
    "and a coffee": [TOAST],
    "had seconds of pasta": ["300 g pasta with pesto"],
    "I forgot a naan with the curry": ["chicken curry with 200 g rice"],
    "it was at 12:15": [RICE],
    "that was 20 minutes earlier": [RICE],
    "it was a snack, not lunch": [RICE],
    "no, up at 6:45": ["slept 22:30 to 6:15"],
    "the rice was couscous and it was at 12:10": [RICE],
    "the rice was brown": [RICE],
    "the beer was alcohol free": ["pizza and a beer"],
    "brown bread, not white": ["ham sandwich and crisps"],
    "no sugar in the tea": ["tea with sugar"],
    "had the salad first": ["steak, chips and salad"],
    "juice was before the toast": ["eggs on toast, orange juice"],
}
NEW_NOTE = {"last night I also had a yogurt at 21:00"}


@pytest.mark.parametrize("said", sorted(set(said_in("**To put something right**")) - NEW_NOTE))
def test_a_change_is_made_without_a_question(said: str) -> None:
    with talking() as talk:
        vars(talk.app)["_table"] = table()
        talk.at("18:00")
        for note in BEFORE[said]:
            talk.say(note)
        before = [logged.entry for logged in talk.logged("meal", "activity", "sleep")]
        answer = talk.at("18:05").say(said)
        after = [logged.entry for logged in talk.logged("meal", "activity", "sleep")]
    assert before != after
    assert len(after) == len(before) - (said == "delete lunch")
    assert not talk.heard[-1].text.endswith("something new?"), answer
    assert "Which one" not in answer


def understood_alone(said: str) -> Understood:
    return understand(said, Context(MORNING.replace(hour=20), VIENNA, table()))


@pytest.mark.parametrize("said", [*said_in("### What you can say"), *NEW_NOTE])
def test_a_note_is_understood_to_its_last_word(said: str) -> None:
    found = understood_alone(said)
    assert found.left_out == ()
    assert found.entries
    assert not any(isinstance(entry, Nothing) for entry in found.entries)
    assert all(item.food for e in found.entries if isinstance(e, Meal) for item in e.items)


@pytest.mark.parametrize("said", said_in("**Settings, and what to know about you**"))
def test_a_setting_is_told_or_asked_for(said: str) -> None:
    found = understood_alone(said)
    assert found.told or isinstance(found.entries[0], Question)


@pytest.mark.parametrize("said", said_in("**Questions** take"))
def test_a_question_has_its_sort(said: str) -> None:
    (question,) = understood_alone(said).entries
    assert isinstance(question, Question)
    assert question.sort not in ("", "unknown")
