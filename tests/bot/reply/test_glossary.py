"""Each word of the bot can be asked about."""

import re

import pytest

from bot.reply.glossary import entries, explain, explain_asked, explain_within
from tests.talk import talking
from tests.templates import collect

TERMS = (
    *("evenness", "curve", "baseline", "rise", "peak", "area", "dip", "reference line", "sync", "reading"),
    *("memory", "lost", "finger-prick", "first bite", "serving", "likely", "my guess", "too early to judge"),
    *("beyond chance", "rank", "slow", "rough", "give or take", "average day", "fasting", "carbohydrate"),
    *(
        "mmol/l",
        "mg/dl",
        "habit",
        "version",
        "staple",
        "test",
        "pair",
        "the lot",
        "clear",
        "leaning",
        "shift",
    ),
    *("quiet", "whole day", "token", "like portions"),
)
"""What has a meaning of its own when the bot says it."""


@pytest.mark.parametrize("term", TERMS)
def test_a_term_that_is_said_is_explained(term: str) -> None:
    assert any(re.search(rf"\b{re.escape(term)}", one.text.lower()) for one in collect()), "said no more"
    assert explain(term) is not None


@pytest.mark.parametrize("says", sorted(set(entries().values())))
def test_an_explanation_is_one_to_three_plain_sentences(says: str) -> None:
    assert says.endswith(".")
    assert 1 <= len(re.findall(r"[.:?](?: |$)", says)) <= 5
    assert len(says.split()) <= 50


@pytest.mark.parametrize(
    ("asked", "holds"),
    [
        ("what do you call a baseline?", "just before the first bite"),
        ("What's a dip?", "falls below"),
        ("what is evenness", "0 to 100"),
        ("what does evenness mean?", "0 to 100"),
        ("What do you mean by beyond chance?", "luck"),
        ("explain the area please", "added up"),
        ("what is a sync?", "fetches"),
    ],
)
def test_a_word_is_asked_for_in_many_ways(asked: str, holds: str) -> None:
    assert holds in (explain_asked(asked) or "")
    with talking() as talk:
        assert holds in talk.say(asked)


@pytest.mark.parametrize(
    "other",
    ["what is rice?", "what's my fasting?", "what is worth trying?", "a dip of hummus at 9:00", "what is"],
)
def test_other_words_are_no_such_question(other: str) -> None:
    assert explain_asked(other) is None


def test_several_words_are_explained_together() -> None:
    said = explain_within("what's the difference between the score and the peak?") or ""
    assert "0 to 100" in said
    assert "highest reading" in said
