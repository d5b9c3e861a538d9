"""What the chords of an arrangement do in the tune's key, and what its phrases come to."""

from collections.abc import Iterator
from itertools import groupby

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.tune.analysis.chains import Analysed, find_chains
from harmonykit.tune.analysis.function import analyse, analyse_chords
from harmonykit.tune.analysis.surprise import how_often
from harmonykit.tune.tune import Tune

MOST_DOUBTS = 5


def functions_of(way: Arrangement) -> tuple[Analysed, ...]:
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
    harmony = [step.chord or step.written for step in way.steps]
    held = [(chord, len([*group])) for chord, group in groupby(harmony)]
    told = analyse_chords([chord for chord, _ in held], way.tune.key)
    each = (one for one, (_, count) in zip(told, held, strict=True) for _ in range(count))
    return tuple(
        one if step.chord is not None else Analysed(None, "")
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
    return f"{' – '.join(each.unicode for each in row)} {how_often(row)}"


def silence_of(step: Step) -> str:
    """Return what a step without a chord is called: a rest over the tune's chord, or N.C."""
    return "N.C." if step.written is None else "rest"


def numerals_by_bar(way: Arrangement) -> str:
    """Return an arrangement's numerals in playing order, a stroke between bars, as typed."""
    told = iter(functions_of(way))
    bars = (" ".join(next(told).numeral or silence_of(step) for step in bar) for bar in way.bars())
    return " | ".join(bars)


def about_phrases(tune: Tune) -> tuple[str, ...]:
    """Return what a tune's own chords come to: cadences, ii-V chains, and what is doubtful.

    Bars are called by their written numbers.

    Examples
    --------
    >>> from harmonykit.paths import find_data
    >>> from harmonykit.score.files import read_tune
    >>> about_phrases(read_tune(find_data("tunes", "slack_water_waltz")))[0]
    'Cadences: half in bars 8, 12; authentic in bar 16.'
    """
    return tuple(_about(tune))


def _about(tune: Tune) -> Iterator[str]:
    found = analyse(tune)
    places: dict[str, dict[int, None]] = {}
    for cadence in found.cadences:
        places.setdefault(cadence.kind, {})[cadence.bar] = None
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
    changes = [next(group) for _, group in groupby(tune.changes, key=lambda each: each.chord)]
    told = analyse_chords([change.chord for change in changes], tune.key)
    said: dict[str, None] = {}
    for chain in find_chains(told):
        rows = [changes[index] for index in chain.chords]
        names = " ".join(row.chord.unicode for row in rows if row.chord)
        said[f"{names} ({_span(rows[0].bar, rows[-1].bar)})"] = None
    return tuple(said)


def _span(first: int, last: int) -> str:
    return f"bar {first}" if first == last else f"bars {first} to {last}"


def bars_said(numbers: tuple[int, ...]) -> str:
    """Return bars by their numbers.

    Examples
    --------
    >>> bars_said((4,)), bars_said((4, 8))
    ('bar 4', 'bars 4, 8')
    """
    return f"bar{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
