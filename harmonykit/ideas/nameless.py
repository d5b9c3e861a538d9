"""Findings about notes that no usual chord has: which chords are near, and which scales hold them.

Notes of an unusual chord are heard as a chord on its way, or as a part of a scale; both are told,
and whether each interval occurs in them just once.
"""

from collections.abc import Iterator
from functools import cache

from harmonykit.ideas import laws
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Teach
from harmonykit.ideas.laws import Law
from harmonykit.ideas.source import Source
from harmonykit.theory import modes
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.naming import exact_names
from harmonykit.words.numbers import in_words, join_words, number

_EACH_ONCE = (1,) * 6
_INTERVALS = ("half step", "whole step", "minor third", "major third", "fourth", "tritone")
_MOST_SCALES, _LARGEST = 6, 6
_SCALES = ("major", "harmonic minor", "melodic minor", "whole tone", "octatonic half-whole")
_SHARP_MINORS = {1: "C#", 6: "F#", 8: "G#"}
_HALF_STEP = {-1: "falls by a half step", 1: "rises by a half step"}


def nameless(source: Source) -> Iterator[Finding]:
    """Yield what is true of a few notes that are no usual chord and no scale."""
    if source.chord is not None or source.scale is not None or len(source.pcs) > _LARGEST:
        return
    yield from _near(source)
    yield from _held(source)
    yield from _each_once(source)


def _near(source: Source) -> Iterator[Finding]:
    """Yield the usual chords that are one half step in one voice away."""
    made = list(_half_steps(source.pcs))
    if not made:
        return
    law = Law(
        lambda pcs: sum(1 for _ in _half_steps(pcs)),
        lambda name, count: f"{name} becomes {in_words(count, 'usual chord')} in this way.",
    )
    said = [f"{name.unicode} when {source.sign(pc)} {_HALF_STEP[way]}" for pc, way, name in made]
    yield Finding(
        "turns into",
        f"{source.name} becomes {join_words(said)}.",
        "; ".join(
            f"{name.unicode} is {join_words([note.unicode for note in name.notes])}"
            for _, _, name in made
        )
        + ".",
        near_miss=laws.near_miss(law, source.pcs),
        fits=Fits(tuple(dict.fromkeys(name.quality for _, _, name in made))),
        ease=Ease((), 1, 1),
        hearing=Hearing("inner", "one voice moves by a half step"),
        rarity=laws.rarity(law, source.pcs),
        teach=Teach("", "move one note", " ".join(name.symbol for _, _, name in made)),
    )


def _half_steps(pcs: PcSet) -> Iterator[tuple[int, int, Chord]]:
    """Yield each usual chord by one half step of one note: the note, which way, and the chord."""
    usual = laws.usual_sets()
    for pc in pcs:
        for way in _HALF_STEP:
            end = (pc + way) % 12
            moved = pcs.mask ^ 1 << pc ^ 1 << end
            if end not in pcs and moved in usual:
                names = exact_names(PcSet(moved))
                yield pc, way, next(name for name in names if name.quality in laws.KINDS)


def _held(source: Source) -> Iterator[Finding]:
    """Yield the scales that hold the notes, where they are few enough to be told."""
    held = [_usual(scale) for scale in modes.scales_holding(source.pcs, _SCALES)]
    if not 0 < len(held) <= _MOST_SCALES:
        return
    law = Law(
        lambda pcs: sum(pcs.mask & ~scale == 0 for scale in _scales()),
        lambda name, count: f"{name} is part of {number(count)} of these scales.",
    )
    yield Finding(
        "within",
        f"{source.name} is part of {in_words(len(held), 'scale')} of those most played: "
        f"{join_words([each.title for each in held])}.",
        "; ".join(
            f"{each.title}: {' '.join(each.spell(pc).unicode for pc in each.pcs)}" for each in held
        )
        + ".",
        near_miss=laws.near_miss(law, source.pcs),
        fits=Fits(()),
        ease=Ease((), 1, 0),
        hearing=Hearing(),
        rarity=laws.rarity(law, source.pcs),
        weight=0.7,
    )


@cache
def _scales() -> frozenset[int]:
    """Return the scales in every place, as numbers of sets."""
    first = [modes.Scale("C", name).pcs for name in _SCALES]
    return frozenset(pcs.transpose(n).mask for pcs in first for n in range(12))


def _usual(scale: modes.Scale) -> modes.Scale:
    """Return a minor scale on C♯, F♯ or G♯ rather than on D♭, G♭ or A♭."""
    tonic = _SHARP_MINORS.get(scale.tonic.pitch_class) if "minor" in scale.name else None
    return modes.Scale(tonic, scale.name) if tonic else scale


def _each_once(source: Source) -> Iterator[Finding]:
    """Yield that the notes are one of the all-interval sets of four, where they are."""
    if source.pcs.interval_vector != _EACH_ONCE:
        return
    pairs = {
        min((b - a) % 12, (a - b) % 12): f"{source.sign(a)} and {source.sign(b)}"
        for a in source.pcs
        for b in source.pcs
        if a < b
    }
    law = Law(
        lambda pcs: sum(count == 1 for count in pcs.interval_vector),
        lambda name, count: (
            f"In {name} {number(count)} of the six intervals "
            f"{'occurs' if count == 1 else 'occur'} just once."
        ),
    )
    yield Finding(
        "how even",
        f"In {source.name} each interval, from a half step to a tritone, occurs just once.",
        "; ".join(f"{name}: {pairs[size]}" for size, name in enumerate(_INTERVALS, 1)) + ".",
        near_miss=laws.near_miss(law, source.pcs),
        fits=Fits(()),
        ease=Ease((), 1, 1),
        hearing=Hearing(),
        rarity=laws.rarity(law, source.pcs),
        weight=0.6,
    )
