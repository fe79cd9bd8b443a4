from typing import Any

import pytest

from tests.corpus.compare import judge, match_items, pair_entries
from tests.corpus.naming import name_fit, plain_words
from tests.corpus.tally import draw_table, sum_up, sum_up_by_tag


def item(name: str, grams: float = 100, carbs: float | None = 20, *, stated: bool = True) -> dict[str, Any]:
    return {"said": name, "name": name, "food": name, "grams": grams, "carbs_g": carbs, "stated": stated}


def gold_item(*names: str, grams: list[float] | None = None, **more: Any) -> dict[str, Any]:
    return {"names": list(names), "grams": grams or [90, 110], "carbs_g": [15, 25], "stated": None, **more}


def meal(*items: dict[str, Any], at: str | None = "2026-03-02T07:15:00+01:00", **more: Any) -> dict[str, Any]:
    base = {"kind": "meal", "at": at, "slot": "breakfast", "extras": [], "eaten_in_order": False}
    return {**base, "items": list(items), **more}


def gold_meal(*items: dict[str, Any], **more: Any) -> dict[str, Any]:
    base = {
        "kind": "meal",
        "at": "2026-03-02T07:15:00+01:00",
        "at_tol_min": 5,
        "slot": ["breakfast", "snack"],
    }
    return {**base, "items": list(items), "extras": [], **more}


def verdict_of(gold: list[dict[str, Any]], found: list[dict[str, Any]], asks: list[str] | None = None) -> Any:
    return judge({"entries": gold, "asks": False}, {"entries": found, "asks": asks or []})


def test_right_note_is_fully_right():
    verdict = verdict_of([gold_meal(gold_item("rice"))], [meal(item("brown rice"))])
    assert verdict.wrong == []
    assert verdict.fully_right
    assert (verdict.foods_found, verdict.foods_missed, verdict.foods_invented) == (1, 0, 0)
    assert verdict.grams == verdict.carbs == verdict.times == [True]
    assert verdict.asks_right is True


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (meal(item("rice", grams=111)), "rice: 111 g"),
        (meal(item("rice", carbs=None)), "rice: None g carbs"),
        (meal(item("rice"), at="2026-03-02T07:21:00+01:00"), "meal at"),
        (meal(item("rice"), at=None), "meal at"),
        (meal(item("rice"), slot="dinner"), "meal slot"),
        (meal(item("pasta")), "missed rice"),
        (meal(item("rice"), item("butter")), "made up 'butter'"),
        (meal(item("rice"), extras=[{"name": "vinegar", "grams": None}]), "meal extras"),
    ],
)
def test_each_thing_that_is_wrong_is_said(found: dict[str, Any], said: str):
    verdict = verdict_of([gold_meal(gold_item("rice"))], [found])
    assert any(line.startswith(said) for line in verdict.wrong)


def test_the_same_instant_with_another_offset_is_right():
    verdict = verdict_of([gold_meal(gold_item("rice"))], [meal(item("rice"), at="2026-03-02T06:17:00+00:00")])
    assert verdict.fully_right
    assert verdict.time_errors_min == [2.0]


def test_a_time_made_up_is_wrong_where_none_can_be_known():
    gold = {"kind": "sync", "at": None}
    assert verdict_of([gold], [{"kind": "sync", "at": None}]).fully_right
    assert not verdict_of([gold], [{"kind": "sync", "at": "2026-03-02T07:15:00+01:00"}]).fully_right


def test_missing_and_surplus_entries_count_their_foods():
    missing = verdict_of([gold_meal(gold_item("rice"), gold_item("egg"))], [{"kind": "none", "said": "x"}])
    assert (missing.kinds_right, missing.foods_missed, missing.times) == (False, 2, [False])
    surplus = verdict_of([{"kind": "none"}], [meal(item("rice"))])
    assert (surplus.kinds_right, surplus.foods_invented) == (False, 1)


def test_words_that_were_said_back_are_no_entry():
    assert verdict_of([{"kind": "none"}], []).fully_right
    assert verdict_of([gold_meal(gold_item("rice"))], [meal(item("rice")), {"kind": "none"}]).fully_right


def test_optional_entry_may_be_missing_and_unjudged_items_may_be_any():
    gold = [gold_meal(optional=True) | {"items": None}]
    assert verdict_of(gold, []).fully_right
    assert verdict_of(gold, [meal(item("anything"))]).fully_right


def test_optional_item_may_be_missing():
    gold = gold_meal(gold_item("oats"), gold_item("water", optional=True))
    assert verdict_of([gold], [meal(item("oats"))]).fully_right
    assert verdict_of([gold], [meal(item("oats"), item("water"))]).fully_right


def test_a_dish_may_be_named_or_taken_apart():
    sandwich = gold_item("sandwich", parts=[gold_item("bread"), gold_item("cheese")])
    whole = verdict_of([gold_meal(sandwich)], [meal(item("cheese sandwich"))])
    apart = verdict_of([gold_meal(sandwich)], [meal(item("white bread"), item("cheddar cheese"))])
    assert whole.fully_right
    assert apart.fully_right
    assert (whole.foods_found, apart.foods_found) == (1, 2)


def test_the_better_name_is_matched_first():
    gold = [gold_item("cheese"), gold_item("cream cheese")]
    found = [item("cream cheese"), item("cheese")]
    pairs, missed, invented = match_items(gold, found)
    assert [(g["names"][0], i["name"]) for g, i in pairs] == [
        ("cheese", "cheese"),
        ("cream cheese", "cream cheese"),
    ]
    assert missed == invented == []


def test_entries_are_paired_by_likeness_whatever_their_order():
    wanted = [{"kind": "reading", "mmol": 5.4}, {"kind": "reading", "mmol": 8.1}]
    found = [{"kind": "reading", "mmol": 8.1}, {"kind": "reading", "mmol": 5.4}, {"kind": "sync", "at": None}]
    pairs, missing, surplus = pair_entries(wanted, found)
    assert all(a["mmol"] == b["mmol"] for a, b in pairs)
    assert len(pairs) == 2
    assert missing == []
    assert surplus == [{"kind": "sync", "at": None}]


def test_a_walk_and_its_minutes():
    gold = {"kind": "activity", "what": ["walk", "walking"], "minutes": [9, 11]}
    right = {"kind": "activity", "what": "brisk walk", "minutes": 10, "at": None}
    assert verdict_of([gold], [right]).fully_right
    assert not verdict_of([gold], [right | {"minutes": None}]).fully_right
    assert not verdict_of([gold], [right | {"what": "run"}]).fully_right


def test_question_about_subject_and_days():
    gold = {"kind": "question", "about": ["food"], "subject": ["rice"], "since": ["2026-03-09", "2026-03-05"]}
    right = {
        "kind": "question",
        "about": "food",
        "subject": "white rice",
        "since": "2026-03-09T00:00:00+01:00",
    }
    assert verdict_of([gold], [right]).fully_right
    assert not verdict_of([gold], [right | {"since": None}]).fully_right
    assert not verdict_of([gold], [right | {"about": "habit"}]).fully_right


def test_extras_by_name_and_amount():
    gold = gold_meal(gold_item("rice")) | {"extras": [{"name": "vinegar", "grams": [10, 20]}]}
    right = meal(item("rice"), extras=[{"name": "apple cider vinegar", "grams": 15}])
    assert verdict_of([gold], [right]).fully_right
    assert not verdict_of(
        [gold], [meal(item("rice"), extras=[{"name": "vinegar", "grams": None}])]
    ).fully_right


def test_asking_is_counted_apart():
    verdict = verdict_of([gold_meal(gold_item("rice"))], [meal(item("rice"))], asks=["Raw or cooked?"])
    assert verdict.asks_right is False
    assert verdict.fully_right
    assert judge({"entries": [], "asks": None}, {"entries": [], "asks": ["What?"]}).asks_right is None


def test_plural_accents_and_case_do_not_matter():
    assert plain_words("Crème Brûlée, 2 Cherries; radishes & couscous") == [
        "creme", "brulee", "2", "cherry", "radish", "couscous",
    ]  # fmt: skip


def test_name_fit_prefers_the_name_over_what_was_said():
    found = {"name": "bread", "said": "rye toast", "food": "Bread, rye"}
    assert [name_fit([n], found) for n in ("bread", "rye", "toast", "rye bread", "egg")] == [4, 2, 2, 0, 0]
    assert name_fit(["milk"], {"name": "x", "said": "x", "food": None}) == 0


def test_sums_by_tag():
    good = verdict_of([gold_meal(gold_item("rice"))], [meal(item("rice"))])
    bad = verdict_of([gold_meal(gold_item("rice"))], [meal(item("egg"), item("rice", grams=500))])
    figures = sum_up_by_tag([(["plain"], good), (["hard"], bad)])
    assert figures["all"]["fully_right"] == 0.5
    assert figures["all"]["foods_precision"] == pytest.approx(2 / 3)
    assert figures["all"]["foods_f1"] == pytest.approx(0.8)
    assert figures["hard"]["grams_in_range"] == 0
    assert sum_up([])["foods_f1"] is None
    assert draw_table(figures).splitlines()[1].split()[:3] == ["all", "2", "0.500"]
