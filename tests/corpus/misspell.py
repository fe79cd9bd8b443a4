"""How the reading of notes and of food names bears one misspelling.

    python -m tests.corpus.misspell [--seed N]

One word of four letters or more is misspelt in each note of the tuning part and in each everyday name of the
food table, and the reading compared with that of the right spelling: the same kinds of entry, foods and
grams. The errors are single ones (four in five misspellings are, Damerau 1964), drawn as Pollock and Zamora
(1984) counted them (shares from memory): a letter left out 34, put in 27, another 19, two swapped 13 of 93;
the first letter is left right. A wrong letter is a neighbour on the keyboard, one put in a neighbour or the
letter doubled.
"""

import argparse
import random
import re
from collections.abc import Sequence

from bot.foodtable import FoodTable, load_table
from bot.model.entries import Meal, Understood
from bot.understanding import understand
from tests.corpus.corpus import notes_of
from tests.corpus.score import context_of

ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
SHARES = {"out": 34, "in": 27, "other": 19, "swap": 13}
LEAST_LETTERS = 4
Reading = list[tuple[object, ...]]


def neighbours(letter: str) -> str:
    """Return the keys beside one, in its own row and the rows above and below."""
    r, c = next((r, row.index(letter)) for r, row in enumerate(ROWS) if letter in row)
    beside = [(r, c - 1), (r, c + 1), (r - 1, c), (r - 1, c + 1), (r + 1, c - 1), (r + 1, c)]
    return "".join(ROWS[y][x] for y, x in beside if 0 <= y < len(ROWS) and 0 <= x < len(ROWS[y]))


def misspell(word: str, rng: random.Random) -> str:
    """Return a lower-case word of plain letters with one slip behind its first letter."""
    while True:
        (kind,) = rng.choices(list(SHARES), list(SHARES.values()))
        i = rng.randrange(1, len(word))
        near = rng.choice(neighbours(word[i]))
        if kind == "out":
            slip = word[:i] + word[i + 1 :]
        elif kind == "in":
            slip = word[: i + 1] + rng.choice((near, word[i])) + word[i + 1 :]
        elif kind == "other":
            slip = word[:i] + near + word[i + 1 :]
        else:
            slip = word[:i] + word[i + 1 : i + 2] + word[i] + word[i + 2 :]
        if slip != word:
            return slip


def misspell_one(text: str, fit: Sequence[str], rng: random.Random) -> str | None:
    """Return a text with one of its words misspelt that are fit for it; None where there is none."""
    places = [m for m in re.finditer(r"(?<![^\W_])[a-z]{4,}(?![^\W_])", text) if m.group() in fit]
    if not places:
        return None
    place = rng.choice(places)
    return text[: place.start()] + misspell(place.group(), rng) + text[place.end() :]


def outcome(understood: Understood) -> Reading:
    """Return what counts of a reading: kinds, foods and grams."""
    found: Reading = []
    for entry in understood.entries:
        foods = [(i.food or i.name, round(i.grams)) for i in entry.items] if isinstance(entry, Meal) else []
        found.append((type(entry).__name__, *foods))
    return found


def score_notes(table: FoodTable, rng: random.Random, *, foods: bool) -> tuple[int, int]:
    """Return how many notes read the same with one word of a food (or another) misspelt, and of how many."""
    same = tried = 0
    for note in notes_of("tuning"):
        text = note["text"].lower()
        words = {w for w in re.findall(r"[a-z]+", text) if table.has_word(w) == foods}
        slip = misspell_one(text, sorted(words), rng)
        if slip is None:
            continue
        context = context_of(note, table)
        tried += 1
        same += outcome(understand(text, context)) == outcome(understand(slip, context))
    return same, tried


def score_names(table: FoodTable, rng: random.Random) -> tuple[int, int, int]:
    """Return how many everyday names are found with one slip, how many are taken for another, of how many."""
    same = other = tried = 0
    for name in sorted(table.names()):
        slip = misspell_one(name, re.findall(r"[a-z]+", name), rng)
        right = table.match(name)
        if slip is None or right is None:
            continue
        tried += 1
        found = table.match(slip)
        same += found is not None and found.food == right.food
        other += found is not None and found.food != right.food
    return same, other, tried


def main() -> None:
    """Print the shares."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--seed", type=int, default=1)
    rng, table = random.Random(parser.parse_args().seed), load_table()
    for foods, what in ((True, "a word of a food"), (False, "another word")):
        same, tried = score_notes(table, rng, foods=foods)
        print(f"notes with {what} misspelt: {same / tried:.3f} read the same ({tried})")
    same, other, tried = score_names(table, rng)
    print(f"names of foods: {same / tried:.3f} found, {other / tried:.3f} taken for another ({tried})")


if __name__ == "__main__":
    main()
