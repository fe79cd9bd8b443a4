"""What was understood of a note beside what a careful person would record: pure comparison of JSON."""

from dataclasses import dataclass, field
from datetime import datetime
from itertools import product
from typing import Any

from tests.corpus.naming import name_fit, plain_words

Entry = dict[str, Any]
Item = dict[str, Any]


@dataclass
class Verdict:
    """How one note came out; `wrong` holds a line for each thing that is not right."""

    wrong: list[str] = field(default_factory=list)
    kinds_right: bool = True
    asks_right: bool | None = None
    foods_found: int = 0
    foods_missed: int = 0
    foods_invented: int = 0
    grams: list[bool] = field(default_factory=list)
    carbs: list[bool] = field(default_factory=list)
    stated: list[bool] = field(default_factory=list)
    times: list[bool] = field(default_factory=list)
    time_errors_min: list[float] = field(default_factory=list)

    @property
    def fully_right(self) -> bool:
        """Everything that is judged is right; questions back are counted apart."""
        return not self.wrong


def judge(gold: dict[str, Any], understood: dict[str, Any]) -> Verdict:
    """Compare one note's `understood` output with its gold."""
    verdict = Verdict()
    found = [e for e in understood["entries"] if e["kind"] != "none"]
    wanted = [e for e in gold["entries"] if e["kind"] != "none"]
    if gold["asks"] is not None:
        verdict.asks_right = gold["asks"] == bool(understood["asks"])
    pairs, missing, surplus = pair_entries(wanted, found)
    for entry in missing:
        if not entry.get("optional"):
            verdict.kinds_right = False
            verdict.wrong.append(f"no {entry['kind']}")
            _count_missing(entry, verdict)
    for entry in surplus:
        verdict.kinds_right = False
        verdict.wrong.append(f"{entry['kind']} that was not said")
        verdict.foods_invented += len(entry.get("items", []))
    for want, have in pairs:
        _judge_entry(want, have, verdict)
    return verdict


def _count_missing(entry: Entry, verdict: Verdict) -> None:
    verdict.foods_missed += len(entry.get("items") or [])
    verdict.times += [False for key in ("at", "from", "to") if key in entry]


def pair_entries(
    wanted: list[Entry], found: list[Entry]
) -> tuple[list[tuple[Entry, Entry]], list[Entry], list[Entry]]:
    """Pair entries of one kind, likest first; return the pairs, those missing and those too many."""
    likeness = sorted(
        (
            (-_likeness(want, have), abs(i - j), i, j)
            for (i, want), (j, have) in product(enumerate(wanted), enumerate(found))
            if want["kind"] == have["kind"]
        ),
    )
    taken_i: set[int] = set()
    taken_j: set[int] = set()
    pairs = []
    for _, _, i, j in likeness:
        if i not in taken_i and j not in taken_j:
            taken_i.add(i)
            taken_j.add(j)
            pairs.append((wanted[i], found[j]))
    missing = [e for i, e in enumerate(wanted) if i not in taken_i]
    return pairs, missing, [e for j, e in enumerate(found) if j not in taken_j]


def _likeness(want: Entry, have: Entry) -> int:
    score = sum(1 for item in want.get("items") or [] if any(_fits(item, i) for i in have.get("items", [])))
    score += sum(1 for key in ("at", "from", "to") if _minutes_off(want, have, key) == 0)
    if "mmol" in want:
        score += 2 * (abs(want["mmol"] - have["mmol"]) < 0.06)
    if "what" in want:
        score += _says_any(want["what"], have["what"])
    return score


def _fits(gold: Item, item: Item) -> bool:
    return name_fit(gold["names"], item) > 0 or any(_fits(part, item) for part in gold.get("parts", []))


def _judge_entry(want: Entry, have: Entry, verdict: Verdict) -> None:
    kind = want["kind"]
    for key in ("at", "from", "to"):
        if key in want:
            _judge_time(want, have, key, verdict)
    if want.get("items") is not None:
        _judge_items(want["items"], have["items"], verdict)
    checks = {
        "slot": lambda: have["slot"] in want["slot"],
        "what": lambda: (
            have["what"] in want["what"] if kind in EXACT else _says_any(want["what"], have["what"])
        ),
        "minutes": lambda: _within(want["minutes"], have["minutes"]),
        "mmol": lambda: abs(want["mmol"] - have["mmol"]) < 0.06,
        "about": lambda: have["about"] in want["about"],
        "subject": lambda: _says_any(want["subject"], have["subject"]),
        "since": lambda: _day(have["since"]) in want["since"],
        "until": lambda: _day(have["until"]) in want["until"],
        "eaten_in_order": lambda: have["eaten_in_order"] == want["eaten_in_order"],
        "slot_of": lambda: have["slot_of"] in want["slot_of"],
        "day_of": lambda: have["day_of"] in want["day_of"],
        "extras": lambda: _same_extras(want["extras"], have["extras"]),
    }
    for key, is_right in checks.items():
        if key in want and not is_right():
            verdict.wrong.append(f"{kind} {key}: {have[key]!r}, not {want[key]!r}")


EXACT = ("sensor", "correction")


def _judge_time(want: Entry, have: Entry, key: str, verdict: Verdict) -> None:
    off = _minutes_off(want, have, key)
    tolerance = want.get(f"{key}_tol_min", 0)
    right = off is not None and off <= tolerance
    verdict.times.append(right)
    if off is not None and want[key] is not None:
        verdict.time_errors_min.append(off)
    if not right:
        verdict.wrong.append(f"{want['kind']} {key}: {have[key]}, not {want[key]} within {tolerance} min")


def _minutes_off(want: Entry, have: Entry, key: str) -> float | None:
    """Minutes between the two; 0 when both have none, None when only one has."""
    gold, at = want.get(key), have.get(key)
    if gold is None or at is None:
        return 0.0 if key in want and gold is None and at is None else None
    return abs((datetime.fromisoformat(at) - datetime.fromisoformat(gold)).total_seconds()) / 60


def _judge_items(gold: list[Item], found: list[Item], verdict: Verdict) -> None:
    ways = [match_items(way, found) for way in _ways_to_part(gold)]
    pairs, missed, invented = max(ways, key=lambda way: len(way[0]) - len(way[1]) - len(way[2]))
    verdict.foods_found += len(pairs)
    verdict.foods_missed += len(missed)
    verdict.foods_invented += len(invented)
    verdict.wrong += [f"missed {item['names'][0]}" for item in missed]
    verdict.wrong += [f"made up {item['name']!r} from {item['said']!r}" for item in invented]
    for want, have in pairs:
        _judge_amounts(want, have, verdict)


def _ways_to_part(gold: list[Item]) -> list[list[Item]]:
    choices = [[[item], item["parts"]] if "parts" in item else [[item]] for item in gold]
    return [[item for group in way for item in group] for way in product(*choices)]


def match_items(
    gold: list[Item], found: list[Item]
) -> tuple[list[tuple[Item, Item]], list[Item], list[Item]]:
    """Match foods by name, best fit first; return the pairs, those missed and those made up."""
    candidates = sorted(
        (
            (-fit, not _within(want["grams"], have["grams"]), abs(i - j), i, j)
            for (i, want), (j, have) in product(enumerate(gold), enumerate(found))
            if (fit := name_fit(want["names"], have)) > 0
        ),
    )
    taken_i: set[int] = set()
    taken_j: set[int] = set()
    pairs = []
    for *_, i, j in candidates:
        if i not in taken_i and j not in taken_j:
            taken_i.add(i)
            taken_j.add(j)
            pairs.append((gold[i], found[j]))
    missed = [item for i, item in enumerate(gold) if i not in taken_i and not item.get("optional")]
    return pairs, missed, [item for j, item in enumerate(found) if j not in taken_j]


def _judge_amounts(want: Item, have: Item, verdict: Verdict) -> None:
    name = want["names"][0]
    if want["stated"] is not None:
        verdict.stated.append(want["stated"] == have["stated"])
    for key, unit, outcomes in (("grams", "g", verdict.grams), ("carbs_g", "g carbs", verdict.carbs)):
        if want[key] is None:
            continue
        right = _within(want[key], have[key])
        outcomes.append(right)
        if not right:
            low, high = want[key]
            verdict.wrong.append(f"{name}: {have[key]} {unit}, not {low} to {high} (as {have['food']!r})")


def _within(bounds: list[float] | None, value: float | None) -> bool:
    """A missing range holds only a missing value, which has no place in any other."""
    if bounds is None or value is None:
        return bounds is None and value is None
    return bounds[0] - 1e-6 <= value <= bounds[1] + 1e-6


def _says_any(accepted: list[str], said: str) -> bool:
    words = set(plain_words(said))
    return any(set(plain_words(name)) <= words for name in accepted)


def _same_extras(want: list[Entry], have: list[Entry]) -> bool:
    if len(want) != len(have):
        return False
    pairs = [(w, h) for w in want for h in have if _says_any([w["name"]], h["name"])]
    return len(pairs) == len(want) and all(
        w["grams"] is None or _within(w["grams"], h["grams"]) for w, h in pairs
    )


def _day(stamp: str | None) -> str | None:
    return None if stamp is None else stamp[:10]
