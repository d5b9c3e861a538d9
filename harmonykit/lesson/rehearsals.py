"""A level as it is practised: the bars of its hard change, and its leading tones, found and played.

What leading tones are sung over is plucked again on every beat, low and an octave above it.  A bar
is left to find the tone, in the second it is heard, in the third it resolves over the next root,
and in the fourth one breathes.
"""

from collections.abc import Iterator

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.arrange.written import printed_numbers
from harmonykit.errors import HarmonyError
from harmonykit.lesson.together import heard, rescue
from harmonykit.sound import performance, rehearsing
from harmonykit.sound.material import Material, Span
from harmonykit.sound.performance import LEAST_COUNT_IN, Event, Performance
from harmonykit.sound.rehearsal import MELODY, Rehearsal
from harmonykit.theory.chord import Chord, Note
from harmonykit.tune.bar import bar_length, beat_length
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import bars_between

# A class sings from A3 on, the octave up from there; the drone lies below it, from E2 on.
_SUNG_FROM, _DRONE_FROM = 57, 40
_DRONE_VELOCITY, _SUNG_VELOCITY, _CLICK_VELOCITY, _CLICK_SECONDS = 84, 88, 40, 0.03
_FOUND, _RESOLVED, _BARS = 1, 2, 4


def rehearsed(
    way: Arrangement, how: Rehearsal, tempo: float, material: Material | None = None
) -> Performance:
    """Return an arrangement as it is practised, its hard change or its leading tones found.

    Parameters
    ----------
    way : Arrangement
    how : Rehearsal
    tempo : float
        Quarters a minute at 100 per cent.
    material : Material, optional
        The arrangement bar by bar at that tempo, where it is made already.

    Raises
    ------
    HarmonyError
        Where the arrangement has no such bars, no such change, no leading tones, or no melody.
    """
    if MELODY in how.parts and not way.tune.melody:
        raise HarmonyError(
            f"with melody: {way.tune.title} has no melody",
            rule="it has chords alone; what sounds is strum, bass, percussion and click",
            mend="leave out 'with melody', or take a tune with a melody",
        )
    if how.sing:
        return sung_over_roots(way, how, tempo)
    span = hard_span(way, how, tempo) if how.hard else None
    return rehearsing.rehearse(material or Material.of(way, tempo), how, span=span)


def hard_span(way: Arrangement, how: Rehearsal, tempo: float) -> Span:
    """Return the bars in which a hard change is practised, from the one of the chord before it.

    They are as many as were asked for, fewer where the tune ends before.

    Raises
    ------
    HarmonyError
        Where there are not so many changes.
    """
    found = rescue.hard_changes(way, tempo, how.hard)
    if len(found) < how.hard:
        said = f"hard change {how.hard}: {way.tune.title} has {len(found)}"
        raise HarmonyError(said, mend="bars 1-2")
    after = found[how.hard - 1].after
    opens = after.onset == way.tune.playing[after.bar].onset
    first = max(after.bar - opens, 0)
    return first, min(first + how.loop, len(way.tune.playing)) - 1


def said_bars(way: Arrangement, span: Span) -> str:
    """Return bars in playing order by their printed numbers.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> said_bars(reharmonise("| C | F | G7 | C |", "ukulele", (), k=1)[0], (1, 2))
    'bars 2 and 3'
    """
    numbers = [number for number, _ in printed_numbers(way)]
    first, last = numbers[span[0]], numbers[span[1]]
    return bars_between(first, last) if span[1] < span[0] + 2 else f"bars {first} to {last}"


@dataclass(frozen=True, slots=True)
class Led:
    """A dominant and the chord behind it, with the leading tone and the root that it rises to."""

    chord: Chord
    after: Chord
    tone: Note
    goal: Note

    @property
    def words(self) -> str:
        """What is to be sung."""
        return (
            f"{self.chord.unicode} to {self.after.unicode}: over {self.chord.root.unicode} "
            f"sing {self.tone.unicode}, then {self.goal.unicode}"
        )


def led_of(way: Arrangement) -> tuple[Led, ...]:
    """Return the dominants of an arrangement that have a leading tone, each once."""
    found: dict[tuple[Note, Note, Note], Led] = {}
    for one in heard.moments(way):
        chord, after = one.step.chord, one.after.chord
        if chord is None or after is None or heard.tritone(chord, after) is None:
            continue
        if led := heard.leading_tone(chord, after):
            found.setdefault((chord.root, *led), Led(chord, after, *led))
    return tuple(found.values())


def sung_over_roots(way: Arrangement, how: Rehearsal, tempo: float) -> Performance:
    """Return the root of each dominant, its leading tone a bar later, and where that resolves.

    Raises
    ------
    HarmonyError
        Where the arrangement has no leading tone.
    """
    found, meter = led_of(way), way.tune.playing[-1].bar.meter
    if not found:
        raise HarmonyError(f"{way.tune.title} has no dominant with a leading tone")
    pace = tempo * how.tempi[0] / 100
    beats = int(bar_length(meter) / beat_length(meter))
    beat = float(beat_length(meter)) * 60 / pace
    bar = beats * beat
    counted = bar * (how.count_in or (1 if bar >= LEAST_COUNT_IN else 2))
    end = counted + len(found) * _BARS * bar
    events = [*_clicks(beats, beat, counted, end)]
    for place, led in enumerate(found):
        events += _led_events(led, counted + place * _BARS * bar, beats, beat)
    events.sort(key=lambda event: (event.onset, event.kind, event.midi))
    return Performance(
        events=tuple(events),
        seconds=end,
        tempo=pace,
        meter=meter,
        count_in_seconds=counted,
        bars=tuple((n + 1, counted + n * bar) for n in range(len(found) * _BARS)),
        steps=(),
        meters=((0.0, meter),),
        key=way.tune.key,
        title=way.tune.title,
        sections=tuple(
            (led.words, counted + n * _BARS * bar, counted + (n + 1) * _BARS * bar)
            for n, led in enumerate(found)
        ),
    )


def _clicks(beats: int, beat: float, counted: float, end: float) -> Iterator[Event]:
    for index in range(round(end / beat)):
        high = index % beats == 0
        counts = index * beat < counted - beat / 2
        velocity = rehearsing.COUNT_VELOCITY[not high] if counts else _CLICK_VELOCITY
        block = performance.HIGH_BLOCK if high else performance.LOW_BLOCK
        yield Event(index * beat, _CLICK_SECONDS, block, None, performance.CLICK, velocity)


def _led_events(led: Led, start: float, beats: int, beat: float) -> Iterator[Event]:
    """Yield two bars of a dominant's root and one of its goal's; the tone from the second on."""
    bar = beats * beat
    for number, root in enumerate((led.chord.root, led.chord.root, led.after.root)):
        yield from _drone(root, start + number * bar, beats, beat)
    tone = _SUNG_FROM + (led.tone.pitch_class - _SUNG_FROM) % 12
    for number, midi in ((_FOUND, tone), (_RESOLVED, tone + 1)):
        yield Event(start + number * bar, bar, midi, None, performance.TONE, _SUNG_VELOCITY)


def _drone(root: Note, start: float, beats: int, beat: float) -> Iterator[Event]:
    """Yield a root and its octave by turns, each ringing until it is plucked again or ends."""
    low = _DRONE_FROM + (root.pitch_class - _DRONE_FROM) % 12
    for index in range(beats):
        length = min(2, beats - index) * beat
        plucked = Event(start + index * beat, length, low, None, performance.BASS, _DRONE_VELOCITY)
        yield replace(plucked, midi=low + 12) if index % 2 else plucked
