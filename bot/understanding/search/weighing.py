"""How well words read as something new, and the odds between a note, a question and neither.

The weights stand in costs.toml. Those of a question and of small talk are from a logistic regression on the
tuning parts of the corpora, rounded: the learned score that there is nothing to note, and how many of the
words say what would be noted. How surely words ask was weighed on voices that this score had not seen.
"""

import re
import tomllib
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from importlib.resources import files
from math import exp, log
from typing import Any

from bot.model.entries import Activity, Entry, Meal, Reading, Sleep
from bot.understanding.candidates import Candidate
from bot.understanding.context import Context
from bot.understanding.foods.said import names_product
from bot.understanding.notes.notes import Notes
from bot.understanding.pieces.slots import USUAL_TIME, fits_hour
from bot.understanding.questions.questions import odds_of

AGAIN_MIN, COUNTED_MIN = 8, 20
_EATEN = re.compile(r"\b(?:ate|eaten|drank|only had)\b")
_MORE = re.compile(r"\b(?:more|another|again|extra|second|seconds|also|too|other)\b")
UNSURE, SURELY = 0.6, 0.9
LEAST_LIKELY = 3.0
"""A glucose value up to this is rather another number (mmol/L)."""
MOST_USED = 8
LEAST_CHANCE = 1e-4


@dataclass(frozen=True, slots=True)
class Sense:
    """What sense words make as something new.

    odd: what it costs to believe it; used: how many words say what would be noted
    nothing: nothing would be; done: something else than food would be, or is asked about
    clear: no word is left out; product: an unknown food is named like what is sold ready made
    whole: only foods are named, each of them known; apart: what is spoken of was not had, or of others
    """

    odd: float = 0.0
    used: int = 0
    nothing: bool = False
    done: bool = False
    clear: bool = False
    product: bool = False
    whole: bool = False
    apart: bool = False

    def beside(self, before: "Sense") -> "Sense":
        """Return what the words behind others add to these, where this is the sense of both."""
        used = max(self.used - before.used, 0)
        odd = max(self.odd - before.odd, 0.0)
        done = self.done and not before.done
        return Sense(odd, used, used == 0, done, self.clear, self.product and not before.product)


@cache
def costs() -> dict[str, Any]:
    """Return the table of costs."""
    return tomllib.loads((files(__package__) / "costs.toml").read_text(encoding="utf-8"))


def sense_of(note: Notes, context: Context) -> Sense:
    """Return what sense a note makes."""
    rules = costs()["note"]
    kept = note.entries
    nothing = not kept and not note.asks
    odd = rules["asks"] * bool(note.asks)
    odd += rules["left_out"] * note.strange
    items = [item for e in kept if isinstance(e, Meal) for item in e.items]
    odd += rules["unknown_food"] * sum(item.food is None for item in items)
    odd += rules["unsure_food"] * sum(item.food is not None and item.sure <= UNSURE for item in items)
    odd += rules["other_hour"] * any(isinstance(e, Meal) and _is_of_other_hour(e, context) for e in kept)
    odd += rules["again"] * any(_said_again(e, context) for e in kept)
    odd += rules["eaten_left"] * bool(_EATEN.search(" ".join(note.left_out).lower()))
    odd += rules["count"] * any(_may_be_count(e, context) for e in kept)
    odd += rules["implausible"] * any(_is_odd_value(e) for e in kept)
    odd += rules["nothing"] * nothing
    done = bool(note.asks) or any(not isinstance(e, Meal) for e in kept)
    product = any(item.food is None and names_product(item.name.split()) for item in items)
    whole = note.whole and not done and all(item.sure > SURELY for item in items)
    apart = nothing and bool(note.used or note.left_out) and not note.strange
    return Sense(
        float(odd), note.used, nothing, done, not nothing and not note.strange, product, whole, apart
    )


def _is_of_other_hour(meal: Meal, context: Context) -> bool:
    """Tell whether a meal's name fits no meal of this hour: "a yogurt for dinner", said at nine."""
    hour = context.local_now.hour
    return meal.timed == "now" and meal.slot in USUAL_TIME and not fits_hour(meal.slot, hour)


def _is_odd_value(entry: Entry) -> bool:
    """Tell whether a value is so low that it is rather another number; with its hour it is meant so."""
    return isinstance(entry, Reading) and entry.mmol <= LEAST_LIKELY and entry.timed != "stated"


def _may_be_count(entry: Entry, context: Context) -> bool:
    """Tell whether a bare whole number may as well be how many there were of what was just counted."""
    last = context.noted[-1] if context.noted else None
    if last is None or not isinstance(last.entry, Meal) or not isinstance(entry, Reading):
        return False
    counted = any(item.stated and re.search(r"\d", item.said) for item in last.entry.items)
    soon = context.now - last.touched_at <= timedelta(minutes=COUNTED_MIN)
    return soon and counted and re.fullmatch(r"\W*\d{1,2}\W*", entry.said) is not None


def _said_again(entry: Entry, context: Context) -> bool:
    """Tell whether the same kind of thing was noted only just: nobody measures twice in five minutes."""
    if not isinstance(entry, Reading | Sleep | Activity | Meal) or not context.noted:
        return False
    last = context.noted[-1]
    if isinstance(entry, Meal):
        soon = context.now - last.touched_at <= timedelta(minutes=AGAIN_MIN)
        return soon and _counts_anew(entry, last.entry)
    at, before = (getattr(each, "at", None) for each in (entry, last.entry))
    if at is not None and before is not None and abs((at - before).total_seconds()) > 60 * AGAIN_MIN:
        return False  # "3.5 at 9:10", then "2.7 at 9:40"
    age = (context.now - last.touched_at).total_seconds() / 60
    return type(last.entry) is type(entry) and age <= AGAIN_MIN


def _counts_anew(meal: Meal, last: Entry) -> bool:
    """Tell whether a food that was only just noted is counted once more: "1 samosa, 1 pakora", after two."""
    if not isinstance(last, Meal) or meal.timed != "now" or _MORE.search(meal.said.lower()):
        return False
    foods = {item.food for item in last.items if item.stated and item.food is not None}
    return any(item.food in foods and item.stated for item in meal.items)


def costs_of_kinds(
    sense: Sense, other: float, asked: Candidate | None, told: Candidate | None
) -> dict[str, float]:
    """Return what it costs to take words for a note, a question, a setting or none, were they no change.

    other: the learned log-odds that there is nothing to note
    """
    odds = {"note": 0.0, "talk": _odds("talk", sense, other)}
    for kind, found in (("question", asked), ("told", told)):
        if found is not None:
            odds[kind] = _odds(kind, sense, other) + costs()[kind]["sure"] * odds_of(found)
    total = log(sum(exp(each) for each in odds.values()))
    return {kind: total - each for kind, each in odds.items()}


def _odds(kind: str, sense: Sense, other: float) -> float:
    """Return the log-odds of a kind against a note: less for each word that says what would be noted."""
    rules = costs()[kind]
    odds = rules["bias"] + rules["other"] * other - rules["used"] * min(sense.used, MOST_USED)
    odds += rules["nothing"] * sense.nothing - rules["done"] * sense.done - rules["clear"] * sense.clear
    odds -= rules["product"] * sense.product + rules["whole"] * sense.whole + rules["apart"] * sense.apart
    return float(odds)


def cost_of_neither(kinds: dict[str, float]) -> float:
    """Return what it costs that words are neither a question nor a setting."""
    likely = sum(exp(-kinds[kind]) for kind in ("question", "told") if kind in kinds)
    return -log(max(1.0 - likely, LEAST_CHANCE))
