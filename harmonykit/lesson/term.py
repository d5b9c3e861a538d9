"""The plan of a term: what follows what, what comes back when, and what the class has gained.

Conventions.  A lesson whose levels are in a row takes a week for each.  The hardest change of a
week comes back as a warm-up one week, two weeks and four weeks later (common practice, no source).
What is gained are grips that the class did not know, hard changes with the tempo at
which they are played, and tunes beside the course's file whose chords all have a known grip.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files.toml import toml_string, toml_strings
from harmonykit.fretboard.shapes.grips import Grip, grip_form, known_grip
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.lesson.activities import Meeting, meetings
from harmonykit.lesson.plan.model import Lesson, Played
from harmonykit.lesson.together.rescue import Hard, hard_changes, said_tempo
from harmonykit.score.files import read_tune
from harmonykit.tune.class_file import ClassFile
from harmonykit.tune.tune import Tune
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import join_words

BACK_AFTER = (1, 2, 4)
"""After so many weeks a change comes back."""

MOST_TUNES = 300
_TUNES = (".toml", ".abc", ".musicxml", ".mxl", ".xml")
_LISTED = 12


@dataclass(frozen=True, slots=True)
class Week:
    """A week of the term.

    Parameters
    ----------
    number : int
        From 1.
    lesson : Lesson
    meeting : Meeting
    played : tuple of Played
        The levels that are played in it.
    """

    number: int
    lesson: Lesson
    meeting: Meeting
    played: tuple[Played, ...]

    @property
    def hard(self) -> Hard | None:
        """Its hardest change."""
        found = [h for p in self.played for h in hard_changes(p.arrangement, p.level.tempo, 1)]
        return max(found, key=lambda one: one.effort, default=None)

    @property
    def title(self) -> str:
        """The lesson, and its level where a week has one."""
        title = self.lesson.front.title
        return f"{title}: {self.meeting.title}" if self.meeting.title else title


def weeks_of(lessons: Sequence[Lesson]) -> tuple[Week, ...]:
    """Return the weeks of a term, in order."""
    found: list[Week] = []
    for lesson in lessons:
        for meeting in meetings(lesson):
            own = [p for p in lesson.played if meeting.title in ("", p.level.name)]
            found.append(Week(len(found) + 1, lesson, meeting, tuple(own)))
    return tuple(found)


def write_term(title: str, lessons: Sequence[Lesson], knows: ClassFile | None, folder: Path) -> str:
    """Return the plan of a term as Markdown.

    Parameters
    ----------
    title : str
    lessons : sequence of Lesson
        In order, each on its own instrument.
    knows : ClassFile or None
        What the class knows before.
    folder : Path
        Where its tunes are.
    """
    weeks = weeks_of(lessons)
    parts = [f"# {title}: term plan", _table(weeks, knows), *_follows(lessons)]
    parts.append("\n".join(["## What this class gained", "", *_gained(weeks, knows, folder)]))
    return "\n\n".join(parts) + "\n"


def _table(weeks: Sequence[Week], knows: ClassFile | None) -> str:
    lines = [
        "| week | lesson | tune | new grips | hardest change | warm up with |",
        "|" + " --- |" * 6,
    ]
    known = _start(knows)
    for week in weeks:
        new = known.new(shape for p in week.played for shape in p.arrangement.shapes)
        known = replace(known, grips=(*known.grips, *_grips(week)))
        hard = _said(week.hard)
        back = [weeks[week.number - 1 - ago] for ago in BACK_AFTER if week.number > ago]
        warm = "; ".join(f"{_said(one.hard)} (week {one.number})" for one in back if one.hard)
        tune = week.lesson.front.tune.title
        cells = (week.number, week.title, tune, len(new), hard, warm)
        lines.append("| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines)


def _start(knows: ClassFile | None) -> ClassFile:
    return knows or ClassFile("the class", ())


def _said(hard: Hard | None) -> str:
    return " to ".join(hard.names) if hard else ""


def _grips(week: Week) -> Iterator[Grip]:
    """Yield the shapes of a week under the names by which they are played."""
    for played in week.played:
        for shown in played.shown:
            yield Grip(shown.chord, shown.shape)


def _follows(lessons: Sequence[Lesson]) -> Iterator[str]:
    """Yield what each lesson takes up of those before it, and what is new in it."""
    lines = ["## Which idea follows which", ""]
    seen: dict[str, int] = {}
    for number, lesson in enumerate(lessons, 1):
        steps = (step for p in lesson.played for step in p.arrangement.added)
        moves = list(dict.fromkeys(step.move for step in steps))
        back = [f"{move} (lesson {seen[move]})" for move in moves if move in seen]
        new = [move for move in moves if move not in seen]
        seen |= dict.fromkeys(new, number)
        said = [f"new: {join_words(new)}"] if new else []
        said += [f"comes back: {join_words(back)}"] if back else []
        lines.append(f"{number}. {lesson.front.title}: {'; '.join(said) or 'the tune as written'}.")
    yield "\n".join(lines)


def _gained(weeks: Sequence[Week], knows: ClassFile | None, folder: Path) -> Iterator[str]:
    before = _start(knows)
    after = known_after(weeks, knows)
    for instrument in dict.fromkeys(week.lesson.front.instrument for week in weeks):
        # Each is told once, on the instrument on which it came.
        learnt = after.grips[len(before.grips) :]
        new = [grip for grip in learnt if grip.shape.instrument.midi == instrument.midi]
        names = ", ".join(str(grip) for grip in new)
        yield f"- Grips on the {instrument.name}, {len(new)}: {names or 'none that are new'}."
    changes = {
        _said(h): f"{_said(h)} at {said_tempo(p.level.tempo, p.arrangement.tune.meter)}"
        for week in weeks
        for p in week.played
        for h in hard_changes(p.arrangement, p.level.tempo, 1)
    }
    yield f"- Changes at tempo: {'; '.join(changes.values())}."
    instruments = tuple(dict.fromkeys(week.lesson.front.instrument for week in weeks))
    yield from _tunes(after, instruments[0], folder)


def known_after(weeks: Sequence[Week], knows: ClassFile | None) -> ClassFile:
    """Return what the class knows at the end: each grip once, a movable one as it first came."""
    found = _start(knows)
    for week in weeks:
        for grip in _grips(week):
            if not found.knows(grip.shape):
                found = replace(found, grips=(*found.grips, grip))
    return found


def _tunes(after: ClassFile, instrument: Instrument, folder: Path) -> Iterator[str]:
    """Yield which tunes of a folder can be played with the grips that are known."""
    grips = after.grips_on(instrument)
    whole, short = [], []
    for tune in tunes_in(folder):
        missing = [chord for chord in tune.chords if known_grip(chord, grips) is None]
        if not missing:
            whole.append(tune.title)
        elif len(missing) == 1:
            short.append(f"{tune.title} ({missing[0].unicode})")
    if whole:
        yield f"- Tunes in your folder that it can play now: {join_words(whole[:_LISTED])}."
    if short:
        yield f"- With one more grip: {join_words(short[:_LISTED])}."
    if not whole and not short:
        yield "- Tunes in your folder: each needs at least two more grips."


def tunes_in(folder: Path) -> Iterator[Tune]:
    """Yield the tunes of a folder, by name; what cannot be read as one tune is passed over."""
    files = [path for path in sorted(folder.iterdir()) if path.suffix in _TUNES and path.is_file()]
    for path in files[:MOST_TUNES]:
        try:
            tune = read_tune(path)
        except HarmonyError:
            continue
        if tune.chords:
            yield tune


def write_class(after: ClassFile) -> str:
    """Return a class file with all that a class knows now.

    Parameters
    ----------
    after : ClassFile
    """
    named: dict[str, list[str]] = {}
    seen: set[object] = set()
    for grip in after.grips:
        instrument = grip.shape.instrument
        if (instrument.midi, form := grip_form(grip.shape)) not in seen:
            seen.add((instrument.midi, form))
            frets = grip.shape.digits
            named.setdefault(instrument.name, []).append(f"{grip.chord.symbol} {frets}")
    instruments = list(dict.fromkeys([i.name for i in after.instruments] + list(named)))
    lines = [
        "format = 1",
        f"name = {toml_string(after.name)}",
        f"instruments = {toml_strings(instruments)}",
        f"minutes = {after.minutes}",
        f'voices = "{after.lowest} to {after.highest}"',
        "",
        "[grips]",
        *(f"{toml_string(name)} = {toml_strings(grips)}" for name, grips in named.items()),
    ]
    return "\n".join(lines) + "\n"
