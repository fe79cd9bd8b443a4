"""The check of layouts finds what it is there to find."""

from collections.abc import Callable

import pytest
from matplotlib.figure import Figure

from analysis.plots.style import HAIRLINE, RISE, Sheet

Check = Callable[[Figure], None]


def sheet_with_words(*, halo: bool = False) -> Sheet:
    sheet = Sheet(300)
    sheet.write(200, 150, "some words that are long", 42, halo=halo)
    return sheet


def test_a_line_through_words(check_layout: Check) -> None:
    for halo, color, fails in ((False, RISE, True), (True, RISE, False), (False, HAIRLINE, False)):
        sheet = sheet_with_words(halo=halo)
        sheet.line((100, 138), (900, 138), color, 6)
        if fails:
            with pytest.raises(AssertionError, match="goes through 'some words"):
                check_layout(sheet.figure)
        else:
            check_layout(sheet.figure)
    under = sheet_with_words()
    under.line((100, 200), (900, 200), RISE, 6)
    check_layout(under.figure)


@pytest.mark.parametrize(("x", "y", "match"), [(300, 138, "lies on a mark"), (-20, 50, "leaves the page")])
def test_a_mark_in_words_or_off_the_page(x: float, y: float, match: str, check_layout: Check) -> None:
    sheet = sheet_with_words(halo=True)
    sheet.dot(x, y, 20, RISE)
    with pytest.raises(AssertionError, match=match):
        check_layout(sheet.figure)


def test_words_over_words_or_off_the_page(check_layout: Check) -> None:
    sheet = sheet_with_words()
    sheet.write(260, 160, "others", 42)
    with pytest.raises(AssertionError, match="meets"):
        check_layout(sheet.figure)
    off = Sheet(300)
    off.write(1000, 100, "words", 42)
    with pytest.raises(AssertionError, match="leaves the page"):
        check_layout(off.figure)
