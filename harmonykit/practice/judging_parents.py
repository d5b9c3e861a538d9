"""What is said of an answer that names parents of a diminished seventh, or it of one of them."""

from collections.abc import Sequence

from harmonykit.practice import question, wording
from harmonykit.practice.question import Seen, Verdict
from harmonykit.practice.wording import read_chords, read_notes
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, resolutions
from harmonykit.theory.sets.pcset import PcSet

_ACCEPTED = ((0, 4, 7, 10), (0, 1, 4, 7, 10))


def judge_parents(
    chord: Chord,
    wanted: Sequence[Resolution],
    given: Sequence[Chord],
    granted: Sequence[Resolution] = (),
) -> Verdict:
    """Judge chords that are to be some of the parents of a diminished seventh.

    Those that were granted with the question may be named again.

    Examples
    --------
    >>> ways = resolutions(Chord.parse("Bdim7"))
    >>> print(judge_parents(ways[0].chord, ways, read_chords("Gb7 G7")).said.split(" D♭7,")[0])
    Not yet. G7 is right. G♭7 holds none of the notes of B°7; each of its dominants holds three.
    """
    roots = {way.parent.root.pitch_class for way in wanted}
    told = {way.parent.root.pitch_class for way in granted}
    right = [c for c in given if _is_dominant(c) and c.root.pitch_class in roots]
    known = [c for c in given if _is_dominant(c) and c.root.pitch_class in told]
    others = [each for each in dict.fromkeys(given) if each not in (*right, *known)]
    wrong = [_why_not(chord, each) for each in others]
    named = {each.root.pitch_class for each in right}
    missing = [way for way in wanted if way.parent.root.pitch_class not in named]
    seen = _seen(chord, wanted)
    if not wrong and not missing:
        return Verdict(
            question.RIGHT,
            wording.sentences(wording.GOOD, wording.reasons([lowering(way) for way in wanted][:1])),
            seen,
        )
    why = f": l{lowering(missing[0])[1:]}" if missing else ""
    lost = wording.lacking([way.parent for way in missing], why)
    return Verdict(
        question.share(len(wanted) - len(missing), len(wrong), len(wanted)),
        wording.sentences(wording.NOT_YET, wording.granted(right), wording.reasons(wrong), lost),
        seen,
        tuple(each.symbol for each in others),
    )


def lowering(way: Resolution) -> str:
    """Return how a parent is made, its note named as in the diminished seventh.

    Examples
    --------
    >>> lowering(resolutions(Chord.parse("Ddim7"))[3])
    'Lower D of D°7 by a semitone to D♭: the chord becomes D♭7.'
    """
    return (
        f"Lower {lowered_note(way)} of {way.chord.unicode} by a semitone to "
        f"{way.lowered.end.unicode}: the chord becomes {way.parent.unicode}."
    )


def lowered_note(way: Resolution) -> str:
    """Return the name of the note that is lowered, as the diminished seventh has it."""
    return way.chord.spell(way.lowered.start.pitch_class).unicode


def _is_dominant(chord: Chord) -> bool:
    return chord.semitones in _ACCEPTED and chord.is_dominant


def _why_not(chord: Chord, given: Chord) -> str:
    name = given.unicode
    if not _is_dominant(given):
        return f"{name} is not a dominant seventh, which has a major third and a minor seventh."
    others = {way.parent.root.pitch_class: way for way in resolutions(chord)}
    if given.root.pitch_class in others:
        other = others[given.root.pitch_class]
        return f"{name} is one too, with another note lowered: l{lowering(other)[1:]}"
    common = len(PcSet.from_mask(chord.pcs.mask & Chord.of(given.root, "7").pcs.mask))
    held = f"{name} holds {wording.COUNTS[common]} of the notes of {chord.unicode}"
    return f"{held}; each of its dominants holds three."


def judge_diminished(way: Resolution, text: str, *, clock: bool) -> Verdict:
    """Judge an answer that is to name the diminished seventh of a parent."""
    chord, parent = way.chord, way.parent
    move = (way.lowered.end.pitch_class, way.lowered.start.pitch_class)
    seen = Seen(chord.unicode, chord.pcs, chord, parent.pcs, parent, (move,))
    if clock:
        notes = read_notes(text)
        if PcSet.of(*(note.pitch_class for note in notes)) == chord.pcs:
            return Verdict(question.RIGHT, wording.sentences(wording.GOOD, lowering(way)), seen)
        pcs = PcSet.of(*(note.pitch_class for note in notes))
        return Verdict(
            question.WRONG,
            wording.sentences(wording.NOT_YET, wording.faults(pcs, chord, notes), lowering(way)),
            seen,
        )
    given = read_chords(text)
    wrong = [each for each in given if each.pcs != chord.pcs]
    if not wrong:
        return Verdict(question.RIGHT, wording.sentences(wording.GOOD, lowering(way)), seen)
    said = [_not_diminished(each, way) for each in wrong]
    return Verdict(
        question.WRONG,
        wording.sentences(wording.NOT_YET, wording.reasons(said), lowering(way)),
        seen,
        tuple(each.symbol for each in wrong),
    )


def _not_diminished(given: Chord, way: Resolution) -> str:
    if not given.is_diminished_seventh:
        return f"{given.unicode} is not a diminished seventh."
    common = len(PcSet.from_mask(given.pcs.mask & way.parent.pcs.mask))
    return f"{given.unicode} shares {wording.COUNTS[common]} of the notes of {way.parent.unicode}."


def _seen(chord: Chord, ways: Sequence[Resolution]) -> Seen:
    moves = tuple((w.lowered.start.pitch_class, w.lowered.end.pitch_class) for w in ways)
    if len(ways) == 1:
        parent = ways[0].parent
        return Seen(parent.unicode, parent.pcs, parent, chord.pcs, chord, moves)
    roots = PcSet.of(*(end for _, end in moves))
    names = tuple(way.parent.root for way in ways)
    return Seen(chord.unicode, roots, None, chord.pcs, chord, moves, names=names)
