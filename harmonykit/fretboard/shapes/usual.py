"""How usual a shape is for a chord: the order in which a chord book would print shapes.

The lowest marks come first (``marks``).  A shape that only mutes other strings than one before it
stands back, so that the first shapes are different places on the neck; with a barre and without one
it is another grip.  A shape without its root is never the first while another has the root.
(Common practice, no source.)
"""

from collections.abc import Iterable

from harmonykit.fretboard.shapes.frettings import Fretting
from harmonykit.fretboard.shapes.marks import breadth, in_fifths, judge, pressing
from harmonykit.fretboard.shapes.tones import mask, unwanted, usual_omissions
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.theory.chord import Chord

# The highest minus the lowest fret of usual shapes; more where the strings stand a fifth apart.
PLAIN_SPAN, _SPAN_IN_FIFTHS = 3, 5
# So many of the first shapes are kept apart; what follows stands by its marks.
_VARIED = 24
_ALIKE, _ALIKE_WITH_A_GAP = 1.7, 3.0


def usual_span(instrument: Instrument) -> int:
    """Return the highest minus the lowest fretted fret of usual shapes, before a hand is asked."""
    return _SPAN_IN_FIFTHS if in_fifths(instrument) else PLAIN_SPAN


def usual_tones(chord: Chord, strings: int) -> tuple[int, int]:
    """Return the pitch classes that must and that may sound, as bit masks.

    Examples
    --------
    >>> [bin(tones) for tones in usual_tones(Chord.parse("C9"), 4)]
    ['0b10000010100', '0b10010010101']
    """
    root = chord.root.pitch_class
    omitted, never = usual_omissions(chord, strings), unwanted(chord)
    must = mask((above for above in chord.semitones if above not in omitted), root)
    return must, mask((above for above in chord.semitones if above not in never), root)


def spares_enough(chord: Chord, strings: int, heard: int) -> bool:
    """Whether a shape whose pitch classes are ``heard`` leaves out no more than it has to.

    A shape without the root lacks nothing else that there would be a string for.
    """
    if heard >> chord.root.pitch_class % 12 & 1:
        return True
    tones = len(chord.semitones) - len(unwanted(chord))
    return tones - heard.bit_count() <= max(1, tones - strings)


def most_usual_first(
    chord: Chord, instrument: Instrument, shapes: Iterable[Fretting]
) -> list[Fretting]:
    """Return shapes of a chord in the order in which a chord book would print them.

    Examples
    --------
    >>> ukulele = Instrument.named("ukulele")
    >>> most_usual_first(Chord.parse("C"), ukulele, [(5, 4, 3, 3), (0, 0, 0, 3)])
    [(0, 0, 0, 3), (5, 4, 3, 3)]
    """
    found = judge(chord, instrument)
    marked = sorted((round(found.mark(frets), 6), _key(frets), frets) for frets in shapes)
    marks = {frets: mark for mark, _, frets in marked}
    order = _kept_apart([frets for _, _, frets in marked], marks)
    rooted = next((frets for frets in order if not found.rootless(frets)), None)
    if rooted is not None and order[0] != rooted:
        order.remove(rooted)
        order.insert(0, rooted)
    return order


def _key(frets: Fretting) -> tuple[int, ...]:
    return tuple(-1 if fret is None else fret for fret in frets)


def _kept_apart(order: list[Fretting], marks: dict[Fretting, float]) -> list[Fretting]:
    """Return shapes anew, one marked down that is a part of another before it, or the other way."""
    head, rest = order[: 3 * _VARIED], order[3 * _VARIED :]
    against = {frets: marks[frets] for frets in head}
    first: list[Fretting] = []
    while head and len(first) < _VARIED:
        best = min(head, key=against.__getitem__)
        head.remove(best)
        first.append(best)
        flat = _lies_flat(best)
        for frets in head:
            if _alike(best, frets) and _lies_flat(frets) == flat:
                against[frets] = marks[frets] + (_ALIKE_WITH_A_GAP if _gap(frets) else _ALIKE)
    return [*first, *sorted(head, key=against.__getitem__), *rest]


def _alike(one: Fretting, other: Fretting) -> bool:
    """Whether one shape is the other with strings muted."""
    pairs = [(a, b) for a, b in zip(one, other, strict=True) if a != b]
    return all(a is None for a, _ in pairs) or all(b is None for _, b in pairs)


def _lies_flat(frets: Fretting) -> bool:
    """Whether the index lies over three strings or more: letting go of it makes another grip."""
    fretted = [fret for fret in frets if fret]
    flat = bool(fretted) and pressing(frets, fretted, min(fretted))[1]
    return flat and breadth(frets, min(fretted)) > 2


def _gap(frets: Fretting) -> bool:
    """Whether a string is muted between two that sound."""
    return "x" in "".join("x" if fret is None else "." for fret in frets).strip("x")
