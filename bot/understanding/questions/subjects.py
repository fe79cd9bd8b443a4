"""What a question is about: the foods, meals or habits that its words name. Pure."""

from collections.abc import Collection, Sequence

from bot.foodtable.spelling import is_english
from bot.understanding.context import Context
from bot.understanding.foods.own_table import OwnTable
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.cues import Found
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.plain_words import is_plain

SURE = 0.8
LONGEST_NAME = 5


def slot_in(words: Sequence[str]) -> tuple[str, bool]:
    """Return the meal of the day that is named, and whether several of them are ("dinners")."""
    for word in words:
        for name in (word, word.removesuffix("s"), word.removesuffix("es"), word.removesuffix("'s")):
            if name in SLOT_WORDS:
                return SLOT_WORDS[name], name != word and not word.endswith("'s")
    return "", False


def slots_in(words: Sequence[str]) -> tuple[str, ...]:
    """Return the meals of the day that are named, each once, in their order."""
    return tuple(dict.fromkeys(slot for word in words if (slot := slot_in([word])[0])))


def foods_in(
    words: Sequence[str], found: Found, context: Context, own: Collection[str] = ()
) -> list[tuple[int, int]]:
    """Return where foods are named: words of the table or of the person's log, then words known to nobody."""
    spans: list[tuple[int, int]] = []
    i = 0
    while i < len(words):
        end = _name_at(words, i, found, context, own)
        if end > i:
            spans.append((i, end))
        i = max(end, i + 1)
    known = [(a, b) for a, b in spans if known_food(said := " ".join(words[a:b]), context) or said in own]
    beside = [
        k for a, b in known for k in (a - 1, b) if 0 <= k < len(words) and words[k] in TAGS.sides_subjects
    ]
    kept = [(a, b) for a, b in spans if not known or (a, b) in known or a - 1 in beside or b in beside]
    return _joined(kept, words)


def _name_at(words: Sequence[str], i: int, found: Found, context: Context, own: Collection[str]) -> int:
    if isinstance(context.table, OwnTable) and (taught := context.table.length_of_own(words[i:])):
        return i + taught
    if (
        words[i] in TAGS.never
        or words[i] in NUMBER_WORDS
        or (is_plain(words[i]) and words[i] not in own)
        or not words[i][0].isalpha()
    ):
        return i
    for end in range(min(len(words), i + LONGEST_NAME), i, -1):
        if any(w in TAGS.never or w in SLOT_WORDS for w in words[i:end]) or is_plain(words[end - 1]):
            continue
        said = " ".join(words[i:end])
        cued = all(k in found.used for k in range(i, end))
        if said in own or (not cued and (known_food(said, context) or (end == i + 1 and _may_be_food(said)))):
            return end
    return i


def _may_be_food(word: str) -> bool:
    """Tell whether a word that the table lacks may name a food: an English word that does would be in it."""
    return not is_english(word)


def known_food(said: str, context: Context) -> bool:
    """Tell whether words surely name a food of the table."""
    match = context.table.match(said)
    return match is not None and match.sure >= SURE


def _joined(spans: list[tuple[int, int]], words: Sequence[str]) -> list[tuple[int, int]]:
    """Join names that touch, or that only "with" and the like parts: "dal with rice" is one side."""
    joined: list[tuple[int, int]] = []
    for start, end in spans:
        if joined and (
            joined[-1][1] == start
            or (start - joined[-1][1] == 1 and words[start - 1] in TAGS.inside - {"and"})
        ):
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined


def sides_of(spans: Sequence[tuple[int, int]], words: Sequence[str]) -> tuple[str, str]:
    """Return what is asked about, and what it is compared with where a word between says so."""
    said = [" ".join(words[start:end]) for start, end in spans]
    if not said:
        return "", ""
    if len(said) > 1 and TAGS.sides_subjects & set(words[spans[0][1] : spans[1][0]]):
        return said[0], said[1]
    return said[0], ""


def second_side(spans: Sequence[tuple[int, int]], words: Sequence[str], context: Context) -> str:
    """Return the other side where only its kind was said: "brown rice better than white"; else nothing."""
    if len(spans) != 1:
        return ""
    start, end = spans[0]
    kinds = [words[k + 1] for k in range(end, len(words) - 1) if words[k] in TAGS.sides_subjects]
    kinds += [words[k - 1] for k in range(1, start) if words[k] in TAGS.sides_subjects]
    names = (name for kind in kinds for name in (f"{kind} {words[end - 1]}", f"{kind} bread", kind))
    return next((name for name in names if known_food(name, context)), "")
