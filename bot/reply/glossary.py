"""What a word of the bot means, for who asks: “what do you call a baseline?”."""

import re
import tomllib
from functools import cache
from importlib.resources import files

from bot.language.texts import say

_ASKED = re.compile(
    r"(?:please )?(?:tell me |explain |remind me )?(?:but |and |so |sorry,? )?"
    r"(?:what(?:'s| is| are| exactly is| on earth is)(?: meant by)?|what do(?:es)? (?:you (?:call|mean by))"
    r"|explain|define|what(?:'s| is) the meaning of|meaning of)"
    r" (?:an? |the |your |this )?(?P<term>.+?)(?: for you| to you| then| please| exactly| supposed to be)?"
    r"|what do(?:es)? (?:an? |the |your )?(?P<verb>.+?) (?:mean|stand for)(?: here| exactly)?"
)


def explain_asked(text: str) -> str | None:
    """Return what the word means that a text asks for; None where it asks for no word of ours."""
    said = re.sub(r"\s+", " ", text.lower().replace("’", "'")).strip(" ?!.")
    found = _ASKED.fullmatch(said)
    return None if found is None else explain((found["term"] or found["verb"]).strip("“”\"' "))


def explain(term: str) -> str | None:
    """Return what a word means, None where it is none of ours."""
    known = entries()
    return say(known[term]) if term in known else None


def explain_within(text: str) -> str | None:
    """Return what the words of ours mean that a text holds, the longest name first; None without any."""
    said = f" {re.sub(r'[^a-z0-9%/.-]+', ' ', text.lower())} "
    found: dict[str, None] = {}
    for name in sorted(entries(), key=len, reverse=True):
        if f" {name} " in said:
            found[entries()[name]] = None
            said = said.replace(f" {name} ", " ")
    return "\n".join(say(each) for each in found) if found else None


@cache
def entries() -> dict[str, str]:
    """Return what each word means, by all its names."""
    text = files(__package__ or "").joinpath("glossary.toml").read_text(encoding="utf-8")
    return {
        name: entry["says"]
        for term, entry in tomllib.loads(text).items()
        for name in (term, *entry.get("also", ()))
    }
