"""What a food is called when it is said back, and what of it was taken for granted."""

from collections.abc import Iterable, Sequence

from bot.foodtable.words import WORDS, make_key, plain_word

_COUNTED_AS = "counted as "
_PLAIN = frozenset(map(plain_word, ("plain", "natural", "unsweetened", "unflavoured", "set")))


def name_back(alias: str, said: Sequence[str]) -> str:
    """Return an everyday name with how the food was made, as far as that was said, before it.

    alias: the everyday name that fits; said: the words, plain. "egg boiled" is worded "boiled egg".
    """
    words = alias.split()
    known = set(make_key(alias).split())
    made = [w for w in dict.fromkeys(said) if plain_word(w) in WORDS["shown"] and plain_word(w) not in known]
    while len(words) > 1 and plain_word(words[-1]) in WORDS["method"]:
        words.insert(0, words.pop())
    return " ".join([*made, *words])


def still_assumed(assumed: str, said: Iterable[str]) -> str:
    """Return what is taken for granted with the parts left out that the words said themselves.

    said: the words of the phrase in their plain form. "cooked" is said by any way of cooking.
    """
    known = set(said)
    return "; ".join(
        part for part in map(str.strip, assumed.split(";")) if part and not _is_said(part, known)
    )


def _is_said(part: str, said: set[str]) -> bool:
    words = set(make_key(part.removeprefix(_COUNTED_AS)).split())
    if words <= said:
        return True
    if part.startswith(_COUNTED_AS):
        return False
    if words & WORDS["method"]:
        return bool(said & WORDS["method"])
    return words <= _PLAIN and bool(said & _PLAIN)
