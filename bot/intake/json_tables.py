"""JSON as tables: arrays of objects or of arrays, columns side by side, objects by time, JSON lines."""

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from bot.intake.cells import kind_of
from bot.intake.columns import WIDEST
from bot.intake.fhir import holds_resources, read_resources
from bot.intake.headings import time_score
from bot.intake.tables import LONGEST, Table, check_rows, check_tables
from bot.model.errors import BadFile

_HALF = re.compile(r"\\u[dD][89a-fA-F]")
_DEEPEST = 8  # how far tables are looked for within each other


def read_json(text: str, name: str) -> list[Table]:
    """Return the tables in a JSON document or in JSON lines; BadFile when it is broken or has none."""
    value, lines, broken = _parse(text, name)
    notes = (f"lines that are not JSON: {broken}",) if broken else ()
    if holds_resources(value):
        return [read_resources(value, name)]
    search = _Search(name)
    search.look(value, "", {}, 0)
    tables = list(search.tables(lines, notes))
    if not tables:
        raise BadFile(f"{name} is JSON without a list of readings; each needs a time and a glucose value.")
    return tables


def _parse(text: str, name: str) -> tuple[Any, list[int] | None, int]:
    """Return what the text holds, the line of each element for JSON lines, and how many lines are broken."""
    try:
        try:
            return _load(text), None, 0
        except json.JSONDecodeError as error:
            where = error.lineno
        values, numbers, broken = [], [], 0
        for number, line in enumerate(text.split("\n"), start=1):
            if not line.strip(" \t\r,"):
                continue
            try:
                values.append(_load(line))
                numbers.append(number)
            except json.JSONDecodeError:
                broken += 1
    except (RecursionError, ValueError):  # nested without end, a number of thousands of digits
        raise BadFile(f"{name} is JSON beyond what a readings file needs; send CSV text.") from None
    if not values or broken >= len(values) or not all(isinstance(value, dict | list) for value in values):
        raise BadFile(f"{name} is broken JSON (line {where}); export it again and send that.")
    return values, numbers, broken


def _load(text: str) -> Any:
    """Parse JSON; halves of characters that it names by their numbers are no text and become “?”."""
    value = json.loads(text)
    if not _HALF.search(text):
        return value
    return json.loads(json.dumps(value, ensure_ascii=False).encode("utf-8", "replace"))


_Rows = tuple[list[dict[str, Any]], Mapping[str, Any]]
"""Plain objects of one list, and the plain values of the objects that it lies in."""


class _Search:
    """Looks through a document for what can be read as tables."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._objects: dict[str, list[_Rows]] = {}
        self._arrays: list[tuple[str, list[list[Any]]]] = []
        self._count = 0

    def look(self, value: Any, path: str, above: dict[str, Any], depth: int) -> None:
        """Look at a value; `above` are the plain values of the objects that it lies in."""
        if depth > _DEEPEST:
            return
        if isinstance(value, dict):
            plain, lists = _flatten(value)
            by_time = _by_time(value)
            by_key = _by_key(value)
            columns = {k: v for k, v in lists.items() if v and not isinstance(v[0], dict | list)}
            if by_time:
                self._add(path, by_time, above)
            elif by_key:
                self._look_at_objects(by_key, path, above, depth)
                return
            elif len(columns) > 1 and len({len(column) for column in columns.values()}) == 1:
                beside = [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]
                self._add(path, beside, _around(above, plain))
            elif not lists and path == "":
                self._add(path, [plain], above)
            around = _around(above, plain)
            for key, inner in lists.items():
                if kind_of(key) == "date":
                    self.look(inner, path, {**around, "date": key}, depth + 1)
                else:
                    self.look(inner, f"{path}.{key}".strip("."), around, depth + 1)
        elif isinstance(value, list) and value:
            if isinstance(value[0], list):
                rows = [row for row in value if isinstance(row, list)]
                self._arrays.append((path, rows))
                self._enough(len(rows))
            else:
                self._look_at_objects([row for row in value if isinstance(row, dict)], path, above, depth)

    def tables(self, lines: list[int] | None, notes: tuple[str, ...]) -> Iterator[Table]:
        """Yield what was found; `lines` are those of the elements where the document is JSON lines."""
        for path, groups in self._objects.items():
            headings: dict[str, None] = {}
            for objects, above in groups:
                for each in [*objects[:1], above, *objects[1:]]:
                    if len(headings) < WIDEST and not each.keys() <= headings.keys():
                        headings.update(dict.fromkeys(each))
            keys = list(headings)[:WIDEST]
            # what an object itself says goes before what those around it do
            rows = [
                [_write(row[key] if key in row else above.get(key)) for key in keys]
                for objects, above in groups
                for row in objects
            ]
            numbers = lines if lines and not path and len(lines) == len(rows) else range(1, len(rows) + 1)
            yield Table(rows, numbers, "JSON", keys, path, notes)
        for path, arrays in self._arrays:
            rows = [[_write(cell) for cell in row[:WIDEST]] for row in arrays]
            yield Table(rows, range(1, len(rows) + 1), "JSON", None, path, notes)

    def _look_at_objects(
        self, objects: list[dict[str, Any]], path: str, above: dict[str, Any], depth: int
    ) -> None:
        plain_rows = []
        for element in objects:
            plain, lists = _flatten(element)
            plain_rows.append(plain)
            around = _around(above, plain) if lists else above
            for key, inner in lists.items():
                self.look(inner, f"{path}.{key}".strip("."), around, depth + 1)
        self._add(path, plain_rows, above)

    def _add(self, path: str, rows: list[dict[str, Any]], above: Mapping[str, Any]) -> None:
        self._enough(len(rows))
        filled = [row for row in rows if row]
        if filled:
            self._objects.setdefault(path, []).append((filled, above))
            self._enough(0)

    def _enough(self, more: int) -> None:
        self._count += more
        check_rows(self._count, self._name)
        check_tables(len(self._objects) + len(self._arrays), self._name)


def _around(above: Mapping[str, Any], plain: Mapping[str, Any]) -> dict[str, Any]:
    """Return the values around what lies in an object: the nearest, and no more than a table has columns."""
    around = {**above, **plain}
    return around if len(around) <= WIDEST else dict([*around.items()][-WIDEST:])


def _flatten(
    value: Mapping[str, Any], prefix: str = "", depth: int = 0
) -> tuple[dict[str, Any], dict[str, list[Any]]]:
    """Part an object into its plain values, those of inner objects by dotted keys, and its lists."""
    plain: dict[str, Any] = {}
    lists: dict[str, list[Any]] = {}
    for key, inner in value.items():
        called = prefix + key[:LONGEST]
        if isinstance(inner, dict):
            rows = _by_time(inner) or _by_key(inner)
            if rows:
                lists[called] = rows
            elif depth < _DEEPEST:
                more, deeper = _flatten(inner, f"{called}.", depth + 1)
                plain |= more
                lists |= deeper
        elif isinstance(inner, list):
            lists[called] = inner
        else:
            plain[called] = inner
    return plain, lists


def _by_time(value: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the rows of an object whose keys are times, or days that hold clock times; none otherwise."""
    keys = list(value)
    if not keys:
        return []
    kinds = {kind_of(key) for key in (keys[0], keys[len(keys) // 2])}
    if kinds == {"date"} and all(isinstance(inner, dict) for inner in value.values()):
        days = [(day, clock, each) for day, inner in value.items() for clock, each in inner.items()]
        if all(kind_of(clock) == "clock" for _, clock, _ in days):
            return [{"date": day, "time": clock, "value": each} for day, clock, each in days]
    if not kinds <= {"stamp", "epoch"}:
        return []
    return [
        {"time": key, **(_flatten(inner)[0] if isinstance(inner, dict) else {"value": inner})}
        for key, inner in value.items()
        if not isinstance(inner, list)
    ]


def _by_key(value: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the objects that an object holds by some key, or the rows of columns keyed by their number."""
    inner = list(value.values())
    if len(inner) < 2 or not all(isinstance(each, dict) and each for each in inner):
        return []
    if any(map(_tells_time, value)) and all(key.isdecimal() for each in inner for key in each):
        columns = [*value.items()][:WIDEST]
        return [{name: column.get(row) for name, column in columns} for row in inner[0]]
    if not all(any(map(_tells_time, each)) for each in inner):
        return []
    return [each if key.isdecimal() else {"key": key, **each} for key, each in value.items()]


def _tells_time(key: str) -> bool:
    return time_score(key) > 0


def _write(value: Any) -> str:
    if isinstance(value, str):
        return value[:LONGEST]
    if value is None or isinstance(value, dict | list):
        return ""
    return str(value)
