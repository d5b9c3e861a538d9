"""Rounds of practice of a change of shapes: the loop that is played along with, and what is kept.

The file stands beside the notebook, ``my-changes.jsonl``: its first line says what it is, and every
other line is one round, as JSON.
"""

import json
from collections.abc import Iterator
from pathlib import Path

from harmonykit.errors import HarmonyError, Place
from harmonykit.files import decode, read_bytes
from harmonykit.files.lock import append, json_line
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.theme import instrument_of
from harmonykit.sound.chords import RATE, Clip
from harmonykit.sound.performance import CLICK, HIGH_BLOCK, LOW_BLOCK, TONE, Event, Performance
from harmonykit.sound.rendering import Sound, wav_bytes
from harmonykit.theory.key import Key
from harmonykit.values import asdict, dataclass, fields

SLOWEST, FASTEST = 30, 240
FORMAT = 1
_HEAD = {"format": FORMAT, "made_by": "harmonykit", "kind": "changes"}
_MOST_BYTES = 16_000_000


@dataclass(frozen=True, slots=True)
class Round:
    """One round of practice of a change.

    Parameters
    ----------
    at : str
        Local date and time, as ISO 8601 writes them.
    instrument : str
    before, after : str
        The two shapes: ``"2-2-2-3"``.
    tempo : int
        Quarters a minute.
    clean : bool
        Whether every note sounded, in time.
    seconds : int
        How long it was practised.
    """

    at: str
    instrument: str
    before: str
    after: str
    tempo: int
    clean: bool
    seconds: int

    @property
    def change(self) -> tuple[str, str, str]:
        """Which change it is: a loop goes both ways."""
        one, other = sorted((self.before, self.after))
        return self.instrument, one, other


def keep_round(path: str | Path, practised: Round) -> None:
    """Add a round to a file, which is made with the first.

    Parameters
    ----------
    path : str or Path
    practised : Round

    Raises
    ------
    HarmonyError
        If its shapes or its tempo cannot be, or nothing can be written.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> file = mkdtemp() + "/my-changes.jsonl"
    >>> one = hk.practice.Round("2031-05-04", "ukulele", "2-2-2-3", "0-2-1-2", 60, True, 90)
    >>> hk.practice.keep_round(file, one)
    >>> hk.practice.read_rounds(file) == (one,)
    True
    """
    neck = instrument_of(practised.instrument)
    for shape in (practised.before, practised.after):
        Voicing.parse(shape, neck)
    if not SLOWEST <= practised.tempo <= FASTEST or practised.seconds < 0:
        raise HarmonyError(
            f"a tempo of {practised.tempo} is out of range", rule=f"{SLOWEST} to {FASTEST}"
        )
    append(Path(path), json_line(_HEAD), json_line(asdict(practised)), _is_whole)


def _is_whole(tail: bytes) -> bool:
    try:
        values = json.loads(tail)
    except ValueError:
        return False
    return values == _HEAD or _read(values) is not None


def _read(values: object) -> Round | None:
    names = {each.name: each.type for each in fields(Round)}
    if not isinstance(values, dict) or set(values) != set(names):
        return None
    if any(type(values[name]) is not kind for name, kind in names.items()):
        return None
    return Round(**values)


def read_rounds(path: str | Path) -> tuple[Round, ...]:
    """Return the rounds that a file holds; none where there is no file yet.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    tuple of Round

    Raises
    ------
    HarmonyError
        If the file is of a later format, of something else, or broken within.

    Examples
    --------
    >>> hk.practice.read_rounds("not-yet-there.jsonl")
    ()
    """
    path = Path(path)
    if not path.exists():
        return ()
    whole, _, torn = read_bytes(path, _MOST_BYTES).rpartition(b"\n")
    lines = whole.split(b"\n") if whole else []
    if torn and _is_whole(torn):
        lines.append(torn)
    found = []
    for number, line in enumerate(lines, 1):
        try:
            values = json.loads(decode(line, path.name))
        except (ValueError, RecursionError, HarmonyError):
            values = None
        read = _read(values)
        if number == 1 and values == _HEAD:
            continue
        if number == 1 or read is None:
            raise HarmonyError(
                f"{path} is damaged, or not a file of practised changes",
                place=Place(path.name, number),
                mend="move it away to start a new one; this one stays as it is",
            )
        found.append(read)
    return tuple(found)


BEATS, MOST_ROUNDS = 4, 16
_RING, _APART = 0.8, 0.012
_SOFT, _LOUD = 70, 90


def change_loop(
    before: str, after: str, instrument: str = "ukulele", tempo: int = 50, rounds: int = 4
) -> Clip:
    """Return two shapes in turn, a bar of four quarters each, after a bar of clicks.

    Parameters
    ----------
    before, after : str
        The shapes: ``"0-0-0-0"``.
    instrument : str
        A name, or strings such as ``"G4 C4 E4 A4"``.
    tempo : int
        Quarters a minute.
    rounds : int
        How often the two bars come.

    Returns
    -------
    Clip
        ``wav`` are the bytes of a WAV file.

    Raises
    ------
    HarmonyError
        If the tempo or the rounds are out of range, or a shape is none of the instrument.

    Examples
    --------
    >>> hk.practice.change_loop("0-0-0-0", "0-2-1-2", tempo=60, rounds=1).seconds
    12.8
    """
    if not SLOWEST <= tempo <= FASTEST:
        raise HarmonyError(f"a tempo of {tempo} is out of range", rule=f"{SLOWEST} to {FASTEST}")
    if not 1 <= rounds <= MOST_ROUNDS:
        raise HarmonyError(f"{rounds} rounds are out of range", rule=f"1 to {MOST_ROUNDS}")
    neck = instrument_of(instrument)
    shapes = [Voicing.parse(each, neck).sounding for each in (before, after)]
    beat, bars = 60 / tempo, 1 + 2 * rounds
    events = tuple(_events(shapes, beat, bars))
    seconds = round(bars * BEATS * beat + _RING, 3)
    starts = tuple((bar, bar * BEATS * beat) for bar in range(bars))
    played = Performance(
        events, seconds, float(tempo), (4, 4), BEATS * beat, starts, (), (), Key.parse("C")
    )
    return Clip(wav_bytes(Sound(played, RATE, channels=1)), seconds)


def _events(shapes: list[tuple[int, ...]], beat: float, bars: int) -> Iterator[Event]:
    """Give the click of every beat, and from the second bar on the shapes in turn."""
    for place in range(bars * BEATS):
        start, first = place * beat, place % BEATS == 0
        block = HIGH_BLOCK if first else LOW_BLOCK
        yield Event(start, 0.05, block, None, CLICK, _LOUD if first else _SOFT)
        if place >= BEATS:
            for n, midi in enumerate(shapes[(place // BEATS - 1) % 2]):
                late = n * _APART
                ring = beat + (_RING if place == bars * BEATS - 1 else 0.0)
                yield Event(start + late, ring - late, midi, None, TONE, _LOUD if first else _SOFT)
