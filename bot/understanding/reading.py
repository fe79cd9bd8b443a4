"""From a message's text to what it says: the rules for what a message is, in order."""

from dataclasses import fields, replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.model.entries import Entry, Nothing, Understood
from bot.understanding.concerns import Concerned, find_concerns
from bot.understanding.context import Context
from bot.understanding.corrections.elements import only_opens
from bot.understanding.corrections.portions import read_portion
from bot.understanding.corrections.teaching import read_teaching
from bot.understanding.foods.recalling import recall_meals
from bot.understanding.foods.settling import settle
from bot.understanding.notes.notes import too_long
from bot.understanding.questions.small_talk import read_small_talk
from bot.understanding.search.choosing import choose
from bot.understanding.states.readings import NO_NUMBER
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.mending import mend
from bot.understanding.words.tokens import read_tokens, tidy

MOST_CHARS = 4096
MOST_TOKENS = 1000  # a message of 4,096 characters in words has about 900
_EXAMPLE = "“2 slices rye toast and an egg at 7:15”, “5.4 at 9:10” or “walked 10 min”"
NO_WORDS = f"There were no words in that: say it like {_EXAMPLE}."
WHAT_TO_CHANGE = "What should I change? Say it like “no, 150 g rice” or “it was at 8:15”."
HOW_TO_SAY = f"Say it like {_EXAMPLE}."


def understand(text: str, context: Context) -> Understood:
    """Return the entries and questions in a message, in the order said; nothing in `text` raises."""
    if len(text) > MOST_CHARS:
        return Understood(asks=(too_long(f"{len(text):,} characters"),))
    # Inside, all instants are in UTC: the difference of two wall-clock times is wrong when clocks change.
    concerned = find_concerns(tidy(text))
    text = mend(concerned.rest, context.table)
    context = replace(context, now=context.now.astimezone(UTC))
    understood = _beside(
        concerned,
        _understand_person(text, context) if text.strip() or not concerned.concerns else Understood(),
    )
    return replace(understood, entries=tuple(_in_zone(e, context.zone) for e in understood.entries))


def _beside(concerned: Concerned, understood: Understood) -> Understood:
    """Return what was understood, with what calls for a caution; beside that, nothing is asked back."""
    if not concerned.concerns and not concerned.asked:
        return understood
    entries = tuple(e for e in understood.entries if not isinstance(e, Nothing))
    told = tuple(dict.fromkeys([*understood.told, *concerned.facts]))
    return replace(
        understood,
        entries=(*entries, *concerned.asked),
        asks=understood.asks if entries else (),
        told=told,
        concerns=concerned.concerns,
    )


def _understand_person(text: str, context: Context) -> Understood:
    """Understand a message with the person's own words, and with the earlier meals that it names."""
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
    if text.strip() in TAGS.off_scale_chat:
        return Understood(asks=(NO_NUMBER,))
    small_talk = read_small_talk(tokens)
    if small_talk:
        return Understood(asks=(small_talk,))
    if context.noted and only_opens(text):
        return Understood((Nothing(" ".join(text.split())),), (WHAT_TO_CHANGE,))
    found = choose(tokens, text, context)
    if not found.entries and not found.asks and not found.told and found.choice is None:
        return Understood((Nothing(" ".join(text.split())),), (HOW_TO_SAY,), found.left_out)
    return found
