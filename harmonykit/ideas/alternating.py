"""Findings about what alternates in one scale, and about chords that have twelve notes in all."""

from collections import Counter
from collections.abc import Iterator
from itertools import combinations

from harmonykit.ideas import changes, laws
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Teach
from harmonykit.ideas.laws import Law
from harmonykit.ideas.source import Source
from harmonykit.theory import diminished, spelling
from harmonykit.theory.alternation import alternate, prove_alternation
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.naming import exact_names
from harmonykit.theory.scale import KINDS as SCALE_KINDS
from harmonykit.theory.scale import SixthDiminished
from harmonykit.words.numbers import in_words, join_words, number


def alternation(source: Source) -> Iterator[Finding]:
    """Yield with which diminished sevenths a chord alternates, or how many kinds do with one."""
    if source.chord is not None and source.chord.is_diminished_seventh:
        yield _five_scales(source)
        return
    if source.chord is None or len(source.pcs) != 4:
        return
    for low in diminished.diminished_sevenths():
        if alternate(source.pcs, low.pcs):
            yield _two_chords(source, source.chord, low)


def _five_scales(source: Source) -> Finding:
    proof = prove_alternation(source.pcs)
    kinds = Counter(
        next(n.quality for n in exact_names(pcs) if n.quality in laws.KINDS) for pcs in proof.chords
    )
    said = [f"{number(n)} {laws.called(kind, n)}" for kind, n in kinds.most_common()]
    scales = join_words([f"{name} ({number(n)})" for name, n in proof.scales])
    law = Law(
        lambda pcs: len(prove_alternation(pcs).kinds),
        lambda name, count: (
            f"{in_words(count, 'kind').capitalize()} of chord "
            f"{'alternates' if count == 1 else 'alternate'} with {name}."
        ),
    )
    return Finding(
        "alternates",
        f"{number(len(kinds)).capitalize()} kinds of chord alternate with {source.name} in a "
        f"scale of eight notes. They are {join_words(said)}. So there are "
        f"{number(len(proof.scales))} such scales: "
        "four sixth-diminished ones and the octatonic.",
        f"Of {proof.tried} chords of four notes, {proof.disjoint} share no note with it and "
        f"{len(proof.chords)} alternate; set classes of the scales: {scales}.",
        near_miss=_meets_all("maj7") or laws.near_miss(law, source.pcs),
        fits=Fits(("6", "7", "m7", "m6")),
        ease=Ease((), 2, 2),
        hearing=Hearing("top", "the top voice rises by steps of the scale"),
        rarity=1,
        weight=0.6,
        teach=Teach("", "alternates"),
    )


def _meets_all(suffix: str) -> str:
    """Return that a kind of chord shares a note with each diminished seventh, where it does."""
    chord = Chord.of("C", suffix)
    shared = [(low, tuple(low.pcs & chord.pcs)) for low in diminished.diminished_sevenths()]
    if not all(notes for _, notes in shared):
        return ""
    told = [f"{chord.spell(notes[0]).unicode} with {low.unicode}" for low, notes in shared]
    return f"{chord.unicode} alternates with no diminished seventh: it shares {join_words(told)}."


def _two_chords(source: Source, chord: Chord, low: Chord) -> Finding:
    whole = source.pcs | low.pcs
    every = (
        SixthDiminished(spelling.usual_root(pc), kind) for kind in SCALE_KINDS for pc in range(12)
    )
    scale = next((s for s in every if s.pcs == whole and s.chord.pcs == chord.pcs), None)
    law = Law(
        lambda pcs: sum(alternate(pcs, each.pcs) for each in diminished.diminished_sevenths()),
        lambda other, count: (
            f"{other} alternates with {'a' if count else 'no'} diminished seventh."
        ),
    )
    name = scale.title if scale else "an octatonic scale"
    lead = _leading(low, scale.chord if scale else chord)
    spelled = (
        [degree.over(scale.tonic).unicode for degree in scale.degrees]
        if scale
        else [source.sign(pc) for pc in whole]
    )
    return Finding(
        "alternates",
        f"{source.name} and {lead.unicode} alternate in a scale of eight notes, {name}: every "
        "other note from any of them gives one of the two chords.",
        f"{' '.join(spelled)}; {laws.spelled(chord)} and {laws.spelled(lead)}.",
        near_miss=_meets_all("maj7"),
        fits=Fits((changes.COUNTED.get(chord.quality, chord.quality),)),
        ease=Ease((), 2, 2),
        hearing=Hearing("top", "the top voice rises by steps of the scale"),
        rarity=laws.rarity(law, source.pcs),
        weight=1.0,
        teach=Teach("", "alternates", lead.symbol),
    )


def _leads(low: Chord, chord: Chord) -> bool:
    return (chord.root.pitch_class - low.root.pitch_class) % 12 == 1


def twelve(source: Source) -> Iterator[Finding]:
    """Yield two more chords with which a chord of four notes has all twelve, once each."""
    chord = source.chord
    if chord is None or len(source.pcs) != 4:
        return
    rest = tuple(source.pcs.complement)
    found = []
    for four in combinations(rest, 4):
        one = PcSet.of(*four)
        other = source.pcs.complement - one
        names = [_plain(exact_names(each), chord.quality) for each in (one, other)]
        if tuple(one) < tuple(other) and all(names):
            pair = [name for name in names if name]
            found.append((_rank(chord, pair), pair))
    if not found:
        return
    _, pair = min(found, key=lambda row: row[0])
    pair.sort(key=lambda name: not name.is_diminished_seventh)
    first = _leading(pair[0], chord)
    law = Law(
        _partitions,
        lambda name, n: f"{name} leaves {in_words(n, 'such pair')}.",
    )
    yield Finding(
        "twelve notes",
        f"Twelve notes, once each: {chord.unicode}, {first.unicode} and {pair[1].unicode} "
        "together hold them all.",
        "; ".join(f"{c.unicode}: {laws.spelled(c)}" for c in (chord, first, pair[1])) + ".",
        near_miss=laws.near_miss(law, source.pcs),
        fits=Fits((changes.COUNTED.get(chord.quality, chord.quality),)),
        ease=Ease((), 2, 3),
        hearing=Hearing("inner", "no note is repeated"),
        rarity=laws.rarity(law, source.pcs),
        weight=0.6,
    )


def _leading(low: Chord, chord: Chord) -> Chord:
    """Return a diminished seventh under the name by which it leads to a chord."""
    if not low.is_diminished_seventh:
        return low
    return next((n for n in exact_names(low.pcs) if _leads(n, chord)), low)


def _plain(names: tuple[Chord, ...], like: str = "") -> Chord | None:
    """Return the plainest of some names: of a chord's own quality, a sixth chord, then others."""
    known = [name for name in names if name.quality in laws.KINDS]
    wished = (like, "6", "m6")
    return min(known, key=lambda name: name.quality not in wished, default=None)


def _rank(chord: Chord, pair: list[Chord]) -> tuple[int, int]:
    """Return how plain a pair is: a diminished seventh that leads to the chord comes first."""
    leads = any(n.is_diminished_seventh and (chord.root.pitch_class - 1) % 12 in n.pcs
                for n in pair)  # fmt: skip
    order = list(laws.KINDS)
    return (not leads, sum(order.index(n.quality) for n in pair))


def _partitions(pcs: PcSet) -> int:
    if len(pcs) != 4:
        return -1
    usual, left = laws.usual_sets(), pcs.complement.mask
    fours = (sum(1 << pc for pc in four) for four in combinations(pcs.complement, 4))
    return sum(mask in usual and left & ~mask in usual for mask in fours) // 2
