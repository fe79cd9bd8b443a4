"""The learned weights that the bot reads are those that the corpus gives."""

from tests.talks.train_kinds import differences, kept, train_all


def test_the_weights_come_again_from_the_corpus() -> None:
    """After a change of what is understood: `python -m tests.talks.train_kinds` makes them again."""
    assert differences(train_all(), kept()) == []
