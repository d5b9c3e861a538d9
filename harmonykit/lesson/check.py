'''A student's typed shapes, judged bar by bar against a level of a lesson.

The answer is a TOML file::

    format = 1
    level = 1                    # counted from 1
    shapes = """
    | 2212 | 0201 | 2212 | 2223 |
    """

Bars are in playing order, or each once as the tune's text or the handout has them; a pick-up or an
intro may be left out.  The order that fits best is taken.  Each bar
has one shape for each chord of the bar; a bar that is left empty (``| |``
on one line, or ``-``), and all bars after the last, are not judged.  Lines may hold any number of
bars, and ``||`` is one bar line.  ``%`` is the bar before once more; ``|: ... :|`` is played twice,
``:|x3`` three times.

Any shape that sounds the chord is right, not only the one on the sheet: every tone sounds, but for
those that players leave out (``shown.missing``), and nothing else does, and a hand can hold it.
'''

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.written import printed_numbers, written_bars
from harmonykit.errors import HarmonyError, Place
from harmonykit.files.toml import read_toml_file
from harmonykit.files.toml_places import TomlPlaces
from harmonykit.fretboard.hands.holding import fit
from harmonykit.fretboard.shapes.voicing import Instrument, Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.handout.once import print_once
from harmonykit.lesson.handout.text import spans
from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.plan.shown import Shown, missing
from harmonykit.theory.chord import Chord
from harmonykit.theory.naming import name_chords
from harmonykit.tune.bar import MOST_BARS
from harmonykit.values import dataclass
from harmonykit.words.numbers import counted, join_words

FORMAT = 1
_KEYS = {"format": int, "level": int, "shapes": str}
_KINDS = {int: "a whole number", str: "text in quotes"}
# A row of bars ends and the next begins: one bar line.
_ROWS = re.compile(r"\|[ \t]*\n\s*(?:\|+(?!:))?")
_TOKEN = re.compile(r":\|(?:x\d{1,4}(?=[\s|]|$))?|\|:|\|+(?!:)|[^\s|:]+|:")
_TIMES = 2
_TUNE = "tune"
# An answer that lacks one bar of so many was meant to be whole.
_FEW = 4


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said of one shape: the bar's number, what was asked and answered, and why not.

    A right one may lack what players leave out; ``lacking`` says so: ``"without its root"``.
    """

    bar: int
    asked: str
    answer: str
    fault: str = ""
    lacking: str = ""

    @property
    def right(self) -> bool:
        """Whether the shape is right."""
        return not self.fault


@dataclass(frozen=True, slots=True)
class Report:
    """All verdicts of an answer, in order.

    Parameters
    ----------
    level : str
        The name of the level.
    verdicts : tuple of Verdict
        One for each shape that was answered, or for a bar with too many or too few.
    empty : tuple of int
        The numbers of the bars that have chords and no answer.
    note : str
        How many bars were answered where others are there, and in which order they were read.
    """

    level: str
    verdicts: tuple[Verdict, ...]
    empty: tuple[int, ...] = ()
    note: str = ""

    @property
    def right(self) -> int:
        """How many shapes are right."""
        return sum(verdict.right for verdict in self.verdicts)

    @property
    def words(self) -> str:
        """How many shapes are right, in which bars one is not, and which bars have no answer."""
        said = f"{self.right} of {len(self.verdicts)} right"
        if wrong := sorted({each.bar for each in self.verdicts if not each.right}):
            said += f"; look again at {spans(wrong)}"
        empty = f"no answer yet: {spans(self.empty)}" if self.empty else ""
        return "; ".join(filter(None, (said, empty, self.note)))


def check_answer(lesson: str | Path, answer: str | Path) -> Report:
    """Judge the shapes of an answer's file against a level of a lesson.

    Parameters
    ----------
    lesson : str or Path
        A lesson file, or the bare name of one that ships.
    answer : str or Path
        A file with the level, the bars and the shapes of a student.

    Returns
    -------
    Report

    Raises
    ------
    HarmonyError
        For a lesson or an answer that cannot be read; a wrong shape is no error but a verdict.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> answer = Path(mkdtemp()) / "answer.toml"
    >>> _ = answer.write_text('format = 1\\nlevel = 1\\nshapes = "| 2212 | 0201 |"\\n')
    >>> report = hk.lesson.check_answer("stiff_dominant", answer)
    >>> report.level, report.right
    ('As written', 2)
    """
    values, places = _read(Path(answer))
    played = load_lesson(lesson).played
    level = values.get("level", 1)
    if not 1 <= level <= len(played):
        raise LessonError(
            f"unknown level {level}",
            place=places.key(("", 0, "level")),
            rule=f"1 to {len(played)}",
        )
    arrangement = played[level - 1].arrangement
    bars, orders = read_bars(values["shapes"]), list(_orders(arrangement))
    judged = [(order, list(_judge(arrangement, order, bars))) for order in orders]

    def fits(one: tuple[_Order, list[tuple[int, Verdict]]]) -> tuple[int, bool]:
        order, placed = one
        wrong = {place for place, verdict in placed if not verdict.right}
        beyond = max(0, len(bars) - order.count)
        return -len(wrong) - beyond, len(bars) == order.count

    order, placed = max(judged, key=fits)
    verdicts = tuple(verdict for _, verdict in placed)
    note = _counts(len(bars), order, orders, wrong=not all(each.right for each in verdicts))
    empty = _empty(arrangement, order.played(bars))
    return Report(played[level - 1].level.name, verdicts, empty, note)


@dataclass(frozen=True, slots=True)
class _Order:
    """An order in which bars may be answered: for each bar played its place, and what has it.

    Bars before ``first`` are left out.
    """

    where: str
    places: tuple[int, ...]
    first: int = 0

    @property
    def count(self) -> int:
        """How many bars it has."""
        return max(self.places) + 1 - self.first

    def played(self, bars: Sequence[list[str]]) -> list[list[str]]:
        """Return the bars of an answer in playing order."""
        return [
            bars[place] if 0 <= place < len(bars) else []
            for place in (place - self.first for place in self.places)
        ]


def _orders(arrangement: Arrangement) -> Iterator[_Order]:
    """Yield the orders of a tune's bars, each from its beginning, its first chord, and its intro.

    As played; each bar once, as the handout prints them and as the tune's text has them.
    """
    playing, texts = arrangement.tune.playing, dict[int, int]()
    for played in playing:
        texts.setdefault(id(played.bar), len(texts))
    orders = {
        _TUNE: tuple(range(len(playing))),
        "handout": print_once(arrangement, written_bars(arrangement)).places(arrangement),
        "text of the tune": tuple(texts[id(played.bar)] for played in playing),
    }
    sounds = [any(step.chord for step in steps) for steps in arrangement.bars()]
    begins = {0, sounds.index(True) if any(sounds) else 0, arrangement.tune.framing[0]}
    for begin in sorted(begins):
        for where, places in orders.items():
            if begin < len(playing):
                yield _Order(where, places, places[begin])


def _counts(count: int, order: _Order, orders: Sequence[_Order], *, wrong: bool) -> str:
    """Say how many bars were answered, where they are fewer or more than the order has."""
    lacking = order.count - count
    if lacking and order.where != _TUNE:
        return f"read as the bars of the {order.where}: {count} of {order.count}"
    if not wrong or not 0 < lacking <= order.count // _FEW:
        return ""
    has = {one.where: one.count for one in reversed(orders) if one.count != order.count}
    others = "".join(f", the {where} {bars}" for where, bars in has.items())
    return f"{counted(count, 'bar')} answered: the tune has {order.count} as played{others}"


def _read(path: Path) -> tuple[dict[str, Any], TomlPlaces]:
    values, places = read_toml_file(path, "the answer", LessonError)
    _check_keys(values, places)
    return values, places


def _check_keys(values: dict[str, Any], places: TomlPlaces) -> None:
    for key, wanted in _KEYS.items():
        given = values.get(key)
        if key in values and (not isinstance(given, wanted) or isinstance(given, bool)):
            what = f"{key} is {values[key]!r}, not {_KINDS[wanted]}"
            raise LessonError(what, place=places.key(("", 0, key)))
    if values.get("format") != FORMAT or "shapes" not in values:
        raise LessonError(
            f"{places.name} is not an answer",
            place=Place(places.name),
            rule=f"it has format = {FORMAT}, level, and shapes as bars between |",
            mend="the lines that harmonykit check --help shows",
        )
    for key in values:
        if key not in _KEYS:
            raise LessonError(
                f"{key!r} is not a key of an answer",
                place=places.key(("", 0, key)),
                mend=", ".join(_KEYS),
            )


def read_bars(text: str) -> list[list[str]]:
    """Return the shapes of an answer, bar by bar in playing order.

    Raises
    ------
    LessonError
        For ``%`` in the first bar, or more bars than a tune may have.

    Examples
    --------
    >>> read_bars("|| 0003 | 2010 0232 ||")
    [['0003'], ['2010', '0232']]
    >>> read_bars("| 0003 | |\\n| % | - | 0232 |")
    [['0003'], [], [], [], ['0232']]
    >>> read_bars("|: 0003 | 2010 :| 0232 |")
    [['0003'], ['2010'], ['0003'], ['2010'], ['0232']]
    """
    bars: list[list[str]] = []
    bar: list[str] | None = None  # None before the first bar line, and after a sign that closes
    start = 0
    rows = _ROWS.sub("| ", text.strip()).replace(":|:", ":| |:")
    for token in _TOKEN.findall(rows):
        if token.startswith(":|") or (token[0] == "|" and token != "|:"):
            bars += [] if bar is None else [bar]
            bar = []
            if token[0] == ":":
                times = int(token[3:] or _TIMES)
                _check_room(len(bars) + (times - 1) * (len(bars) - start))
                bars += bars[start:] * (times - 1)
                start, bar = len(bars), None
        elif token == "|:":
            bars += [bar] if bar else []
            start, bar = len(bars), []
        elif token == "%":
            if not bars:
                raise LessonError(
                    "% in the first bar has nothing to repeat", rule="% repeats the bar before"
                )
            bar = list(bars[-1])
        elif token != "-":
            bar = [*(bar or []), token]
    bars += [bar] if bar else []
    _check_room(len(bars))
    return bars


def _check_room(count: int) -> None:
    if count > MOST_BARS:
        raise LessonError(f"an answer of {count} bars", rule=f"{MOST_BARS} at most")


def _empty(arrangement: Arrangement, bars: Sequence[Sequence[str]]) -> tuple[int, ...]:
    """Return the numbers of bars that have chords and, whenever they are played, no shape."""
    asked: dict[int, bool] = {}
    for index, (steps, (number, _)) in enumerate(
        zip(arrangement.bars(), printed_numbers(arrangement), strict=True)
    ):
        if any(step.chord is not None for step in steps):
            typed = index < len(bars) and bool(bars[index])
            asked[number] = asked.get(number, False) or typed
    return tuple(sorted(number for number, typed in asked.items() if not typed))


def _judge(
    arrangement: Arrangement, order: _Order, bars: Sequence[list[str]]
) -> Iterator[tuple[int, Verdict]]:
    """Yield what is said of each shape, with the place of its bar in the answer."""
    numbers, wanted = printed_numbers(arrangement), arrangement.bars()
    answered = zip(order.places, order.played(bars), strict=True)
    for (place, typed), (number, _), asked in zip(answered, numbers, wanted, strict=True):
        steps = [step for step in asked if step.chord is not None]
        if typed:
            for verdict in _judge_bar(number, steps, typed, arrangement.instrument):
                yield place, verdict
    if len(bars) > order.count:
        fault = f"the {order.where} has {counted(order.count, 'bar')}"
        yield -1, Verdict(order.count + 1, "", " ".join(bars[order.count]), fault)


def _judge_bar(
    bar: int, steps: list[Step], typed: list[str], instrument: Instrument
) -> Iterator[Verdict]:
    asked = [step.chord for step in steps if step.chord is not None]
    if len(typed) != len(asked):
        names = join_words([chord.unicode for chord in asked]) or "no chord"
        fault = f"{counted(len(typed), 'shape')} for {names}"
        yield Verdict(bar, " ".join(chord.unicode for chord in asked), " ".join(typed), fault)
        return
    for chord, text in zip(asked, typed, strict=True):
        fault = _fault(chord, text, instrument)
        lacking = "" if fault else Shown(Voicing.parse(text, instrument), chord).lacking
        yield Verdict(bar, chord.unicode, text, fault, lacking)


def _fault(chord: Chord, text: str, instrument: Instrument) -> str:
    """Say why a typed shape is not the chord; nothing where it is."""
    try:
        shape = Voicing.parse(text, instrument)
    except HarmonyError as error:
        return error.what
    lacking = missing(shape, chord)
    foreign = [note for note in shape.notes if note and note.pitch_class not in chord.pcs]
    if lacking or foreign:
        return _notes_fault(chord, shape, lacking)
    try:
        Shown(shape, chord)
    except HarmonyError as error:
        return error.rule
    if fit(shape.frets, instrument) is None:
        return f"{shape.digits} sounds {chord.unicode}, but no hand can hold it"
    return ""


def _notes_fault(chord: Chord, shape: Voicing, lacking: Sequence[int]) -> str:
    labels = shape.instrument.labels
    wrong = [
        f"{note.unicode} on the {label} string"
        for label, note in zip(labels, shape.notes, strict=True)
        if note and note.pitch_class not in chord.pcs
    ]
    parts = []
    if wrong:
        verb = "does" if len(wrong) == 1 else "do"
        parts.append(f"{join_words(wrong)} {verb} not belong to {chord.unicode}")
    if lacking:
        names = [chord.spell(pc).plain().unicode for pc in lacking]
        parts.append(f"{join_words(names)} {'is' if len(names) == 1 else 'are'} missing")
    named = name_chords(shape.pcs)
    also = f"; this is {named[0].chord.unicode}" if named and not named[0].missing else ""
    return f"{', and '.join(parts)}{also}"
