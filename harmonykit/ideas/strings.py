"""Findings on the strings: what one finger changes, what moves along the neck, how voices go on.

Conventions.  A change is played on one of the source's usual shapes, the first on which all of it
can be held; a voice is on top or in the bass by its pitch, not by its string.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from harmonykit.about.ways import ways_on
from harmonykit.evidence.kinds import kind_of
from harmonykit.fretboard.hands.change import change
from harmonykit.fretboard.hands.holding import can_hold
from harmonykit.fretboard.hands.limits import Limits
from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.textures import layout_of
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Teach
from harmonykit.ideas.laws import listed, number
from harmonykit.ideas.source import Source
from harmonykit.theory.chord import Chord
from harmonykit.theory.consonance import roughness
from harmonykit.theory.diminished import Move
from harmonykit.theory.leading.neighbours import OneNote
from harmonykit.theory.naming import exact_names
from harmonykit.tune.class_file import ClassFile

_SHAPES, _HIGHEST = 3, 7
_STEP = 2


@dataclass(frozen=True)
class Strings:
    """The source on an instrument.

    Parameters
    ----------
    source : Source
    neck : Instrument
    knows : ClassFile or None
        The class, whose grips are not new.
    """

    source: Source
    neck: Instrument
    knows: ClassFile | None = None

    @cached_property
    def shapes(self) -> tuple[Voicing, ...]:
        """The shapes on which findings are shown: the one given, or the most usual."""
        if self.source.voicing is not None:
            return (self.source.voicing,)
        if self.source.chord is None:
            return ()
        return find_voicings(self.source.chord, self.neck, _HIGHEST)[:_SHAPES]

    @property
    def limits(self) -> Limits:
        """A wide hand on the whole neck."""
        return Limits(max_fret=self.neck.frets)

    def moved(self, ways: Sequence[OneNote]) -> tuple[Ease, Hearing]:
        """Return how one-note changes are played and heard, all from one shape."""
        for shape in self.shapes:
            found = [(way, self._after(shape, way.move)) for way in ways]
            held = [(way, after) for way, after in found if after is not None]
            if len(held) == len(ways):
                return self._worth(shape, held)
        return Ease(), Hearing("inner")

    def _worth(self, shape: Voicing, held: list[tuple[OneNote, Voicing]]) -> tuple[Ease, Hearing]:
        after = [one for _, one in held]
        fingers = max(_fingers_moved(shape, one) for one in after)
        played = (shape, *after)
        digits = tuple(one.digits for one in played)
        ease = Ease(digits, new_grips(played, self.knows), fingers)
        heard = [hearing_of(shape, one, way.move) for way, one in held]
        return ease, min(heard, key=lambda each: -each.worth)

    def _after(self, shape: Voicing, move: Move) -> Voicing | None:
        """Return the shape with a note moved on each string that sounds it, if it can be held."""
        frets = list(shape.frets)
        for string, pitch in enumerate(shape.midi):
            fret = frets[string]
            if pitch is not None and fret is not None and pitch % 12 == move.start.pitch_class:
                if not self.neck.has_fret(string, fret + move.semitones):
                    return None
                frets[string] = fret + move.semitones
        after = replace(shape, frets=tuple(frets))
        return after if after != shape and can_hold(after.frets, self.neck, self.limits) else None

    def easiest(self, targets: Sequence[Chord]) -> Going | None:
        """Return how the source goes most easily into one of some chords, by steps alone.

        Where it can be, voices fall and rise; then the shape with fewest strings pressed.
        """
        found = [going for target in targets for going in self._going(target)]
        return min(found, key=lambda each: each.order, default=None)

    def _going(self, target: Chord) -> tuple[Going, ...]:
        known = self._known
        if target not in known:
            known[target] = tuple(
                Going(target, shape, near, steps, self.knows)
                for shape in self.shapes[:1]
                for near in find_voicings(target, self.neck, _HIGHEST)
                if (steps := voices(shape, near)) and max(map(abs, steps)) <= _STEP
            )
        return known[target]

    @cached_property
    def _known(self) -> dict[Chord, tuple[Going, ...]]:
        return {}


@dataclass(frozen=True)
class Going:
    """A shape that goes into a shape of another chord, each voice by a step at most.

    Parameters
    ----------
    target : Chord
    before, after : Voicing
    steps : list of int
        How far the voice of each string moves, in semitones.
    knows : ClassFile or None
    """

    target: Chord
    before: Voicing
    after: Voicing
    steps: list[int]
    knows: ClassFile | None = None

    @property
    def counts(self) -> tuple[int, int, int]:
        """How many voices fall, rise and stay."""
        down, up = sum(s < 0 for s in self.steps), sum(s > 0 for s in self.steps)
        return down, up, len(self.steps) - down - up

    @property
    def order(self) -> tuple[bool, int, int, int]:
        """What is less where voices go both ways and the shape is easy."""
        down, up, stay = self.counts
        pressed = len([fret for fret in self.after.frets if fret])
        return not (down and up), stay, pressed, sum(map(abs, self.steps))

    @property
    def ease(self) -> Ease:
        """What the hand does."""
        shapes = (self.before.digits, self.after.digits)
        learnt = new_grips((self.before, self.after), self.knows)
        return Ease(shapes, learnt, _fingers_moved(self.before, self.after))

    @property
    def hearing(self) -> Hearing:
        """Which outer voice moves by step."""
        steps = {"top": self.after.top - self.before.top,
                 "bass": self.after.lowest - self.before.lowest}  # fmt: skip
        shown = f"{self.before.digits} to {self.after.digits}"
        for name, step in steps.items():
            if 0 < abs(step) <= _STEP:
                verb, size = "rises" if step > 0 else "falls", "half" if abs(step) == 1 else "whole"
                voice = "top voice" if name == "top" else name
                return Hearing(name, f"the {voice} {verb} by a {size} step ({shown})")
        return Hearing("inner", f"inner voices move by step ({shown})")


def voices(a: Voicing, b: Voicing) -> list[int]:
    """Return how far the voice of each string moves, in semitones; empty where strings differ.

    Examples
    --------
    >>> voices(Voicing.parse("1212", "ukulele"), Voicing.parse("0003", "ukulele"))
    [-1, -2, -1, 1]
    """
    pairs = list(zip(a.midi, b.midi, strict=True))
    if any((low is None) != (high is None) for low, high in pairs):
        return []
    return [high - low for low, high in pairs if low is not None and high is not None]


def hearing_of(a: Voicing, b: Voicing, move: Move) -> Hearing:
    """Return in which voice a note moves by step from a shape to a shape."""
    start = move.start.pitch_class
    voice = "top" if a.top % 12 == start else "bass" if a.lowest % 12 == start else "inner"
    where = {"top": "on top", "bass": "in the bass", "inner": "in an inner voice"}[voice]
    return Hearing(voice, f"{move} {where} ({a.digits} to {b.digits})")


_FIRST_KINDS, _FIRST_FRETS = ("", "m", "7"), 3


def new_grips(shapes: Iterable[Voicing], knows: ClassFile | None = None) -> int:
    """Return how many shapes are new to a class; one of which nothing is said knows the open ones.

    Those are major, minor and dominant seventh chords with an open string and no fret above the
    third (common practice, no source).

    Examples
    --------
    >>> new_grips(Voicing.parse(frets, "ukulele") for frets in ("1212", "0003", "0212", "2213"))
    2
    """
    if knows is not None:
        return len(knows.new(shapes))
    return sum(
        0 not in shape.frets
        or shape.highest_fret > _FIRST_FRETS
        or not any(name.quality in _FIRST_KINDS for name in exact_names(shape.pcs))
        for shape in set(shapes)
    )


def _fingers_moved(a: Voicing, b: Voicing) -> int:
    return sum(move.what != "stays" for move in change(a, b).moves)


def on_strings(strings: Strings) -> Iterator[Finding]:
    """Yield what is true of the source's shapes."""
    yield from _along_the_neck(strings)
    yield from _two_tunings(strings)
    yield from _smoothest(strings)


def _along_the_neck(strings: Strings) -> Iterator[Finding]:
    """Yield that a shape moved along the neck keeps its notes, where it does."""
    source = strings.source
    if source.chord is None or source.pcs.symmetry[0] == 1:
        return
    by = 12 // source.pcs.symmetry[0]
    movable = [shape for shape in strings.shapes if 0 not in shape.frets] or [
        shape for shape in strings.shapes if shape.highest_fret
    ]
    for shape in movable[:1]:
        frets = [tuple(f + by * k for f in shape.frets if f is not None) for k in range(12 // by)]
        if None in shape.frets:
            continue
        fits = [f for f in frets if max(f) <= strings.neck.frets]
        moved = [replace(shape, frets=f) for f in fits]
        if not all(one.pcs == source.pcs for one in moved):
            continue
        digits = [one.digits for one in moved]
        yield Finding(
            "on the strings",
            f"Move {digits[0]} up by {number(by)} frets and the same notes sound: one shape plays "
            f"every chord of this kind.",
            f"{listed(digits)} each sound {_notes(source)}; the frets in between give the "
            f"{number(by - 1)} other{'' if by == 2 else 's'} of this kind.",
            near_miss=_seventh_moves(shape, by),
            fits=Fits(("dim7", "7", "+")),
            ease=Ease((digits[0],), 1),
            hearing=Hearing("top", "the whole chord moves up"),
            weight=0.7,
            teach=Teach("", f"slide by {by}"),
        )


def _seventh_moves(shape: Voicing, by: int) -> str:
    """Return what happens where a shape of another chord is moved as far."""
    chord = Chord.of("G", "7")
    shapes = find_voicings(chord, shape.instrument, _HIGHEST)[:1]
    if not shapes or any(f is None for f in shapes[0].frets):
        return ""
    up = replace(shapes[0], frets=tuple((f or 0) + by for f in shapes[0].frets))
    root = chord.transpose({3: "m3", 4: "M3", 6: "d5", 2: "M2"}.get(by, "P1"))
    same = up.pcs == root.pcs
    return f"{shapes[0].digits} (G7) moved as far, {up.digits}, is {root.unicode}." if same else ""


def _notes(source: Source) -> str:
    return " ".join(source.spell(pc).unicode for pc in source.pcs)


def _two_tunings(strings: Strings) -> Iterator[Finding]:
    """Yield that grips are close with a high fourth string, and drop 2 with a low one."""
    neck, source = strings.neck, strings.source
    midi = neck.midi
    if source.chord is None or len(source.pcs) != 4 or len(midi) != 4 or midi[0] < midi[1]:
        return
    whole = [v for v in strings.shapes if len({p % 12 for p in v.midi if p is not None}) == 4]
    low = {v: (pitches[0] - 12, *pitches[1:]) for v in whole if (pitches := _all_strings(v))}
    kinds = {v: (layout_of(_all_strings(v)), layout_of(low[v])) for v in low}
    high = [v for v, kind in kinds.items() if kind == ("close", "drop 2")]
    if not high:
        return
    digits = [v.digits for v in high]
    label = neck.printed_labels[0]
    label = label[0].upper() + label[1:]
    others = [f"{v.digits} is {_both(*kind)}." for v, kind in kinds.items() if v not in high]
    first = high[0]
    rough = roughness(_all_strings(first)), roughness(low[first])
    yield Finding(
        "on the strings",
        f"One grip, two sounds: {listed(digits)} of {source.name} "
        f"{'is' if len(digits) == 1 else 'are'} in close position with a high {label} "
        f"(re-entrant), and drop 2 with a low {label}.",
        f"{digits[0]}: pitches {_pitches(_all_strings(first))} with the high {label}. An octave "
        f"lower, the {label} string has the second note from the top in the bass; roughness "
        f"{rough[0]:.2f} and {rough[1]:.2f}.",
        near_miss="".join(others[:1]) or _lying_otherwise(neck),
        fits=Fits((kind_of(source.chord.semitones),)),
        ease=Ease(tuple(digits), 0),
        hearing=Hearing("bass", "the bass is lower"),
        weight=0.6,
    )


def _both(here: str, there: str) -> str:
    """Return how a shape lies with a high fourth string, and with a low one."""
    return (
        f"{here} with either tuning of the fourth string"
        if here == there
        else f"{here}, and {there} with the low one"
    )


def _lying_otherwise(neck: Instrument) -> str:
    """Return a usual shape that is not close, or not drop 2 an octave lower."""
    for suffix in ("7", "maj7", "m7", "6"):
        for root in ("C", "G", "D", "A"):
            chord = Chord.of(root, suffix)
            for shape in find_voicings(chord, neck, _HIGHEST)[:_SHAPES]:
                pitches = _all_strings(shape)
                if len({pitch % 12 for pitch in pitches}) < len(neck.midi):
                    continue
                here = layout_of(pitches)
                there = layout_of((pitches[0] - 12, *pitches[1:]))
                if here and there and (here, there) != ("close", "drop 2"):
                    return f"{shape.digits} ({chord.unicode}) is {_both(here, there)}."
    return ""


def _all_strings(shape: Voicing) -> tuple[int, ...]:
    """Return the pitch of each string, in string order; nothing where one is muted."""
    return tuple(p for p in shape.midi if p is not None) if None not in shape.midi else ()


def _pitches(midi: Sequence[int]) -> str:
    return " ".join(str(pitch) for pitch in sorted(midi))


def _smoothest(strings: Strings) -> Iterator[Finding]:
    """Yield how the source's shape moves by steps into the chord to which it goes."""
    chord = strings.source.chord
    if chord is None or not strings.shapes:
        return
    ways = ways_on(chord)
    best = strings.easiest([way.target for way in ways])
    if best is None or not any(best.steps):
        return
    way = next(way for way in ways if way.target == best.target)
    down, up, stay = best.counts
    parts = [f"{number(n)} {'voice' if n == 1 else 'voices'} {verb + 's' * (n == 1)}"
             for n, verb in ((down, "fall"), (up, "rise"), (stay, "stay")) if n]  # fmt: skip
    told = listed([parts[0], *(p.replace(" voices", "").replace(" voice", "") for p in parts[1:])])
    as_what = f" as {way.dominant.chord.unicode}" if way.dominant and way.dominant.missing else ""
    yield Finding(
        "in the hand",
        f"{best.before.digits} to {best.after.digits} is {chord.unicode}{as_what} to "
        f"{way.target.unicode}: {told}, none by more than a whole step.",
        "; ".join(map(str, way.moves)) + ".",
        near_miss=_stiffest(strings, [w.target for w in ways]),
        fits=Fits(("7",), falls=True) if way.dominant else Fits(("m7", "m7b5"), falls=True),
        ease=best.ease,
        hearing=best.hearing,
        weight=0.9,
        teach=Teach("", "lead", best.target.symbol),
    )


def _stiffest(strings: Strings, targets: Sequence[Chord]) -> str:
    """Return the easiest shape of a target where the voices do not go both ways."""
    for target in targets:
        best = strings.easiest([target])
        if best is not None:
            down, up, stay = best.counts
            if not (down and up) and (down or up):
                moving = down or up
                verb = ("fall" if down else "rise") + "s" * (moving == 1)
                still = f", {number(stay)} {'stays' if stay == 1 else 'stay'}" if stay else ""
                return (
                    f"To {target.unicode}, {best.after.digits}: {number(moving)} "
                    f"voice{'s' * (moving > 1)} {verb}{still}."
                )
    return _leaping(strings, targets)


def _leaping(strings: Strings, targets: Sequence[Chord]) -> str:
    """Return a usual shape of a target into which a voice has to leap."""
    before = strings.shapes[0]
    for target in targets:
        for shape in find_voicings(target, strings.neck, _HIGHEST)[:_SHAPES]:
            steps = voices(before, shape)
            if not steps:
                return f"To {target.unicode} as {shape.digits}, other strings sound."
            if (widest := max(map(abs, steps))) > _STEP:
                return (
                    f"To {target.unicode} as {shape.digits}, one voice leaps by "
                    f"{number(widest)} half steps."
                )
    return ""
