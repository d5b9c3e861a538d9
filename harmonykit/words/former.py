"""Names that files and commands had before, or that the trade uses beside ours, and ours.

Whatever reads a name passes it through ``current``; what is written has the names of today.
"""

from collections.abc import Mapping
from types import MappingProxyType

FORMER: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "move": {
            # 0.1.0
            "approach": "leading-tone diminished",
            "dominant to diminished": "rootless dominant",
            "climb": "ascending walk",
            "descent": "descending walk",
            "falling": "descending passing diminished",
            "auxiliary": "common-tone diminished",
            "held bass": "pedal point",
            "tritone partner": "tritone substitution",
            "other parent": "four dominants",
            "borrowed note": "suspension",
            "rename": "chord synonym",
            # The trade
            "backdoor dominant": "backdoor",
            "one of the four dominants": "four dominants",
            "pedal": "pedal point",
            "rootless dominant b9": "rootless dominant",
            "subv7": "tritone substitution",
            "walk down": "descending walk",
            "walk up": "ascending walk",
        },
        "style": {
            "near the nut": "low on the neck",
            "climbing": "walking",
        },
        # The calls of a lesson's text: read as they are spelled.
        "call": {
            "inserted": "added_chords",
            "boxes": "lowered_diagrams",
            "box": "diagram",
            "words": "frets_aloud",
            "strings": "open_strings",
            "parents": "four_dominants",
            "scale": "scale_shapes",
            "leads_to": "resolves_to",
            "apart": "semitones_apart",
            "share": "common_notes",
            "holding": "chords_holding",
        },
        "column": {
            "greatest_step": "greatest_movement",
            "mean_step": "mean_movement",
            "written_mean_step": "written_mean_movement",
            "inserted": "added",
            "greatest step (semitones)": "greatest voice movement (semitones)",
            "mean step (semitones a change)": "mean voice movement (semitones)",
            "inserted (chords)": "added (chords)",
        },
    }
)
"""Names that were, or that others use, by kind of thing, and the names of today."""


def current(kind: str, name: str) -> str:
    """Return today's name of a thing, typed in either case and with blanks or hyphens.

    Parameters
    ----------
    kind : {"move", "style", "column"}
    name : str
        A name that is in no table is given back as it stands.

    Examples
    --------
    >>> current("move", "tritone partner"), current("move", "Rootless dominant ♭9")
    ('tritone substitution', 'rootless dominant')
    >>> current("style", "climbing"), current("column", "mean_step"), current("move", "pedal-point")
    ('walking', 'mean_movement', 'pedal point')
    """
    return _BY_KIND[kind].get(plain(name), name)


def plain(name: str) -> str:
    """Return a name as it is looked up: lower case, ``b`` for ♭, blanks for hyphens and dashes."""
    return " ".join(name.casefold().replace("♭", "b").replace("-", " ").replace("–", " ").split())


_BY_KIND = {
    kind: {plain(each): now for pair in names.items() for each in pair for now in pair[1:]}
    for kind, names in FORMER.items()
}
