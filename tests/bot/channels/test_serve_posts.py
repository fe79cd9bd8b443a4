"""`tablenote serve`: a token made in the chat, readings posted with it, and the curve back in the chat."""

import re
import socket
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx

from tests.bot.channels.serving import run_serve
from tests.bot.web.rig import csv_of, free_port
from tests.botapi import BotApi, Sent

ME = 7
HILL = [5.0] * 6 + [5.4, 6.2, 7.1, 7.9, 8.2, 8.0, 7.6, 7.1, 6.7, 6.3, 6.0, 5.8, 5.6, 5.4, 5.3] + [5.2] * 19


def read_token(message: Sent) -> str:
    found = re.search(r"Bearer ([\w-]{43})\"", message.text)
    assert found is not None
    return found[1]


def is_open(port: int) -> bool:
    """Tell whether the door is open: a start first listens whether another bot has the token."""
    with socket.socket() as knock:
        return knock.connect_ex(("127.0.0.1", port)) == 0


def test_from_token_to_curve(api: BotApi, tmp_path: Path) -> None:
    db, port = tmp_path / "bot.db", free_port()
    now = datetime.now(UTC).replace(second=0, microsecond=0)
    readings = csv_of(now - timedelta(minutes=5 * len(HILL)), HILL)
    with run_serve(api, db, TABLENOTE_PORT=str(port)) as process:
        api.say(ME, "/quiet off")
        api.say(ME, "60 g oats 2 h 45 min ago")
        api.say(ME, "/token")
        token = read_token(api.wait_for(3, chat_id=ME)[-1])
        assert f"http://127.0.0.1:{port}/readings" in api.sent(ME)[-1].text
        headers = {"Authorization": f"Bearer {token}"}
        posted = httpx.post(f"http://127.0.0.1:{port}/readings", content=readings, headers=headers)
        assert posted.json()["stored"] == len(HILL)
        curve = api.wait_for(4, chat_id=ME)[-1]
        assert "evenness" in curve.text
        assert curve.kind == "photo"
        process.terminate()
        assert process.wait(timeout=15) == 0
    for file in (path for path in tmp_path.rglob("*") if path.is_file()):
        assert token.encode() not in file.read_bytes()
    with run_serve(api, db, TABLENOTE_PORT=str(port)):
        api.wait_for(lambda: is_open(port))
        again = httpx.post(f"http://127.0.0.1:{port}/readings", content=readings, headers=headers)
        assert (again.json()["stored"], again.json()["known"]) == (0, len(HILL))
        api.say(ME, "/token off")
        api.wait_for(5, chat_id=ME)
        assert httpx.post(f"http://127.0.0.1:{port}/readings", headers=headers).status_code == 401
