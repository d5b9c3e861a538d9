"""Findings about the whole set: symmetry, what lies between, what it holds, how even it is."""

from collections import Counter
from collections.abc import Iterator
from itertools import product

from harmonykit.ideas import alternating, changes, laws
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing
from harmonykit.ideas.laws import Law
from harmonykit.ideas.scales import scale_findings
from harmonykit.ideas.source import Source
from harmonykit.ideas.strings import Strings
from harmonykit.theory import modes
from harmonykit.theory.chord import PcSet
from harmonykit.theory.naming import exact_names
from harmonykit.theory.sets import fourier, operation
from harmonykit.words.numbers import in_words, join_words, number

_ALL = PcSet.of(*range(12))
_LARGE, _FEW_KEYS = 5, 5


def wholes(source: Source, strings: Strings | None) -> Iterator[Finding]:
    """Yield what is true of the notes as a whole."""
    yield from _symmetry(source, strings)
    yield from _between(source)
    yield from alternating.alternation(source)
    yield from alternating.twelve(source)
    if len(source.pcs) >= _LARGE:
        yield from scale_findings(source, strings)
    else:
        yield from _within(source)
        yield from _held_by(source)
        yield from _fifths(source)
    yield from _even(source)


def _symmetry(source: Source, strings: Strings | None) -> Iterator[Finding]:
    different = operation.transpositions(source.pcs)
    if len(different) == 12:
        return
    by = len(different)
    law = Law(
        lambda pcs: len(operation.transpositions(pcs)),
        lambda name, count: f"{name} has {number(count)} different transpositions.",
    )
    kinds = ("dim7", "+", "7") if source.chord else ("7",)
    shape = strings.shapes[0].digits if strings and strings.shapes else ""
    yield Finding(
        "how many",
        f"{source.name} moved up by {number(by)} half steps has the same notes: there are "
        f"{number(by)} different transpositions, not twelve.",
        "; ".join(" ".join(source.sign(pc) for pc in each) for each in different) + ".",
        near_miss=laws.near_miss(law, source.pcs) or law.said("The major scale", 12),
        fits=Fits(kinds),
        ease=Ease((shape,) if shape else (), by),
        hearing=Hearing("top", "the same sound, higher"),
        rarity=laws.rarity(law, source.pcs),
        weight=0.7,
    )


def _between(source: Source) -> Iterator[Finding]:
    """Yield the chords on the way from a chord to itself a half step up, one note at a time."""
    chord, size = source.chord, len(source.pcs)
    if chord is None or source.pcs.symmetry[0] == 1 or not 3 <= size <= 4:
        return
    between = _halfway(source.pcs)
    named = [exact_names(pcs, near=chord) for pcs in between]
    kinds = Counter(
        next((n.quality for n in found if n.quality in laws.KINDS), "") if found else None
        for found in named
    )
    if None in kinds or len(between) != 2**size - 2:
        return
    up = chord.transpose("m2").easy()
    known = laws.named_sets()
    law = Law(
        lambda pcs: sum(one.mask in known for one in _halfway(pcs)) if len(pcs) == size else -1,
        lambda name, count: (
            f"Between {name} and the same chord a half step up, {number(count)} such "
            f"{'chord has' if count == 1 else 'chords have'} a usual name."
        ),
    )
    said = [f"{number(n)} {laws.called(str(k), n)}" for k, n in kinds.most_common()]
    yield Finding(
        "paths",
        f"Between {chord.unicode} and {up.unicode}, one note at a time, lie {len(between)} chords, "
        f"and each has a name: {join_words(said)}.",
        "; ".join(found[0].unicode for found in named) + ".",
        near_miss=laws.near_miss(law, source.pcs),
        fits=Fits(("dim7", "7") if size == 4 else ("+", "7")),
        ease=Ease((), 4, 1),
        hearing=Hearing("inner", "one voice at a time rises by a half step"),
        rarity=laws.rarity(law, source.pcs),
        weight=0.5,
    )


def _halfway(pcs: PcSet) -> tuple[PcSet, ...]:
    """Return the sets in which some notes, not all, were raised by a semitone, each once."""
    bits = [(1 << pc, 1 << (pc + 1) % 12) for pc in pcs]
    masks = {sum(choice) for choice in product(*bits) if len(set(choice)) == len(bits)}
    masks -= {pcs.mask, pcs.transpose(1).mask}
    return tuple(PcSet(mask) for mask in sorted(masks))


def _within(source: Source) -> Iterator[Finding]:
    """Yield the scales of seven notes and the symmetrical ones that hold a chord."""
    if source.chord is None:
        return
    keys = modes.scales_holding(source.pcs, ["major"])
    if not 0 < len(keys) <= _FEW_KEYS:
        return
    names = [s.tonic.unicode for s in keys]
    count = Law(
        lambda pcs: len(modes.scales_holding(pcs, ["major"])),
        lambda name, n: f"{name} is diatonic to {in_words(n, 'major key')}.",
    )
    yield Finding(
        "within",
        f"{source.name} is diatonic to {in_words(len(keys), 'major key')}: {join_words(names)}.",
        "; ".join(
            f"{s.title}: {' '.join(d.over(s.tonic).unicode for d in s.degrees)}" for s in keys
        )
        + ".",
        near_miss=laws.near_miss(count, source.pcs),
        fits=Fits((changes.COUNTED.get(source.chord.quality, source.chord.quality),)),
        ease=Ease((), 0, 0),
        hearing=Hearing(),
        rarity=laws.rarity(count, source.pcs),
        weight=0.9,
    )


def _held_by(source: Source) -> Iterator[Finding]:
    """Yield the chords of four notes, of usual kinds, that hold a triad."""
    if source.chord is None or len(source.pcs) != 3:
        return
    found = []
    for pc in source.pcs.complement:
        names = exact_names(source.pcs | PcSet.of(pc), near=source.chord)
        found += [(pc, name) for name in names if name.quality in laws.KINDS][:1]
    if not found:
        return
    usual = laws.usual_sets()
    law = Law(
        lambda pcs: sum(pcs.mask | 1 << pc in usual for pc in pcs.complement),
        lambda name, count: (
            f"{name} is part of {in_words(count, 'usual chord')} of four notes."
        ),
    )  # fmt: skip
    kinds = [changes.COUNTED.get(name.quality, name.quality) for _, name in found]
    yield Finding(
        "within",
        f"{source.name} is part of {number(len(found))} usual chords of four notes: "
        f"{join_words([name.unicode for _, name in found])}.",
        "; ".join(f"{name.unicode}: {source.name} and {name.spell(pc).unicode}"
                  for pc, name in found) + ".",
        near_miss=laws.near_miss(law, source.pcs),
        fits=Fits(tuple(dict.fromkeys(kinds))),
        ease=Ease((), 0, 0),
        hearing=Hearing("bass", "the bass names the chord"),
        rarity=laws.rarity(law, source.pcs),
        weight=0.6,
    )  # fmt: skip


def _fifths(source: Source) -> Iterator[Finding]:
    """Yield that the notes are a row of fifths, where they are."""
    row = next((r for start in source.pcs
                if (r := [(start + 7 * n) % 12 for n in range(len(source.pcs))])
                and PcSet.of(*r) == source.pcs), None)  # fmt: skip
    if row is None or len(row) < 3:
        return
    law = Law(
        lambda pcs: any(
            PcSet.of(*((start + 7 * n) % 12 for n in range(len(pcs)))) == pcs for start in pcs
        ),
        lambda name, _: f"{name} is not a stack of fifths.",
    )
    up = join_words([source.sign(pc) for pc in row])
    yield Finding(
        "how even",
        f"{source.name} is a stack of fifths, {up}; the other way round, of fourths.",
        f"Each note is a fifth above the one before: {up}.",
        near_miss=laws.near_miss(law, source.pcs),
        fits=Fits(("sus", "7")),
        ease=Ease((), 1, 1),
        hearing=Hearing("top", "open fourths, neither major nor minor"),
        rarity=laws.rarity(law, source.pcs),
        weight=0.6,
    )


def _less_even(law: Law) -> str:
    return law.said("Harmonic minor", law.count(PcSet.of(0, 2, 3, 5, 7, 8, 11)))


def _even(source: Source) -> Iterator[Finding]:
    if fourier.evenness(source.pcs) < 1:
        return
    law = Law(
        lambda pcs: round(100 * fourier.evenness(pcs)),
        lambda name, count: f"{name} has an evenness of {count / 100:.2f}.",
    )
    size = len(source.pcs)
    yield Finding(
        "how even",
        f"No {number(size)} notes are spread more evenly than {source.name}.",
        "Evenness 1: coefficient "
        f"{size} of the Fourier transform is as large as {number(size)} notes allow.",
        near_miss=laws.near_miss(law, source.pcs) or _less_even(law),
        fits=Fits(("dim7",)),
        hearing=Hearing(),
        rarity=laws.rarity(law, source.pcs),
        weight=0.4,
    )
