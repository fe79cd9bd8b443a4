import numpy as np
import pytest

from analysis.plots.labels import Box, place

FRAME = Box(100, 50, 900, 560)
NOTHING = np.empty((0, 2))


def inside(box: Box, frame: Box) -> bool:
    return (
        box.left >= frame.left
        and box.right <= frame.right
        and box.top >= frame.top
        and box.bottom <= frame.bottom
    )


@pytest.mark.parametrize("seed", range(25))
def test_labels_stay_in_the_frame_and_apart(seed: int) -> None:
    rng = np.random.default_rng(seed)
    # All want to stand at one point, or anywhere, even outside the frame.
    corner = rng.uniform((0, 0), (1100, 700))
    taken: list[Box] = []
    for _ in range(6):
        anchors = (corner + rng.normal(0, 30, 2)).reshape(1, 2)
        lines = rng.uniform((100, 50), (1000, 610), (40, 2))
        box = place(rng.uniform(60, 330), 42, anchors, FRAME, taken, lines)
        assert inside(box, FRAME)
        assert not any(box.meets(other) for other in taken)
        taken.append(box)


def test_free_label_stands_at_its_anchor() -> None:
    box = place(100, 40, np.array([[500, 300]]), FRAME, [], NOTHING, gap=20)
    away = max(box.top - 300, 300 - box.bottom, box.left - 500, 500 - box.right)
    assert 14 <= away <= 28


def test_label_leaves_a_line_clear() -> None:
    line = np.column_stack([np.arange(100, 1000, 12.0), np.full(75, 260.0)])
    box = place(100, 40, np.array([[500, 300]]), FRAME, [], line)
    assert not (box.top <= 260 <= box.bottom)


def test_label_may_stand_at_any_of_several_anchors() -> None:
    blocked = Box(100, 50, 450, 560)
    box = place(100, 40, np.array([[120, 300], [980, 300]]), FRAME, [blocked], NOTHING)
    assert box.right > 900


def test_full_frame_is_an_error() -> None:
    with pytest.raises(ValueError, match="no room"):
        place(100, 40, np.array([[500, 300]]), FRAME, [FRAME], NOTHING)
    with pytest.raises(ValueError, match="no room"):
        place(1000, 40, np.array([[500, 300]]), FRAME, [], NOTHING)
