"""Complete the scale: the notes that are missing from a sixth-diminished scale, or a friend of it.

One note is missing at level 1, two at level 2, at level 3 the whole diminished seventh or the
whole chord, at level 4 all but the tonic.  Notes that are shown may be written again.
"""

from collections.abc import Sequence

from harmonykit.sound.chords import close_pitches
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.modes import Scale
from harmonykit.theory.note import Note
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.theory.sets.pcset import PcSet
from harmonykit.workbook.practice import telling
from harmonykit.workbook.practice.chance import Chance
from harmonykit.workbook.practice.question import RIGHT, WRONG, Question, Seen, Spec, Verdict
from harmonykit.workbook.practice.reading import read_notes
from harmonykit.workbook.practice.theme import Theme, up_to

_TONICS = ("C F G D", "Bb A Eb E", "Ab B Db F#")
_NAMES = tuple(KINDS)
_FRIENDS = ("octatonic whole-half", "melodic minor", "harmonic major", "bebop dominant")
_GAP = "?"


def ask_scale(spec: Spec, theme: Theme) -> Question:
    """Return a question about a scale with gaps."""
    chance = spec.chance()
    scale = _picked(chance, spec, theme)
    missing = _missing(chance, scale, spec.level)
    row = " ".join(_GAP if note in missing else note.unicode for note in scale.notes)
    given = tuple(note for note in scale.notes if note not in missing)
    verb = "Press" if spec.medium == "clock" else "Write"
    what = "note that is" if len(missing) == 1 else "notes that are"
    return Question(
        spec,
        f"Complete {scale.title}: {row}. {verb} the {what} missing.",
        "notes",
        telling.typed(missing),
        (
            _made_of(scale),
            f"Its steps in semitones are {' '.join(map(str, scale.pattern))}.",
            _last_hint(scale, missing),
        ),
        Seen(scale.tonic.unicode, PcSet.of(*(n.pitch_class for n in given)), names=given),
        lambda text: judge_scale(scale, missing, read_notes(text)),
        theme.neck,
        _sounds(scale, missing),
    )


def _picked(chance: Chance, spec: Spec, theme: Theme) -> Ladder:
    if theme.scales:
        tonic, _, kind = chance.pick(theme.scales).partition(" ")
        return SixthDiminished(tonic, kind)
    tonic = chance.pick(up_to(_TONICS, spec.level))
    if spec.level >= 3 and chance.below(3) == 0:
        return Scale(tonic, chance.pick(_FRIENDS))
    return SixthDiminished(tonic, chance.pick(_NAMES[: spec.level]))


def _missing(chance: Chance, scale: Ladder, level: int) -> tuple[Note, ...]:
    notes = scale.notes
    if level == 4:
        return notes[1:]
    if level == 3 and isinstance(scale, SixthDiminished):
        gone = chance.pick((scale.diminished.pcs, scale.chord.pcs))
        return tuple(note for note in notes if note.pitch_class in gone)
    gone = PcSet.of(*(note.pitch_class for note in chance.some(notes[1:], min(level, 3))))
    return tuple(note for note in notes if note.pitch_class in gone)


def _made_of(scale: Ladder) -> str:
    if isinstance(scale, SixthDiminished):
        return (
            f"It is {scale.chord.unicode} and the diminished seventh on its leading note, "
            f"{scale.diminished.unicode}, note by note in turn."
        )
    return f"Its degrees over {scale.tonic.unicode} are {telling.printed_degrees(scale.degrees)}."


def _last_hint(scale: Ladder, missing: Sequence[Note]) -> str:
    """Return all but one of the notes that are missing, and on which letter the last one is."""
    *most, last = missing
    if most:
        return f"They are {telling.listed(most)}, and one with the letter {last.letter}."
    place = scale.notes.index(last)
    low, high = scale.notes[place - 1], scale.notes[(place + 1) % len(scale.notes)]
    return f"It lies between {low.unicode} and {high.unicode}, on the letter {last.letter}."


def _sounds(scale: Ladder, missing: Sequence[Note]) -> tuple[tuple[int, ...], ...]:
    """Return the scale note by note up to its octave, without those that are missing."""
    pitches = close_pitches([note.pitch_class for note in scale.notes])
    heard = [p for p, note in zip(pitches, scale.notes, strict=True) if note not in missing]
    return tuple((pitch,) for pitch in (*heard, pitches[0] + 12))


def judge_scale(scale: Ladder, missing: Sequence[Note], given: Sequence[Note]) -> Verdict:
    """Judge notes that are to complete a scale.

    Examples
    --------
    >>> scale = SixthDiminished("C", "major")
    >>> judge_scale(scale, (Note.parse("Ab"),), read_notes("F#")).said
    'Not yet. F♯ is not in C major sixth-diminished: on the letter F it has F. A♭ is missing.'
    """
    wanted = {note.pitch_class for note in missing}
    named = {note.pitch_class for note in given}
    extra = [note for note in dict.fromkeys(given) if note.pitch_class not in scale.pcs]
    lost = [note for note in missing if note.pitch_class not in named]
    seen = Seen(scale.tonic.unicode, scale.pcs, was=PcSet.of(*wanted), names=scale.notes)
    if not extra and not lost:
        return Verdict(
            RIGHT, telling.sentences(telling.GOOD, f"{scale.title}: {_row(scale)}."), seen
        )
    said = [_why_not(scale, note) for note in extra]
    gone = f"{telling.listed(lost)} {'is' if len(lost) == 1 else 'are'} missing." if lost else ""
    return Verdict(WRONG, telling.sentences(telling.NOT_YET, telling.reasons(said), gone), seen)


def _row(scale: Ladder) -> str:
    return " ".join(note.unicode for note in scale.notes)


def _why_not(scale: Ladder, note: Note) -> str:
    same = [each for each in scale.notes if each.letter == note.letter]
    instead = f": on the letter {note.letter} it has {telling.listed(same)}" if same else ""
    return f"{note.unicode} is not in {scale.title}{instead}."
