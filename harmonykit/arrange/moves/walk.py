"""The walk along the scale of chords: as long as one chord lasts, over the bar line and out of it.

A walk is offered as a web: on every beat the chord may be held or, on a lighter beat, its scale's
diminished seventh may be struck; which of the ways through it is taken, which way the strings go
and where they turn is the search's to choose.  What a walk may do in time:

- it begins on the chord as written, at once or after that was held, and every diminished seventh
  stands on a lighter beat than the chords on both sides;
- it goes on over the bar line, and into the next chord where that has the same scale (C6, Am7);
- in its last beats it may go to the diminished seventh of the next chord, where the moves that do
  so are allowed there;
- where an eighth is slow enough, a diminished seventh may stand on the *and* before a heavy beat;
- bars go in pairs: a walk of every beat starts in the first bar of a pair after a held chord and
  comes to rest in the second, so that six beats at most pass without one;
- it rests for half a bar at the end of a phrase.

All of it is common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from harmonykit.arrange.moves.dominants import RootlessDominant, broken_resolution
from harmonykit.arrange.moves.inside import has_major_seventh, walking_scales
from harmonykit.arrange.moves.leading_tone import LeadingTone, Passing
from harmonykit.arrange.moves.placing import ANOTHER_BASS, FINAL
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant, Web
from harmonykit.arrange.moves.two_names import needs_the_ninth
from harmonykit.arrange.moves.weaver import Weaver
from harmonykit.arrange.slots import Slot, melody_between
from harmonykit.theory.chord import Chord, Degree
from harmonykit.theory.scale import SixthDiminished
from harmonykit.tune.bar import beat_length

ASCENDING, DESCENDING = "ascending walk", "descending walk"
WAYS = {ASCENDING: 1, DESCENDING: -1}
"""The moves that walk, and which way the strings go."""

_SEVENTH, _FLAT_NINTH = Degree(7), Degree(9, -1)
_LEADING_ON = (LeadingTone(), Passing(), RootlessDominant())


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk up or down the scale of chords (the sixth-diminished scale) while one chord lasts.

    Every string goes one scale step each time, so that the sixth chord (or what the chord has for
    one) and the diminished seventh sound by turns, the sixth chord on the heavier beats.  Not on
    the final chord; not under a major seventh that the melody holds, which the sixth would rub.  A
    major seventh, a ninth and the like walk as the chord inside them (``inside``).

    The scale is the usual one of the chord.  With a bass player, who sounds the root, the others
    serve too: for a major seventh the major scale on its fifth (which has no root to rub), for a
    dominant the minor one on its fifth (a rootless ninth, and so none before a minor chord unless
    the melody has the ninth) and, where it resolves down a fifth, on its ♭9.

    Where both ways are asked for, the walk up offers both: it may turn.
    """

    name: str = ASCENDING

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Web | Refused]:
        """Yield the slot as a web of walks on each scale that serves."""
        chord = slot.chord
        if chord is None or (self.name == DESCENDING and ASCENDING in setting.moves):
            return
        if rule := _broken(slot, chord, setting):
            yield Refused(rule)
            return
        both = {ASCENDING, DESCENDING} <= setting.moves
        ways = (1, -1) if both else (WAYS[self.name],)
        leading = leading_parts(slot, setting)
        refused, offered = "", False
        for scale in _scales(slot, chord, setting):
            weaver = Weaver(slot, setting, scale, self.name, ways, leading)
            web = weaver.web()
            refused = refused or weaver.refused
            if web is not None:
                offered = True
                yield web
        if not offered:
            yield Refused(refused or "a walk does not fit the beats of this chord")


def leading_parts(slot: Slot, setting: Setting) -> list[Part]:
    """Return the diminished sevenths that may lead on from a slot, as the moves offer them."""
    found: dict[Chord | None, Part] = {}
    for rule in _LEADING_ON:
        if rule.name in setting.moves:
            for one in rule.offer(slot, setting):
                if isinstance(one, Variant) and len(one.parts) > len(slot.pieces):
                    found.setdefault(one.parts[-1].chord, one.parts[-1])
    return list(found.values())


def _scales(slot: Slot, chord: Chord, setting: Setting) -> list[SixthDiminished]:
    """Return the scales that serve: alone, only the usual one, which has the chord's root."""
    sung = has_major_seventh(chord) and _sung_seventh(slot, chord, setting)
    return [
        scale
        for place, scale in enumerate(walking_scales(chord, rootless=setting.bass_player))
        if not (sung and place == 0) and not _broken_scale(slot, chord, scale, setting)
    ]


def _broken_scale(slot: Slot, chord: Chord, scale: SixthDiminished, setting: Setting) -> bool:
    if not chord.is_dominant or scale.tonic.pitch_class == chord.root.pitch_class:
        return False
    if _FLAT_NINTH.over(chord.root).pitch_class in scale.chord.pcs:
        target = slot.after
        return target is None or bool(broken_resolution(chord, target, setting.key))
    return needs_the_ninth(slot, setting)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    if slot.final:
        return FINAL
    others = setting.bass_player and has_major_seventh(chord)
    if _sung_seventh(slot, chord, setting) and not others:
        return "not under a held major seventh"
    if chord.bass != chord.root:
        return ANOTHER_BASS
    if any(degree.number > 7 and degree.alter for degree in chord.degrees):
        return f"the scale lacks the tensions of {chord.unicode}"
    if not walking_scales(chord, rootless=setting.bass_player):
        return f"{chord.unicode} has no sixth-diminished scale"
    return ""


def _sung_seventh(slot: Slot, chord: Chord, setting: Setting) -> bool:
    """Whether the melody holds the major seventh over the chord's root, for a beat or more."""
    seventh = _SEVENTH.over(chord.root).pitch_class
    sung = melody_between(setting.melody, slot.onset, slot.onset + slot.beats)
    beat = beat_length(slot.pieces[0].meter)
    return any(note.note.pitch_class == seventh and note.beats >= beat for note in sung)
