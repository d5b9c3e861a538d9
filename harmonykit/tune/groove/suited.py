"""Which groove a tune is played with, where nobody says one: by its metre, its style, its tempo."""

from __future__ import annotations

import difflib
from dataclasses import replace
from functools import cache
from pathlib import Path

from harmonykit.errors import HarmonyError
from harmonykit.tune.bar import Meter
from harmonykit.tune.groove.shelf import find_groove, grooves
from harmonykit.tune.groove.value import Groove, plain
from harmonykit.tune.tune import Tune


def groove_for(tune: Tune, meter: Meter | None = None) -> Groove:
    """Return the groove that suits a tune: of its metre, by its style, then by its tempo.

    Parameters
    ----------
    tune : Tune
        Its ``style`` is any words: the groove with most of them is taken.
    meter : tuple of int, optional
        Of some of its bars; the metre at its start unless given.

    Returns
    -------
    Groove
        A stroke on each beat where no groove has the metre.

    Raises
    ------
    HarmonyError
        If no groove of any metre knows the style, with the nearest that one does.

    Examples
    --------
    >>> hk.tune.groove_for(hk.read_tune("dry_dock_bossa")).name
    'bossa'
    >>> hk.tune.groove_for(hk.Tune.parse("3/4 | C | G7 | C |", key="C")).name
    'waltz'
    """
    return _suited(tune.style.strip().lower(), tune.tempo, meter or tune.meter)


def chosen(tune: Tune, groove: Groove, name: str, folder: Path | None = None) -> Groove:
    """Return a groove by its name, or ``groove`` with other strokes: a line of text has several.

    Raises
    ------
    HarmonyError
        For a name that is unknown, a groove of another metre, and a line that cannot be read.
    """
    if _is_strum(name):
        return in_meter(groove, tune, tune.meter).strummed(name)
    found = find_groove(name, folder)
    if found.meter != tune.meter:
        raise HarmonyError(
            f"{found.name} is in {_typed(found.meter)}, the tune in {_typed(tune.meter)}",
            mend=f'"{groove_for(tune).name}"',
        )
    return found


def _is_strum(text: str) -> bool:
    """Whether a text is a strum rather than a name: it has hardly anything but signs of one.

    Examples
    --------
    >>> [_is_strum(text) for text in ("D-DU-UDU", "D - D Q", "cut time", "two-four")]
    [True, True, False, False]
    """
    words = text.upper().split()
    signs = [word for word in words if set(word) <= set("DUXR()!~.-|")]
    return len(signs) * 2 > len(words)


def _typed(meter: Meter) -> str:
    return f"{meter[0]}/{meter[1]}"


def in_meter(groove: Groove, tune: Tune, meter: Meter) -> Groove:
    """Return a groove, or, in bars of another metre, what suits the tune there, as human as it."""
    if groove.meter == meter:
        return groove
    other = groove_for(tune, meter)
    return replace(other, timing=groove.timing, dynamics=groove.dynamics, seed=groove.seed)


@cache
def _suited(style: str, tempo: float, meter: Meter) -> Groove:
    every = list(grooves().values())
    here = [groove for groove in every if groove.meter == meter]
    if style:
        best = max((_match(groove, style) for groove in every), default=0)
        if not best:
            raise HarmonyError(
                f"no groove suits the style {style!r}",
                rule=f"a style has one of these words: {', '.join(_styles(every))}",
                mend=_near(style, every),
            )
        known = [groove for groove in here if _match(groove, style)]
        if known:
            most = max(_match(groove, style) for groove in known)
            return _by_tempo([g for g in known if _match(g, style) == most], tempo)
    usual = [groove for groove in here if groove.usual]
    # A tempo that nobody asked to slow stays.
    return replace(_by_tempo(usual or here, tempo), ritard=1.0) if here else plain(meter)


def _by_tempo(found: list[Groove], tempo: float) -> Groove:
    """Return the groove whose tempi hold this one, or come next to it; the first of several."""
    return min(found, key=lambda g: max(g.tempo[0] - tempo, tempo - g.tempo[1], 0))


def _match(groove: Groove, style: str) -> int:
    """Return how many words of a style a groove knows at most, as one of its styles."""
    words = set(style.replace("-", " ").split())
    own = [set(each.replace("-", " ").split()) for each in (groove.name, *groove.styles)]
    return max((len(each) for each in own if each <= words), default=0)


def _styles(every: list[Groove]) -> list[str]:
    return sorted({style for groove in every for style in (groove.name, *groove.styles)})


def _near(style: str, every: list[Groove]) -> str:
    near = difflib.get_close_matches(style, _styles(every), 1)
    return f'style = "{near[0]}"' if near else ""
