"""A note borrowed from the diminished seventh of the chord's scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from harmonykit.arrange.moves.placing import melody_clash, too_short
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Piece, Slot
from harmonykit.theory.chord import Chord
from harmonykit.theory.naming import exact_names
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.tune.bar import beat_length


@dataclass(frozen=True, slots=True)
class BorrowedNote:
    """A chord of four notes, one of which comes late: its neighbour above sounds first.

    The neighbour is the next note of the chord's sixth-diminished scale, so that it is borrowed
    from the diminished seventh, and falls into its place on the same string while the others stay.
    The root is not touched, and the chord with the borrowed note has a symbol of its own.  Half a
    bar of four, a beat of less; the chord keeps as much (common practice, no source).
    """

    name: str = "borrowed note"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with each note that can come late."""
        chord = slot.chord
        if chord is None:
            return
        scale = next((s for s in scales_for(chord) if s.chord.pcs == chord.pcs), None)
        if scale is None or len(chord.pcs) != 4:
            yield Refused(f"no sixth-diminished scale has the notes of {chord.unicode} for its own")
            return
        if rule := _broken(slot, chord, setting):
            yield Refused(rule)
            return
        found = [self._offer(slot, setting, scale, pc) for pc in chord.pcs]
        variants = [one for one in found if isinstance(one, Variant)]
        yield from variants
        if not variants:
            yield next(one for one in reversed(found) if isinstance(one, Refused))

    def _offer(
        self, slot: Slot, setting: Setting, scale: SixthDiminished, late: int
    ) -> Variant | Refused:
        chord, first = slot.chord, slot.pieces[0]
        if chord is None or late == chord.root.pitch_class:
            return Refused("the root is not touched")
        sounding = borrowed_chord(chord, scale, late)
        if sounding is None:
            return Refused("the chord with the borrowed note has no symbol")
        beats = _first_beats(first)
        if clash := melody_clash(sounding, first.onset, beats, first, setting):
            return Refused(clash)
        neighbour = scale.spell(scale.step(late) % 12).plain()
        reason = (
            f"{sounding.unicode} borrows {neighbour.unicode} from {scale.diminished.unicode}, and "
            f"it falls to {chord.spell(late).plain().unicode}"
        )
        parts = [
            Part(sounding, first.onset, beats, first.bar, self.name, reason, False, 0, scale, late),
            Part(chord, first.onset + beats, first.beats - beats, first.bar, scale=scale),
        ]
        parts += [Part(chord, p.onset, p.beats, p.bar, scale=scale) for p in slot.pieces[1:]]
        return Variant(tuple(parts), scale, keeps_first=False)


def borrowed_chord(chord: Chord, scale: SixthDiminished, late: int) -> Chord | None:
    """Return a chord with one note a scale step higher, on its own root where a symbol says so.

    Examples
    --------
    >>> c6 = Chord.parse("C6")
    >>> [str(borrowed_chord(c6, scales_for(c6)[0], pc)) for pc in (4, 7, 9)]
    ['C6sus4', 'Ammaj7/C', 'Cmaj7']
    """
    pcs = PcSet.of(*((pc if pc != late else scale.step(pc) % 12) for pc in chord.pcs))
    names = exact_names(pcs)
    own = next((name for name in names if name.root == chord.root), None)
    return own or (names[0].over(chord.root) if names else None)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    first = slot.pieces[0]
    if chord.bass != chord.root:
        return "the chart asks for another bass"
    if first.beats < 2 * beat_length(first.meter):
        return "a slot of one beat keeps its chord"
    beats = _first_beats(first)
    if not setting.lasts(min(beats, first.beats - beats)):
        return too_short(setting)
    return ""


def _first_beats(piece: Piece) -> Fraction:
    beat = beat_length(piece.meter)
    return beat * (2 if piece.beats >= 4 * beat else 1)
