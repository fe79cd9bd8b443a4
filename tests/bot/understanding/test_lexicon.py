"""Words are data: they stand in the lexicon.toml of their room, under a tag, and code turns on the tag."""

import ast
import re
from collections import defaultdict
from pathlib import Path

import pytest

from bot.understanding.words.lexicon import TABLES, TAGS, Tags

ROOT = Path(__file__).parents[3]
FILES = sorted((ROOT / "bot" / "understanding").rglob("*.py"))
NO_WORDS = {"sorts.py"}
"""Holds the names of sorts of questions, which nobody says."""
MOST_WORDS = 12
"""A list of more words than that is data."""


def words_of(node: ast.AST) -> int:
    """How many words a set, list, tuple or table, or a string made into one, holds in the code itself."""
    if isinstance(node, ast.Call) and node.args:
        return sum(words_of(argument) for argument in node.args if isinstance(argument, ast.Call))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "split":
        return len(str(ast.literal_eval(node.func.value)).split()) if is_text(node.func.value) else 0
    if isinstance(node, ast.Dict):
        return len(node.keys) if all(map(is_text, [*node.keys, *node.values])) else 0
    held = getattr(node, "elts", [])
    return len(held) if all(map(is_text, held)) else 0


def is_text(node: ast.AST | None) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def long_lists(source: str) -> list[int]:
    tree = ast.parse(source)
    types = {node.slice for node in ast.walk(tree) if isinstance(node, ast.Subscript)}  # Literal["a", "b"]
    return sorted({n.lineno for n in ast.walk(tree) if n not in types and words_of(n) > MOST_WORDS})


def test_no_list_of_words_stands_in_code() -> None:
    found = {p.name: long_lists(p.read_text(encoding="utf-8")) for p in FILES if p.name not in NO_WORDS}
    assert {name: lines for name, lines in found.items() if lines} == {}


def test_lists_of_words_are_found() -> None:
    many = [f"w{k}" for k in range(MOST_WORDS + 1)]
    written = (set(many), tuple(many), dict.fromkeys(many, "w"), f"'{' '.join(many)}'.split()")
    assert long_lists("\n".join(f"A{k} = frozenset({said})" for k, said in enumerate(written))) == [
        1,
        2,
        3,
        4,
    ]
    assert long_lists(f"A = frozenset({set(many[1:])})\nB = Literal[{many}]") == []


def test_each_tag_is_used_and_none_twice() -> None:
    sources = "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "bot").rglob("*.py"))
    used = set(re.findall(r"\bTAGS\.([a-z_0-9]+)", sources))
    assert used == set(vars(TAGS))
    assert set(re.findall(r"\b(?:meanings|table_of)\(\"([a-z_]+)\"", sources)) == set(TABLES)
    same = defaultdict(list)
    for tag, words in vars(TAGS).items():
        same[words].append(tag)
    assert [tags for tags in same.values() if len(tags) > 1] == []


def test_a_tag_stands_in_one_room_only(tmp_path: Path) -> None:
    for room in ("a", "b"):
        (tmp_path / room).mkdir()
        (tmp_path / room / "lexicon.toml").write_text('[module]\nsides = "before after"\n', encoding="utf-8")
    with pytest.raises(ValueError, match="sides is a tag already"):
        Tags(tmp_path)
