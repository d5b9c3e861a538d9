"""Spell it, and complete the scale: exercises that are answered with the names of notes.

Chords: level 1 asks for chords of four notes, level 2 for the diminished seventh that rises to a
chord, level 3 for one that falls into a chord, level 4 for those of a key.  Here the name is
what is asked: what sounds right and is spelled otherwise counts half, and is told so.  Nobody has
to write a double accidental: A is as right as B double flat.

Scales: one note is missing at level 1, two at level 2, at level 3 the whole diminished seventh or
the whole chord, at level 4 all but the tonic.  Notes that are shown may be written again.
"""

from collections.abc import Sequence

from harmonykit.practice import question, shapes, wording
from harmonykit.practice.question import LEVELS, Chance, Question, Seen, Spec, Verdict
from harmonykit.practice.theme import Theme, up_to
from harmonykit.practice.wording import read_notes
from harmonykit.sound.chords import close_notes
from harmonykit.theory import diminished, uses
from harmonykit.theory.chord import Chord, Note, PcSet
from harmonykit.theory.key import Key
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.modes import Scale
from harmonykit.theory.scale import KINDS, SixthDiminished
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

_KEYS = ("C", "F", "G", "Bb", "D", "Eb", "A", "Am", "Dm", "Em", "Gm", "Cm")
_SIDES = {
    "below": "resolves to {} from a half step below",
    "above": "passes down to {} from a half step above",
}


@dataclass(frozen=True, slots=True)
class Spelled:
    """A chord to be spelled: how it is asked for, and why it is spelled so."""

    chord: Chord
    asked: str
    why: str
    about: str = ""

    @property
    def plain(self) -> tuple[Note, ...]:
        """Its notes with one accidental at most, as charts write them."""
        return tuple(note.plain() for note in self.chord.tones)


def ask_spelling(spec: Spec, theme: Theme) -> Question:
    """Return a question about the names of a chord's notes."""
    chance = spec.chance()
    wanted = _wanted_spelling(chance, spec, theme)
    chord = wanted.chord
    seen, asked = Seen(chord.unicode if spec.level == 1 else "?"), wanted.asked
    sounds = (close_notes(chord.tones),)
    if spec.medium == "neck":
        shape = chance.pick(shapes.movable_shapes(chord, theme, spec.level))
        seen = Seen(notes=shape.pcs, shape=shape, nameless=True)
        asked = f"The shape {shape.digits} is held. {asked}"
        sounds = (shape.sounding,)
    return Question(
        spec,
        f"{asked} Write its notes.",
        "notes",
        wording.typed(wanted.plain),
        (
            f"{wanted.why} Its degrees over the root are {wording.printed_degrees(chord.degrees)}.",
            f"Its root is {chord.root.unicode}; the letters are "
            f"{join_words([note.letter for note in wanted.plain])}.",
            f"It begins {', '.join(note.unicode for note in wanted.plain[:-1])}; "
            f"the last has the letter {wanted.plain[-1].letter}.",
        ),
        seen,
        lambda text: judge_spelling(wanted, read_notes(text)),
        theme.neck,
        sounds,
        wanted.about or chord.symbol,
    )


def spelled_names(theme: Theme, level: int) -> tuple[str, ...]:
    """Return what can be asked about at a level: chords, those beside them, or keys."""
    if level == LEVELS:
        return tuple(map(key_name, _KEYS))
    pool = theme.four_notes(2) if level == 1 else theme.any_chords(level)
    return tuple(dict.fromkeys(chord.over(None).symbol for chord in pool))


def _wanted_spelling(chance: Chance, spec: Spec, theme: Theme) -> Spelled:
    if spec.level == 1:
        chord = chance.pick(theme.wanted([each.over(None) for each in theme.four_notes(2)], str))
        return Spelled(chord, f"Spell {chord.unicode}.", f"{chord.unicode} begins with its root.")
    if spec.level == 4:
        return _in_a_key(chance, theme)
    goals = [chord.over(None) for chord in theme.any_chords(spec.level)]
    return _beside(chance.pick(theme.wanted(goals, str)), "below" if spec.level == 2 else "above")


def _beside(goal: Chord, side: str) -> Spelled:
    chord = diminished.approach(goal, side)
    leads = _SIDES[side].format(goal.unicode)
    letter = "below" if side == "below" else "above"
    verb = "rises" if side == "below" else "falls"
    return Spelled(
        chord,
        f"Spell the diminished seventh that {leads}.",
        f"It {verb} to {goal.root.unicode}, so its root takes the letter {letter}.",
        goal.symbol,
    )


def _in_a_key(chance: Chance, theme: Theme) -> Spelled:
    name = chance.pick(theme.wanted(_KEYS, key_name))
    key = Key.parse(name)
    leading = [each for each in uses.functions(key) if each.role.startswith("leading-tone")]
    function = chance.pick(leading)
    goal = function.use.target
    numeral = function.role.removeprefix("leading-tone of ")
    return Spelled(
        function.use.chord,
        f"In {key.unicode}, spell the leading-tone diminished seventh of {numeral}.",
        f"It rises to {goal.unicode}, so its root takes the letter below.",
        key_name(name),
    )


def key_name(key: str) -> str:
    """Return what a key is called where it is what is asked about."""
    return f"key {key}"


def judge_spelling(wanted: Spelled, given: Sequence[Note]) -> Verdict:
    """Judge names of notes: half where they sound right and are spelled otherwise.

    Examples
    --------
    >>> asked = Spelled(Chord.parse("C#dim7"), "", "It rises to D, so its root takes the letter below.")
    >>> verdict = judge_spelling(asked, read_notes("Db E G Bb"))
    >>> verdict.score, verdict.said
    (0.5, 'Nearly. The notes are right; here the spelling is C♯, not D♭. It rises to D, so its root takes the letter below.')
    """  # noqa: E501
    chord = wanted.chord
    seen = Seen(chord.unicode, chord.pcs, chord)
    pcs = PcSet.of(*(note.pitch_class for note in given))
    spelled = f"{chord.unicode} is {wording.listed(wanted.plain)}."
    if _is_spelled(set(given), wanted):
        return Verdict(question.RIGHT, wording.sentences(wording.GOOD, spelled), seen)
    if pcs == chord.pcs:
        others = [_otherwise(note, wanted) for note in dict.fromkeys(given)]
        said = [each for each in others if each]
        told = f"The notes are right; here the spelling is {join_words(said)}."
        return Verdict(question.HALF, wording.sentences(wording.NEARLY, told, wanted.why), seen)
    extra = {note.pitch_class for note in given} - set(chord.pcs)
    right = [n for n in chord.tones if any(_is_named(g, n) for g in given)]
    return Verdict(
        question.share(len(right), len(extra), len(chord.tones)),
        wording.sentences(wording.NOT_YET, _faults(pcs, wanted, given), spelled),
        seen,
    )


def _faults(sounding: PcSet, wanted: Spelled, given: Sequence[Note]) -> str:
    chord = wanted.chord
    extra = [note for note in given if note.pitch_class not in chord.pcs]
    missing = [note for note in wanted.plain if note.pitch_class not in sounding]
    return wording.said_faults(extra, missing, chord.unicode)


def _is_named(given: Note, tone: Note) -> bool:
    """Whether a note is called as a chord has it; a double accidental may be written plainly."""
    return given in (tone, tone.plain())


def _is_spelled(given: set[Note], wanted: Spelled) -> bool:
    tones = wanted.chord.tones
    named = all(any(_is_named(note, tone) for tone in tones) for note in given)
    return named and {note.pitch_class for note in given} == set(wanted.chord.pcs)


def _otherwise(note: Note, wanted: Spelled) -> str:
    tone = wanted.chord.spell(note.pitch_class)
    return "" if _is_named(note, tone) else f"{tone.plain().unicode}, not {note.unicode}"


_TONICS = ("C F G D", "Bb A Eb E", "Ab B Db F#")
_NAMES = tuple(KINDS)
_FRIENDS = ("octatonic whole-half", "melodic minor", "harmonic major", "bebop dominant")
_GAP = "?"


def ask_scale(spec: Spec, theme: Theme) -> Question:
    """Return a question about a scale with gaps."""
    chance = spec.chance()
    scale = _asked_scale(chance, spec, theme)
    missing = _missing(chance, scale, spec.level)
    row = " ".join(_GAP if note in missing else note.unicode for note in scale.notes)
    given = tuple(note for note in scale.notes if note not in missing)
    verb = "Press" if spec.medium == "clock" else "Write"
    what = "note that is" if len(missing) == 1 else "notes that are"
    return Question(
        spec,
        f"Complete {scale.title}: {row}. {verb} the {what} missing.",
        "notes",
        wording.typed(missing),
        (
            _made_of(scale),
            f"Its steps in semitones are {' '.join(map(str, scale.pattern))}.",
            _last_hint(scale, missing),
        ),
        Seen(scale.tonic.unicode, PcSet.of(*(n.pitch_class for n in given)), names=given),
        lambda text: judge_scale(scale, missing, read_notes(text)),
        theme.neck,
        _sounds(scale, missing),
        scale_name(scale),
    )


def _asked_scale(chance: Chance, spec: Spec, theme: Theme) -> SixthDiminished | Scale:
    if theme.scales:
        tonic, _, kind = chance.pick(theme.wanted(theme.scales, str)).partition(" ")
        return SixthDiminished(tonic, kind)
    if theme.about:
        return _named_scale(theme.about)
    tonic = chance.pick(up_to(_TONICS, spec.level))
    if spec.level >= 3 and chance.below(3) == 0:
        return Scale(tonic, chance.pick(_FRIENDS))
    return SixthDiminished(tonic, chance.pick(_NAMES[: spec.level]))


def _named_scale(name: str) -> SixthDiminished | Scale:
    """Return the scale that is asked about: ``"C major"``, ``"D melodic minor"``."""
    tonic, _, kind = name.partition(" ")
    return SixthDiminished(tonic, kind) if kind in _NAMES else Scale(tonic, kind)


def scale_name(scale: SixthDiminished | Scale) -> str:
    """Return what a scale is called where it is what is asked about."""
    kind = scale.kind if isinstance(scale, SixthDiminished) else scale.name
    return f"{scale.tonic.name} {kind}"


def scale_names(theme: Theme, level: int) -> tuple[str, ...]:
    """Return the scales of a level, without those that only now and then are asked about."""
    kinds = _NAMES[:level]
    return theme.scales or tuple(f"{t} {k}" for t in up_to(_TONICS, level) for k in kinds)


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
            f"It is {scale.chord.unicode} and the diminished seventh on its leading tone, "
            f"{scale.diminished.unicode}, alternating note by note."
        )
    return f"Its degrees over {scale.tonic.unicode} are {wording.printed_degrees(scale.degrees)}."


def _last_hint(scale: Ladder, missing: Sequence[Note]) -> str:
    """Return all but one of the notes that are missing, and on which letter the last one is."""
    *most, last = missing
    if most:
        return f"They are {wording.listed(most)}, and one with the letter {last.letter}."
    place = scale.notes.index(last)
    low, high = scale.notes[place - 1], scale.notes[(place + 1) % len(scale.notes)]
    return f"It lies between {low.unicode} and {high.unicode}, and has the letter {last.letter}."


def _sounds(scale: Ladder, missing: Sequence[Note]) -> tuple[tuple[int, ...], ...]:
    """Return the scale note by note up to its octave, without those that are missing."""
    pitches = close_notes(scale.notes)
    heard = [p for p, note in zip(pitches, scale.notes, strict=True) if note not in missing]
    return tuple((pitch,) for pitch in (*heard, pitches[0] + 12))


def judge_scale(scale: Ladder, missing: Sequence[Note], given: Sequence[Note]) -> Verdict:
    """Judge notes that are to complete a scale.

    Examples
    --------
    >>> scale = SixthDiminished("C", "major")
    >>> judge_scale(scale, (Note.parse("Ab"),), read_notes("F#")).said
    'Not yet. F♯ is not in C major sixth-diminished; it has F. A♭ is missing.'
    """
    wanted = {note.pitch_class for note in missing}
    named = {note.pitch_class for note in given}
    extra = [note for note in dict.fromkeys(given) if note.pitch_class not in scale.pcs]
    lost = [note for note in missing if note.pitch_class not in named]
    seen = Seen(scale.tonic.unicode, scale.pcs, was=PcSet.of(*wanted), names=scale.notes)
    if not extra and not lost:
        return Verdict(
            question.RIGHT, wording.sentences(wording.GOOD, f"{scale.title}: {_row(scale)}."), seen
        )
    said = [_why_not(scale, note) for note in extra]
    gone = f"{wording.listed(lost)} {'is' if len(lost) == 1 else 'are'} missing." if lost else ""
    return Verdict(
        question.share(len(missing) - len(lost), len(extra), len(missing)),
        wording.sentences(wording.NOT_YET, wording.reasons(said), gone),
        seen,
        tuple(note.name for note in extra),
    )


def _row(scale: Ladder) -> str:
    return " ".join(note.unicode for note in scale.notes)


def _why_not(scale: Ladder, note: Note) -> str:
    same = [each for each in scale.notes if each.letter == note.letter]
    instead = f"; it has {wording.listed(same)}" if same else ""
    return f"{note.unicode} is not in {scale.title}{instead}."
