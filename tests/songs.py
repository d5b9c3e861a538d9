"""Songs that Hypothesis draws: a short melody with words, in verses, its parts repeated."""

from __future__ import annotations

import re

from hypothesis import strategies as st

from harmonykit.tune.tune import Tune

HEAD = 'format = 1\ntitle = "Tide Table"\nkey = "C"\nmeter = "4/4"\n'
WORDS = st.sampled_from(("row", "o~ver", "sea- ward", ". out", "_ home", ""))


@st.composite
def songs(draw: st.DrawFn) -> Tune:
    """Draw a song of up to three verses, its parts repeated or played again."""
    parts = draw(
        st.lists(
            st.sampled_from(("C", "|: C | D :|", "|: C | [1 D :| [2 E ||")), min_size=1, max_size=3
        )
    )
    changes = "\n".join(f"| {part} |".replace("| |:", "|:").replace(":| |", ":|") for part in parts)
    count = sum(len(re.findall("[CDE]", part)) for part in parts)
    verses = [
        "| " + " | ".join(draw(WORDS) for _ in range(count)) + " |"
        for _ in range(draw(st.integers(1, 3)))
    ]
    order = draw(st.sampled_from(('["A"]', '["A", "A"]')))
    melody = "| " + " | ".join(["G4:2 A4:2"] * count) + " |"
    return Tune.parse(
        f"{HEAD}form = {order}\n[[sections]]\nname = 'A'\nchanges = '''\n{changes}\n'''\n"
        f"melody = '{melody}'\nwords = {verses}\n"
    )
