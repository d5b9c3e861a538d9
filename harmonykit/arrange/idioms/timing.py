"""When the chords of an idiom sound: how they share its time, what metre and melody forbid.

Every chord begins on a beat.  Rows are halved again and again, first at the bar line, then in the
middle of the bar, the longer half first: three chords in two bars have one bar, half a bar, half a
bar, so that the harmony quickens (common practice, no source).
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate

from harmonykit.arrange.idioms.idiom import EARLY, LATE, Idiom
from harmonykit.arrange.idioms.standing import is_plain
from harmonykit.arrange.moves import placing, rule
from harmonykit.arrange.moves.placing import early_beats, late_beats
from harmonykit.arrange.slots import Piece, Slot, melody_between, piece_at, weight_at
from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import bar_length, beat_length


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


Placed = tuple[Chord, Piece, Fraction, Fraction]
"""A chord, its bar, where it begins, and how long it lasts."""


def broken_beats(
    idiom: Idiom,
    tune: tuple[Sequence[Slot], rule.Setting],
    old_and_next: tuple[Chord | None, Chord | None],
    placed: Sequence[Placed],
    around: Sequence[Piece],
    timing: str,
) -> str:
    """Return the rule of metre or melody that the new chords of a stretch break."""
    old, then = old_and_next
    _, setting = tune
    for place, (chord, piece, onset, beats) in enumerate(placed):
        if chord == old:
            continue
        after = next((each[0] for each in placed[place:] if each[0] != chord), then)
        here, there = weight_at(around, onset), weight_at(around, onset + beats)
        lasts_on = any(c == chord and o == onset + beats for c, _, o, _ in placed)
        if timing == EARLY:
            if not lasts_on and here <= there:
                return placing.LIGHTER
        elif chord.is_diminished_seventh and here > there > 0 and not lasts_on:
            return placing.HEAVIER
        clash = placing.melody_clash(chord, onset, beats, piece, setting, after)
        clash = clash or _cross_relation(chord, old, piece, (onset, onset + beats), tune)
        if idiom.prepared and after is not None and not clash:
            clash = placing.sings_the_resolution(chord, after, onset, beats, setting)
        if clash:
            return clash
    return ""


def _cross_relation(
    chord: Chord,
    old: Chord | None,
    piece: Piece,
    span: tuple[Fraction, Fraction],
    tune: tuple[Sequence[Slot], rule.Setting],
) -> str:
    """Return the rule of plain tunes against a borrowed chord with a lowered note.

    Where the melody has the note as it is, a bar before or after, too, it sounds like a mistake
    (common practice, no source).
    """
    (start, end), (slots, setting) = span, tune
    leads = chord.is_dominant or chord.is_diminished_seventh
    if leads or not is_plain(slots):
        return ""
    bar, written = bar_length(piece.meter), () if old is None else old.pcs
    for sung in melody_between(setting.melody, start - bar, end + bar):
        tone = (sung.note.pitch_class - 1) % 12
        if tone in chord.pcs and tone not in written and sung.note.pitch_class not in chord.pcs:
            lowered = next(n for n in chord.tones if n.pitch_class == tone)
            return f"the melody's {sung.note.unicode} is heard beside {lowered.unicode}"
    return ""


def placed_in(
    pieces: Sequence[Piece], chords: Sequence[Chord], lengths: Sequence[Fraction]
) -> list[Placed]:
    """Return each chord where it stands, cut at the bar lines."""
    found = []
    moment = pieces[0].onset
    for chord, length in zip(chords, lengths, strict=True):
        end = moment + length
        while moment < end:
            piece = piece_at(pieces, moment)
            assert piece is not None
            stop = min(end, piece.onset + piece.beats)
            found.append((chord, piece, moment, stop - moment))
            moment = stop
    return found
