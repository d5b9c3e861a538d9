"""The state of someone who is asked: what was set, written and reached, and what follows from it.

All of it is pure.  Which kind comes next follows from seed and number: each round has every kind
once, in an order of its own; what is due comes before it: the ten of a day, and what was missed.
The level is that of one's standing with the kind.
"""

from typing import Any

from harmonykit.about.names import count
from harmonykit.errors import HarmonyError
from harmonykit.practice import question
from harmonykit.practice.choices import printed
from harmonykit.practice.day import asked_about, contrast
from harmonykit.practice.kinds import KINDS, USUAL, ask
from harmonykit.practice.question import Chance, Question, Spec, Verdict
from harmonykit.practice.sitting import UP_AFTER, Sitting, Standing
from harmonykit.practice.theme import Theme
from harmonykit.practice.wording import LONGEST
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words

ALL, TODAY, ANY = "all in turn", "ten for today", "any way"
SAID = {"words": "in words", "clock": "on the clock", "neck": "on the neck", "ear": "by ear"}
LONGEST_SEED = 60


@dataclass(frozen=True, slots=True)
class ExerciseState:
    """What is asked, what was written, and how one stands.

    Parameters
    ----------
    seed : str
    number : int
        Which question of the seed, from 1.
    kind, medium, level
        As in ``Spec``.
    answer : str
        What stands in the answer's line.
    hints : int
        How many were taken.
    checked : bool
        Whether the answer as it stands was checked.
    counted : bool
        Whether an answer to this question has counted; only the first one does.
    only : str
        The kind that is wanted, or "all in turn".
    way : str
        The medium that is wanted, or "any way".
    instrument : str
    standings : tuple of str
        ``"parents:2.1.0"``: how one stands with a kind.
    student : str
        Who works through a set.
    about : str
        What the question is to be about; anything where empty.
    pair : str
        Two that were taken for each other, one of which is the answer: ``"G7~E7"``.
    due : tuple of str
        What is still to be asked, as ``Sitting`` writes it.
    yours : bool
        Whether the answer that was given is seen, in place of the right one.
    """

    seed: str = "quay"
    number: int = 1
    kind: str = "parents"
    medium: str = "words"
    level: int = 1
    answer: str = ""
    hints: int = 0
    checked: bool = False
    counted: bool = False
    only: str = ALL
    way: str = ANY
    instrument: str = "ukulele"
    standings: tuple[str, ...] = ()
    student: str = ""
    about: str = ""
    pair: str = ""
    due: tuple[str, ...] = ()
    yours: bool = False

    def __post_init__(self) -> None:
        if self.kind not in KINDS or self.only not in (ALL, TODAY, *KINDS):
            raise HarmonyError(f"unknown exercise {self.kind!r}", mend=", ".join(KINDS))
        if self.way not in (ANY, *question.MEDIA):
            raise HarmonyError(
                f"unknown way of asking {self.way!r}", mend=", ".join(question.MEDIA)
            )
        if len(self.answer) > LONGEST:
            raise HarmonyError("the answer is too long", rule=f"{LONGEST} characters at most")
        if len(self.seed) > LONGEST_SEED:
            raise HarmonyError("the seed is too long", rule=f"{LONGEST_SEED} characters at most")
        if not self.seed.isprintable() or ";" in self.seed or self.seed != self.seed.strip():
            raise HarmonyError(
                f"{self.seed!r} is not a seed", rule="a few words without a semicolon"
            )
        if self.number < 1 or self.hints < 0:
            raise HarmonyError(f"unknown question {self.number}", rule="questions count from 1")

    @property
    def spec(self) -> Spec:
        """What the question follows from."""
        return Spec(self.seed, self.number, self.kind, self.medium, self.level)

    def standing(self, kind: str) -> Standing:
        """Return how one stands with a kind."""
        found = (each.partition(":") for each in self.standings)
        return next((Standing.parse(text) for name, _, text in found if name == kind), Standing())


_MOST_AHEAD = 24
_PAIR = "~"


@dataclass(frozen=True, slots=True)
class Asked:
    """What a state comes to: the question, and what is said of the answer once it is checked."""

    state: ExerciseState
    question: Question
    verdict: Verdict | None

    @property
    def hints(self) -> tuple[str, ...]:
        """The hints that were taken."""
        return self.question.hints[: self.state.hints]

    @property
    def facts(self) -> str:
        """A few lines that say all: the answer, hints, the verdict, how one stands."""
        total, given = len(self.question.hints), self.state.answer
        lines = [f"Your answer: {given}"] if given and not self.missed else []
        lines += [f"Hint {n} of {total}: {hint}" for n, hint in enumerate(self.hints, 1)]
        lines += [self.verdict.said] if self.verdict else []
        if self.missed:
            yours, right = (printed(self.question, each) for each in (given, self.question.answer))
            lines.append(f"Yours: {yours}. Right: {right}.")
        return "\n".join([*lines, self.standing])

    @property
    def missed(self) -> bool:
        """Whether the answer was checked and is not right."""
        return self.verdict is not None and self.verdict.score < question.RIGHT

    @property
    def standing(self) -> str:
        """One line that says how one stands with this kind."""
        state = self.state
        now = state.standing(state.kind)
        onward = f"{now.right} of {UP_AFTER} right in a row for the next"
        if now.level == question.LEVELS:
            onward = "the highest"
        how = f"asked {SAID[state.medium]}"
        return (
            f"Question {state.number}: {KINDS[state.kind].title}, {how}, level {state.level}; "
            f"you are at level {now.level}, {onward}.{self._today}"
        )

    @property
    def _today(self) -> str:
        """How many of the ten of today are still to come."""
        if self.state.only != TODAY:
            return ""
        left = len(Sitting.parse(self.state.due).due)
        return f" {count(left, 'question')} of today's to come."


def compute(state: ExerciseState, theme: Theme) -> Asked:
    """Return what a state comes to.

    Raises
    ------
    HarmonyError
        If the question cannot be asked, or a checked answer cannot be read.

    Examples
    --------
    >>> asked = compute(first(ExerciseState(only="scale", way="words"), Theme()), Theme())
    >>> print(asked.question.text)
    Complete F major sixth-diminished: F G A B♭ C ? D E. Write the note that is missing.
    >>> asked.verdict is None
    True
    """
    asked = question_of(state, theme)
    return Asked(state, asked, asked.judge(state.answer) if state.checked else None)


def question_of(state: ExerciseState, theme: Theme) -> Question:
    """Return the question of a state."""
    if state.pair:
        one, _, other = state.pair.partition(_PAIR)
        item = question.item_name(state.kind, state.about, state.medium)
        found = contrast(item, (one, other), state.seed, state.level, theme)
        if found is not None:
            return found
    return ask(state.spec, replace(theme, about=state.about) if state.about else theme)


def first(state: ExerciseState, theme: Theme) -> ExerciseState:
    """Return a state with the question that its number, kind and way stand for.

    Where the instrument or the lesson has nothing of its kind, the next one that can be asked.

    Raises
    ------
    HarmonyError
        If the kind is not asked in this way, or none can be asked.
    """
    for number in range(state.number, state.number + _MOST_AHEAD):
        found = _at(replace(state, number=number), theme)
        try:
            question_of(found, theme)
        except HarmonyError as error:
            trouble = error
        else:
            return found
    raise trouble


def _at(state: ExerciseState, theme: Theme) -> ExerciseState:
    """Return a state with a question, whether or not it can be asked."""
    found = _due(state, theme)
    if found is not None:
        return found
    kind = state.only if state.only not in (ALL, TODAY) else _in_turn(state, theme)
    media = KINDS[kind].media
    chance = Chance(f"{state.seed}/{state.number}/{kind}/medium")
    medium = state.way if state.way != ANY else chance.pick(media)
    if medium not in media:
        raise HarmonyError(
            f"{KINDS[kind].title!r} cannot be asked {SAID[medium]}",
            mend=join_words([SAID[each] for each in media]),
        )
    level = state.standing(kind).level
    return replace(state, kind=kind, medium=medium, level=level, about="", pair="", **_UNANSWERED)


_UNANSWERED: dict[str, Any] = {
    "answer": "",
    "hints": 0,
    "checked": False,
    "counted": False,
    "yours": False,
}


def _due(state: ExerciseState, theme: Theme) -> ExerciseState | None:
    """Return the state with what is due as this question, if anything is that can be asked."""
    sitting = Sitting.parse(state.due)
    while (due := sitting.at(state.number)) is not None:
        kind, about, medium = question.read_item(due.item)
        wanted = state.only in (ALL, TODAY, kind) and state.way in (ANY, medium)
        sitting = sitting.without(due)
        level = state.standing(kind).level
        found = asked_about(due.item, state.seed, state.number, level, theme)
        if not wanted or found is None:
            continue
        pair = due.pair if len(due.pair) == 2 else ()
        if pair and contrast(due.item, (pair[0], pair[1]), state.seed, level, theme) is None:
            pair = ()
        return replace(
            state,
            kind=kind,
            medium=medium,
            level=level if pair else found.spec.level,
            about=about,
            pair=_PAIR.join(pair),
            due=sitting.texts,
            **_UNANSWERED,
        )
    return None


def following(state: ExerciseState, theme: Theme) -> ExerciseState:
    """Return the state with the next question; one that was due and passed over comes back."""
    if state.about and not state.counted:
        item = question.item_name(state.kind, state.about, state.medium)
        sitting = Sitting.parse(state.due).after(state.number, item, question.WRONG)
        state = replace(state, due=sitting.texts)
    return first(replace(state, number=state.number + 1), theme)


def _in_turn(state: ExerciseState, theme: Theme) -> str:
    turns = theme.kinds or USUAL
    names = [name for name in turns if state.way in (ANY, *KINDS[name].media)]
    if not names:
        raise HarmonyError(f"none of these exercises is asked {SAID[state.way]}", mend=ANY)
    turn, place = divmod(state.number - 1, len(names))
    return Chance(f"{state.seed}/{turn}/kinds").shuffled(names)[place]


def hinted(state: ExerciseState, theme: Theme) -> ExerciseState:
    """Return the state with one more hint."""
    if state.hints >= len(question_of(state, theme).hints):
        raise HarmonyError("all hints are given", mend="write what you think, then check it")
    return replace(state, hints=state.hints + 1)


def checked(state: ExerciseState, theme: Theme) -> ExerciseState:
    """Return the state after a check: the first that can be read counts.

    Raises
    ------
    HarmonyError
        If the answer cannot be read: then nothing counts.
    """
    asked = question_of(state, theme)
    try:
        verdict = asked.judge(state.answer)
    except HarmonyError as error:
        like = f"; you can type: {error.mend}" if error.mend else ""
        raise HarmonyError(
            f"{error.what}, so nothing is counted{like}", place=error.place, rule=error.rule
        ) from None
    if state.counted:
        return replace(state, checked=True)
    now = state.standing(state.kind).after(verdict.score, state.hints)
    others = [each for each in state.standings if each.partition(":")[0] != state.kind]
    sitting = Sitting.parse(state.due)
    taken = (asked.answer, *verdict.instead[:1])
    alone = asked.form in ("move", "number") or " " not in asked.answer
    pair = taken if alone and len(taken) == 2 else ()
    return replace(
        state,
        checked=True,
        counted=True,
        standings=tuple(sorted([*others, f"{state.kind}:{now}"])),
        due=sitting.after(state.number, asked.item, verdict.score, pair).texts,
    )
