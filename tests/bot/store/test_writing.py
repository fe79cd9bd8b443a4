"""Who is in a hurry gets the writer's place before those who waited longer."""

import threading
import time

from bot.store.writing import WritersPlace


def test_those_in_a_hurry_come_first_and_a_thread_may_take_it_twice() -> None:
    place, order = WritersPlace(), []

    def write(name: str, *, in_a_hurry: bool) -> None:
        with place.taken(in_a_hurry=in_a_hurry):
            order.append(name)

    with place.taken(), place.taken():
        waiting = [threading.Thread(target=write, args=(n,), kwargs={"in_a_hurry": False}) for n in "abc"]
        waiting.append(threading.Thread(target=write, args=("hurried",), kwargs={"in_a_hurry": True}))
        for thread in waiting:
            thread.start()
            time.sleep(0.02)
        assert order == []
    for thread in waiting:
        thread.join(timeout=10)
    assert order[0] == "hurried"
    assert sorted(order[1:]) == ["a", "b", "c"]


def test_the_place_is_free_after_a_failure() -> None:
    place = WritersPlace()
    try:
        with place.taken(in_a_hurry=True):
            raise ValueError
    except ValueError:
        pass
    done = threading.Thread(target=lambda: place.taken().__enter__())
    done.start()
    done.join(timeout=10)
    assert not done.is_alive()
