from dataclasses import replace

from bot.entries import Correction
from bot.store import open_store
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, ensure, later, meal

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
    """A file as an older tablenote left it: without both tables and at revision 0001."""
    store = open_store(url)
    with store.begin() as unit:
        ensure(unit)
        add(unit, meal())
    with store._engine.begin() as connection:
        connection.exec_driver_sql("DROP TABLE personal_words")
        connection.exec_driver_sql("DROP TABLE asked")
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0001'")
    store.close()
    again = open_store(url)
    with again.begin() as unit:
        assert len(unit.log.last(TRAM)) == 1
        unit.words.teach(TRAM, "bar", "food", PLATE, NOW)
        assert [w.name for w in unit.words.all(TRAM)] == ["bar"]
    again.close()
