"""From a message's text to what it says: the rules for what a message is, in order."""

from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.entries import Entry, Nothing, Question, Understood
from bot.understanding.context import Context
from bot.understanding.corrections import read_correction
from bot.understanding.notes import read_notes
from bot.understanding.questions import read_question
from bot.understanding.tokens import Token, read_tokens, tidy

MOST_CHARS = 4096
_EXAMPLE = "“2 slices rye toast and an egg at 7:15”, “5.4 at 9:10” or “walked 10 min”"
NO_WORDS = f"There were no words in that: say it like {_EXAMPLE}."
HOW_TO_SAY = f"Say it like {_EXAMPLE}."
_ENDS = frozenset({"\n", "?", "!", ".", ";"})


def understand(text: str, context: Context) -> Understood:
    """Return the entries and questions in a message, in the order said; nothing in `text` raises."""
    if len(text) > MOST_CHARS:
        return Understood(
            asks=(f"That is longer than I can read in one go ({len(text):,} characters): send it in parts.",)
        )
    # Inside, all instants are in UTC: the difference of two wall-clock times is wrong when clocks change.
    understood = _understand(tidy(text), replace(context, now=context.now.astimezone(UTC)))
    return Understood(tuple(_in_zone(e, context.zone) for e in understood.entries), understood.asks)


def _in_zone(entry: Entry, zone: ZoneInfo) -> Entry:
    """Return an entry with its instants on the person's clock."""
    values: dict[str, Any] = {f.name: getattr(entry, f.name) for f in fields(entry)}
    moved = {name: at.astimezone(zone) for name, at in values.items() if isinstance(at, datetime)}
    return type(entry)(**(values | moved))


def _understand(text: str, context: Context) -> Understood:
    tokens = read_tokens(text)
    if not any(t.kind != "mark" or t.text == "?" for t in tokens):
        return Understood(asks=(NO_WORDS,))
    correction = read_correction(text, context)
    if correction is not None:
        return correction
    entries: list[Entry] = []
    asks: list[str] = []
    for part in _parts(tokens, text, context):
        if isinstance(part, Question):
            entries.append(part)
            continue
        found, more = read_notes(part, context)
        entries += found
        asks += [ask for ask in more if ask not in asks]
    if not asks and all(isinstance(e, Nothing) for e in entries):
        return Understood((Nothing(" ".join(text.split())),), (HOW_TO_SAY,))
    return Understood(tuple(entries), tuple(asks))


def _parts(tokens: list[Token], text: str, context: Context) -> Iterator[Question | str]:
    """Yield the questions in a message, and the stretches of text between them as notes."""
    note: list[Token] = []
    for sentence in _sentences(tokens):
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


def _sentences(tokens: list[Token]) -> Iterator[list[Token]]:
    sentence: list[Token] = []
    for token in tokens:
        sentence.append(token)
        if token.text in _ENDS:
            yield sentence
            sentence = []
    if sentence:
        yield sentence
