"""What ``harmonykit compare`` does in order: all is checked, then sought, then said and written."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from harmonykit.cli.asked import Asked
from harmonykit.cli.compare import Taken, compare_tune, take_one
from harmonykit.cli.figures import write_plots
from harmonykit.cli.taking import check_way_file, write_way
from harmonykit.files.file import check_file
from harmonykit.files.manifest import write_beside
from harmonykit.fretboard.strings.instrument import Instrument
from harmonykit.tune.tune import Tune


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is wanted: which arrangements, and where what goes.

    Parameters
    ----------
    tune : Tune
    instrument : Instrument
    asked : Asked
    take, at : str
        Which one is taken, and the place in it of which alternatives are listed; may be empty.
    offers, chord_melody : bool
        Whether those that differ in kind are compared, and whether a chord melody is.
    """

    tune: Tune
    instrument: Instrument
    asked: Asked
    take: str = ""
    at: str = ""
    offers: bool = False
    chord_melody: bool = False


def check_files(csv: Path | None, out: Path | None) -> None:
    """Refuse files that cannot be written, before any work is done."""
    for file in filter(None, (csv, out)):
        check_file(file)
    if out is not None:
        check_way_file(out)


def compared(
    wanted: Wanted, csv: Path | None, plots: Path | None, out: Path | None
) -> Iterator[str]:
    """Yield what is to be said, after what it says is done."""
    way = _alone(wanted) if csv is None and plots is None else None
    if way is not None:
        yield way.told(wanted.at)
    else:
        found = compare_tune(
            wanted.tune, wanted.instrument, wanted.asked,
            block_chords=wanted.chord_melody, by_kind=wanted.offers,
        )  # fmt: skip
        way = found.taken(wanted.take) if wanted.take else None
        yield way.told(wanted.at) if way else found.text
        if csv is not None and (kept := write_beside(csv, found.csv)):
            yield str(kept)
        if plots is not None:
            yield "\n" + write_plots(found, plots)
    if way is not None and out is not None:
        yield "\n" + write_way(way.way, out)


def _alone(wanted: Wanted) -> Taken | None:
    """Return the arrangement that is taken by its name, without seeking the others."""
    if not wanted.take or wanted.chord_melody:
        return None
    return take_one(
        wanted.tune, wanted.instrument, wanted.asked, wanted.take, by_kind=wanted.offers
    )
