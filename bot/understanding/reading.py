"""From a message's text to what it says: the rules for what a message is, in order."""

import re
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import UTC, datetime
from itertools import zip_longest
from typing import Any
from zoneinfo import ZoneInfo

from bot.entries import Entry, Nothing, Question, Understood
from bot.understanding.context import Context
from bot.understanding.corrections.corrections import read_correction
from bot.understanding.corrections.portions import read_portion
from bot.understanding.corrections.teaching import read_teaching
from bot.understanding.foods.recalling import recall_meals
from bot.understanding.foods.settling import settle
from bot.understanding.notes.notes import read_notes, too_long
from bot.understanding.questions.days_questions import read_days_question
from bot.understanding.questions.questions import begins_question, read_question
from bot.understanding.questions.small_talk import OFF_SCALE, read_small_talk
from bot.understanding.states.readings import NO_NUMBER
from bot.understanding.words.mending import mend
from bot.understanding.words.tokens import Token, read_tokens, tidy

MOST_CHARS = 4096
MOST_TOKENS = 1000  # a message of 4,096 characters in words has about 900
_EXAMPLE = "“2 slices rye toast and an egg at 7:15”, “5.4 at 9:10” or “walked 10 min”"
NO_WORDS = f"There were no words in that: say it like {_EXAMPLE}."
HOW_TO_SAY = f"Say it like {_EXAMPLE}."
_POINTS_BACK = re.compile(r"\b(?:that|it)\b", re.IGNORECASE)
_ENDS = frozenset({"\n", "?", "!", ".", ";"})


def understand(text: str, context: Context) -> Understood:
    """Return the entries and questions in a message, in the order said; nothing in `text` raises."""
    if len(text) > MOST_CHARS:
        return Understood(asks=(too_long(f"{len(text):,} characters"),))
    # Inside, all instants are in UTC: the difference of two wall-clock times is wrong when clocks change.
    text = mend(tidy(text), context.table)
    understood = _understand_person(text, replace(context, now=context.now.astimezone(UTC)))
    return replace(understood, entries=tuple(_in_zone(e, context.zone) for e in understood.entries))


def _understand_person(text: str, context: Context) -> Understood:
    """Understand a message with the person's own words, and with the earlier meals that it names."""
    asked = read_days_question(text, context)
    if asked is not None:
        return Understood((asked,))
    text, known, asks = recall_meals(text, context)
    taught = read_teaching(text, known) or read_portion(text, known)
    understood = settle(taught or _understand(text, known), known)
    if not asks:
        return understood
    # What named no meal is asked about; of the words around it only what was understood counts.
    entries = tuple(e for e in understood.entries if not isinstance(e, Nothing))
    return replace(understood, entries=entries, asks=(*asks, *(understood.asks if entries else ())))


def _in_zone(entry: Entry, zone: ZoneInfo) -> Entry:
    """Return an entry with its instants on the person's clock."""
    values: dict[str, Any] = {f.name: getattr(entry, f.name) for f in fields(entry)}
    moved = {name: at.astimezone(zone) for name, at in values.items() if isinstance(at, datetime)}
    return type(entry)(**(values | moved))


def _understand(text: str, context: Context) -> Understood:
    tokens = read_tokens(text)
    if not any(t.kind != "mark" or t.text == "?" for t in tokens):
        return Understood(asks=(NO_WORDS,))
    if len(tokens) > MOST_TOKENS:
        return Understood(asks=(too_long(f"{len(tokens):,} words and marks"),))
    if text.strip() in OFF_SCALE:
        return Understood(asks=(NO_NUMBER,))
    small_talk = read_small_talk(tokens)
    if small_talk:
        return Understood(asks=(small_talk,))
    correction = read_correction(text, context)
    if correction is not None:
        return correction
    entries: list[Entry] = []
    asks: list[str] = []
    left_out: list[str] = []
    for part in _parts(tokens, text, context):
        if isinstance(part, Question):
            before = entries[-1] if entries else None
            if (
                isinstance(before, Question)
                and part.about in ("day", "other")
                and _POINTS_BACK.search(part.said)
            ):
                # "and dinner? how did that go yesterday" is one question
                entries[-1] = replace(
                    before, since=part.since or before.since, until=part.until or before.until
                )
            else:
                entries.append(part)
            continue
        found = read_notes(part, context)
        entries += found.entries
        asks += [ask for ask in found.asks if ask not in asks]
        left_out += found.left_out
    if not asks and not entries:
        return Understood((Nothing(" ".join(text.split())),), (HOW_TO_SAY,), tuple(left_out))
    return Understood(tuple(entries), tuple(asks), tuple(left_out))


def _parts(tokens: list[Token], text: str, context: Context) -> Iterator[Question | str]:
    """Yield the questions in a message, and the stretches of text between them as notes."""
    note: list[Token] = []
    for sentence in _with_questions(_sentences(tokens), text, context):
        asked = sentence[-1].text == "?"
        question = read_question(sentence, asked, text, context)
        if question is None:
            note += sentence
            continue
        if note:
            yield text[note[0].start : note[-1].end]
            note = []
        yield question
    if note:
        yield text[note[0].start : note[-1].end]


def _with_questions(sentences: Iterator[list[Token]], text: str, context: Context) -> Iterator[list[Token]]:
    """Part a question from the note before its comma: "apple at 4, how am i doing?"."""
    for sentence in sentences:
        cut = next((k for k in range(len(sentence) - 2, 0, -1) if sentence[k].text == ","), 0)
        tail = sentence[cut + 1 :]
        asks = bool(cut) and sentence[-1].text == "?" and begins_question(tail[0].text)
        if asks and read_question(sentence, True, text, context) is None:
            yield sentence[: cut + 1]
            yield tail
        else:
            yield sentence


def _sentences(tokens: list[Token]) -> Iterator[list[Token]]:
    sentence: list[Token] = []
    for token, following in zip_longest(tokens, tokens[1:]):
        sentence.append(token)
        if token.text in _ENDS and (following is None or following.text not in _ENDS):
            yield sentence
            sentence = []
    if sentence:
        yield sentence
