"""What in a message calls for a caution, whatever else it says. Pure.

Patterns are data (`words/concerns.toml`). Each part of a sentence is looked at by itself, so that "I was bad,
200 g cake at 15:00" is both: the first part is taken out of what is read as a note, the second stays.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bot.model.entries import Concern, ConcernKind, Fact, Question
from bot.understanding.words.medicines import GLUCOSE_MEDICINES

MOST_CHARACTERS = 4096
_OTHERS = re.compile(
    r"\b(?:(?:my|our|the|a|his|her|their|some|another) )?(?:\w+ )?"
    r"(?:brother|sister|mother|mum|mom|dad|father|wife|husband|son|daughter|gran|grandma|grandpa|nan|uncle|aunt"
    r"|cousin|friend|mate|boss|colleague|patient|client|neighbou?r|partner|girlfriend|boyfriend|kid|child|dog|cat"
    r"|passengers?)(?:'s)?\b|\b(?:he|she|they|his|her|somebody|someone)\b"
)
_OF_OTHERS = re.compile(r"(?:(?:no|nope|well),? )?(?:that|it|this|those|they)(?:'s| is| was| are| were)\b")
"""“Am I on metformin? No, that is my sister”: of what stood before, not of a plate."""
_MINE = re.compile(r"\b(?:i|i'm|i've|im|me|myself|am)\b")
_PARTS = re.compile(r"[.;!?\n]+(?=\s|$)|,(?=\s)|\s(?:but|then)\s|:(?=\s)")
_ASKS = re.compile(
    r"^\W*(?:(?:should(?! (?:say|mention|add|note|tell))|shall|can|could|may|do|does|is|am|will|would) \w"
    r"|did (?:i|it|you) )"
    r"|^\W*(?:how|what|which|why) |\?"
)
_KEPT = re.compile(r"\d ?(?:g|ml|kg|slices?|pieces?|cups?)\b|\bat \d{1,2}[:.]\d\d|^\W*\d{1,2}[:.]\d\d")
"""A part that says an amount or a time is a note as well."""
_JOINED = re.compile(r"\s(?:and|plus|with|\+|&)(?= [\w.,]+ ?(?:units?|iu|u)\b)")
"""“Toast and 3 units”: what stands before it is a note."""
MOST_JOINING = 30
_DISORDER = re.compile(r"\b(?:anorexi|bulimi|orthorexi|eating disorder|disordered eating|purg|bing)")


@dataclass(frozen=True, slots=True)
class Concerned:
    """What was found: the gravest concern of each kind, facts to keep, questions about medicines, the rest.

    rest: the words that are still to be read
    """

    concerns: tuple[Concern, ...]
    facts: tuple[Fact, ...]
    asked: tuple[Question, ...]
    rest: str


@dataclass(frozen=True, slots=True)
class _Rule:
    concern: Concern
    pattern: re.Pattern[str]
    unless: re.Pattern[str]


def find_concerns(text: str) -> Concerned:
    """Return what in a message calls for a caution; what is said of somebody else, or of nobody, does not."""
    found: dict[ConcernKind, Concern] = {}
    facts: dict[tuple[str, str], Fact] = {}
    asked: list[Question] = []
    kept: list[str] = []
    for part in _parts(text[:MOST_CHARACTERS]):
        said = " ".join(part.lower().replace("’", "'").split()).strip(" ,;.:!")
        if (found or asked) and _OF_OTHERS.match(said) and _OTHERS.search(said):
            continue
        matches = _matches(said)
        kept.append(_left_of(said, part, matches) if matches else part)
        words = part.strip(" ,;.")
        if _ASKS.search(said) and any(rule.concern.kind == "medicine" for rule, _ in matches):
            asked.append(Question("other", said=words, sort="medicine"))
            continue
        for concern in [rule.concern for rule, _ in matches]:
            if concern.kind not in found or found[concern.kind].level < concern.level:
                found[concern.kind] = concern
        facts |= {(fact.what, fact.value): fact for fact in _facts(matches, said, words)}
    if not found and not asked:
        return Concerned((), (), (), text)
    return Concerned(tuple(found.values()), tuple(facts.values()), tuple(asked), "".join(kept).strip(" ,;\t"))


def _parts(text: str) -> Iterator[str]:
    """Yield the parts of a text, each with the mark behind it."""
    start = 0
    for mark in _PARTS.finditer(text):
        yield text[start : mark.end()]
        start = mark.end()
    yield text[start:]


def _matches(said: str) -> list[tuple[_Rule, re.Match[str]]]:
    return [
        (rule, match)
        for rule in _rules()
        if (match := rule.pattern.search(said)) is not None
        and not rule.unless.search(said)
        and not _of_somebody(said, match.start())
    ]


def _of_somebody(said: str, end: int) -> bool:
    """Tell whether somebody else is who it is said of: named before it, after any "I"."""
    others = [m.start() for m in _OTHERS.finditer(said[:end])]
    return bool(others) and not any(m.start() > others[-1] for m in _MINE.finditer(said[:end]))


def _facts(matches: list[tuple[_Rule, re.Match[str]]], said: str, words: str) -> Iterator[Fact]:
    """Yield what a part tells of its person, to be kept; a question tells nothing."""
    if _ASKS.search(said):
        return
    kinds = {rule.concern.kind for rule, _ in matches}
    if "medicine" in kinds:
        named = dict.fromkeys(word for word in re.findall(r"[a-z]+", said) if word in GLUCOSE_MEDICINES)
        yield Fact("medicine", ", ".join(named) or _sort_of(said), words)
    if "pregnancy" in kinds:
        yield Fact("pregnancy", "pregnant", words)
    if "breastfeeding" in kinds:
        yield Fact("health", "breastfeeding", words)
    if "eating" in kinds and _DISORDER.search(said):
        yield Fact("eating disorder", "eating disorder", words)


def _sort_of(said: str) -> str:
    """Name a medicine that is not named by what is said of it."""
    if re.search(r"\bjab|\binjection|\bweight", said):
        return "injections"
    return "tablets" if re.search(r"\btablet|\bpill|\bmed|\bdiabet", said) else "insulin"


def _left_of(said: str, part: str, matches: list[tuple[_Rule, re.Match[str]]]) -> str:
    """Return what of a part is still to be read as a note."""
    starts = [match.start() for rule, match in matches if rule.concern.kind == "medicine"]
    if starts:
        joined = _JOINED.search(said, 0, min(starts) + MOST_JOINING)
        return f"{said[: joined.start()]}, " if joined is not None and joined.start() else ""
    return part if _KEPT.search(said) else ""


@cache
def _rules() -> tuple[_Rule, ...]:
    source = files("bot.understanding.words").joinpath("concerns.toml").read_text(encoding="utf-8")
    table = tomllib.loads(source)
    names = {f"{{{name}}}": pattern for name, pattern in table["names"].items()}
    names["{medicines}"] = "|".join(sorted(GLUCOSE_MEDICINES - {"insulin"}))
    rules = []
    for entry in table["concern"]:
        unless = re.compile(_fill(entry["unless"], names))
        concern = Concern(entry["kind"], entry["level"])
        rules += [_Rule(concern, re.compile(_fill(p, names)), unless) for p in entry["patterns"]]
    return tuple(rules)


def _fill(pattern: str, names: dict[str, str]) -> str:
    for name, value in names.items():
        pattern = pattern.replace(name, value)
    return pattern
