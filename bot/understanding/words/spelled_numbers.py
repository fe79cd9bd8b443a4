"""Numbers from sixty upwards in words, as dictation writes them: "one hundred and twenty"."""

from collections.abc import Iterator, Sequence

_UNITS = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen"
_LOW = {w: n for n, w in enumerate(f"{_UNITS} seventeen eighteen nineteen".split(), start=1)}
_ONES = {w: n for w, n in _LOW.items() if n < 10}
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
_TEN = {w: 10 * n for n, w in enumerate(_TENS.split(), start=2)}
LEAST = 60
"""Less than that may be the minutes of a clock, which has its own reader."""
OPENERS = frozenset([*_TEN, *_ONES, "a", "hundred"])


def find_spelled(words: Sequence[str]) -> Iterator[tuple[int, int, int]]:
    """Yield where each number of at least LEAST begins and ends among words, and its value.

    >>> list(find_spelled("walked one hundred and twenty minutes , then seventy five".split()))
    [(1, 5, 120), (8, 10, 75)]
    """
    i = 0
    while i < len(words):
        value, end = _spelled(words, i) if words[i] in OPENERS else (0, i + 1)
        if value >= LEAST:
            yield i, end, value
        i = end if value >= LEAST else i + 1


def _spelled(words: Sequence[str], i: int) -> tuple[int, int]:
    """Read what is spelled out from `i`: its value, 0 for none, and where it ends."""
    counted = words[i] != "hundred"
    ones = _ONES.get(words[i], 1 if words[i] in ("a", "hundred") else 0)
    k = i + counted
    if not ones or words[k : k + 1] != ["hundred"]:
        return _below_hundred(words, i)
    rest, end = _below_hundred(words, k + 1 + (words[k + 1 : k + 2] == ["and"]))
    if not rest:  # "a hundred" may be any great number
        return (100 * ones if words[i] in _ONES else 0), k + 1
    return 100 * ones + rest, end


def _below_hundred(words: Sequence[str], i: int) -> tuple[int, int]:
    first, second = (words[k] if k < len(words) else "" for k in (i, i + 1))
    if first not in _TEN:
        return _LOW.get(first, 0), i + 1
    return (_TEN[first] + _ONES[second], i + 2) if second in _ONES else (_TEN[first], i + 1)
