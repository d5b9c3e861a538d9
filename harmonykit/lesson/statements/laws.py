"""What holds for every transposition, and what can be counted through: by trying all there are.

A law returns the sentence that says it and nothing, or nothing and a counter-example; a count
returns how many, and of what.
"""

from collections.abc import Callable

from harmonykit.theory.alternation import alternating, prove_alternation
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import parents, resolutions
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.theory.sets.pcset import PcSet

# One name for each of the twelve, as charts write roots.
ROOTS = "C Db D Eb E F F# G Ab A Bb B".split()
Law = tuple[str, str]


def _diminished(root: int) -> PcSet:
    return PcSet.of(*(root + n for n in (0, 3, 6, 9)))


def _pcs(pcs: PcSet) -> str:
    return " ".join(map(str, pcs))


def _with(root: int, note: int, moved: int) -> PcSet:
    """Return a diminished seventh with one of its notes moved."""
    return PcSet.of(*(pc for pc in _diminished(root) if pc != note), note + moved)


def _lowering() -> Law:
    for root in range(12):
        for note in _diminished(root):
            left = _with(root, note, -1)
            if left != PcSet.of(*(note - 1 + n for n in (0, 4, 7, 10))):
                return "", f"lowering {note} of {_pcs(_diminished(root))} gives {_pcs(left)}"
    return "Lower any one note of any diminished seventh: it becomes the root of a dominant.", ""


def _raising() -> Law:
    for root in range(12):
        for note in _diminished(root):
            left = _with(root, note, 1)
            if left != PcSet.of(*(note + 6 + n for n in (0, 3, 7, 9))):
                return "", f"raising {note} of {_pcs(_diminished(root))} gives {_pcs(left)}"
    return "Raise any one note of any diminished seventh: a minor sixth chord is left.", ""


def _symmetry() -> Law:
    for root in range(12):
        if _diminished(root).transpose(3) != _diminished(root):
            return "", f"{_pcs(_diminished(root))} moved by three semitones is another"
    return "Any diminished seventh moved by three semitones is the same four notes.", ""


def _third_and_seventh(chord: Chord) -> PcSet:
    return PcSet.of(*(chord.root.pitch_class + n for n in (4, 10)))


def _tritone_pairs() -> Law:
    for root in ROOTS:
        four = parents(Chord.of(root, "dim7"))
        for one in four:
            for other in four:
                apart = (one.root.pitch_class - other.root.pitch_class) % 12
                shared = _third_and_seventh(one) == _third_and_seventh(other)
                if one != other and shared != (apart == 6):
                    return "", f"{one.symbol} and {other.symbol} are {apart} semitones apart"
    return (
        "Of the four dominants of any diminished seventh those a tritone apart, and no others, "
        "have the same notes for third and seventh.",
        "",
    )


def _sixth_diminished() -> Law:
    for root in range(12):
        diminished = _diminished(root)
        # The scale's diminished seventh stands on its leading note, so any of its four notes is
        # the leading note of some tonic.
        tonics = [name for name in ROOTS if (Chord.of(name, "").root.pitch_class - 1) in diminished]
        made = {SixthDiminished(name, kind).chord.pcs for name in tonics for kind in KINDS}
        others = {pcs for pcs in alternating(diminished) if pcs.forte_name != "4-28"}
        if made != others or len(alternating(diminished)) - len(others) != 2:
            return "", f"the chords that alternate with {_pcs(diminished)}"
    return (
        "Of the chords that alternate with a diminished seventh some are diminished sevenths "
        f"themselves; all others make one of the sixth-diminished scales: {', '.join(KINDS)}.",
        "",
    )


def _count_diminished() -> tuple[int, str]:
    return len({_diminished(root) for root in range(12)}), "different diminished sevenths"


def _count_targets() -> tuple[int, str]:
    targets = {len({w.target for w in resolutions(Chord.of(r, "dim7"))}) for r in ("C", "C#", "D")}
    (count,) = targets
    return count, "places to which a diminished seventh resolves as a dominant"


def _count_kinds() -> tuple[int, str]:
    kinds = {len(prove_alternation(_diminished(root)).kinds) for root in (0, 1, 2)}
    (count,) = kinds
    return count, "kinds of four-note chord that alternate with a diminished seventh round a scale"


LAWS: dict[str, Callable[[], Law]] = {
    "lowering": _lowering,
    "raising": _raising,
    "symmetry": _symmetry,
    "tritone pairs": _tritone_pairs,
    "sixth-diminished": _sixth_diminished,
}

COUNTS: dict[str, Callable[[], tuple[int, str]]] = {
    "diminished sevenths": _count_diminished,
    "places": _count_targets,
    "alternating kinds": _count_kinds,
}
