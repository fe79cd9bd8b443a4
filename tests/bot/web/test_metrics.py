"""Figures for Prometheus: who may read them, what is counted, and that nobody can be told from them."""

import asyncio
from pathlib import Path
from unittest.mock import create_autospec

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families

from bot.model.errors import BadSetting
from bot.model.settings import load_settings
from bot.web.buckets import Buckets
from bot.web.desk import Desk
from bot.web.door import build_door
from tests.bot.channels.serving import run_serve
from tests.bot.web.rig import free_port
from tests.botapi import BotApi, Fault

TOKEN = "a-token-of-its-own-to-read"


def ask(metrics_for: str, came_from: str = "127.0.0.1", **headers: str) -> int:
    app = build_door(create_autospec(Desk), Buckets(), metrics_for=metrics_for)

    async def get() -> int:
        transport = httpx.ASGITransport(app, client=(came_from, 1))
        async with httpx.AsyncClient(transport=transport, base_url="http://localhost") as client:
            given = {name.replace("_", "-"): value.encode("latin-1") for name, value in headers.items()}
            answer = await client.get("/metrics", headers=given)
        assert answer.is_success == ("tablenote_turn_seconds" in answer.text)
        return answer.status_code

    return asyncio.run(get())


def test_this_machine_alone_may_read_them() -> None:
    assert ask("") == 404
    assert ask("local") == ask("local", "::1") == 200
    assert ask("local", "203.0.113.5") == 404
    assert ask("local", Host="tablenote.example") == 404
    for header in (
        "X_Forwarded_For",
        "X_Forwarded_Host",
        "Forwarded",
        "X_Real_IP",
        "Via",
        "CF_Connecting_IP",
    ):  # a proxy here asks for somebody elsewhere
        assert ask("local", **{header: "203.0.113.5"}) == 404


def test_or_who_brings_the_token() -> None:
    assert ask(TOKEN, "203.0.113.5", Authorization=f"Bearer {TOKEN}") == 200
    for said in ("", f"Bearer {TOKEN}x", f"Basic {TOKEN}", "Bearer", "Bearer é"):
        assert ask(TOKEN, Authorization=said) == 401
    assert ask(TOKEN) == 401


@pytest.mark.parametrize("value", ["yes", "localhost", "short-token", "a token with some spaces in it"])
def test_a_token_that_is_easily_guessed_is_refused(value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TABLENOTE_METRICS", value)
    with pytest.raises(BadSetting, match="TABLENOTE_METRICS"):
        load_settings()


def test_what_a_talk_comes_to_is_counted_and_names_nobody(tmp_path: Path) -> None:
    port = str(free_port())
    with BotApi() as api, run_serve(api, tmp_path / "bot.db", TABLENOTE_METRICS="local", TABLENOTE_PORT=port):
        api.fault("sendMessage", Fault("500"))
        api.say(70707, "two plates of semolina")
        [reply] = api.wait_for(1, chat_id=70707)
        api.press(70707, reply, reply.labels[0])
        api.document(
            70707, "marzipan.csv", b"time,glucose mmol/L\n2026-03-02 8:00,5.1\n2026-03-02 8:05,5.2\n"
        )
        texts: list[str] = []

        def all_is_done() -> bool:
            texts.append(httpx.get(f"http://127.0.0.1:{port}/metrics").text)
            done = ("turn_seconds_count 3.0", "messages_waiting 0.0", "updates_waiting 0.0")
            return all(f"tablenote_{line}" in texts[-1] for line in done)

        api.wait_for(all_is_done, timeout=20)
        text = texts[-1]
    found = {
        (sample.name, *sample.labels.values()): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }
    assert [found["tablenote_updates_total", kind] for kind in ("text", "press", "file")] == [1, 1, 1]
    assert found["tablenote_turn_seconds_count",] == 3
    assert found["tablenote_deliveries_total", "sent"] >= 2
    assert found["tablenote_delivery_retries_total",] == 1
    assert found["tablenote_files_read_total", "readings"] >= 1
    assert found["tablenote_updates_waiting",] == 0
    assert found["tablenote_log_records_total", "WARNING"] >= 1
    assert found["process_resident_memory_bytes",] > 1e6
    for word in ("70707", "semolina", "marzipan"):
        assert word not in text
