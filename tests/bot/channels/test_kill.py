"""`tablenote serve` killed at the worst moments, and started again: nothing lost, nothing logged twice."""

import sqlite3
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from tests.bot.channels.serving import run_serve, start_serve
from tests.botapi import BotApi

ME = 7


def query(db: Path, sql: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(db)) as connection:
        return connection.execute(sql).fetchall()


@pytest.mark.parametrize("wait_s", [0, 0.02, 0.3])
def test_killed_right_after_fetching(api: BotApi, tmp_path: Path, wait_s: float) -> None:
    """The moment an update is acknowledged the messenger forgets it, so it must be in the store by then."""
    db = tmp_path / "bot.db"
    api.know(ME)
    foods = ("lentil soup", "pasta", "muesli", "rice", "couscous", "chili")  # guesses, so said back in words
    notes = [f"{n} bowls of {food} at 7:15" for n, food in enumerate(foods, 1)]
    with run_serve(api, db) as process:
        first = api.push(*[{"message": written(note, n)} for n, note in enumerate(notes, 1)])[0]
        api.wait_for(lambda: not api.unconfirmed())
        time.sleep(wait_s)
        process.kill()
    stored = query(db, "SELECT update_id, state FROM inbox ORDER BY id")
    assert [update_id for update_id, _ in stored] == [f"tg:{first + n}" for n in range(len(notes))]
    assert wait_s or "new" in [state for _, state in stored]  # else it was killed too late to show anything
    unsent = len(query(db, "SELECT 1 FROM outbox WHERE state = 'unsent'"))

    with run_serve(api, db) as process:
        api.wait_for(lambda: query(db, "SELECT DISTINCT state FROM inbox") == [("done",)])
        api.wait_for(lambda: not query(db, "SELECT 1 FROM outbox WHERE state = 'unsent'"))
        process.terminate()
        assert process.wait(timeout=10) == 0
    entries = query(db, "SELECT kind, said FROM entries ORDER BY id")
    assert [kind for kind, _ in entries] == ["meal"] * len(notes)
    assert [str(said).split()[0] for _, said in entries] == ["1", "2", "3", "4", "5", "6"]
    assert query(db, "SELECT state, COUNT(*) FROM outbox WHERE NOT pinned GROUP BY state") == [
        ("sent", len(notes))
    ]
    times_sent = Counter(message.text for message in api.sent(ME))
    assert len(times_sent) == len(notes)
    assert max(times_sent.values()) <= 2
    assert times_sent.total() <= len(notes) + unsent  # only what was not yet noted as sent goes out again


def test_killed_soon_after_each_of_many_starts_nothing_healthy_is_put_aside(
    api: BotApi, tmp_path: Path
) -> None:
    db = tmp_path / "bot.db"
    chats = range(100, 112)
    with run_serve(api, db) as process:
        for chat in chats:
            api.say(chat, "2 eggs at 7:15")
        api.wait_for(lambda: not api.unconfirmed())
        process.kill()
    for wait_s in (1.0, 1.5, 2.0, 2.5, 3.0, 3.5):
        with start_serve(api, db) as process:
            time.sleep(wait_s)
            process.kill()
    with run_serve(api, db) as process:
        api.wait_for(lambda: query(db, "SELECT DISTINCT state FROM inbox") == [("done",)], timeout=20)
        api.wait_for(lambda: not query(db, "SELECT 1 FROM outbox WHERE state = 'unsent'"))
        process.terminate()
        assert process.wait(timeout=10) == 0
    assert query(db, "SELECT COUNT(*) FROM entries") == [(len(chats),)]
    for chat in chats:
        assert [m.text.split()[0] for m in api.sent(chat)][:1] == ["Noted"]
        assert len(api.sent(chat)) <= 2


def written(text: str, message_id: int) -> dict[str, object]:
    chat = {"id": ME, "type": "private", "first_name": "Kim"}
    sender = {"id": ME, "is_bot": False, "first_name": "Kim"}
    return {"message_id": message_id, "date": 1_772_434_800, "chat": chat, "from": sender, "text": text}


def test_terminated_it_answers_what_it_has_time_for_and_keeps_the_rest(api: BotApi, tmp_path: Path) -> None:
    db = tmp_path / "bot.db"
    api.know(ME)
    with run_serve(api, db) as process:
        api.push({"message": written("1 eggs", 1)})
        api.wait_for(1, chat_id=ME)
        api.push(*[{"message": written(f"{n} eggs", n)} for n in range(2, 6)])
        api.wait_for(lambda: not api.unconfirmed())
        process.terminate()
        assert process.wait(timeout=10) == 0
    assert {state for (state,) in query(db, "SELECT state FROM inbox")} <= {"done", "new"}
    with run_serve(api, db) as process:
        api.wait_for(lambda: query(db, "SELECT state, COUNT(*) FROM inbox GROUP BY state") == [("done", 5)])
        api.wait_for(lambda: not query(db, "SELECT 1 FROM outbox WHERE state != 'sent'"))
    assert len(api.sent(ME)) == 5


def test_a_second_bot_on_the_same_database_is_refused(api: BotApi, tmp_path: Path) -> None:
    db = tmp_path / "bot.db"
    with run_serve(api, db), start_serve(api, db) as second:
        assert second.wait(timeout=30) == 1
    log = (tmp_path / "serve.log").read_text()
    assert "Another tablenote already runs on this database" in log
    assert "Traceback" not in log


def test_a_wrong_token_is_one_line(api: BotApi, tmp_path: Path) -> None:
    with pytest.raises(AssertionError) as caught, run_serve(api, tmp_path / "b.db", TABLENOTE_TOKEN="1:x"):
        pass
    log = (tmp_path / "serve.log").read_text().splitlines()
    assert log[-1] == "The messenger does not know this token. Check TABLENOTE_TOKEN."
    assert "Traceback" not in str(caught.value)
    assert "1:x" not in "".join(log)
