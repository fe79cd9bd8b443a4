"""Posts that are slow, huge, many at once or odd, over real HTTP to the whole bot."""

import logging
import socket
import threading
import time
import zlib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from datetime import timedelta

import httpx
import pytest

from bot.web import body, server
from bot.web import door as web_door
from tests.bot.web.rig import Door, count, csv_of, open_door
from tests.talk import MORNING

BEFORE = MORNING - timedelta(hours=2)
FLAT = [5.0] * 40


@pytest.fixture
def door() -> Iterator[Door]:
    with open_door() as one:
        yield one


@pytest.mark.parametrize("chunked", [False, True])
def test_more_than_20_mb_is_refused(door: Door, chunked: bool) -> None:
    row = b"2026-03-02 05:00,5.0\n"
    large = b"time,glucose mmol/L\n" + row * (20_000_000 // len(row)) + row
    assert len(large) > 20_000_000
    content = (large[i : i + 65_536] for i in range(0, len(large), 65_536)) if chunked else large
    response = door.client.post(
        "/readings", content=content, headers={"Authorization": f"Bearer {door.token}"}
    )
    assert (response.status_code, count(door)) == (413, 0)
    assert "20 MB" in response.json()["detail"]


def talk_raw(door: Door, sent: bytes, *, wait_s: float = 10) -> bytes:
    host, _, port = door.url.removeprefix("http://").partition(":")
    with socket.create_connection((host, int(port)), timeout=wait_s) as line:
        line.sendall(sent)
        answer = b""
        while part := line.recv(65_536):
            answer += part
        return answer


def head(door: Door, length: int) -> bytes:
    return (
        f"POST /readings HTTP/1.1\r\nHost: a\r\nAuthorization: Bearer {door.token}\r\n"
        f"Content-Length: {length}\r\n\r\n"
    ).encode()


def test_a_body_declared_far_too_large_is_refused_at_once(door: Door) -> None:
    answer = talk_raw(door, head(door, 10**12))
    assert answer.startswith(b"HTTP/1.1 413 ")
    assert b"connection: close" in answer.lower()


def test_a_body_that_does_not_come_is_given_up(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(body, "WITHIN_S", 0.2)
    began = time.monotonic()
    assert talk_raw(door, head(door, 100) + b"time").startswith(b"HTTP/1.1 408 ")
    assert time.monotonic() - began < 5
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 200


def test_slow_bodies_of_one_sender_do_not_add_up(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(body, "WITHIN_S", 1.0)
    monkeypatch.setattr(web_door, "TURN_WITHIN_S", 1.0)
    began = time.monotonic()
    with ThreadPoolExecutor(12) as pool:
        answers = list(pool.map(lambda _: talk_raw(door, head(door, 100) + b"time", wait_s=20), range(12)))
    assert {answer[9:12] for answer in answers} <= {b"408", b"429"}
    assert time.monotonic() - began < 8  # one after the other they would take twelve seconds
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 200


@pytest.mark.parametrize("sent", [b"", b"POST /readings HTTP/1.1\r\nHost: a\r\n"])
def test_a_silent_connection_is_closed(door: Door, monkeypatch: pytest.MonkeyPatch, sent: bytes) -> None:
    monkeypatch.setattr(server, "HEADERS_WITHIN_S", 1.0)
    began = time.monotonic()
    assert talk_raw(door, sent) == b""
    assert time.monotonic() - began < 5
    first = b"GET /health HTTP/1.1\r\nHost: a\r\n\r\n"
    assert talk_raw(door, first + sent).count(b"HTTP/1.1 200 ") == 1
    monkeypatch.undo()
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 200


def test_a_hundred_silent_connections_shut_nobody_out_for_long(
    door: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server, "HEADERS_WITHIN_S", 0.5)
    host, _, port = door.url.removeprefix("http://").partition(":")
    with ExitStack() as lines:
        for _ in range(120):
            lines.enter_context(socket.create_connection((host, int(port)), timeout=5))
        until = time.monotonic() + 10
        while httpx.get(f"{door.url}/health").status_code != 200:
            assert time.monotonic() < until
            time.sleep(0.1)


def test_a_slow_body_may_take_longer_than_its_headers(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server, "HEADERS_WITHIN_S", 1.0)
    sent = csv_of(BEFORE, FLAT[:3]).encode()

    def parts() -> Iterator[bytes]:
        yield sent[:20]
        time.sleep(1.5)
        yield sent[20:]

    response = door.client.post(
        "/readings", content=parts(), headers={"Authorization": f"Bearer {door.token}"}
    )
    assert (response.status_code, count(door)) == (200, 3)


def test_a_client_that_leaves_half_way_leaves_nothing(door: Door) -> None:
    host, _, port = door.url.removeprefix("http://").partition(":")
    sent = csv_of(BEFORE, FLAT).encode()
    with socket.create_connection((host, int(port))) as line:
        line.sendall(head(door, len(sent)) + sent[:-10])
    assert door.post(csv_of(BEFORE, FLAT[:3])).json()["known"] == 0
    assert count(door) == 3


def test_two_posts_at_once_are_both_stored_once(door: Door) -> None:
    answers: list[httpx.Response] = []
    sent = csv_of(BEFORE, FLAT[:24])

    def post() -> None:
        with httpx.Client(base_url=door.url) as client:
            headers = {"Authorization": f"Bearer {door.token}", "Idempotency-Key": "k"}
            answers.append(client.post("/readings", content=sent, headers=headers))

    threads = [threading.Thread(target=post) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [a.status_code for a in answers] == [200] * 8
    assert {a.json()["stored"] for a in answers} == {24}
    assert count(door) == 24


# --- what is wrong is said ---------------------------------------------------------------------------


@pytest.mark.parametrize("coding", ["deflate", "br", "gzip, br"])
def test_a_body_packed_in_another_way_is_refused(door: Door, coding: str) -> None:
    response = door.post(zlib.compress(csv_of(BEFORE, FLAT[:3]).encode()), Content_Encoding=coding)
    assert (response.status_code, count(door)) == (415, 0)
    assert "gzip" in response.json()["detail"]


def test_half_a_character_breaks_no_answer(door: Door) -> None:
    row = '{"time": "2026-03-02T05:00:00Z", "glucose \\ud800": 5.4, "pulse \\u0000": "\\udfff"}'
    answer = door.post(f"[{row}]")
    assert answer.status_code == 200
    assert answer.json()["columns"]["glucose"] == "glucose ?"


def test_posts_and_the_chat_go_on_beside_each_other(door: Door) -> None:
    def post(day: int) -> int:
        with httpx.Client(base_url=door.url, timeout=20) as client:
            return sum(
                client.post(
                    "/readings",
                    content=csv_of(BEFORE - timedelta(days=day, minutes=i), FLAT),
                    headers={"Authorization": f"Bearer {door.token}"},
                ).json()["stored"]
                for i in range(5)
            )

    with ThreadPoolExecutor(3) as pool:
        posting = [pool.submit(post, day) for day in (1, 2, 3)]
        for _ in range(20):
            assert "Noted" in door.talk.note("100 g white bread")
            door.talk.tick()
    assert sum(each.result() for each in posting) == count(door)
    assert len(door.talk.meals()) == 20


def test_silent_connections_that_are_renewed_shut_nobody_out_at_all(door: Door) -> None:
    host, _, port = door.url.removeprefix("http://").partition(":")
    lines: list[socket.socket] = []
    try:
        for n in range(300):
            lines.append(socket.create_connection((host, int(port)), timeout=5))
            if n % 2:
                lines[-1].sendall(b"GET /health HTTP/1.1\r\nHost: a\r\n\r\n")  # answered, then kept open
            if n % 20 == 19:
                assert httpx.get(f"{door.url}/health").status_code == 200
                assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 200
    finally:
        for line in lines:
            line.close()


JUNK = [
    b"no HTTP at all\r\n\r\n",
    b"GET /health HTTP/1.1\r\n\r\n",
    b"GET /health HTTP/1.1\r\nHost: a\r\nContent-Length: -1\r\n\r\n",
    b"GET /health HTTP/1.1\r\nHost: a\r\nX: \xff\0\r\n\r\n",
    b"GET /health HTTP/1.1\r\nHost: a\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n",
    b"POST /readings HTTP/1.1\r\nHost: a\r\nAuthorization: Bearer nobodys\r\n\r\n",
    b"DELETE /metrics HTTP/1.1\r\nHost: a\r\n\r\n",
    b"\x16\x03\x01\x02\0\x01\0\x01\xfc\x03\x03" + bytes(200),
]


def test_strangers_cannot_fill_the_log(door: Door, caplog: pytest.LogCaptureFixture) -> None:
    host, _, port = door.url.removeprefix("http://").partition(":")
    with caplog.at_level(logging.INFO):
        for junk in JUNK * 3:
            with socket.create_connection((host, int(port)), timeout=5) as line:
                line.sendall(junk)
                line.shutdown(socket.SHUT_WR)
                while line.recv(4096):
                    pass
        assert door.client.get("/health").status_code == 200
    ours = [record for record in caplog.records if not record.name.startswith("http")]
    assert ours == []
