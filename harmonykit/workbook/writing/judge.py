"""Every call of a lesson's text judged: proved, put in, not true, of no use, or still waited for.

An answer is remembered by what is called, so that typing asks again only for what was changed.  A
call that cannot be answered does not stop the others: a mark takes its place, and the verdict says
what is wrong, where, and what would work.
"""

from collections.abc import Callable, Iterator
from typing import NoReturn, get_type_hints

from harmonykit.errors import HarmonyError, Place
from harmonykit.lesson.plan.model import LessonError, Played, Text
from harmonykit.lesson.statements.calls import Answer, answer_call, placed
from harmonykit.lesson.statements.functions import Functions
from harmonykit.values import dataclass, field, replace

PROVED, PUT_IN, FALSE, USELESS, WAITS = (
    "proved", "shown", "fails", "cannot be used", "in progress",
)  # fmt: skip
COMING = Text("*In progress.*")
# As much of a long line as stands beside its fault.
_AROUND = 36


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came of one call.

    Parameters
    ----------
    line, column : int
        Counted from 1, in the text.
    source : str
        The call, without its braces.
    kind : str
        ``PROVED``, ``PUT_IN``, ``FALSE``, ``USELESS`` or ``WAITS``.
    said : str
        The sentence that was proved, or what is wrong.
    how : str
        How it was proved, or the rule that is broken: of a false statement the counter-example.
    mend : str
        The nearest thing that works.
    text : str
        The line with the fault, cut to what stands around it.
    caret : int
        Where in ``text`` the fault is.
    """

    line: int
    column: int
    source: str
    kind: str
    said: str = ""
    how: str = ""
    mend: str = ""
    text: str = ""
    caret: int = 0

    @property
    def wrong(self) -> bool:
        """Whether something has to be mended."""
        return self.kind in (FALSE, USELESS)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a call gave, wherever it stands: an answer with what it proves, or an error."""

    answer: Answer
    proved: tuple[tuple[str, str], ...] = ()
    error: HarmonyError | None = None


Memory = dict[str, Outcome]


class NotYet(Exception):
    """Something takes too long to be had at once."""


class Unplayed(tuple[Played, ...]):
    """Levels that are not arranged yet: who asks for one is told so."""

    def __len__(self) -> NoReturn:
        raise NotYet

    def __iter__(self) -> Iterator[Played]:
        raise NotYet

    def __getitem__(self, index: object) -> NoReturn:
        raise NotYet


@dataclass(slots=True)
class Judge:
    """Answers the calls of one text, and keeps the verdicts in order.

    Parameters
    ----------
    functions : Functions
        Of the lesson's header.
    memory : dict
        Outcomes by source; what is worked out is put in.
    patient : bool
        Whether figures and tables may be worked out; otherwise those not remembered are waited for.
    trouble : HarmonyError or None
        Why there are no levels, where none will come.
    told : callable
        Told how many calls were worked out; what it raises ends the reading.
    """

    functions: Functions
    memory: Memory
    patient: bool
    trouble: HarmonyError | None = None
    told: Callable[[int], None] = lambda _: None
    verdicts: list[Verdict] = field(default_factory=list)
    waits: set[str] = field(default_factory=set)

    def answer(self, place: Place, source: str) -> Answer:
        """Return what takes the place of a call."""
        call = source.strip()
        outcome = self.memory.get(call) or self._work_out(call)
        if outcome is None:
            self.waits.add(call)
            self.verdicts.append(_verdict(place, call, WAITS))
            # A statement may stand inside a sentence, where a block could not.
            return COMING if takes_time(call) else COMING.markdown
        if outcome.error is not None:
            kind = FALSE if self._states(call) else USELESS
            # The caret stands under the argument; the verdict is that of the call.
            verdict = verdict_of(placed(outcome.error, place), kind, call)
            self.verdicts.append(replace(verdict, column=place.column or 1))
            return mark(place)
        proved = [_verdict(place, call, PROVED, said, how) for said, how in outcome.proved]
        self.verdicts += proved or [_verdict(place, call, PUT_IN)]
        return outcome.answer

    def fault(self, error: LessonError) -> str:
        """Return what takes the place of a call that cannot stand where it does."""
        place = error.place or Place()
        if self.verdicts and self.verdicts[-1].line == place.line:
            # The figure that stands inside a sentence was put in a moment ago.
            self.verdicts = [
                each for each in self.verdicts if (each.line, each.column) != _spot(place)
            ]
        self.verdicts.append(verdict_of(error, USELESS))
        return mark(place)

    def _states(self, call: str) -> bool:
        name = call_name(call)
        return name == "proved" or name in self.functions.statements()

    def _work_out(self, call: str) -> Outcome | None:
        """Work out a call and remember what came of it; nothing where it has to wait."""
        if not self.patient and takes_time(call):
            return None
        try:
            outcome = self._outcome(call)
        except NotYet:
            if self.trouble is None:
                return None
            # It follows from the header, as all that is remembered does.
            outcome = Outcome("", error=self.trouble)
        self.memory[call] = outcome
        self.told(len(self.memory))
        return outcome

    def _outcome(self, call: str) -> Outcome:
        before = len(self.functions.facts)
        try:
            answer = answer_call(self.functions.table(), call)
        except HarmonyError as error:
            return Outcome("", error=error)
        except NotYet:
            raise
        except Exception as error:
            # An argument of a kind that nobody thought of; the page goes on.
            what = f"{call} has an argument that cannot be used"
            return Outcome("", error=LessonError(what, rule=f"{type(error).__name__}: {error}"))
        facts = self.functions.facts[before:]
        return Outcome(answer, tuple((fact.sentence, fact.proof) for fact in facts))


def call_name(call: str) -> str:
    """Return the name of what is called.

    Examples
    --------
    >>> call_name('clock("C6")')
    'clock'
    """
    return call.partition("(")[0].strip()


def takes_time(call: str) -> bool:
    """Whether a call makes a figure or a table: text and statements are there at once.

    Examples
    --------
    >>> takes_time('clock("C6")'), takes_time("words()"), takes_time('always("symmetry")')
    (True, False, False)
    """
    name = call_name(call)
    made = getattr(Functions, name, None) if name in Functions.PUT_IN else None
    return made is not None and get_type_hints(made)["return"] is not str


def mark(place: Place) -> str:
    """Return the words that stand where a call could not be answered."""
    return f"**[line {place.line} has to be corrected]**"


def verdict_of(error: HarmonyError, kind: str, source: str = "") -> Verdict:
    """Return an error that has a place as a verdict."""
    place = error.place or Place()
    verdict = _verdict(place, source, kind, error.what, error.rule, error.mend)
    text, caret = around(place.text, (place.column or 1) - 1)
    return replace(verdict, text=text, caret=caret)


def _verdict(
    place: Place, source: str, kind: str, said: str = "", how: str = "", mend: str = ""
) -> Verdict:
    return Verdict(*_spot(place), source, kind, said, how, mend)


def _spot(place: Place) -> tuple[int, int]:
    return place.line or 1, place.column or 1


def around(text: str, column: int) -> tuple[str, int]:
    """Return a line cut to what stands around a column, and the column in what is left.

    Examples
    --------
    >>> around("a short line", 2)
    ('a short line', 2)
    >>> text, column = around("x" * 100 + "!" + "y" * 100, 100)
    >>> len(text) < 80, text[column], text[0], text[-1]
    (True, '!', '…', '…')
    """
    plain = "".join(each if each.isprintable() else " " for each in text)
    start, end = max(0, column - _AROUND), column + _AROUND
    before, after = "…" if start else "", "…" if end < len(plain) else ""
    return f"{before}{plain[start:end]}{after}", column - start + len(before)
