"""The finder: what is true of a chord, a scale, a set, a shape or a tune, the most useful first.

Every statement of the grammar is computed for the source; nothing is listed that was not.  The
order is by payoff: where it can stand (in the tunes that are given, else as often as chords of its
kind were heard), how little the hand must learn, and whether a voice moves by step where all can
hear it.  A second finding of a kind counts for less than the first, so that the list is mixed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

from harmonykit.errors import HarmonyError, need_several
from harmonykit.evidence.heard import heard_next
from harmonykit.evidence.kinds import JAZZ, PLAIN, kind_of
from harmonykit.fretboard.shapes.voicing import Instrument, InstrumentLike, Voicing, as_instrument
from harmonykit.ideas.changes import changes
from harmonykit.ideas.finding import Ease, Finding, Fits, Hearing, Spot
from harmonykit.ideas.nameless import nameless
from harmonykit.ideas.names import names
from harmonykit.ideas.neck import on_strings
from harmonykit.ideas.source import Source, as_source
from harmonykit.ideas.strings import Strings
from harmonykit.ideas.wholes import wholes
from harmonykit.theory.chord import Chord, PcSet
from harmonykit.theory.given import ChordLike
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.spelling import usual_root
from harmonykit.tune.analysis.surprise import often_next
from harmonykit.tune.class_file import ClassFile
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

SourceLike = ChordLike | PcSet | Ladder | Voicing | Tune
_AGAIN = 0.8
_FIFTH_DOWN = 5
# Kinds that are triads in popular songs.
_AS_TRIADS = {"6": "maj", "m": "min"}
_MOST_CHORDS = 4
_MOST_NEXT = 40
_PARTS = 6


@dataclass(frozen=True, slots=True)
class _Place:
    """A chord of a tune, with the step to the next root."""

    spot: Spot
    kind: str
    step: int


def discover(
    source: SourceLike,
    instrument: InstrumentLike | None = None,
    tunes: Sequence[Tune] = (),
    knows: ClassFile | None = None,
) -> tuple[Finding, ...]:
    """Return what is true of something and worth a lesson, the most useful first.

    Parameters
    ----------
    source : str, Chord, PcSet, Scale, Voicing or Tune
        A chord (``"Bdim7"``), a kind (``"dim7"``), a scale (``"D dorian"``), notes
        (``"0 1 4 6"``), a shape (``"2-3-2-3"``), or a tune, whose commonest chords are taken.
    instrument : Instrument or str, optional
        On which shapes are shown; without it none are.
    tunes : sequence of Tune
        Where findings should stand; without them counted tunes say how often.
    knows : ClassFile, optional
        The class, whose grips are not new; without it the open shapes are known.

    Returns
    -------
    tuple of Finding
        Each with statement, proof, near miss, ease, hearing, places and rarity.

    Raises
    ------
    HarmonyError
        If the source cannot be read, or something among the tunes is not one.

    Examples
    --------
    >>> print(hk.discover("C+", "ukulele")[0])
    C+ is a dominant in three keys: as C+, E+ and A♭+ it resolves to F, A and D♭.
    """
    neck = None if instrument is None else as_instrument(instrument)
    if isinstance(source, Voicing) and neck is None:
        neck = source.instrument
    given = [_need_tune(each) for each in need_several(tunes, "tunes", "[tune]")]
    return sought(source, neck, given, _untold, knows)


def sought(
    source: SourceLike,
    neck: Instrument | None,
    tunes: Sequence[Tune],
    tell: Callable[[int, int], None],
    knows: ClassFile | None = None,
) -> tuple[Finding, ...]:
    """Return what ``discover`` does, and tell how many parts are done, and of how many."""
    if isinstance(source, Tune):
        sources = [as_source(each, neck) for each in _commonest(source)]
        tunes = tunes or [source]
    else:
        sources = [as_source(source, neck)]
    found: list[Finding] = []
    for place, each in enumerate(sources):
        for part, findings in enumerate(_findings(each, neck, knows)):
            found += findings
            tell(place * _PARTS + part, len(sources) * _PARTS)
    places = [place for tune in tunes for place in _places(tune)]
    ranked = _ranked([_placed(each, places) for each in found])
    tell(1, 1)
    return ranked


def _untold(_done: int, _total: int) -> None:
    """Tell nobody."""


def _need_tune(given: object) -> Tune:
    if isinstance(given, Tune):
        return given
    raise HarmonyError(f"{given!r} is not a tune", mend='[read_tune("heron_landing")]')


def _commonest(tune: Tune) -> list[str]:
    counted = Counter(c.chord.symbol for c in tune.changes if c.chord is not None)
    found = [symbol for symbol, _ in counted.most_common(_MOST_CHORDS)]
    if found:
        return found
    raise HarmonyError(f"{tune.title!r} has no chords", mend="a tune with chords")


def _findings(
    source: Source, neck: Instrument | None, knows: ClassFile | None
) -> Iterator[list[Finding]]:
    strings = None if neck is None else Strings(source, neck, knows)
    notes = " ".join(map(str, source.pcs))
    typed = source.chord.symbol if source.chord else str(source.scale or notes)
    for part in (changes, names, wholes):
        yield [each.about(typed) for each in part(source, strings)]
    yield [each.about(typed) for each in nameless(source)]
    if strings is not None:
        yield [each.about(typed) for each in on_strings(strings)]
    yield [each.about(typed) for each in _music(source)]


def _music(source: Source) -> Iterator[Finding]:
    """Yield what was heard after the source most."""
    if source.chord is None:
        return
    after = often_next(source.chord, 3)
    if not after:
        return
    first, often = after[0]
    told = "; ".join(f"{chord.unicode}: {each}" for chord, each in after)
    later = [r for r in often_next(source.chord, _MOST_NEXT) if r[1].tunes * 4 < often.tunes]
    seldom = next((row for row in later if row[0].root == first.root), next(iter(later), None))
    others = join_words([chord.unicode for chord, _ in after[1:]])
    counted = often.counted_as.partition(" ")[0]
    name = f"Counted as {counted}, {source.name}" if counted else source.name
    yield Finding(
        "in music",
        f"{name} is followed by {first.unicode} in more tunes than by any other chord"
        + (f"; next {'come' if len(after) > 2 else 'comes'} {others}." if others else "."),
        f"{told}.",
        near_miss=f"{seldom[0].unicode} seldom follows it: {seldom[1]}." if seldom else "",
        fits=Fits((kind_of(source.chord.semitones),)),
        ease=Ease((), 0),
        hearing=Hearing("inner"),
        weight=0.9,
        heard=str(often),
    )  # fmt: skip


def _places(tune: Tune) -> Iterator[_Place]:
    row = [change for change in tune.changes if change.chord is not None]
    seen = set()
    for at, change in enumerate(row):
        chord, after = change.chord, row[(at + 1) % len(row)].chord
        if chord is None or after is None or (change.bar, chord.symbol) in seen:
            continue
        seen.add((change.bar, chord.symbol))
        step = (after.root.pitch_class - chord.root.pitch_class) % 12
        spot = Spot(tune.title, change.bar, chord.unicode)
        yield _Place(spot, kind_of(chord.semitones), step)


def _placed(finding: Finding, places: list[_Place]) -> Finding:
    fits, heard = finding.fits, finding.heard
    share, told = _heard_share(fits)
    if not places:
        return finding.placed((), share, heard or told)
    spots = tuple(
        place.spot for place in places
        if place.kind in fits.kinds and (place.step == _FIFTH_DOWN or not fits.falls)
    )  # fmt: skip
    return finding.placed(spots, min(1.0, 2 * len(spots) / len(places)), heard or told)


@lru_cache(maxsize=256)
def _heard_share(fits: Fits) -> tuple[float, str]:
    """Return the share of counted tunes with such a chord, and the row that was heard most.

    A row is counted as if it stood in tunes apart from the others; triads also in popular songs.
    """
    asked = [(kind, JAZZ) for kind in fits.kinds]
    asked += [(_AS_TRIADS[kind], PLAIN) for kind in fits.kinds if kind in _AS_TRIADS]
    shares, best, told = [0.0], 0, ""
    for kind, style in asked:
        without = 1.0
        for step, after, often in heard_next(kind, style):
            if step == _FIFTH_DOWN or not fits.falls:
                without *= 1 - often.tunes / often.of
                if style == JAZZ and often.tunes > best:
                    best = often.tunes
                    first = _written("C", kind)
                    row = f"{first} {_written(usual_root(step).name, after)}, in any key"
                    where = f"in {often.tunes} of {often.of} jazz tunes"
                    told = f"it fits at chords such as {first}: {row}, {where}"
        shares.append(1 - without)
    return max(shares), told


def _written(root: str, kind: str) -> str:
    return Chord.parse(root + {"sus": "7sus4"}.get(kind, kind)).unicode


def _ranked(found: list[Finding]) -> tuple[Finding, ...]:
    """Return findings by payoff; of equals the rarer first, a kind that came before for less."""
    left, out = list(dict.fromkeys(found)), []
    times: Counter[str] = Counter()
    while left:
        best = max(
            left,
            key=lambda one: (
                round(one.payoff * _AGAIN ** times[one.kind], 4),
                -(one.rarity or 225),
                one.statement,
            ),
        )
        left.remove(best)
        times[best.kind] += 1
        out.append(best)
    return tuple(out)
