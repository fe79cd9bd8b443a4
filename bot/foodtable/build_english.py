"""Builds english.txt.gz, the words that are spelt right though they name no food:

    python -m bot.foodtable.build_english

They are those of symspellpy's English dictionary (MIT licence; made of SCOWL's word lists and the counts of
Google's n-grams) that are not too rare, in their plain form, one a line. symspellpy itself is needed for
building only: a dictionary of English alone would take every unknown dish for another word.
"""

import gzip
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

from bot.foodtable.words import plain_word

LEAST_COUNT = 20_000
"""Of about 10^12 words counted; the rarer ones (a tenth of the 82,765) are as likely slips."""
LEAST_LETTERS = 4
OUTPUT = Path(__file__).parent / "english.txt.gz"


def words_of(dictionary: str) -> Iterator[str]:
    """Yield the words of a dictionary's lines (a word and its count) that are kept."""
    for line in dictionary.splitlines():
        word, count = line.split(" ")
        if int(count) >= LEAST_COUNT and len(word) >= LEAST_LETTERS and word.isalpha():
            yield plain_word(word.lower())


def main() -> None:
    """Write the file; the same dictionary gives the same bytes."""
    dictionary = (files("symspellpy") / "frequency_dictionary_en_82_765.txt").read_text(encoding="utf-8-sig")
    words = "\n".join(sorted(set(words_of(dictionary))))
    OUTPUT.write_bytes(gzip.compress(words.encode(), compresslevel=9, mtime=0))


if __name__ == "__main__":
    main()
