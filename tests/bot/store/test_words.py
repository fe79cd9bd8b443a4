from dataclasses import replace

from sqlalchemy import create_engine

from bot.model.entries import Correction
from bot.store import open_store, schema
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, later, meal

PLATE = meal("porridge", None)


def test_a_word_is_kept_for_its_person_in_lower_case(unit):
    unit.words.teach(TRAM, "Early-shift Breakfast", "meal", PLATE, NOW)
    word = unit.words.get(TRAM, "EARLY-SHIFT breakfast")
    assert (word.name, word.kind, word.meal, word.taught_at) == (
        "early-shift breakfast",
        "meal",
        PLATE,
        NOW,
    )
    assert unit.words.get(DEPOT, "early-shift breakfast") is None


def test_teaching_again_replaces_and_forgetting_drops(unit):
    unit.words.teach(TRAM, "bar", "food", PLATE, NOW)
    other = meal("oats", None)
    unit.words.teach(TRAM, "bar", "meal", other, later(5))
    unit.words.teach(TRAM, "apple", "food", PLATE, NOW)
    assert [(w.name, w.kind, w.meal) for w in unit.words.all(TRAM)] == [
        ("apple", "food", PLATE),
        ("bar", "meal", other),
    ]
    assert unit.words.forget(TRAM, "Bar")
    assert not unit.words.forget(TRAM, "bar")
    assert [w.name for w in unit.words.all(TRAM)] == ["apple"]


def test_a_question_is_put_once_and_keeps_its_choices_and_answer(unit):
    logged = add(unit, meal())
    small, large = (Correction("amount", (replace(PLATE.items[0], grams=g),)) for g in (100.0, 200.0))
    key = unit.asked.put(TRAM, "portion oats", logged.id, [("100 g", small), ("200 g", large)], NOW)
    assert key is not None
    assert unit.asked.put(TRAM, "portion oats", logged.id, [("9 g", small)], later(1)) is None
    other = add(unit, meal(), person=DEPOT)
    assert unit.asked.put(DEPOT, "portion oats", other.id, [("9 g", small)], later(1)) not in (None, key)
    asked = unit.asked.get(key)
    assert asked.choices == (("100 g", small), ("200 g", large))
    assert asked.answer is None
    unit.asked.answer(key, large, later(2))
    assert unit.asked.about(TRAM, "portion oats").answer == large
    assert unit.asked.get(10**12) is None
    assert unit.asked.about(TRAM, "portion rice") is None


def test_stated_amounts_are_those_of_live_meals_since_then(unit):
    item = PLATE.items[0]
    for n, (grams, stated) in enumerate([(60.0, True), (80.0, True), (99.0, False), (0.0, True)]):
        plate = replace(PLATE, at=later(n), items=(replace(item, grams=grams, stated=stated),))
        add(unit, plate, update_id=f"s{n}")
    gone = add(unit, replace(PLATE, at=later(9), items=(replace(item, grams=500.0),)), update_id="gone")
    unit.log.remove(gone.id, update_id="x", at=later(10))
    assert unit.log.stated_grams(TRAM, NOW) == {"Oats": [60.0, 80.0]}
    assert unit.log.stated_grams(TRAM, later(1)) == {"Oats": [80.0]}
    assert unit.log.stated_grams(DEPOT, NOW) == {}


def test_a_database_of_the_first_version_gets_the_new_tables(url):
    """A file as the first tablenote made it: revision 0001, with a person in it."""
    engine = create_engine(url)
    with engine.begin() as connection:
        schema.upgrade(connection, "0001")
        connection.exec_driver_sql(
            "INSERT INTO people (id, zone, unit, quiet_from, quiet_to, sync_lead_min, memory_min, created_at)"
            f" VALUES ('{TRAM}', 'Europe/Vienna', 'mmol/L', '23:00:00', '06:30:00', 60, 480, 0)"
        )
    engine.dispose()
    store = open_store(url)
    with store.begin() as unit:
        assert unit.people.get(TRAM).zone.key == "Europe/Vienna"
        unit.words.teach(TRAM, "bar", "food", PLATE, NOW)
        assert [w.name for w in unit.words.all(TRAM)] == ["bar"]
    store.close()
