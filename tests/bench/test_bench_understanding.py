"""How long understanding takes: pytest tests/bench/test_bench_understanding.py -s -o addopts="".

The rate of a batch and the median of single notes are of the corpus, warm, on one core. Long and strange
texts are timed by the processor's clock, best of three, with nothing remembered of their words. The last
figure travels between machines: how long the notes take beside bare fuzzy matching (rapidfuzz, `extractOne`)
of their words, one by one, against all everyday names.
"""

import random
import string
import time
from collections.abc import Callable, Iterator
from functools import partial
from statistics import median

import pytest
from rapidfuzz import fuzz, process

from bot.foodtable import FoodTable, load_table
from bot.understanding import Context, understand
from bot.understanding.notes.clauses import split_clauses
from bot.understanding.notes.notes import MOST_CLAUSES, fold
from bot.understanding.reading import MOST_TOKENS
from bot.understanding.words.tokens import read_tokens
from tests.bot.understanding.compact import context_at
from tests.corpus.corpus import notes_of
from tests.corpus.score import context_of, understand_all

NOTES_A_SECOND, MEDIAN_MS, HOSTILE_MS, LOAD_S = 500, 2.0, 50.0, 0.3


@pytest.fixture(scope="module")
def table() -> FoodTable:
    return load_table()


def best_of(times: int, run: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """Return the seconds of the fastest of some runs."""
    seconds = []
    for _ in range(times):
        started = clock()
        run()
        seconds.append(clock() - started)
    return min(seconds)


def test_rate_of_a_batch(table: FoodTable) -> None:
    notes = notes_of("all")
    seconds = min(understand_all(notes, table)[1] for _ in range(3))
    print(f"\nbatch: {len(notes) / seconds:.0f} notes a second")
    assert len(notes) / seconds >= NOTES_A_SECOND


def test_median_of_single_notes(table: FoodTable) -> None:
    notes = notes_of("all")
    contexts = [context_of(note, table) for note in notes]
    milliseconds = [
        1000 * best_of(3, partial(understand, note["text"], context))
        for note, context in zip(notes, contexts, strict=True)
    ]
    print(f"\nsingle note: median {median(milliseconds):.2f} ms, slowest {max(milliseconds):.1f} ms")
    assert median(milliseconds) < MEDIAN_MS


def test_table_loads_from_its_cache(table: FoodTable) -> None:
    seconds = best_of(3, load_table)
    print(f"\nfood table: {seconds:.2f} s")
    assert seconds < LOAD_S


def hostile_texts(table: FoodTable) -> dict[str, str]:
    """Return texts of full length, by what is strange about them."""
    rng, names = random.Random(3), list(table.names())
    made_up = ["".join(rng.choices(string.ascii_lowercase, k=6)) for _ in range(600)]
    misspelt = [name[:2] + name[3:] for name in names if len(name) > 5]
    texts = {
        "words that are none": " ".join(made_up),
        "a list of words that are none": ", ".join(made_up),
        "misspelt foods": ", ".join(rng.sample(misspelt, 500)),
        "all the foods": ", ".join(rng.sample(names, 500)),
        "foods in a row": " ".join(rng.sample(names, 700)),
        "one long word": "a" * 4096,
        "combining marks": "e\u0301" * 2048,
        "pictures": "🍕" * 4096,
        "Chinese": "饭" * 4096,
        "Arabic": "سلام " * 820,
    }
    repeated = (
        "(egg ",
        "egg & ",
        "toast from egg ",
        "egg at the place ",
        "7:15 eggs ",
        "on ",
        "with my ",
        "half of ",
    )
    repeated += (
        "shared a pizza with my wife, ",
        "fresh raw cooked ",
        "1/2 ",
        "less 1/2 ",
        "egg\n",
        "tea ",
        "2 slcies ",
    )
    repeated += (
        "walked 10 min ",
        "ran 10 ",
        "? 10 raw ",
        "yesterday at 7 ",
        "lunch dinner ",
        "5.4 at 9:10 ",
        "50 g each ",
    )
    repeated += (
        "\n",
        "\ufeff",
        "noon ",
        "did ",
        "9:10 5.4 ",
        "egg on toast ",
        "breakfast: egg, lunch: rice ",
        "the usual, ",
        "same as yesterday, ",
        "half of yesterday's lunch, ",
        "before the walk ",
        "-> 5 ",
        "12:34:56:",
    )
    texts |= {f"{fragment!r} again and again": fragment * 4096 for fragment in repeated}
    mixed = " ".join(repeated).split()
    texts |= {f"mixture {n}": " ".join(rng.choices(mixed, k=2000)) for n in range(10)}
    return {name: _longest_read(text[:4096], table) for name, text in texts.items()}


def _longest_read(text: str, table: FoodTable) -> str:
    """Return as much of a text as is not refused for its many words or parts."""
    tokens = read_tokens(text)
    text = text if len(tokens) <= MOST_TOKENS else text[: tokens[MOST_TOKENS].start]
    clauses = split_clauses(fold(text, table), table)
    return text if len(clauses) <= MOST_CLAUSES else text[: clauses[MOST_CLAUSES].pieces[0].start]


def understand_next(text: str, contexts: Iterator[Context]) -> None:
    """Understand a text in the next of some contexts."""
    understand(text, next(contexts))


def test_no_text_takes_long(table: FoodTable) -> None:
    took = {}
    for name, text in hostile_texts(table).items():
        fresh = [load_table.__wrapped__() for _ in range(3)]
        contexts = iter([context_at("08:00", one) for one in fresh])
        run = partial(understand_next, text, contexts)
        took[name] = 1000 * best_of(3, run, time.process_time)
    slowest = sorted(took, key=took.__getitem__, reverse=True)[:5]
    print("\nlong texts: " + "; ".join(f"{took[name]:.0f} ms {name}" for name in slowest))
    assert {name: ms for name, ms in took.items() if ms >= HOSTILE_MS} == {}


def test_ratio_to_bare_fuzzy_matching(table: FoodTable) -> None:
    notes = notes_of("all")
    names = list(table.names())
    words = [t.text for note in notes for t in read_tokens(note["text"]) if t.kind == "word"]
    bare = best_of(1, lambda: [process.extractOne(word, names, scorer=fuzz.ratio) for word in words])
    ours = min(understand_all(notes, table)[1] for _ in range(3))
    print(f"\n{len(words)} words, {len(names)} names: understanding takes {ours / bare:.3f} of bare matching")
    assert ours < bare
