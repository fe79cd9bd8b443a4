"""Sentences that ask something of the bot: cues vote for what is asked, its slots are looked up.

A learned score says how surely it is a question rather than a note; what is asked is the sort with most votes
of cues and of another learned score. Nothing is decided by one word alone, so that wordings never seen before
find their place.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from math import exp, log

from bot.model.entries import Question
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.questions.learned import (
    asking_features,
    log_chances,
    log_odds_of_asking,
    sort_features,
)
from bot.understanding.questions.named import kinds_of_day, read_named
from bot.understanding.questions.periods import WEEKDAYS, day_of_slot, last_days, read_period
from bot.understanding.questions.sorts import ABOUT, FIRST, Sort
from bot.understanding.questions.subjects import (
    foods_in,
    known_food,
    second_side,
    sides_of,
    slot_in,
    slots_in,
)
from bot.understanding.questions.trials import SORT_OF_ACT, read_act
from bot.understanding.words.cues import Found, Lexicon
from bot.understanding.words.full_words import full, in_full
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.medicines import MEDICINE_KINDS, MEDICINES
from bot.understanding.words.tokens import Token, read_tokens

MOST_CHARACTERS = 300
"""A question is not longer."""
SURE_COST = log(2.0)
"""Below this cost words are rather a question than anything else."""
LEAST_CHANCE = 1e-4
NAMED_COST = 0.01
LEAST_ODDS = -5.0
WEIGHT_LEARNED = 8.0
"""How much a learned log-probability says beside the votes of the cues; chosen by voices not learnt from."""
MOST_MARKS = 20
WEEK_DAYS = 8
Span = tuple[datetime, datetime] | tuple[None, None]
SURELY_ASKS = 3.0
"""What is added where words begin with "does": nobody notes so."""
_AGAINST = TAGS.sides_subjects - {"and"}


def read_asked(stretch: str, context: Context, own: Collection[str] = ()) -> Candidate | None:
    """Return the question that a stretch of words may be, None where it is surely none.

    own: foods and meals of the person's own log, by name. The cost says how surely the words are a question
    at all, rather than a note, a correction or chat.
    """
    text = " ".join(stretch.split())
    if text and len(text) < MOST_MARKS and set(text) == {"?"}:
        return Candidate((Question("help", said="?", sort="abilities"),))
    if len(text) > MOST_CHARACTERS:
        return None
    named = read_named(text, context)
    if named is not None:
        return Candidate((named,), cost=NAMED_COST)
    tokens = read_tokens(text)
    words, found = cues_in(tokens)
    odds = log_odds_of_asking(asking_features(words, found.names)) + SURELY_ASKS * (words[:1] == ["does"])
    act = read_act(text)
    if not words or (odds < LEAST_ODDS and act is None):
        return None
    said, span = look_at(tokens, words, found, context, own)
    if act is not None:
        return Candidate((_fill(SORT_OF_ACT[act], said, span, context, text),), cost=NAMED_COST)
    learned = log_chances(sort_features(tagged(said), found.names))
    weighed = [each for each in ABOUT if each in learned and _has_slots(each, said)]
    sort = max(weighed, key=lambda each: found.votes[each] + WEIGHT_LEARNED * learned[each])
    if "medicine" in found.names and odds > 0.0:
        sort = "medicine"  # weighed against nothing: a diary does not answer it
    return Candidate((_fill(sort, said, span, context, text),), cost=log(1.0 + exp(-odds)))


def cues_in(tokens: Sequence[Token]) -> tuple[list[str], Found]:
    """Return the words of a sentence in full, and the cues in them."""
    words = in_full(tokens)
    found = _lexicon().find(words)
    _see_asking(found, words, tokens)
    return words, found


def look_at(
    tokens: Sequence[Token], words: list[str], found: Found, context: Context, own: Collection[str] = ()
) -> tuple["Said", Span]:
    """Return which foods, meals and days are named; what they show is counted in `found`."""
    said = Said(words, found, tuple(foods_in(words, found, context, own)), *slot_in(words))
    span = read_period(tokens, context)
    _see_slots(said, span, context, own)
    found.see_pairs()
    return said, span


def tagged(said: "Said") -> list[str]:
    """Return the words with a tag for each food, meal, weekday and number: which it is tells no sort."""
    words: list[str] = []
    ends, k = dict(said.foods), 0
    while k < len(said.words):
        word = said.words[k]
        bare = word.removesuffix("'s").removesuffix("s")
        if k in ends:
            word = "#food"
        elif word in SLOT_WORDS or bare in SLOT_WORDS:
            word = "#slot" if word in SLOT_WORDS else "#slots"
        elif bare in WEEKDAYS:
            word = "#day"
        elif word[0].isdigit():
            word = "#n"
        words.append(word)
        k = ends.get(k, k + 1)
    return words


@cache
def _lexicon() -> Lexicon:
    return Lexicon(__package__ or "", ABOUT)


@dataclass(frozen=True, slots=True)
class Said:
    """The words of a question, its cues, where foods are named, the meal named and whether many are."""

    words: list[str]
    found: Found
    foods: tuple[tuple[int, int], ...]
    slot: str
    several: bool


def _see_asking(found: Found, words: Sequence[str], tokens: Sequence[Token]) -> None:
    """See what shows that words are a question, or a note."""
    asked = any(t.text == "?" for t in tokens[-2:])
    clauses = list(_beginnings(tokens))
    first, second = clauses[0] if clauses else ("", "")
    seen = {
        "marked": asked,
        "interrogative": first in TAGS.showing
        or any(begins_question(a) and a in TAGS.interrogative and _asks_so(a, b) for a, b in clauses),
        "turned_round": any(
            (a in TAGS.always_asking and not b.isdigit() and b not in TAGS.tells_on)
            or (a in TAGS.auxiliary and b in TAGS.subjects_questions)
            for a, b in clauses
        ),
        "alone": _said_alone(words) in TAGS.alone,
        "exclaimed": not asked and first in ("what", "how") and (second == "a" or second in TAGS.exclaimed),
        "told": not asked
        and (first in TAGS.told_questions or (first == "i" and second in TAGS.told_questions)),
    }
    asks = any(seen.values()) or first in TAGS.interrogative
    seen["measured"] = not asks and any(
        t.kind == "number" and not _is_span(tokens, k) for k, t in enumerate(tokens)
    )
    seen["medicine"] = any(word in MEDICINES or word in MEDICINE_KINDS for word in words)
    for name, shows in seen.items():
        if shows:
            found.see(name)


def _said_alone(words: Sequence[str]) -> str:
    """Return words without "please" and the like, up to the span of time that they name."""
    end = next((k for k, word in enumerate(words) if k and word in TAGS.span_from), len(words))
    return " ".join(word for word in words[:end] if word not in TAGS.beside_questions)


def _is_span(tokens: Sequence[Token], k: int) -> bool:
    """Tell whether a number is part of "last 7 days" or "above 7.8" rather than an amount."""
    behind = tokens[k + 1].text if k + 1 < len(tokens) else ""
    return behind.rstrip("s") in ("day", "week", "month", "year") or (
        k > 0 and tokens[k - 1].text in TAGS.limits
    )


def _asks_so(first: str, second: str) -> bool:
    """Tell "when did I sync" from "when I got home"."""
    return first not in ("when", "where", "who") or second not in TAGS.people_questions


def _beginnings(tokens: Sequence[Token]) -> Iterator[tuple[str, str]]:
    """Yield the first two words of each part between marks, without "so", "ok" and the like."""
    part: list[Token] = []
    for token in (*tokens, None):
        if token is not None and token.kind != "mark":
            part.append(token)
            continue
        words = in_full(part)
        start = next((k for k, word in enumerate(words) if word not in TAGS.openings), len(words))
        if start < len(words):
            yield words[start], (words[start + 1] if start + 1 < len(words) else "")
        part = []


def _see_slots(said: Said, span: Span, context: Context, own: Collection[str]) -> None:
    """See which foods, meals and days are named."""
    names = [" ".join(said.words[a:b]) for a, b in said.foods]
    if said.slot:
        said.found.see("slots" if said.several else "slot")
    if any(name in own or known_food(name, context) for name in names):
        said.found.see("food")
    if sides_of(said.foods, said.words)[1]:
        said.found.see("two_sides")
    if span[0] is not None and span[1] is not None:
        said.found.see("day" if (span[1] - span[0]).days <= 1 else "span")
        if not said.slot and not names:
            said.found.see("only_days")


def _fill(sort: Sort, said: Said, span: Span, context: Context, text: str) -> Question:
    """Return the question with what it is about and the span of time that it means."""
    about = ABOUT[sort]
    since, until = span
    subject, against = sides_of(said.foods, said.words)
    of_last = sort == "effect" and "this_one" in said.found.names  # what does it do to me
    named = subject or said.found.subjects or "usual_meal" in said.found.names or of_last
    if sort in TAGS.of_a_night_sorts and _is_of_night(said, since, context):
        return Question("day", None, None, "food" if sort == "eating window" else "", text, "night")
    slots = slots_in(said.words)
    if not named and len(slots) == 2 and _AGAINST & set(said.words) and sort in TAGS.of_two:
        since, until = (since, until) if since or said.several else (last_days(1, context), context.now)
        return Question("best_worst", since, until, slots[0], text, "ranking", slots[1])
    if about == "food" and not named and sort not in TAGS.of_all_foods:
        sort, about = "unknown", "other"
    levers = [" ".join(said.words[a:b]) for a, b in said.found.subjects]
    if about == "habit" or sort in ("total", "daily nutrients", "movement"):
        subject, against = (levers[0] if levers else subject), ""
    elif about in ("best_worst", "one_meal", "day") or not subject:
        subject = (said.slot or subject) if sort != "since last" else (subject or said.slot)
    if about in ("trial", "food") and sort not in TAGS.of_all_foods and levers:
        subject = subject or levers[0]
    subject, against = _sides_for(sort, said, subject, against)
    if sort == "compare" and subject and not against:
        against = second_side(said.foods, said.words, context)
    if sort in ("weekends", "shifts") and not {"last", "since"} & set(said.words):
        since, until = None, None  # the week is its weekdays here
    if about == "best_worst" and since is None:
        since, until = last_days(WEEK_DAYS, context), context.now
    if about == "one_meal" and since is None and subject in SLOT_WORDS.values():
        since, until = day_of_slot(subject, context)
    if about == "day" and since is None and sort not in TAGS.over_days:
        since, until = last_days(1, context), context.now
    return Question(about, since, until, subject, text, sort, against)


def _is_of_night(said: Said, since: datetime | None, context: Context) -> bool:
    """Tell whether words are of the night that is over, rather than of a day, a meal or the fasting level."""
    late = since is None or since >= last_days(2, context)
    return (
        late
        and not said.slot
        and bool(TAGS.night_questions & set(said.words))
        and not TAGS.no_night & set(said.words)
    )


def _sides_for(sort: Sort, said: Said, subject: str, against: str) -> tuple[str, str]:
    """Return what a sort is about, where its kind has an own rule for it."""
    if sort == "variants":
        return said.slot or subject, ""
    if sort == "shifts":
        first, second = kinds_of_day(said.words)
        return first, second
    if sort == "progress":
        return "", FIRST if TAGS.beginning & set(said.words) else ""
    about = ABOUT[sort]
    unnamed = about in ("status", "other", "fasting") or (about == "help" and sort != "where from")
    if sort == "habits" or (unnamed and sort != "share"):
        return "", ""
    return subject, against


def _has_slots(sort: Sort, said: Said) -> bool:
    """Tell whether words name what a sort cannot be answered without."""
    if sort == "servings":
        return bool(said.foods or said.slot)
    return sort != "shifts" or len(kinds_of_day(said.words)) == 2


def odds_of(asked: Candidate) -> float:
    """Return the log-odds of a reading by itself, from its cost."""
    return -log(max(exp(asked.cost) - 1.0, LEAST_CHANCE))


def join_questions(before: Question, after: Question) -> Question | None:
    """Return the one question that two are: "and dinner? how did that go yesterday"; None if they are two.

    What asks nothing that is known only goes on: "how was lunch? any thoughts?"
    """
    points_back = {"that", "it", "this"} & set(in_full(read_tokens(after.said)))
    goes_on = after.sort == "unknown" or (after.sort in ("day", "curve") and points_back)
    if after.subject or not goes_on:
        return None
    return replace(before, since=after.since or before.since, until=after.until or before.until)


def begins_question(word: str) -> bool:
    """Tell whether a word may begin a question."""
    return bool({word, *full(word).split()} & (TAGS.interrogative | TAGS.auxiliary | TAGS.showing))
