"""What a chord or a scale becomes: the changes that an idea for a lesson may name.

A change is named in words, as a teacher's idea file has it: ``"lower one note"``, ``"turn by 3"``.
What comes of it is found, or chosen by a *target*: kinds of chord (``"7 m6"``) or chords with their
roots (``"Dm6"``), with spaces between them.  ``CHANGES`` says what each change does.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from difflib import get_close_matches
from types import MappingProxyType

from harmonykit.errors import HarmonyError
from harmonykit.ideas.laws import KINDS
from harmonykit.ideas.source import Source
from harmonykit.theory.alternation import alternate, alternating
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.diminished import Move, approach, diminished_sevenths, resolutions
from harmonykit.theory.leading.neighbours import one_note_changes
from harmonykit.theory.naming import exact_names
from harmonykit.theory.spelling import usual_root
from harmonykit.theory.uses import nearest_moves
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words, number

_MEND = 'change = "lower one note"'
_ROOT = re.compile(r"[A-G]")
# Kinds are shorter: "maj m7b5" are two.
_SPOKEN = 4
# What a chord may lack below its upper part: its root alone.
_UP = ("an octave", "a half step", "a whole step", "a minor third", "a major third", "a fourth",
       "a tritone", "a fifth", "a minor sixth", "a sixth", "a minor seventh",
       "a major seventh")  # fmt: skip
_DEGREES = {"1": 0, "b9": 1, "9": 2, "b3": 3, "3": 4, "4": 5, "b5": 6, "5": 7, "#5": 8, "6": 9,
            "b7": 10, "7": 11}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Becomes:
    """What a source becomes by one change.

    Parameters
    ----------
    before : Chord or None
        ``None`` where the source is a scale or a set without a usual name.
    after : Chord
    done : str
        What is done, as one tells a class: ``"lower B by a half step"``; of a chord that goes on
        what its voices do.
    reason : str
        Why that is so, as a sentence.
    """

    before: Chord | None
    after: Chord
    done: str
    reason: str


def becomes(source: Source, change: str, target: str = "") -> tuple[Becomes, ...]:
    """Return what a source becomes by a change.

    Parameters
    ----------
    source : Source
    change : str
        As ``CHANGES`` has it; a number stands for its ``N``, a degree for its ``D``.
    target : str
        Kinds of chord or chords that are taken; all usual ones where empty.

    Returns
    -------
    tuple of Becomes
        Each result once, in the order of the notes that change; none for an empty change.

    Raises
    ------
    HarmonyError
        If the change or a target cannot be read, or nothing comes of it.

    Examples
    --------
    >>> from harmonykit.ideas.source import as_source
    >>> dim = as_source("Bdim7", None)
    >>> [one.after.symbol for one in becomes(dim, "lower one note", "7")]
    ['Bb7', 'Db7', 'E7', 'G7']
    >>> print(becomes(as_source("Dm6", None), "upper part", "9")[0].reason)
    G9 without its root is D, F, A and B.
    """
    if not change:
        return ()
    name, given = _read(change)
    make, does = CHANGES[name]
    wanted = _Target.parse(target)
    found = dict[Chord, Becomes]()
    for one in make(source, given, wanted):
        found.setdefault(one.after, one)
    if found:
        return tuple(found.values())
    of = f" for the target {target}" if target else ""
    raise HarmonyError(
        f"{source.name}: {change!r} gives nothing{of}",
        rule=f"{name}: {does}",
        mend=f"another target, no target, or another change of {', '.join(TYPED_CHANGES)}",
    )


@dataclass(frozen=True, slots=True)
class _Target:
    """What may come of a change."""

    kinds: tuple[str, ...] = ()
    chords: tuple[Chord, ...] = ()

    @classmethod
    def parse(cls, text: str) -> _Target:
        """Read kinds and chords with spaces between them."""
        words = text.split()
        chords = tuple(Chord.parse(word) for word in words if _ROOT.match(word))
        kinds = tuple(word for word in words if not _ROOT.match(word))
        if not chords and len(kinds) > 1 and all(len(word) > _SPOKEN for word in kinds):
            kinds = (" ".join(kinds),)  # "minor sixth"
        for word in kinds:
            _check_kind(word)
        return cls(kinds, chords)

    @property
    def qualities(self) -> tuple[str, ...]:
        """The kinds as the table of qualities has them."""
        return tuple(Chord.parse(f"C{word}").quality for word in self.kinds)

    def named(self, pcs: PcSet, near: Chord | None) -> Iterator[Chord]:
        """Yield the names of some notes that are wanted: one where any will do."""
        yield from (chord for chord in self.chords if chord.pcs == pcs)
        names = exact_names(pcs, near=near)
        if self.kinds:
            yield from (name for name in names if name.quality in self.qualities)
        elif not self.chords:
            yield from ([name for name in names if name.quality in KINDS] or names)[:1]


def _check_kind(word: str) -> None:
    try:
        Chord.parse(f"C{word}")
    except HarmonyError:
        raise HarmonyError(
            f"target: {word!r} is not a kind of chord",
            rule="kinds of chord as a symbol has them, or chords, with spaces between them",
            mend='target = "m6", or target = "7 m7b5"',
        ) from None


_Make = Callable[[Source, str, _Target], Iterator[Becomes]]


# "leave out the root" is "leave out 1"; a seventh is typed, since there are two.
_WORDS = {"root": "1", "third": "3", "fifth": "5", "sixth": "6", "ninth": "9"}
_IN_WORDS = re.compile(rf"\b(?:(?:the|a) )?({'|'.join(_WORDS)})$", re.I)


def slid_by(change: str) -> int:
    """Return by how many frets a change slides the shape, below 0 down; 0 where it does not.

    Examples
    --------
    >>> slid_by("slide by 4"), slid_by("slide by -2"), slid_by("turn by 4")
    (4, -2, 0)
    """
    name, given = _read(change) if change else ("", "")
    return int(given) if name == "slide by N" else 0


def _read(change: str) -> tuple[str, str]:
    """Return the name of a change in ``CHANGES``, and what it is given."""
    words = _IN_WORDS.sub(lambda word: _WORDS[word[1].lower()], " ".join(change.split()))
    for name in CHANGES:
        pattern = (
            re.escape(name).replace("\\ N", r" (-?\d{1,2})").replace("\\ D", r" ([#b]?\d{1,2})")
        )
        found = re.fullmatch(pattern, words)
        if found:
            return name, found[1] if found.groups() else ""
    near = get_close_matches(words, TYPED_CHANGES, 1)
    raise HarmonyError(
        f"change {change!r} is unknown", rule=f"it is one of {', '.join(TYPED_CHANGES)}",
        mend=f'change = "{near[0]}"' if near else _MEND,
    )  # fmt: skip


def _chord(source: Source) -> Chord:
    if source.chord is None:
        raise HarmonyError(
            f"{source.name} is not a chord",
            rule="this change is made to a chord",
            mend='source = "Bdim7", or change = "holds"',
        )
    return source.chord


def _one_note(ways: tuple[int, ...]) -> _Make:
    def make(source: Source, given: str, wanted: _Target) -> Iterator[Becomes]:
        chord, own = _chord(source), _degree(source, given) if given else None
        for one in one_note_changes(chord, 1):
            if one.semitones not in ways or own not in (None, one.move.start.pitch_class):
                continue
            start, end = one.move.start.plain().unicode, one.move.end.plain().unicode
            verb, goes = ("lower", "falls") if one.semitones < 0 else ("raise", "rises")
            for after in wanted.named(one.pcs, chord):
                reason = f"{start} {goes} to {end} and the others stay: {after.unicode}."
                yield Becomes(chord, after, f"{verb} {start} by a half step", reason)

    return make


def _turn(source: Source, given: str, wanted: _Target) -> Iterator[Becomes]:
    chord, up = _chord(source), int(given)
    root = usual_root((chord.root.pitch_class + up) % 12)
    after = Chord.of(root, chord.quality)
    kept = [chord.spell(pc).plain().unicode for pc in chord.pcs & after.pcs]
    stay = (
        f"{join_words(kept)} {'stays' if len(kept) == 1 else 'stay'}" if kept else "no note stays"
    )
    for name in [*wanted.named(after.pcs, after)] if wanted != _Target() else [after]:
        yield Becomes(
            chord, name, f"move every note up {_UP[up % 12]}",
            f"From {chord.unicode} to {name.unicode} {stay}.",
        )  # fmt: skip


def _same(source: Source, _: str, wanted: _Target) -> Iterator[Becomes]:
    chord = _chord(source)
    for pc in chord.pcs:
        for name in exact_names(chord.pcs, near=chord):
            taken = name.quality in (wanted.qualities or KINDS) or name in wanted.chords
            if name.root.pitch_class == pc and taken and name != chord:
                done = f"take {name.root.unicode} as the root"
                yield Becomes(chord, name, done, f"Both are {_tones(chord)}.")


def _tones(chord: Chord) -> str:
    return join_words([note.plain().unicode for note in chord.tones])


def _without(source: Source, given: str, wanted: _Target) -> Iterator[Becomes]:
    chord, pc = _chord(source), _degree(source, given)
    rest = chord.pcs - PcSet.of(pc)
    lost = chord.spell(pc).plain().unicode
    for after in wanted.named(rest, chord):
        yield Becomes(
            chord, after, f"leave out {lost}", f"{chord.unicode} without {lost} is {_tones(after)}."
        )


def _with(source: Source, given: str, wanted: _Target) -> Iterator[Becomes]:
    chord, pc = _chord(source), _degree(source, given)
    new = chord.spell(pc).plain().unicode
    for after in wanted.named(chord.pcs | PcSet.of(pc), chord):
        reason = f"{chord.unicode} with {new} is {after.unicode}: {_tones(after)}."
        yield Becomes(chord, after, f"add {new}", reason)


def _degree(source: Source, given: str) -> int:
    if given not in _DEGREES:
        raise HarmonyError(
            f"{given!r} is not a degree of a chord",
            rule=f"it is one of {', '.join(_DEGREES)}",
            mend='change = "leave out 1"',
        )
    return (_chord(source).root.pitch_class + _DEGREES[given]) % 12


def _upper(source: Source, _: str, wanted: _Target) -> Iterator[Becomes]:
    """Yield the chords that are the source with one root below it."""
    chord = _chord(source)
    kinds = wanted.kinds or (() if wanted.chords else ("9", "7b9", "7#5"))
    whole = [
        Chord.parse(usual_root(pc).name + kind) for kind in kinds for pc in chord.pcs.complement
    ]
    for after in (*wanted.chords, *whole):
        root = PcSet.of(after.root.pitch_class)
        if after.pcs - root == chord.pcs:
            low = after.root.unicode
            yield Becomes(
                chord, after, f"put {low} below it",
                f"{after.unicode} without its root is {_tones(chord)}.",
            )  # fmt: skip


def _holds(source: Source, _: str, wanted: _Target) -> Iterator[Becomes]:
    """Yield the chords whose notes all lie in the source."""
    kinds = wanted.kinds or (() if wanted.chords else ("7", "7b5", "7#5"))
    inside = [
        Chord.parse(source.spell(pc).plain().name + kind) for pc in source.pcs for kind in kinds
    ]
    for after in (*wanted.chords, *inside):
        if after.pcs <= source.pcs and after.pcs != source.pcs:
            low = after.root.plain().unicode
            yield Becomes(
                source.chord, after.easy(), f"take {low} as the root",
                f"{_tones(after)} all lie in {source.name}.",
            )  # fmt: skip


def _alternates(source: Source, _: str, wanted: _Target) -> Iterator[Becomes]:
    """Yield the chords that alternate with the source in a scale of eight notes."""
    chord = _chord(source)
    others: tuple[PcSet, ...]
    between = f"play the notes between those of {chord.unicode}"
    if chord.is_diminished_seventh:
        others = tuple(pcs for pcs in alternating(chord.pcs) if pcs.forte_name != "4-28")
    else:
        others = tuple(c.pcs for c in diminished_sevenths() if alternate(chord.pcs, c.pcs))
    for pcs in others:
        for name in wanted.named(pcs, chord):
            after = approach(chord) if approach(chord).pcs == pcs else name
            yield Becomes(
                chord, after, between,
                f"The notes of {chord.unicode} and {after.unicode} alternate; they share none.",
            )  # fmt: skip


def _slide(source: Source, given: str, wanted: _Target) -> Iterator[Becomes]:
    for one in _turn(source, given, wanted):
        frets = int(given)
        way, many = "up" if frets > 0 else "down", abs(frets)
        done = f"slide the shape {way} {'a fret' if many == 1 else f'{number(many)} frets'}"
        yield Becomes(
            one.before,
            one.after,
            done,
            f"Every voice moves by the same interval, and the chord becomes {one.after.unicode}.",
        )


def _mirror(source: Source, _: str, wanted: _Target) -> Iterator[Becomes]:
    chord = _chord(source)
    root = chord.root.pitch_class
    turned = PcSet.of(*((2 * root - pc) % 12 for pc in chord.pcs))
    for after in wanted.named(turned, chord):
        reason = f"Each interval above {chord.root.unicode} is taken below it: {_tones(after)}."
        yield Becomes(chord, after, f"mirror the intervals around {chord.root.unicode}", reason)


def _resolve(source: Source, _: str, wanted: _Target) -> Iterator[Becomes]:
    """Yield the chords to which the source resolves as a dominant."""
    chord = _chord(source)
    try:
        goals = [way.target for way in resolutions(chord)]
    except HarmonyError:
        if not chord.is_dominant:
            raise
        goals = [chord.root.transpose("-P5").at(None).plain()]
    kinds = wanted.kinds or ("",)
    for goal in goals:
        made = [Chord.parse(goal.plain().name + kind) for kind in kinds]
        own = [one for one in wanted.chords if one.root.pitch_class == goal.pitch_class]
        for after in own if wanted.chords else made:
            yield _led(chord, after)


def _lead(source: Source, _: str, wanted: _Target) -> Iterator[Becomes]:
    chord = _chord(source)
    for after in wanted.chords:
        yield _led(chord, after)


def _led(chord: Chord, after: Chord) -> Becomes:
    """Return a chord that goes on to another, told by what each voice does."""
    moves = [Move(_plain(m.start), _plain(m.end)) for m in nearest_moves(chord.tones, after)]
    come = PcSet.of(*(move.end.pitch_class for move in moves))
    new = [note for note in after.tones if note.pitch_class not in come]
    told = join_words([*map(str, moves), *(f"{note.plain().unicode} is added" for note in new)])
    return Becomes(chord, after, told, f"{chord.unicode} goes on to {after.unicode}: {told}.")


def _plain(note: Note) -> Note:
    return note.plain()


CHANGES: MappingProxyType[str, tuple[_Make, str]] = MappingProxyType(
    {
        "lower one note": (_one_note((-1,)), "each note in turn falls by a half step"),
        "raise one note": (_one_note((1,)), "each note in turn rises by a half step"),
        "move one note": (_one_note((-1, 1)), "each note in turn falls or rises by a half step"),
        "lower D": (_one_note((-1,)), "one degree falls by a half step: 1, 3, 5, b7 and so on"),
        "raise D": (_one_note((1,)), "one degree rises by a half step"),
        "turn by N": (_turn, "every note rises by N half steps"),
        "same notes": (_same, "the same notes named from another root"),
        "leave out D": (_without, "without a degree: 1, 3, 5, b7 and so on"),
        "add D": (_with, "with a degree that it lacks"),
        "upper part": (
            _upper,
            "a root is put below it: it is the upper part of what comes",
        ),
        "holds": (_holds, "the chords whose notes all lie in it, its upper part too"),
        "alternates": (_alternates, "the chords that alternate with it in a scale of eight notes"),
        "slide by N": (_slide, "the shape moves N frets"),
        "mirror": (_mirror, "each interval above the root is taken below it"),
        "resolve": (_resolve, "the chords to which it resolves as a dominant"),
        "lead": (_lead, "it goes on to the target chord"),
    }
)
"""Every change that an idea may name: what makes it, and what it does in words."""

TYPED_CHANGES = MappingProxyType(
    {
        re.sub(" N$", " 3", re.sub(" D$", " 5", "add 6" if name == "add D" else name)): (
            re.sub(r"\bN\b", "3", said)
        )
        for name, (_, said) in CHANGES.items()
    }
)
"""Every change as somebody may type it, with a number or a degree of a chord: what it does."""
