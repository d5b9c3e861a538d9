"""The walk up or down the scale of chords while one chord lasts."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange.beats import beat_weight
from harmonykit.arrange.moves.dominants import broken_resolution
from harmonykit.arrange.moves.placing import ANOTHER_BASS, FINAL, melody_clash, too_short
from harmonykit.arrange.moves.rootless_ninth import needs_the_ninth
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Piece, Slot, melody_between
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import bar_length, beat_length

# For a bar of so many beats, lengths in beats of sixth chord and diminished seventh by turns, the
# diminished seventh on a lighter beat than its neighbours.  A pattern that stops on it leads on to
# the next bar.  In three beats the last two weigh the same, so that a bar alone has no walk.
_RHYTHMS = {
    2: ((1, 1),),
    3: ((2, 1),),
    4: ((1, 1, 2), (2, 2)),
    5: ((2, 1, 2), (3, 2)),
}
_SEVENTH, _FLAT_NINTH = Degree(7), Degree(9, -1)


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk up or down the scale of chords (the sixth-diminished scale) while one chord lasts.

    Every string goes one scale step each time, so that the sixth chord (or what the chord has for
    one) and the diminished seventh sound by turns, the sixth chord on the heavier beats.  It lasts
    a bar or more; not on the final chord; not under a held major seventh, in the chord or in the
    melody, which the sixth would rub.

    The scale is the usual one of the chord.  With a bass player, who sounds the root, the others
    serve too: for a major seventh the major scale on its fifth (which has no root to rub), for a
    dominant the minor one on its fifth (a rootless ninth, and so none before a minor chord unless
    the melody has the ninth) and, where it resolves down a fifth, on its ♭9.
    """

    name: str = "ascending walk"
    way: int = 1

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as a walk on each scale, in each rhythm that fits."""
        chord = slot.chord
        if chord is None:
            return
        rule = _broken(slot, chord, setting)
        if rule:
            yield Refused(rule)
            return
        rule = f"a walk in {_meter(slot)} does not fit the bars of this chord"
        offered = 0
        for scale in _scales(slot, chord, setting):
            for rhythm in _rhythms(slot):
                parts = self._parts(slot, chord, rhythm, scale)
                rule = _broken_rhythm(slot, parts, setting)
                if not rule:
                    offered += 1
                    yield Variant(parts, scale)
        if not offered:
            yield Refused(rule)

    def _parts(
        self,
        slot: Slot,
        chord: Chord,
        rhythm: tuple[tuple[int, ...], ...],
        scale: SixthDiminished,
    ) -> tuple[Part, ...]:
        home = chord if chord.pcs == scale.chord.pcs else scale.chord
        parts: list[Part] = []
        count = 0
        for piece, lengths in zip(slot.pieces, rhythm, strict=True):
            onset = piece.onset
            for place, length in enumerate(lengths):
                # The first chord of a bar goes on where the last stopped on the sixth chord.
                count += 1 if place or _is_away(parts) else 0
                beats = length * beat_length(piece.meter)
                moved = self.name if count or home != chord else ""
                sounding = scale.diminished if count % 2 else home
                steps = count * self.way
                parts.append(
                    Part(sounding, onset, beats, piece.bar, moved, steps=steps, scale=scale)
                )
                onset += beats
        return tuple(parts)


def _meter(slot: Slot) -> str:
    return "/".join(map(str, slot.pieces[0].meter))


def _scales(slot: Slot, chord: Chord, setting: Setting) -> list[SixthDiminished]:
    """Return the scales that serve: alone, only the usual one, which has the chord's root."""
    usual, *others = scales_for(chord)
    found = [] if _SEVENTH in chord.degrees else [usual]
    if setting.bass_player:
        found += [scale for scale in others if not _broken_scale(slot, chord, scale, setting)]
    return found


def _broken_scale(slot: Slot, chord: Chord, scale: SixthDiminished, setting: Setting) -> bool:
    if not chord.is_dominant:
        return False
    if _FLAT_NINTH.over(chord.root).pitch_class in scale.chord.pcs:
        target = slot.after
        return target is None or bool(broken_resolution(chord, target, setting.key))
    return needs_the_ninth(slot, setting)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    if slot.final:
        return FINAL
    if not all(piece.whole for piece in slot.pieces):
        return "a walk lasts a bar or more"
    held = _SEVENTH in chord.degrees or _sung_seventh(slot, chord, setting)
    if held and not (setting.bass_player and chord.quality == "maj7"):
        return "not under a held major seventh"
    if chord.bass != chord.root:
        return ANOTHER_BASS
    if any(degree.number > 7 for degree in chord.degrees):
        return f"the scale lacks the tensions of {chord.unicode}"
    if not scales_for(chord):
        return f"{chord.unicode} has no sixth-diminished scale"
    return ""


def _sung_seventh(slot: Slot, chord: Chord, setting: Setting) -> bool:
    """Whether the melody holds the major seventh over the chord's root, for a beat or more."""
    seventh = _SEVENTH.over(chord.root).pitch_class
    sung = melody_between(setting.melody, slot.onset, slot.onset + slot.beats)
    beat = beat_length(slot.pieces[0].meter)
    return any(note.note.pitch_class == seventh and note.beats >= beat for note in sung)


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
    count = bar_length(piece.meter) / beat_length(piece.meter)
    whole = (int(count),)
    return (whole, *_RHYTHMS.get(int(count), ()))


def _is_away(parts: list[Part]) -> bool:
    return bool(parts) and parts[-1].steps % 2 == 1


def _broken_rhythm(slot: Slot, parts: tuple[Part, ...], setting: Setting) -> str:
    pieces = {piece.bar: piece for piece in slot.pieces}
    if any(not _lighter_between(pieces, a, b) for a, b in pairwise(parts)):
        return "the sixth chord falls on the heavier beats"
    if not all(setting.lasts(part.beats) for part in parts):
        return too_short(setting)
    root = slot.chord.root.pitch_class if slot.chord else 0
    for part in parts:
        if part.chord is not None and root not in part.chord.pcs:
            piece = pieces[part.bar]
            if clash := melody_clash(part.chord, part.onset, part.beats, piece, setting):
                return clash
    return ""


def _lighter_between(pieces: dict[int, Piece], a: Part, b: Part) -> bool:
    """Whether of two neighbours the diminished seventh, if one is there, is on the lighter beat."""
    if a.steps % 2 == b.steps % 2:
        return True
    home, away = (b, a) if a.steps % 2 else (a, b)
    return _weight(pieces[away.bar], away) < _weight(pieces[home.bar], home)


def _weight(piece: Piece, part: Part) -> int:
    place: Fraction = piece.at + part.onset - piece.onset
    return beat_weight(piece.meter, place)
