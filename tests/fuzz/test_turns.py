"""A fixed budget of whatever may come, on a bot with a day of data; more of it: `tests.fuzz.turns`."""

from tests.fuzz.turns import fuzz, lived


def test_whatever_comes_an_answer_comes() -> None:
    with lived(1) as talk:
        found = fuzz(talk, 120, seed=7)
        talk.meals()
    assert found.broke == []
    assert found.flooded == []
