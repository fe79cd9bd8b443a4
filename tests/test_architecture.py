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
    "starlette": ("bot/web/",),
    "prometheus_client": ("bot/metrics.py",),
    "prompt_toolkit": ("bot/channels/prompting.py",),
    "uvicorn": ("bot/web/server.py",),
    "pandas": ("analysis/", "bot/frames/", "bot/intake/"),
    "numpy": (
        "bot/understanding/search/kinds.py",
        "bot/understanding/questions/learned.py",
        "analysis/",
        "bot/frames/",
        "bot/intake/",
    ),
    "scipy": ("analysis/",),
    "PIL": ("bot/intake/photos.py",),
    "matplotlib": ("analysis/plots/", "bot/reply/pictures.py"),
    "noto_cjk_sans_jp_regular": ("analysis/plots/text.py",),
    "rapidfuzz": ("bot/foodtable/",),
    "segno": ("bot/channels/telegram_inviting.py",),
    "jinja2": ("bot/report/",),
    "fontTools": ("bot/report/",),
    "typer": ("bot/commandline/",),
    "typst": ("bot/report/",),
    "pydantic": ("bot/model/settings.py",),
    "pydantic_settings": ("bot/model/settings.py",),
    "platformdirs": ("bot/model/settings.py", "bot/foodtable/"),
    "tzlocal": ("bot/model/settings.py",),
}

# The rooms from the ground up: each imports only from rooms below it, and from itself.
FLOORS = (
    "analysis",
    "bot.language",
    "bot.model",
    "bot.metrics",
    "bot.foodtable",
    "bot.intake",
    "bot.understanding",
    "bot.store",
    "bot.frames",
    "bot.reply",
    "bot.reminders",
    "bot.answers",
    "bot.report",
    "bot.export",
    "bot.talk",
    "bot.app",
    "bot.web",
    "bot.channels",
    "bot.commandline",
    "bot.__main__",
)

# Narrower than the floors: what stays pure, and what must not know the rest of the bot.
FORBIDDEN = {
    "bot/understanding/": ("bot.intake", "analysis"),
    "bot/intake/": ("bot.foodtable", "analysis"),
    "bot/store/": ("bot.understanding", "bot.intake", "bot.foodtable", "analysis"),
    "bot/foodtable/": ("analysis",),
    "bot/reminders/rules.py": ("bot.store", "bot.reply"),
    "bot/reminders/days.py": ("bot.store", "bot.reply"),
    "bot/reply/words.py": ("bot.store", "bot.frames", "analysis"),
    "bot/channels/telegram_": ("bot.store", "bot.talk", "bot.app", "bot.understanding", "analysis"),
    "bot/web/": ("bot.store", "bot.talk", "bot.app", "bot.understanding", "bot.intake", "analysis"),
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


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


MODULES = {module_of(path): path for path in FILES}


def room_of(module: str) -> str:
    return "analysis" if is_within(module, "analysis") else ".".join(module.split(".")[:2])


def ours_of(module: str) -> set[str]:
    """The modules of ours that a module imports, in functions and under TYPE_CHECKING, too."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(MODULES[module].read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            package = node.module or ""
            whole = (f"{package}.{alias.name}" for alias in node.names)
            found |= {name if name in MODULES else package for name in whole}
    return (found & MODULES.keys()) - {module, "bot"}


def circles_in(links: dict[str, set[str]]) -> list[list[str]]:
    """The sets of names that reach each other, by Kosaraju's two walks."""
    order: list[str] = []
    seen: set[str] = set()

    def walk(name: str, along: dict[str, set[str]], into: list[str]) -> None:
        if name in seen:
            return
        seen.add(name)
        for other in sorted(along.get(name, ())):
            walk(other, along, into)
        into.append(name)

    for name in sorted(links):
        walk(name, links, order)
    back: dict[str, set[str]] = {}
    for name, others in links.items():
        for other in others:
            back.setdefault(other, set()).add(name)
    seen.clear()
    found: list[list[str]] = []
    for name in reversed(order):
        circle: list[str] = []
        walk(name, back, circle)
        if len(circle) > 1:
            found.append(sorted(circle))
    return found


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def is_within(module: str, package: str) -> bool:
    return module == package or module.startswith(package + ".")


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_imports_stay_at_home(path: Path) -> None:
    name = name_of(path)
    for module in imports_of(path):
        homes = HOMES.get(module.split(".")[0])
        assert homes is None or name.startswith(homes), (
            f"{name} imports {module}, whose home is {homes}: do there what needs it, and pass the result on."
        )
        assert not is_within(module, "matplotlib.pyplot"), f"{name} imports pyplot"
        for part, forbidden in FORBIDDEN.items():
            if name.startswith(part):
                assert not any(is_within(module, f) for f in forbidden), (
                    f"{name} imports {module}, which it must not know: pass in what it needs."
                )


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_a_room_imports_only_rooms_below_it(path: Path) -> None:
    module = module_of(path)
    if module == "bot":
        return
    room = room_of(module)
    assert room in FLOORS, (
        f"{room} has no floor: give it its place in FLOORS and in the tree of DEVELOPERS.md"
    )
    for other in ours_of(module):
        below = room_of(other)
        assert below == room or FLOORS.index(below) < FLOORS.index(room), (
            f"{module} imports {other}, which stands on a floor above. Move what both need down (a value to "
            f"bot/model, a sentence to bot/reply), or pass it in as an argument."
        )


def test_no_circles_between_folders() -> None:
    links: dict[str, set[str]] = {}
    for module in MODULES:
        rooms = {room_of(other) for other in ours_of(module)} - {room_of(module)}
        links.setdefault(room_of(module), set()).update(rooms)
    assert not circles_in(links), "Move what both folders need into one below them, or pass it in."


def test_no_circles_between_modules() -> None:
    circles = circles_in({module: ours_of(module) for module in MODULES})
    assert not circles, (
        "These modules import each other, TYPE_CHECKING and imports in functions included. Move the names "
        f"that both need into a module of their own, or merge the two: {circles}"
    )


def test_circles_are_found() -> None:
    links = {"a": {"b"}, "b": {"c"}, "c": {"b", "d"}, "d": set[str](), "e": {"a"}}
    assert circles_in(links) == [["b", "c"]]


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
