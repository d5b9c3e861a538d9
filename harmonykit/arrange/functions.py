"""What the chords of an arrangement do in its key, and where its dominants go.

Conventions.  Chords that share a diminished seventh do one dominant's work: a dominant, those a
minor third, a tritone and a sixth away, and the diminished seventh itself (D7, F7, A♭7 and B7 with
F♯°7).  Such a row of neighbours counts once; so D7 F♯°7 Gm7 is one dominant, which resolves.  It
*resolves* where the next root, or the bass of a six-four, is a fifth or a semitone below one of its
roots.  A diminished seventh alone has four roots, and counts only where it resolves: one that goes
elsewhere is a common-tone or a passing chord.  Under an ornament the chord of the tune goes on; a
leading-tone diminished seventh counts by itself.  (Common practice, no source.)
"""

from collections.abc import Iterable, Iterator
from itertools import groupby, pairwise

from harmonykit.arrange.arrangement import Arrangement, Step, Tune
from harmonykit.arrange.moves.dominants import is_called_dominant
from harmonykit.theory.chord import Chord
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.analysis import function, numerals
from harmonykit.tune.form import INTRO, PICKUP
from harmonykit.words.numbers import bars_between, join_words

MOST_DOUBTS = 5


def functions_of(way: Arrangement) -> tuple[numerals.Analysed, ...]:
    """Return what each step of an arrangement does; a chord that lasts on does it still.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> from harmonykit.fretboard.strings.instrument import Instrument
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> tune = read_tune(find_data("tunes", "slack_water_waltz"))
    >>> written = reharmonise(tune, Instrument.named("ukulele"), (), k=1)[0]
    >>> [each.numeral for each in functions_of(written)][:6]
    ['I6', 'I6', 'V7/ii', 'V7/ii', 'ii', 'ii']
    """
    # Where the melody rests over a chord, the harmony goes on.
    harmony = [step.named or step.written for step in way.steps]
    held = [(chord, len([*group])) for chord, group in groupby(harmony)]
    told = function.analyse_chords([chord for chord, _ in held], way.tune.key)
    each = (one for one, (_, count) in zip(told, held, strict=True) for _ in range(count))
    return tuple(
        one if step.named is not None else numerals.Analysed(None, "")
        for one, step in zip(each, way.steps, strict=True)
    )


def often_at(way: Arrangement, index: int) -> str:
    """Return how often the chord of a step was heard between those beside it, in words.

    Nothing is said of an ornament: lead sheets, from which was counted, do not write them.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> from harmonykit.arrange.wishes import Wishes
    >>> tune = Tune.parse("| C6 | Dm7 |", key="C")
    >>> full = Wishes(density="full")
    >>> way = reharmonise(tune, "ukulele", ["passing diminished"], k=1, wishes=full)[0]
    >>> often_at(way, 1)
    'C6 – C♯°7 – Dm7 heard 31 times, in 16 of 606 jazz tunes'
    """
    chord = way.steps[index].chord
    before = (step.chord for step in reversed(way.steps[:index]))
    after = (step.chord for step in way.steps[index:])
    left, right = (
        next((each for each in side if each is not None and each != chord), None)
        for side in (before, after)
    )
    row = [each for each in (left, chord, right) if each is not None]
    if chord is None or len(row) == 1 or way.steps[index].ornament:
        return ""
    # The counts are loaded where they are asked for.
    from harmonykit.tune.analysis.surprise import how_often

    return f"{' – '.join(each.unicode for each in row)} {how_often(row)}"


def silence_of(step: Step) -> str:
    """Return what a step without a chord is called: a rest over the tune's chord, or N.C."""
    return NO_CHORD if step.written is None else "rest"


def numerals_by_bar(way: Arrangement) -> str:
    """Return an arrangement's numerals in playing order, a stroke between bars, as typed.

    Those of an intro stand before them in brackets.
    """
    told = iter(functions_of(way))
    bars = [" ".join(next(told).numeral or silence_of(step) for step in bar) for bar in way.bars()]
    intro = sum(played.section == INTRO for played in way.tune.playing)
    parts = (f"({' | '.join(bars[:intro])})" if intro else "", " | ".join(bars[intro:]))
    return " ".join(filter(None, parts))


def about_phrases(tune: Tune) -> tuple[str, ...]:
    """Return what a tune's own chords come to: cadences, ii-V chains, and what is doubtful.

    Bars are called by their written numbers; an intro is told apart, and is none of the phrases.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> about_phrases(read_tune(find_data("tunes", "slack_water_waltz")))[0]
    'Cadences: half in bars 8 and 12; authentic in bar 16.'
    """
    return tuple(_about(tune))


def _about(tune: Tune) -> Iterator[str]:
    found = function.analyse(tune)
    if intro := tune.framing[0]:
        yield f"Intro in {bars_between(1, intro)}; the tune begins in bar {intro + 1}."
    places: dict[str, dict[int, None]] = {}
    for cadence in found.cadences:
        places.setdefault(cadence.kind + cadence.where, {})[cadence.bar] = None
    if places:
        told = (f"{kind} in {bars_said(tuple(bars))}" for kind, bars in places.items())
        yield f"Cadences: {'; '.join(told)}."
    if chains := _chains(tune):
        yield f"ii–V chains: {'; '.join(chains)}."
    if found.doubts:
        more = len(found.doubts) - MOST_DOUBTS
        yield f"Doubtful: {'; '.join(found.doubts[:MOST_DOUBTS])}" + (
            f"; and {more} more." if more > 0 else "."
        )


def _chains(tune: Tune) -> tuple[str, ...]:
    """Return the rows of ii-V pairs, each said once however often it is played."""
    start = function.opening_of(tune)
    own = [change for change in tune.changes if change.onset >= start]
    changes = [next(group) for _, group in groupby(own, key=lambda each: each.chord)]
    told = function.analyse_chords([change.chord for change in changes], tune.key)
    said: dict[str, None] = {}
    for chain in numerals.find_chains(told):
        rows = [changes[index] for index in chain.chords]
        names = " ".join(row.chord.unicode for row in rows if row.chord)
        said[f"{names} ({bars_between(rows[0].bar, rows[-1].bar)})"] = None
    return tuple(said)


def bars_said(numbers: tuple[int, ...]) -> str:
    """Return bars by their numbers; bar 0 is a pick-up.

    Examples
    --------
    >>> bars_said((4,)), bars_said((4, 8)), bars_said((0, 4))
    ('bar 4', 'bars 4 and 8', 'the pick-up and bar 4')
    """
    bars = [str(number) for number in numbers if number]
    said = f"bar{'s' if len(bars) > 1 else ''} {join_words(bars)}" if bars else ""
    return join_words([*([f"the {PICKUP}"] if 0 in numbers else []), *([said] if said else [])])


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
    for step, after in pairwise(runs):
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
