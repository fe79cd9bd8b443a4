"""A photo's bytes -> a small JPEG without what cameras write beside it, such as where it was taken."""

import io

from PIL import Image, ImageOps

MOST_PIXELS = 30_000_000
LONGEST_SIDE = 1280
_QUALITY = 80
_BEGINNINGS = (b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")


def is_photo(data: bytes) -> bool:
    """Tell whether bytes say that they are a photo, whatever the file is called."""
    return data.startswith(_BEGINNINGS) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP")


def shrink_photo(data: bytes, longest: int = LONGEST_SIDE) -> bytes | None:
    """Return a photo as a JPEG of at most so many pixels a side, upright; None where it cannot be opened."""
    try:
        with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as photo:
            if photo.width * photo.height > MOST_PIXELS:
                return None
            photo.draft("RGB", (longest, longest))  # a large JPEG is not decoded in full
            upright = ImageOps.exif_transpose(photo).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):  # what damaged files raise
        return None
    upright.thumbnail((longest, longest))
    small = io.BytesIO()
    upright.save(small, "JPEG", quality=_QUALITY)
    return small.getvalue()
