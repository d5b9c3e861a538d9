"""A recording of a change of shapes, heard: whether each bar had its shape, and at which tempo."""

from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from statistics import median

from harmonykit.arrange import arrangement, search
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.listening import hear_playing
from harmonykit.lesson.verdicts import AS_WRITTEN, LEFT_OUT, UNCLEAR, Heard, Hearing
from harmonykit.practice import rounds, theme
from harmonykit.practice.changes import Change
from harmonykit.theory.chord import Chord
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted

TURNS = 4
_FEWEST = 4
# Of a beat: no even player is so late, and one who looks for a shape is later.
_WAIT = 0.6
_SLOWER = 0.94


@dataclass(frozen=True, slots=True)
class HeardLoop:
    """What was heard of a change that was played in turn: shapes, waits and the tempo.

    Whether a string buzzed, or a change came a little late over what still rang, it does not hear.

    Parameters
    ----------
    hearing : Hearing
    asked : int
        The tempo that was asked for, in quarters a minute.
    """

    hearing: Hearing
    asked: int

    @property
    def bars(self) -> int:
        """How many bars were played."""
        return sum(each.verdict != LEFT_OUT for each in self.hearing.heard)

    @property
    def judged(self) -> bool:
        """Whether it can be told how it went: enough was played, and nothing is unclear."""
        unclear = any(each.verdict == UNCLEAR for each in self.hearing.heard)
        return self.hearing.fits and self.bars >= _FEWEST and not unclear

    @property
    def _wrong(self) -> list[Heard]:
        return [each for each in self.hearing.heard if each.verdict not in (AS_WRITTEN, LEFT_OUT)]

    @property
    def tempo(self) -> float:
        """The tempo that was played, by the middle one of all bars."""
        gaps = [gap for gap, _ in self._gaps]
        return 60 * rounds.BEATS / median(gaps) if gaps else float(self.hearing.tempo)

    @property
    def _gaps(self) -> list[tuple[float, int]]:
        """The seconds from each bar to the next, with the number of the next."""
        played = [each for each in self.hearing.heard if each.verdict != LEFT_OUT]
        return [(b.seconds - a.seconds, b.bar) for a, b in pairwise(played)]

    @property
    def waits(self) -> tuple[int, ...]:
        """Before which bars there was a wait of more than half a beat."""
        longest = 60 * (rounds.BEATS + _WAIT) / self.tempo
        return tuple(bar for gap, bar in self._gaps if gap > longest)

    @property
    def clean(self) -> bool:
        """Whether each bar that was played had its shape, nothing waited, and the tempo held."""
        held = self.tempo >= _SLOWER * self.asked
        return self.judged and held and not self._wrong and not self.waits

    @property
    def told(self) -> str:
        """What was heard, in a line or two; what cannot be told is said to the player."""
        if not self.hearing.fits:
            return " ".join(self.hearing.remarks)
        if self.bars < _FEWEST:
            return f"Only {counted(self.bars, 'bar')} heard: play each shape twice at least."
        tempo = f"tempo about {self.tempo:.0f}"
        slow = ", slower than asked" if self.tempo < _SLOWER * self.asked else ""
        waits = "".join(f"; a wait before bar {bar}" for bar in self.waits)
        lines = "; ".join(f"bar {each.bar}: {each.told}" for each in self._wrong)
        right = self.bars - len(self._wrong)
        first = f"{right} of {self.bars} bars had their shape ({lines})"
        if not lines:
            first = f"Each of {self.bars} bars had its shape"
        return f"{first}{waits}; {tempo}{slow}."


@lru_cache(maxsize=16)
def loop_of(change: Change, instrument: str, tempo: int) -> arrangement.Arrangement:
    """Return a change as bars to be played: a bar of each shape in turn.

    Examples
    --------
    >>> way = loop_of(Change("0-0-0-0", "0-2-1-2", "C6", "G7"), "ukulele", 60)
    >>> [step.voicing.digits for step in way.steps[:3]], way.tempo
    (['0-0-0-0', '0-2-1-2', '0-0-0-0'], 60)
    """
    bars = search.reharmonise(f"| {'C | G7 | ' * TURNS}".rstrip(), instrument, (), k=1)[0]
    neck = theme.instrument_of(instrument)
    sides = [
        (Voicing.parse(shape, neck), Chord.parse(name) if name else None)
        for shape, name in ((change.before, change.first), (change.after, change.second))
    ]
    steps = tuple(
        replace(step, voicing=sides[step.bar % 2][0], chord=sides[step.bar % 2][1])
        for step in bars.steps
    )
    return replace(bars, steps=steps, tempo=tempo, name="the loop")


def hear_change(
    change: Change, recording: str | Path, instrument: str = "ukulele", tempo: int = 50
) -> HeardLoop:
    """Hear a recording of a change that is played in turn, a bar of each shape.

    Parameters
    ----------
    change : Change
    recording : str or Path
        A sound file, of the instrument alone.
    instrument : str
    tempo : int
        The one that was asked for, in quarters a minute.

    Returns
    -------
    HeardLoop

    Raises
    ------
    HarmonyError
        If the recording cannot be read, or is silent or too short.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> from harmonykit.practice.rounds import change_loop
    >>> change = Change("0-0-0-0", "0-2-1-2", "C6", "G7")
    >>> file = Path(mkdtemp()) / "mine.wav"
    >>> _ = file.write_bytes(change_loop("0-0-0-0", "0-2-1-2", tempo=60).wav)
    >>> heard = hear_change(change, file, tempo=60)
    >>> heard.clean, heard.told
    (True, 'Each of 8 bars had its shape; tempo about 60.')
    """
    way = loop_of(change, instrument, tempo)
    return HeardLoop(hear_playing(way, recording), tempo)
