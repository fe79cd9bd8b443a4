"""Food that is spoken of and was not eaten: wished for, planned, bought, cooked for others, declined."""

import tomllib
from dataclasses import replace
from importlib.resources import files

from bot.foodtable import FoodTable
from bot.understanding.foods.said import EATING
from bot.understanding.notes.clauses import NEGATED
from bot.understanding.notes.so_far import SoFar
from bot.understanding.notes.unclaimed import Lost
from bot.understanding.pieces.pieces import Amount, Clause, Moment, SlotWord, word_at
from bot.understanding.states.activities import is_kin
from bot.understanding.states.feelings import read_feeling
from bot.understanding.states.sleep_and_sensor import goes_to_bed
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import find_movement
from bot.understanding.words.phrases import Phrases, parse
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token

_TABLES = tomllib.loads(files(__package__).joinpath("not_eaten.toml").read_text(encoding="utf-8"))
_OPENS, _WITHIN, _COOKS, _FOR_OTHERS, _BUYS, _DENIES = (
    Phrases([(phrase, True) for phrase in parse(_TABLES[name]["phrases"])])
    for name in ("opens", "within", "cooks", "for others", "buys", "denies")
)
_HAPPENED = TAGS.happened | (EATING - TAGS.happened_uneaten)
_PLANNED = TAGS.hoping


def was_not_had(so_far: SoFar, clause: Clause) -> bool:
    """Tell whether a clause speaks of what has not been eaten or done; that holds until the sentence ends."""
    words = set(clause.words)
    opens = clause.words[:1]
    if (
        clause.leads & (TAGS.strong | TAGS.turns)
        or words & _HAPPENED
        or "instead" in words
        or set(opens) & TAGS.instead
    ):
        so_far.planned = False
    if goes_to_bed(clause):
        return False
    hoped = _PLANNED & words
    if hoped and hoped <= {"tomorrow", "thinking", "want", "wanna"} and read_feeling(clause):
        return False  # "nervous about the exam tomorrow"
    if hoped == {"shopping"} and ("done" in words or find_movement(clause.words)):
        return False  # "walked round town shopping"
    soon = bool(words & TAGS.about_to and (words & TAGS.soon or _says_tonight(clause)))
    so_far.planned = so_far.planned or bool(hoped) or soon or _says_so(clause)
    return so_far.planned


def _says_so(clause: Clause) -> bool:
    """Tell whether the words of a clause by themselves say that nothing was had."""
    words = clause.words
    start = next((k for k, word in enumerate(words) if word not in TAGS.who_uneaten), len(words))
    opened = any(_OPENS.at(words, k) for k in range(start + 1))
    if opened and not {"bed", "sleep"} & set(words):
        return True
    if set(words) & _HAPPENED:
        return False
    if _WITHIN.within(words) or {"gave", "miss"} <= set(words):
        return True
    if _COOKS.at(words, start) and _FOR_OTHERS.within(words) and not TAGS.mine & set(words):
        return True
    bought = _BUYS.at(words, start) or (words[start : start + 1] == ["got"] and bool(TAGS.shops & set(words)))
    return bought and _is_for_the_cupboard(clause)


def goes_on_of_others(so_far: SoFar, clause: Clause, following: Clause | None) -> bool:
    """Tell whether who came before had what a clause tells: "my sister called over and had tart, I had tea".

    Only where "I" follows: "friends came over and had pizza" may be of all of them.
    """
    goes_on = so_far.of_somebody and "and" in clause.leads and bool(set(clause.words[:1]) & EATING)
    goes_on = goes_on and following is not None and bool(TAGS.us & set(following.words[:1]))
    who = next((word for word in clause.words if word not in TAGS.determiners_asides), "")
    named = (who in TAGS.people_remarks or is_kin(who)) and not TAGS.us & set(clause.words)
    so_far.of_somebody = goes_on or named
    return goes_on


def denies_last(so_far: SoFar, clause: Clause) -> bool:
    """Take back the food said last where a clause says so: "..., didn't have any"; tell whether it does."""
    words = clause.words
    meal = so_far.last_meal
    unnamed = all(isinstance(p, Amount) and not p.unit for p in clause.pieces if not isinstance(p, Token))
    bare = NEGATED in clause.leads and set(words) <= TAGS.any and unnamed
    if meal is None or meal is not so_far.parts[-1] or not (bare or _DENIES.within(words)):
        return False
    if any(not is_plain(word) for word in words) or not meal.parts[-1].foods:
        return False
    so_far.ledger.mark(meal.parts[-1].foods, "negated")
    meal.parts[-1].foods = []
    return True


def _is_for_the_cupboard(clause: Clause) -> bool:
    """Tell whether neither a helping nor a time is told of what was bought: "bought bananas and milk"."""
    if any(isinstance(p, SlotWord) or (isinstance(p, Moment) and p.has_clock) for p in clause.pieces):
        return False
    return all(p.vague or p.unit in TAGS.in_bulk for p in clause.pieces if isinstance(p, Amount))


def _says_tonight(clause: Clause) -> bool:
    return any(isinstance(p, Moment) and p.part == "tonight" and not p.has_clock for p in clause.pieces)


def with_what_was_offered(so_far: SoFar, clause: Clause, table: FoodTable) -> Clause:
    """Let "had a slice" be of what was named as not eaten yet: "was offered cake and had a slice"."""
    last = so_far.parts[-1] if so_far.parts else None
    took = set(clause.words) & (_HAPPENED | TAGS.took)
    only_took = all(isinstance(p, Amount) or is_plain(getattr(p, "text", "food")) for p in clause.pieces)
    if not isinstance(last, Lost) or not took or not only_took or "none" in clause.words:
        return clause
    pieces = last.clause.pieces
    for k in range(len(pieces)):
        words = [word for word in (word_at(pieces, i) for i in range(k, len(pieces))) if word]
        n = table.starts(words)
        if isinstance(pieces[k], Token) and n and not all(map(is_plain, words[:n])):
            so_far.parts.pop()
            so_far.ledger.mark(pieces[:k])
            much = [p for p in clause.pieces if isinstance(p, Amount)]
            so_far.ledger.mark(p for p in clause.pieces if p not in much)
            much = much or [p for p in pieces[max(0, k - 1) : k] if isinstance(p, Amount)]
            return replace(clause, pieces=(*much, *pieces[k : k + n]))
    return clause
