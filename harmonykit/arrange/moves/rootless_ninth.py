"""A ninth chord without its root."""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.placing import ANOTHER_BASS, FINAL, melody_clash
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant
from harmonykit.arrange.moves.synonym import other_name
from harmonykit.arrange.slots import Slot, melody_between
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.interval import Interval

_NINTH = Degree(9)


@dataclass(frozen=True, slots=True)
class RootlessNinth:
    """A dominant as its ninth chord without the root: the minor sixth on its fifth.

    G9 without G is D F A B, the shape of Dm6 and Bm7♭5.  The dominant is written 7 or 9.  None
    before a minor chord unless the melody has the ninth, not on the final chord, none under a
    melody note a semitone above its tones.  Alone it is heard as the other chord, and the reason
    says so; with a bass player the root is there (common practice, no source).
    """

    name: str = "rootless ninth"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot as the rootless ninth."""
        chord = slot.chord
        if chord is None or not chord.is_dominant:
            return
        rootless = ninth_without_root(chord)
        rule = _broken(slot, chord, setting)
        for piece in slot.pieces:
            rule = rule or melody_clash(rootless, piece.onset, piece.beats, piece, setting)
        if rule:
            yield Refused(rule)
            return
        reason = _reason(chord, rootless, setting)
        parts = (Part(rootless, p.onset, p.beats, p.bar, self.name, reason) for p in slot.pieces)
        yield Variant(tuple(parts), keeps_first=False)


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
        return FINAL
    if chord.quality not in ("7", "9"):
        return f"{chord.unicode} is not written 7 or 9"
    if chord.bass != chord.root:
        return ANOTHER_BASS
    if needs_the_ninth(slot, setting):
        return "before a minor chord, only where the melody has the ninth"
    return ""


def _reason(chord: Chord, rootless: Chord, setting: Setting) -> str:
    root, ninth = chord.root.unicode, _NINTH.over(chord.root).plain().unicode
    third, fifth, seventh = (
        degree.over(chord.root).unicode for degree in (Degree(3), Degree(5), Degree(7, -1))
    )
    heard = (
        f"over the bass player's {root} it is {root}9"
        if setting.bass_player
        else f"alone it is heard as {rootless.unicode} or {other_name(rootless).unicode}"
    )
    has_ninth = Degree(9) in chord.degrees
    gone = f"{root} is left out" if has_ninth else f"the ninth {ninth} replaces {root}"
    return (
        f"{rootless.unicode} replaces {chord.unicode} as its ninth chord without the root: {gone}; "
        f"{third}, {fifth} and {seventh} stay; {heard}"
    )
