"""What a page offers as answers to a question: the right one, and some that a student would give.

A question is judged as text (``practice.question``), so each offer is a line of text, which the
question itself judges and gives its reason for.  Two offers that are both right never stand in one
list.
"""

from collections.abc import Iterable, Iterator

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.frettings import write_digits
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.practice.question import HALF, RIGHT, Chance, Question, Verdict
from harmonykit.practice.smoother import LETTERS
from harmonykit.practice.wording import read_chords, read_move, read_notes
from harmonykit.theory.chord import Chord, Note
from harmonykit.theory.spelling import usual_root
from harmonykit.values import dataclass

MOST = 4
# Semitones between roots of chords that are taken for one another: first the minor thirds, which
# share most notes of a diminished seventh, then fifths and steps.
_NEAR = (3, 6, 9, 5, 7, 10, 2, 11, 1)
_OTHER_KINDS = {"7": ("maj7", "m7"), "m7": ("6", "7"), "6": ("m7", "maj7"), "dim7": ("m7b5", "7")}


@dataclass(frozen=True, slots=True)
class Offer:
    """One answer that can be chosen.

    Parameters
    ----------
    text : str
        As one would type it.
    label : str
        As it is printed.
    verdict : Verdict
    at : int
        The pitch class or the string where it is pressed; -1 for a button.
    """

    text: str
    label: str
    verdict: Verdict
    at: int = -1

    @property
    def is_right(self) -> bool:
        """Whether it is right."""
        return self.verdict.score == RIGHT


def offers_of(question: Question) -> tuple[Offer, ...]:
    """Return the answers that a page offers, in the order in which they are shown.

    Returns
    -------
    tuple of Offer
        Empty where a question cannot be put this way.

    Examples
    --------
    >>> from harmonykit.practice.kinds import ask
    >>> from harmonykit.practice.question import Spec
    >>> [offer.label for offer in offers_of(ask(Spec("harbour", 4, "parents")))]
    ['B♭7', 'G7', 'D♭7', 'E7']
    """
    match question.form:
        case "notes" if question.spec.medium == "clock":
            return _on_the_clock(question)
        case "shape" if question.seen.shape is not None:
            return _on_the_strings(question, question.seen.shape)
        case "letter":
            number = (len(question.sounds) + 1) // 3
            return tuple(_judged(question, LETTERS[:number]))
        case "number":
            return _numbers(question)
    if question.choices:
        return tuple(_judged(question, question.choices))
    return _listed(question)


def _judged(
    question: Question, texts: Iterable[str], at: int = -1, label: str = ""
) -> Iterator[Offer]:
    """Yield offers that can be read; each is printed as it reads where no label is given."""
    for text in texts:
        try:
            yield Offer(text, label or printed(question, text), question.judge(text), at)
        except HarmonyError:
            continue


def _on_the_clock(question: Question) -> tuple[Offer, ...]:
    """Return the twelve notes; where several are asked for, those of the answer are right."""
    right = {note.pitch_class: note for note in read_notes(question.answer)}
    found: list[Offer] = []
    for pc in range(12):
        note = right.get(pc) or usual_root(pc)
        several = len(right) > 1
        text = question.answer if several and pc in right else note.name
        found += _judged(question, [text], pc, note.unicode)
    return tuple(found)


def _on_the_strings(question: Question, shape: Voicing) -> tuple[Offer, ...]:
    """Return a string each: the finger on it moves as the right one does."""
    goal = Voicing.parse(question.answer, shape.instrument)
    by = next(b - a for a, b in _frets(shape, goal) if a != b)
    found: list[Offer] = []
    for string, fret in enumerate(shape.frets):
        if fret is not None and fret + by >= 0:
            frets = [fret + by if n == string else f for n, f in enumerate(shape.frets)]
            text = write_digits(tuple(frets))
            found += _judged(question, [text], string, shape.instrument.labels[string])
    return tuple(found) if sum(offer.is_right for offer in found) == 1 else ()


def _frets(shape: Voicing, goal: Voicing) -> list[tuple[int, int]]:
    pairs = zip(shape.frets, goal.frets, strict=True)
    return [(a, b) for a, b in pairs if a is not None and b is not None]


def _numbers(question: Question) -> tuple[Offer, ...]:
    right = int(question.answer)
    low = max(0, right - Chance(question.text).below(MOST))
    return tuple(_judged(question, map(str, range(low, low + MOST))))


def _listed(question: Question) -> tuple[Offer, ...]:
    """Return the right answer among others, mixed."""
    right = next(_judged(question, [question.answer]), None)
    if right is None:
        return ()
    wrong: dict[str, Offer] = {}
    for offer in _judged(question, _others(question)):
        if offer.verdict.score <= HALF and offer.label != right.label:
            wrong.setdefault(offer.label, offer)
    found = [right, *list(wrong.values())[: MOST - 1]]
    return tuple(Chance(question.text).shuffled(found)) if len(found) > 1 else ()


def printed(question: Question, answer: str) -> str:
    """Return an answer as printed; as it was written where it cannot be read.

    Examples
    --------
    >>> from harmonykit.practice.kinds import ask
    >>> from harmonykit.practice.question import Spec
    >>> printed(ask(Spec("quay", 1, "moved", "ear")), "Ab to G"), printed(
    ...     ask(Spec("quay", 1, "parents")), "c#7"
    ... )
    ('A♭ to G', 'C♯7')
    """
    try:
        if question.form == "chords":
            return ", ".join(chord.unicode for chord in read_chords(answer))
        if question.form == "notes":
            return " ".join(note.unicode for note in read_notes(answer))
        if question.form == "move":
            return " to ".join(note.unicode for note in read_move(answer))
    except HarmonyError:
        pass
    return answer


def _others(question: Question) -> Iterator[str]:
    match question.form:
        case "chords":
            yield from _other_chords(question)
        case "notes":
            yield from _other_notes(question)
        case "move":
            yield from _other_moves(question)
        case "shape":
            yield from _other_shapes(question)


def _other_chords(question: Question) -> Iterator[str]:
    """Yield the chords that are named in the question, then those near the right one."""
    chords = read_chords(question.answer)
    if len(chords) > 1:
        return
    chord = chords[0]
    mixed = Chance(question.text).shuffled(_NEAR[:3])
    for step in (*mixed, *_NEAR[3:]):
        yield Chord.of(usual_root((chord.root.pitch_class + step) % 12), chord.quality).symbol
    for kind in _OTHER_KINDS.get(chord.quality, ("7", "m7")):
        yield Chord.of(chord.root, kind).symbol


def _other_notes(question: Question) -> Iterator[str]:
    """Yield answers in which one note is a half step off or spelled otherwise."""
    notes = read_notes(question.answer)
    if len(notes) == 1:
        given = question.seen.notes if question.spec.kind == "scale" else ()
        for step in (11, 1, 6, 5, 7, 2, 10, 3, 9, 4, 8):
            if (notes[0].pitch_class + step) % 12 not in given:
                yield usual_root((notes[0].pitch_class + step) % 12).name
        return
    places = Chance(question.text).shuffled(range(len(notes)))
    for step, order in ((0, places), (1, places), (11, places), (1, places[::-1])):
        for place in order:
            other = usual_root((notes[place].pitch_class + step) % 12)
            if step == 0:
                other = _respelled(notes[place])
            names = [other.name if n == place else note.name for n, note in enumerate(notes)]
            if len(set(names)) == len(names):
                yield " ".join(names)
                break


def _respelled(note: Note) -> Note:
    """Return another usual name of a note, or the same where it has none."""
    for flats in (True, False):
        found = Note.from_midi(60 + note.pitch_class, flats=flats).at(None)
        if found.name != note.name:
            return found
    return note


def _other_moves(question: Question) -> Iterator[str]:
    start, _, end = question.answer.partition(" to ")
    chord = question.seen.chord
    if chord is None:
        return
    by = (Note.parse(end).pitch_class - Note.parse(start).pitch_class + 6) % 12 - 6
    others = [note for note in chord.tones if note.name != start]
    for note in Chance(question.text).shuffled(others):
        yield f"{note.name} to {usual_root((note.pitch_class + by) % 12).name}"
    note = Note.parse(start)
    yield f"{start} to {usual_root((note.pitch_class - by) % 12).name}"


def _other_shapes(question: Question) -> Iterator[str]:
    """Yield shapes that differ from the right one by a fret on one string."""
    shape = Voicing.parse(question.answer, question.instrument)
    chance = Chance(question.text)
    steps = [(string, by) for string in range(len(shape.frets)) for by in (1, -1)]
    for string, by in chance.shuffled(steps):
        fret = shape.frets[string]
        if fret is not None and fret + by >= 0:
            frets = [fret + by if n == string else f for n, f in enumerate(shape.frets)]
            yield write_digits(tuple(frets))
