"""Findings about names: chords with the same notes, one grip over other basses, the nearest kin."""

from collections.abc import Iterator

from harmonykit.ideas.changes import COUNTED
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Teach
from harmonykit.ideas.laws import KINDS, Law, called, near_miss, rarity, spelled
from harmonykit.ideas.source import Source
from harmonykit.ideas.strings import Strings
from harmonykit.theory.chord import BY_DEGREES, Chord, PcSet
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.theory.naming import exact_names, name_chords
from harmonykit.theory.spelling import usual_root
from harmonykit.words.numbers import in_words, join_words, number

_NEAREST = 4
# What a chart writes over a bass; of an eleventh or ninth the fifth and ninth may be missing.
_OVER_A_BASS = (
    "7",
    "maj7",
    "m7",
    "6",
    "m6",
    "9",
    "maj9",
    "m9",
    "9sus4",
    "7b9",
    "6/9",
    "m6/9",
    "7sus4",
    "m11",
    "m7b5",
    "mmaj7",
)


def names(source: Source, strings: Strings | None) -> Iterator[Finding]:
    """Yield what else the notes are called, and over which basses."""
    if source.chord is None:
        return
    found = list(_same_notes(source, strings))
    if source.pcs.symmetry[0] == 1 or source.chord.quality == "7b5":
        found += _basses(source, source.chord, strings)
        found += _nearest(source.chord)
    yield from found


def _same_notes(source: Source, strings: Strings | None) -> Iterator[Finding]:
    chord = source.chord
    others = [name for name in exact_names(source.pcs, near=chord) if chord and name != chord]
    others = [name for name in others if name.quality in KINDS or name.quality == "sus2"]
    if chord is None or not others:
        return
    law = Law(_count_names, _say_names)
    alike = source.pcs.symmetry[0] == len(source.pcs)
    listed_names = join_words([chord.unicode, *(name.unicode for name in others)])
    what = f"one sound with {number(len(others) + 1)} names" if alike else "the same notes"
    counted = [COUNTED.get(n.quality, n.quality) for n in (chord, *others)]
    shape = strings.shapes[0].digits if strings and strings.shapes else ""
    tail = f" {shape} plays {'both' if len(others) == 1 else 'them all'}." if shape else ""
    yield Finding(
        "same notes",
        f"{listed_names} are {what}: only the bass and what follows tell them apart.{tail}",
        "; ".join(f"{n.unicode}: {spelled(n)}" for n in (chord, *others)) + ".",
        near_miss=near_miss(law, source.pcs),
        fits=Fits(tuple(dict.fromkeys(counted))),
        ease=Ease((shape,) if shape else (), 0),
        hearing=Hearing(
            "bass", f"the bass: {join_words([n.root.unicode for n in (chord, *others)])}"
        ),
        rarity=rarity(law, source.pcs),
        weight=0.7 if alike else 1.0,
        teach=Teach("", "same notes", " ".join(name.symbol for name in others)),
    )


def _count_names(pcs: PcSet) -> int:
    return sum(name.quality in KINDS or name.quality == "sus2" for name in exact_names(pcs))


def _say_names(name: str, count: int) -> str:
    names = "one usual name" if count == 1 else f"{number(count)} usual names"
    return f"{name} has {names}."


def _basses(source: Source, chord: Chord, strings: Strings | None) -> Iterator[Finding]:
    """Yield the chords that one grip makes over basses that it does not hold."""
    found = []
    for bass in range(12):
        pcs = source.pcs | PcSet.of(bass)
        if bass in source.pcs:
            continue
        for reading in name_chords(pcs, bass=bass):
            name = reading.chord
            plain = name.root.pitch_class == bass and name.bass == name.root
            whole = all(degree.number in (5, 9) for degree in reading.missing)
            if plain and whole and (name.quality in _OVER_A_BASS or _altered(name)):
                found.append((name, bass))
                break
    found.sort(key=lambda row: (row[0].degrees not in BY_DEGREES, len(row[0].symbol)))
    own = [(name, name.root.pitch_class) for name in exact_names(source.pcs, near=chord)
           if name.quality in KINDS]  # fmt: skip
    four = (own + found)[:4]
    if len(four) < 3 or not found:
        return
    shape = strings.shapes[0].digits if strings and strings.shapes else ""
    grip = f"The {chord.unicode} grip {shape}" if shape else f"One grip of {chord.unicode}"
    said = [f"{name.unicode} over {name.root.unicode}" for name, _ in four]
    added = [name for name, _ in four if name.pcs != source.pcs]
    yield Finding(
        "same notes",
        f"{grip} is {join_words(said)}: {number(len(four))} chords, one grip.",
        "; ".join(f"{name.unicode}: {_heard(source, name)}" for name, _ in four)
        + f". Over the bass of {join_words([name.unicode for name in added])}, these notes sound: "
        f"{spelled(chord)}.",
        near_miss=_clash(source),
        fits=Fits(tuple(dict.fromkeys(_counted(name) for name, _ in four))),
        ease=Ease((shape,) if shape else (), 0),
        hearing=Hearing("bass", f"the bass: {join_words([n.root.unicode for n, _ in four])}"),
        weight=1.0,
    )


def _heard(source: Source, name: Chord) -> str:
    """Return the notes of a source over a bass, and the degrees that are left out."""
    sounding = [note for note in name.tones if note.pitch_class in source.pcs or note == name.root]
    lost = [d.unicode for d in name.degrees if d.over(name.root) not in sounding]
    told = " ".join(note.unicode for note in sounding)
    return f"{told}, without {join_words(lost)}" if lost else told


def _altered(chord: Chord) -> bool:
    """Whether it is a dominant whose fifth or ninth alone is altered."""
    return chord.is_dominant and 5 not in chord.semitones and len(chord.degrees) <= 5


def _counted(chord: Chord) -> str:
    if chord.is_dominant:
        return "7"
    if 3 in chord.semitones:
        return "m7"
    return COUNTED.get(chord.quality, "maj7" if 11 in chord.semitones else "6")


def _clash(source: Source) -> str:
    """Return the bass over which no usual chord comes of it."""
    for bass in range(12):
        above = {(pc - bass) % 12 for pc in source.pcs}
        if bass not in source.pcs and 1 in above and not above & {4, 10} == {4, 10}:
            clash = source.spell((bass + 1) % 12).unicode
            return f"Not over {usual_root(bass).unicode}: {clash} clashes with it."
    return ""


def _nearest(chord: Chord) -> Iterator[Finding]:
    """Yield the nearest chords of the same kind on other roots."""
    if chord.quality not in KINDS:
        return
    far = {
        n: int(distance(chord.pcs, chord.pcs.transpose(n)))
        for n in range(1, 12)
        if chord.pcs.transpose(n) != chord.pcs
    }
    least = min(far.values())
    near = [Chord.of(usual_root((chord.root.pitch_class + n) % 12), chord.quality)
            for n, size in far.items() if size == least]  # fmt: skip
    if least > _NEAREST or len(near) > 3:
        return
    others = [size for size in far.values() if size > least]
    law = Law(
        _least_own, lambda name, size: f"{name} is {in_words(size, 'half step')} from the nearest."
    )
    keep = [chord.pcs & one.pcs for one in near]
    yield Finding(
        "nearest of its kind",
        f"Of the other {called(chord.quality, 2)}, {join_words([n.unicode for n in near])} "
        f"{'is' if len(near) == 1 else 'are'} nearest to {chord.unicode}: "
        f"{in_words(least, 'half step')} in all.",
        "; ".join(
            f"{n.unicode} keeps {join_words([chord.spell(pc).unicode for pc in kept]) or 'no note'}"
            for n, kept in zip(near, keep, strict=True)
        )
        + (f"; the others are {_span(others)} half steps away." if others else "."),
        near_miss=near_miss(law, chord.pcs),
        fits=Fits((COUNTED.get(chord.quality, chord.quality),)),
        ease=Ease((), 1, 2),
        hearing=Hearing("inner", "two voices move"),
        rarity=rarity(law, chord.pcs),
        weight=0.5,
    )


def _span(sizes: list[int]) -> str:
    least, most = min(sizes), max(sizes)
    return str(least) if least == most else f"{least} to {most}"


def _least_own(pcs: PcSet) -> int:
    sizes = [distance(pcs, pcs.transpose(n)) for n in range(1, 7) if pcs.transpose(n) != pcs]
    return int(min(sizes, default=0))
