"""The statements of a lesson's text by name: each judged, and what is proved kept as a fact.

``Statements(front, played)`` knows the lesson that they stand in; ``functions.Functions`` has the
other calls besides.
"""

import re
from collections.abc import Callable, Iterable
from functools import partial, wraps
from typing import Any

from harmonykit.arrange.arrangement import Arrangement
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.ideas.finding import Finding
from harmonykit.lesson.plan.model import Fact, Front, LessonError, Played
from harmonykit.lesson.statements import claims, counted, every_root, facts, kinds, quantified
from harmonykit.lesson.statements.calls import Function
from harmonykit.lesson.statements.counted import holding, melody_over
from harmonykit.lesson.statements.groups import Around
from harmonykit.lesson.statements.kinds import Stated, Untrue
from harmonykit.lesson.statements.signature import Given, check_arguments
from harmonykit.words.former import FORMER

Judged = Stated | facts.Proved
Argument = str | int | float | bool


class Statements:
    """What a lesson's text may state."""

    def __init__(self, front: Front, played: tuple[Played, ...]) -> None:
        self.front, self.played = front, played
        self.facts: list[Fact] = []
        self.line = 0

    def at_line(self, line: int) -> None:
        """Take note of the line that the next call stands in."""
        self.line = line

    def statements(self) -> dict[str, Callable[..., Judged]]:
        """Return the statements by name; each gives a sentence and its proof, or raises."""
        return stated(self)

    def judge(self, statement: str, *about: Argument) -> Stated:
        """Return a statement judged, by its name.

        Raises
        ------
        LessonError
            If it is unknown or cannot be read; not where it does not hold.
        """
        known = self.statements()
        name = FORMER["call"].get(statement, statement)
        if name not in known:
            raise LessonError(f"{statement!r} is not a statement", mend=", ".join(sorted(known)))
        check_arguments(name, known[name], [Given(each) for each in about])
        return _judged(known[name], *about)

    def _keep(self, judged: Stated, *, silent: bool = False) -> Stated:
        """Take a statement among the facts; refuse one that does not hold."""
        sentence, proof = facts.proved(judged)
        self.facts.append(Fact(sentence, proof, self.line, silent))
        return judged

    def _stated(self, prove: Callable[..., Judged]) -> Function:
        @wraps(prove)
        def state(*args: Any, **keywords: Any) -> str:
            return self._keep(_judged(prove, *args, **keywords)).sentence

        return state

    def proved(self, statement: str, *about: Argument) -> str:
        """Check a statement and print nothing: what the teacher says in words of their own."""
        self._keep(self.judge(statement, *about), silent=True)
        return ""

    def label(self, statement: str, *about: Argument) -> str:
        """Check a statement and put in its shortest wording: for a table, a list, a heading."""
        return self._keep(self.judge(statement, *about)).label

    def _not_so(self, statement: str, *about: Argument) -> Stated:
        """State that a statement does not hold, with the counter-example as its proof."""
        found = self.judge(statement, *about)
        mend = kinds.call_text(statement, *about)
        denied = found.denied[:1].upper() + found.denied[1:]
        return Stated(not found.holds, found.label, denied, found.said, found.reason, mend)

    def _because(self, statement: str, *about: Argument) -> Stated:
        """State something with its reason."""
        found = self.judge(statement, *about)
        if not found.holds:
            return found
        return Stated(found.holds, found.label, found.long[:-1], found.denied, found.reason)

    def _every(self, of: str, says: str, *about: str | int) -> Stated:
        """State that all of a group have a property."""
        return quantified.every(self._around, of, says, *about)

    def _some(self, of: str, says: str, *about: str | int) -> Stated:
        """State that one of a group at least has a property."""
        return quantified.some(self._around, of, says, *about)

    def _none(self, of: str, says: str, *about: str | int) -> Stated:
        """State that none of a group has a property."""
        return quantified.none(self._around, of, says, *about)

    def _most(self, of: str, says: str, *about: str | int) -> Stated:
        """State that more than half of a group have a property."""
        return quantified.most(self._around, of, says, *about)

    def _just(self, number: int, of: str, says: str, *about: str | int) -> Stated:
        """State that exactly so many of a group have a property, and which."""
        return quantified.just(self._around, number, of, says, *about)

    @property
    def _around(self) -> Around:
        return Around(self.front.instrument, self.front.tune, self._arranged)

    def _sounds(self, frets: str = "", chord: str = "") -> facts.Proved:
        """State that a shape sounds all the tones of a chord and nothing else."""
        shape = self._voicing(frets)
        return facts.sounds(shape.instrument, shape.digits, chord or self.front.shape_chord.symbol)

    def _repeats(self, up: int, frets: str = "") -> facts.Proved:
        """State that a shape moved up the neck sounds the same notes again."""
        shape = self._voicing(frets)
        return facts.repeats(shape.instrument, shape.digits, up)

    def _strings_move(self, before: str, after: str) -> facts.Proved:
        """State how many strings stay and how many move from one shape to another."""
        return counted.strings_move(self._voicing(before), self._voicing(after))

    def _bars_of(self, chord: str) -> facts.Proved:
        """State in which bars of the tune a chord sounds."""
        return counted.bars_of(self.front.tune, chord)

    def _melody_over(self, chord: str) -> facts.Proved:
        """State which notes the melody has over a chord of the tune, and in which bars."""
        return melody_over(self.front.tune, chord)

    def _added(self, level: int) -> facts.Proved:
        """State how many chords a level adds, and in which bars."""
        return counted.added(self._arranged(level), level)

    def _half_step_below(self, level: int) -> facts.Proved:
        """State how many added chords have their root a half step below the root that follows."""
        return counted.half_step_below(self._arranged(level), level)

    def _prepared(self, level: int) -> facts.Proved:
        """State how many chords of the tune have an added chord just before them."""
        return counted.prepared(self._arranged(level), level)

    def _strings_stay(self, level: int, strings: int = 2) -> facts.Proved:
        """State in how many changes of shape so many strings stay on their frets, or more."""
        return counted.strings_stay(self._arranged(level), level, strings)

    def _highest_fret(self, level: int) -> facts.Proved:
        """State the highest fret that a level uses."""
        return counted.highest_fret(self._arranged(level), level)

    def _shortest_chord(self, level: int) -> facts.Proved:
        """State how long the shortest chord of a level lasts at its tempo."""
        return counted.shortest_chord(self._arranged(level), level)

    def _arranged(self, level: int) -> Arrangement:
        return self.played[self._level(level)].arrangement

    def _voicing(self, frets: str = "") -> Voicing:
        """Return a shape; the lesson's own where none is named."""
        return Voicing.parse(frets, self.front.instrument) if frets else self.front.shape

    def _level(self, number: int) -> int:
        if not isinstance(number, int) or not 1 <= number <= len(self.played):
            raise LessonError(f"unknown level {number}", rule=f"1 to {len(self.played)}")
        return number - 1


def _judged(prove: Callable[..., Judged], *args: Any, **keywords: Any) -> Stated:
    """Return a statement judged, whether it is one that can fail or one that counts."""
    try:
        found = prove(*args, **keywords)
    except Untrue as error:
        what = error.what
        return Stated(
            holds=False, label=what, said="", denied=what, reason=error.rule, mend=error.mend
        )
    if isinstance(found, Stated):
        return found
    sentence, proof = found
    said = sentence.rstrip(".")
    return Stated(holds=True, label=_short(said), said=said, denied="", reason=proof)


def _short(sentence: str) -> str:
    """Return a sentence that counts as a label: without its level, its article and its stop."""
    said = re.sub(r" at level \d+", "", sentence)
    return re.sub(r"^(The|There (is|are) exactly) ", "", said)


_FREE: dict[str, Callable[..., Judged]] = {
    **every_root.ABOUT_CHORDS,
    "holds": kinds.holds,
    "how_many_notes": kinds.how_many_notes,
    "lowest": kinds.lowest,
    "inversion": kinds.inversion,
    "all_twelve": kinds.all_twelve,
    "exactly": every_root.how_many,
    "always": every_root.always,
    "chords_holding": holding,
}
# In the order in which the reference has them; what is not free of a lesson is a method.
_STATED = (
    *every_root.ABOUT_CHORDS, "holds", "how_many_notes", "lowest", "inversion", "all_twelve",
    "exactly", "always", *quantified.QUANTIFIERS, "not_so", "because", "sounds", "repeats",
    "strings_move", "bars_of", "melody_over", "chords_holding", "added", "half_step_below",
    "prepared", "strings_stay", "highest_fret", "shortest_chord",
)  # fmt: skip


def about_chords_alone() -> dict[str, Function]:
    """Return the statements that need no lesson, each with its sentence as its answer.

    Examples
    --------
    >>> about_chords_alone()["contains"]("C9", "Gm")
    'C9 contains Gm.'
    """

    def said(prove: Callable[..., Judged]) -> Function:
        return lambda *args, **keywords: facts.proved(_judged(prove, *args, **keywords))[0]

    return {name: wraps(prove)(said(prove)) for name, prove in _FREE.items()}


def statements_of(finding: Finding) -> tuple[str, ...]:
    """Return the calls that state what a finding says, where there are such statements.

    Examples
    --------
    >>> from harmonykit.ideas.finding import Teach
    >>> finding = Finding("twelve notes", "C6, B°7 and F♯6 hold all.", "", teach=Teach("C6"))
    >>> statements_of(finding)
    ('all_twelve("C6", "Bdim7", "F#6")',)
    """
    said = _WHEN.sub("", finding.statement)
    # Statements are about chords and scales: there is none about notes that have no name.
    unnamed = finding.teach.source[:1].isdigit()
    make = None if unnamed else _OF_FINDING.get(finding.kind)
    calls = make(finding.teach.source, said) if make else ()
    return tuple(kinds.call_text(str(name), *about) for name, *about in calls)


# The note that moves is not what comes of it.
_WHEN = re.compile(r" when [A-G][♭♯]? (?:rises|falls|does)\b")
_Calls = Iterable[tuple[str | int, ...]]


def _with_each(name: str, source: str, said: str) -> _Calls:
    """Yield a statement of the source with each chord that is named."""
    return [(name, source, each) for each in claims.pitches(said) if each != source]


def _holding(source: str, said: str) -> _Calls:
    """Yield what holds the source: keys or chords."""
    head, _, tail = said.partition(":")
    key = " major" if " key" in head else ""
    return [("contains", f"{each}{key}", source) for each in claims.pitches(tail)]


def _resolving(source: str, said: str) -> _Calls:
    _, resolves, goals = said.rpartition(" resolves to ")
    return [("resolves_to", source, each) for each in claims.pitches(goals)] if resolves else []


def _alternating(source: str, said: str) -> _Calls:
    if "kinds" in said:
        return [("exactly", "alternating kinds", 5)]
    return list(_with_each("alternates", source, said))[:1]


_OF_FINDING: dict[str, Callable[[str, str], _Calls]] = {
    "same notes": lambda source, said: (
        [] if " over " in said else _with_each("same_notes", source, said)
    ),
    "alternates": _alternating,
    "twelve notes": lambda _, said: [("all_twelve", *claims.pitches(said))],
    "turns into": partial(_with_each, "turns_into"),
    "kin": partial(_with_each, "turns_into"),
    "resolves": _resolving,
    "tritone pairs": lambda _source, _said: [("always", "tritone pairs")],
    "within": _holding,
    "contains": lambda source, said: _with_each("contains", source, said.partition(":")[2]),
}


def stated(of: Statements | type[Statements]) -> dict[str, Callable[..., Judged]]:
    """Return the statements by name: of a lesson, or unbound, for what is said about them."""
    return {name: _FREE[name] if name in _FREE else getattr(of, f"_{name}") for name in _STATED}
