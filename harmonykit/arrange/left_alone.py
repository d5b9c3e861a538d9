"""Where nothing is to be added to a tune, and why: place by place, in words.

Conventions.  A *place* is a slot (``slots``): one chord for a time.  Each rule has a name by which
a style heeds it; of several that hold at a place the first in the order of ``RULES`` is told.  All
rules are common practice of arrangers, no source.  ``after_cadences`` says when a cadence is to
ring.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from operator import itemgetter
from types import MappingProxyType

from harmonykit.arrange import arrangement, wishes
from harmonykit.arrange.moves.placing import turns_back
from harmonykit.arrange.slots import Slot, melody_between, slots_of
from harmonykit.errors import HarmonyError, need_number
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import falls_a_fifth
from harmonykit.tune import bar, form
from harmonykit.tune.analysis import function, patterns
from harmonykit.tune.tune import PlayedBar, Sung, Tune
from harmonykit.values import dataclass

THEME_BARS = 8
FASTEST_BEATS = 160
_FEW_BEATS, _RINGS = 2, 2


@dataclass(frozen=True, slots=True)
class _View:
    """A tune as the rules see it."""

    tune: Tune
    slots: tuple[Slot, ...]
    playing: tuple[PlayedBar, ...]
    melody: tuple[Sung, ...]
    tempo: float
    ringing: tuple[tuple[Fraction, Fraction], ...]
    riffs: frozenset[int]
    vamps: frozenset[int]
    theme: int


@dataclass(frozen=True, slots=True)
class _Here:
    """A place of a tune: a slot and what is around it."""

    view: _View
    index: int

    @property
    def slot(self) -> Slot:
        return self.view.slots[self.index]

    @property
    def chord(self) -> Chord | None:
        return self.slot.chord

    @property
    def bars(self) -> list[int]:
        return [piece.bar for piece in self.slot.pieces]

    @property
    def beat(self) -> Fraction:
        return bar.beat_length(self.slot.pieces[0].meter)

    @property
    def beats(self) -> Fraction:
        """How long it lasts, in beats of the metre."""
        return self.slot.beats / self.beat

    @property
    def is_short(self) -> bool:
        """Whether it has two beats at most."""
        return self.beats <= _FEW_BEATS

    @property
    def sung(self) -> list[Sung]:
        return melody_between(self.view.melody, self.slot.onset, self.slot.end)

    @property
    def begun(self) -> list[Sung]:
        """The notes of the melody that begin in it."""
        return [note for note in self.sung if note.onset >= self.slot.onset]

    def beside(self, way: int) -> _Here | None:
        """Return the place before, or after it."""
        place = self.index + way
        return _Here(self.view, place) if 0 <= place < len(self.view.slots) else None


Rule = Callable[[_Here], str]
FRAME = "frame"
"""The rule that holds whatever is asked: an intro and a tag stand as they are written."""


def _last_chord(here: _Here) -> str:
    leads = here.chord is not None and turns_back(here.chord, here.view.tune.key)
    return "the last chord is held" if here.slot.final and not leads else ""


def _frame(here: _Here) -> str:
    framing = here.slot.section in (form.INTRO, form.TAG)
    return "intros and endings stand as they are written" if framing else ""


def _fermata(here: _Here) -> str:
    return "a fermata holds it" if here.slot.fermata else ""


def _theme(here: _Here) -> str:
    first = here.slot.bar < here.view.theme
    return "the theme is heard for the first time" if first else ""


def _pedal(here: _Here) -> str:
    return "the bass is held" if any(_is_held(here, here.beside(n)) for n in (-1, 1)) else ""


def _is_held(here: _Here, other: _Here | None) -> bool:
    """Whether two chords with different roots stand over one bass."""
    if here.chord is None or other is None or other.chord is None:
        return False
    roots = {here.chord.root.pitch_class, other.chord.root.pitch_class}
    return len(roots) == 2 and here.chord.bass.pitch_class == other.chord.bass.pitch_class


def _vamp(here: _Here) -> str:
    return "it is a vamp" if here.view.vamps.intersection(here.bars) else ""


def _riff(here: _Here) -> str:
    return "the melody is a riff" if here.view.riffs.issuperset(here.bars) else ""


def _own_pair(here: _Here) -> str:
    pairs = ((here.beside(-1), here), (here, here.beside(1)))
    return "a ii–V is already there" if any(_is_pair(ii, v) for ii, v in pairs) else ""


def _is_pair(first: _Here | None, second: _Here | None) -> bool:
    if first is None or second is None or not (first.is_short and second.is_short):
        return False
    ii, v = first.chord, second.chord
    if ii is None or v is None or not v.is_dominant:
        return False
    return falls_a_fifth(ii, v) and {3, 10} <= set(ii.semitones)


def _cadence(here: _Here) -> str:
    last = bisect_right(here.view.ringing, here.slot.onset, key=itemgetter(0)) - 1
    near = last >= 0 and here.slot.onset < here.view.ringing[last][1]
    return "a cadence has just been reached" if near and here.is_short else ""


def _words(here: _Here) -> str:
    syllables = sum(bool(note.words) for note in here.begun)
    return "the words matter" if syllables and syllables >= here.beats else ""


def _moving(here: _Here) -> str:
    beats = Counter((note.onset - here.slot.onset) // here.beat for note in here.begun)
    moving = sum(count > 1 for count in beats.values())
    return "the melody moves in eighths" if moving and 2 * moving >= here.beats else ""


def _spelled(here: _Here) -> str:
    if here.chord is None:
        return ""
    above, slot = set(here.chord.semitones), here.slot
    heard: dict[int, Fraction] = {}
    for note in here.sung:
        start, end = max(note.onset, slot.onset), min(note.onset + note.beats, slot.end)
        place = (note.note.pitch_class - here.chord.root.pitch_class) % 12
        heard[place] = heard.get(place, Fraction(0)) + end - start
    tones = above & set(heard)
    whole = tones & {3, 4} and (tones & {9, 10, 11} or (0 in tones and tones & {6, 7, 8}))
    inside = sum((beats for place, beats in heard.items() if place in above), Fraction(0))
    if whole and len(tones) > 2 and 4 * inside >= 3 * sum(heard.values()):
        return "the melody spells the chord"
    return ""


def _fast(here: _Here) -> str:
    fast = here.view.tempo / float(here.beat) > FASTEST_BEATS
    why = f"above {FASTEST_BEATS} beats a minute, one chord per beat is too many"
    return why if fast and here.is_short else ""


_RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "last chord": _last_chord,
        FRAME: _frame,
        "fermata": _fermata,
        "theme": _theme,
        "pedal": _pedal,
        "vamp": _vamp,
        "riff": _riff,
        "own ii–V": _own_pair,
        "cadence": _cadence,
        "words": _words,
        "moving melody": _moving,
        "spelled chord": _spelled,
        "fast": _fast,
    }
)

RULES = tuple(_RULES)
"""The rules by name, in the order in which they are told."""

HEEDED = tuple(name for name in RULES if name != "theme")
"""The rules that hold unless a style says otherwise."""


def places_left_alone(
    tune: TuneLike, rules: Iterable[str] = HEEDED, tempo: float | None = None
) -> dict[int, str]:
    """Return the places of a tune to which nothing is to be added, each with its reason.

    Parameters
    ----------
    tune : Tune, str or Path
        A tune, the name of one that ships, a file, or its chords.
    rules : iterable of str
        Names of ``hk.arrange.LEFT_ALONE``; all but ``"theme"`` where not given.
    tempo : float, optional
        Quarters a minute; the tune's own where not given.

    Returns
    -------
    dict of int to str
        The index of the chord among the tune's places, from 0, and why it is left alone.

    Raises
    ------
    HarmonyError
        If a rule is unknown.

    Examples
    --------
    >>> hk.arrange.places_left_alone("| Em7 A7 | Dm7 G7 | C | C |")[0]
    'a ii–V is already there'
    """
    return left_alone_in(as_tune(tune), rules, tempo)


def left_alone_in(
    tune: Tune, rules: Iterable[str] = HEEDED, tempo: float | None = None
) -> dict[int, str]:
    """Return ``places_left_alone`` of a tune that was read."""
    heeded = _checked(rules)
    pace = tune.tempo if tempo is None else need_number(tempo, "tempo")
    return dict(_found(tune, heeded, pace))


@lru_cache(maxsize=16)
def _found(tune: Tune, heeded: tuple[str, ...], tempo: float) -> Mapping[int, str]:
    view = _view(tune, slots_of(tune), tempo)
    found = {}
    for index, slot in enumerate(view.slots):
        if slot.chord is not None:
            why = next(filter(None, (_RULES[name](_Here(view, index)) for name in heeded)), "")
            if why:
                found[index] = why
    return MappingProxyType(found)


def _checked(rules: Iterable[str]) -> tuple[str, ...]:
    asked = [rules] if isinstance(rules, str) else list(rules)
    for name in asked:
        if name not in _RULES:
            raise HarmonyError(
                f"unknown rule {name!r} for places left alone",
                rule=f"the rules are {', '.join(map(repr, RULES))}",
            )
    return tuple(name for name in RULES if name in asked)


def left_as_written(way: arrangement.Arrangement) -> dict[int, str]:
    """Return the places where an arrangement adds nothing and a rule says why, as asked of all.

    There are none where all that fits was asked for, of a melody in chords, and of choruses.
    """
    if way.is_melody or way.choruses or way.asked.prefer or way.asked.density == wishes.FULL:
        return {}
    slots = slots_of(way.tune)
    added = [step.onset for step in way.added]
    return {
        index: why
        for index, why in left_alone_in(way.tune, tempo=way.tempo).items()
        if not any(slots[index].onset <= onset < slots[index].end for onset in added)
    }


def said_left_alone(reasons: Iterable[str]) -> str:
    """Return in words how many places are left alone, and why; nothing where there are none.

    Examples
    --------
    >>> said_left_alone(["the words matter", "a fermata holds it", "the words matter"])
    'Left alone: 3 places, because the words matter (2), a fermata holds it (1)'
    """
    counted = Counter(reasons)
    if not counted:
        return ""
    total = sum(counted.values())
    told = ", ".join(f"{why} ({count})" for why, count in counted.most_common())
    return f"Left alone: {total} place{'s' if total > 1 else ''}, because {told}"


def third_in_a_row(before: Sequence[tuple[str, Fraction]], move: str, at: Fraction) -> bool:
    """Whether a move would stand for the third time in a row at the same place of a bar.

    Parameters
    ----------
    before : sequence of (str, Fraction)
        The chords added before: the move, and where in its bar, in quarters.
    move : str
    at : Fraction
        Where in its bar the next one would stand, in quarters.

    Examples
    --------
    >>> two = [("suspension", Fraction(2))] * 2
    >>> [third_in_a_row(two, "suspension", Fraction(at)) for at in (2, 0)]
    [True, False]
    """
    return len(before) > 1 and all(one == (move, at) for one in before[-2:])


def after_cadences(tune: Tune) -> tuple[tuple[Fraction, Fraction], ...]:
    """Return the two beats after each cadence, from and to, in quarters: there it is to ring."""
    playing = tune.playing
    onsets = [played.onset for played in playing]
    found = []
    changes = tune.changes
    for cadence in function.chords_and_cadences(tune, tune.key)[1]:
        start = changes[cadence.index].onset
        meter = playing[bisect_right(onsets, start) - 1].bar.meter
        found.append((start, start + _RINGS * bar.beat_length(meter)))
    return tuple(found)


def _view(tune: Tune, slots: tuple[Slot, ...], tempo: float) -> _View:
    playing = tune.playing
    before, _ = tune.framing
    theme = next(
        (n for n, (number, _) in enumerate(tune.numbers) if number > before + THEME_BARS),
        len(playing),
    )
    return _View(
        tune, slots, playing, tune.melody, tempo, after_cadences(tune),
        patterns.riff_bars(tune), patterns.vamp_bars(tune), theme,
    )  # fmt: skip
