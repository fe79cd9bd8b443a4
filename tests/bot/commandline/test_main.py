"""The command line, in the process of the tests, which need not start anew, and a few times as a program."""

import io
import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from matplotlib import get_cachedir

from bot.commandline.main import main
from bot.store import store

ROOT = Path(__file__).parents[3]


@pytest.fixture
def environment(tmp_path: Path) -> Iterator[dict[str, str]]:
    # A home of its own, but no list of fonts of its own: to make one takes longer than most tests.
    fonts = {"MPLCONFIGDIR": get_cachedir()}
    mask = os.umask(0o022)
    yield {"HOME": str(tmp_path), "PATH": "/usr/bin:/bin", "TABLENOTE_TZ": "Europe/Vienna", **fonts}
    os.umask(mask)


def run_apart(environment: dict[str, str], *words: str, text: str = "") -> tuple[int, str, str]:
    """Run the program in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "bot", *words],
        input=text,
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=environment,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


def run(environment: dict[str, str], *words: str, text: str = "") -> tuple[int, str, str]:
    """Run the same `main` here, with streams and environment as a process would have them."""
    streams = [io.TextIOWrapper(io.BytesIO(raw), "utf-8") for raw in (text.encode(), b"", b"")]
    with pytest.MonkeyPatch.context() as patch:
        for name in os.environ.keys() - environment.keys():
            patch.delenv(name)
        for name, value in environment.items():
            patch.setenv(name, value)
        for name, stream in zip(("stdin", "stdout", "stderr"), streams, strict=True):
            patch.setattr(sys, name, stream)
        patch.setattr(sys, "argv", ["tablenote", *words])
        patch.chdir(ROOT)
        with pytest.raises(SystemExit) as ended:
            main()
    out, err = (stream.detach().getvalue().decode() for stream in streams[1:])
    return int(ended.value.code or 0), out, err


def test_the_acceptance_note(environment: dict[str, str]) -> None:
    note = "2 slices rye toast with butter and a boiled egg at 7:15, walked 10 min"
    code, out, _ = run(
        environment, "understand", note, "--now", "2026-03-02T08:00", "--tz", "Europe/Vienna", "--json"
    )
    assert code == 0
    understood = json.loads(out)
    meal, walk = understood["entries"]
    assert (meal["kind"], meal["slot"], meal["at"]) == ("meal", "breakfast", "2026-03-02T07:15:00+01:00")
    assert len(meal["items"]) == 3
    assert all(item["grams"] > 0 and item["food"] for item in meal["items"])
    assert (walk["kind"], walk["minutes"]) == ("activity", 10)
    assert understood["asks"] == []


def test_half_a_character_stops_no_batch(environment: dict[str, str], tmp_path: Path) -> None:
    row = {"id": "1", "now": "2026-03-02T08:00", "tz": "Europe/Vienna", "text": "a\ud800b 100 g rice"}
    batch = tmp_path / "notes.jsonl"
    batch.write_text(json.dumps(row) + "\n", encoding="utf-8")
    code, out, _ = run_apart(environment, "understand", "--batch", str(batch))
    assert code == 0
    assert json.loads(out)["id"] == "1"


def test_a_batch_keeps_order_and_ids(environment: dict[str, str], tmp_path: Path) -> None:
    rows = [
        {"id": "a", "now": "2026-03-02T08:00", "tz": "Europe/Vienna", "text": "2 eggs"},
        {"id": "b", "now": "2026-03-02T08:00+01:00", "tz": "UTC", "text": ""},
    ]
    batch = tmp_path / "notes.jsonl"
    batch.write_text("\n".join(json.dumps(row) for row in rows) + "\n", encoding="utf-8")
    code, out, _ = run(environment, "understand", "--batch", str(batch))
    assert code == 0
    assert [json.loads(row)["id"] for row in out.splitlines()] == ["a", "b"]


def test_chat_keeps_everything_between_two_talks(environment: dict[str, str], tmp_path: Path) -> None:
    code, out, err = run(environment, "chat", text="60 g oats yesterday at 7:15\n5.4 yesterday at 7:10\n")
    assert (code, err) == (0, "")
    assert "Noted breakfast" in out
    code, out, _ = run(
        environment, "chat", text="how was breakfast yesterday?\n/status\n(press Undo)\n(file nowhere.csv)\n"
    )
    assert code == 0
    assert "no score yet" in out
    assert "1 meal noted" in out
    assert "No message of this talk has a button" in out
    assert "nowhere.csv cannot be read" in out


def test_a_picture_is_saved_and_its_path_printed(environment: dict[str, str], tmp_path: Path) -> None:
    readings = ROOT / "demo_conversations" / "readings" / "day1-0840.csv"
    db = f"sqlite:///{tmp_path / 'chat.db'}"
    talk = f"(file {readings})\n2 eggs and 2 slices toast on 2026-03-02 at 4:20\nhow was my last meal?\n"
    code, out, err = run_apart(environment, "chat", "--db", db, "--out", str(tmp_path / "pics"), text=talk)
    assert (code, err) == (0, "")
    (picture,) = (tmp_path / "pics").glob("*.png")
    assert str(picture) in out


def test_import_asks_by_naming_its_options(environment: dict[str, str], tmp_path: Path) -> None:
    file = tmp_path / "open.csv"
    rows = [f"03/02/2026 0{h}:{m:02d};5.{m % 10};7.{m % 7}" for h in (4, 5, 6) for m in range(0, 60, 5)]
    file.write_text("\n".join(["time;glucose A mmol/L;glucose B mmol/L", *rows]))
    code, _, err = run(environment, "import", str(file))
    assert (code, "--day-first or --month-first" in err) == (1, True)
    asked = ("import", str(file), "--json", "--month-first")
    code, _, err = run(environment, *asked)
    assert code == 1
    assert '--column "glucose A mmol/L" or --column "glucose B mmol/L"' in err
    code, out, _ = run(environment, *asked, "--column", "glucose B mmol/L")
    found = json.loads(out)
    assert (code, found["stored"], found["first"][:10]) == (0, 36, "2026-03-02")
    assert found["columns"]["glucose"] == "glucose B mmol/L"


def test_import_says_what_it_did_and_knows_it_again(environment: dict[str, str], tmp_path: Path) -> None:
    file = tmp_path / "r.csv"
    file.write_text("time;glucose\n2026-03-02 07:00;97\n2026-03-02 07:05;101\nlater;99\n", encoding="utf-8")
    code, out, _ = run(environment, "import", str(file), "--json")
    assert code == 0
    result = json.loads(out)
    assert (result["stored"], result["known"], result["skipped"]) == (2, 0, 1)
    assert (result["first"], result["last"]) == ("2026-03-02T06:00:00Z", "2026-03-02T06:05:00Z")
    assert result["unit"] == "mg/dL"
    code, out, _ = run(environment, "import", str(file), "--json")
    assert (json.loads(out)["stored"], json.loads(out)["known"]) == (0, 2)


def test_erase_leaves_nothing(environment: dict[str, str]) -> None:
    readings = ROOT / "demo_conversations" / "readings" / "day1-0840.csv"
    run(
        environment,
        "chat",
        text=f"(file {readings})\n60 g oats on 2026-03-02 at 04:20\nhow was my last meal?\n",
    )
    home = Path(environment["HOME"])
    assert list(home.rglob("local/*.png"))
    code, out, _ = run(environment, "erase", text="n\n")
    assert code == 1
    code, out, _ = run(environment, "erase", "--yes")
    assert not list(home.rglob("*.png"))
    assert (code, out) == (0, "Deleted everything held about “local”.\n")
    code, _, err = run(environment, "erase", "--yes")
    assert code == 1
    assert "Nothing is held" in err


def test_analyse_prints_json_and_writes_pictures(environment: dict[str, str], tmp_path: Path) -> None:
    code, out, err = run(environment, "analyse", "meals", "--json")
    assert (code, json.loads(out), err) == (0, [], "")
    readings = ROOT / "demo_conversations" / "readings" / "day1-0840.csv"
    run(environment, "chat", text=f"(file {readings})\n2 eggs and 2 slices toast on 2026-03-02 at 4:20\n")
    code, out, _ = run(environment, "analyse", "meals", "--json")
    (meal,) = json.loads(out)
    assert meal["curve"]["baseline_n"] >= 1
    code, out, _ = run(
        environment,
        "analyse",
        "day",
        "--since",
        "2026-03-02",
        "--until",
        "2026-03-02",
        "--out",
        str(tmp_path),
    )
    assert code == 0
    assert out.startswith("Mon 2 Mar: mean ")
    assert [file.name for file in tmp_path.glob("*.png")] == ["day-2026-03-02.png"]
    code, out, _ = run(environment, "analyse", "day", "--json", "--out", str(tmp_path / "json"))
    assert json.loads(out)
    (picture,) = (tmp_path / "json").glob("*.png")
    assert picture.name.startswith("average-day-to-")


REFUSED = [
    ("replay", "nowhere.chat"),
    ("import", "nowhere.csv"),
    ("import", str(ROOT / "pyproject.toml")),
    ("serve",),
    ("chat", "--db", "nonsense"),
    ("chat", "--db", f"sqlite:///{ROOT / 'pyproject.toml'}"),
    ("chat", "--tz", "Mars/Base"),
    ("understand", "toast", "--now", "soon"),
    ("analyse", "meals", "--since", "soon"),
    ("analyse", "day", "--since", "2026-03-05", "--until", "2026-03-02", "--json"),
    ("analyse", "wear", "--db", "nonsense"),
    ("understand", "--batch", str(ROOT / "pyproject.toml")),
]


@pytest.mark.parametrize("words", REFUSED, ids=lambda words: " ".join(words)[:40])
def test_a_refused_input_is_one_line_and_exit_code_1(
    environment: dict[str, str], words: tuple[str, ...]
) -> None:
    code, _, err = run(environment, *words)
    assert code == 1
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in err


@pytest.mark.parametrize(
    "words",
    [
        ("understand",),
        ("fly",),
        ("import",),
        ("import", "x.csv", "--unit", "stones"),
        ("--nonsense",),
        ("analyse",),
        ("analyse", "moods"),
    ],
)
def test_bad_usage_is_exit_code_2(environment: dict[str, str], words: tuple[str, ...]) -> None:
    code, _, err = run(environment, *words)
    assert code == 2
    assert "Traceback" not in err


def test_replay_checks_and_prints_json(environment: dict[str, str], tmp_path: Path) -> None:
    script = tmp_path / "a.chat"
    head = "zone: Europe/Vienna\n\n2026-03-02 07:10 me: 60 g oats\n"
    script.write_text(head + "2026-03-02 07:10 bot: Noted breakfast*\n", encoding="utf-8")
    assert run(environment, "replay", str(script), "--check")[0] == 0
    code, out, _ = run(environment, "replay", str(script), "--json")
    assert code == 0
    assert [json.loads(row)["text"].split(",")[0] for row in out.splitlines()] == ["Noted breakfast"]
    script.write_text(head + "2026-03-02 07:10 bot: Noted lunch*\n", encoding="utf-8")
    code, out, err = run(environment, "replay", str(script), "--check")
    assert code == 1
    assert "- 2026-03-02 07:10 bot: Noted lunch*" in out
    assert "+ 2026-03-02 07:10 bot: Noted breakfast" in out
    assert len(err.strip().splitlines()) == 1


@pytest.mark.parametrize("fault", ["locked", "damaged", "read-only"])
def test_a_database_that_fails_is_one_line(
    environment: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    monkeypatch.setattr(store, "BUSY_TIMEOUT_S", 0.5)
    file, db = tmp_path / "bot.db", f"sqlite:///{tmp_path / 'bot.db'}"
    assert run(environment, "chat", "--db", db, text="2 eggs\n")[0] == 0
    holder = sqlite3.connect(file, isolation_level=None)
    if fault == "locked":
        holder.execute("BEGIN IMMEDIATE")
    elif fault == "damaged":
        page = holder.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'people'").fetchone()[0]
        size = holder.execute("PRAGMA page_size").fetchone()[0]
        with file.open("r+b") as raw:
            raw.seek((page - 1) * size)
            raw.write(b"\xff" * size)
    else:
        db = f"sqlite:///file:{file}?mode=ro&uri=true"
    code, _, err = run(environment, "chat", "--db", db, text="3 eggs\n")
    holder.close()
    assert (code, err.count("\n")) == (1, 1), err
    assert "database" in err


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a file without an end")
def test_a_file_without_an_end_is_refused(environment: dict[str, str]) -> None:
    code, _, said = run(environment, "import", "/dev/zero")
    assert (code, said) == (1, "/dev/zero is larger than 20 MB: split it and import the parts.\n")
    code, out, _ = run(environment, "chat", text="(file /dev/zero)\n2 eggs\n")
    assert code == 0
    assert "That file is too large: send at most 20 MB." in out
    assert "egg" in out
