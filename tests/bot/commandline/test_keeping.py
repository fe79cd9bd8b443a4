"""The commands that keep a record safe, as somebody would use them."""

import shutil
import threading
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from bot.commandline import checking
from bot.commandline.main import main
from bot.model.settings import Settings
from bot.store import open_store, schema
from tests.bot.store.samples import add, ensure, meal


@pytest.fixture
def db(tmp_path: Path) -> str:
    url = f"sqlite:///{tmp_path / 'diary.db'}"
    store = open_store(url)
    with store.begin() as tx:
        ensure(tx, "local")
        add(tx, meal("porridge"), "u1", person="local")
    store.close()
    return url


def run(monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    monkeypatch.setattr("sys.argv", ["tablenote", *words])
    with pytest.raises(SystemExit) as ended:
        main()
    code = ended.value.code
    return code if isinstance(code, int) else 1


def test_a_copy_is_made_and_put_back(db: str, monkeypatch, capsys, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    assert run(monkeypatch, "backup", str(copy), "--db", db) == 0
    store = open_store(db)
    with store.begin() as tx:
        add(tx, meal("soup"), "u2", person="local")
    store.close()
    assert run(monkeypatch, "restore", str(copy), "--db", db, "--yes") == 0
    assert "kept as" in capsys.readouterr().out
    store = open_store(db)
    with store.read() as tx:
        assert [row["said"] for row in tx.everything("local")["entries"]] == ["porridge"]
    store.close()


def test_a_copy_never_goes_over_a_file(db: str, monkeypatch, capsys, tmp_path: Path) -> None:
    there = tmp_path / "letter.txt"
    there.write_text("dear")
    assert run(monkeypatch, "backup", str(there), "--db", db) == 1
    assert capsys.readouterr().err == f"{there} is there already: name a file that is not.\n"
    assert there.read_text() == "dear"


def test_a_database_in_use_is_not_replaced(db: str, monkeypatch, capsys, tmp_path: Path) -> None:
    from bot.store import lock_single

    copy = tmp_path / "copy.db"
    run(monkeypatch, "backup", str(copy), "--db", db)
    capsys.readouterr()
    with lock_single(db):
        assert run(monkeypatch, "restore", str(copy), "--db", db, "--yes") == 1
    assert capsys.readouterr().err.count("\n") == 1


def test_a_record_is_moved_and_exported(db: str, monkeypatch, capsys, tmp_path: Path) -> None:
    goal = f"sqlite:///{tmp_path / 'new.db'}"
    assert run(monkeypatch, "move", "--from", db, "--to", goal) == 0
    assert "entries" in capsys.readouterr().out
    assert run(monkeypatch, "export", str(tmp_path / "mine"), "--db", goal) == 0
    assert "porridge" in (tmp_path / "mine" / "notes.csv").read_text()
    assert run(monkeypatch, "export", str(tmp_path / "other"), "--db", goal, "--person", "tg:5") == 1
    assert not (tmp_path / "other").exists()


@pytest.mark.parametrize(
    "words",
    [("export", "out"), ("report", "--out", "r.html"), ("erase", "--yes"), ("chat",)],
    ids=lambda w: w[0],
)
@pytest.mark.parametrize("option", ["--person", "--db"])
def test_bytes_that_are_no_text_are_refused(
    db: str, monkeypatch, capsys, tmp_path: Path, words: tuple[str, ...], option: str
) -> None:
    monkeypatch.chdir(tmp_path)
    given = {"--db": db, "--person": "local"} | {option: "sqlite:///\udcff\udcfe.db"}
    assert run(monkeypatch, *words, *(word for pair in given.items() for word in pair)) == 2
    assert "no text" in " ".join(capsys.readouterr().err.split())
    assert [file.name for file in tmp_path.iterdir()] == ["diary.db"]


def test_a_database_is_not_moved_into_itself(db: str, monkeypatch, capsys) -> None:
    assert run(monkeypatch, "move", "--from", db, "--to", db) == 1
    assert capsys.readouterr().err.startswith("--from and --to name the same database")


def test_check_names_what_to_mend(db: str, tmp_path: Path, monkeypatch) -> None:
    """Each check is fine on a sound install, and finds its own fault when there is one."""
    settings = Settings(db=db, tz="Europe/Vienna")
    now = datetime.now(UTC)

    def faults(changed: Settings) -> dict[str, str]:
        return {about: said for about, said, is_fault in checking.find_faults(changed, now) if is_fault}

    assert list(faults(settings)) == ["copies"]
    assert "no copy yet" in faults(settings)["copies"]
    assert (
        "names it"
        in faults(settings.model_copy(update={"db": "postgresql+psycopg://x@127.0.0.1:1/x"}))["database"]
    )
    said = {about: said for about, said, _ in checking.find_faults(settings, now)}
    assert "TABLENOTE_TOKEN" in said["token"]
    for about in ("settings", "database", "disk", "time zones", "food table", "fonts"):
        assert said[about] == "fine"
    assert "open" in faults(settings.model_copy(update={"allowed": "open"}))["settings"]
    monkeypatch.setattr(checking, "available_timezones", set)
    monkeypatch.setattr("analysis.plots.text.font_files", lambda: [("Some Sans", "/gone.ttf")])
    assert "tzdata" in faults(settings)["time zones"]
    assert "Some Sans" in faults(settings)["fonts"]
    (tmp_path / "diary.db").chmod(0o644)
    assert "chmod 600" in faults(settings)["database"]
    monkeypatch.setattr(shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(10, 9, 1))
    assert "make room" in faults(settings)["disk"]
    (tmp_path / "diary.db").write_bytes(b"SQLite format 3\0" + b"\x07" * 9000)
    assert "is no database" in faults(settings)["database"]


def test_check_compares_the_clock_with_the_messenger(db: str) -> None:
    """The server is the standard library's, which says the time with each answer, errors included."""
    server = HTTPServer(("127.0.0.1", 0), BaseHTTPRequestHandler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    url = f"http://127.0.0.1:{server.server_port}"
    settings = Settings(db=db, tz="Europe/Vienna", token="1:a", api_url=url)
    now = datetime.now(UTC)
    try:
        found = [checking._check_clock(settings, now + timedelta(minutes=off)) for off in (0, 5, -5)]
    finally:
        server.shutdown()
        server.server_close()
    assert found[0] == ""
    assert "ahead" in found[1]
    assert "behind" in found[2]
    assert "cannot be reached" in checking._check_clock(settings, now)


def test_a_damaged_database_is_not_served(db: str, monkeypatch, capsys, tmp_path: Path) -> None:
    assert run(monkeypatch, "backup", "--db", db) == 0
    copy = capsys.readouterr().out.split()[-1].rstrip(".")
    file = Path(db.removeprefix("sqlite:///"))
    damaged = bytearray(file.read_bytes())
    damaged[2 * 4096 : 5 * 4096] = b"\xff" * 3 * 4096
    file.write_bytes(damaged)
    monkeypatch.setenv("TABLENOTE_TOKEN", "1:unused")
    assert run(monkeypatch, "serve", "--db", db) == 1
    [said] = capsys.readouterr().err.splitlines()
    assert "is damaged" in said
    assert said.endswith(f"put a copy back with: tablenote restore {copy}")
    assert run(monkeypatch, "restore", copy, "--db", db, "--yes") == 0


@pytest.mark.parametrize("revision", ["0001", "0012"])
def test_check_only_looks_at_an_older_database(tmp_path: Path, revision: str) -> None:
    file = tmp_path / "old.db"
    file.touch(mode=0o600)
    engine = create_engine(f"sqlite:///{file}")
    with engine.begin() as connection:
        schema.upgrade(connection, revision)
    engine.dispose()
    before = file.read_bytes()
    settings = Settings(db=f"sqlite:///{file}", tz="Europe/Vienna")
    said = {about: said for about, said, _ in checking.find_faults(settings, datetime.now(UTC))}
    assert "another version" in said["database"]
    assert file.read_bytes() == before
    assert [left.name for left in tmp_path.iterdir()] == ["old.db"]


def test_no_invitation_is_made_that_nobody_would_see(db: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TABLENOTE_TOKEN", "123:abc")
    monkeypatch.setenv("TABLENOTE_API_URL", "http://127.0.0.1:1")
    assert run(monkeypatch, "invite", "--db", db) == 1
    store = open_store(db)
    with store.read() as tx:
        assert tx.invitations.open_count(datetime.now(UTC)) == 0
    store.close()
