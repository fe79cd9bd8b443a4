"""What is computed once within an answer, and anew outside it."""

from dataclasses import dataclass

from analysis.kept import keeping, once

CALLS: list[object] = []


@once
def call(*args: object, much: float = 1.0) -> int:
    CALLS.append(args)
    return len(CALLS)


@dataclass(frozen=True)
class Unhashable:
    levers: dict[str, float]


def test_equal_arguments_are_computed_once_within_the_outermost_block() -> None:
    rows = [Unhashable({"walk after": 1.0})]
    with keeping():
        first = call(rows)
        with keeping():
            assert call([Unhashable({"walk after": 1.0})]) == first
        assert call(rows) == first
        assert call(rows, much=2.0) != first
        assert call([Unhashable({})]) != first
        assert call("a") == call("a") != call("b")
    with keeping():
        assert call(rows) != first
    assert call("a") != call("a")
