"""What the pictures of a page say, and on which sheets of a PDF it stands."""

import re
from html import unescape

import pypdfium2


def words_of_pictures(page: str, *, rims: bool = True) -> list[set[str]]:
    """Return the words in each picture of a page, drawn light; rims: also those with a rim of paper."""
    if not rims:  # a browser prints these as outlines
        page = re.sub(r'<g class="halo".*?</g>', "", page, flags=re.DOTALL)
    drawn = re.findall(r'<div class="light"[^>]*>(<svg.*?</svg>)', page, re.DOTALL)
    texts = [re.findall(r"<text[^>]*>(.*?)</text>", svg, re.DOTALL) for svg in drawn]
    return [set(unescape(re.sub(r"<[^>]+>", " ", " ".join(each))).split()) for each in texts]


def sheets_of(pdf: bytes) -> list[str]:
    """Return what stands on each page of a PDF without its spaces, which a PDF does not keep surely."""
    sheets = (page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))
    return ["".join(sheet.split()) for sheet in sheets]


def stands_on_one(words: set[str], sheets: list[str]) -> bool:
    """Tell whether all words are on one and the same page."""
    return any(all(word in sheet for word in words) for sheet in sheets)
