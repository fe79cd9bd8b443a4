import os
import struct
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

from matplotlib.figure import Figure
from PIL import Image

from analysis.plots.style import Sheet
from bot.reply.pictures import find_font_cache, to_png


def size_of(png: bytes) -> tuple[int, int]:
    # PNG (W3C): an 8-byte signature, then the IHDR chunk with width and height; from memory.
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    assert png[12:16] == b"IHDR"
    return struct.unpack(">II", png[16:24])


def draw_sheet() -> bytes:
    sheet = Sheet(600)
    sheet.write(50, 100, "porridge", 60)
    return to_png(sheet.figure)


def test_picture_is_1080_px_wide() -> None:
    assert size_of(draw_sheet()) == (1080, 600)


def test_any_figure_is_drawn() -> None:
    assert size_of(to_png(Figure(figsize=(3, 2), dpi=100))) == (300, 200)


def test_what_it_shows_is_kept_in_the_file() -> None:
    for alt in ("porridge, 62 g", "味噌ラーメン −20", ""):
        with Image.open(BytesIO(to_png(Figure(figsize=(3, 2)), alt))) as picture:
            assert picture.text.get("Description", "") == alt


def test_threads_may_draw_at_once() -> None:
    with ThreadPoolExecutor(4) as pool:
        pictures = list(pool.map(lambda _: draw_sheet(), range(12)))
    assert len(set(pictures)) == 1


def test_font_cache_is_left_alone_where_it_works(tmp_path: Path) -> None:
    ours = tmp_path / "ours"
    assert find_font_cache({"MPLCONFIGDIR": "/nowhere"}, ours) is None
    assert find_font_cache({"HOME": str(tmp_path)}, ours) is None
    assert find_font_cache({"HOME": "/nowhere", "XDG_CACHE_HOME": str(tmp_path)}, ours) is None
    assert not ours.exists()


def test_font_cache_moves_where_home_cannot_be_written(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    ours = tmp_path / "ours"
    for environment in ({}, {"HOME": str(blocked)}, {"HOME": str(tmp_path), "XDG_CACHE_HOME": str(blocked)}):
        assert find_font_cache(environment, ours) == ours
        assert find_font_cache(environment, blocked / "ours") is None


def test_service_without_a_home_keeps_its_fonts(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    environment = {k: v for k, v in os.environ.items() if k not in ("MPLCONFIGDIR", "XDG_CACHE_HOME")}
    code = (
        "import pathlib, sys, bot.model.settings\n"
        "bot.model.settings.data_folder = lambda: pathlib.Path(sys.argv[1])\n"
        "from bot.reply.pictures import to_png\n"
        "from analysis.plots.style import Sheet\n"
        "print(len(to_png(Sheet(50).figure)) > 100)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "data")],
        env=environment | {"HOME": str(blocked)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert (done.stdout.strip(), done.stderr) == ("True", "")
    assert list((tmp_path / "data" / "fonts").glob("fontlist*.json"))
