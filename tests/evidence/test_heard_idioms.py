"""How often idioms stand in tunes: the table against that of short rows, and against laws."""

from __future__ import annotations

from itertools import pairwise, product

import pytest

from harmonykit.arrange.idioms.reading import IDIOMS
from harmonykit.evidence.heard import FEWEST, LONGEST, heard_idiom
from harmonykit.evidence.kinds import JAZZ, PLAIN, read_table

SHORT = [
    each for each in IDIOMS.values()
    if each.any_key and not each.where and 2 <= len(each.stands) <= LONGEST
    and all(n.bass is None and not n.exact for choice in each.stands for n in choice)
]  # fmt: skip


@pytest.mark.parametrize("style", [JAZZ, PLAIN])
def test_only_idioms_that_ship_are_counted_in_three_tunes_or_more(style):
    table = read_table("idioms")
    assert set(table[style]) <= set(IDIOMS)
    for times, tunes in table[style].values():
        assert times == tunes == 0 or FEWEST <= tunes <= min(times, table["tunes"][style])


@pytest.mark.parametrize("idiom", SHORT, ids=lambda idiom: idiom.name)
def test_an_idiom_of_any_key_is_heard_as_often_as_its_rows(idiom):
    """The sum over its rows of kinds; of those, rows of fewer than three tunes are not kept."""
    chains, total = read_table("heard")["chains"], 0
    places = [
        sorted({(n.degree.pitch_class, kind) for n in choice for kind in n.kinds})
        for choice in idiom.stands
    ]
    for row in product(*places):
        words = [row[0][1]]
        for (one, _), (two, kind) in pairwise(row):
            words += [str((two - one) % 12), kind]
        total += chains.get(" ".join(words), [0])[0]
    told = heard_idiom(idiom.name)
    assert told.times >= total or not told.tunes
    assert told.times <= total * 1.25 + 25


def test_what_cannot_be_counted_says_so():
    told = heard_idiom("tonic pedal")
    assert not told.tunes and "bass" in told.uncounted and str(told).startswith("not counted")
    assert not heard_idiom("rising line cliché").tunes


def test_usual_idioms_are_heard_more_than_rare_ones():
    # Common practice, no source.
    order = ["ii–V–I", "turnaround", "backdoor", "delayed tonic"]
    often = [heard_idiom(name).tunes for name in order]
    assert often == sorted(often, reverse=True)
