"""The reharmonisation moves: each a rule with its preconditions and its reason.

A move looks at one slot (one chord for a time, with its neighbours) and answers with variants of
it, or with the rule that keeps it out.  The rules are common practice (no source unless named):
see the docstring of each.  Total length never changes, and the chord that a move leads to is kept.

A move is one class with a ``name`` and a method ``offer(slot, setting)``; put an instance into
``MOVES`` and it can be asked for by name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Protocol

from harmonykit.arrange.beats import beat_weight
from harmonykit.arrange.slots import Piece, Slot, melody_between
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.diminished import Move as NoteMove
from harmonykit.theory.diminished import approach, parents
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import beat_length
from harmonykit.tune.tune import Sung


@dataclass(frozen=True, slots=True)
class Part:
    """A chord inside a variant, for a time; ``climb`` counts scale steps from the first shape."""

    chord: Chord | None
    onset: Fraction
    beats: Fraction
    bar: int
    move: str = ""
    reason: str = ""
    climb: int = 0


@dataclass(frozen=True, slots=True)
class Variant:
    """One way to fill a slot.

    Parameters
    ----------
    parts : tuple of Part
        Without a gap, none across a bar line.
    scale : SixthDiminished or None
        For a climb: the scale on which the first shape is carried up.
    keeps_first : bool
        Whether it starts with what the tune has, so that a chord before may lead to it.
    needs_next : bool
        Whether it leads to the next slot's written chord, which must then be there.
    """

    parts: tuple[Part, ...]
    scale: SixthDiminished | None = None
    keeps_first: bool = True
    needs_next: bool = False


@dataclass(frozen=True, slots=True)
class Refused:
    """A rule that keeps a move out of a slot."""

    rule: str


@dataclass(frozen=True, slots=True)
class Setting:
    """What a move may know beside its slot: key, melody, tempo and the least time a chord takes."""

    key: Key
    melody: tuple[Sung, ...] = field(default=(), repr=False)
    tempo: float = 120.0
    least_seconds: float = 0.5

    def lasts(self, beats: Fraction) -> bool:
        """Whether a number of quarters lasts as long as a chord must."""
        return float(beats) * 60.0 / self.tempo >= self.least_seconds - 1e-9


class MoveRule(Protocol):
    """What every move has."""

    @property
    def name(self) -> str:
        """The name by which it is asked for."""

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the variants of a slot, or the rule that keeps the move out."""


def as_written(slot: Slot) -> Variant:
    """Return a slot as the tune has it, one part a bar."""
    parts = (Part(slot.chord, piece.onset, piece.beats, piece.bar) for piece in slot.pieces)
    return Variant(tuple(parts))


# How much of a slot's last piece an inserted chord takes (common practice, no source): of a whole
# bar its last two beats in four or five, the last in three, the second dotted beat in 6/8; of two
# beats the last; of one beat nothing.
def late_beats(piece: Piece) -> Fraction | None:
    """Return how long a chord inserted at the end of a piece lasts, or None for not at all."""
    beat = beat_length(piece.meter)
    count = piece.beats / beat
    if count < 2:
        return None
    return beat * (2 if count >= 3 and piece.meter[0] in (4, 5) else 1)


def _split_late(slot: Slot, chord: Chord, beats: Fraction, move: str, reason: str) -> Variant:
    last = slot.pieces[-1]
    kept = [Part(slot.chord, p.onset, p.beats, p.bar) for p in slot.pieces[:-1]]
    kept.append(Part(slot.chord, last.onset, last.beats - beats, last.bar))
    late = Part(chord, last.onset + last.beats - beats, beats, last.bar, move, reason)
    return Variant((*kept, late), needs_next=True)


def _timing(slot: Slot, beats: Fraction | None, setting: Setting) -> str:
    """Return the rule of placement that an insertion at a slot's end breaks, or nothing."""
    last, after = slot.pieces[-1], slot.after_at
    if beats is None or after is None:
        return "a slot of one beat keeps its chord"
    start = last.at + last.beats - beats
    if beat_weight(after.meter, after.at) <= beat_weight(last.meter, start):
        return "the target is on a heavier beat than the chord that leads to it"
    if not setting.lasts(beats) or not setting.lasts(last.beats - beats):
        return f"a chord lasts at least {setting.least_seconds:g} s at this tempo"
    return ""


def _melody_clash(chord: Chord, start: Fraction, beats: Fraction, setting: Setting) -> str:
    """Return the rule against a melody note a semitone above a tone of the chord, if broken.

    Such a note clashes when it is on a beat or lasts half a beat or more.
    """
    for sung in melody_between(setting.melody, start, start + beats):
        long_enough = sung.beats >= Fraction(1, 2) or sung.onset.denominator == 1
        if long_enough and (sung.note.pitch_class - 1) % 12 in chord.pcs:
            return f"the melody's {sung.note.unicode} is a semitone above a tone of it"
    return ""


def leading_moves(chord: Chord, target: Chord) -> tuple[NoteMove, ...]:
    """Return how the notes of a diminished seventh lead to a chord, root first.

    The root goes to the target's bass, each other note to the nearest tone of the target, falling
    where two are as near, as a seventh or ninth does.

    Examples
    --------
    >>> moves = leading_moves(Chord.parse("C#dim7"), Chord.parse("Dm7"))
    >>> ", ".join(map(str, moves))
    'C♯ rises to D, E rises to F, G falls to F, B♭ falls to A'
    """
    first, *others = (note.plain() for note in chord.tones)
    return (NoteMove(first, target.bass), *(_nearest(note, target) for note in others))


def _nearest(note: Note, target: Chord) -> NoteMove:
    moves = [NoteMove(note, tone.plain()) for tone in target.tones]
    return min(moves, key=lambda move: (abs(move.semitones), move.semitones))


@dataclass(frozen=True, slots=True)
class Approach:
    """The diminished seventh a semitone below the next root.

    It is the rootless dominant with a flat ninth of its target, which may be major, minor or
    dominant.  Kept out where the chord repeats, where the chord before is already one of its
    parents, over a bass that the chart holds, into silence, where the target is on no heavier
    beat, where it or the chord before would be too short, or under a melody note a semitone above
    one of its tones.
    """

    name: str = "approach"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the approach chord."""
        chord, target = slot.chord, slot.after
        if chord is None or target is None or target == chord:
            return
        inserted = approach(target)
        beats = late_beats(slot.pieces[-1])
        rule = self._rule(chord, target, inserted) or _timing(slot, beats, setting)
        if not rule and beats is not None:
            start = slot.onset + slot.beats - beats
            rule = _melody_clash(inserted, start, beats, setting)
            if not rule:
                reason = _approach_reason(chord, inserted, target)
                yield _split_late(slot, inserted, beats, self.name, reason)
                return
        yield Refused(rule)

    @staticmethod
    def _rule(chord: Chord, target: Chord, inserted: Chord) -> str:
        if target.is_diminished_seventh or chord.is_diminished_seventh:
            return "no diminished seventh leads to another"
        roots = {parent.root.pitch_class for parent in parents(inserted)}
        if chord.is_dominant and chord.root.pitch_class in roots:
            return f"{chord.unicode} is already a parent of {inserted.unicode}"
        if chord.bass.pitch_class == target.bass.pitch_class:
            return "the bass is held on both sides"
        return ""


def _approach_reason(before: Chord, chord: Chord, target: Chord) -> str:
    step = (chord.bass.pitch_class - before.bass.pitch_class) % 12
    word = "passes up" if step == 1 else "leads"
    moves = ", ".join(map(str, leading_moves(chord, target)))
    return f"{chord.unicode} {word} to {target.unicode} from a semitone below: {moves}."


@dataclass(frozen=True, slots=True)
class DominantToDiminished:
    """A dominant replaced by the diminished seventh of its ♭9, wholly or in its second half.

    The root gives way to the flat ninth a semitone above; third, fifth and seventh stay.  The
    dominant resolves down a fifth and is written 7 or 7♭9; not for a ninth, thirteenth, sus or
    ♯11, a blues I7 or IV7, or a ♭VII7; not under melody notes a semitone above its tones.
    """

    name: str = "dominant to diminished"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the diminished seventh, and with its late beats so."""
        chord, target = slot.chord, slot.after
        if chord is None or target is None or not chord.is_dominant or target == chord:
            return
        inserted = approach(target.root) if _falls_a_fifth(chord, target) else None
        rule = _dominant_rule(chord, target, setting.key)
        if rule or inserted is None:
            yield Refused(rule or "the dominant resolves down a fifth")
            return
        reason = _replacement_reason(chord, inserted)
        yield from self._whole(slot, inserted, reason, setting)
        yield from self._late(slot, inserted, reason, setting)

    def _whole(
        self, slot: Slot, chord: Chord, reason: str, setting: Setting
    ) -> Iterator[Variant | Refused]:
        clash = _melody_clash(chord, slot.onset, slot.beats, setting)
        if clash:
            yield Refused(clash)
            return
        parts = (Part(chord, p.onset, p.beats, p.bar, self.name, reason) for p in slot.pieces)
        yield Variant(tuple(parts), keeps_first=False, needs_next=True)

    def _late(
        self, slot: Slot, chord: Chord, reason: str, setting: Setting
    ) -> Iterator[Variant | Refused]:
        beats = late_beats(slot.pieces[-1])
        rule = _timing(slot, beats, setting)
        if beats is not None and not rule:
            rule = _melody_clash(chord, slot.onset + slot.beats - beats, beats, setting)
            if not rule:
                yield _split_late(slot, chord, beats, self.name, reason)


def _falls_a_fifth(chord: Chord, target: Chord) -> bool:
    return (chord.root.pitch_class - target.root.pitch_class) % 12 == 7


def _dominant_rule(chord: Chord, target: Chord, key: Key) -> str:
    if chord.quality not in ("7", "7b9"):
        return f"{chord.unicode} is not written 7 or 7♭9"
    place = (chord.root.pitch_class - key.tonic.pitch_class) % 12
    if place in (0, 5) and target.is_dominant:
        return f"{chord.unicode} is a blues chord, at home where it is"
    if place == 10:
        return f"{chord.unicode} is the ♭VII7, which does not lead down a fifth"
    if chord.bass.pitch_class == target.bass.pitch_class:
        return "the bass is held on both sides"
    return ""


def _replacement_reason(dominant: Chord, chord: Chord) -> str:
    """Say what moves: the root rises to the flat ninth, unless it is there already."""
    ninth = Degree(9, -1).over(dominant.root).plain()
    stays = [note.unicode for note in dominant.tones if note.pitch_class in chord.pcs]
    kept = f"{', '.join(stays[:-1])} and {stays[-1]} stay"
    return (
        f"{chord.unicode} stands for {dominant.unicode}, being its ♭9 chord without the root: "
        f"{dominant.root.unicode} gives way to {ninth.unicode} a semitone above, {kept}."
    )


# Climbs by metre: for one bar, and for the first of two, lengths in beats of sixth chord,
# diminished seventh, sixth chord, with each diminished seventh on a lighter beat than its
# neighbours (common practice, no source).  A pattern of two leads on to the next bar.
_CLIMB = {
    4: ((1, 1, 2), (2, 2)),
    3: ((1, 1, 1), (2, 1)),
    5: ((2, 1, 2), (3, 2)),
    2: ((1, 1),),
}


@dataclass(frozen=True, slots=True)
class Climb:
    """The climb up the sixth-diminished chord scale while one chord lasts.

    Every string goes one scale step up each time, so that the chord and the diminished seventh
    sound by turns, the chord on the heavier beats.  It wants a bar or more; none under a held
    major seventh, which the sixth would rub.
    """

    name: str = "climb"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as a climb, in each rhythm that fits."""
        chord = slot.chord
        if chord is None:
            return
        rule = self._rule(slot, chord)
        if rule:
            yield Refused(rule)
            return
        scale = scales_for(chord)[0]
        found = [
            climb
            for rhythm in _rhythms(slot)
            if (climb := self._climb(slot, chord, scale, rhythm, setting)) is not None
        ]
        yield from found
        if not found:
            yield Refused("no rhythm of the climb is slow enough for this level")

    @staticmethod
    def _rule(slot: Slot, chord: Chord) -> str:
        if slot.after_at is None:
            return "none on the final chord"
        if not all(piece.whole for piece in slot.pieces):
            return "a climb wants a bar or more"
        if Degree(7) in chord.degrees:
            return "none under a held major seventh"
        if chord.bass != chord.root:
            return "the chart asks for another bass"
        if any(degree.number > 7 for degree in chord.degrees):
            return f"the scale would not keep what {chord.unicode} adds above its seventh"
        if not scales_for(chord):
            return f"no sixth-diminished scale goes with {chord.unicode}"
        return ""

    def _climb(
        self,
        slot: Slot,
        chord: Chord,
        scale: SixthDiminished,
        rhythm: tuple[tuple[int, ...], ...],
        setting: Setting,
    ) -> Variant | None:
        parts: list[Part] = []
        count = 0
        home = chord if chord.pcs == scale.chord.pcs else scale.chord
        for piece, lengths in zip(slot.pieces, rhythm, strict=True):
            onset = piece.onset
            for place, length in enumerate(lengths):
                # The first chord of a bar goes on where the bar before stopped on the sixth chord.
                count += 1 if place or len(parts) and parts[-1].climb % 2 else 0
                beats = length * beat_length(piece.meter)
                moved = self.name if count or home != chord else ""
                sounding = scale.diminished if count % 2 else home
                parts.append(Part(sounding, onset, beats, piece.bar, moved, "", count))
                onset += beats
        clash = any(
            _melody_clash(part.chord, part.onset, part.beats, setting)
            for part in parts
            if part.climb % 2 and part.chord is not None
        )
        short = not all(setting.lasts(part.beats) for part in parts)
        return None if clash or short else Variant(tuple(parts), scale)


def _rhythms(slot: Slot) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Yield the rhythms of a slot of one or two whole bars, each ending on the sixth chord."""
    bars = [_bar_rhythms(piece) for piece in slot.pieces]
    if len(bars) == 1:
        yield from ((full,) for full in bars[0] if len(full) == 3)
        return
    first, second = bars
    for opening in first:
        for closing in second:
            ends_home = len(closing) % 2 == 1
            if ends_home and len(opening) + len(closing) > 2:
                yield opening, closing


def _bar_rhythms(piece: Piece) -> tuple[tuple[int, ...], ...]:
    count = int(piece.beats / beat_length(piece.meter))
    return ((count,), *_CLIMB.get(count, ()))


MOVES: dict[str, MoveRule] = {
    rule.name: rule for rule in (Approach(), DominantToDiminished(), Climb())
}


def move_named(name: str) -> MoveRule:
    """Return a move by name.

    Raises
    ------
    HarmonyError
        If there is none such.
    """
    if name not in MOVES:
        raise HarmonyError(f"{name!r} is no move", mend=", ".join(map(repr, MOVES)))
    return MOVES[name]
