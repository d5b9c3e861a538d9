"""What the questions of essays come to: each is worked out from the library, none is written down.

A question names a truth and what it is about: ``kept F#dim7 1`` asks how many notes stay when F♯°7
is turned by one semitone.  Some truths count or name; others say of each choice whether it is the
one.
"""

import math
from collections.abc import Callable, Sequence
from itertools import combinations, pairwise

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.nearest import scale_of_chords
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory import alternation, kin, scale, uses
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.diminished import diminished_sevenths, parents, resolutions
from harmonykit.theory.leading.voiceleading import displacement, distance, distance_matrix
from harmonykit.theory.sets.fourier import fourier
from harmonykit.theory.sets.operation import forms_within, subsets, transpositions, turns_that_fix
from harmonykit.theory.sets.setclass import embedded, set_classes

_EVERY_NOTE = PcSet.of(*range(12))


def find_answer(truth: str, choices: Sequence[str], instrument: Instrument) -> str:
    """Return the one choice that is right.

    Parameters
    ----------
    truth : str
        The name of a truth, and what it is about, parted by spaces.
    choices : sequence of str
    instrument : Instrument

    Raises
    ------
    HarmonyError
        If there is no such truth, or not just one of the choices is right.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> find_answer("kept F#dim7 1", ("0", "1", "2", "4"), ukulele)
    '0'
    >>> find_answer("keeps-guide-tones D7", ("F7", "Ab7", "B7"), ukulele)
    'Ab7'
    """
    name, *about = truth.split()
    if name in OF_STRINGS:
        found = [OF_STRINGS[name](instrument, *about)]
    elif name in _VALUES:
        found = [str(_VALUES[name](*about))]
    elif name in _JUDGES:
        found = [choice for choice in choices if _JUDGES[name](choice, *about)]
    elif name in _CHOOSERS:
        found = _CHOOSERS[name](choices, *about)
    else:
        known = sorted([*OF_STRINGS, *_VALUES, *_JUDGES, *_CHOOSERS])
        raise HarmonyError(f"unknown truth {name!r}", mend=", ".join(known))
    if len(found) != 1 or found[0] not in choices:
        said = ", ".join(found) or "none"
        raise HarmonyError(f"{truth}: {said} is right, of the choices {', '.join(choices)}")
    return found[0]


# Counted.


def _semitones(low: str, high: str) -> int:
    return (Note.parse(high).pitch_class - Note.parse(low).pitch_class) % 12


def _kept(symbol: str, semitones: str) -> int:
    notes = Chord.parse(symbol).pcs
    return len(notes & notes.transpose(int(semitones)))


def _first_turn(symbol: str) -> int:
    return min(turn for turn in turns_that_fix(Chord.parse(symbol).pcs) if turn)


def _different(symbol: str) -> int:
    return len(transpositions(Chord.parse(symbol).pcs))


def _neighbours(symbol: str) -> int:
    """How many sets of four notes are one semitone away."""
    away = distance_matrix([Chord.parse(symbol)], others=subsets(_EVERY_NOTE, 4))
    return int((away == 1).sum())


def _alternating_kinds(symbol: str) -> int:
    """How many kinds alternate with a chord, where one kind is all that turn into each other."""
    kinds = {pcs.tn_name for pcs in alternation.alternating(Chord.parse(symbol).pcs)}
    return len(kinds)


def _alternating_scales() -> int:
    three = [chord.pcs for chord in diminished_sevenths()]
    return len({pcs | other for pcs in three for other in alternation.alternating(pcs)})


def _proved(symbol: str) -> int:
    proof = alternation.prove_alternation(Chord.parse(symbol).pcs)
    return len(proof.chords) if proof.holds else 0


def _targets(symbol: str) -> int:
    return len({use.target.root.pitch_class for use in uses.before_all(symbol)})


def _path(*symbols: str) -> int:
    return int(sum(distance(one, other) for one, other in pairwise(symbols)))


def _classes_of(size: str) -> int:
    return sum(each.size == int(size) for each in set_classes())


def _pairs(symbol: str, semitones: str) -> int:
    """How many pairs of a chord's notes lie so many semitones apart, whichever way is shorter."""
    return sum(
        abs(displacement(one, other)) == int(semitones)
        for one, other in combinations(Chord.parse(symbol).pcs, 2)
    )


def _kinds_holding(size: str, symbol: str) -> int:
    kinds = (PcSet.of(*each.prime_form) for each in set_classes() if each.size == int(size))
    return sum(bool(forms_within(Chord.parse(symbol).pcs, kind)) for kind in kinds)


# Named.


def _steps_together(one: str, other: str, start: str) -> str:
    return _round(Chord.parse(one).pcs | Chord.parse(other).pcs, start)


def _round(pcs: PcSet, start: str) -> str:
    """Return the steps of some notes in semitones, from one of them up to it again."""
    low = Note.parse(start).pitch_class
    notes = [*sorted((pc - low) % 12 for pc in pcs), 12]
    return " ".join(str(high - low) for low, high in pairwise(notes))


def _goes(symbol: str, note: str, target: str) -> str:
    """Return where a note of a diminished seventh goes when it resolves."""
    root = Note.parse(target).pitch_class
    way = next(each for each in resolutions(symbol) if each.target.pitch_class == root)
    start = Note.parse(note).pitch_class
    return next(move.end.name for move in way.moves if move.start.pitch_class == start)


def _scale_root(symbol: str) -> str:
    """Return the root of the usual scale for a chord."""
    return scale.scales_for(Chord.parse(symbol))[0].chord.root.name


# Of strings.


def _next_shape(instrument: Instrument, root: str, kind: str, frets: str) -> str:
    shapes = scale_of_chords(scale.SixthDiminished(root, kind), Voicing.parse(frets, instrument))
    return shapes[1].digits


def _sounds(instrument: Instrument, frets: str, string: str) -> str:
    """Return the note of a string, counted from 1, as its chord spells it."""
    pitch = Voicing.parse(frets, instrument).midi[int(string) - 1]
    if pitch is None:
        raise HarmonyError(f"string {string} of {frets} is muted")
    return Note.from_midi(pitch).at(None).name


def _strings_move(instrument: Instrument, frets: str, after: str) -> str:
    """Return by how many semitones the strings move in all between two shapes of all strings."""
    start, end = (Voicing.parse(each, instrument).sounding for each in (frets, after))
    return str(sum(abs(high - low) for low, high in zip(start, end, strict=True)))


def _shifts(instrument: Instrument, frets: str) -> str:
    """Return by how many frets a shape is moved at most, to play all three diminished sevenths."""
    shape, missing = Voicing.parse(frets, instrument), {c.pcs for c in diminished_sevenths()}
    for up in range(12):
        missing.discard(shape.pcs.transpose(up))
        if not missing:
            return str(up)
    raise HarmonyError(f"{frets} is not a diminished seventh")


# Said of each choice.


def _is_root(choice: str, symbol: str) -> bool:
    return Note.parse(choice).pitch_class == Chord.parse(symbol).root.pitch_class


def _is_called(choice: str, symbol: str) -> bool:
    return Chord.parse(choice).pcs == Chord.parse(symbol).pcs


def _is_its_diminished(choice: str, symbol: str) -> bool:
    return any(each.pcs == Chord.parse(symbol).pcs for each in parents(choice))


def _comes_in(choice: str, number: str) -> bool:
    return _different(choice) == int(number)


def _keeps_guide_tones(choice: str, symbol: str) -> bool:
    dominant = Chord.parse(symbol)
    return {dominant.tones[1].pitch_class, dominant.tones[3].pitch_class} <= set(
        Chord.parse(choice).pcs
    )


def _has_no_scale(choice: str) -> bool:
    return all(Chord.parse(choice).pcs & each.pcs for each in diminished_sevenths())


def _largest_move(choice: str, symbol: str, semitones: str) -> bool:
    return distance(symbol, choice, math.inf) == int(semitones)


def _same_class(choice: str, symbol: str) -> bool:
    return Chord.parse(choice).pcs.forte_name == Chord.parse(symbol).pcs.forte_name


def _is_plr(choice: str, symbol: str, word: str) -> bool:
    return kin.plr(symbol, word).pcs == Chord.parse(choice).pcs


def _lies_between(choice: str, one: str, other: str) -> bool:
    return distance(one, choice) == 1 == distance(choice, other)


# Chosen from all.


def _greatest_part(choices: Sequence[str], part: str) -> list[str]:
    """Return the chords that are nearest to so many equal parts of the octave."""
    sizes = {each: fourier(each).magnitudes[int(part)] for each in choices}
    return [each for each in choices if math.isclose(sizes[each], max(sizes.values()))]


_VALUES: dict[str, Callable[..., object]] = {
    "semitones": _semitones,
    "kept": _kept,
    "first-turn": _first_turn,
    "different": _different,
    "parents": lambda symbol: len(parents(symbol)),
    "neighbours": _neighbours,
    "targets": _targets,
    "in-each-gap": lambda symbol: len(alternation.gaps(Chord.parse(symbol).pcs)[0]),
    "alternating": _proved,
    "alternating-kinds": _alternating_kinds,
    "alternating-scales": _alternating_scales,
    "distance": lambda one, other: distance(one, other),
    "doubled": lambda one, other: distance(one, other),
    "path": _path,
    "pairings": lambda symbol: math.factorial(len(Chord.parse(symbol).pcs)),
    "in-order": lambda symbol: len(Chord.parse(symbol).pcs),
    "classes-of": _classes_of,
    "pairs": _pairs,
    "strongest": lambda symbol: fourier(symbol).strongest,
    "embedded": lambda inner, outer: embedded(inner, outer),
    "kinds-holding": _kinds_holding,
    "steps": lambda symbol, start: _round(Chord.parse(symbol).pcs, start),
    "steps-together": _steps_together,
    "goes": _goes,
    "scale-root": _scale_root,
}
OF_STRINGS: dict[str, Callable[..., str]] = {
    "next-shape": _next_shape,
    "string-sounds": _sounds,
    "strings-move": _strings_move,
    "shifts": _shifts,
}
_JUDGES: dict[str, Callable[..., bool]] = {
    "root": _is_root,
    "called": _is_called,
    "diminished-of": _is_its_diminished,
    "comes-in": _comes_in,
    "keeps-guide-tones": _keeps_guide_tones,
    "has-no-scale": _has_no_scale,
    "largest-move": _largest_move,
    "same-class": _same_class,
    "plr": _is_plr,
    "between": _lies_between,
}
_CHOOSERS: dict[str, Callable[..., list[str]]] = {"greatest-part": _greatest_part}
