"""What is said of a recording, change by change: which chord was heard, and how sure that is."""

from __future__ import annotations

from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted

SURE, LIKELY = 0.97, 0.85
AS_WRITTEN, OTHER, UNLIKE, UNCLEAR, NOTHING, LEFT_OUT = (
    "as written", "another chord", "not as written", "unclear", "nothing", "left out",
)  # fmt: skip
# To say that another chord was played is to say that a student was wrong: it has to be surer.
_SURE_OF = {AS_WRITTEN: SURE, OTHER: 0.99, UNLIKE: SURE}
_DOUBTED = 0.9


@dataclass(frozen=True, slots=True)
class Heard:
    """What was heard at one change.

    Parameters
    ----------
    bar : int
        Its number on paper.
    asked, shape : str
        The chord and the fret numbers that the level has there.
    verdict : str
        ``"as written"``, ``"another chord"``, ``"not as written"``, ``"unclear"``, ``"nothing"`` or
        ``"left out"``.
    names : tuple of str
        The chords that it may be, the most probable first.
    chance : float in 0..1
        How probable the verdict is.
    seconds : float
        Where in the recording.
    octave : bool
        Whether the shape's own octave is told from others.
    """

    bar: int
    asked: str
    shape: str
    verdict: str
    names: tuple[str, ...] = ()
    chance: float = 0.0
    seconds: float = 0.0
    octave: bool = True

    @property
    def clock(self) -> str:
        """Where in the recording, in minutes and seconds."""
        return f"{int(self.seconds) // 60}:{int(self.seconds) % 60:02}"

    @property
    def right(self) -> bool:
        """Whether the chord that the level has was heard."""
        return self.verdict == AS_WRITTEN

    @property
    def sure(self) -> bool:
        """Whether the verdict is sure."""
        return self.chance >= _SURE_OF.get(self.verdict, 2.0)

    @property
    def doubted(self) -> Heard:
        """The same, likely at best."""
        return replace(self, chance=min(self.chance, _DOUBTED))

    @property
    def told(self) -> str:
        """What was heard, and how sure that is, in words."""
        how = "sure" if self.sure else "likely"
        first = self.names[0] if self.names else ""
        if self.verdict == AS_WRITTEN:
            return f"{self.asked} heard ({how})" + ("" if self.octave else ", in some octave")
        if self.verdict == OTHER:
            return f"{first} heard, not {self.asked} ({how})"
        if self.verdict == UNLIKE:
            return f"not {self.asked} ({how}); it resembles {first}"
        if self.verdict == UNCLEAR:
            return f"{' or '.join(self.names) or 'several chords'}, cannot tell"
        return "nothing heard" if self.verdict == NOTHING else "left out"


@dataclass(frozen=True, slots=True)
class Hearing:
    """What was heard in a recording, change by change.

    Parameters
    ----------
    name : str
        The level, or the tune.
    heard : tuple of Heard
        One for each change of chords, and for each bar in which a chord stays.
    tempo : float
        The student's, in quarters a minute.
    cents : float
        How far the strings are from A4 = 440 Hz.
    fits : bool
        Whether it is a recording of this level at all; if not, the remarks say what it may be.
    remarks : tuple of str
        What makes hearing hard in this recording, and what to do.
    """

    name: str
    heard: tuple[Heard, ...]
    tempo: float
    cents: float
    fits: bool
    remarks: tuple[str, ...] = ()

    @property
    def right(self) -> int:
        """At how many changes the chord of the level was heard."""
        return sum(each.right for each in self.heard)

    @property
    def unclear(self) -> int:
        """At how many changes it cannot be told."""
        return sum(each.verdict == UNCLEAR for each in self.heard)

    @property
    def summary(self) -> str:
        """How many changes were heard as written, and the tempo."""
        others = len(self.heard) - self.right - self.unclear
        return (
            f"{self.name}: {self.right} of {counted(len(self.heard), 'change')} heard as written, "
            f"{others} not, {self.unclear} unclear; tempo about {self.tempo:.0f}"
        )


ALIKE = (
    "What sounds alike cannot be told apart: chords of the same notes (C6 and Am7), and a shape "
    "from another one at the same pitches."
)
"""What is said below every list of what was heard."""
