"""What a level sounds, for the script of its page: bar by bar, the events that files are made of.

Conventions.  Times are seconds from the first click.  The page lays bars one after another as
``sound.rehearsing`` does.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.draw.base.given import spoken_symbol
from harmonykit.lesson.page.figures import Styles
from harmonykit.lesson.page.printed import Printed, sung_by_bar
from harmonykit.lesson.plan.model import Played
from harmonykit.lesson.rehearsals import hard_span, led_of, rehearsed
from harmonykit.sound.estimating import expected_gain
from harmonykit.sound.material import Edges, Material
from harmonykit.sound.performance import CLICK, Event, Performance
from harmonykit.sound.rehearsal import BY_GROOVE, Rehearsal
from harmonykit.sound.rehearsing import with_beats
from harmonykit.tune.bar import beat_length

# A microsecond is far below what an ear or a player could tell; ten of them still are, where there
# is much to write.
_DIGITS, _EVENT_DIGITS = 6, 5


def music(played: Played) -> dict[str, Any]:
    """Return what the player needs, ready for JSON.

    All parts are in it; the page leaves out those that are not wanted.  ``gain`` sets it
    as loud as its file.  ``end`` is where the last
    bar is over, ``seconds`` where the last chord has rung.  ``events`` are those of each bar,
    ``[onset, length, midi, string, kind, velocity]``, a click's beat in place of its string;
    ``onward`` bars that go on otherwise where they are not the last, with where they begin and end
    in a list of their own; ``edges`` how a bar begins and ends where its neighbour is another than
    in the tune: up to a place, or from it on, other events sound.  ``intro`` is how many bars are
    played before it where that is asked for.  ``steps`` are
    ``[start, ready, bar]``: a beat before it starts, at ``ready``, a chord is shown as the next
    one; ``names`` what is said of each then, and its root as a pitch class.
    ``places`` say where on the page each bar, step and note stands, a note with its line of words.
    """
    material = Material.of(played.arrangement, played.level.tempo)
    performance = material.performance
    strummed = replace(performance, events=performance.strummed)
    return {
        "seconds": round(performance.seconds, _DIGITS),
        "countIn": round(performance.count_in_seconds, _DIGITS),
        "end": round(performance.sections[-1][-1], _DIGITS),
        "bars": [round(start, _DIGITS) for _, start in performance.bars],
        "beats": [[count, round(beat, _DIGITS)] for count, beat in material.beats],
        "gain": round(10 ** (expected_gain(strummed) / 20), 3),
        "lead": material.lead,
        "room": material.has_room,
        "sung": sung_times(played, performance),
        "steps": step_times(played.arrangement, performance),
        "names": _names(played.arrangement, performance),
        "events": [_events(bar) for bar in material.bars],
        "edges": _edges(material.edges),
        "onward": {
            str(bar): {
                "from": round(begun, _DIGITS),
                "over": round(over, _DIGITS),
                "events": _events(events),
            }
            for bar, (begun, over, events) in material.onward.items()
        },
        "onwardEdges": _edges(material.onward_edges),
        "intro": len(material.intro(BY_GROOVE)),
        "practice": [_form(played, how, material) for how in played.level.practice],
        "leading": _leading(played),
        "places": _places(played.arrangement),
    }


def _places(way: Arrangement) -> dict[str, Any]:
    printed = Printed(way, Styles())
    return {"bars": printed.places, "steps": printed.chords, "notes": printed.notes}


def _edges(found: Mapping[int, Edges]) -> dict[str, Any]:
    """Return how bars begin and end beside others than their neighbours."""
    return {
        str(bar): {
            name: {"at": round(edge[0], _DIGITS), "events": _events(edge[1])}
            for name, edge in zip(("head", "tail"), edges, strict=True)
            if edge
        }
        for bar, edges in found.items()
    }


def _events(events: Sequence[Event]) -> list[list[Any]]:
    """Return events as the page has them, each click with its beat."""
    return [_event(event, beat) for event, beat in with_beats(events)]


def _event(event: Event, beat: int = 0) -> list[Any]:
    onset, length = round(event.onset, _EVENT_DIGITS), round(event.length, _EVENT_DIGITS)
    string = beat if event.kind == CLICK else event.string
    return [onset, length, event.midi, string, event.kind, event.velocity]


def _names(arrangement: Arrangement, performance: Performance) -> list[list[Any]]:
    chords = [arrangement.steps[index].chord for index, _ in performance.steps]
    return [
        [spoken_symbol(chord.unicode), chord.root.pitch_class] if chord else ["", -1]
        for chord in chords
    ]


def _form(played: Played, how: Rehearsal, material: Material) -> dict[str, Any]:
    """Return a line of the level's practice; a line that cannot be played has stopped the build."""
    way, tempo = played.arrangement, played.level.tempo
    span = hard_span(way, how, tempo) if how.hard else material.span(how.bars)
    return {
        "span": span,
        "tempi": how.tempi,
        "times": how.times,
        "countIn": how.count_in,
        "intro": len(material.intro(how.intro)) if how.intro else 0,
        "beats": how.beats,
        "left": how.left,
        "names": how.names,
        "parts": how.parts,
        "sing": how.sing,
    }


def _leading(played: Played) -> dict[str, Any] | None:
    """Return what leading tones are sung over, and from when what is sung; none without any."""
    if not led_of(played.arrangement):
        return None
    sung = rehearsed(played.arrangement, Rehearsal(sing=True), played.level.tempo)
    return {
        "seconds": round(sung.seconds, _DIGITS),
        "events": [_event(event) for event in sung.events],
        "words": [[round(start, _DIGITS), words] for words, start, _ in sung.sections],
    }


def sung_times(played: Played, performance: Performance) -> list[float]:
    """Return when each note of the melody begins, in seconds from the first click."""
    tune = played.arrangement.tune
    starts = [start for _, start in performance.bars]
    return [
        round(performance.later(start, one.onset - bar.onset), _DIGITS)
        for start, bar, notes in zip(starts, tune.playing, sung_by_bar(tune), strict=True)
        for one in notes
    ]


def step_times(arrangement: Arrangement, performance: Performance) -> list[list[float]]:
    """Return of each step its start, a beat before it, and its bar."""
    playing = arrangement.tune.playing
    found = []
    for index, start in performance.steps:
        bar = arrangement.steps[index].bar
        beat: Fraction = beat_length(playing[bar].bar.meter)
        ready = start - float(beat) * 60 / performance.tempo
        found.append([round(start, _DIGITS), round(ready, _DIGITS), bar])
    return found
