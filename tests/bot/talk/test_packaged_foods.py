from collections.abc import Iterator

import pytest

from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


@pytest.mark.parametrize(
    "words", ["/product oat bar", "look up the product oat bar", "find a packaged food: Oat Bar"]
)
def test_a_product_that_is_chosen_becomes_a_word(talk: Talk, words: str) -> None:
    assert "1. " in talk.say(words)
    assert "From now on “oat bar” is" in talk.press("1")
    noted = talk.say("an oat bar")
    assert "oat bar" in noted
    assert "I don't know" not in noted
    assert "oat bar" in talk.say("what are my words?")


def test_looking_up_changes_no_note_and_teaches_nothing(talk: Talk) -> None:
    before = talk.note("an oat bar")
    talk.say("/product oat bar")
    assert "no words yet" in talk.say("/words")
    talk.at("11:00")  # at once it would be the same bar
    first, again = (noted.splitlines()[0].rpartition(": ")[2] for noted in (before, talk.note("an oat bar")))
    assert first == again


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("/product", "Write /product and its name"),
        ("/product ???", "Write /product and its name"),
        ("/product zzzzqqx", "I know no packaged food with all the words of “zzzzqqx”"),
        ("/product " + "oat " * 30, "That name is too long"),
    ],
)
def test_what_cannot_be_looked_up_says_how(talk: Talk, words: str, says: str) -> None:
    assert talk.say(words).startswith(says)
