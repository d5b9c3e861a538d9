"""Where the new chords of an idiom stand, and what metre and melody have against them there."""

from collections.abc import Sequence
from fractions import Fraction

from harmonykit.arrange.idioms.idiom import EARLY, Idiom
from harmonykit.arrange.idioms.timing import piece_at, weight_at
from harmonykit.arrange.idioms.writing import is_plain
from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Setting
from harmonykit.arrange.slots import Piece, Slot, melody_between
from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import bar_length

Placed = tuple[Chord, Piece, Fraction, Fraction]
"""A chord, its bar, where it begins, and how long it lasts."""


def broken_beats(
    idiom: Idiom,
    tune: tuple[Sequence[Slot], Setting],
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
    tune: tuple[Sequence[Slot], Setting],
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
