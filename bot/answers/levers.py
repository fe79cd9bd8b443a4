"""Which lever a question means: “are the strolls paying off?” is about a walk after a meal. Pure."""

import re

from analysis.habits.fat import FAT
from bot.frames.levers import CHORES
from bot.frames.tags import ALCOHOL, TAGS, has_alcohol
from bot.understanding.states.feelings import FEELINGS
from bot.understanding.words.movements import MOVEMENTS

_BEFORE = re.compile(r"\bbefore\b")
_BY_WORD: tuple[tuple[str, str], ...] = (
    ("vinegar", "vinegar"),
    ("acv", "vinegar"),
    ("cinnamon", "cinnamon"),
    ("lemon", "lemon juice"),
    ("first", "vegetables first"),
    ("order", "vegetables first"),
    ("last", "vegetables first"),
    ("late", "late meal"),
    ("later", "late meal"),
    ("bedtime", "late meal"),
    ("sleep", "short sleep"),
    ("sleeping", "short sleep"),
    ("slept", "short sleep"),
    ("night", "short sleep"),
    ("nights", "short sleep"),
    ("sitting", "sitting after"),
    ("sit", "sitting after"),
    ("sofa", "sitting after"),
    ("desk", "sitting after"),
    ("fat", FAT),
    ("fats", FAT),
    ("fatty", FAT),
    ("alcohol", ALCOHOL),
    ("drinking", ALCOHOL),
)
_ALL = {"habit", "habits", "routine", "routines", "levers"}
NIGHT_WORK = ("shift", "shifts")


def asks_for_all(said: str) -> bool:
    """Tell whether a question is about all habits: “what do my habits do?”."""
    return not _ALL.isdisjoint(re.findall(r"[a-z]+", said.lower()))


def find_lever(subject: str, said: str) -> str:
    """Return the lever that a question is about; "" where it is none that is judged.

    >>> find_lever("strolls", "are the strolls paying off?"), find_lever("screen time", "screen time?")
    ('walk after', '')
    """
    words = re.findall(r"[a-z]+", subject.lower()) or re.findall(r"[a-z]+", said.lower())
    when = "before" if _BEFORE.search(said.lower()) else "after"
    if not any(word in NIGHT_WORK for word in words):
        for word, lever in _BY_WORD:
            if word in words:
                return lever
    tag = next((FEELINGS[word] for word in words if FEELINGS.get(word) in TAGS), "")
    if tag or any(has_alcohol(word) for word in words):
        return tag or ALCOHOL
    for word in words:
        known = MOVEMENTS.get(word) or MOVEMENTS.get(word.removesuffix("s"))
        if known is not None:
            what = known[0]
            kind = "walk" if what == "walk" else "chores" if what in CHORES else "exercise"
            return f"{kind} {when}"
    return "exercise " + when if {"moving", "movement", "activity"} & {*words} else ""
