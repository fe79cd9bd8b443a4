"""Who is let in: closed by default, by invitation or number, open only by name."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from bot.model.messages import Outgoing
from bot.talk.slash_commands import COMMANDS
from tests.bot.channels.serving import ROOT, run_serve
from tests.bot.channels.telegram_rig import ME, FakeTalker, serving
from tests.bot.channels.test_kill import query
from tests.botapi import TOKEN, BotApi

CLOSED = {"TABLENOTE_ALLOWED": ""}


def find_invitation(text: str) -> str:
    [code] = re.findall(r"https://t\.me/note_bot\?start=([\w-]{22}) ", text)
    assert f"this code: {code}" in text
    return str(code)


def invite(api: BotApi, db: Path) -> str:
    environment = os.environ | {"TABLENOTE_TOKEN": TOKEN, "TABLENOTE_API_URL": api.url}
    command = [sys.executable, "-m", "bot", "invite", "--db", f"sqlite:///{db}"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    return find_invitation(done.stdout)


def test_from_the_first_invitation_to_the_second_person(api: BotApi, tmp_path: Path) -> None:
    db, log = tmp_path / "bot.db", tmp_path / "serve.log"
    with run_serve(api, db, **CLOSED):
        code = find_invitation(log.read_text())
        api.wait_for(lambda: api.commands)
        assert [(one["command"], one["description"]) for one in api.commands] == list(COMMANDS)
        api.say(8, "hello")
        [refused] = api.wait_for(1, chat_id=8)
        assert "private" in refused.text
        assert query(db, "SELECT COUNT(*) FROM inbox") == [(0,)]
        api.say(ME, f"/start {code}")
        welcome, _ = api.wait_for(2, chat_id=ME)
        api.say(9, f"/start {code}")
        [late] = api.wait_for(1, chat_id=9)
        assert "private" in late.text
        second = invite(api, db)
        api.say(-5, second)  # in a group a code lets nobody in
        api.wait_for(1, chat_id=-5)
        api.say(8, second)
        assert api.wait_for(2, chat_id=8)[1].text == welcome.text
        api.say(8, "2 eggs at 7:15")
        assert api.wait_for(4, chat_id=8)[3].text.startswith("Noted")
    assert not query(db, f"SELECT 1 FROM inbox WHERE raw LIKE '%{code}%' OR raw LIKE '%{second}%'")
    log.write_text("")
    with run_serve(api, db, **CLOSED):
        api.say(ME, "2 eggs at 7:20")
        api.wait_for(lambda: any(m.text.startswith("Noted") for m in api.sent(ME)))
    assert "t.me" not in log.read_text(), "somebody is in, so no invitation is shown"


def test_open_is_said_at_each_start(api: BotApi, tmp_path: Path) -> None:
    for _ in range(2):
        (tmp_path / "serve.log").write_text("")
        with run_serve(api, tmp_path / "bot.db", TABLENOTE_ALLOWED="open"):
            pass
        assert "TABLENOTE_ALLOWED=open" in (tmp_path / "serve.log").read_text()


def test_somebody_no_longer_let_in_hears_nothing_and_may_erase(api: BotApi, tmp_path: Path) -> None:
    db = tmp_path / "bot.db"
    with run_serve(api, db):
        for chat in (ME, 8):
            api.say(chat, "2 eggs at 7:15")
            api.wait_for(1, chat_id=chat)
    with run_serve(api, db, TABLENOTE_ALLOWED=str(ME)):
        api.say(8, "3 eggs at 9:15")
        assert "private" in api.wait_for(2, chat_id=8)[1].text
        api.say(8, "/erase")
        asked = api.wait_for(3, chat_id=8)[2]
        api.press(8, asked, "Delete everything")
        api.wait_for(4, chat_id=8)
        assert query(db, "SELECT id FROM people") == [(f"tg:{ME}",)]
        api.say(8, "/erase")
        api.say(ME, "hello")
        api.wait_for(2, chat_id=ME)
        assert len(api.sent(8)) == 4, "nothing is held any more, and the refusal was said before"


def test_reminders_go_only_to_who_is_let_in(api: BotApi) -> None:
    talker = FakeTalker()
    for chat in (ME, 8, 9):
        api.know(chat)
    talker.guests = {"tg:9"}
    left = talker.put(Outgoing("tg:8", "left unsent", reminder=True))
    with serving(api, talker, allowed=frozenset({ME})) as runner:
        talker.due = [Outgoing(f"tg:{chat}", "Time to sync", reminder=True) for chat in (ME, 8, 9)]
        runner.fire()
        api.wait_for(lambda: talker.states == {1: "not sent", 2: "sent", 3: "not sent", 4: "sent"})
    assert left.id == 1
    assert {m.chat_id for m in api.messages} == {ME, 9}


@pytest.mark.parametrize("sender", [ME + 1, -5])
def test_somebody_else_in_a_persons_chat_is_not_that_person(api: BotApi, sender: int) -> None:
    talker = FakeTalker()
    with serving(api, talker, allowed=frozenset({ME})):
        api.say(ME, "mine", **{"from": {"id": sender, "is_bot": False, "first_name": "X"}})
        api.wait_for(1, chat_id=ME)
        api.say(ME, "hi")
        api.wait_for(2, chat_id=ME)
    assert [i.text for i in talker.received] == ["hi"]
