"""The script: the plan of a class, and what to say and play with it, cue by cue."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.left_alone import left_as_written, said_left_alone
from harmonykit.arrange.together import said_together
from harmonykit.files.file import slug
from harmonykit.lesson import activities, fixed_parts, playfiles
from harmonykit.lesson.activities import Meeting
from harmonykit.lesson.cues import Cue, cues_of
from harmonykit.lesson.handout.signs import rows_named
from harmonykit.lesson.plan import model, pictures
from harmonykit.lesson.plan.model import Block, Chart, Lesson, Picture, Played, Table, Text
from harmonykit.lesson.statements.claims import claims_of, marked_in
from harmonykit.lesson.statements.sentences import MARK, SAID_MARK, proved_of, turned_of
from harmonykit.lesson.together.rescue import said_tempo
from harmonykit.theory.printed import NO_CHORD
from harmonykit.tune.analysis.function import said_framing
from harmonykit.tune.bar import bar_length, beat_length, write_meter
from harmonykit.tune.groove.shelf import in_meter
from harmonykit.tune.playing import PlayedBar
from harmonykit.words.numbers import counted, counted_word, join_words

BARS_A_ROW = 4
_HALF = Fraction(1, 2)
_REASONS = ("Bars", "Chord", "Shape", "Why")


def write_script(lesson: Lesson, others: Sequence[Lesson] = ()) -> str:
    """Return a lesson's script as Markdown: a plan for each meeting, then what is done in it.

    Parameters
    ----------
    lesson : Lesson
    others : sequence of Lesson
        The same lesson for the other instruments of a mixed class.
    """
    return _Script(lesson, others).text()


class _Script:
    """A lesson told: with its cues, and with the claims of its text."""

    def __init__(self, lesson: Lesson, others: Sequence[Lesson]) -> None:
        self.lesson, self.others = lesson, others
        self.cues = cues_of(lesson)
        self.claimed = {claim.sentence.text for claim in claims_of(lesson)}

    def text(self) -> str:
        lesson, planned = self.lesson, activities.meetings(self.lesson)
        parts = [_head(lesson), _mixed(self.others)]
        for number, meeting in enumerate(planned, 1):
            several = f"{number} of {len(planned)}: {meeting.title}" if len(planned) > 1 else ""
            parts.append(_plan(meeting, several, self.cues))
            parts += [self._activity(n, one) for n, one in enumerate(meeting.activities, 1)]
        parts += [*self._appendix(), _two_names(lesson), _cautions(lesson), _rights(lesson)]
        return "\n\n".join(part for part in parts if part) + "\n"

    def _activity(self, number: int, one: fixed_parts.Activity) -> str:
        parts = [f"## {number}. {one.title} ({minutes(one.minutes)})"]
        if one.section is None:
            parts += one.lines
            parts += [f"Sound: {one.sound}"] if one.sound else []
        else:
            parts += self._section(one, one.section)
        return "\n\n".join(parts)

    def _section(self, one: fixed_parts.Activity, index: int) -> Iterator[str]:
        """Yield a section of the text; what the class does stands after its last chart."""
        blocks = self.lesson.sections[index].blocks
        charts = [place for place, block in enumerate(blocks) if isinstance(block, Chart)]
        for place, block in enumerate(blocks):
            if charts and place == charts[0]:
                yield from one.listen
            if cue := self.cues.get((index, place)):
                yield f"**Cue {cue.number}**"
            if not _is_reasons(block):
                yield self._block(block)
            if isinstance(block, Chart) and self.others:
                yield _on_each((self.lesson, *self.others), block.level)
            if charts and place == charts[-1]:
                yield from one.lines
                if one.sound != activities.NO_SOUND:
                    yield f"Sound: {one.sound}"

    def _appendix(self) -> Iterator[str]:
        """Yield what stands at the end: levels at once, tables of reasons and of numbers."""
        lesson = self.lesson
        if len(lesson.played) > 1:
            ways = [played.arrangement for played in lesson.played]
            told = said_together([replace(way, name=way.name and f"*{way.name}*") for way in ways])
            yield "\n".join(["## Levels together", "", *(f"- {each}" for each in told)])
        found = [
            f"### {section.title}\n\n{_table(block)}"
            for section in lesson.sections
            for block in section.blocks
            if isinstance(block, Table) and _is_reasons(block)
        ]
        if found:
            yield "\n\n".join(["## Why each chord was added", *found])
        for section in filter(activities.for_the_teacher, lesson.sections):
            tables = [self._block(block) for block in section.blocks if not _is_reasons(block)]
            if tables:
                yield "\n\n".join([f"## {section.title or 'Tables'}", *tables])

    def _block(self, block: Block) -> str:
        lesson = self.lesson
        match block:
            case Text():
                said = block.markdown
                text = said if block.computed else marked_in(lesson, block, self.claimed)
                return pictures.in_folder(text, lesson.front.path.parent)
            case Picture():
                return _picture(block)
            case Table():
                return _table(block)
            case Chart():
                return _chart(lesson.front, lesson.played[block.level])


def _plan(meeting: Meeting, several: str, cues: Mapping[tuple[int, int], Cue]) -> str:
    """Return the plan of a meeting as a table: when, how long, what, with which cue and sound."""
    head = f"## Class {several}" if several else "## The plan"
    lines = [head, "", "| | from | lasts | what | cue | sound |", "|" + " --- |" * 6]
    at = 0.0
    for number, one in enumerate(meeting.activities, 1):
        shown = [str(cue.number) for (s, _), cue in cues.items() if s == one.section]
        cells = [number, _clock(at), minutes(one.minutes), _cell(one.title), ", ".join(shown)]
        lines.append(f"| {' | '.join(map(str, cells))} | {one.sound} |")
        at += one.minutes
    lines.append(f"| | {_clock(at)} | **{minutes(at)}** | | | |")
    if meeting.spared:
        names = [f"{n + 1} ({meeting.activities[n].title})" for n in meeting.spared]
        saved = minutes(sum(meeting.activities[n].minutes for n in meeting.spared))
        lines += ["", f"With ten minutes less, leave out {join_words(names)}; this saves {saved}."]
    return "\n".join(lines)


def _clock(at: float) -> str:
    return f"{int(at)}:{round(at % 1 * 60):02d}"


def _mixed(others: Sequence[Lesson]) -> str:
    """Return what a class of several instruments has, and how each is tuned."""
    if not others:
        return ""
    named = [
        f"{one.front.instrument.name}, tuned {one.front.instrument.tuning_said}" for one in others
    ]
    files = [f"{slug(one.front.instrument.name)}-" for one in others]
    said = f"Also in this class: {'; '.join(named)}. "
    return said + f"Their sheets and sounds begin with {join_words(files)}."


def _on_each(lessons: Sequence[Lesson], level: int) -> str:
    """Return the frets of a level's chords on every instrument, as a table."""
    frets: list[dict[str, str]] = []
    for one in lessons:
        own: dict[str, str] = {}
        for shown in one.played[level].shown:
            own.setdefault(shown.chord.unicode, shown.shape.digits)
        frets.append(own)
    header = ("Chord", *(one.front.instrument.name for one in lessons))
    names = dict.fromkeys(name for own in frets for name in own)
    rows = [(name, *(own.get(name, "\u2013") for own in frets)) for name in names]
    return _table(Table(header, tuple(rows), "The frets of each chord where it comes first"))


def _is_reasons(block: Block) -> bool:
    """Whether a block is a table of reasons, which stands in the appendix."""
    return isinstance(block, Table) and block.header == _REASONS


def length_of(lesson: Lesson) -> str:
    """Return how long a class takes for a lesson, in words: ``"3 classes of 45 minutes"``."""
    front = lesson.front
    classes = activities.count_meetings(lesson)
    said = minutes(front.minutes)
    return f"{classes} classes of {said}" if classes > 1 else said


def course_minutes(lesson: Lesson) -> str:
    """Return how long a lesson takes once through, in words: told and played, not practised.

    Parameters
    ----------
    lesson : Lesson

    Returns
    -------
    str

    Examples
    --------
    >>> hk.lesson.course_minutes(hk.lesson.read_lesson("four_dominants"))
    'about 5 minutes'
    """
    total = max(1, round(sum(activities.section_minutes(lesson, each) for each in lesson.sections)))
    return f"about {counted(total, 'minute')}"


def minutes(value: float) -> str:
    """Return minutes in words, to ten seconds; never less than ten.

    Parameters
    ----------
    value : float
        Minutes.

    Returns
    -------
    str

    Examples
    --------
    >>> hk.lesson.minutes(0.1), hk.lesson.minutes(1.0), hk.lesson.minutes(3.4)
    ('10 seconds', '1 minute', '3 minutes 20 seconds')
    """
    whole, tens = divmod(max(1, round(value * 6)), 6)
    parts = [counted(whole, "minute")] if whole else []
    return " ".join([*parts, f"{tens}0 seconds"] if tens else parts)


def _head(lesson: Lesson) -> str:
    front = lesson.front
    lines = [f"# {front.title}"]
    if front.subtitle:
        lines.append(front.subtitle)
    about = [front.group, f"Lesson {front.sheet}" if front.sheet else ""]
    about += [f"tuned {front.instrument.tuning_said}", length_of(lesson)]
    lines.append(" · ".join(part for part in about if part))
    tune = front.tune
    meter = write_meter(tune.meter)
    bars = counted(tune.bar_count - sum(tune.framing), "bar")
    framing = f", {said}" if (said := said_framing(tune)) else ""
    lines.append(f"The tune: {tune.title}, {tune.key.unicode}, {meter}, {bars}{framing}.")
    lines += [f"Note on the tune: {doubt}" for doubt in tune.doubts]
    lines.append("In a chart an added chord is bold; in brackets is the beat on which it begins.")
    lines.append(f"{proved_of(lesson)}; each has a {MARK}. The others are the author's.")
    if claims := len(claims_of(lesson)):
        verb, has = ("claims", "it has") if claims == 1 else ("claim", "each has")
        many = counted_word(claims).capitalize()
        lines.append(f"{many} of these {verb} what no statement proves; {has} a {SAID_MARK}.")
    if turned := len(list(turned_of(lesson))):
        verb = "contains" if turned == 1 else "contain"
        many = counted_word(turned).capitalize()
        lines.append(f"{many} of these {verb} a statement whose meaning the author's words change.")
    return "\n\n".join(lines)


def _picture(picture: Picture) -> str:
    lines = [
        f"![{drawing.alt}]({model.FIGURES}/{name})" + (f"  \n{caption}" if caption else "")
        for name, drawing, caption in zip(
            picture.files, picture.drawings, picture.captions, strict=True
        )
    ]
    return "\n\n".join(lines)


def _table(table: Table) -> str:
    rows = [table.header, tuple("---" for _ in table.header), *table.rows]
    lines = ["| " + " | ".join(map(_cell, row)) + " |" for row in rows]
    return "\n".join([*([f"{table.caption}:", ""] if table.caption else []), *lines])


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _chart(front: model.Front, played: Played) -> str:
    """Return a level as bars: each chord with its shape, and beats where a bar is shared."""
    level, arrangement = played.level, played.arrangement
    pace = said_tempo(level.tempo, arrangement.tune.meter)
    lines = [f"*{level.name}* at {pace}." + (f" {level.watch}" if level.watch else ""), ""]
    groove = in_meter(arrangement.strum, arrangement.tune, arrangement.tune.meter)
    swung = f" ({groove.feel})" if groove.feel else ""
    lines += [f"Strum{swung}: {groove.spoken}. Say: {groove.counted}.", ""]
    lines += playfiles.said_practice(front, played)
    lines += _bars(arrangement)
    alone = said_left_alone(left_as_written(arrangement).values()) if arrangement.added else ""
    told = [*played.notes, *([f"{alone}."] if alone else [])]
    return "\n".join([*lines, *(f"\n{note}" for note in told)])


def _bars(way: Arrangement) -> list[str]:
    """Return the bars of a level as a table; sections that come back the same stand once."""
    order, rows = rows_named(way, BARS_A_ROW)
    said = [f"Play {' '.join(order)}.", ""] if order else []
    said += ["| bar " + "| " * BARS_A_ROW + "|", "| --- " + "| --- " * BARS_A_ROW + "|"]
    played, playing = way.bars(), way.tune.playing
    for name, row in rows:
        cells = [" ; ".join(_step(step, playing[index]) for step in played[index]) for index in row]
        said.append(f"| {name} | " + " | ".join(cells + [""] * (BARS_A_ROW - len(cells))) + " |")
    return said


def _step(step: Step, bar: PlayedBar) -> str:
    if step.chord is None or step.voicing is None:
        return NO_CHORD
    name = "" if step.alone else f"{step.chord.unicode} "
    said = f"{name}{step.voicing.digits}"
    marked = f"**{said}**" if step.new else said
    meter = bar.bar.meter
    # A pick-up is the end of a bar.
    before = bar_length(meter) - bar.bar.length if not bar.bar.number else Fraction(0)
    at = _beat((before + step.onset - bar.onset) / beat_length(meter))
    return f"{marked} ({at})" if at else marked


def _beat(after: Fraction) -> str:
    """Return where a chord begins, as players count; empty for the first beat of its bar."""
    whole, rest = divmod(after, 1)
    beat = whole + 1
    if rest == _HALF:
        return f"the and of {beat}"
    return f"{rest} into beat {beat}" if rest else str(beat) if whole else ""


def _two_names(lesson: Lesson) -> str:
    """Say once of each shape that bears several names which they are."""
    names: dict[str, dict[str, None]] = {}
    for played in lesson.played:
        for shown in played.shown:
            names.setdefault(shown.shape.digits, {})[shown.printed] = None
    several = {digits: list(said) for digits, said in names.items() if len(said) > 1}
    lines = [f"- {digits} is {join_words(said)}." for digits, said in several.items()]
    return "## One shape, several names\n\n" + "\n".join(lines) if lines else ""


def _cautions(lesson: Lesson) -> str:
    lines = [f"- {shapes} {text}" for shapes, text in model.cautions_of(lesson)]
    return "## Take care\n\n" + "\n".join(lines) if lines else ""


def _rights(lesson: Lesson) -> str:
    return "\n\n".join(["## Rights", *model.said_of_rights(lesson.front)])
