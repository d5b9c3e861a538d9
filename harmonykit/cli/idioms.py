"""What ``harmonykit idioms`` prints: the idioms, one of them, or where they stand in a tune."""

import textwrap
from collections.abc import Iterator, Mapping
from pathlib import Path

from harmonykit.about.text import WIDTH
from harmonykit.arrange.idioms.idiom import PLACES, Idiom
from harmonykit.arrange.idioms.numeral import text_of
from harmonykit.arrange.idioms.reading import IDIOMS, OWN_FILE, read_idioms
from harmonykit.arrange.idioms.standing import find_idioms
from harmonykit.evidence.heard import heard_idiom
from harmonykit.evidence.kinds import STYLES
from harmonykit.paths import find_data
from harmonykit.score.files import read_tune
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.tune.analysis.patterns import blues_of
from harmonykit.tune.tune import Tune
from harmonykit.words.former import plain
from harmonykit.words.glossary import COMMON


def lines_of(asked: str | None, own: Path | None) -> Iterator[str]:
    """Yield all idioms, the one of a name, or those that stand in a tune.

    Parameters
    ----------
    asked : str or None
        A name, or a tune: a path, a shipped name, or chords between bar lines.
    own : Path or None
        A file of more idioms; beside a tune's file ``idioms.toml`` is read without being named.
    """
    more = {} if own is None else read_idioms(own)
    if asked is None:
        known: Mapping[str, Idiom] = {**IDIOMS, **more}
        for each in known.values():
            yield from _wrapped(f"{each.name}: {each.means}")
        return
    found = {plain(name): each for name, each in {**IDIOMS, **more}.items()}.get(plain(asked))
    if found is not None:
        yield from _told(found)
        return
    yield from _standing(asked, own, more)


def _standing(asked: str, own: Path | None, more: Mapping[str, Idiom]) -> Iterator[str]:
    if "|" in asked:
        tune, beside = Tune.parse(asked), None
    else:
        path = find_data("tunes", asked)
        tune, beside = read_tune(path), path.parent / OWN_FILE
    if own is None and beside is not None and beside.is_file():
        more = read_idioms(beside)
        yield from _wrapped(f"with the idioms of {beside.name}, beside the tune")
    if mode := blues_of(tune):
        yield from _wrapped(
            f"twelve-bar blues in {tune.key.tonic.unicode} {mode}: I7 and IV7 are at rest"
        )
    places = find_idioms(tune, idioms={**IDIOMS, **more})
    for place in places:
        yield from _wrapped(str(place))
    if not places:
        yield f"no idiom found in {tune.title}"


def _told(idiom: Idiom) -> Iterator[str]:
    yield from _wrapped(f"{idiom.name}: {idiom.means}")
    if idiom.after:
        new = " | ".join(" ".join(printed_numeral(text_of(c)) for c in g) for g in idiom.after)
        old = " | ".join(printed_numeral(text_of(choice)) for choice in idiom.before)
        yield from _fact("for", old)
        yield from _fact("write", new)
    else:
        yield from _fact("row", " ".join(printed_numeral(text_of(c)) for c in idiom.stands))
    yield from _fact("where", _where(idiom))
    if IDIOMS.get(idiom.name) == idiom:
        often = [heard_idiom(idiom.name, style) for style in STYLES]
        told = [str(each) for each in often if each.tunes] or [str(often[0])]
        yield from _fact("often", "; ".join(told))
    if idiom.source != COMMON:
        yield from _fact("source", idiom.source)


def _where(idiom: Idiom) -> str:
    told = [PLACES[idiom.where]]
    told += ["in every key through which a tune passes"] if idiom.any_key else []
    told += [f"in {idiom.mode} keys"] if idiom.mode else []
    told += [f"lasting {idiom.bars} bars or more"] if idiom.bars else []
    told += ["with a bass player"] if idiom.bass else []
    return "; ".join(told)


def _fact(about: str, said: str) -> Iterator[str]:
    indent = " " * 10
    yield from textwrap.wrap(said, WIDTH, initial_indent=f"  {about:8}", subsequent_indent=indent)


def _wrapped(text: str) -> Iterator[str]:
    yield from textwrap.wrap(text, WIDTH, subsequent_indent="    ", break_on_hyphens=False)
