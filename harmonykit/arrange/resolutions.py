"""The dominants of an arrangement, followed through what stands for them, and where they go.

Conventions.  Chords that share a diminished seventh do one dominant's work: a dominant, those a
minor third, a tritone and a sixth away, and the diminished seventh itself (D7, F7, A♭7 and B7 with
F♯°7).  Such a row of neighbours counts once; so D7 F♯°7 Gm7 is one dominant, which resolves.  It
*resolves* where the next root, or the bass of a six-four, is a fifth or a semitone below one of its
roots.  A diminished seventh alone has four roots, and counts only where it resolves: one that goes
elsewhere is a common-tone or a passing chord.  Under an ornament the chord of the tune goes on; a
leading-tone diminished seventh counts by itself.  (Common practice, no source.)
"""

from collections.abc import Iterable, Iterator
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.moves.dominants import is_called_dominant
from harmonykit.theory.chord import Chord

_LEADING = "leading-tone diminished"
_FIFTH_BELOW, _SEMITONE_BELOW = 7, 1
_SHARE = 3


def resolutions(arrangement: Arrangement) -> tuple[bool, ...]:
    """Return of each dominant of an arrangement whether it resolves.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> plain = reharmonise("| D7 | F#dim7 | Gm7 | C7 | Dm7 |", "ukulele", (), k=1)[0]
    >>> resolutions(plain)
    (True, False)
    """
    skeleton = [(structural(step), _roots(step)) for step in arrangement.steps]
    return (*_followed(skeleton), *_leading(arrangement.steps))


def structural(step: Step) -> Chord | None:
    """Return the chord that a lead sheet would write: under an ornament the tune's own."""
    return step.written if step.ornament else step.chord or step.written


def _roots(step: Step) -> frozenset[int]:
    """Return the roots of the dominants for which a step stands; none where it is none."""
    chord, written = structural(step), step.written
    if chord is None:
        return frozenset()
    if chord.is_diminished_seventh:
        return frozenset((pitch_class - 1) % 12 for pitch_class in chord.pcs)
    own = frozenset({chord.root.pitch_class} if is_called_dominant(chord) else ())
    if not step.added or written is None or not written.is_dominant:
        return own
    root = written.root.pitch_class
    guides = {(root + 4) % 12, (root + 10) % 12} <= set(chord.pcs)
    shares = bool(own) and (chord.root.pitch_class - root) % _SHARE == 0
    return own | {root} if shares or guides and not own else own


def _followed(row: Iterable[tuple[Chord | None, frozenset[int]]]) -> Iterator[bool]:
    """Yield of each dominant of a row of chords whether it resolves."""
    held = [next(group) for _, group in groupby(row, key=lambda pair: pair[0])]
    groups = [[*group] for _, group in groupby(held, key=lambda pair: _shared(pair[1]))]
    for group, after in zip(groups, [*groups[1:], []], strict=True):
        roots = frozenset().union(*(roots for _, roots in group))
        if not roots:
            continue
        resolves = bool(after) and _leads(roots, after[0][0])
        alone = all(chord is not None and chord.is_diminished_seventh for chord, _ in group)
        if resolves or not alone:
            yield resolves


def _shared(roots: frozenset[int]) -> int | None:
    """Return which of the three diminished sevenths some dominants share; ``None`` for none."""
    return next(iter(roots)) % _SHARE if roots else None


def _leading(steps: tuple[Step, ...]) -> Iterator[bool]:
    """Yield the leading-tone diminished sevenths that are ornaments and resolve."""
    runs = [next(group) for _, group in groupby(steps, key=lambda step: (step.chord, step.move))]
    for step, after in zip(runs, runs[1:], strict=False):
        if step.move == _LEADING and step.chord is not None:
            roots = frozenset((pitch_class - 1) % 12 for pitch_class in step.chord.pcs)
            if _leads(roots, after.chord):
                yield True


def _leads(roots: frozenset[int], after: Chord | None) -> bool:
    if after is None:
        return False
    goals = {after.root.pitch_class}
    if (after.bass.pitch_class - after.root.pitch_class) % 12 == _FIFTH_BELOW:
        goals.add(after.bass.pitch_class)
    ways = (_FIFTH_BELOW, _SEMITONE_BELOW)
    return any((root - goal) % 12 in ways for root in roots for goal in goals)
