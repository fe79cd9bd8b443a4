"""How many notes need each rule: every `if` of the understanding is switched off by itself, and the notes on
which it was true are understood again.

    python -m tests.corpus.ablate [--under notes,states,pieces] [--most N] [--part tuning]

Prints one line a rule: how many notes it is true on, how many come out right only with it, how many only
without it, where it stands and what it asks. A rule that fewer than three notes need is to go, unless an
invariant needs it. Rules that are true on more than N notes are taken to be needed. Comprehensions,
conditional expressions and `or` within a test are not looked into: a rule is a statement.
"""

import argparse
import ast
import functools
import gc
import signal
import sys
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder
from importlib.resources.readers import FileReader
from pathlib import Path
from types import ModuleType
from zoneinfo import ZoneInfo

ROOM = "bot.understanding"
MOST_S = 2.0
"""Longer no note may take: without some rules, a loop does not end."""
RULES: list[tuple[str, int, str]] = []
"""Each rule's file, line and test, in the order of their numbers."""
hits: set[int] = set()
off: list[int] = [-1]


def holds(rule: int, value: object) -> bool:
    """Stand in for a rule's test: note that it was true, or say no where it is switched off."""
    if not value or rule == off[0]:
        return False
    hits.add(rule)
    return True


class _Switches(ast.NodeTransformer):
    """Puts `holds(number, test)` in the place of every test."""

    def __init__(self, file: str) -> None:
        self.file = file

    def visit_If(self, node: ast.If) -> ast.AST:
        """Replace one test."""
        self.generic_visit(node)
        rule = len(RULES)
        RULES.append((self.file, node.lineno, ast.unparse(node.test)))
        call = ast.Call(ast.Name("__holds__", ast.Load()), [ast.Constant(rule), node.test], [])
        node.test = ast.copy_location(call, node.test)
        return node


@dataclass(frozen=True)
class _Place:
    """Where a package lies, as a reader of its files asks for it."""

    path: str


class _Rooms(MetaPathFinder, Loader):
    """Loads the modules of the understanding with their switches in."""

    def __init__(self) -> None:
        self.folders: dict[str, str] = {}

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Find a module of the understanding."""
        spec = PathFinder.find_spec(name, path) if name.startswith(ROOM) else None
        if spec is not None and spec.origin is not None:
            self.folders[name] = str(Path(spec.origin).parent)
            spec.loader = self
        return spec

    def get_resource_reader(self, name: str) -> FileReader:
        """Let a room read the word lists that lie beside it."""
        return FileReader(_Place(str(Path(self.folders[name]) / "__init__.py")))

    def exec_module(self, module: ModuleType) -> None:
        """Run a module's code with its switches."""
        file = Path(str(module.__file__))
        tree = _Switches(str(file)).visit(ast.parse(file.read_text(encoding="utf-8")))
        module.__dict__["__holds__"] = holds
        exec(compile(ast.fix_missing_locations(tree), str(file), "exec"), module.__dict__)


def _end(signum: int, frame: object) -> None:
    raise TimeoutError("a note that is never read to its end")


def _forget() -> None:
    for kept in _CACHES:
        kept.cache_clear()


_CACHES: list["functools._lru_cache_wrapper[object]"] = []


def main(arguments: list[str] | None = None) -> None:
    """Switch every rule off by itself and print how many notes need it."""
    parser = argparse.ArgumentParser(prog="python -m tests.corpus.ablate")
    parser.add_argument("--under", default="notes,states,pieces", help="rooms whose rules are tried")
    parser.add_argument("--most", type=int, default=120, help="rules true on more notes are not tried")
    parser.add_argument("--part", default="all", choices=["tuning", "all", "fresh"])
    wanted = parser.parse_args(arguments)
    sys.meta_path.insert(0, _Rooms())
    signal.signal(signal.SIGALRM, _end)

    from bot.commandline.understand import to_dict
    from bot.foodtable import load_table
    from bot.understanding import understand
    from tests.corpus.compare import judge
    from tests.corpus.corpus import notes_of
    from tests.corpus.score import context_of

    table = load_table()
    notes = notes_of(wanted.part)
    contexts = [context_of(note, table) for note in notes]
    _CACHES.extend(
        found
        for found in gc.get_objects()
        if isinstance(found, functools._lru_cache_wrapper) and str(found.__module__).startswith(ROOM)
    )

    def right(k: int) -> bool:
        said = to_dict(understand(notes[k]["text"], contexts[k]), ZoneInfo(notes[k]["tz"]))
        return judge(notes[k]["gold"], said).fully_right

    true_on: dict[int, list[int]] = defaultdict(list)
    with_all: list[bool] = []
    for k in range(len(notes)):
        _forget()
        hits.clear()
        with_all.append(right(k))
        for rule in hits:
            true_on[rule].append(k)
    rooms = tuple(f"/{room}/" for room in wanted.under.split(","))
    rows = []
    for rule, (file, line, test) in enumerate(RULES):
        if not any(room in file for room in rooms) or len(true_on[rule]) > wanted.most:
            continue
        off[0] = rule
        need = better = 0
        for k in true_on[rule]:
            _forget()
            signal.setitimer(signal.ITIMER_REAL, MOST_S)
            try:
                now = right(k)
            except Exception:  # a guard: without it the text raises, or is never read to its end
                now = False
            finally:
                signal.setitimer(signal.ITIMER_REAL, 0)
            need += with_all[k] and not now
            better += now and not with_all[k]
        rows.append((need - better, need, better, len(true_on[rule]), file, line, test))
    off[0] = -1
    for _, need, better, count, file, line, test in sorted(rows):
        short = file.rpartition("understanding/")[2]
        print(f"{count:5} true {need:4} need {better:3} better  {short}:{line}  {test[:90]}")
    print(
        f"{len(RULES)} rules, {len(rows)} tried, {sum(row[1] < 3 for row in rows)} needed by fewer than three"
    )


if __name__ == "__main__":
    main()
