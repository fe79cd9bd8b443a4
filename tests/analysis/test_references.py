"""Every key quoted in the analyses is in the list of references, and every reference is quoted."""

import re
from pathlib import Path

from analysis.references import REFERENCES

SOURCES = Path(__file__).parents[2] / "analysis"


def find_quoted():
    text = "\n".join(p.read_text() for p in SOURCES.rglob("*.py") if p.name != "references.py")
    lists = re.findall(r"\[((?:[a-z]+\d{2,5}(?:,\s+)?)+)\]", text)
    return {key for keys in lists for key in re.split(r",\s+", keys)}


def test_quoted_and_listed_are_the_same():
    assert find_quoted() == set(REFERENCES)


def test_each_says_what_was_read():
    assert [key for key, text in REFERENCES.items() if not re.search(r"[Rr]ead\b", text)] == []
