"""The two degrees that tell a chord: its third and its seventh, or what stands in for them."""

from harmonykit.theory.chord import Chord, Degree


def guide_degrees(chord: Chord) -> tuple[Degree | None, Degree | None]:
    """Return a chord's guide tones as degrees, each where it has one: third, then seventh.

    A sixth stands for a seventh that is not there, and a suspended fourth or second for the third
    (common practice of jazz, no source).

    Examples
    --------
    >>> [[str(each) for each in guide_degrees(Chord.parse(s))] for s in ("G7", "C6", "A7sus4", "C")]
    [['3', 'b7'], ['3', '6'], ['4', 'b7'], ['3', 'None']]
    """
    return _first(chord, (3, 4, 2)), _first(chord, (7, 6))


def _first(chord: Chord, numbers: tuple[int, ...]) -> Degree | None:
    """Return the first of some degrees that a chord has, by their numbers."""
    by_number = {degree.number: degree for degree in reversed(chord.degrees)}
    return next((by_number[number] for number in numbers if number in by_number), None)
