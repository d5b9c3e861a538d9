"""Findings about what a chord becomes and where it goes: one note moved, the dominants in it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import partial

from harmonykit.about.ways import PREDOMINANT, ways_on
from harmonykit.errors import HarmonyError
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Teach
from harmonykit.ideas.laws import KINDS, Law, near_miss, one_called, rarity, sets_of, spelled
from harmonykit.ideas.source import Source
from harmonykit.ideas.strings import Strings
from harmonykit.theory import diminished, kin, spelling
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.leading.neighbours import OneNote, one_note_changes
from harmonykit.words.numbers import in_words, join_words, number

_VERBS = {-1: "lowered by a half step", 1: "raised by a half step",
          -2: "lowered by a whole step", 2: "raised by a whole step"}  # fmt: skip
_MOVES = {-1: "falls by a half step", 1: "rises by a half step",
          -2: "falls by a whole step", 2: "rises by a whole step"}  # fmt: skip
# Which kinds a chord of each kind is counted as, where they differ from its suffix.
COUNTED = {"": "6", "m7b5": "m7b5", "m6": "m6", "7b5": "7", "7#5": "7", "sus4": "sus",
           "7sus4": "sus", "mb5": "dim7"}  # fmt: skip
_ONE_NOTE = {-1: "lower one note", 1: "raise one note"}
_WORTH = {"7": 1.0, "": 1.0, "m": 1.0, "dim7": 0.9, "m7": 0.8, "maj7": 0.8, "6": 0.8, "m6": 1.0,
          "m7b5": 0.8, "+": 0.7, "7b5": 0.5, "sus4": 0.7, "7sus4": 0.7, "7#5": 0.5}  # fmt: skip


def changes(source: Source, strings: Strings | None) -> Iterator[Finding]:
    """Yield what one moved note makes of a chord, and the dominants for which it stands."""
    if source.chord is None:
        return
    yield from _turns(source, source.chord, strings)
    yield from _triads_near(source, source.chord, strings)
    yield from _resolves(source.chord, strings)
    yield from _prepares(source.chord, strings)
    yield from _triad_kin(source.chord, strings)


def _turns(source: Source, chord: Chord, strings: Strings | None) -> Iterator[Finding]:
    grouped: dict[tuple[int, str], list[OneNote]] = defaultdict(list)
    for one in one_note_changes(chord):
        kinds = [name.quality for name in one.names if name.quality in _WORTH]
        if kinds:
            grouped[one.semitones, kinds[0]].append(one)
    for (way, suffix), ones in grouped.items():
        yield _turn(source, way, suffix, ones, strings)


def _triads_near(source: Source, chord: Chord, strings: Strings | None) -> Iterator[Finding]:
    """Yield the major and minor triads one note away from another chord of three notes."""
    if len(source.pcs) != 3 or chord.quality in ("", "m"):
        return
    ones = [one for one in one_note_changes(chord) if one.names[0].quality in ("", "m")]
    if len(ones) < 3:
        return
    farthest = max(abs(one.semitones) for one in ones)
    reach = "a half step" if farthest == 1 else "one note"
    law = Law(
        partial(_count_triads, farthest=farthest),
        lambda name, count: f"{name} has {in_words(count, 'such triad')}.",
    )
    ease, heard = strings.moved(ones) if strings else (Ease(), Hearing("inner"))
    yield Finding(
        "turns into",
        f"{number(len(ones)).capitalize()} triads lie {reach} away from {source.name}: "
        f"{join_words([one.names[0].unicode for one in ones])}.",
        "; ".join(map(str, ones)) + ".",
        near_miss=near_miss(law, source.pcs),
        fits=Fits(("6", "m")),
        ease=ease,
        hearing=heard,
        rarity=rarity(law, source.pcs),
        weight=1.3,
        teach=Teach("", "move one note", _typed(one.names[0] for one in ones)),
    )


def _typed(chords: Iterable[Chord]) -> str:
    return " ".join(chord.symbol for chord in chords)


def _count_triads(pcs: PcSet, farthest: int) -> int:
    kinds = sets_of("") | sets_of("m")
    moved = {pcs.mask ^ 1 << pc ^ 1 << (pc + way) % 12
             for pc in pcs for way in range(-farthest, farthest + 1)
             if (pc + way) % 12 not in pcs}  # fmt: skip
    return len(moved & kinds)


def _turn(
    source: Source, way: int, suffix: str, ones: list[OneNote], strings: Strings | None
) -> Finding:
    size, count = len(source.pcs), len(ones)
    law = _turn_law(way, suffix)
    made = [next(name for name in one.names if name.quality == suffix) for one in ones]
    names = [_both(one, name) for one, name in zip(ones, made, strict=True)]
    if count == size:
        statement = (
            f"Any of the {number(size)} notes of {source.name} {_VERBS[way]} gives "
            f"{one_called(suffix)}: {join_words(names)}."
        )
    else:
        notes = [one.move.start.unicode for one in ones]
        first, *rest = zip(names, notes, strict=True)
        become = [f"{first[0]} when {first[1]} {_MOVES[way]}"]
        become += [f"{name} when {note} does" for name, note in rest]
        statement = f"{source.name} becomes {join_words(become)}."
    roots = {one.move.end.pitch_class - name.root.pitch_class for one, name in
             zip(ones, made, strict=True)}  # fmt: skip
    extra = " The note that moves becomes the new root." if roots == {0} and count > 1 else ""
    ease, heard = strings.moved(ones) if strings else (Ease(), Hearing("inner"))
    kinds = [n.quality for one in ones for n in one.names if n.quality in _WORTH]
    counted = tuple(dict.fromkeys(COUNTED.get(kind, kind) for kind in (suffix, *kinds)))
    return Finding(
        "turns into",
        statement + extra,
        "; ".join(map(str, ones)) + ".",
        near_miss=near_miss(law, source.pcs),
        fits=Fits(counted),
        ease=ease,
        hearing=heard,
        rarity=rarity(law, source.pcs),
        weight=_turn_weight(source, way, made),
        teach=Teach("", _ONE_NOTE.get(way, ""), _typed(made)),
    )


def _turn_weight(source: Source, way: int, made: list[Chord]) -> float:
    """Return how much of a change a class takes home: all notes, a half step, its own root."""
    size, root = len(source.pcs), source.chord.root if source.chord else None
    whole = _WORTH[made[0].quality] * (0.6 + 0.4 * len(made) / size)
    told = size == 3 and made[0].quality in ("", "m")  # by the triads about a triad, too
    near = 1.0 if abs(way) == 1 else 0.75
    return whole * near * (0.7 if told and all(name.root != root for name in made) else 1.0)


def _both(one: OneNote, name: Chord) -> str:
    """Return a chord's name with its synonym, where that is a chord of a usual kind too."""
    others = [
        n for n in one.names if n != name and n.quality in KINDS and n.quality != name.quality
    ]
    return " = ".join([name.unicode, *(n.unicode for n in others[:1])])


def _turn_law(way: int, suffix: str) -> Law:
    kinds = sets_of(suffix)

    def count(pcs: PcSet) -> int:
        moved = ((pc, (pc + way) % 12) for pc in pcs)
        return sum(end not in pcs and pcs.mask ^ 1 << pc ^ 1 << end in kinds for pc, end in moved)

    def said(name: str, found: int) -> str:
        many = number(found) if found else "none"
        gives = "give" if found > 1 else "gives"
        return f"Of the notes of {name}, {many} {_VERBS[way]} {gives} such a chord."

    return Law(count, said)


def _resolves(chord: Chord, strings: Strings | None) -> Iterator[Finding]:
    try:
        ways = diminished.resolutions(chord)
    except HarmonyError:
        if chord.is_dominant:
            yield from _substitute(chord, strings)
        return
    tail = " without its root"
    rootless = all(way.stands_for.endswith(tail) for way in ways)
    named = join_words([way.stands_for.removesuffix(tail) if rootless else
                    f"{way.parent.root.unicode}+" if chord.quality == "+" else way.stands_for
                    for way in ways])  # fmt: skip
    targets = join_words([way.target.unicode for way in ways])
    if rootless:
        missing = tail if len(ways) == 1 else f", each{tail}"
        statement = f"{chord.unicode} is {named}{missing}: as a dominant it resolves to {targets}."
    else:
        keys = f"{number(len(ways))} keys: as" if len(ways) > 1 else "one key: as"
        statement = f"{chord.unicode} is a dominant in {keys} {named} it resolves to {targets}."
    ease, heard = _resolution_worth(strings, [Chord.of(way.target) for way in ways])
    law = _dominants_law(len(chord.pcs))
    yield Finding(
        "resolves",
        statement,
        " ".join(way.reason for way in ways),
        near_miss=near_miss(law, chord.pcs),
        fits=Fits(("7",), falls=True),
        ease=ease,
        hearing=heard,
        rarity=rarity(law, chord.pcs),
        weight=1.1,
        teach=Teach("", "resolve"),
    )
    yield from _pairs(chord, [way.parent for way in ways])


def _substitute(chord: Chord, strings: Strings | None) -> Iterator[Finding]:
    """Yield the dominant a tritone away, which has the same third and seventh."""
    other = Chord.of(spelling.usual_root((chord.root.pitch_class + 6) % 12), "7")
    shared = [chord.spell((chord.root.pitch_class + n) % 12).unicode for n in (4, 10)]
    goals = [each.root.transpose("-P5").at(None).plain().unicode for each in (chord, other)]
    ease, _ = _resolution_worth(strings, [Chord.of(goals[0].replace("♭", "b").replace("♯", "#"))])
    yield Finding(
        "tritone pairs",
        f"{chord.unicode} and {other.unicode} share {join_words(shared)} as third and seventh: "
        f"each can replace the other before {join_words(goals)}.",
        f"{chord.unicode}: {spelled(chord)}; {other.unicode}: {spelled(other)}.",
        near_miss=_no_pair([chord, _a_third_up(chord)]),
        fits=Fits(("7",), falls=True),
        ease=ease,
        hearing=Hearing("bass", "the bass falls by a half step"),
        weight=1.0,
        teach=Teach("", "turn by 6"),
    )


def _dominants_law(size: int) -> Law:
    """Count the roots whose dominant, with an altered fifth or a ninth, holds the notes."""
    core = PcSet.of(4, 10) if size > 3 else PcSet.of(0, 4)
    held = "the third and seventh" if size > 3 else "the root and third"
    frame = PcSet.of(0, 1, 2, 4, 6, 7, 8, 10)

    def count(pcs: PcSet) -> int:
        return sum(core <= pcs.transpose(-root) <= frame for root in range(12))

    def said(name: str, found: int) -> str:
        return f"{name} holds {held} of {in_words(found, 'dominant')}."

    return Law(count, said)


def _resolution_worth(strings: Strings | None, targets: list[Chord]) -> tuple[Ease, Hearing]:
    best = strings.easiest(targets) if strings else None
    if best is None:
        return Ease(), Hearing("inner", "voices move by step")
    return best.ease, best.hearing


def _pairs(chord: Chord, dominants: list[Chord]) -> Iterator[Finding]:
    """Yield the pairs of dominants a tritone apart, which share third and seventh."""
    pairs = [
        (a, b) for place, a in enumerate(dominants) for b in dominants[place + 1 :]
        if (b.root.pitch_class - a.root.pitch_class) % 12 == 6
    ]  # fmt: skip
    if not pairs:
        return
    said = [f"{a.root.unicode}7 with {b.root.unicode}7" for a, b in pairs]
    shared = [
        f"{a.root.unicode}7 and {b.root.unicode}7 share "
        f"{join_words([a.spell((a.root.pitch_class + n) % 12).unicode for n in (4, 10)])}"
        for a, b in pairs
    ]
    yield Finding(
        "tritone pairs",
        f"The dominants of {chord.unicode} are {_pairs_word(len(pairs))}: {' and '.join(said)}. "
        "The two chords of a pair share their third and seventh, and can replace each other.",
        "; ".join(shared) + ".",
        near_miss=_no_pair(dominants) or _no_pair([dominants[0], _a_third_up(dominants[0])]),
        fits=Fits(("7",), falls=True),
        ease=Ease((), 1, 2),
        hearing=Hearing("bass", "the bass falls by a half step"),
        weight=0.9,
        teach=Teach(Chord.of(pairs[0][0].root, "7").symbol, "turn by 6"),
    )


def _pairs_word(count: int) -> str:
    return "a tritone pair" if count == 1 else f"{number(count)} tritone pairs"


def _a_third_up(chord: Chord) -> Chord:
    return Chord.of(spelling.usual_root((chord.root.pitch_class + 3) % 12), "7")


def _no_pair(dominants: list[Chord]) -> str:
    first = dominants[0]
    for other in dominants[1:]:
        if (other.root.pitch_class - first.root.pitch_class) % 12 != 6:
            keep = Chord.of(first.root, "7").pcs & Chord.of(other.root, "7").pcs
            notes = join_words([first.spell(pc).unicode for pc in keep])
            return f"{first.root.unicode}7 and {other.root.unicode}7 share only {notes}."
    return ""


def _prepares(chord: Chord, strings: Strings | None) -> Iterator[Finding]:
    for way in ways_on(chord):
        if way.kind == PREDOMINANT:
            ease, heard = _resolution_worth(strings, [way.target])
            goal = way.target.root.transpose("-P5").at(None).unicode
            yield Finding(
                "resolves",
                f"{chord.unicode} prepares {way.target.unicode}: the ii before V in "
                f"{goal}{' minor' if chord.quality == 'm7b5' else ''}.",
                "; ".join(map(str, way.moves)) + ".",
                near_miss=_not_a_ii(chord),
                fits=Fits((COUNTED.get(chord.quality, chord.quality),), falls=True),
                ease=ease,
                hearing=heard,
                weight=1.8,
                teach=Teach("", "lead", way.target.symbol),
            )


def _not_a_ii(chord: Chord) -> str:
    """Return that the chord one note away on the same root prepares no dominant."""
    for suffix in ("7", "6", "maj7"):
        other = Chord.of(chord.root, suffix)
        if other.quality != chord.quality and not any(
            way.kind == PREDOMINANT for way in ways_on(other)
        ):
            goes = next((way.target.unicode for way in ways_on(other)), "")
            return f"{other.unicode} is not a ii" + (f": it goes to {goes}." if goes else ".")
    return ""


def _triad_kin(chord: Chord, strings: Strings | None) -> Iterator[Finding]:
    """Yield P, L and R of a major or minor triad."""
    if chord.quality not in ("", "m") or chord.foreign_bass is not None:
        return
    three = [kin.plr(chord, letter) for letter in "PLR"]
    ones = [one for one in one_note_changes(chord) if any(t.pcs == one.pcs for t in three)]
    ease, heard = strings.moved(ones) if strings else (Ease(), Hearing("inner"))
    yield Finding(
        "kin",
        f"Three {'minor' if chord.quality == '' else 'major'} triads share two notes with "
        f"{chord.unicode}: "
        f"{join_words([t.unicode for t in three])}.",
        "; ".join(map(str, ones)) + ".",
        fits=Fits(("6", "m")),
        ease=ease,
        hearing=heard,
        weight=0.9,
    )
