"""Which part of the neck a box shows."""

from collections.abc import Sequence

LEAST_ROWS = 4


def window(frets: Sequence[int | None]) -> tuple[int, int]:
    """Return the first fret that a box shows and its number of rows.

    From the nut where four rows hold the shape, else from the lowest fretted fret.

    Examples
    --------
    >>> window((2, 2, 2, 3)), window((9, 9, 8, 10)), window((0, 1, 0, 5))
    ((1, 4), (8, 4), (1, 5))
    """
    fretted = [fret for fret in frets if fret]
    if not fretted or max(fretted) <= LEAST_ROWS:
        return 1, LEAST_ROWS
    return min(fretted), max(LEAST_ROWS, max(fretted) - min(fretted) + 1)
