"""Sums of verdicts as shares, overall and by kind tag, and their printing."""

from collections.abc import Iterable, Mapping
from itertools import chain

from tests.corpus.compare import Verdict

Figures = dict[str, float | None]


def sum_up(verdicts: list[Verdict]) -> Figures:
    """Return the figures of some notes; a figure with nothing behind it is None."""
    found = sum(v.foods_found for v in verdicts)
    missed = sum(v.foods_missed for v in verdicts)
    invented = sum(v.foods_invented for v in verdicts)
    errors = list(chain.from_iterable(v.time_errors_min for v in verdicts))
    return {
        "notes": len(verdicts),
        "fully_right": _share(v.fully_right for v in verdicts),
        "kinds_right": _share(v.kinds_right for v in verdicts),
        "foods_precision": _ratio(found, found + invented),
        "foods_recall": _ratio(found, found + missed),
        "foods_f1": _ratio(2 * found, 2 * found + missed + invented),
        "grams_in_range": _share(chain.from_iterable(v.grams for v in verdicts)),
        "carbs_in_range": _share(chain.from_iterable(v.carbs for v in verdicts)),
        "stated_right": _share(chain.from_iterable(v.stated for v in verdicts)),
        "times_right": _share(chain.from_iterable(v.times for v in verdicts)),
        "time_error_min": _ratio(sum(errors), len(errors)),
        "asks_right": _share(v.asks_right for v in verdicts if v.asks_right is not None),
    }


def sum_up_by_tag(verdicts: Iterable[tuple[list[str], Verdict]]) -> dict[str, Figures]:
    """Return the figures of all notes under "all", then of each tag, the most frequent first."""
    groups: dict[str, list[Verdict]] = {"all": []}
    for tags, verdict in verdicts:
        for tag in ("all", *tags):
            groups.setdefault(tag, []).append(verdict)
    return {
        tag: sum_up(group) for tag, group in sorted(groups.items(), key=lambda g: (-len(g[1]), g[0] != "all"))
    }


def _share(outcomes: Iterable[bool]) -> float | None:
    each = list(outcomes)
    return _ratio(sum(each), len(each))


def _ratio(part: float, whole: float) -> float | None:
    return part / whole if whole else None


COLUMNS = {
    "notes": "notes",
    "fully_right": "right",
    "kinds_right": "kinds",
    "foods_precision": "prec",
    "foods_recall": "recall",
    "foods_f1": "F1",
    "grams_in_range": "grams",
    "carbs_in_range": "carbs",
    "stated_right": "stated",
    "times_right": "times",
    "time_error_min": "±min",
    "asks_right": "asks",
}


def draw_table(figures: Mapping[str, Figures]) -> str:
    """Return a line for each tag: shares as decimals, the mean absolute time error in minutes."""
    width = max(map(len, figures))
    head = " ".join([" " * width, *(f"{title:>6}" for title in COLUMNS.values())])
    rows = [
        " ".join([f"{tag:<{width}}", *(_cell(key, row[key]) for key in COLUMNS)])
        for tag, row in figures.items()
    ]
    return "\n".join([head, *rows])


def _cell(key: str, value: float | None) -> str:
    if value is None:
        return f"{'–':>6}"
    return (
        f"{value:>6.0f}"
        if key == "notes"
        else f"{value:>6.1f}"
        if key == "time_error_min"
        else f"{value:>6.3f}"
    )
