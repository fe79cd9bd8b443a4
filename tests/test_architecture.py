"""Who may import whom. The table in DEVELOPERS.md says why."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
FILES = sorted([*(ROOT / "bot").rglob("*.py"), *(ROOT / "analysis").rglob("*.py")])

# A third-party package -> the files or folders that may import it.
HOMES = {
    "telegram": ("bot/channels/telegram_",),
    "sqlalchemy": ("bot/store/",),
    "alembic": ("bot/store/",),
    "apscheduler": ("bot/reminders/runner.py",),
    "starlette": ("bot/web/",),
    "uvicorn": ("bot/web/server.py",),
    "pandas": ("analysis/", "bot/frames/", "bot/intake/"),
    "numpy": ("analysis/", "bot/frames/", "bot/intake/"),
    "scipy": ("analysis/",),
    "matplotlib": ("analysis/plots/", "bot/reply/pictures.py"),
    "noto_cjk_sans_jp_regular": ("analysis/plots/text.py",),
    "rapidfuzz": ("bot/foodtable/",),
    "typer": ("bot/commandline/main.py",),
    "pydantic": ("bot/model/settings.py",),
    "pydantic_settings": ("bot/model/settings.py",),
    "platformdirs": ("bot/model/settings.py", "bot/foodtable/"),
    "tzlocal": ("bot/model/settings.py",),
}

# A part of ours -> the parts it may not import.
FORBIDDEN = {
    "analysis/": ("bot",),
    "bot/understanding/": ("bot.channels", "bot.store", "bot.talk.turn", "bot.app", "bot.reply", "analysis"),
    "bot/intake/": ("bot.channels", "bot.store", "bot.talk.turn", "bot.app", "bot.reply"),
    "bot/schedule/": ("bot.channels", "bot.store", "bot.talk.turn", "bot.app"),
    "bot/store/": ("bot.channels", "bot.talk.turn", "bot.app", "bot.reply", "bot.understanding", "analysis"),
    "bot/foodtable/": (
        "bot.channels",
        "bot.store",
        "bot.talk.turn",
        "bot.app",
        "bot.reply",
        "bot.understanding",
    ),
    "bot/channels/telegram_": ("bot.store", "bot.talk.turn", "bot.app", "bot.understanding", "analysis"),
    "bot/web/": ("bot.store", "bot.talk.turn", "bot.app", "bot.understanding", "bot.intake", "analysis"),
    "bot/reply/words.py": ("bot.store", "bot.channels", "analysis"),
}

CLOCK_READERS = ("bot/model/clock.py",)


def imports_of(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are absolute"
            module = node.module or ""
            yield module
            yield from (f"{module}.{alias.name}" for alias in node.names)


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def is_within(module: str, package: str) -> bool:
    return module == package or module.startswith(package + ".")


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_imports_stay_at_home(path: Path) -> None:
    name = name_of(path)
    for module in imports_of(path):
        homes = HOMES.get(module.split(".")[0])
        assert homes is None or name.startswith(homes), f"{name} imports {module}; its home is {homes}"
        assert not is_within(module, "matplotlib.pyplot"), f"{name} imports pyplot"
        for part, forbidden in FORBIDDEN.items():
            if name.startswith(part):
                assert not any(is_within(module, f) for f in forbidden), f"{name} imports {module}"


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_only_the_clock_reads_the_time(path: Path) -> None:
    if name_of(path) in CLOCK_READERS:
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Attribute) and node.attr in {"now", "utcnow", "today"}:
            owner = ast.unparse(node.value)
            assert owner not in {"datetime", "date", "pd.Timestamp"}, f"{name_of(path)} reads the clock"


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_modules_are_short(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


def test_analysis_does_no_input_or_output() -> None:
    for path in (ROOT / "analysis").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        called = {ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
        assert not called & {"open", "print", "input"}, name_of(path)
        roots = {module.split(".")[0] for module in imports_of(path)}
        assert not roots & {"os", "pathlib", "io", "time", "sqlite3", "socket", "random", "subprocess"}, (
            name_of(path)
        )
