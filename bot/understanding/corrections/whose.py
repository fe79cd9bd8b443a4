"""Who had it: words about other people, and about what was one's own, as elements of a change.

"My husband had the toast" leaves the toast out as "didn't have the toast" does, and so do "the fries were my
son's" and "that was the kids' tea"; "2 samosas were mine" says what was had. What others had besides ("he had
the same with double rice", "my wife only had the salad") is no change of what was one's own.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from bot.understanding.corrections.element import Element, tags_of
from bot.understanding.words.lexicon import TAGS

_OTHERS = (TAGS.people_remarks - TAGS.no_people) | TAGS.others_whose

# Over the tags of a message; p are people, z is "mine", E is "only had". Each with what its first and second
# group become.
_HAD_IT = re.compile(r"p+(?P<had>e)(?=(?:R?[PK](?:,?[PK])*|R)(?:,|$))")
_HAD_SOME = re.compile(r"(?:(?<=^)|(?<=[,o]))p+(?P<had>e)(?=At?[PKR]?(?:,|$))")
_THEIRS = re.compile(r"(?<![sH][PKAR])(?<=[PKAR])(?P<was>[be]t|b|t)p+(?=,|o|$|[PKA])")
_ALL_THEIRS = re.compile(r"(?:(?<=^)|(?<=[,o]))R?b(?P<was>t?p+[FSP]?)(?=,|$)")
_OWN_BEHIND = re.compile(r"(?P<what>A?[PK]+)bz(?=,|$|[PKA])")
_OWN_BEFORE = re.compile(r"zb(?=A?[PK])")
_ALSO_HAD = re.compile(r"(?:(?<=^)|(?<=[,o]))p+(?:[eE](?!H)|n(?=[PKF]))")
_SAYS_REST = re.compile(r"(?<=[A-Za-oq-z]),?p+[eE][AaeuR]*(?=,|$)")


def names_person(word: str) -> bool:
    """Tell whether a word is of another person: "brother", "kids'", "she"."""
    word = word.replace("\u2019", "'")
    owner = word.endswith(("'s", "'")) and word not in TAGS.no_owners
    others = {word.removesuffix("'s").rstrip("'"), word.removesuffix("s")} & _OTHERS  # "my wifes"
    return bool(others) or (owner and len(word) > 3)


def settle_whose(found: Sequence[Element]) -> list[Element]:
    """Return the elements with what others had as denied, and what was one's own as had."""
    kept = [replace(e, tag=_tag_of(e)) for e in found]
    for pattern, tags in (
        (_HAD_IT, "d"),
        (_HAD_SOME, "d"),
        (_ALL_THEIRS, "bd"),
        (_THEIRS, "d"),
        (_SAYS_REST, ""),
        (_ALSO_HAD, "c"),
    ):
        while (match := pattern.search(tags_of(kept))) is not None:
            kept[match.start() : match.end()] = _as_one(kept[match.start() : match.end()], tags)
    while (match := _OWN_BEHIND.search(tags_of(kept))) is not None:
        start, end = match.span("what")
        kept[start : match.end()] = [replace(kept[end], tag="e"), *kept[start:end]]
    while (match := _OWN_BEFORE.search(tags_of(kept))) is not None:
        kept[match.start() : match.end()] = [replace(kept[match.start()], tag="e")]
    said = [e for e in kept if e.tag != "p" or e.said.lower() not in ("he", "she")]
    return [replace(e, tag={"p": "u", "z": "u", "E": "e"}.get(e.tag, e.tag)) for e in said]


def _tag_of(element: Element) -> str:
    """Return the tag of an element while it is settled who had what."""
    said = element.said.lower()
    if said in TAGS.mine_whose:
        return "z"
    return "E" if element.tag == "e" and said.startswith("only ") else element.tag


def _as_one(elements: Sequence[Element], tags: str) -> list[Element]:
    """Return elements of these tags that stand where the given ones stood."""
    return [replace(elements[min(k, len(elements) - 1)], tag=tag, piece=None) for k, tag in enumerate(tags)]
