"""What an arranger hears and takes away: sound, score, pages, lead sheet, MIDI, a lesson's draft.

Files go into a folder beside the notebook, each written whole.  Nothing of a teacher's is written
over: a lesson's draft takes a new name where there is one already.

Times are seconds from the first click of the count-in.  A *turn* is a stretch of bars
after which two ways change places when they are heard in turn: eight bars, or a section that is
shorter.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import count
from pathlib import Path
from typing import Any

from harmonykit.arrange import measures, passes, score, styles, wishes
from harmonykit.arrange.arrangement import Arrangement, Step
from harmonykit.arrange.chosen_lines import chosen_lines
from harmonykit.arrange.idioms.reading import OWN_FILE
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.offering import ALL_IDIOMS, way_title
from harmonykit.draw.staves.staff import staff_pdf
from harmonykit.errors import HarmonyError
from harmonykit.files import manifest, toml, write_whole
from harmonykit.files.table import frame_text
from harmonykit.fretboard.hands.hand import REACHES, Limits
from harmonykit.fretboard.shapes.row_textures import CHORD_MELODY
from harmonykit.lesson.draft.writing import draft
from harmonykit.lesson.page.sounds import step_times
from harmonykit.lesson.plan import keys, shown, source
from harmonykit.sound import files, rendering
from harmonykit.sound.events import play
from harmonykit.tune.text.writer import write_text
from harmonykit.values import dataclass, replace
from harmonykit.words.numbers import counted
from harmonykit.workbook.reharmonise.framing import phrases_of
from harmonykit.workbook.reharmonise.state import ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Row, Ways

FOLDER = "reharmonised"
LEVEL = "As arranged"
# How long a chord lasts at least where nothing else is asked; what a lesson's tempo may be.
_LEAST_SECONDS, _SLOWEST, _FASTEST = 0.5, 20.0, 400.0
_NOT_IN_NAMES = re.compile(r"[^a-z0-9]+")


def export(what: str, ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    """Write one of ``EXPORTS`` into a folder, which is made; return the file.

    Raises
    ------
    HarmonyError
        If it cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise HarmonyError(f"{folder} cannot be made: {error.strerror}") from None
    return EXPORTS[what][1](ways, state, folder)


def stem_of(title: str) -> str:
    """Return a title as the beginning of a file's name.

    Examples
    --------
    >>> stem_of("Heron Landing"), stem_of("«»")
    ('heron-landing', 'tune')
    """
    return _NOT_IN_NAMES.sub("-", title.casefold()).strip("-")[:60] or "tune"


def _score(ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    row, way, title = _printed(ways, state)
    return _written(folder, ways, f"-{row.id}.musicxml", score.to_musicxml(way, title))


def _printed(ways: Ways, state: ReharmoniseState) -> tuple[Row, Arrangement, str]:
    """Return the chosen row, its arrangement as a score keeps its repeats, and their title."""
    row = ways.chosen(state.chosen)
    return row, passes.on_paper(row.arrangement)[0], way_title(ways.tune.title, row.name)


def _lead_sheet(ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    row = ways.chosen(state.chosen)
    return _written(folder, ways, f"-{row.id}-lead.musicxml", score.part_musicxml(row.arrangement))


def _midi(ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    row = ways.chosen(state.chosen)
    played = play(row.arrangement, count_in=False, click=False, melody=bool(ways.tune.melody))
    return _written(folder, ways, f"-{row.id}.mid", files.write_midi(played))


def _pages(ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    row, way, title = _printed(ways, state)
    return _written(folder, ways, f"-{row.id}.pdf", staff_pdf(way, title=title))


def _tune(ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    """Write chords and melody as a tune to go on with; it has no shapes."""
    row = ways.chosen(state.chosen)
    tune = replace(passes.in_its_form(row.arrangement), title=way_title(ways.tune.title, row.name))
    return _written(folder, ways, f"-{row.id}.toml", write_text(tune))


def _table(ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    rows: Iterable[Row] = ways.listed(state)
    table = measures.compare(row.arrangement for row in rows)
    return _written(folder, ways, ".csv", frame_text(table))


def _lesson(ways: Ways, state: ReharmoniseState, folder: Path) -> Path:
    """Write the tune, and a draft on it whose last level has the moves that are chosen here."""
    text = write_text(ways.tune)
    lesson, tune = next(_free_pairs(folder, stem_of(ways.tune.title), text))
    write_whole(tune, text)
    write_whole(lesson, lesson_text(ways, state, tune.name))
    return lesson


def _free_pairs(folder: Path, stem: str, text: str) -> Iterator[tuple[Path, Path]]:
    """Yield names of a lesson that is not there yet, and of its tune, which no other has."""
    for number in count(1):
        lesson = folder / f"{stem}{f'-{number}' if number > 1 else ''}.md"
        tune = lesson.with_suffix(".toml")
        same = tune.exists() and tune.read_bytes() == text.encode()
        if not lesson.exists() and (same or not tune.exists()):
            yield lesson, tune


def lesson_text(ways: Ways, state: ReharmoniseState, tune_name: str) -> str:
    """Return a lesson's draft on the tune, with one more level: the moves that are chosen here."""
    row = ways.chosen(state.chosen)
    way = row.arrangement
    text = draft(ways.tune, tune_name, way.instrument)
    head, front, body = text.split(f"{source.FENCE}\n", 2)
    number = front.count("[[levels]]") + 1
    level = "\n".join(["", "[[levels]]", *_level(row, state), ""])
    section = f"\n## {LEVEL}\n\n{{{{ chart({number}) }}}}\n\n{{{{ added_chords({number}) }}}}\n"
    before, numbers, after = body.partition("\n## By numbers")
    parts = (head, front + level, before + section + numbers + after)
    return f"{source.FENCE}\n".join(parts)


def _level(row: Row, state: ReharmoniseState) -> Iterator[str]:
    """Yield the lines that make a lesson find what was found here; bars are not kept there."""
    limits, way = state.limits, row.arrangement
    yield f'name = "{LEVEL}"'
    # A level that adds nothing is the tune as written, and says so.
    moves = state.moves if row.measures.added else ()
    yield f"moves = {toml.toml_strings(move for move in moves if move != ALL_IDIOMS)}"
    if ALL_IDIOMS in moves:
        added = dict.fromkeys(step.move for step in way.added)
        yield f"idioms = {toml.toml_strings(move for move in added if move not in MOVES)}"
    if moves:
        yield f"chosen = {toml.toml_strings(chosen_lines(way))}"
    if moves and state.prefer:
        yield f"prefer_move = {toml.toml_string(state.prefer)}"
    if state.style in styles.STYLES:
        yield f'style = "{state.style}"'
    yield f'density = "{state.density if state.density == wishes.USUAL_DENSITY else keys.ANY}"'
    if lost := left_out(row, state):
        yield f"# {lost}"
    elif state.texture in keys.TEXTURES:
        yield f'texture = "{state.texture}"'
    if contour := _contour(state, way):
        yield f'contour = "{contour}"'
    yield f'reach = "{_reach(limits)}"'
    yield f"highest_fret = {min(limits.max_fret, way.instrument.frets)}"
    yield f"stretch_mm = {limits.stretch_mm:g}"
    yield f'barre = "{limits.barre}"'
    yield f"shortest_chord_seconds = {_LEAST_SECONDS}"
    yield f"tempo = {min(max(float(way.tempo), _SLOWEST), _FASTEST):g}"
    yield f'watch = "{_watch(row)}"'


def left_out(row: Row, state: ReharmoniseState) -> str:
    """Return what a lesson's draft leaves out: idioms or a texture that a lesson does not have."""
    own = [name for name in state.own if any(s.move == name for s in row.arrangement.steps)]
    if own:
        return f"without {', '.join(own)}: a lesson does not read {OWN_FILE}"
    if state.texture == CHORD_MELODY and row.measures.added:
        return f"without the texture {CHORD_MELODY}: in a lesson it adds no chords by moves"
    if state.texture not in keys.TEXTURES or all(map(_may_show, row.arrangement.steps)):
        return ""
    return f"without the texture {state.texture}: its shapes lack tones of their chords"


def _may_show(step: Step) -> bool:
    return step.voicing is None or step.chord is None or shown.may_show(step.voicing, step.chord)


def _contour(state: ReharmoniseState, way: Arrangement) -> str:
    """Return the contour of all phrases as a lesson calls it; nothing where they have several."""
    chosen = state.decided.contours
    found = {*chosen} if len(chosen) == len(phrases_of(way.tune)) else set()
    named = [name for name, contour in keys.CONTOUR_OF.items() if found == {contour}]
    return named[0] if named else ""


def _reach(limits: Limits) -> str:
    """Return the reach of the hand: the other limits are written beside."""
    return next(name for name, mm in REACHES.items() if mm == limits.reach_mm)


def _watch(row: Row) -> str:
    chords = row.measures.added
    if not chords:
        return "No added chords: the tune as written."
    return f"{counted(chords, 'added chord')}. What does each resolve to?"


def _written(folder: Path, ways: Ways, ending: str, data: str | bytes) -> Path:
    path = folder / f"{stem_of(ways.tune.title)}{ending}"
    # What an arranger changed in it is kept beside.
    manifest.write_beside(path, data)
    return path


Writer = Callable[[Ways, ReharmoniseState, Path], Path]
EXPORTS: Mapping[str, tuple[str, Writer]] = {
    "score": ("Score (MusicXML)", _score),
    "lead": ("Lead sheet (MusicXML)", _lead_sheet),
    "midi": ("MIDI", _midi),
    "pages": ("Pages (PDF)", _pages),
    "tune": ("Tune (.toml)", _tune),
    "table": ("Table (CSV)", _table),
    "lesson": ("Draft of a lesson", _lesson),
}
"""What can be taken away: its label and what writes it."""


RATE = 22_050
TURN_BARS = 8
_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Heard:
    """A WAV file and its times, as the browser plays and follows it."""

    wav: bytes
    times: dict[str, Any]


def sound_of_way(way: Arrangement) -> Heard:
    """Return an arrangement at its tempo, with count-in, and the melody where there is one.

    Raises
    ------
    HarmonyError
        If it lasts longer than a sound file may.

    Examples
    --------
    >>> from harmonykit.workbook.reharmonise.state import ReharmoniseState
    >>> from harmonykit.workbook.reharmonise.ways import find_best
    >>> state = ReharmoniseState(text="| C6 | Dm7 |", best=1)
    >>> heard = sound_of_way(find_best(state, lambda done, total: None).rows[0].arrangement)
    >>> heard.times["bars"]
    [4.0, 6.0]
    """
    performance = play(way, count_in=True, click=False, melody=bool(way.tune.melody))
    wav = rendering.wav_bytes(rendering.Sound(performance, RATE, channels=1))
    bars = [round(start, _DIGITS) for _, start in performance.bars]
    times = {
        "seconds": round(performance.seconds, _DIGITS),
        "bars": bars,
        "steps": step_times(way, performance),
        "turns": [bars[place] for place in turn_bars(way)],
    }
    return Heard(wav, times)


def sound_of_bars(way: Arrangement, bars: range) -> bytes:
    """Return some bars of an arrangement as a WAV file, counted as played from 0.

    Examples
    --------
    >>> from harmonykit.arrange.search import reharmonise
    >>> (way,) = reharmonise("| C6 | Dm7 | G7 | C6 |", "ukulele", (), 1)
    >>> sound_of_bars(way, range(1, 3))[:4]
    b'RIFF'
    """
    whole = play(way, count_in=False, click=False, melody=bool(way.tune.melody))
    starts = [start for _, start in whole.bars]
    start = starts[bars.start]
    end = starts[bars.stop] if bars.stop < len(starts) else whole.seconds
    events = tuple(
        replace(event, onset=event.onset - start, length=min(event.length, end - event.onset))
        for event in whole.events
        if start <= event.onset < end
    )
    part = replace(
        whole, events=events, seconds=end - start, count_in_seconds=0.0, bars=(), steps=(),
        sections=(),
    )  # fmt: skip
    return rendering.wav_bytes(rendering.Sound(part, RATE, channels=1))


def turn_bars(way: Arrangement) -> list[int]:
    """Return where turns begin: bars in playing order, counted from 0."""
    playing, found = way.tune.playing, [0]
    for index, played in enumerate(playing):
        new_section = played.section != playing[index - 1].section
        if index and (new_section or index - found[-1] >= TURN_BARS):
            found.append(index)
    return found
