"""Questions in many voices are told from notes, and routed."""

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.foodtable import FoodTable, load_table
from bot.model.entries import Question
from bot.understanding import Context
from bot.understanding.questions.questions import SURE_COST, read_asked
from bot.understanding.questions.sorts import ABOUT
from bot.understanding.words.mending import mend

LEAST_ROUTED, LEAST_SORTED = 0.93, 0.9
VIENNA = ZoneInfo("Europe/Vienna")
LINES = (Path(__file__).parent / "asked.txt").read_text(encoding="utf-8").splitlines()
ASKED = [line.split(" | ") for line in LINES if not line.startswith("#")]


@pytest.fixture(scope="module")
def everyday() -> FoodTable:
    return load_table()


def asked_of(text: str, table: FoodTable) -> Question | None:
    context = Context(datetime(2026, 3, 11, 20, 0, tzinfo=VIENNA), VIENNA, table)
    found = read_asked(mend(text, table), context)
    question = None if found is None or found.cost >= SURE_COST else found.entries[0]
    return question if isinstance(question, Question) else None


def test_most_are_routed_and_sorted(everyday: FoodTable) -> None:
    found = [(sort, asked_of(text, everyday)) for sort, text in ASKED if sort != "none"]
    routed = [question is not None and question.about == ABOUT[sort] for sort, question in found]
    sorted_right = [question is not None and question.sort == sort for sort, question in found]
    assert sum(routed) / len(routed) >= LEAST_ROUTED
    assert sum(sorted_right) / len(sorted_right) >= LEAST_SORTED


@pytest.mark.parametrize("text", [text for sort, text in ASKED if sort == "none"])
def test_a_note_or_a_change_is_no_question(text: str, everyday: FoodTable) -> None:
    assert asked_of(text, everyday) is None


@pytest.mark.parametrize(
    ("text", "sort", "subject", "against"),
    [
        ("corn and me: any verdict", "effect", "corn", ""),
        ("is bulgur the wiser side", "effect", "bulgur", ""),
        ("kindest dinners so far", "ranking", "dinner", ""),
        ("fibre per day on average", "daily nutrients", "fibre", ""),
        ("how was saturdays brunch", "curve", "breakfast", ""),
        ("how long since polenta", "since last", "polenta", ""),
        ("what made this one climb", "why", "", ""),
        ("where does the number come from", "where from", "", ""),
        ("how does muesli compare to toast", "compare", "muesli", "toast"),
        ("porridge or toast, which suits me", "compare", "porridge", "toast"),
        ("does dal with rice do worse than dal with roti", "compare", "dal with rice", "dal with roti"),
    ],
)
def test_slots(text: str, sort: str, subject: str, against: str, everyday: FoodTable) -> None:
    question = asked_of(text, everyday)
    assert question is not None
    assert (question.sort, question.subject, question.against) == (sort, subject, against)
