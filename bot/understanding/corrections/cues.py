"""The words that changes are made with, from cues.toml: phrase -> tag."""

import tomllib
from functools import cache
from importlib.resources import files

from bot.understanding.words.lexicon import TAGS


@cache
def cues() -> dict[tuple[str, ...], str]:
    """Return the phrases of cues.toml with their tags."""
    text = (files(__package__) / "cues.toml").read_text(encoding="utf-8")
    found: dict[tuple[str, ...], str] = {}
    for section in tomllib.loads(text).values():
        for phrase in _phrases(section):
            words = tuple(phrase.split())
            if words:
                found.setdefault(words, section["tag"])
    return found


@cache
def parted_verbs() -> dict[str, tuple[tuple[tuple[str, ...], str], ...]]:
    """Return the verbs that may be parted, each with how its phrases end and their tags: "bring it back"."""
    found: dict[str, list[tuple[tuple[str, ...], str]]] = {}
    for words, tag in cues().items():
        if tag in "rda" and len(words) > 1 and words[1] in TAGS.particles_cues:
            found.setdefault(words[0], []).append((words[1:], tag))
    return {verb: tuple(sorted(ends, key=lambda end: -len(end[0]))) for verb, ends in found.items()}


@cache
def phrases_of(section: str) -> frozenset[str]:
    """Return the phrases of one section of cues.toml."""
    text = (files(__package__) / "cues.toml").read_text(encoding="utf-8")
    return frozenset(" ".join(p.split()) for p in _phrases(tomllib.loads(text)[section]))


def amending() -> frozenset[str]:
    """Return the phrases that open a correction and hardly anything else."""
    return phrases_of("amending")


def _phrases(section: dict[str, str]) -> list[str]:
    return section["phrases"].replace("\n", "|").split("|")


@cache
def cue_openers() -> frozenset[str]:
    """Return the words that some cue begins with."""
    return frozenset(words[0] for words in cues())
