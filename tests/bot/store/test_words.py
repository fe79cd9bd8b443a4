from dataclasses import replace

from sqlalchemy import create_engine

from bot.model.entries import Correction
from bot.store import open_store, schema
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, later, meal

PLATE = meal("porridge", None)


def test_a_word_is_kept_for_its_person_in_lower_case(tx):
    tx.words.teach(TRAM, "Early-shift Breakfast", "meal", PLATE, NOW)
    word = tx.words.get(TRAM, "EARLY-SHIFT breakfast")
    assert (word.name, word.kind, word.meal, word.taught_at) == (
        "early-shift breakfast",
        "meal",
        PLATE,
        NOW,
    )
    assert tx.words.get(DEPOT, "early-shift breakfast") is None


def test_teaching_again_replaces_and_forgetting_drops(tx):
    tx.words.teach(TRAM, "bar", "food", PLATE, NOW)
    other = meal("oats", None)
    tx.words.teach(TRAM, "bar", "meal", other, later(5))
    tx.words.teach(TRAM, "apple", "food", PLATE, NOW)
    assert [(w.name, w.kind, w.meal) for w in tx.words.all(TRAM)] == [
        ("apple", "food", PLATE),
        ("bar", "meal", other),
    ]
    assert tx.words.forget(TRAM, "Bar")
    assert not tx.words.forget(TRAM, "bar")
    assert [w.name for w in tx.words.all(TRAM)] == ["apple"]


def test_a_question_is_put_once_and_keeps_its_choices_and_answer(tx):
    logged = add(tx, meal())
    small, large = (Correction("amount", (replace(PLATE.items[0], grams=g),)) for g in (100.0, 200.0))
    key = tx.asked.put(TRAM, "portion oats", logged.id, [("100 g", small), ("200 g", large)], NOW)
    assert key is not None
    assert tx.asked.put(TRAM, "portion oats", logged.id, [("9 g", small)], later(1)) is None
    other = add(tx, meal(), person=DEPOT)
    assert tx.asked.put(DEPOT, "portion oats", other.id, [("9 g", small)], later(1)) not in (None, key)
    asked = tx.asked.get(key)
    assert asked.choices == (("100 g", small), ("200 g", large))
    assert asked.answer is None
    tx.asked.answer(key, large, later(2))
    assert tx.asked.about(TRAM, "portion oats").answer == large
    assert tx.asked.get(10**12) is None
    assert tx.asked.about(TRAM, "portion rice") is None


def test_stated_amounts_are_those_of_live_meals_since_then(tx):
    item = PLATE.items[0]
    for n, (grams, stated) in enumerate([(60.0, True), (80.0, True), (99.0, False), (0.0, True)]):
        plate = replace(PLATE, at=later(n), items=(replace(item, grams=grams, stated=stated),))
        add(tx, plate, update_id=f"s{n}")
    gone = add(tx, replace(PLATE, at=later(9), items=(replace(item, grams=500.0),)), update_id="gone")
    tx.log.remove(gone.id, update_id="x", at=later(10))
    assert tx.log.stated_grams(TRAM, NOW) == {"Oats": [60.0, 80.0]}
    assert tx.log.stated_grams(TRAM, later(1)) == {"Oats": [80.0]}
    assert tx.log.stated_grams(DEPOT, NOW) == {}


def test_a_database_of_the_first_version_gets_the_new_tables(tmp_path):
    """A file as the first tablenote made it: revision 0001, with a person in it."""
    url = f"sqlite:///{tmp_path}/first.db"
    engine = create_engine(url)
    with engine.begin() as connection:
        schema.upgrade(connection, "0001")
        connection.exec_driver_sql(
            "INSERT INTO people (id, zone, unit, quiet_from, quiet_to, sync_lead_min, memory_min, created_at)"
            f" VALUES ('{TRAM}', 'Europe/Vienna', 'mmol/L', '23:00:00', '06:30:00', 60, 480, 0)"
        )
    engine.dispose()
    store = open_store(url)
    with store.begin() as tx:
        assert tx.people.get(TRAM).zone.key == "Europe/Vienna"
        tx.words.teach(TRAM, "bar", "food", PLATE, NOW)
        assert [w.name for w in tx.words.all(TRAM)] == ["bar"]
    store.close()
