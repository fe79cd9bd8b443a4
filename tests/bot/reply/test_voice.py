"""How the bot speaks, over every text of its rooms and every message of the demo conversations."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.results import Evenness
from bot.language.texts import LANGUAGES, speaking
from bot.reply.glossary import entries
from bot.reply.results import lost
from tests.templates import Template, collect, messages

ONE_WORD = {
    r"\blapsed?\b": "lost",
    r"\bread out\b": "sync",
    r"\bverdict\b": "too early to judge",
    r"\bno telling\b": "too early to judge",
    r"\bassumed\b": "my guess",
    r"points lost:": "a sum that adds up",
    r"\bwith care\b": "as rough",
    r"\bnot known yet:": "I can't tell yet:",
    r"\bcannot\b": "can't",
    r"\b(?:could|did|do|does|was|is) not (?:understand|know|read|use)\b": "the short form",
    r" → ": "words",
    r"\barithmetic\b|\bcalibrat": "no such word",
}
"""What is said by another word, so that one thing has one word."""
STATISTICS = re.compile(
    r"\b(?:Welch|p-values?|confidence|standard deviation|SD|CV|variance|median|quartiles?|percentiles?"
    r"|regression|coefficient|significan\w+|posterior|Bayes\w*|correlat\w+|hypothes[ie]s|ANOVA|t-test)\b"
)
FUTURE = re.compile(
    r"(?<!Shall )\bI (?:ask|remind|tell you|say so) (?:again|at \d|at x|you the|the day|before or)"
    r"|\bI (?:will|shall) "
)
AMERICAN = re.compile(
    r"\b(?:color|fiber|favorite|center|gray|flavor|neighbor|analyze|recognize|organize|summarize|realize|practise"
    r" is|program me|liter|milliliter|labeled|canceled|traveled)\w*\b", re.IGNORECASE,
)  # fmt: skip
BLAME = re.compile(r"\byou (?:should have|failed|forgot|must|ought)\b|\bbad (?:score|meal)\b", re.IGNORECASE)
MOST_WORDS = 42
"""A sentence longer than this is two."""
NOT_TALK = (
    *("bot/talk/sharing.py", "bot/talk/trial_words.py", "bot/answers/avoided.py", "bot/answers/sides.py"),
    *("bot/report/clinical.py", "bot/report/drawn.py"),
)
"""Modules with patterns that read, the page that names measures as clinicians do, and pictures in a page."""

TEMPLATES = [
    one
    for one in collect()
    if one.path not in NOT_TALK
    and re.search(r"[A-Za-z]{2,}[.?:!)”]|^[A-Z]|\{", one.text)
    and "\\" not in one.text
]


def _name(one: Template) -> str:
    return f"{one.path}:{one.line}"


def _read(text: str) -> str:
    """Return what is said without the words that people may say or that are quoted."""
    return re.sub(r"“[^”]*”", "“…”", re.sub(r"\{[^{}]*\}", "x", text))


@pytest.mark.parametrize("one", TEMPLATES, ids=_name)
def test_a_text_keeps_to_the_words(one: Template) -> None:
    _check(_read(one.text))


def _talk() -> list[str]:
    """Return the messages of the demos; a protocol in print is for readers of protocols."""
    return [message for message in messages() if not message.startswith("N-of-1")]


def test_every_message_of_the_demos_keeps_to_the_words() -> None:
    assert len(_talk()) > 100
    for message in _talk():
        _check(_read(message))


def test_what_words_mean_is_told_in_the_same_words() -> None:
    for says in entries().values():
        _check(_read(says))


def _check(text: str) -> None:
    for pattern, instead in ONE_WORD.items():
        assert not re.search(pattern, text, re.IGNORECASE), f"say {instead!r}: {text!r}"
    assert not STATISTICS.search(text), f"a statistic's name: {text!r}"
    assert not FUTURE.search(text), f"say I'll: {text!r}"
    assert not AMERICAN.search(text), f"British spelling: {text!r}"
    assert not BLAME.search(text), f"blames: {text!r}"
    assert '"' not in text or "curl" in text, f"quotes are “…”: {text!r}"
    for sentence in re.split(r"(?<=[.!?])\s|\n|; |: ", text):
        assert len(sentence.split()) <= MOST_WORDS, f"long: {sentence!r}"


@pytest.mark.parametrize("message", _talk(), ids=lambda message: message[:30])
def test_each_line_of_a_message_ends_with_a_stop(message: str) -> None:
    for line in message.split("\n"):
        assert re.search(r"[.?!:)”]$|^•|^\d+\. |^\d\d:\d\d ", line), line


@given(
    rise=st.floats(0, 30), area=st.floats(0, 50), high=st.floats(0, 10), dip=st.floats(0, 10),
    language=st.sampled_from(sorted(LANGUAGES)),
)  # fmt: skip
def test_the_sum_adds_up_on_sight(rise: float, area: float, high: float, dip: float, language: str) -> None:
    score = 100 - rise - area - high - dip
    found = Evenness(score, {"rise": rise, "area": area, "high": high, "dip": dip}, 0, 100)
    with speaking(language):  # type: ignore[arg-type]
        said = lost(found, "mmol/L")
    if "=" not in said:
        assert round(score) == 100
        return
    left, _, right = said.removesuffix(".").rpartition(" = ")
    first, *parts = left.split(" − ")
    assert int(first) - sum(int(part.split()[0]) for part in parts) == int(right) == round(score)
