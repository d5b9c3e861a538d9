"""A first draft of a lesson on a tune: a file that builds as it is, for a teacher to go on from.

Its levels and its order come from what the tune offers: which moves find places in it, and how
many.  What is said of each stands in ``ideas``; notes, bars and numbers are put in by
calls, so that the draft stays true whatever the teacher changes above.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.files import write_new
from harmonykit.files.file import from_folder
from harmonykit.files.toml import toml_string, toml_strings
from harmonykit.fretboard.hands.hand import REACHES
from harmonykit.fretboard.strings.instrument import Instrument, InstrumentLike, as_instrument
from harmonykit.lesson.draft import ideas, of_idea
from harmonykit.lesson.draft.offers import Offer, offer_of, offers, tempo_at
from harmonykit.lesson.plan import model, source, starts
from harmonykit.lesson.plan.idea import Idea, read_idea
from harmonykit.lesson.plan.keys import FORMAT
from harmonykit.lesson.statements.counted import dominants_of
from harmonykit.score.files import TuneLike, as_tune
from harmonykit.theory.chord import Chord
from harmonykit.theory.diminished import Resolution, approach, resolutions
from harmonykit.theory.scale import SixthDiminished, scales_for
from harmonykit.tune.tune import Tune

MOST_MOVES = 3
"""How many moves have a level of their own: those that find most places."""
_REACH_OF = tuple(REACHES)
_WALKS = ("ascending walk", "descending walk")


def write_draft(
    path: Path,
    tune: TuneLike,
    tune_name: str,
    instrument: InstrumentLike,
    number: int | None = None,
    idea: str | Idea | ideas.Offered = "",
    key: str = "",
) -> Path:
    """Write a draft to a new file.

    Parameters
    ----------
    path : Path
        A new file.
    tune : Tune
    tune_name : str
        The tune as the file names it: a shipped name, or a path.
    instrument : Instrument or str
    number : int, optional
        Which tune of a file that holds many.
    idea : str or Idea, optional
        What the lesson is about: an idea that ships, a file, or what the tune offers.
    key : str, optional
        The lesson's key; the tune's own where not given.

    Returns
    -------
    Path

    Raises
    ------
    LessonError
        If the file exists already: a teacher's work is never written over.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import mkdtemp
    >>> path = Path(mkdtemp()) / "draft.md"
    >>> tune = hk.read_tune("heron_landing")
    >>> hk.lesson.write_first_draft(path, tune, "heron_landing", "ukulele").name
    'draft.md'
    """
    about = _read(idea)
    if isinstance(about, Idea) and Path(about.called).is_file():
        about = replace(about, called=from_folder(path.parent, Path(about.called)))
    write_new(path, draft(tune, tune_name, instrument, number, about, key), model.LessonError)
    return path


def draft(
    tune: TuneLike,
    tune_name: str,
    instrument: InstrumentLike,
    number: int | None = None,
    idea: str | Idea | ideas.Offered = "",
    key: str = "",
) -> str:
    """Return a lesson's text for a tune on an instrument.

    Parameters
    ----------
    tune : Tune
    tune_name : str
        The tune as the file names it: a shipped name, or a path.
    instrument : Instrument or str
    number : int, optional
        Which tune of a file that holds many.
    idea : str or Idea, optional
        What the lesson is about: an idea that ships, a file, or what the tune offers.
    key : str, optional
        The lesson's key; the tune's own where not given.

    Returns
    -------
    str

    Examples
    --------
    >>> tune = hk.read_tune("heron_landing")
    >>> text = hk.lesson.first_draft(tune, "heron_landing", "ukulele")
    >>> text.splitlines()[2]
    'title = "New chords for Heron Landing"'
    """
    tune, instrument = as_tune(tune), as_instrument(instrument)
    tune = tune.transpose_to(key) if key else tune
    named = [
        f"tune = {toml_string(tune_name)}",
        *([] if number is None else [f"tune_number = {number}"]),
        *([f"key = {toml_string(key)}"] if key else []),
    ]
    about = _read(idea)
    if isinstance(about, Idea):
        return of_idea.draft_of_idea(about, tune, named, instrument)
    return _offered(about, tune, named, instrument)


def _read(idea: str | Idea | ideas.Offered) -> Idea | ideas.Offered:
    if not isinstance(idea, str):
        return idea
    return (
        ideas.OFFERS[idea or next(iter(ideas.OFFERS))]
        if idea in ("", *ideas.OFFERS)
        else (read_idea(idea))
    )


def _offered(idea: ideas.Offered, tune: Tune, named: list[str], instrument: Instrument) -> str:
    levels = _levels(tune, instrument, idea)
    chord, scale = _chord(tune, instrument), _scale(tune, instrument, levels)
    front = [
        source.FENCE,
        f"format = {FORMAT}",
        f"title = {toml_string(idea.title.format(tune=tune.title))}",
        f"subtitle = {toml_string(idea.subtitle)}",
        *named,
        f"instrument = {toml_string(instrument.name)}",
        f"chord = {toml_string(chord.symbol)}",
        f"scale = {toml_string(f'{scale.tonic.name} {scale.kind}')}",
    ]
    for station, offer in levels:
        front += _level(tune, station, offer)
    home = next(way for way in resolutions(chord) if leads_home(chord, way))
    names = {"chord": chord.symbol, "parent": home.parent.symbol, "target": home.target.name}
    body = "\n\n".join(_sections(tune, levels)).format(**names)
    return "\n".join([*front, source.FENCE, "", body, ""])


Levels = list[tuple[ideas.Station, Offer]]


def _levels(tune: Tune, instrument: Instrument, idea: ideas.Offered) -> Levels:
    """Return the levels: the tune as written, then what it offers, the least first."""
    found = offers(tune, instrument, idea.moves)[-MOST_MOVES:]
    levels = [(ideas.AS_WRITTEN, Offer((), 1, ()))]
    levels += [(ideas.STATIONS[offer.moves[0]], offer) for offer in found]
    if len(found) > 1:
        moves = tuple(move for offer in found for move in offer.moves)
        every = offer_of(tune, instrument, moves, max(offer.hand for offer in found))
        # Where all of them stand in the same bars, one more level would show nothing new.
        if every and len(every.bars) > len(found[-1].bars):
            levels.append((ideas.TOGETHER, every))
    return levels


def _level(tune: Tune, station: ideas.Station, offer: Offer) -> list[str]:
    lines = ["", "[[levels]]", f"name = {toml_string(station.name)}"]
    lines.append(f"moves = {toml_strings(offer.moves)}")
    lines += [f"prefer_move = {toml_string(offer.moves[0])}"] if len(offer.moves) == 1 else []
    lines += [
        f"reach = {toml_string(_REACH_OF[offer.hand - 1])}",
        f"tempo = {tempo_at(tune, offer.hand)}",
    ]
    return [*lines, f"watch = {toml_string(station.watch)}"]


def _chord(tune: Tune, instrument: Instrument) -> Chord:
    """Return the diminished seventh of the dominant that lasts longest, or of the tonic's own."""
    lead = [one for one in dominants_of(tune) if one.resolves and one.target]
    longest = max(lead, key=lambda one: one.longest, default=None)
    root = longest.target.root if longest and longest.target else tune.key.tonic
    chord = approach(root.plain())
    starts.movable_shape(chord, instrument)
    return chord


def _scale(tune: Tune, instrument: Instrument, levels: Levels) -> SixthDiminished:
    """Return the scale of the first walk that can start from a shape, or of the tonic."""
    kind = "minor" if tune.key.mode == "minor" else "major"
    walked = [
        scales_for(step.written)[0]
        for _, offer in levels
        for step in offer.added
        if step.move in _WALKS and step.written is not None
    ]
    tonic = SixthDiminished(tune.key.tonic, kind)
    for scale in dict.fromkeys(walked):
        try:
            starts.climbing_shape(scale, instrument)
        except HarmonyError:
            continue
        return scale
    starts.climbing_shape(tonic, instrument)
    return tonic


def _sections(tune: Tune, levels: Levels) -> Iterator[str]:
    """Yield the sections in order, a shape or a scale before the first move that needs it."""
    shown: set[str] = set()
    for place, (station, offer) in enumerate(levels, start=1):
        if station.needs and station.needs not in shown:
            shown.add(station.needs)
            yield ideas.SHAPE if station.needs == "shape" else ideas.SCALE
        yield _section(station, offer, place, of_idea.told_framing(tune))
        if place == 1 and dominants_of(tune):
            yield ideas.DOMINANTS
    if "shape" in shown:
        yield ideas.REASON
    yield "## By numbers\n\n{{{{ comparison() }}}}"


def _section(station: ideas.Station, offer: Offer, place: int, framing: str) -> str:
    text = station.text.replace("{level}", str(place))
    if place == 1 and framing:
        text += f" {framing}"
    counted = f" {{{{{{{{ added({place}) }}}}}}}}" if offer.added else ""
    parts = [f"## {station.name}", text + counted, f"{{{{{{{{ chart({place}) }}}}}}}}"]
    parts += [f"{{{{{{{{ added_chords({place}) }}}}}}}}"] if offer.added else []
    return "\n\n".join(parts)


def leads_home(chord: Chord, way: Resolution) -> bool:
    """Whether a diminished seventh's own root is the leading note of where it goes."""
    return (chord.root.pitch_class + 1 - way.target.pitch_class) % 12 == 0
