"""Some bars of an arrangement engraved: a whole long tune would be slow to make and to look at."""

from harmonykit.draw.staves.engraving import engrave
from harmonykit.score.musicxml_out import write_musicxml
from harmonykit.score.score import Score

BARS = 16
WIDE_MM = 174.0


def staff_of(score: Score, first: int, wide_mm: float = WIDE_MM) -> str:
    """Return so many bars of a score for a page, from a place counted from 0 in playing order."""
    cut = score.cut(range(first, min(first + BARS, len(score.measures))))
    return engrave(write_musicxml(cut), wide_mm, shapes=True).for_page()
