"""Messages that teach words: "call this my early-shift breakfast", "my muesli is 60 g oats and 20 g raisins".

What they make is a `Correction` of the kinds "name", "teach" and "forget".
"""

import re
from dataclasses import replace

from bot.foodtable.words import make_key
from bot.model.entries import Correction, Meal, Question, Understood
from bot.understanding.context import Context
from bot.understanding.foods.labels import read_label
from bot.understanding.foods.places import FILLER
from bot.understanding.foods.said import EATING
from bot.understanding.notes.notes import read_notes
from bot.understanding.pieces.amounts import fold_amounts
from bot.understanding.pieces.pieces import Amount
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import read_tokens

MOST_CHARS = 400  # nobody teaches at greater length
MOST_NAME_CHARS, MOST_NAME_WORDS = 40, 5
SURE = 0.7
_NAME = re.compile(
    r"(?:please |and |let'?s )*(?:call|name|save|remember|store) "
    r"(?:(?:this|that)(?: one)?|it|the last (?:meal|one)|(?:this|that|the|my last) (?:meal|dish|plate))"
    r"(?: as)?(?: (?P<name>[^:=\n]*?))?(?: please)?(?:\s*[:=]\s*(?P<foods>.+))?[ .!]*",
    re.IGNORECASE | re.DOTALL,
)
_IS = re.compile(
    r"(?P<my>my )?(?:(?:a|an|the|one|1) )?(?P<name>[^\d:=,;.!?\n]{2,60}?)"
    r"\s*(?:[:=]|\b(?:is|are|has|have|means|contains?|consists? of|is made (?:of|from|with))\b)"
    r"\s*(?P<rest>.+)",
    re.IGNORECASE | re.DOTALL,
)
_LIST = re.compile(
    r"(?:(?:what|which) (?:are|is)|list|show(?: me)?|tell me|/words)? ?(?:all )?(?:of )?(?:my|our)(?: own)? "
    r"(?:personal )?(?:words?|foods?|names?|usuals|dishes)(?: list| do you know)?"
    r"|(?:what|which) (?:words|foods|names)(?: of mine)? (?:do|did|have) (?:you|i) "
    r"(?:know|teach you|taught you)",
    re.IGNORECASE,
)
_FORGET = re.compile(
    r"(?:please )?(?:forget|unlearn) (?:(?P<my>(?:about )?my|the (?:word|name|food|meal)) )?"
    r"(?P<name>[^,;\n]+?)(?: please)?",
    re.IGNORECASE,
)
_WANT_NAME = "How should I call it? Say it like “call this my early-shift breakfast”."
LIST = "my words"
"""The subject of the question that asks for the words."""


def read_teaching(text: str, context: Context) -> Understood | None:
    """Return what a message teaches, or asks of what was taught; None when it is something else."""
    if len(text) > MOST_CHARS:
        return None
    said = " ".join(text.split())
    plain = said.rstrip(" .!?").replace("’", "'")
    if _LIST.fullmatch(plain):
        return Understood((Question("other", subject=LIST, said=said),))
    return (
        _read_forget(plain, said, context)
        or _read_name(text.strip(), said, context)
        or _read_definition(text.strip(), said, context)
    )


def _read_forget(plain: str, said: str, context: Context) -> Understood | None:
    match = _FORGET.fullmatch(plain)
    if match is None:
        return None
    name = _tidy(match["name"])
    known = {make_key(word) for word in context.personal.words}
    last = name.startswith(("last ", "that", "it ", "this"))
    if not (make_key(name) in known or (match["my"] and not last)):
        return None
    return Understood((Correction("forget", name=name, said=said),))


def _read_name(text: str, said: str, context: Context) -> Understood | None:
    match = _NAME.fullmatch(text)
    if match is None:
        return None
    name = _tidy(match["name"] or "")
    pieces = fold_amounts(read_tokens(name))
    if len(pieces) == 1 and isinstance(pieces[0], Amount):
        return None  # "call it three quarters" says how much it was
    if not _is_name(name):
        return Understood((), (_WANT_NAME,))
    if match["foods"] is None:
        return Understood((Correction("name", name=name, said=said),))
    found = read_notes(match["foods"], context)
    entries, asks = found.entries, found.asks
    meals = [e for e in entries if isinstance(e, Meal)]
    if len(meals) != 1:
        return None
    slot = next((SLOT_WORDS[w] for w in make_key(name).split() if w in SLOT_WORDS), meals[0].slot)
    called = replace(meals[0], called=name, slot=slot, said=said)
    return Understood(tuple(called if e is meals[0] else e for e in entries), asks, found.left_out)


def _read_definition(text: str, said: str, context: Context) -> Understood | None:
    """Read "my bar: 60 g, 21 g carbs ..." and "my muesli is 60 g oats and 20 g raisins"."""
    match = _IS.fullmatch(text)
    if match is None:
        return None
    name, rest = _tidy(match["name"]), match["rest"]
    if not _is_name(name):
        return None
    label = read_label(name, rest)
    if label is not None and (match["my"] or len(re.findall(r"\d", rest)) > 3):
        if label.item is None:
            return Understood((), (label.problem,))
        return Understood((Correction("teach", (label.item,), name=name, said=said),))
    if not match["my"]:
        return None
    return _read_mixture(name, rest, said, context)


def _read_mixture(name: str, rest: str, said: str, context: Context) -> Understood | None:
    if EATING & set(rest.lower().split()):
        return None
    found = read_notes(rest, context)
    entries = found.entries
    told = found.asks or found.left_out
    if len(entries) != 1 or not isinstance(entries[0], Meal) or told or entries[0].timed == "stated":
        return None
    items = entries[0].items
    sure = all(item.food is not None and item.sure >= SURE for item in items)
    if not items or not sure or (len(items) == 1 and not items[0].stated):
        return None
    return Understood((Correction("teach", items, name=name, said=said),))


def _tidy(name: str) -> str:
    name = re.sub(r"^(?:my|the|a|an|our)\s+", "", " ".join(name.split()), flags=re.IGNORECASE)
    return name.strip(" \"'“”‘’,.").lower()


def _is_name(name: str) -> bool:
    """Tell whether words can be a name: few, with a letter, and not all of them of everyday grammar."""
    words = make_key(name).split()
    if not words or len(words) > MOST_NAME_WORDS or len(name) > MOST_NAME_CHARS or words[0] in TAGS.no_name:
        return False
    return not all(word in FILLER or word in SLOT_WORDS or word in TAGS.no_name for word in name.split())
