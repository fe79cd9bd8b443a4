"""Short sentences that only lead the one behind them: "chicken. verdict?", "4 pm. Pasta and salad"."""

from collections.abc import Iterable, Iterator

from bot.model.entries import Meal, Question
from bot.understanding.candidates import Candidate
from bot.understanding.questions.questions import SURE_COST
from bot.understanding.questions.subjects import known_food
from bot.understanding.search.readers import Readers
from bot.understanding.search.stretches import Stretch, join, stretch_of

LONG = 600
"""A longer message tells of a day: nothing in it is a change, and what is one sentence stays one.

What stands behind so many characters is a note, a question by its mark, or something told of oneself; so is
all of what is twice as long.
"""
MOST_CHARS_TOPIC = 30
OF_TOPIC = ("food", "one_meal", "other")
"""What a question may be about that is meant of the food named before it."""
ONLY_TIMES = "TRSet,u"
"""Tags of a sentence that holds a time and nothing to note."""


def with_heads(parts: Iterable[Stretch], text: str, readers: Readers) -> Iterator[Stretch]:
    """Yield the sentences, one that only leads another together with it."""
    before: Stretch | None = None
    for part in parts:
        if before is not None and _leads(before, part, text, readers):
            yield stretch_of((*before.tokens, *part.tokens), text)
            before = None
            continue
        if before is not None:
            yield before
        before = part
    if before is not None:
        yield before


def _leads(head: Stretch, part: Stretch, text: str, readers: Readers) -> bool:
    if len(head.text.strip(" .,!:-\n")) > MOST_CHARS_TOPIC or head.asked:
        return False
    return _asks_of(head, part, text, readers) if part.asked else _times(head, part, text, readers)


def _times(head: Stretch, part: Stretch, text: str, readers: Readers) -> bool:
    """Tell whether a sentence only says when the food behind it was eaten: "staff meal 4 pm. Pasta"."""
    if len(text) > LONG:
        return False  # its sentences are read together anyway
    tags = "".join(e.tag for e in readers.elements(head.text))
    if tags.count("T") != 1 or set(tags) - set(ONLY_TIMES) or readers.note(head.text).entries:
        return False
    eaten = readers.note(part.text).entries
    if not eaten or not all(isinstance(e, Meal) and e.timed == "now" for e in eaten):
        return False
    both = readers.note(join([head, part], text))
    return not both.left_out and all(isinstance(e, Meal) and e.timed == "stated" for e in both.entries)


def _asks_of(topic: Stretch, asked: Stretch, text: str, readers: Readers) -> bool:
    """Tell whether a question that names nothing is about the food that stands before it."""
    if not known_food(topic.text.strip(" .,!:-\n"), readers.context):
        return False
    alone, both = readers.asked(asked.text), readers.asked(join([topic, asked], text))
    if alone is None or both is None or both.cost >= SURE_COST:
        return False
    by_itself, of_topic = question_of(alone), question_of(both)
    return not by_itself.subject and by_itself.about in OF_TOPIC and bool(of_topic.subject)


def question_of(asked: Candidate) -> Question:
    """Return the question that words were read as."""
    return next(entry for entry in asked.entries if isinstance(entry, Question))
