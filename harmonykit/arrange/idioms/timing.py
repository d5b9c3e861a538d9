"""How the chords of an idiom share the time of the chord that they replace.

Every chord begins on a beat.  Rows are halved again and again, first at the bar line, then in the
middle of the bar, the longer half first: three chords in two bars have one bar, half a bar, half a
bar, so that the harmony quickens (common practice, no source).
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate

from harmonykit.arrange.idioms.idiom import EARLY, LATE
from harmonykit.arrange.moves.placing import early_beats, late_beats
from harmonykit.arrange.slots import Piece, beat_weight
from harmonykit.tune.bar import beat_length


def divide(pieces: Sequence[Piece], shares: Sequence[int], timing: str) -> list[Fraction] | None:
    """Return how long each chord lasts in quarters; ``None`` where they do not fit.

    Parameters
    ----------
    pieces : sequence of Piece
        The time that they share, bar by bar.
    shares : sequence of int
        One for each chord; all 0 where none are given.
    timing : {"late", "even", "early"}
    """
    whole = sum((piece.beats for piece in pieces), Fraction(0))
    if len(shares) == 1:
        return [whole]
    if any(shares):
        found = [whole * share / sum(shares) for share in shares]
        return found if _on_beats(pieces, found) else None
    if len(shares) == 2 and timing == LATE:
        late = late_beats(pieces[-1])
        return None if late is None else [whole - late, late]
    if len(shares) == 2 and timing == EARLY:
        early = early_beats(pieces[0])
        return None if early is None else [early, whole - early]
    counts = [piece.beats / beat_length(piece.meter) for piece in pieces]
    if any(count.denominator != 1 for count in counts):
        return None
    halved = _halved([int(count) for count in counts], len(shares))
    if halved is None:
        return None
    beat = beat_length(pieces[0].meter)
    return [count * beat for count in halved]


def shared_out(beats: int, chords: int) -> list[int] | None:
    """Return how many beats of a bar each of some chords has; ``None`` where they are too many.

    Examples
    --------
    >>> shared_out(4, 2), shared_out(3, 2), shared_out(1, 2)
    ([2, 2], [2, 1], None)
    """
    return _halved([beats], chords)


def _halved(bars: list[int], chords: int) -> list[int] | None:
    """Return beats for each chord, from the beats of each bar."""
    count = sum(bars)
    if chords > count:
        return None
    if chords == 1:
        return [count]
    if chords == count:
        return [1] * count
    half = (len(bars) + 1) // 2
    left, right = bars[:half], bars[half:]
    if len(bars) == 1:
        left, right = [(count + 1) // 2], [count // 2]
    few = min(max(chords // 2, 1, chords - sum(right)), sum(left))
    one, two = _halved(left, few), _halved(right, chords - few)
    return None if one is None or two is None else one + two


def _on_beats(pieces: Sequence[Piece], lengths: Sequence[Fraction]) -> bool:
    start = pieces[0].onset
    moments = [start + passed for passed in accumulate(lengths[:-1])]
    return all(weight_at(pieces, moment) > 0 for moment in moments)


def piece_at(pieces: Sequence[Piece], moment: Fraction) -> Piece | None:
    """Return the piece in which a moment lies."""
    return next((p for p in pieces if p.onset <= moment < p.onset + p.beats), None)


def weight_at(pieces: Sequence[Piece], moment: Fraction) -> int:
    """Return the weight of a moment; 0 off the beat or outside."""
    piece = piece_at(pieces, moment)
    return 0 if piece is None else beat_weight(piece.meter, piece.at + moment - piece.onset)
