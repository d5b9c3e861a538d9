"""What ``ideas`` and ``idioms`` print: findings with proof; idioms, and where they stand."""

import difflib
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from harmonykit import paths
from harmonykit.about.text import WIDTH
from harmonykit.arrange.idioms.idiom import PLACES, Idiom
from harmonykit.arrange.idioms.numeral import text_of
from harmonykit.arrange.idioms.reading import BESIDE, OWN_FILE, idioms_beside, read_idioms, shipped
from harmonykit.arrange.idioms.standing import find_idioms
from harmonykit.cli.asked import tune_of
from harmonykit.cli.called import as_called
from harmonykit.errors import HarmonyError, attempt
from harmonykit.evidence import heard, kinds
from harmonykit.files import file, shown, toml
from harmonykit.ideas.finder import discover
from harmonykit.ideas.finding import Finding
from harmonykit.lesson.plan.idea import every_idea, key_lines
from harmonykit.score.files import read_tune
from harmonykit.score.typed import take_in
from harmonykit.theory.chord import Chord
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.tune.analysis.patterns import blues_of
from harmonykit.tune.class_file import read_class
from harmonykit.tune.tune import Tune
from harmonykit.words.former import plain
from harmonykit.words.glossary import COMMON

_MOST_SPOTS = 3


def ideas_lines(
    source: str, instrument: str, tunes: Sequence[str], most: int, class_file: str = ""
) -> Iterator[str]:
    """Yield the ideas about a source, numbered, the most useful first.

    Parameters
    ----------
    source : str
        A chord, a kind, a scale, notes, a shape, or a tune.
    instrument : str
    tunes : sequence of str
        Where ideas should stand: paths, shipped names, or chords between bar lines.
    most : int
        How many ideas.
    class_file : str
        A class file, whose grips are not new; where empty, the open shapes are known.
    """
    read = [tune_of(each) for each in tunes]
    knows = read_class(class_file) if class_file else None
    found = discover(_source(source), instrument, read, knows)
    for place, finding in enumerate(found[:most], 1):
        yield from _idea(place, finding)
    if not found:
        yield f"{source}: nothing found that is worth a lesson; a chord or a scale near it may do"
    if len(found) > most:
        yield f"{len(found) - most} more: --most {len(found)}"


def shipped_ideas() -> Iterator[str]:
    """Yield every idea that ships: its name, and what the class finds out."""
    for idea in every_idea():
        yield from _hanging(f"{idea.name:24} ", idea.question, 25)
    yield ""
    yield as_called("harmonykit lesson --new TUNE --idea NAME drafts a lesson about one of them.")


def keys_of_ideas() -> Iterator[str]:
    """Yield every key of an idea file."""
    yield from map(as_called, key_lines())


def _source(asked: str) -> str | Tune:
    """Return a tune where one is meant: bar lines, a name that ships, or a file."""
    if "|" in asked:
        return take_in(asked).tune
    try:
        path = paths.find_data("tunes", asked)
    except HarmonyError:
        _no_idea(asked)
        return asked
    try:
        return read_tune(path)
    except HarmonyError:
        if not _is_an_idea(path):
            raise
        raise HarmonyError(
            f"{shown(path)} is an idea, and ideas are found about a chord, a scale or a tune",
            rule="an idea is what a draft is about",
            mend=f"harmonykit lesson draft.md --new TUNE --idea {file.typed(path)}",
        ) from None


def _no_idea(asked: str) -> None:
    """Refuse the name of an idea that ships: it is listed beside what is sought here."""
    for idea in every_idea():
        if asked == idea.name:
            raise HarmonyError(
                f"{asked} is an idea: {idea.question}",
                rule="ideas are found about a chord, a scale or a tune; a lesson is drafted about "
                "an idea",
                mend=f"harmonykit lesson draft.md --new TUNE --idea {asked}",
            )


def _is_an_idea(path: Path) -> bool:
    found = attempt(toml.read_toml_file, path, "the idea")
    return found is not None and "question" in found[0]


def _idea(place: int, finding: Finding) -> Iterator[str]:
    yield from _hanging(f"{place}. ", finding.statement, 3)
    yield from _idea_fact("proof", finding.proof)
    yield from _idea_fact("not so", finding.near_miss)
    if finding.ease.shapes:
        yield from _idea_fact("play", ", ".join(finding.ease.shapes))
    yield from _idea_fact("hear", finding.hearing.said)
    yield from _idea_fact("where", _found(finding))
    if finding.rarity:
        yield from _idea_fact("rare", f"true of {finding.rarity} of 224 set classes")
    yield ""


def _found(finding: Finding) -> str:
    if not finding.spots:
        return finding.heard
    own = [spot for spot in finding.spots if spot.chord == _printed(finding.teach.source)]
    moved = [spot for spot in finding.spots if spot not in own]
    told = [str(spot) for spot in [*own, *moved][:_MOST_SPOTS]]
    if len(own) < len(told):
        told[len(own)] = f"moved to fit: {told[len(own)]}"
    more = len(finding.spots) - _MOST_SPOTS
    return "; ".join([*told, f"{more} more"] if more > 0 else told)


def _printed(source: str) -> str:
    chord = attempt(Chord.parse, source)
    return chord.unicode if chord else ""


def _idea_fact(about: str, said: str) -> Iterator[str]:
    if said:
        yield from _hanging(f"   {about:7}", said, 10)


def _hanging(first: str, said: str, indent: int) -> Iterator[str]:
    yield from textwrap.wrap(
        said,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * indent,
        break_on_hyphens=False,
    )


def idiom_lines(asked: str | None, own: Path | None) -> Iterator[str]:
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
        known: Mapping[str, Idiom] = {**shipped(), **more}
        for each in known.values():
            yield from _wrapped(f"{each.name}: {each.means}")
        return
    names = {plain(name): each for name, each in {**shipped(), **more}.items()}
    if (found := names.get(plain(asked))) is not None:
        yield from _idiom(found)
        return
    if "|" not in asked and not Path(asked).suffix and not _is_tune(asked):
        near = difflib.get_close_matches(plain(asked), names, 3, 0.75)
        near += [each for each in names if plain(asked) in each and each not in near][:3]
        rule = (
            "the name of an idiom, a tune that ships, or a path; idioms of your own are read "
            f"with --own FILE, or from {OWN_FILE} beside a tune"
        )
        tunes = difflib.get_close_matches(asked, paths.shipped("tunes"), 1)
        mend = " or ".join([*(names[each].name for each in near), *tunes])
        mend = mend or as_called(f'harmonykit idioms "{asked}" --own {OWN_FILE}')
        raise HarmonyError(f"no idiom is called {asked!r}", rule=rule, mend=mend)
    yield from _standing(asked, own, more)


def _is_tune(asked: str) -> bool:
    return attempt(paths.find_data, "tunes", asked) is not None


def _standing(asked: str, own: Path | None, more: Mapping[str, Idiom]) -> Iterator[str]:
    if "|" in asked:
        tune, beside = take_in(asked).tune, None
    else:
        path = paths.find_data("tunes", asked)
        tune = read_tune(path)
        beside = idioms_beside(path) if own is None else None
    if beside is not None:
        more = beside
        yield from _wrapped(BESIDE)
    if mode := blues_of(tune):
        yield from _wrapped(
            f"twelve-bar blues in {tune.key.tonic.unicode} {mode}: I7 and IV7 are at rest"
        )
    places = find_idioms(tune, idioms={**shipped(), **more})
    for place in places:
        yield from _wrapped(str(place))
    if not places:
        yield f"no idiom found in {tune.title}"


def _idiom(idiom: Idiom) -> Iterator[str]:
    yield from _wrapped(f"{idiom.name}: {idiom.means}")
    if idiom.after:
        new = " | ".join(" ".join(printed_numeral(text_of(c)) for c in g) for g in idiom.after)
        old = " | ".join(printed_numeral(text_of(choice)) for choice in idiom.before)
        yield from _fact("for", old)
        yield from _fact("write", new)
    else:
        yield from _fact("row", " ".join(printed_numeral(text_of(c)) for c in idiom.stands))
    yield from _fact("where", _where(idiom))
    if shipped().get(idiom.name) == idiom:
        often = [heard.heard_idiom(idiom.name, style) for style in kinds.STYLES]
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
