"""How heavy a place in the bar is.

Weights by metre (common practice, no source): 4/4 4-1-2-1; 3/4 3-1-1; 6/8 in dotted beats 2-1;
5/4 as 3+2 4-1-1-2-1; a place off the beat 0.
"""

from fractions import Fraction

from harmonykit.tune.bar import Meter, beat_length

_WEIGHTS = {
    2: (2, 1),
    3: (3, 1, 1),
    4: (4, 1, 2, 1),
    5: (4, 1, 1, 2, 1),
}


def beat_weight(meter: Meter, at: Fraction) -> int:
    """Return the weight of a place in a bar.

    Parameters
    ----------
    meter : tuple of int
    at : Fraction
        Quarters from the start of a whole bar.

    Examples
    --------
    >>> [beat_weight((4, 4), Fraction(n)) for n in range(4)], beat_weight((4, 4), Fraction(1, 2))
    ([4, 1, 2, 1], 0)
    >>> beat_weight((6, 8), Fraction(3, 2))
    1
    """
    beat = beat_length(meter)
    place = at / beat
    if place.denominator != 1:
        return 0
    weights = _weights(meter, beat)
    return weights[int(place)] if place < len(weights) else 0


def _weights(meter: Meter, beat: Fraction) -> tuple[int, ...]:
    count = int(Fraction(4 * meter[0], meter[1]) / beat)
    return _WEIGHTS.get(count, (2,) + (1,) * (count - 1))
