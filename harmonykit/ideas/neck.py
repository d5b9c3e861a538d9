"""Findings on the strings: what moves along the neck, two tunings, the smoothest way on."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from harmonykit.about.ways import ways_on
from harmonykit.evidence.kinds import kind_of
from harmonykit.fretboard.shapes import finding, textures, voicing
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Teach
from harmonykit.ideas.source import Source
from harmonykit.ideas.strings import HIGHEST, SHAPES, STEP, Going, Strings, voices
from harmonykit.theory.chord import Chord
from harmonykit.theory.consonance import roughness
from harmonykit.words.numbers import in_words, join_words, number


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
            f"{join_words(digits)} each sound {_notes(source)}; the frets in between give the "
            f"{in_words(by - 1, 'other')} of this kind.",
            near_miss=_seventh_moves(shape, by),
            fits=Fits(("dim7", "7", "+")),
            ease=Ease((digits[0],), 1),
            hearing=Hearing("top", "the whole chord moves up"),
            weight=0.7,
            teach=Teach("", f"slide by {by}"),
        )


def _seventh_moves(shape: voicing.Voicing, by: int) -> str:
    """Return what happens where a shape of another chord is moved as far."""
    chord = Chord.of("G", "7")
    shapes = finding.find_voicings(chord, shape.instrument, HIGHEST)[:1]
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
    kinds = {v: (textures.layout_of(_all_strings(v)), textures.layout_of(low[v])) for v in low}
    high = [v for v, kind in kinds.items() if kind == ("close", "drop 2")]
    if not high:
        return
    digits = [v.digits for v in high]
    label = neck.printed_labels[0]
    label = label[0].upper() + label[1:]
    others = [f"{v.digits} is {_both(*kind)}." for v, kind in kinds.items() if v not in high]
    whose = source.name if source.voicing else f"{join_words(digits)} of {source.name}"
    first = high[0]
    rough = roughness(_all_strings(first)), roughness(low[first])
    yield Finding(
        "on the strings",
        f"One grip, two sounds: {whose} "
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
            for shape in finding.find_voicings(chord, neck, HIGHEST)[:SHAPES]:
                pitches = _all_strings(shape)
                if len({pitch % 12 for pitch in pitches}) < len(neck.midi):
                    continue
                here = textures.layout_of(pitches)
                there = textures.layout_of((pitches[0] - 12, *pitches[1:]))
                if here and there and (here, there) != ("close", "drop 2"):
                    return f"{shape.digits} ({chord.unicode}) is {_both(here, there)}."
    return ""


def _all_strings(shape: voicing.Voicing) -> tuple[int, ...]:
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
    told = join_words(
        [parts[0], *(p.replace(" voices", "").replace(" voice", "") for p in parts[1:])]
    )
    as_what = f" as {way.dominant.chord.unicode}" if way.dominant and way.dominant.missing else ""
    yield Finding(
        "in the hand",
        f"{best.before.digits} to {best.after.digits} is {chord.unicode}{as_what} to "
        f"{way.target.unicode}: {told}, none by more than a whole step.",
        f"String by string: {'; '.join(_steps(strings.source, best))}.",
        near_miss=_near_miss(strings, best, [w.target for w in ways]),
        fits=Fits(("7",), falls=True) if way.dominant else Fits(("m7", "m7b5"), falls=True),
        ease=best.ease,
        hearing=best.hearing,
        weight=0.9,
        teach=Teach("", "lead", best.target.symbol),
    )


def _steps(source: Source, going: Going) -> Iterator[str]:
    """Yield what the voice of each string does, in string order."""
    starts = (pitch for pitch in going.before.midi if pitch is not None)
    for pitch, step in zip(starts, going.steps, strict=True):
        name, after = source.spell(pitch % 12), going.target.spell((pitch + step) % 12)
        verb = "rises to" if step > 0 else "falls to" if step else "stays"
        yield f"{name.unicode} {verb}" + f" {after.unicode}" * bool(step)


def _near_miss(strings: Strings, best: Going, targets: Sequence[Chord]) -> str:
    """Return where voices do not go both ways, as they do in the best; or where one leaps."""
    down, up, _ = best.counts
    return _stiffest(strings, targets) if down and up else _leaping(strings, targets)


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
        for shape in finding.find_voicings(target, strings.neck, HIGHEST)[:SHAPES]:
            steps = voices(before, shape)
            if not steps:
                return f"To {target.unicode} as {shape.digits}, other strings sound."
            if (widest := max(map(abs, steps))) > STEP:
                return (
                    f"To {target.unicode} as {shape.digits}, one voice leaps by "
                    f"{number(widest)} half steps."
                )
    return ""
