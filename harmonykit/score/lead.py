"""A tune as a score of one part, as it is written: repeats, endings, jumps and sections stay signs.

Conventions.  The part has the melody where there is one and rests elsewhere.  A form that plays
sections in another order than they stand in is written out, section after section; its names are
kept in a field of the score, so that reading it gives the same form.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from harmonykit.score import score
from harmonykit.score.score import Clef, Measure, Part, Score, Staff, Symbol, Tone, Transposition
from harmonykit.theory import interval, note
from harmonykit.tune.tune import Bar, Tune, TuneError
from harmonykit.tune.words import under_bar
from harmonykit.values import dataclass, replace

FORM_FIELD, NOTES_FIELD, STYLE_FIELD = "form", "notes", "style"


@dataclass(frozen=True, slots=True)
class Reader:
    """For whom a part is written: its name, clef, and the interval from sounding to written."""

    name: str
    clef: Clef = Clef()
    up: str = "P1"
    # Octaves from what is written to what sounds, besides the interval and the clef.
    octaves: int = 0


READERS = {
    "concert": Reader("Lead sheet"),
    "Bb": Reader("Lead sheet in B♭", up="M2"),
    "Eb": Reader("Lead sheet in E♭", up="M6"),
    # Sounds an octave above what stands in the bass clef, so that a melody for the treble fits.
    "bass clef": Reader("Lead sheet, bass clef", Clef("F", 4), octaves=1),
    "guitar": Reader("Lead sheet, guitar", Clef(octave=-1)),
}
PARTS = tuple(READERS)
"""For whom a lead sheet is written."""


def lead_score(tune: Tune, part: str = "concert") -> Score:
    """Return a tune as a score for one of ``PARTS``.

    Parameters
    ----------
    tune : Tune
    part : {"concert", "Bb", "Eb", "bass clef", "guitar"}
        For whom: in concert pitch; a major second or a major sixth higher; an octave lower in the
        bass clef; in the treble clef that sounds an octave lower.

    Returns
    -------
    Score

    Raises
    ------
    TuneError
        If the part is another.

    Examples
    --------
    >>> score = hk.score.lead_score(hk.read_tune("slack_water_waltz"), "Bb")
    >>> part = score.parts[0]
    >>> str(part.key), part.transposition and part.transposition.chromatic, len(score.measures)
    ('G major', -2, 16)
    """
    if part not in READERS:
        raise TuneError(f"{part!r} is not a known part", rule=f"parts are {', '.join(PARTS)}")
    reader = READERS[part]
    written = tune.transpose(reader.up) if reader.up != "P1" else tune
    listed = Part(reader.name, written.key, reader.clef, _transposition(tune, written, reader))
    in_order = tune.order == tuple(section.name for section in tune.sections)
    fields = {
        NOTES_FIELD: tune.notes,
        FORM_FIELD: "" if in_order else "|".join(tune.order),
        STYLE_FIELD: tune.style,
    }
    return Score(
        title=tune.title,
        tempo=float(tune.tempo),
        parts=(listed,),
        measures=score.ended(_measures(written, reader.octaves)),
        composer=tune.composer,
        rights=tune.rights,
        fields=tuple((name, value) for name, value in fields.items() if value),
    )


def _transposition(tune: Tune, written: Tune, reader: Reader) -> Transposition | None:
    """Return the way from written to sounding; keys may be written as their twins."""
    down = interval.Interval.parse(reader.up)
    if not down.semitones and not reader.octaves:
        return None
    turn = (written.key.tonic.fifths - tune.key.tonic.transpose(down).fifths) // 12
    return Transposition(turn - down.steps, -down.semitones, reader.octaves)


def _measures(tune: Tune, octaves: int) -> Iterator[Measure]:
    """Yield the bars of each section in order, with an opening sign for every repeated part.

    Inside a section a repeat without one goes back to where the section starts; in a score it would
    go further.
    """
    form, bars = tune.form, tune.bars
    opens = {repeat.first for repeat in form.repeats if repeat.times > 1}
    endings = [ending for repeat in form.repeats for ending in repeat.endings]
    starts, stops = {e.first for e in endings}, {e.stop - 1 for e in endings}
    before = -1
    held: note.Note | None = None
    for span in form.order:
        for place in range(span.first, span.stop):
            bar = bars[place]
            tones = tuple(tones_of(bar, held))
            yield Measure(
                number=bar.number,
                meter=bar.meter,
                length=bar.length,
                staves=(Staff(_lowered(tones, octaves), tuple(_symbols(bar))),),
                completes=before == bar.number,
                label=span.name if place == span.first else "",
                opens=bar.opens or place in opens,
                closes=bar.closes,
                ending=bar.ending,
                ending_starts=place in starts,
                ending_stops=place in stops,
                signs=bar.signs,
            )
            before = bar.number
            held = tones[-1].notes[0] if tones[-1].tied_out else None


def _symbols(bar: Bar) -> Iterator[Symbol]:
    for change in bar.changes:
        yield Symbol(change.at, change.chord)
        for chord in change.alternates:
            yield Symbol(change.at, chord, alternate=True)


def _lowered(tones: tuple[Tone, ...], octaves: int) -> tuple[Tone, ...]:
    """Return tones as they are written for what sounds so many octaves higher."""
    if not octaves:
        return tones
    return tuple(
        replace(
            tone,
            notes=tuple(replace(n, octave=(n.octave or 0) - octaves) for n in tone.notes),
        )
        for tone in tones
    )


def tones_of(bar: Bar, held: note.Note | None = None) -> Iterator[Tone]:
    """Yield the melody and the rests of a bar, cut at fermatas.

    Rests are cut at chords too, so that each stands over what it sounds with.

    Parameters
    ----------
    bar : Bar
    held : Note, optional
        What is tied over from the bar before.
    """
    now = Fraction(0)
    places = [*bar.fermatas, *(change.at for change in bar.changes)]
    if not bar.melody:
        tone = Tone(now, bar.length, words=under_bar(bar.lyric))
        yield from divide(tone, places, bar.fermatas)
        return
    for sung in bar.melody:
        if sung.at > now:
            yield from divide(Tone(now, sung.at - now), places, bar.fermatas)
            held = None
        carried = held == sung.note
        tone = Tone(sung.at, sung.beats, (sung.note,), carried, sung.tied, words=sung.words)
        yield from divide(tone, bar.fermatas, bar.fermatas)
        now, held = tone.end, sung.note if sung.tied else None
    if now < bar.length:
        yield from divide(Tone(now, bar.length - now), places, bar.fermatas)


def divide(tone: Tone, places: Sequence[Fraction], held: Sequence[Fraction]) -> Iterator[Tone]:
    """Yield a tone cut at places and tied, with a fermata on each part that starts at one."""
    starts = sorted({tone.at, *(place for place in places if tone.at < place < tone.end)})
    for start, stop in zip(starts, [*starts[1:], tone.end], strict=True):
        yield Tone(
            start,
            stop - start,
            tone.notes,
            tied_in=tone.tied_in if start == tone.at else bool(tone.notes),
            tied_out=tone.tied_out if stop == tone.end else bool(tone.notes),
            top_in=tone.top_in and start == tone.at,
            top_out=tone.top_out and stop == tone.end,
            held=start in held,
            words=tone.words if start == tone.at else (),
        )
