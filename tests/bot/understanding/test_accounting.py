"""Every word of a note is used, negated, a filler or said back; nothing is dropped without a word."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.understanding import Context
from bot.understanding.notes.notes import account, read_notes
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.units import UNITS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.mending import mend
from bot.understanding.words.tokens import read_tokens, tidy
from tests.bot.understanding.compact import context_at
from tests.corpus.corpus import load_notes

FATES = {"used", "negated", "filler", "left out", "apart"}
SAID_BACK = ("left out", "apart")
NOTES = load_notes()
TEXTS = sorted({note["text"] for note in NOTES if len(note["text"]) < 300})
FILLERS = TAGS.filler | TAGS.glue


def check(text: str, context: Context) -> None:
    text = mend(tidy(text), context.table)
    notes, fates = account(text, context)
    words = [token.text for token in read_tokens(text) if token.kind != "mark"]
    assert [word for word, _ in fates] == words
    assert {fate for _, fate in fates} <= FATES
    assert all(word in FILLERS for word, fate in fates if fate == "filler")
    said_back = " ".join(notes.left_out).lower().replace("’", "'")
    assert all(word in said_back for word, fate in fates if fate in SAID_BACK)
    assert bool(notes.left_out) == any(fate in SAID_BACK for _, fate in fates)


def test_each_word_of_the_corpus_has_one_fate(real_table):
    for note in NOTES:
        zone = ZoneInfo(note["tz"])
        check(
            note["text"], Context(datetime.fromisoformat(note["now"]).replace(tzinfo=zone), zone, real_table)
        )


@settings(deadline=None, max_examples=150)
@given(
    parts=st.lists(st.sampled_from(TEXTS), min_size=2, max_size=4),
    joint=st.sampled_from([", ", ". ", " and ", "\n", " then ", " ", " with ", " (", " but no "]),
)
def test_each_word_of_joined_notes_has_one_fate(real_table, parts, joint):
    check(joint.join(parts), context_at("2026-05-12T20:40", real_table))


def test_the_fillers_are_few_and_no_food_number_or_unit(real_table):
    assert len(FILLERS) <= 150
    assert [word for word in FILLERS if real_table.match(word) is not None] == []
    assert FILLERS.isdisjoint(NUMBER_WORDS)
    assert FILLERS.isdisjoint(UNITS)


@pytest.mark.parametrize(
    ("text", "left_out"),
    [
        ("2 eggs on toast at 8", ()),
        ("2 eggs and zorblax at 8", ()),  # said to be eaten: an unknown food
        ("walked 10 min zorblax", ("zorblax",)),
        ("walked 20 min round the old reservoir", ()),
        ("eggs beans zorblax toast", ("zorblax",)),
        ("7.9 at 9 after pasta and rice", ("pasta",)),
        ("felt tired at 3, the neighbours brought a trifle", ("neighbours brought a trifle",)),
        ("toast with no butter", ()),
        ("soup at 6, no wait, at 7", ()),
        ("2 eggs. My cat is on the sofa", ("cat is on the sofa",)),
        ("didn't go to the gym, had 2 eggs", ()),
    ],
)
def test_what_nothing_uses_is_said_back(real_table, text, left_out):
    assert read_notes(text, context_at("13:00", real_table)).left_out == left_out
