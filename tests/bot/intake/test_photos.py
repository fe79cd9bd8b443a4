"""Photos: made small and upright, and bare of what a camera writes beside them."""

import io

import pytest
from PIL import Image

from bot.intake.photos import LONGEST_SIDE, is_photo, shrink_photo

ORIENTATION, GPS = 0x0112, 0x8825


def photo(width: int, height: int, kind: str = "JPEG", **more: object) -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (width, height), "orange").save(data, kind, **more)
    return data.getvalue()


def opened(data: bytes | None) -> Image.Image:
    assert data is not None
    return Image.open(io.BytesIO(data))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_any_usual_kind_becomes_a_small_jpeg(kind: str) -> None:
    data = photo(4000, 3000, kind)
    assert is_photo(data)
    assert (opened(shrink_photo(data)).format, opened(shrink_photo(data)).size) == (
        "JPEG",
        (LONGEST_SIDE, 960),
    )


def test_a_small_one_keeps_its_size() -> None:
    assert opened(shrink_photo(photo(300, 200))).size == (300, 200)


def test_where_it_was_taken_is_dropped_and_it_stands_upright() -> None:
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif.get_ifd(GPS)[2] = (48.0, 12.0, 30.0)
    data = photo(300, 200, exif=exif)
    assert opened(data).getexif().get_ifd(GPS)
    small = opened(shrink_photo(data))
    assert small.size == (200, 300)
    assert dict(small.getexif()) == {}


def test_what_is_see_through_becomes_opaque() -> None:
    data = io.BytesIO()
    Image.new("RGBA", (20, 20), (255, 0, 0, 128)).save(data, "PNG")
    assert opened(shrink_photo(data.getvalue())).mode == "RGB"


@pytest.mark.parametrize("cut", [4, 20, 200])
def test_a_damaged_one_is_none(cut: int) -> None:
    assert shrink_photo(photo(300, 200)[:cut]) is None


def test_a_huge_one_is_none() -> None:
    assert shrink_photo(photo(30_001, 1000, "PNG")) is None


def test_a_table_is_no_photo() -> None:
    assert not is_photo(b"time,glucose\n2026-03-02 07:00,5.1\n")
    assert shrink_photo(b"GIF89a") is None
