"""Questions of an essay, put by the engine of the exercises: asked, judged, told why."""

from functools import cache

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.practice.question import RIGHT, WRONG, Question, Seen, Spec, Verdict
from harmonykit.theory.chord import Chord, Note
from harmonykit.values import dataclass
from harmonykit.workbook.essay.figure import parts_for
from harmonykit.workbook.essay.text import EssayText, Moment, Section, parts_of
from harmonykit.workbook.essay.truths import find_answer

NOTES, CHORDS, NUMBER, LETTER = "notes", "chords", "number", "letter"


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the answers that can be given.

    Parameters
    ----------
    typed, printed : str
    parts : tuple of str
        Where it can be pressed on the figure.
    """

    typed: str
    printed: str
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """A section with its question, put by the engine of the exercises."""

    section: Section
    question: Question
    choices: tuple[Choice, ...]

    @property
    def right(self) -> Choice:
        """The choice that is right."""
        return next(each for each in self.choices if each.typed == self.question.answer)

    def judge(self, answer: str) -> Verdict:
        """Return what is said of an answer, by whatever name it is given.

        Raises
        ------
        HarmonyError
            If it is not one of the choices.
        """
        return self.question.judge(answer)


@cache
def ask_all(essay: EssayText) -> tuple[Asked, ...]:
    """Return the questions of an essay, in order.

    Examples
    --------
    >>> from harmonykit.workbook.essay.text import read_essay
    >>> first = ask_all(read_essay("four_parents"))[0]
    >>> first.right.printed, first.judge("A").score
    ('D', 0.0)
    """
    return tuple(_ask(essay, number, section) for number, section in enumerate(essay.sections, 1))


def _ask(essay: EssayText, number: int, section: Section) -> Asked:
    form = _form(section)
    choices = tuple(_choice(typed, form, section, essay.instrument) for typed in section.choices)
    answer = find_answer(section.truth, section.choices, essay.instrument)
    spec = Spec(f"essay {essay.name}", number, section.truth.split()[0])
    text = "".join(
        each if isinstance(each, str) else each.chord.unicode
        for each in parts_of(section.text, essay.instrument)
    )
    seen = _seen(section.told)

    def judge(given: str) -> Verdict:
        typed = _given(given, choices)
        if typed == answer:
            return Verdict(RIGHT, section.reason, seen)
        return Verdict(WRONG, f"{section.reason} {section.said_of(typed)}", seen)

    question = Question(spec, text, form, answer, (), _seen(section.asked), judge, essay.instrument)
    return Asked(section, question, choices)


def _seen(moment: Moment) -> Seen:
    was = moment.was
    return Seen(
        notes=moment.now.chord.pcs,
        chord=moment.now.chord if moment.named else None,
        shape=moment.now.shape,
        old=was.chord if was else None,
        before=was.shape if was else None,
    )


_NAMES = {"root", "goes", "string-sounds", "scale-root"}
_SYMBOLS = {
    "called", "diminished-of", "comes-in", "keeps-guide-tones", "has-no-scale", "largest-move",
    "same-class", "plr", "between", "greatest-part",
}  # fmt: skip
_ROWS = {"steps", "steps-together", "next-shape"}


def _form(section: Section) -> str:
    truth = section.truth.split()[0]
    if truth in _NAMES:
        return NOTES
    if truth in _SYMBOLS:
        return CHORDS
    return LETTER if truth in _ROWS else NUMBER


def _choice(typed: str, form: str, section: Section, instrument: Instrument) -> Choice:
    if form == NOTES:
        note = Note.parse(typed)
        return Choice(typed, note.unicode, parts_for(note.pitch_class, section.asked, instrument))
    if form == CHORDS:
        return Choice(typed, Chord.parse(typed).unicode)
    return Choice(typed, typed)


def _given(given: str, choices: tuple[Choice, ...]) -> str:
    """Return the choice that an answer is, as it is typed here."""
    said = given.strip()
    for each in choices:
        if said in (each.typed, each.printed) or said in each.parts:
            return each.typed
    raise HarmonyError(
        f"{said!r} is not one of the choices", mend=", ".join(each.typed for each in choices)
    )
