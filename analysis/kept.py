"""What one answer asks for more than once is computed once.

Within `keeping`, a function marked by `once` returns for equal arguments what it returned first; so nothing
that it looks at may change meanwhile, and nobody may change what it returns. Outside it computes each time.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import wraps
from typing import Any, ParamSpec, TypeVar, cast

P = ParamSpec("P")
T = TypeVar("T")
Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class _Results:
    """What one function returned, by its arguments; listed where these have no hash, as rows have none."""

    hashed: dict[Key, Any] = field(default_factory=dict)
    listed: list[tuple[Key, Any]] = field(default_factory=list)


_kept: ContextVar[dict[Callable[..., Any], _Results] | None] = ContextVar("kept", default=None)


@contextmanager
def keeping() -> Iterator[None]:
    """Keep what is computed in the block until its end, or until that of the block around it.

    >>> calls = []
    >>> double = once(lambda n: calls.append(n) or 2 * n)
    >>> with keeping():
    ...     double(2), double(3), double(2)
    (4, 6, 4)
    >>> calls
    [2, 3]
    """
    if _kept.get() is not None:
        yield
        return
    token = _kept.set({})
    try:
        yield
    finally:
        _kept.reset(token)


def once(call: Callable[P, T]) -> Callable[P, T]:
    """Mark a pure function, or one that only looks things up."""

    @wraps(call)
    def kept(*args: P.args, **kwargs: P.kwargs) -> T:
        so_far = _kept.get()
        if so_far is None:
            return call(*args, **kwargs)
        results = so_far.setdefault(call, _Results())
        key: Key = (*args, *sorted(kwargs.items()))
        try:
            hash(key)
        except TypeError:
            for asked, found in results.listed:
                if asked == key:
                    return cast(T, found)
            results.listed.append((key, call(*args, **kwargs)))
            return cast(T, results.listed[-1][1])
        if key not in results.hashed:
            results.hashed[key] = call(*args, **kwargs)
        return cast(T, results.hashed[key])

    return kept
