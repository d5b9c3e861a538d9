"""An arrangement: the chords of a tune with the shapes that play them, and why.

Time is counted in quarters from the start of the tune as played.  Steps follow one another
without a gap and none crosses a bar line; a chord that lasts on in the next bar has a step there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import chain, pairwise
from typing import TYPE_CHECKING

from harmonykit.arrange.fingers import Fingered, Taught, fingers_of
from harmonykit.arrange.moves.rule import Part
from harmonykit.arrange.wishes import Wishes
from harmonykit.errors import wrong_kind
from harmonykit.fretboard.hands.change import Change
from harmonykit.fretboard.hands.hand import Fingering, Limits
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.leading.staircase import voice_pairs
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, field, replace
from harmonykit.words.numbers import counted, join_words

if TYPE_CHECKING:
    from harmonykit.tune.groove.value import Groove

# With the tune that is arranged: who imports an arrangement takes this from here too.
__all__ = [
    "ORNAMENTS", "Arrangement", "Chorus", "Refusal", "Step", "Tune", "as_arrangement",
    "delayed_step", "is_foreign", "leading_reason",
]  # fmt: skip

ORNAMENTS = frozenset(
    {
        "appoggiatura",
        "ascending walk",
        "chord synonym",
        "common-tone diminished",
        "delayed tonic",
        "descending walk",
        "four–three suspension on the tonic",
        "leading-tone diminished",
        "melody on top",
        "nine–eight suspension",
        "rootless dominant",
        "slide",
        "stacked fourths",
        "suspension",
    }
)
"""The moves that lead sheets do not write; what others add is of the skeleton.

A chord with its own diminished seventh, and the tonic with its suspension, are among them.
"""
_VOICINGS = frozenset({"rootless ninth"})
"""Moves whose chord a lead sheet writes as the dominant that it stands for, with its ninth."""


@dataclass(frozen=True, slots=True)
class Step:
    """One chord with one shape, for a time.

    Parameters
    ----------
    chord : Chord or None
        ``None`` where no chord sounds.
    voicing : Voicing or None
    onset, beats : Fraction
        Quarters from the start of the tune, and how long.
    bar : int
        The bar in playing order, counted from 0.
    move : str
        The name of the move that put the chord there; empty for a chord as written.
    reason : str
        One sentence with the notes that move; empty for a chord as written.
    written : Chord or None
        What the tune has here.
    """

    chord: Chord | None
    voicing: Voicing | None
    onset: Fraction
    beats: Fraction
    bar: int
    move: str = ""
    reason: str = ""
    written: Chord | None = None

    @property
    def added(self) -> bool:
        """Whether a move put the chord there."""
        return bool(self.move)

    @property
    def new(self) -> bool:
        """Whether a move put the chord there, and it is not the tune's own in another shape."""
        return self.added and self.chord != self.written

    @property
    def ornament(self) -> bool:
        """Whether a lead sheet would not write it: of a walk, a suspension, without its root."""
        return self.move in ORNAMENTS or self.move in _VOICINGS

    @property
    def alone(self) -> bool:
        """Whether one note sounds and no chord: a melody note on one string."""
        if self.voicing is None:
            return False
        frets = self.voicing.frets
        return len(frets) - frets.count(None) == 1

    @property
    def rests(self) -> bool:
        """Whether nothing sounds under a chord of the tune: the melody of a chord melody rests."""
        return self.voicing is None and self.written is not None and not self.move

    @property
    def named(self) -> Chord | None:
        """The chord that a chart names: none at a melody note alone where the tune has none."""
        return None if self.alone and self.written is None else self.chord

    @property
    def sounds(self) -> tuple[int, ...]:
        """The sounding pitches, sorted: what tells one arrangement from another, with the chord."""
        return () if self.voicing is None else tuple(sorted(self.voicing.sounding))

    def told(self, reason: str) -> Step:
        """Return the step with a reason.

        Parameters
        ----------
        reason : str

        Returns
        -------
        Step

        Examples
        --------
        >>> step = hk.progression("Dm7 G7").arrangement().steps[0]
        >>> step.told("the ii of C").reason
        'the ii of C'
        """
        return replace(self, reason=reason)


@dataclass(frozen=True, slots=True)
class Chorus:
    """One time through a tune that is played several times running.

    Parameters
    ----------
    manner : str
        ``"plain"``, ``"walking"``, ``"sparse"`` or ``"rich"``.
    first, stop : int
        Its first bar in playing order from 0, and the one after its last.
    about : str
        What it is, in words, its bridge too.
    between : tuple of str
        The sections that are its bridge.
    bridge : str
        The manner of these.
    """

    manner: str
    first: int
    stop: int
    about: str = ""
    between: tuple[str, ...] = ()
    bridge: str = ""


def is_foreign(chord: Chord | None, written: Chord | None) -> bool:
    """Whether a chord has other notes, or another bass, than the tune's own under any name.

    Examples
    --------
    >>> am7, c6, c = (Chord.parse(name) for name in ("Am7", "C6", "C"))
    >>> is_foreign(am7, c6), is_foreign(c6, c), is_foreign(c.over(am7.tones[2]), c)
    (False, True, True)
    """
    if chord == written:
        return False
    if chord is None or written is None or chord.pcs != written.pcs:
        return True
    inverted = chord.bass != chord.root or written.bass != written.root
    return inverted and chord.bass.pitch_class != written.bass.pitch_class


@dataclass(frozen=True, slots=True)
class Refusal:
    """A move that a rule kept out: which, where, and the rule.

    Parameters
    ----------
    move : str
        The name of the move.
    bar : int
        Index of the bar as played, from 0.
    chord : str
        The symbol that it would have put there.
    rule : str
        Why it is not there.
    """

    move: str
    bar: int
    chord: str
    rule: str


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A tune on an instrument, as steps in playing order.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    steps : tuple of Step
    cost : int
        What the search paid for it, in the units of its ``Weights``; lower is better.
    tempo : float
        Quarters a minute for which it was made.
    refusals : tuple of Refusal
        Moves that were asked for and that a rule kept out.
    notes : tuple of str
        What a player should be told: a chord whose only shapes are past the limits.
    name : str
    limits : Limits
        The limits of the hand for which it was made.
    moves : tuple of str
        The moves that were allowed.
    asked : Wishes
        What else the search was asked for.
    choruses : tuple of Chorus
        Where the tune is played several times running, each in its manner.
    parts : tuple of Part
        What the moves offered for each step; none where no search found it.
    groove : Groove, optional
        How it is strummed; what suits the tune (``hk.tune.groove_for``) unless given.
    taught : tuple of (tuple, tuple)
        The fingers with which some grips, by their form, were taught before.

    Examples
    --------
    >>> best = hk.reharmonise("heron_landing", "ukulele", k=1)[0]
    >>> best.tune.title, best.instrument.name, len(best.steps) > 24
    ('Heron Landing', 'ukulele', True)
    """

    tune: Tune
    instrument: Instrument
    steps: tuple[Step, ...]
    cost: int
    tempo: float
    refusals: tuple[Refusal, ...] = ()
    notes: tuple[str, ...] = ()
    name: str = ""
    limits: Limits = field(default_factory=Limits)
    moves: tuple[str, ...] = field(default=(), compare=False)
    asked: Wishes = field(default_factory=Wishes, compare=False)
    choruses: tuple[Chorus, ...] = ()
    parts: tuple[Part, ...] = field(default=(), compare=False, repr=False)
    groove: Groove | None = None
    taught: Taught = field(default=(), compare=False, repr=False)

    @property
    def strum(self) -> Groove:
        """How it is strummed: its own groove, or the one that suits its tune."""
        if self.groove is not None:
            return self.groove
        # Grooves are loaded where one is asked for; a search needs none.
        from harmonykit.tune.groove.shelf import groove_for

        return groove_for(self.tune)

    def strummed(self, groove: Groove | str) -> Arrangement:
        """Return the arrangement strummed in another way.

        Parameters
        ----------
        groove : Groove or str
            A groove, the name of one (``hk.tune.grooves``), or strokes as a line of text.

        Returns
        -------
        Arrangement

        Raises
        ------
        HarmonyError
            For a name that is unknown, or a line that cannot be read.

        Examples
        --------
        >>> waltz = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
        >>> waltz.strum.name, waltz.strummed("D - D - D U").strum.strum
        ('waltz', 'D - D - D U')
        """
        if isinstance(groove, str):
            from harmonykit.tune.groove.shelf import chosen

            groove = chosen(self.tune, self.strum, groove)
        return replace(self, groove=groove)

    @property
    def sounding(self) -> tuple[Step, ...]:
        """The steps in which a chord sounds."""
        return tuple(step for step in self.steps if step.voicing is not None)

    @property
    def added(self) -> tuple[Step, ...]:
        """The steps that a move put there."""
        return tuple(step for step in self.steps if step.added)

    @property
    def shapes(self) -> tuple[Voicing, ...]:
        """The distinct shapes, in the order in which they come."""
        return tuple(dict.fromkeys(step.voicing for step in self.steps if step.voicing is not None))

    @property
    def is_melody(self) -> bool:
        """Whether it plays the tune's melody: alone between the chords, or always as their top."""
        if any(step.alone for step in self.steps):
            return True
        sung = {note.onset: note.note.pitch_class for note in self.tune.melody}
        tops = {step.onset: step.sounds[-1] % 12 for step in self.steps if step.sounds}
        return bool(sung) and not self.parts and sung.items() <= tops.items()

    @property
    def fingerings(self) -> tuple[Fingering | None, ...]:
        """The fingering of each step, chosen together so that the hand moves least.

        A bar that comes again with the same shapes has the same fingers; ``None`` where nothing
        sounds.
        """
        return tuple(fingering for fingering, _ in self._fingers())

    @property
    def changes(self) -> tuple[Change | None, ...]:
        """What the fingers do on the way to each step; all stay where a shape is held.

        ``None`` where the step comes first or after a silence, and where nothing sounds.
        """
        return tuple(change for _, change in self._fingers())

    def _fingers(self) -> Fingered:
        bars, playing = self.bars(), self.tune.playing
        sounds = [
            tuple((step.voicing, step.onset - played.onset, step.beats) for step in steps)
            for played, steps in zip(playing, bars, strict=True)
        ]
        return fingers_of(sounds, [played.bar for played in playing], self.limits, self.taught)

    def manner_at(self, bar: int) -> str:
        """Return the manner in which a bar is played; empty where the tune is played once.

        Parameters
        ----------
        bar : int
            In playing order from 0.

        Returns
        -------
        str

        Examples
        --------
        >>> hk.reharmonise("heron_landing", "ukulele", k=1)[0].manner_at(0)
        ''
        """
        for one in self.choruses:
            if one.first <= bar < one.stop:
                inside = self.tune.playing[bar].section in one.between
                return one.bridge if inside else one.manner
        return ""

    def bars(self) -> tuple[tuple[Step, ...], ...]:
        """Return the steps of each bar in playing order.

        Returns
        -------
        tuple of tuple of Step
        """
        found: list[list[Step]] = [[] for _ in self.tune.playing]
        for step in self.steps:
            found[step.bar].append(step)
        return tuple(map(tuple, found))

    def __repr__(self) -> str:
        count = f"{counted(len(self.sounding), 'chord')}, {len(self.added)} added"
        on = f"{self.tune.title!r} for {self.instrument.name}"
        return f"<Arrangement of {on}: {count}, cost {self.cost}>"


def leading_reason(head: str, step: Step, after: Step) -> str:
    """Return a reason that ends with what each note does on its way to the next chord.

    It is what the chosen shapes do, not what a choir would: on four strings a leading note may
    well fall.  Voices are paired from the lowest up, as the search counts them; the root is first.
    Where the next shape lies in another octave a pair is no voice that is heard to go on: of one
    that leaps over a third nothing is told.
    """
    if step.chord is None or after.chord is None or step.voicing is None or after.voicing is None:
        return f"{head}."
    led = _led(step.chord, step.sounds, after.chord, after.sounds)
    return f"{head}; in these shapes {led}." if led else f"{head}."


@lru_cache(maxsize=4096)
def _led(chord: Chord, sounds: tuple[int, ...], after: Chord, after_sounds: tuple[int, ...]) -> str:
    """Return what each note of a chord does on its way to the next; most pairs come again."""
    root = chord.root.pitch_class
    pairs = voice_pairs(sounds, after_sounds)
    pairs.sort(key=lambda pair: pair[0] % 12 != root)
    goes: dict[int, dict[int, list[str]]] = {}
    for low, high in pairs:
        said = goes.setdefault(low % 12, {}).setdefault(low, [])
        way = _goes(after.spell(high % 12), high - low)
        if abs(high - low) <= _THIRD and way not in said:
            said.append(way)
    told = (_each_told(chord.spell(pc), found) for pc, found in goes.items())
    return ", ".join(chain.from_iterable(told))


def delayed_step(step: Step, before: Step | None, late: int, resolves: str) -> Step:
    """Return a step that delays a chord tone, named by how the note that delays it comes.

    Held over from the shape before, at the same pitch, it is a suspension; struck unprepared, an
    appoggiatura (common practice, no source).

    Parameters
    ----------
    step, before : Step
    late : int
        The pitch class of the note that delays the chord tone.
    resolves : str
        How it resolves, in words.
    """
    held = {pitch for pitch in step.sounds if pitch % 12 == late}
    if before is not None and before.chord is not None and held & set(before.sounds):
        how = f"held over from {before.chord.unicode}, it is a suspension"
        return replace(step, move="suspension", reason=f"{resolves}; {how}.")
    how = "struck unprepared, it is an appoggiatura"
    return replace(step, move="appoggiatura", reason=f"{resolves}; {how}.")


_TWO, _THIRD = 2, 4


def _each_told(note: Note, goes: Mapping[int, Sequence[str]]) -> Iterator[str]:
    """Yield where a note goes; of one that sounds twice, each where their ways part."""
    name = note.plain().unicode
    ways = {pitch: join_words([*_verbs_once(said)]) for pitch, said in goes.items()}
    if len(set(ways.values())) == 1:
        yield from (f"{name} {way}" for way in {*ways.values()} if way)
        return
    ends = ("lower", "higher") if len(ways) == _TWO else ("lowest", "highest")
    which = {min(ways): f"the {ends[0]}", max(ways): f"the {ends[1]}"}
    yield from (
        f"{which.get(pitch, 'another')} {name} {ways[pitch]}"
        for pitch in sorted(ways)
        if ways[pitch]
    )


def _verbs_once(said: Sequence[str]) -> Iterator[str]:
    """Yield ways of one note: of a note that divides the verb is said once for both voices."""
    for before, way in pairwise(("", *said)):
        verb, _, goal = way.partition(" ")
        yield goal if goal and before.startswith(verb) else way


def _goes(end: Note, semitones: int) -> str:
    if semitones == 0:
        return "stays"
    return f"{'rises' if semitones > 0 else 'falls'} to {end.plain().unicode}"


def as_arrangement(given: object) -> Arrangement:
    """Return an arrangement that was handed in, or say what is wanted.

    Raises
    ------
    WrongKind
        If it is something else.
    """
    if isinstance(given, Arrangement):
        return given
    raise wrong_kind(given, "an arrangement", 'hk.reharmonise("heron_landing", "ukulele")[0]')
