"""An arrangement as a score: its shapes with chord symbols and frames, or a lead sheet.

Conventions.  A score has the repeats and endings of the tune where each bar is played alike every
time; else it is written out in playing order, with the numbers that the bars have as they are
played.  A pick-up under which another chord rings on each time has a rest in the repeat.  Where the
tune has a melody it stands on a staff above the shapes, and the chord symbols with their frames
stand over it.  A lead sheet is for those who do not play the shapes: melody and chord symbols,
written out.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.written import in_signs, ringing_upbeats, times_of, written_places
from harmonykit.fretboard.hands.hand import Fingering
from harmonykit.fretboard.shapes.frettings import window
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.score import lead, musicxml_out
from harmonykit.score.score import Clef, Frame, Measure, Part, Score, Staff, Symbol, Tone, ended
from harmonykit.theory.chord import Chord, Note
from harmonykit.tune.fold import write_out
from harmonykit.tune.tune import Bar, PlayedBar, Tune
from harmonykit.tune.words import under_bar

# Below these open strings a part is written an octave above its sound, as a guitar's is, and in the
# bass clef, as a double bass's is.
_LOWEST_PLAIN_MIDI, _LOWEST_TREBLE_MIDI = 52, 36


def to_musicxml(arrangement: Arrangement, title: str = "", tempo: float | None = None) -> str:
    """Return an arrangement as MusicXML 4.0: notes, chord symbols and frames.

    Parameters
    ----------
    arrangement : Arrangement
    title : str
        The tune's own where empty.
    tempo : float, optional
        Quarters a minute; the arrangement's own unless given.

    Returns
    -------
    str
        A whole MusicXML file.

    References
    ----------
    MusicXML 4.0, W3C Community Group Final Report 2021.

    Examples
    --------
    >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
    >>> score = hk.arrange.to_musicxml(plain)
    >>> score.count("<measure "), score.count("</frame>") > 0
    (16, True)
    """
    score = folded_score(arrangement) or shape_score(arrangement)
    pace = score.tempo if tempo is None else tempo
    return musicxml_out.write_musicxml(replace(score, title=title or score.title, tempo=pace))


def part_musicxml(arrangement: Arrangement, part: str = "concert") -> str:
    """Return the lead sheet of an arrangement as MusicXML, for one of ``score.lead.PARTS``.

    Raises
    ------
    TuneError
        If the part is another.
    """
    return musicxml_out.write_musicxml(lead.lead_score(lead_sheet(arrangement), part))


def shape_score(arrangement: Arrangement) -> Score:
    """Return the score of the shapes as sounding notes, under chord symbols with frames.

    It is written out in playing order.
    """
    tune = arrangement.tune
    shapes = _Shapes(arrangement)
    below = [
        shapes.staff(index, new=index == 0 or played.section != tune.playing[index - 1].section)
        for index, played in enumerate(tune.playing)
    ]
    above = [*_melody_staves(tune)] if tune.melody else None
    return _score(arrangement, _measures(tune, _together(above, below), arrangement))


def folded_score(arrangement: Arrangement) -> Score | None:
    """Return the score with the repeats, endings and jumps of the tune.

    ``None`` where the tune has none, or a bar is not played alike every time.  Bars are numbered as
    on the sheet.

    Examples
    --------
    >>> from harmonykit.arrange.passes import alike_each_time
    >>> from harmonykit.arrange.search import reharmonise
    >>> plain = reharmonise("|: C6 | F6 | G7 | C6 :|", "ukulele", (), k=1)[0]
    >>> found = folded_score(alike_each_time(plain)[0])
    >>> found and [measure.closes for measure in found.measures]
    [0, 0, 0, 2]
    """
    if not in_signs(arrangement):
        return None
    tune = arrangement.tune
    times = times_of(tune)
    written, shapes = lead.lead_score(tune), _Shapes(arrangement, folded=True)
    places = list(written_places(tune))
    below = [
        shapes.staff(
            times[place][0], new=bool(measure.label or measure.opens or measure.ending_starts)
        )
        for (place, _), measure in zip(places, written.measures, strict=True)
    ]
    above = [measure.staves[0] for measure in written.measures] if tune.melody else None
    measures = (
        replace(measure, staves=staves, number=bar.number)
        for (_, bar), measure, staves in zip(
            places, written.measures, _together(above, below), strict=True
        )
    )
    return replace(_score(arrangement, measures), fields=written.fields)


def _together(above: list[Staff] | None, below: list[Staff]) -> list[tuple[Staff, ...]]:
    """Return the staves of each measure; symbols stand over the upper one."""
    if above is None:
        return [(shapes,) for shapes in below]
    return [
        (replace(sung, symbols=shapes.symbols), replace(shapes, symbols=()))
        for sung, shapes in zip(above, below, strict=True)
    ]


def _score(arrangement: Arrangement, measures: Iterable[Measure]) -> Score:
    tune, instrument = arrangement.tune, arrangement.instrument
    parts = [Part(_part_name(instrument), tune.key, _clef(min(instrument.midi)))]
    if tune.melody:
        parts.insert(0, Part("Melody", tune.key))
    return Score(
        title=tune.title,
        tempo=float(arrangement.tempo),
        parts=tuple(parts),
        measures=ended(measures),
        composer=tune.composer,
        rights=tune.rights,
    )


def _part_name(instrument: Instrument) -> str:
    return instrument.name[:1].upper() + instrument.name[1:]


def _clef(lowest: int) -> Clef:
    if lowest < _LOWEST_TREBLE_MIDI:
        return Clef("F", 4, -1)
    return Clef() if lowest >= _LOWEST_PLAIN_MIDI else Clef(octave=-1)


def _measures(
    tune: Tune, rows: Iterable[tuple[Staff, ...]], arrangement: Arrangement
) -> Iterator[Measure]:
    section = None
    bars = enumerate(zip(tune.playing, tune.numbers, rows, strict=True))
    for bar, (played, (number, first), staves) in bars:
        name = " ".join(filter(None, (played.section, arrangement.manner_at(bar))))
        yield Measure(
            number=number,
            meter=played.bar.meter,
            length=played.bar.length,
            staves=staves,
            completes=number > 0 and not first,
            label=name if name != section else "",
        )
        section = name


class _Shapes:
    """The shapes of an arrangement, bar after bar as they are written.

    A chord that only lasts on over a bar line is not written again, but where a part begins.
    """

    def __init__(self, arrangement: Arrangement, *, folded: bool = False) -> None:
        self.folded = folded
        self.playing, self.bars = arrangement.tune.playing, arrangement.bars()
        fingerings = iter(arrangement.fingerings)
        self.fingerings = [[next(fingerings) for _ in steps] for steps in self.bars]
        self.before: tuple[object, object] | None = None
        self.carried = _carried(arrangement)
        self.apart = _apart(arrangement) if folded else frozenset[int]()
        self.resting = ringing_upbeats(arrangement) if folded else frozenset()

    def staff(self, index: int, *, new: bool) -> Staff:
        """Return the staff of a bar as played, from 0; ``new`` where a part begins with it."""
        played = self.playing[index]
        if new:
            self.before = None
        if index in self.resting:
            words = under_bar(played.bar.lyric)
            return Staff((Tone(Fraction(0), played.bar.length, words=words),))
        tones, symbols = list[Tone](), list[Symbol]()
        for step, fingering in zip(self.bars[index], self.fingerings[index], strict=True):
            at = step.onset - played.onset
            tone = self._tied(Tone(at, step.beats, _sounding(step)), index, step)
            tones += lead.divide(tone, played.bar.fermatas, played.bar.fermatas)
            now = (step.named, step.voicing)
            if len(step.sounds) == 1 and self.before and self.before[0] == now[0]:
                continue  # a melody note alone, while its chord lasts
            if step.named is None and index == played.bar.number == 0:
                continue  # a pick-up before the first chord
            if step.rests:
                continue  # the melody rests, not the chord
            if now != self.before:
                drawn = step.voicing if not step.alone else None
                frame = None if drawn is None else frame_of(drawn, fingering)
                symbols.append(Symbol(at, step.named, frame))
            self.before = now
        lyric = played.bar.lyric if self.folded else played.lyric
        return Staff((replace(tones[0], words=under_bar(lyric)), *tones[1:]), tuple(symbols))

    def _tied(self, tone: Tone, bar: int, step: Step) -> Tone:
        """Return a step's tone with the ties to the steps beside it."""
        played = self.playing[bar]
        end = played.onset + played.bar.length
        into = self.carried.get(step.onset, ())
        out = self.carried.get(step.onset + step.beats, ())
        if step.onset == played.onset and bar - 1 in self.apart:
            into = ()
        if step.onset + step.beats == end and bar in self.apart:
            out = ()
        if into:
            notes = {note.midi: note for note in into}
            tone = replace(tone, notes=tuple(notes.get(n.midi, n) for n in tone.notes))
        whole = len(tone.notes)
        return replace(
            tone,
            tied_in=len(into) == whole > 0,
            tied_out=len(out) == whole > 0,
            top_in=0 < len(into) < whole,
            top_out=0 < len(out) < whole,
        )


def _carried(arrangement: Arrangement) -> dict[Fraction, tuple[Note, ...]]:
    """Return the notes that a chord melody holds into a step, by its onset, as they were written.

    Where the melody holds its note the shape rings on; in another shape the melody's note does.
    """
    found: dict[Fraction, tuple[Note, ...]] = {}
    if not arrangement.is_melody:
        return found
    struck = {note.onset for note in arrangement.tune.melody}
    notes: tuple[Note, ...] = ()
    for before, step in pairwise(arrangement.steps):
        notes = notes or _sounding(before)
        if step.onset in struck or not (before.sounds and step.sounds):
            notes = ()
        elif before.voicing == step.voicing:
            found[step.onset] = notes
        elif before.sounds[-1] == step.sounds[-1]:
            found[step.onset] = notes[-1:]
            notes = (*_sounding(step)[:-1], notes[-1])
        else:
            notes = ()
    return found


def _apart(arrangement: Arrangement) -> frozenset[int]:
    """Return the bars, as played, after which another bar is written than is played next."""
    times = times_of(arrangement.tune)
    firsts = [times[place][0] for place, _ in written_places(arrangement.tune)]
    whole = range(-1, len(arrangement.tune.playing))
    return frozenset(whole) - {one for one, after in pairwise(firsts) if after == one + 1}


def _sounding(step: Step) -> tuple[Note, ...]:
    """Return the notes of a step from the lowest; two strings at one pitch are one.

    A diminished seventh is written as it is easiest to read, without double signs.
    """
    if step.voicing is None:
        return ()
    named = step.voicing.spelled(step.chord) if step.chord else step.voicing.notes
    if step.chord is not None and step.chord.is_diminished_seventh:
        named = tuple(note.plain() if note is not None else None for note in named)
    pitches = {note.midi: note for note in named if note is not None}
    return tuple(pitches[midi] for midi in sorted(pitches))


def frame_of(voicing: Voicing, fingering: Fingering | None = None) -> Frame:
    """Return a shape as it is drawn, held as it is best held alone where nothing else is given.

    Examples
    --------
    >>> frame = frame_of(Voicing.parse("9-9-8-10", Instrument.named("ukulele")))
    >>> frame.first, frame.rows
    (8, 4)
    """
    first, rows = window(voicing.frets)
    held = fingering or voicing.fingering
    barres = held.barres if held else ()
    spans = tuple((barre.first, barre.last) for barre in barres)
    return Frame(voicing.frets, held.fingers if held else (), spans, first, rows)


def _melody_staves(tune: Tune) -> Iterator[Staff]:
    """Yield the melody of each bar, cut at the bar lines and tied, with the rests between."""
    melody = tune.melody
    first = 0
    for played in tune.playing:
        start, end = played.onset, played.onset + played.bar.length
        while first < len(melody) and melody[first].onset + melody[first].beats <= start:
            first += 1
        tones, now = list[Tone](), Fraction(0)
        for sung in melody[first:]:
            if sung.onset >= end:
                break
            at, stop = max(sung.onset, start) - start, min(sung.onset + sung.beats, end) - start
            tones += _rest(played, now, at)
            tied = sung.onset < start, sung.onset + sung.beats > end
            words = () if tied[0] else sung.words
            tones += _held(Tone(at, stop - at, (sung.note,), *tied, words=words), played)
            now = stop
        yield Staff((*tones, *_rest(played, now, played.bar.length)))


def _rest(played: PlayedBar, at: Fraction, end: Fraction) -> Iterator[Tone]:
    if end > at:
        yield from _held(Tone(at, end - at), played)


def _held(tone: Tone, played: PlayedBar) -> Iterator[Tone]:
    return lead.divide(tone, played.bar.fermatas, played.bar.fermatas)


def lead_sheet(arrangement: Arrangement) -> Tune:
    """Return the tune with the arrangement's chords, written out as it is played.

    Parameters
    ----------
    arrangement : Arrangement

    Returns
    -------
    Tune

    Examples
    --------
    >>> plain = hk.reharmonise("slack_water_waltz", "ukulele", moves=(), k=1)[0]
    >>> hk.arrange.lead_sheet(plain).title
    'Slack Water Waltz'
    """
    plain = write_out(arrangement.tune)
    bars = _bars(arrangement)
    sections = tuple(
        replace(section, bars=tuple(next(bars) for _ in section.bars)) for section in plain.sections
    )
    return replace(plain, sections=sections, tempo=arrangement.tempo)


def charted(arrangement: Arrangement) -> Iterator[tuple[Step, ...]]:
    """Yield the steps of each bar with the chords of a chart: under a melody's rest they last on.

    Examples
    --------
    >>> plain = hk.reharmonise("| C6 | F6 |", "ukulele", (), k=1)[0]
    >>> [str(step.chord) for steps in charted(plain) for step in steps]
    ['C6', 'F6']
    """
    before: Step | None = None
    for steps in arrangement.bars():
        row: list[Step] = []
        for step in steps:
            lasts = before is not None and before.written == step.written
            chord = (
                (before.chord if before and lasts else step.written) if step.rests else step.named
            )
            before = replace(step, chord=chord)
            row.append(before)
        yield tuple(row)


def _bars(arrangement: Arrangement) -> Iterator[Bar]:
    """Yield the played bars with the steps' chords; one that only lasts on is not written again."""
    before: Chord | None = None
    playing = arrangement.tune.playing
    for index, (played, steps) in enumerate(zip(playing, charted(arrangement), strict=True)):
        starts: list[tuple[Chord | None, Fraction]] = []
        new_section = index == 0 or playing[index - 1].section != played.section
        for step in steps:
            if step.chord != before or (new_section and not starts):
                starts.append((step.chord, step.onset - played.onset))
            before = step.chord
        bar = Bar.of(played.bar.meter, starts, played.bar.length)
        yield replace(
            bar, melody=played.bar.melody, fermatas=played.bar.fermatas, lyric=played.lyric
        )
