"""Findings about scales: the chords and dominants in them, halves, every other note, the rest."""

from collections.abc import Iterator

from harmonykit.fretboard.shapes.finding import find_voicings
from harmonykit.fretboard.shapes.frettings import shifted
from harmonykit.ideas.changes import COUNTED
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Teach
from harmonykit.ideas.laws import KINDS, Law, called, one_called, rarity, sets_of
from harmonykit.ideas.source import Source
from harmonykit.ideas.strings import Strings
from harmonykit.theory import alternation, modes, naming
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.spelling import usual_root
from harmonykit.values import replace
from harmonykit.words.numbers import in_words, join_words, number

_INSIDE = ("7", "m7", "m7b5", "dim7", "maj7", "m6", "7b5", "7#5", "", "m", "+")
# What stands in a scale over a dominant, though it is counted as another kind or hardly at all.
_OVER = {"+": ("7", "+"), "7b5": ("7",), "7#5": ("7",), "dim7": ("dim7", "7")}
_BESIDE = ("lydian dominant", "altered", "mixolydian", "major", "dorian", "melodic minor")

# Of which a near miss is told, the best known first.
_MISSED = ("major", "harmonic minor", "melodic minor", "whole tone", "major pentatonic")


def scale_findings(source: Source, strings: Strings | None) -> Iterator[Finding]:
    """Yield what is true of a scale, or of another large set."""
    yield from _inside(source)
    yield from _dominants_over(source)
    yield from _halves(source)
    yield from _every_other(source)
    yield from _left_out(source)
    yield from _beside(source)
    if strings is not None:
        yield from _shape_stays(source, strings)


def _inside(source: Source) -> Iterator[Finding]:
    """Yield how many chords of each kind a scale holds."""
    counts = {}
    for suffix in _INSIDE:
        held = [mask for mask in sets_of(suffix) if mask & ~source.pcs.mask == 0]
        if held:
            counts[suffix] = len(held)
    for suffix, count in counts.items():
        law = _inside_law(suffix)
        chords = [Chord.of(source.spell(pc), suffix) for pc in range(12)]
        names = [chord.unicode for chord in chords if chord.pcs <= source.pcs]
        yield Finding(
            "contains",
            f"{source.name} holds {number(count)} {called(suffix, count)}"
            f"{_with_names(count, len(names))}: {join_words(names)}.",
            f"{source.name}: {' '.join(source.sign(pc) for pc in source.pcs)}.",
            near_miss=_another_scale(law, source.pcs),
            fits=Fits(_OVER.get(suffix, (COUNTED.get(suffix, suffix),))),
            ease=Ease((), min(count, 4), 1),
            hearing=Hearing("top", "one scale over all of them"),
            rarity=rarity(law, source.pcs),
            weight={"7": 1.0, "dim7": 0.9, "+": 0.8, "m7": 0.8, "m7b5": 0.7, "m6": 0.7, "": 0.7,
                    "m": 0.7, "7b5": 0.8, "7#5": 0.6}.get(suffix, 0.6),
            teach=Teach("", "holds", suffix),
        )  # fmt: skip


def _with_names(count: int, names: int) -> str:
    return f", with {number(names)} names" if names > count else ""


def _inside_law(suffix: str) -> Law:
    kinds = sets_of(suffix)
    return Law(
        lambda pcs: sum(mask & ~pcs.mask == 0 for mask in kinds),
        lambda name, count: f"{name} holds {number(count)} {called(suffix, count)}.",
    )


def _another_scale(law: Law, pcs: PcSet) -> str:
    """Return what a law says of the major scale, or of the next of which it says another number."""
    own = law.count(pcs)
    scales = ((f"The {name} scale", modes.Scale("C", name).pcs) for name in _MISSED)
    counts = ((title, law.count(each)) for title, each in scales)
    return next((law.said(title, count) for title, count in counts if count != own), "")


def _dominants_over(source: Source) -> Iterator[Finding]:
    """Yield the dominants over which a scale can be played: third, seventh and root lie in it."""
    frame = PcSet.of(0, 4, 10)
    roots = [pc for pc in source.pcs if frame.transpose(pc) <= source.pcs]
    if len(roots) < 2:
        return
    law = Law(
        lambda pcs: sum(frame.transpose(n) <= pcs for n in range(12)),
        lambda name, count: f"{name} fits {in_words(count, 'dominant')}.",
    )
    names = [f"{usual_root(pc).unicode}7" for pc in roots]
    goals = [usual_root((pc + 5) % 12).unicode for pc in roots]
    first = roots[0]
    colours = [_TENSIONS[(pc - first) % 12] for pc in source.pcs if (pc - first) % 12 in _TENSIONS]
    yield Finding(
        "resolves",
        f"{number(len(roots)).capitalize()} dominants share {source.name}: {join_words(names)}, "
        f"which resolve to {join_words(goals)}; over {names[0]} it has {join_words(colours)}.",
        "Root, third and seventh of each: "
        + "; ".join(" ".join(usual_root((pc + n) % 12).unicode for n in (0, 4, 10)) for pc in roots)
        + ".",
        near_miss=_another_scale(law, source.pcs),
        fits=Fits(("7",), falls=True),
        ease=Ease((), 1, 1),
        hearing=Hearing("top", "a stepwise line into the next chord"),
        rarity=rarity(law, source.pcs),
        weight=1.2,
        teach=Teach(
            "", "holds", "7#5" if PcSet.of(0, 4, 8, 10).transpose(first) <= source.pcs else "7"
        ),
    )


_TENSIONS = {1: "♭9", 2: "9", 3: "♯9", 6: "♯11", 8: "♭13", 9: "13"}


def _halves(source: Source) -> Iterator[Finding]:
    """Yield two chords of one kind whose notes together are those of a scale."""
    size = len(source.pcs)
    if size % 2:
        return
    for suffix in ("dim7", "+"):
        kinds = sets_of(suffix)
        inside = (m for m in kinds if m & ~source.pcs.mask == 0 and m.bit_count() * 2 == size)
        halves = ((m, source.pcs.mask & ~m) for m in inside)
        one = next(
            (m for m, n in halves if n in kinds and alternation.alternate(PcSet(m), PcSet(n))), None
        )
        if one is None:
            continue
        pair = [naming.exact_names(PcSet(m))[0].unicode for m in (one, source.pcs.mask & ~one)]
        law = _halves_law(suffix)
        yield Finding(
            "contains",
            f"{source.name} alternates the notes of two {called(suffix, 2)}: {join_words(pair)}.",
            "; ".join(
                f"{name}: {' '.join(source.sign(pc) for pc in PcSet(m))}"
                for name, m in zip(pair, (one, source.pcs.mask & ~one), strict=True)
            )
            + ".",
            near_miss=_another_scale(law, source.pcs),
            fits=Fits(("7", "dim7", "+")),
            ease=Ease((), 1, 2),
            hearing=Hearing("top", "two grips in turn, up the scale"),
            rarity=rarity(law, source.pcs),
            weight=1.0,
        )


def _halves_law(suffix: str) -> Law:
    kinds = sets_of(suffix)
    return Law(
        lambda pcs: sum(m & ~pcs.mask == 0 and (pcs.mask & ~m) in kinds for m in kinds) // 2,
        lambda name, _: f"{name} does not divide into two {called(suffix, 2)}.",
    )


def _every_other(source: Source) -> Iterator[Finding]:
    """Yield what every other note from any degree gives, where it is of one kind or two."""
    for size in (4, 3):
        stacks = _stacks(source.pcs, size)
        names = [next((n for n in naming.exact_names(stack) if n.quality in KINDS), None)
                 for stack in stacks if len(stack) == size]  # fmt: skip
        kinds = list(dict.fromkeys(name.quality for name in names if name))
        if len(names) < len(stacks) or None in names or len(kinds) > 2:
            continue
        said = " or ".join(map(one_called, kinds))
        law = Law(
            lambda pcs: _kinds_of_stacks(pcs, size),  # noqa: B023
            lambda name, count: f"{name} gives {in_words(count, 'kind')} of chord.",
        )
        told = list(dict.fromkeys(name.unicode for name in names if name))
        yield Finding(
            "every other note",
            f"Every other note of {source.name}, from any degree, gives {said}.",
            f"{join_words(told)}.",
            near_miss=_another_scale(law, source.pcs),
            fits=Fits(
                tuple(k for kind in kinds for k in _OVER.get(kind, (COUNTED.get(kind, kind),)))
            ),
            ease=Ease((), len(kinds), 1),
            hearing=Hearing("top", "one grip, up the scale"),
            rarity=rarity(law, source.pcs),
            weight=0.9,
        )
        return


def _stacks(pcs: PcSet, size: int) -> list[PcSet]:
    """Return so many notes from each note on, every other one."""
    notes = list(pcs)
    return [
        PcSet.of(*(notes[(at + 2 * n) % len(notes)] for n in range(size)))
        for at in range(len(notes))
    ]


def _kinds_of_stacks(pcs: PcSet, size: int) -> int:
    return len({stack.tn_name for stack in _stacks(pcs, size)}) if len(pcs) >= size else 0


def _left_out(source: Source) -> Iterator[Finding]:
    """Yield what the notes are that a scale leaves out, where they have a name."""
    rest = source.pcs.complement
    names = [n for n in naming.exact_names(rest) if n.quality in KINDS]
    twin = any(source.pcs.transpose(n) == rest for n in range(12))
    pentatonic = any(PcSet.of(0, 2, 4, 7, 9).transpose(n) == rest for n in range(12))
    if not (names or twin or pentatonic):
        return
    if names:
        what = f"{one_called(names[0].quality)}, {names[0].unicode}"
    else:
        what = "the other scale of its kind" if twin else "a pentatonic scale"
    law = Law(
        lambda pcs: (
            any(n.quality in KINDS for n in naming.exact_names(pcs.complement))
            or any(pcs.transpose(n) == pcs.complement for n in range(12))
        ),
        lambda name, _: f"The notes that {name} leaves out are not such a chord or scale.",
    )
    yield Finding(
        "left over",
        f"The notes that {source.name} leaves out are {what}.",
        f"{' '.join(source.sign(pc) for pc in rest)}.",
        near_miss=_left_of(source, names=bool(names), twin=twin),
        fits=Fits(("7", "dim7")),
        ease=Ease((), 1, 1),
        hearing=Hearing("inner", "inside and outside"),
        rarity=rarity(law, source.pcs),
        weight=0.6,
    )


def _left_of(source: Source, *, names: bool, twin: bool) -> str:
    """Return what the major scale leaves out, or harmonic minor where that is a pentatonic too."""
    if names or twin:
        return "The major scale leaves out a pentatonic scale: C major leaves the black keys."
    rest = modes.Scale(source.scale.tonic if source.scale else "C", "harmonic minor").pcs.complement
    notes = " ".join(usual_root(pc).unicode for pc in rest)
    return f"Harmonic minor leaves out {notes}, not a pentatonic scale."


def _beside(source: Source) -> Iterator[Finding]:
    """Yield the scale on the same root that shares all of its notes but one or two."""
    if source.scale is None:
        return
    root = source.scale.tonic
    found = []
    for order, name in enumerate(_BESIDE):
        other = modes.Scale(root, name)
        shared = source.pcs & other.pcs
        if other.pcs != source.pcs and len(source.pcs) - len(shared) in (1, 2):
            found.append((len(source.pcs) - len(shared), order, other))
    if not found:
        return
    _, _, other = min(found, key=lambda row: row[:2])
    others = [modes.Scale(root, name) for name in _BESIDE]
    far = max(others, key=lambda each: len(source.pcs - each.pcs))
    apart = len(source.pcs - far.pcs)
    missed = f"{far.title} lacks {number(apart)} of its notes." if apart > 1 else ""
    mine, its = source.pcs - other.pcs, other.pcs - source.pcs
    spelled = {n.pitch_class: n.unicode for n in (d.over(root) for d in other.degrees)}
    instead = f" in place of {join_words([spelled[pc] for pc in its])}" if its else ""
    yield Finding(
        "nearest of its kind",
        f"{source.name} is {other.title} with {join_words([source.sign(pc) for pc in mine])}"
        f"{instead}.",
        f"Both have {join_words([spelled[pc] for pc in source.pcs & other.pcs])}.",
        near_miss=missed,
        fits=Fits(("7",)),
        ease=Ease((), 0, 1),
        hearing=Hearing("top", "the notes that differ"),
        weight=0.8,
    )


def _shape_stays(source: Source, strings: Strings) -> Iterator[Finding]:
    """Yield that a shape of the scale, moved along the neck, stays in it."""
    if source.pcs.symmetry[0] == 1:
        return
    by = 12 // source.pcs.symmetry[0]
    for suffix in ("7", "7#5", "7b5", "m7"):
        chords = (Chord.of(usual_root(pc), suffix) for pc in source.pcs)
        chord = next((one for one in chords if one.pcs <= source.pcs), None)
        shapes = () if chord is None else find_voicings(chord, strings.neck, 5)[:1]
        moved = [
            replace(shape, frets=shifted(shape.frets, by * k)) for shape in shapes for k in range(3)
        ]
        if not moved or not all(one.pcs <= source.pcs for one in moved):
            continue
        told = [f"{one.digits} ({naming.exact_names(one.pcs)[0].unicode})" for one in moved]
        up = replace(moved[0], frets=shifted(moved[0].frets, 1))
        out = [usual_root(p).unicode for p in up.pcs - source.pcs]
        yield Finding(
            "on the strings",
            f"Any shape of {source.name} moved up by {number(by)} frets stays in it: "
            f"{join_words(told)}.",
            "; ".join(f"{one.digits}: {' '.join(source.sign(p) for p in one.pcs)}" for one in moved)
            + ".",
            near_miss=f"Moved up by one fret, {up.digits}, it has {join_words(out)}: "
            "outside the scale.",
            fits=Fits(("7",), falls=True),
            ease=Ease(tuple(one.digits for one in moved), 1, 0),
            hearing=Hearing("top", "the whole chord moves up"),
            weight=0.9,
        )
        return
