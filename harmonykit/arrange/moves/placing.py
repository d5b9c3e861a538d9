"""Where a chord that leads on may stand: edges of the tune, beats, time and melody.

All rules are common practice, no source.  A check returns the rule that is broken, or nothing.
"""

from collections.abc import Collection, Mapping
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant, cut_short
from harmonykit.arrange.slots import Piece, Slot, beat_weight, is_heard, melody_between
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import parents
from harmonykit.theory.key import Key, falls_a_fifth
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import bar_length, beat_length

FINAL = "not on the final chord"
INTO_SILENCE = "not into N.C."
AFTER_FERMATA = "not after a fermata"
REPEATS = "where a chord repeats, only a common-tone diminished or a walk is added"
HELD_BASS = "both chords stand over one bass: only a pedal point may be added"
ACROSS = "not across the end of a section, as you chose"
IN_A_ROW = "two diminished sevenths do not follow each other, except in a walk"
ONE_BEAT = "a chord of one beat stays as written"
HEAVIER = "the chord that follows must be on a stronger beat"
LIGHTER = "the chord that resolves it must be on a weaker beat"
ANOTHER_BASS = "the chart has another bass under the chord"
PHRASE_RESTS = "a phrase rests at its end: what sounds there is held for half a bar"
_FIFTH = 7


def turns_back(chord: Chord, key: Key) -> bool:
    """Return whether a chord at the end of a tune leads back to its beginning: the key's V7."""
    return chord.is_dominant and (chord.root.pitch_class - key.tonic.pitch_class) % 12 == _FIFTH


def broken_edge(slot: Slot, setting: Setting, *, held: bool = False) -> str:
    """Return the rule that keeps a slot from leading to what follows it.

    A chord over a ``held`` bass is the one that may stand between two chords with one bass.
    """
    chord, target = slot.chord, slot.after
    if slot.final or chord is None:
        return FINAL
    if target is None:
        return INTO_SILENCE
    if slot.fermata:
        return AFTER_FERMATA
    if chord.root.pitch_class == target.root.pitch_class and chord.pcs == target.pcs:
        return REPEATS
    if not held and bass_is_held(chord, target):
        return HELD_BASS
    if slot.at_edge and not setting.across_sections:
        return ACROSS
    return ""


def bass_is_held(chord: Chord, target: Chord) -> bool:
    """Whether two chords stand over one bass."""
    return chord.bass.pitch_class == target.bass.pitch_class


def keeps_rest(row: Variant, starts: Collection[Fraction], last: Mapping[int, Fraction]) -> bool:
    """Return whether nothing new comes in the last half bar of a phrase.

    Parameters
    ----------
    row : Variant
    starts : collection of Fraction
        Where the chords of the tune come in.
    last : mapping of int to Fraction
        For each bar in which a phrase ends, after which moment nothing is to come.
    """
    return all(
        part.bar not in last
        or part.onset <= last[part.bar]
        or part.onset in starts
        or part.chord == before.chord
        for before, part in pairwise(row.parts)
    )


def late_beats(piece: Piece) -> Fraction | None:
    """Return how long a chord added at the end of a piece lasts, or None for not at all.

    Of a bar of four or five beats its last two, of three the last, in 6/8 the second dotted beat;
    of two beats the last; of one beat nothing.
    """
    beat = beat_length(piece.meter)
    count = piece.beats / beat
    if count < 2:
        return None
    return beat * (2 if count >= 3 and bar_length(piece.meter) / beat in (4, 5) else 1)


def early_beats(piece: Piece) -> Fraction | None:
    """Return how long a chord lasts that comes first and resolves, or None for not at all.

    Of four beats or more two, of less one; of one beat nothing.
    """
    beat = beat_length(piece.meter)
    count = piece.beats / beat
    return None if count < 2 else beat * (2 if count >= 4 else 1)


def broken_timing(slot: Slot, beats: Fraction | None, setting: Setting) -> str:
    """Return the rule of placement that a chord in a slot's last beats breaks."""
    last, after = slot.pieces[-1], slot.after_at
    if beats is None or after is None:
        return ONE_BEAT
    start = last.at + last.beats - beats
    if beat_weight(after.meter, after.at) <= beat_weight(last.meter, start):
        return HEAVIER
    if not setting.lasts(beats) or not setting.lasts(slot.beats - beats):
        return too_short(setting)
    return ""


def too_short(setting: Setting) -> str:
    """Return the rule that a chord lasts long enough, in words."""
    return f"a chord must last at least {setting.least_seconds:g} s at this tempo"


def melody_clash(
    chord: Chord,
    start: Fraction,
    beats: Fraction,
    piece: Piece,
    setting: Setting,
    after: Chord | None = None,
) -> str:
    """Return the rule against a melody note a semitone above a tone of a chord.

    Such a note clashes when it starts on a beat of the bar or lasts half a beat or more.  A whole
    step above is fine, and so is the flat ninth of a dominant that goes down a fifth to ``after``.
    """
    resolves = chord.is_dominant and after is not None and falls_a_fifth(chord, after)
    for sung in melody_between(setting.melody, start, start + beats):
        heard = is_heard(sung, piece.onset - piece.at, piece.meter)
        below = (sung.note.pitch_class - 1) % 12
        allowed = resolves and below == chord.root.pitch_class
        if heard and below in chord.pcs and not allowed:
            above = f"a chord tone of {chord.unicode}"
            return f"the melody's {sung.note.unicode} is a semitone above {above}"
    return ""


def sings_the_resolution(
    early: Chord, rest: Chord, start: Fraction, beats: Fraction, setting: Setting
) -> str:
    """Return the rule against a melody that has the note into which a delayed one resolves."""
    resolution = {*rest.pcs} - {*early.pcs}
    for sung in melody_between(setting.melody, start, start + beats):
        if sung.note.pitch_class in resolution:
            return f"the melody has {sung.note.unicode}, the note of resolution"
    return ""


def offer_late(
    slot: Slot,
    setting: Setting,
    chord: Chord,
    move: str,
    reason: str,
    *,
    leads: bool = False,
    into: SixthDiminished | None = None,
) -> Variant | Refused:
    """Return a slot with its last beats given to a chord that leads on, or the rule against it.

    Parameters
    ----------
    slot : Slot
    setting : Setting
    chord : Chord
        What leads to the next slot.
    move, reason : str
        As in ``Part``.
    leads : bool
        Whether the reason is to end with what each note does on its way.
    into : SixthDiminished, optional
        As in ``Part``.
    """
    last, beats = slot.pieces[-1], late_beats(slot.pieces[-1])
    rule = broken_timing(slot, beats, setting)
    if rule or beats is None:
        return Refused(rule)
    start = last.onset + last.beats - beats
    if clash := melody_clash(chord, start, beats, last, setting, slot.after):
        return Refused(clash)
    late = Part(chord, start, beats, last.bar, move, reason, leads, into=into)
    return Variant((*cut_short(slot, beats), late), needs_next=True)


def offer_whole(
    slot: Slot,
    setting: Setting,
    chord: Chord,
    move: str,
    reason: str,
    *,
    leads: bool = False,
    into: SixthDiminished | None = None,
) -> Variant | Refused:
    """Return a slot given wholly to a chord that leads on in its place, or the rule against it.

    In the place of a chord that leads on itself, equal beats will do.
    """
    rule = _broken_whole(slot, setting, chord)
    for piece in slot.pieces:
        rule = rule or melody_clash(chord, piece.onset, piece.beats, piece, setting, slot.after)
    if rule:
        return Refused(rule)
    last = slot.pieces[-1]
    parts = (
        Part(
            chord, p.onset, p.beats, p.bar, move, reason, leads and p is last,
            into=into if p is last else None,
        )
        for p in slot.pieces
    )  # fmt: skip
    return Variant(tuple(parts), keeps_first=False, needs_next=True)


def _broken_whole(slot: Slot, setting: Setting, chord: Chord) -> str:
    first, after = slot.pieces[0], slot.after_at
    gain = beat_weight(after.meter, after.at) if after else 0
    gain -= beat_weight(first.meter, first.at)
    goes_on = slot.before == slot.chord
    if gain < 0 or (goes_on and not gain):
        return HEAVIER
    before = slot.before
    if before is not None and before.is_diminished_seventh and chord.is_diminished_seventh:
        return IN_A_ROW
    return "" if setting.lasts(slot.beats) else too_short(setting)


def scale_into(added: Chord, target: Chord) -> SixthDiminished | None:
    """Return the target's own scale of which a diminished seventh is the other half, if it is."""
    scales = (scale for scale in scales_for(target) if scale.diminished.pcs == added.pcs)
    return next(scales, None)


def already_parent(chord: Chord, added: Chord) -> str:
    """Return the rule against a diminished seventh after one of its own four dominants."""
    if chord.is_dominant and chord.root.pitch_class in {
        one.root.pitch_class for one in parents(added)
    }:
        return f"{chord.unicode} is already one of the four dominants of {added.unicode}"
    return ""
