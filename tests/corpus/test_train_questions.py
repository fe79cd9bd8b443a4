"""The learned weights of questions that the bot reads are those that the corpus gives."""

from bot.foodtable import load_table
from tests.corpus.train_questions import as_table, cross_validate, differences, kept, questions, train

LEAST_ABOUT = 0.88
"""What voices not learnt from reached when this was written, less a few questions."""


def test_the_weights_come_again_from_the_corpus() -> None:
    """After a change of cues or of the corpus: `python -m tests.corpus.train_questions` makes them again."""
    assert differences(as_table(train(load_table())), kept()) == []


def test_questions_of_voices_not_learnt_from_are_routed() -> None:
    assert cross_validate(list(questions(load_table(), "")))[0] >= LEAST_ABOUT
