"""Readings posted over real HTTP to the whole bot."""

import gzip
import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import httpx
import pytest

from bot.model.messages import Attachment, Post
from bot.talk.posted_readings import KEEP_ANSWERS
from tests.bot.web.rig import Door, count, csv_of, make_token, open_door
from tests.talk import MORNING, talking

BEFORE = MORNING - timedelta(hours=2)
FLAT = [5.0] * 40
HILL = [5.0] * 6 + [5.4, 6.2, 7.1, 7.9, 8.2, 8.0, 7.6, 7.1, 6.7, 6.3, 6.0, 5.8, 5.6, 5.4, 5.3] + [5.2] * 19


@pytest.fixture
def door() -> Iterator[Door]:
    with open_door() as one:
        yield one


def snapshot(door: Door) -> list[str]:
    """Return all that the database holds, as SQL."""
    with door.talk.app.store._engine.connect() as connection:  # there is no other way to see everything
        raw = connection.connection.driver_connection
        assert raw is not None
        return list(raw.iterdump())


def test_readings_are_stored_and_the_answer_is_that_of_import(door: Door) -> None:
    response = door.post(csv_of(BEFORE, [5.0, 5.1, 5.2]) + "\nsoon,5.0")
    assert response.status_code == 200
    assert response.json() == {
        "stored": 3,
        "known": 0,
        "flagged": 0,
        "skipped": 1,
        "first": "2026-03-02T04:00:00Z",
        "last": "2026-03-02T04:10:00Z",
        "unit": "mmol/L",
        "columns": {"time": "time", "glucose": "glucose mmol/L", "separator": "comma"},
        "warnings": ["line 5: “soon” is not a date with a time"],
    }
    assert count(door) == 3


def test_json_in_its_usual_forms_and_packed_bodies(door: Door) -> None:
    rows = [{"at": f"2026-03-02T05:{5 * n:02}:00+01:00", "mmol": 5.0 + n / 10} for n in range(6)]
    lines = "\n".join(json.dumps(row) for row in rows)
    bodies = [json.dumps(rows), json.dumps({"unit": "mmol/L", "readings": rows}), lines]
    for sent in (*(text.encode() for text in bodies), gzip.compress(bodies[0].encode())):
        answer = door.post(sent, Content_Type="application/json").json()
        assert (answer["stored"] + answer["known"], answer["unit"]) == (6, "mmol/L")
    assert count(door) == 6


def test_the_same_again_changes_nothing(door: Door) -> None:
    sent = csv_of(BEFORE, FLAT[:20])
    first = door.post(sent).json()
    before = snapshot(door)
    again = door.post(sent).json()
    assert (first["stored"], first["known"]) == (20, 0)
    assert (again["stored"], again["known"]) == (0, 20)
    assert snapshot(door) == before
    assert door.sent == []


def test_overlapping_posts_add_what_is_new(door: Door) -> None:
    door.post(csv_of(BEFORE, FLAT[:10]))
    answer = door.post(csv_of(BEFORE + timedelta(minutes=25), FLAT[:10])).json()
    assert (answer["stored"], answer["known"], count(door)) == (5, 5, 15)


def test_a_post_with_a_key_gets_the_same_answer_again(door: Door) -> None:
    sent = csv_of(BEFORE, FLAT[:5])
    first = door.post(sent, Idempotency_Key="walk-7")
    before = snapshot(door)
    again = door.post(sent, Idempotency_Key="walk-7")
    assert (first.json()["stored"], again.json()) == (5, first.json())
    assert snapshot(door) == before
    other = door.post(csv_of(BEFORE, FLAT[:6]), Idempotency_Key="walk-7")
    assert (other.status_code, count(door)) == (422, 5)
    assert "Idempotency-Key" in other.json()["detail"]
    door.talk.clock.move_to(door.talk.clock.now() + KEEP_ANSWERS + timedelta(seconds=1))
    door.post(csv_of(BEFORE, FLAT[:6]), Idempotency_Key="walk-8")
    assert door.post(sent, Idempotency_Key="walk-7").json()["known"] == 5, "after a day the key is free again"


def test_a_unit_that_the_body_does_not_say(door: Door) -> None:
    values = "\n".join(["time,value"] + [f"2026-03-02 05:{5 * n:02},{100 + n}" for n in range(6)])
    headers = {"Authorization": f"Bearer {door.token}"}
    answer = door.client.post("/readings?unit=mg/dL", content=values, headers=headers)
    assert (answer.status_code, answer.json()["unit"]) == (200, "mg/dL")
    with door.talk.app.store.read() as tx:
        (first, *_) = tx.readings.between("local", None, None)
    assert first.mmol == pytest.approx(100 / 18.016, abs=0.01)  # molar mass of glucose 180.16 g/mol
    assert first.at is not None
    assert first.at.isoformat() == "2026-03-02T04:00:00+00:00", "a time without zone is in the person's own"
    for wrong in ("?unit=stones", "?unit=", "?unit=mg/dL&unit=mmol/L"):
        refused = door.client.post(f"/readings{wrong}", content=values, headers=headers)
        assert (refused.status_code, refused.headers["content-type"]) == (400, "application/problem+json")


def test_only_markers_out_of_range_is_no_error(door: Door) -> None:
    answer = door.post("time,glucose mmol/L\n2026-03-02 05:00,LO\n2026-03-02 05:05,LO\n")
    assert (answer.status_code, answer.json()["flagged"], answer.json()["first"]) == (
        200,
        2,
        "2026-03-02T04:00:00Z",
    )
    assert (answer.json()["stored"], answer.json()["known"]) == (0, 0), "they are flags, not values"


def test_a_meal_that_can_be_scored_now_is_told_in_the_chat(door: Door) -> None:
    door.talk.at("08:00").say("60 g oats at 7:30")
    assert door.post(csv_of(BEFORE, [5.0] * 24)).json()["stored"] == 24
    assert door.sent == []
    door.talk.at("10:00")
    door.post(csv_of(MORNING, HILL[:37]))
    (curve,) = door.sent
    assert "evenness" in curve.text
    assert curve.picture is not None
    assert curve.person == "local"
    with door.talk.app.store.read() as tx:
        assert [m.id for m in tx.outbox.recent("local", 1)] == [curve.id]
        assert "check" not in {r.kind for r in tx.reminders.pending("local")}, "it has become needless"


def test_a_caution_comes_with_the_curve_that_calls_for_it(door: Door) -> None:
    door.talk.at("08:00").say("60 g oats at 7:30")
    door.talk.at("10:00")
    door.post(csv_of(MORNING, [v + 4 if v > 7 else v for v in HILL[:37]]))
    caution, curve = door.sent
    assert "high for someone without diabetes" in caution.text
    assert "evenness" in curve.text


def test_nothing_is_said_in_quiet_hours(door: Door) -> None:
    door.talk.at("21:50").say("150 g cooked rice at 21:00")
    door.talk.at("23:30")
    door.post(csv_of(MORNING.replace(hour=20, minute=30), HILL[:36]))
    assert door.sent == []
    assert "evenness" in door.talk.say("how was dinner?")


def test_a_file_in_the_chat_and_a_post_know_each_other(door: Door) -> None:
    sent = csv_of(BEFORE, FLAT[:12])
    door.talk.send(file=Attachment("a.csv", sent.encode()))
    assert door.post(sent).json()["known"] == 12


# --- who may ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("given", [None, "", "Bearer", "Bearer guess", "Basic {token}", "{token}"])
def test_without_a_token_there_is_nothing(door: Door, given: str | None) -> None:
    headers = {} if given is None else {"Authorization": given.format(token=door.token)}
    response = door.client.post("/readings", content=csv_of(BEFORE, FLAT[:3]), headers=headers)
    assert (response.status_code, count(door)) == (401, 0)
    assert response.headers["www-authenticate"] == "Bearer"
    assert "/token" in response.json()["detail"]


def test_a_token_ends_when_its_person_says_so(door: Door) -> None:
    door.talk.say("/token off")
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 401
    first, second = make_token(door.talk), make_token(door.talk)
    door.token = first
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 401
    door.token = second
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 200


def test_erased_or_shut_out_people_post_nothing(door: Door) -> None:
    door.served = False
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 401
    door.served = True
    with door.talk.app.store.begin() as tx:
        tx.people.erase("local")
    assert door.post(csv_of(BEFORE, FLAT[:3])).status_code == 401
    assert door.talk.app.take_post(Post("local", csv_of(BEFORE, FLAT[:3]).encode())) is None, (
        "erased meanwhile"
    )
    assert count(door) == 0


def test_the_token_is_shown_once_and_kept_nowhere(tmp_path: Path) -> None:
    file = tmp_path / "a.db"
    with open_door(f"sqlite:///{file}") as door:
        door.post(csv_of(BEFORE, FLAT[:3]))
        said = door.talk.heard[-1]
        assert said.shown.count(door.token) == 2
        assert "curl" in said.shown
        assert "http://127.0.0.1:8080/readings" in said.shown
        with door.talk.app.store.read() as tx:
            (kept,) = tx.outbox.recent("local", 1)
        assert (kept.text, kept.once) == (said.text, "")
        for part in tmp_path.iterdir():
            assert door.token.encode() not in part.read_bytes()


def test_token_in_words(door: Door) -> None:
    assert "/token off" in door.talk.say("/token please")
    assert "has ended" in door.talk.say("/token off")
    assert "no token" in door.talk.say("/token off")


# --- how much and how often --------------------------------------------------------------------------


def test_too_many_posts_are_held_off_and_allowed_again(door: Door) -> None:
    with open_door(burst=2) as narrow:
        sent = csv_of(BEFORE, FLAT[:3])
        assert [narrow.post(sent).status_code for _ in range(3)] == [200, 200, 429]
        response = narrow.post(sent)
        wait_s = int(response.headers["retry-after"])
        assert wait_s == 2
        narrow.talk.clock.move_to(narrow.talk.clock.now() + timedelta(seconds=wait_s))
        assert narrow.post(sent).status_code == 200
        assert narrow.client.get("/health").status_code == 200


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        (b"", "empty"),
        (b"hello", "no readings"),
        (b"\x89PNG\r\n\x1a\n" + bytes(100), "a picture"),
        (b"time,glucose mmol/L\n2031-01-01 07:00,5.0", "future"),
    ],
)
def test_a_body_without_readings_is_explained(door: Door, sent: bytes, says: str) -> None:
    response = door.post(sent)
    assert response.status_code == 422
    assert response.headers["content-type"] == "application/problem+json"
    problem = response.json()
    assert problem["status"] == 422
    assert says in problem["detail"]
    assert count(door) == 0


@pytest.mark.parametrize("key", ["", "two words", "x" * 201])
def test_a_key_that_makes_no_sense_is_refused(door: Door, key: str) -> None:
    assert door.post(csv_of(BEFORE, FLAT[:3]), Idempotency_Key=key).status_code == 400


def test_a_form_is_refused(door: Door) -> None:
    files = {"file": ("a.csv", csv_of(BEFORE, FLAT[:3]))}
    response = door.client.post("/readings", files=files, headers={"Authorization": f"Bearer {door.token}"})
    assert (response.status_code, count(door)) == (415, 0)


def test_what_curl_declares_by_itself_is_taken(door: Door) -> None:
    sent = csv_of(BEFORE, FLAT[:3])
    assert door.post(sent, Content_Type="application/x-www-form-urlencoded").status_code == 200


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [("GET", "/readings", 405), ("DELETE", "/health", 405), ("GET", "/", 404), ("POST", "/readings/", 404)],
)
def test_other_ways_and_paths_are_answered_in_json(door: Door, method: str, path: str, status: int) -> None:
    response = door.client.request(method, path)
    assert response.status_code == status
    assert response.headers["content-type"] == "application/problem+json"
    assert response.json()["status"] == status
    if status == 405:
        assert response.headers["allow"]


def test_health_and_description(door: Door) -> None:
    assert door.client.get("/health").json() == {"status": "ok"}
    described = door.client.get("/openapi.json").json()
    assert set(described["paths"]) == {"/readings", "/health", "/openapi.json"}


def test_a_database_that_fails_is_503_and_later_all_is_well(tmp_path: Path) -> None:
    file = tmp_path / "a.db"
    with open_door(f"sqlite:///{file}") as door:
        sent = csv_of(BEFORE, FLAT[:3])
        with door.talk.app.store._engine.connect() as connection:
            connection.exec_driver_sql("ALTER TABLE readings RENAME TO hidden")
        response = door.post(sent)
        assert (response.status_code, response.headers["retry-after"]) == (503, "60")
        assert "readings" not in json.dumps(response.json())
        with door.talk.app.store._engine.connect() as connection:
            connection.exec_driver_sql("ALTER TABLE hidden RENAME TO readings")
        assert door.post(sent).json()["stored"] == 3


def test_a_fault_of_ours_is_500_without_its_details(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    def break_down(_: Post) -> None:
        raise RuntimeError("inner workings")

    monkeypatch.setattr(door.talk.app, "take_post", break_down)
    response = door.post(csv_of(BEFORE, FLAT[:3]))
    assert response.status_code == 500
    assert response.json()["status"] == 500
    assert "inner" not in response.text


def test_tokens_work_in_the_terminal_too() -> None:
    with talking() as talk:
        token = make_token(talk)
        assert talk.app.find_poster(token) == "local"


def test_a_body_that_can_be_read_in_two_ways_asks_and_is_answered_in_the_address(door: Door) -> None:
    rows = [f"03/02/2026 0{h}:{m:02d};5.{m % 10};7.{m % 7}" for h in (4, 5, 6) for m in range(0, 60, 5)]
    body = "\n".join(["time;glucose A mmol/L;glucose B mmol/L", *rows])
    headers = {"Authorization": f"Bearer {door.token}"}

    def post(**told: str) -> httpx.Response:
        return door.client.post("/readings", content=body, headers=headers, params=told)

    asked = post()
    assert asked.status_code == 422
    assert (asked.json()["about"], asked.json()["options"]) == ("day_first", ["2026-02-03", "2026-03-02"])
    asked = post(day_first="false")
    assert (asked.status_code, asked.json()["about"]) == (422, "column")
    assert asked.json()["options"] == ["glucose A mmol/L", "glucose B mmol/L"]
    answer = post(column="3", day_first="false")
    assert (answer.status_code, answer.json()["stored"], answer.json()["first"][:10]) == (
        200,
        36,
        "2026-03-02",
    )
    for wrong in ({"day_first": "perhaps"}, {"column": ""}, {"colour": "red"}):
        assert post(**wrong).status_code == 400
    twice = door.client.post("/readings?day_first=true&day_first=false", content=body, headers=headers)
    assert twice.status_code == 400
