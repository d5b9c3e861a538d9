"""What ``harmonykit tune`` does: reads a tune of any kind, says so, moves it and writes it."""

import os
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

from harmonykit.about.text import WIDTH
from harmonykit.cli.chart import tune_lines
from harmonykit.files import file, manifest
from harmonykit.paths import find_data
from harmonykit.score.files import losses, written
from harmonykit.score.typed import Typed, take_in, take_in_file
from harmonykit.tune.analysis.function import said_phrases
from harmonykit.tune.analysis.surprise import surprise
from harmonykit.tune.text.pasted.header import Given
from harmonykit.tune.tune import Tune, TuneError
from harmonykit.values import dataclass

_LEFT = 10
_STDIN = "-"


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed: the tune, what is known of it, where it should go.

    Parameters
    ----------
    source : str or None
        A path, the name of a tune that ships, or the text itself; standard input where none.
    """

    source: str | None
    number: int | None
    key: str
    meter: str
    title: str
    naming: str | None
    to: str
    by: int
    out: Path | None

    @property
    def given(self) -> Given:
        """What is known of it."""
        return Given.of(self.key, self.meter, self.naming or "", self.title)


def told(asked: Asked) -> Iterator[str]:
    """Yield what is said of the tune, after all that was asked for is done."""
    if asked.to and asked.by:
        raise TuneError("the tune is transposed twice", rule="give --to KEY or --by SEMITONES")
    if asked.out is not None:
        file.check_file(asked.out)
        losses_of(asked.out)
    typed = _read(asked)
    tune = _moved(typed.tune, asked)
    end = list(_write(tune, asked.out)) if asked.out is not None else []
    yield tune.title
    yield from _facts(typed, tune)
    if any(change.chord for change in tune.changes):
        yield from _chords(tune)
    yield from _doubts(typed.tune)
    yield from end


def _chords(tune: Tune) -> Iterator[str]:
    """Yield what is said of the chords, and a chart of them."""
    if (harmony := surprise(tune)).changes:
        yield from _fact("surprise", harmony.words)
    yield from _fact("phrases", said_phrases(tune))
    yield ""
    yield from tune_lines(tune)
    first = next(n for n, bar in enumerate(tune.bars) if bar.changes)
    if any(not bar.changes for bar in tune.bars[first:]):
        yield "A bar with - holds the chord before."


def losses_of(path: Path) -> None:
    """Refuse a name that no tune is written under, before any work is done."""
    losses(Tune.parse("| C |"), path)


def _read(asked: Asked) -> Typed:
    source, number = asked.source, asked.number
    if source in (None, _STDIN):
        if sys.stdin.isatty():
            raise TuneError(
                "the tune is missing",
                mend='harmonykit tune "| F D7 | Gm7 C7 |", or a file\'s name',
            )
        return take_in(sys.stdin.read(), number or 0, asked.given, "standard input")
    assert source is not None
    if _is_text(source):
        return take_in(source, number or 0, asked.given)
    return take_in_file(find_data("tunes", source), number, asked.given)


def _is_text(source: str) -> bool:
    """Return whether a tune is typed, not named: it has bar lines, or blanks and no file's end."""
    if "|" in source or "\n" in source:
        return True
    # A text of some length is no name to the system, which says so by an error.
    return " " in source.strip() and not Path(source).suffix and not os.path.exists(source)


def _moved(tune: Tune, asked: Asked) -> Tune:
    if asked.to:
        return tune.transpose_to(asked.to)
    return tune.transpose_by(asked.by) if asked.by else tune


def _facts(typed: Typed, tune: Tune) -> Iterator[str]:
    yield from _fact("read as", typed.kind)
    for about, said in typed.told:
        yield from _fact(about, said)
    if tune is not typed.tune:
        yield from _fact("moved", f"from {typed.tune.key.unicode} to {tune.key.unicode}")


def _fact(about: str, said: str) -> Iterator[str]:
    indent = " " * _LEFT
    yield from textwrap.wrap(
        said, WIDTH, initial_indent=f"{about:{_LEFT}}", subsequent_indent=indent,
        break_on_hyphens=False,
    )  # fmt: skip


def _doubts(tune: Tune) -> Iterator[str]:
    if tune.doubts:
        yield ""
        yield "Doubts"
    for doubt in tune.doubts:
        yield from textwrap.wrap(
            doubt, WIDTH, initial_indent="- ", subsequent_indent="  ", break_on_hyphens=False
        )


def _write(tune: Tune, path: Path) -> Iterator[str]:
    kept = manifest.write_beside(path, written(tune, path), error=TuneError)
    yield ""
    yield f"Wrote {path}."
    if kept:
        yield f"{kept}"
    if lost := losses(tune, path):
        yield f"Not kept in {path.suffix}: {'; '.join(lost)}."
