import json
import logging
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError

from bot.commandline.logs import Discreet, DiscreetJson
from bot.store import open_store
from tests.bot.channels.serving import ROOT, run_serve
from tests.bot.store.samples import NOW
from tests.botapi import TOKEN, BotApi, Fault


def write(error: BaseException | None, message: str = "it broke") -> str:
    exc_info = None if error is None else (type(error), error, error.__traceback__)
    record = logging.LogRecord("bot", logging.ERROR, __file__, 1, message, None, exc_info)
    return Discreet([TOKEN, "s+cret/", None, ""]).format(record)


def test_an_error_is_told_without_its_words() -> None:
    notes = ["my semolina", "bed -23:00"]  # the line of code that is shown does not hold them
    try:
        try:
            raise KeyError(notes[0])
        except KeyError as first:
            raise ValueError(notes[1]) from first
    except ValueError as error:
        said = write(error)
    assert "semolina" not in said
    assert "23:00" not in said
    assert "caused by" in said
    assert said.count("test_an_error_is_told_without_its_words") == 2
    assert "No space left" in write(OSError(28, "No space left on device"))


@pytest.mark.parametrize("secret", [TOKEN, TOKEN.replace(":", "%3A"), "s+cret/", "s%2Bcret%2F"])
def test_secrets_are_replaced_wherever_they_stand(secret: str) -> None:
    assert secret not in write(OSError(f"at {secret}"), f"asked https://x/bot{secret}/getMe")


def test_what_a_statement_carried_is_not_told(tmp_path: Path) -> None:
    store = open_store(f"sqlite:///{tmp_path / 'x.db'}")
    with pytest.raises(IntegrityError) as caught, store.begin() as tx:
        tx.log._connection.exec_driver_sql("INSERT INTO people (id, zone) VALUES (?, ?)", ("semolina", None))
    store.close()
    assert "semolina" not in str(caught.value)
    assert NOW.isoformat() not in str(caught.value)


@pytest.mark.parametrize("form", ["text", "json"])
def test_debug_tells_no_token_and_no_texts(tmp_path: Path, form: str) -> None:
    secrets = {"TABLENOTE_WEBHOOK_SECRET": "hush-hush", "TABLENOTE_METRICS": "only-for-the-watchers"}
    quiet = {"TABLENOTE_LOG": "DEBUG", "TABLENOTE_LOG_FORMAT": form, **secrets}
    with BotApi() as api, run_serve(api, tmp_path / "bot.db", **quiet):
        api.fault("sendMessage", Fault("500"))
        api.say(7, "two plates of semolina")
        [reply] = api.wait_for(1, chat_id=7)
        api.document(7, "marzipan.csv", b"time,glucose\nxyzzy,1\n")
        api.wait_for(2, chat_id=7)
    log = (tmp_path / "serve.log").read_text()
    assert "Application started" in log
    for word in (TOKEN, "semolina", "marzipan", "xyzzy", *secrets.values(), reply.text.lower()[:20]):
        assert word not in log.lower()
    if form == "json":
        lines = [json.loads(line) for line in log.splitlines()]
        assert {"at", "level", "logger", "thread", "message"} <= set(lines[0])
        assert "is tried again" in "".join(line["message"] for line in lines if line["level"] == "WARNING")


def test_a_line_of_json_hides_secrets_and_words_too() -> None:
    words = "my semolina"
    secret = 'hush "quoted" \\ secret'
    try:
        raise ValueError(words)
    except ValueError as error:
        info = (type(error), error, error.__traceback__)
    record = logging.LogRecord("bot", logging.ERROR, __file__, 1, "with %s\nand more", (secret,), info)
    [line] = DiscreetJson([secret]).format(record).splitlines()
    told = json.loads(line)
    assert told["message"] == "with ***\nand more"
    assert told["error"].endswith("ValueError")
    assert "semolina" not in line


def test_what_the_commands_write_is_nobody_elses_to_read(tmp_path: Path) -> None:
    home = tmp_path / "home"
    environment = os.environ | {"XDG_DATA_HOME": str(home), "HOME": str(home)}
    command = [sys.executable, "-m", "bot", "chat", "--tz", "Europe/Vienna", "--out", str(home / "pictures")]
    talk = "6.0 at 7:00\n7.5 at 7:30\n7.0 at 8:00\nshow today\n"
    subprocess.run(command, cwd=ROOT, env=environment, input=talk, text=True, check=True, capture_output=True)
    made = [path for path in home.rglob("*")]
    assert any(path.suffix == ".db" for path in made)
    for path in made:
        assert stat.S_IMODE(path.stat().st_mode) in (0o600, 0o700), path
