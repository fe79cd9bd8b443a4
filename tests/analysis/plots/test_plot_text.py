import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from analysis.plots.style import Sheet
from analysis.plots.text import name_of, plain


@pytest.mark.parametrize(
    ("said", "drawn"),
    [
        ("crème brûlée, żurek, phở, борщ", "crème brûlée, żurek, phở, борщ"),
        ("🍕🍕 pizza 🍕", "pizza"),
        ("keycap 1️⃣ and family 👨‍👩‍👧", "keycap 1 and family"),
        ("tea\n\twith\u200b milk\x07", "tea with milk"),
        ("20 °C soup → 5 %", "20 °C soup → 5 %"),
        ("חלב 1%", "חלב 1%"),
        ("خبز مع زبدة", "خبز مع زبدة"),
        ("白米饭 150 g, 味噌汁, 오이 샐러드", "白米饭 150 g, 味噌汁, 오이 샐러드"),
        ("", ""),
    ],
)
def test_plain(said: str, drawn: str) -> None:
    assert plain(said) == drawn


def test_letters_without_a_glyph_become_one_dot() -> None:
    # Egyptian hieroglyphs and a private character: no font that we ask has them.
    assert plain("a \U00013000\U00013001\U00013002 b\ue000") == "a · b·"


def test_name_falls_back_to_the_slot() -> None:
    assert name_of("\U00013000", "lunch") == "Lunch"
    assert name_of("  ", "snack") == "Snack"


@pytest.mark.parametrize(
    "text", ["白米饭 150 g", "오이 샐러드", "नमकीन", "ข้าว", "🥑", "$x_1$ \\frac{", "\ud83d"]
)
def test_anything_can_be_drawn_without_a_warning(text: str) -> None:
    # A glyph that is missing would be a UserWarning, and warnings are errors here.
    sheet = Sheet(200)
    sheet.write(50, 100, plain(text), 40)
    FigureCanvasAgg(sheet.figure).draw()


@pytest.mark.parametrize("lines", [1, 2, 3])
@pytest.mark.parametrize(
    "text",
    [
        "toast",
        "two slices of rye toast with butter, a boiled egg, tomatoes and a glass of juice",
        "x" * 200,
        "w " * 90,
        "لحم مع أرز " * 12,
    ],
)
def test_wrapped_lines_fit(text: str, lines: int) -> None:
    sheet = Sheet(10)
    rows = sheet.wrap(plain(text), 700, 50, lines)
    assert 1 <= len(rows) <= lines
    assert all(sheet.size_of(row, 50)[0] <= 700 for row in rows)
    whole = " ".join(rows) == plain(text) or "".join(rows) == plain(text)
    assert whole or rows[-1].endswith("…")


def test_nothing_wraps_to_nothing() -> None:
    assert Sheet(10).wrap("", 700, 50, 2) == []
