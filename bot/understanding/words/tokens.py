"""A message's text as tokens: words, numbers, clock times and marks, each knowing where it stands."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.spelled_numbers import find_spelled

Kind = Literal["word", "number", "clock", "stamp", "mark"]


@dataclass(frozen=True, slots=True)
class Token:
    """One word (lower case), number, clock time, full stamp or mark.

    start, end: its place in the text; number: the value of a number
    glued: it follows the token before it without a space ("60g", "7pm")
    """

    kind: Kind
    text: str
    start: int
    end: int
    number: float = 0.0
    glued: bool = False


_FRACTIONS = {c: unicodedata.numeric(c) for c in "½¼¾⅓⅔⅛⅜⅝⅞⅕"}
_SIGNS = "".join(_FRACTIONS)

# Numbers of more than seven digits are no amounts; they stay words, so that nothing overflows.
_TOKEN = re.compile(
    rf"""
    (?P<ratio>(?<![\d./])(?:[1-9]\d{{2}}/\d{{2,3}}|[2-9]\d/\d{{1,2}})(?![\d/])
      |(?<![\d./])[234][ -]?in[ -]?1\b
      |(?<!\w)(?:[5-8]|five|six|seven)[ -]?a[ -]?side\b
      |(?<![\d./])0[.,]0+(?=[ ](?!mmol|mg|gram|unit)[^\W\d_]{{3}}))
  | (?P<stamp>\d{{4}}-\d\d-\d\d(?:[T ]\d\d?:\d\d(?::\d\d)?(?:Z|[+-]\d\d:\d\d)?)?)(?!\d)
  | (?P<clock>(?<![\d.,:])\d\d?:\d\d(?::\d\d)?(?!\d|:\d))
  | (?P<power>(?<![\w.,])\d+(?:[.,]\d+)?e\+?\d+(?!\w))
  | (?P<number>(?:(?<![\w)\].,])[-−](?=[\d{_SIGNS}])(?!\d\d?:\d\d))?
        (?: \d{{1,3}}[ ]?[{_SIGNS}] | [{_SIGNS}]
          | \d{{1,3}}[ ]\d/\d\d?(?![\d/]) | (?<![\d/])\d\d?/\d\d?(?![\d/])
          | \d{{1,3}}[,]\d{{3}}(?![\d.,]) | \d{{1,7}}(?:[.,]\d{{1,4}})?(?!\d) | (?<!\d)[.,]\d{{1,4}}(?!\d) )
        (?:[ ]?%|[ ]per[ ]?cent\b)?)
  | (?P<special>w/o\b|\bc\.?(?=\d)|w/|\bw\.(?=\s)|b4\b|(?<=\d)['′’](?!\w)|
        mg[ ]?/[ ]?dl|mmols?[ ]?/[ ]?l|[ap]\.\ ?m\.?(?!\w)|fl(?:uid|\.)?[ ]?(?:oz|ounces?)\b)
  | (?P<word>[^\W\d_]+(?:['’`][^\W\d_]+)*|\d{{8,}})
  | (?P<mark>[,;.!?:()+&*×@~/=\n–—-])
    """,
    re.VERBOSE | re.IGNORECASE,
)

_PERCENT = re.compile(r" ?(?:%|per ?cent)$", re.IGNORECASE)
_OF = re.compile(r" of\b", re.IGNORECASE)
_SPECIAL = {
    "w/o": "without",
    "w/": "with",
    "w": "with",
    "c": "ca",
    "'": "min",
    "′": "min",
    "’": "min",
    "b4": "before",
    "am": "am",
    "pm": "pm",
    "mgdl": "mg/dl",
    "floz": "floz",
}

_BULLET = re.compile(r"^[ \t]*[-–*•·][ \t]*", re.MULTILINE)
_PICTURE = "\ufffc"
_PICTURES = re.compile(rf"(?<=(\w)) *{_PICTURE}[{_PICTURE} \ufe0f]*(?=\w)|{_PICTURE}\ufe0f?")
_SPAN_ARROW = re.compile(r"(?<=\d) *(?:[-=]+>|[→⇒➡]) *(?=\d)")  # "1:10 → 6:50"
_ARROW = re.compile(r"[-=]+>|[→⇒➡]")
# "meal 1: oats" and "snack 2: nuts" count the day's meals; the number is no amount.
_NUMBERED = re.compile(
    r"^[ \t]*(?:meal ?#? ?\d\b|(?P<snack>snack) ?#? ?\d\b)(?=[ \t]*[:.)-])", re.IGNORECASE | re.MULTILINE
)


_SPOKEN_MARKS = re.compile(r" (comma|full stop|new line)(?= )", re.IGNORECASE)  # as dictation writes them


def tidy(text: str) -> str:
    """Return text in one Unicode form, with list bullets and odd spaces turned into plain spaces.

    A picture between words parts them like a comma ("woke at 7 😴 bed at 11"); any other says nothing.
    """
    text = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    text = "".join(map(_plain, text))
    if _PICTURE in text:
        text = _PICTURES.sub(lambda m: ", " if m[1] else " ", text)
    text = _SPOKEN_MARKS.sub(lambda m: (", " if m[1] == "comma" else ". ").rjust(len(m.group())), text)
    text = _NUMBERED.sub(lambda m: (m["snack"] or "").ljust(len(m.group())), text)
    if len(_BULLET.findall(text)) > 1:
        text = _BULLET.sub(lambda m: " " * len(m.group()), text)
    return text


def _plain(c: str) -> str:
    if c.isascii():
        return ";" if c == "|" else " " if c != "\n" and c.isspace() else c
    kind = unicodedata.category(c)
    if kind in ("So", "Sk") and c not in "°`´":
        return _PICTURE
    return " " if c.isspace() or kind in ("Cf", "Cs") else c  # half a character is none


def read_tokens(text: str) -> list[Token]:
    """Cut tidied text into tokens; symbols that carry no meaning here, such as emoji, are left out."""
    return list(_cut(text))


@lru_cache(maxsize=8)
def _cut(text: str) -> tuple[Token, ...]:
    # Several rules look at the same message one after the other.
    text = _SPAN_ARROW.sub(lambda m: "-".rjust(len(m.group())), text)
    text = _ARROW.sub(lambda m: ":".rjust(len(m.group())), text)
    tokens: list[Token] = []
    last_end = -1
    for match in _TOKEN.finditer(text):
        token = _token(match, match.start() == last_end)
        last_end = match.end()
        if token.kind == "mark" and _is_hollow(token, tokens, text):
            continue
        tokens.append(token)
    return tuple(_with_spelled_numbers(tokens))


def _with_spelled_numbers(tokens: list[Token]) -> list[Token]:
    """Make one token of each number in words, as of one in digits: "seventy percent chocolate" is 70%."""
    words = [t.text for t in tokens]
    for start, end, value in reversed(list(find_spelled(words))):
        percent = words[end : end + 1] == ["percent"]
        of_all = percent and words[end + 1 : end + 2] == ["of"]  # "seventy percent of the pizza"
        at, last = tokens[start].start, tokens[end - 1 + percent].end
        number = Token("number", str(value), at, last, value / 100 if of_all else float(value))
        if percent and not of_all:
            number = Token("word", f"{value}%", at, last)
        tokens[start : end + percent] = [number]
    return tokens


def _token(match: re.Match[str], glued: bool) -> Token:
    kind, said = match.lastgroup, match.group()
    start, end = match.span()
    if kind == "number":
        percent = said[-1] in "%tT"
        if percent and _OF.match(match.string, end):  # "20% of the pizza"
            return Token("number", said, start, end, _value(_PERCENT.sub("", said)) / 100, glued)
        if percent:  # part of a name: "2% milk", "2 percent milk"
            return Token("word", _PERCENT.sub("%", said), start, end, glued=glued)
        return Token("number", said, start, end, _value(said), glued)
    if kind == "special":
        plain = re.sub(r"[ .]", "", said.lower())
        if plain.startswith("mmol"):
            return Token("word", "mmol/l", start, end, glued=glued)
        if plain.startswith("fl"):  # "fl oz", "fluid ounces"
            plain = "floz"
        return Token("word", _SPECIAL.get(plain, plain), start, end, glued=glued)
    if kind in ("ratio", "power"):  # "93/7 beef", "140/90", "3-in-1 coffee", "0.0 beer": no part of anything
        said = re.sub(r"[ -]", "", said.lower()).replace(",", ".")
        return Token("word", said, start, end, glued=glued)
    if kind == "word":
        if said.lower() in TAGS.withs:
            return Token("word", "with", start, end, glued=glued)
        return Token("word", said.lower().replace("’", "'").replace("`", "'"), start, end, glued=glued)
    if kind == "mark":
        return Token("mark", {"–": "-", "—": "-", "*": "×"}.get(said, said), start, end, glued=glued)
    return Token("clock" if kind == "clock" else "stamp", said, start, end, glued=glued)


def _value(said: str) -> float:
    sign = -1.0 if said[0] in "-−" else 1.0
    said = said.lstrip("-−")
    if said[-1] in _FRACTIONS:
        whole = said[:-1].strip()
        return sign * ((float(whole) if whole else 0.0) + _FRACTIONS[said[-1]])
    if "/" in said:
        *whole_part, fraction = said.split(" ")
        top, bottom = (float(n) for n in fraction.split("/"))
        return sign * (sum(map(float, whole_part)) + (top / bottom if bottom else 0.0))
    if "," in said and re.fullmatch(r"\d{1,3},\d{3}", said) and not said.startswith("0"):
        return sign * float(said.replace(",", ""))
    return sign * float(said.replace(",", "."))


def _is_hollow(mark: Token, before: Sequence[Token], text: str) -> bool:
    """Tell whether a mark carries no meaning: a hyphen within a word, a full stop after "tbsp"."""
    following = text[mark.end : mark.end + 1]
    last = before[-1] if before else None
    if mark.text == "-":
        return mark.glued and following.isalpha() and last is not None and last.kind in ("word", "number")
    if mark.text == ".":
        counted = (
            len(before) > 1 and before[-2].kind == "number" and last is not None and last.text in TAGS.short
        )
        behind = text[mark.end :].lstrip(" ")[:1]
        if last is not None and last.text == "no" and not behind.isdigit():
            return False  # "I said no. only coffee"
        if _ends_terse(before) or (counted and (behind.isdigit() or behind.isupper())):
            return False
        return mark.glued and last is not None and (last.text in TAGS.short or following.isalnum())
    return False


def _ends_terse(before: Sequence[Token]) -> bool:
    """Tell whether a full stop ends "steak 8oz.": the food stands before its amount."""
    if len(before) < 3 or before[-2].kind != "number" or before[-1].text not in TAGS.short:
        return False
    food = before[-3]
    opens = len(before) == 3 or before[-4].kind == "mark"
    return food.kind == "word" and food.text not in TAGS.no_foods and opens
