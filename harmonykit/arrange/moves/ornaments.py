"""Ornaments of a chord: the suspension, the appoggiatura, the slide and the pedal point."""

from collections.abc import Iterator

from harmonykit.arrange.moves import placing
from harmonykit.arrange.moves.rule import Part, Refused, Setting, Variant, cut_short
from harmonykit.arrange.slots import Slot, beat_weight
from harmonykit.theory import diminished, naming, spelling
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.bar import beat_length
from harmonykit.values import dataclass

SUSPENSION = "suspension"
UNPREPARED = "a suspension must be prepared: its note must sound in the chord before"


@dataclass(frozen=True, slots=True)
class Suspension:
    """A chord of four notes, one of which comes late: its neighbour above sounds first.

    The neighbour is the next note of the chord's sixth-diminished scale, a note of its diminished
    seventh, and resolves down by step on the same string while the others stay.  A suspension is
    prepared: the chord before has the note, which is held over; and it stands on a heavier beat
    than its resolution (Wikipedia, "Nonchord tone").  An appoggiatura is struck unprepared, and
    only where it is asked for by name.  Which one is played the search says, which knows the
    shapes.  The root is not delayed, and the chord with the neighbour has a symbol of its own.
    Half a bar of four, a beat of less; the chord keeps as much (common practice, no source).
    """

    name: str = SUSPENSION
    prepared: bool = True

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with each note that can come late."""
        chord = slot.chord
        if chord is None:
            return
        scale = next((s for s in scales_for(chord) if s.chord.pcs == chord.pcs), None)
        if scale is None or len(chord.pcs) != 4:
            yield Refused(f"{chord.unicode} is not the chord of a sixth-diminished scale")
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
            return Refused("the root must not be delayed")
        sounding = delayed_chord(chord, scale, late)
        if sounding is None:
            return Refused("the chord with the delayed note has no symbol")
        beats = placing.early_beats(first) or first.beats
        held = scale.step(late) % 12
        if self.prepared and (slot.before is None or held not in slot.before.pcs):
            return Refused(UNPREPARED)
        clash = placing.melody_clash(sounding, first.onset, beats, first, setting)
        clash = clash or placing.sings_the_resolution(sounding, chord, first.onset, beats, setting)
        if clash:
            return Refused(clash)
        neighbour = scale.spell(scale.step(late) % 12).plain()
        reason = f"{neighbour.unicode} resolves down to {chord.spell(late).plain().unicode}"
        parts = [
            Part(
                sounding,
                first.onset,
                beats,
                first.bar,
                self.name,
                reason,
                scale=scale,
                delayed=late,
            ),
            Part(chord, first.onset + beats, first.beats - beats, first.bar, scale=scale),
        ]
        parts += [Part(chord, p.onset, p.beats, p.bar, scale=scale) for p in slot.pieces[1:]]
        return Variant(tuple(parts), scale, keeps_first=False)


def delayed_chord(chord: Chord, scale: SixthDiminished, late: int) -> Chord | None:
    """Return a chord with one note a scale step higher, on its own root where a symbol says so.

    Examples
    --------
    >>> c6 = Chord.parse("C6")
    >>> [str(delayed_chord(c6, scales_for(c6)[0], pc)) for pc in (4, 7, 9)]
    ['C6sus4', 'Ammaj7/C', 'Cmaj7']
    """
    pcs = PcSet.of(*((pc if pc != late else scale.step(pc) % 12) for pc in chord.pcs))
    names = naming.exact_names(pcs)
    own = next((name for name in names if name.root == chord.root), None)
    return own or (names[0].over(chord.root) if names else None)


def _broken(slot: Slot, chord: Chord, setting: Setting) -> str:
    first = slot.pieces[0]
    if chord.bass != chord.root:
        return placing.ANOTHER_BASS
    beats = placing.early_beats(first)
    if beats is None:
        return placing.ONE_BEAT
    if beat_weight(first.meter, first.at) <= beat_weight(first.meter, first.at + beats):
        return placing.LIGHTER
    if not setting.lasts(min(beats, first.beats - beats)):
        return placing.too_short(setting)
    return ""


SLIDE = "slide"
_FRETS = {"above": -1, "below": 1}


@dataclass(frozen=True, slots=True)
class Push:
    """The next chord half a beat early, tied over the bar line: the same chords, in another rhythm.

    The chord before keeps a beat or more, what follows is on a heavier beat, and the melody has no
    note a semitone above a tone of what comes early (common practice, no source).
    """

    name: str = "push"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last half beat given to the chord that follows."""
        chord, target, last = slot.chord, slot.after, slot.pieces[-1]
        if chord is None:
            return
        early = beat_length(last.meter) / 2
        rule = placing.broken_edge(slot, setting)
        rule = rule or (placing.ONE_BEAT if last.beats < 4 * early else "")
        start = last.onset + last.beats - early
        if not rule and target is not None:
            rule = placing.melody_clash(target, start, early, last, setting)
        if rule or target is None:
            yield Refused(rule)
            return
        reason = f"{target.unicode} comes half a beat early and is held over the bar line"
        put = Part(target, start, early, last.bar, self.name, reason)
        yield Variant((*cut_short(slot, early), put), needs_next=True)


@dataclass(frozen=True, slots=True)
class Late:
    """The chord a beat late: the one before it is held over the bar line.

    The chord keeps a beat or more, and the melody has no note a semitone above a tone of what is
    held over.  Not on the first chord nor the last (common practice, no source).
    """

    name: str = "late"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its first beat given to the chord before it."""
        chord, before, first = slot.chord, slot.before, slot.pieces[0]
        if chord is None:
            return
        beat = beat_length(first.meter)
        rule = placing.FINAL if slot.final else ""
        if not rule and (before is None or before == chord):
            rule = "another chord must come before"
        rule = rule or (placing.ONE_BEAT if first.beats < 2 * beat else "")
        if not rule and before is not None:
            rule = placing.melody_clash(before, first.onset, beat, first, setting)
        if rule or before is None:
            yield Refused(rule)
            return
        reason = f"{before.unicode} is held over, and {chord.unicode} comes a beat late"
        held = Part(before, first.onset, beat, first.bar, self.name, reason)
        kept = [Part(chord, first.onset + beat, first.beats - beat, first.bar)]
        kept += [Part(chord, p.onset, p.beats, p.bar) for p in slot.pieces[1:]]
        yield Variant((held, *kept), keeps_first=False)


@dataclass(frozen=True, slots=True)
class Slide:
    """The next chord's shape a fret higher or lower on the last beat before it.

    Every finger goes one fret along its string, so that no string of it is open.  The chord before
    keeps a beat or more, what follows is on a heavier beat and is not a diminished seventh, and
    the melody has no note a semitone above a tone of it (common practice, no source).
    """

    name: str = SLIDE

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beat given to the slide from above, and from below."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        last = slot.pieces[-1]
        beat = beat_length(last.meter)
        rule = placing.broken_edge(slot, setting)
        if not rule and target is not None and target.is_diminished_seventh:
            rule = placing.IN_A_ROW
        rule = rule or (
            placing.ONE_BEAT
            if last.beats < 2 * beat
            else placing.broken_timing(slot, beat, setting)
        )
        if rule or target is None:
            yield Refused(rule)
            return
        start = last.onset + last.beats - beat
        for side, frets in _FRETS.items():
            slid = beside_chord(target, side)
            if clash := placing.melody_clash(slid, start, beat, last, setting):
                yield Refused(clash)
                continue
            way = "down" if frets < 0 else "up"
            reason = f"{slid.unicode} slides {way} a fret into {target.unicode} on every string"
            put = Part(slid, start, beat, last.bar, self.name, reason, slides=frets)
            yield Variant((*cut_short(slot, beat), put), needs_next=True)


def beside_chord(target: Chord, side: str) -> Chord:
    """Return the chord a semitone above a chord, or below it, its root named as charts do.

    Examples
    --------
    >>> [beside_chord(Chord.parse("Dm7"), side).symbol for side in ("above", "below")]
    ['Ebm7', 'C#m7']
    >>> beside_chord(Chord.parse("Bb7/D"), "above").symbol
    'B7/D#'
    """
    root = spelling.chart_name(spelling.beside(target.root, side).at(None))
    bass = target.bass.transpose(target.root.interval_to(root)).at(None).plain()
    return Chord(root, target.degrees, bass)


@dataclass(frozen=True, slots=True)
class PedalPoint:
    """The diminished seventh of the next root over a bass that the chart holds on both sides.

    Between C/G and G7 it is F♯°7 over G: the upper voices move, the bass does not (common practice,
    no source).  Four strings leave the bass to whoever plays it; where more strings sound, it is
    the lowest.  All other rules are those of a leading-tone diminished.
    """

    name: str = "pedal point"

    def offer(self, slot: Slot, setting: Setting) -> Iterator[Variant | Refused]:
        """Yield the slot with its last beats given to the chord over the pedal point."""
        chord, target = slot.chord, slot.after
        if chord is None:
            return
        rule = placing.broken_edge(slot, setting, held=True)
        if rule or target is None:
            yield Refused(rule)
            return
        added = diminished.approach(target.root)
        if rule := _not_over_pedal(chord, target, added):
            yield Refused(rule)
            return
        over = added.over(chord.bass)
        reason = (
            f"{added.unicode} resolves to {target.unicode} over the pedal point "
            f"{chord.bass.unicode}"
        )
        yield placing.offer_late(slot, setting, over, self.name, reason, leads=True)


def _not_over_pedal(chord: Chord, target: Chord, added: Chord) -> str:
    if not placing.bass_is_held(chord, target):
        return "the same bass must come before and after it"
    if target.is_diminished_seventh or chord.is_diminished_seventh:
        return placing.IN_A_ROW
    return placing.already_parent(chord, added)
