"""The kinds of statement about chords: each judged, with its proof or counter-example, and worded.

A statement is worded in three lengths: a label (``C6 = Am7``), a sentence, and a sentence with its
reason.  One that does not hold is worded as what holds instead, so that it can be denied.

What sounds counts, the bass included; see ``sounding`` for how a chord or a kind is told.
"""

from harmonykit.about.row import common_tones
from harmonykit.draw.base.marks import degree_word
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements.sounding import TURNS, Heard, heard, read_kind
from harmonykit.theory import alternation, naming
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.leading.voiceleading import distance
from harmonykit.values import dataclass
from harmonykit.words.numbers import in_words, join_words, number, ordinal


class Untrue(LessonError):
    """A statement that can be read and does not hold."""


@dataclass(frozen=True, slots=True)
class Stated:
    """A statement and what holds.

    Parameters
    ----------
    holds : bool
    label : str
        The shortest wording, of what holds.
    said : str
        The sentence as it was meant, without its full stop.
    denied : str
        The sentence that says the contrary.
    reason : str
        The proof, or the counter-example.
    mend : str
        The nearest call that holds, where it does not.
    """

    holds: bool
    label: str
    said: str
    denied: str
    reason: str
    mend: str = ""

    @property
    def sentence(self) -> str:
        """What holds, in a sentence.

        Examples
        --------
        >>> same_notes("C/D", "C").sentence
        'C/D and C do not have the same notes.'
        """
        return f"{self.said if self.holds else self.denied}."

    @property
    def long(self) -> str:
        """What holds, with its reason.

        Examples
        --------
        >>> same_notes("C6", "Am7").long
        'C6 and Am7 have the same notes: both are C, E, G and A.'
        """
        said = self.sentence[:-1]
        return f"{said} ({self.reason})." if ": " in said else f"{said}: {self.reason}."


def call_text(name: str, *args: str | float) -> str:
    """Return a call as it is typed."""
    said = (f'"{each}"' if isinstance(each, str) else str(each) for each in args)
    return f"{name}({', '.join(said)})"


def synonym(whole: Heard) -> str:
    """Return another name of some notes, empty where they have none in the table of qualities."""
    found = (name.symbol for name in naming.name_chords(whole.pcs) if not name.missing)
    own = whole.chord.symbol if whole.chord else ""
    return next((name for name in found if name != own and "no" not in name), "")


def same_notes(first: str, second: str) -> Stated:
    """State that two chords have the same notes."""
    a, b = heard(first), heard(second)
    holds, other = a.pcs == b.pcs, synonym(a)
    return Stated(
        holds,
        f"{a.name} {'=' if holds else '≠'} {b.name}",
        f"{a.name} and {b.name} have the same notes",
        f"{a.name} and {b.name} do not have the same notes",
        f"both are {a.spelled}" if holds else f"{a.name} is {a.spelled}; {b.name} is {b.spelled}",
        call_text("same_notes", first, other) if other else "",
    )


def contains(chord: str, part: str) -> Stated:
    """State that a chord or scale contains a chord, or one of a kind: "minor triad", "tritone"."""
    whole, kind, mend = heard(chord), read_kind(part), ""
    if kind is not None:
        found = kind.inside(whole)
        what, inside, lacking = kind.article, bool(found), f"{whole.name} is {whole.spelled}"
    else:
        wanted = heard(part)
        # "Am7 contains E" would be read of the note.
        plain = wanted.chord is not None and wanted.name == wanted.chord.root.unicode
        what, inside = "the triad " * plain + wanted.name, wanted.pcs <= whole.pcs
        if plain and not inside and wanted.notes[0].pitch_class in whole.pcs:
            mend = call_text("holds", chord, part)
        found = [note.pitch_class for note in wanted.notes] if inside else []
        lost = [wanted.spell(pc) for pc in wanted.pcs - whole.pcs]
        lacking = f"{whole.name} lacks {join_words(lost)}"
    own = [whole.spell(pc) for pc in found]
    return Stated(
        inside,
        f"{what} {'in' if inside else 'not in'} {whole.name}",
        f"{whole.name} contains {what}",
        f"{whole.name} does not contain {what}",
        f"{join_words(own)} are notes of {whole.name}" if inside else lacking,
        mend or _held(chord, whole),
    )


def _held(chord: str, whole: Heard) -> str:
    """Return a call for a triad that a chord contains, where there is one."""
    for name in ("major triad", "minor triad", "diminished triad", "augmented triad"):
        kind = read_kind(name)
        if kind is not None and kind.inside(whole):
            return call_text("contains", chord, name)
    return ""


def holds(chord: str, *notes: str) -> Stated:
    """State that a chord or scale has some notes among its own."""
    whole = heard(chord)
    if not notes:
        raise LessonError("holds names no note", mend='holds("G7", "B", "F")')
    wanted = [Note.parse(note) for note in notes]
    lost = [note.unicode for note in wanted if note.pitch_class not in whole.pcs]
    told = join_words([n.unicode if lost else whole.spell(n.pitch_class) for n in wanted])
    first = whole.notes[0].name
    return Stated(
        not lost,
        f"{told} {'not in' if lost else 'in'} {whole.name}",
        f"{whole.name} has {told}",
        f"{whole.name} does not have {told}",
        f"{whole.name} is {whole.spelled}",
        call_text("holds", chord, first),
    )


def how_many_notes(chord: str, number_of: int) -> Stated:
    """State how many different notes a chord or scale has, its bass included."""
    whole = heard(chord)
    count = len(whole.pcs)
    return Stated(
        count == number_of,
        f"{whole.name}: {in_words(count, 'note')}",
        f"{whole.name} has {in_words(number_of, 'note')}",
        f"{whole.name} does not have {in_words(number_of, 'note')}",
        whole.spelled if count == number_of else f"it has {number(count)}, {whole.spelled}",
        call_text("how_many_notes", chord, count),
    )


def lowest(chord: str, note: str) -> Stated:
    """State which note of a chord is in the bass."""
    whole, bass = heard(chord), Note.parse(note)
    if whole.chord is None:
        raise LessonError(f"{whole.name} is a scale, without a bass", mend='lowest("C/E", "E")')
    own = whole.chord.bass.plain()
    right = own.pitch_class == bass.pitch_class
    place = degree_word(whole.chord, own.pitch_class)
    role = "not one of its tones" if place in ("", "the bass") else f"its {place[4:]}"
    return Stated(
        right,
        f"{whole.name}: {own.unicode} lowest",
        f"{whole.name} has {bass.unicode} in the bass",
        f"{whole.name} does not have {bass.unicode} in the bass",
        f"{own.unicode}, {role}, is lowest",
        call_text("lowest", chord, own.name),
    )


def inversion(chord: str, turn: str) -> Stated:
    """State in which inversion a chord is: "root position", "first", "second", "third"."""
    whole = heard(chord)
    word = turn.strip().removesuffix(" inversion").removesuffix(" position")
    if whole.chord is None or word not in TURNS:
        raise LessonError(
            f"{turn!r} is not an inversion" if whole.chord else f"{whole.name} is a scale",
            rule="root position, or first, second or third inversion of a chord",
            mend='inversion("C6/A", "third")',
        )
    plain = whole.chord.over(None)
    tones = [note.pitch_class for note in plain.tones]
    bass = whole.chord.bass
    place = tones.index(bass.pitch_class) if bass.pitch_class in tones else -1
    own = "" if not 0 <= place < len(TURNS) else TURNS[place]

    def said(word: str) -> str:
        return f"in {word} {'position' if word == 'root' else 'inversion'}"

    why = f"its {ordinal_tone(plain, bass)}, {bass.plain().unicode}, is lowest"
    foreign = f"its bass, {bass.plain().unicode}, is not one of its tones"
    return Stated(
        own == word,
        f"{whole.name}: {said(own)[3:] if own else 'non-chord bass'}",
        f"{whole.name} is {plain.unicode} {said(word)}",
        f"{whole.name} is not {plain.unicode} {said(word)}",
        why if place >= 0 else foreign,
        call_text("inversion", chord, own) if own else "",
    )


def ordinal_tone(chord: Chord, note: Note) -> str:
    """Return the place of a note in its chord: ``"flat seventh"``; ``"bass"`` of a foreign one."""
    return degree_word(chord, note.pitch_class).removeprefix("the ") or ordinal(1)


def semitones_apart(first: str, second: str, semitones: int) -> Stated:
    """State how many semitones two chords are apart, all voices together."""
    a, b = heard(first), heard(second)
    found = int(distance(a.pcs, b.pcs))
    said = in_words(semitones, "half step")
    return Stated(
        found == semitones,
        f"{a.name} to {b.name}: {in_words(found, 'half step')}",
        f"From {a.name} to {b.name} the voices move {said} in all",
        f"{a.name} and {b.name} are not {said.replace('no ', '0 ')} apart",
        "the smallest total over all pairings of the notes"
        if found == semitones
        else f"they are {found} apart, all voices together",
        call_text("semitones_apart", first, second, found),
    )


def common_notes(first: str, second: str, *notes: str) -> Stated:
    """State what notes two chords have in common: these and no others."""
    a, b = heard(first), heard(second)
    said = {Note.parse(note).pitch_class for note in notes}
    if a.chord is not None and b.chord is not None:
        common = [note.plain() for note in common_tones(a.chord, b.chord)]
    else:
        common = [note for note in a.notes if note.pitch_class in b.pcs]
    found = join_words([note.unicode for note in common]) or "no note"
    right = {note.pitch_class for note in common} == said
    wrong = join_words([Note.parse(note).unicode for note in notes]) or "no note"
    just = f"do not share just {wrong}" if notes else "have notes in common"
    return Stated(
        right,
        f"{a.name}, {b.name}: {found}",
        f"{a.name} and {b.name} share {found if right else wrong}",
        f"{a.name} and {b.name} {just}",
        f"{a.name} is {a.spelled}; {b.name} is {b.spelled}" if right else f"they share {found}",
        call_text("common_notes", first, second, *(note.name for note in common)),
    )


def set_class(chord: str, name: str) -> Stated:
    """State the set class of a chord by its Forte number."""
    whole = heard(chord)
    own = (whole.pcs.forte_name, whole.pcs.tn_name)
    holds = name in own
    return Stated(
        holds,
        f"{whole.name}: {own[0]}",
        f"{whole.name} is a member of set class {name}",
        f"{whole.name} is not a member of {name}",
        f"prime form of {' '.join(map(str, whole.pcs))}"
        if holds
        else f"{whole.spelled} are {' or '.join(dict.fromkeys(own))}",
        call_text("set_class", chord, own[0]),
    )


def alternates(first: str, second: str) -> Stated:
    """State that two chords alternate in a scale, one note of each."""
    a, b = heard(first), heard(second)
    right = alternation.alternate(a.pcs, b.pcs)
    first_pc = a.notes[0].pitch_class
    scale = sorted((*a.notes, *b.notes), key=lambda n: (n.pitch_class - first_pc) % 12)
    spelled = join_words([note.unicode for note in scale])
    both = [a.spell(pc) for pc in a.pcs & b.pcs]
    clash = f"both have {join_words(both)}" if both else f"in order their notes are {spelled}"
    return Stated(
        right,
        f"{a.name}, {b.name} {'alternate' if right else 'do not alternate'}",
        f"{a.name} and {b.name} alternate in a scale of {number(len(scale))} notes",
        f"{a.name} and {b.name} do not alternate in a scale",
        spelled if right else clash,
    )


def all_twelve(*chords: str) -> Stated:
    """State that some chords have all twelve notes between them, each once."""
    parts = [heard(chord) for chord in chords]
    if len(parts) < 2:
        raise LessonError(
            "all_twelve names fewer than two chords", mend='all_twelve("C6", "Bdim7", "F#6")'
        )
    count = [sum(pc in part.pcs for part in parts) for pc in range(12)]
    right = all(each == 1 for each in count)
    told = join_words([part.name for part in parts])
    lost = [parts[0].spell(pc) for pc, each in enumerate(count) if not each]
    twice = [parts[0].spell(pc) for pc, each in enumerate(count) if each > 1]
    often = "twice" if max(count) == 2 else "more than once"
    wrong = [f"{join_words(lost)} {'is' if len(lost) == 1 else 'are'} missing"] if lost else []
    wrong += (
        [f"{join_words(twice)} {'comes' if len(twice) == 1 else 'come'} {often}"] if twice else []
    )
    return Stated(
        right,
        f"{' + '.join(part.name for part in parts)} {'=' if right else '≠'} 12",
        f"{told} have all twelve notes between them, each once",
        f"{told} do not have all twelve notes between them, each once",
        "; ".join(f"{part.name}: {part.spelled}" for part in parts) if right else "; ".join(wrong),
    )
