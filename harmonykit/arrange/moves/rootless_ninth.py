"""A ninth chord without its root."""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.slots import Slot, melody_between
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.interval import Interval

_NINTH = Degree(9)
NO_ROOT = "nobody plays the root, and the chords before do not imply it"


@dataclass(frozen=True, slots=True)
class RootlessNinth:
    """A dominant as its ninth chord without the root: the minor sixth on its fifth.

    G9 without G is D F A B, the shape of Dm6 and Bm7♭5.  It stands where the root is heard: with a
    bass player; between chords whose roots fall by fifths into it and from it (after its ii, in a
    turnaround); or in the last beats, after the full chord.  The dominant is written 7 or 9.  None
    before a minor chord unless the melody has the ninth, not on the final chord, none under a
    melody note a semitone above its tones (common practice, no source).
    """

    name: str = "rootless ninth"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the rootless ninth."""
        chord = slot.chord
        if chord is None or not chord.is_dominant:
            return
        if rule := _broken(slot, chord, setting):
            yield Refused(rule)
            return
        rootless = ninth_without_root(chord)
        late = self._after_full(slot, setting, chord, rootless)
        if not setting.bass_player and not _falls_through(slot, chord):
            yield late
            return
        clashes = (
            placing.melody_clash(rootless, p.onset, p.beats, p, setting) for p in slot.pieces
        )
        if clash := next(filter(None, clashes), ""):
            yield Refused(clash)
        else:
            reason = _reason(chord, rootless, setting)
            parts = (
                Part(rootless, p.onset, p.beats, p.bar, self.name, reason) for p in slot.pieces
            )
            yield Variant(tuple(parts), keeps_first=False)
        if isinstance(late, Variant):
            yield late

    def _after_full(
        self, slot: Slot, setting: Setting, chord: Chord, rootless: Chord
    ) -> Variant | Refused:
        """Return the slot with its last beats given to the chord without its root."""
        last, beats = slot.pieces[-1], placing.late_beats(slot.pieces[-1])
        if beats is None:
            return Refused(NO_ROOT)
        if not setting.lasts(beats) or not setting.lasts(last.beats - beats):
            return Refused(placing.too_short(setting))
        start = last.onset + last.beats - beats
        if clash := placing.melody_clash(rootless, start, beats, last, setting):
            return Refused(clash)
        kept = [Part(chord, p.onset, p.beats, p.bar) for p in slot.pieces[:-1]]
        kept.append(Part(chord, last.onset, last.beats - beats, last.bar))
        reason = _reason(chord, rootless, setting, after=True)
        return Variant((*kept, Part(rootless, start, beats, last.bar, self.name, reason)))


def ninth_without_root(chord: Chord) -> Chord:
    """Return the minor sixth that a dominant's ninth chord holds.

    Examples
    --------
    >>> ninth_without_root(Chord.parse("G7")).symbol, ninth_without_root(Chord.parse("C9")).symbol
    ('Dm6', 'Gm6')
    """
    return Chord.of(chord.root.transpose(Interval.parse("P5")).plain(), "m6")


def needs_the_ninth(slot: Slot, setting: Setting) -> bool:
    """Whether a natural ninth would spoil the way to a minor chord: the melody does not have it."""
    if slot.chord is None or slot.after is None or not slot.after.is_minor:
        return False
    ninth = _NINTH.over(slot.chord.root).pitch_class
    sung = melody_between(setting.melody, slot.onset, slot.onset + slot.beats)
    return all(note.note.pitch_class != ninth for note in sung)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    if slot.final:
        return placing.FINAL
    if chord.quality not in ("7", "9"):
        return f"{chord.unicode} is not written 7 or 9"
    if chord.bass != chord.root:
        return placing.ANOTHER_BASS
    if needs_the_ninth(slot, setting):
        return "before a minor chord, only where the melody has the ninth"
    return ""


def _falls_through(slot: Slot, chord: Chord) -> bool:
    """Return whether roots fall by fifths from the chord before, and to the chord after."""
    before, after, root = slot.before, slot.after, chord.root.pitch_class
    if before is None or after is None:
        return False
    leads = before.is_dominant or Degree(3, -1) in before.degrees
    return (
        leads and (before.root.pitch_class - root) % 12 == 7 == (root - after.root.pitch_class) % 12
    )


def _reason(chord: Chord, rootless: Chord, setting: Setting, *, after: bool = False) -> str:
    root, ninth = chord.root.unicode, _NINTH.over(chord.root).plain().unicode
    third, fifth, seventh = (
        degree.over(chord.root).unicode for degree in (Degree(3), Degree(5), Degree(7, -1))
    )
    if setting.bass_player:
        heard = f"over the bass player's {root} it is {root}9"
    elif after:
        heard = f"the root {root} was heard before it"
    else:
        heard = f"the roots fall by fifths, so that {root} is heard"
    has_ninth = Degree(9) in chord.degrees
    gone = f"{root} is left out" if has_ninth else f"the ninth {ninth} replaces {root}"
    return (
        f"{rootless.unicode} replaces {chord.unicode} as its ninth chord without the root: {gone}; "
        f"{third}, {fifth} and {seventh} stay; {heard}"
    )
