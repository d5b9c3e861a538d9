"""One tune made into another: moves and idioms, styles, the search, and what it found.

``hk.reharmonise`` searches.  ``MOVES``, ``IDIOMS`` and ``STYLES`` list what may be asked for by
name; ``offers`` compares arrangements that differ in kind, ``alternatives`` fills one place.
"""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.arrange.arrangement import Refusal, Step
    from harmonykit.arrange.block.harmonise import (
        Harmony,
        MelodyRoles,
        harmonise_note,
        melody_roles,
    )
    from harmonykit.arrange.block.melody import OnTop, melody_on_top
    from harmonykit.arrange.choices import Front, Point
    from harmonykit.arrange.gains_and_costs import Tradeoff, tradeoffs
    from harmonykit.arrange.idioms.frames import ENDINGS, INTROS, framed
    from harmonykit.arrange.idioms.idiom import Idiom
    from harmonykit.arrange.idioms.reading import IDIOMS, read_idioms
    from harmonykit.arrange.idioms.standing import Standing, find_idioms
    from harmonykit.arrange.left_alone import RULES as LEFT_ALONE
    from harmonykit.arrange.left_alone import places_left_alone
    from harmonykit.arrange.line_figures import LineFigures, line
    from harmonykit.arrange.measures import ABOUT as MEASURES
    from harmonykit.arrange.measures import Measures, measure
    from harmonykit.arrange.moves import MOVES
    from harmonykit.arrange.offering import OFFERS, Offer, densities, offers
    from harmonykit.arrange.places import Alternative, alternatives
    from harmonykit.arrange.revising import chosen_at, revise
    from harmonykit.arrange.score import lead_sheet, to_musicxml
    from harmonykit.arrange.styles import STYLES, Style
    from harmonykit.arrange.together import Rub, rubs_between
    from harmonykit.arrange.weights import Weights
else:
    __getattr__, __dir__ = offered(__name__, renamed={"PRESETS": "STYLES", "preset": "STYLES"})

__all__ = [
    "offers",
    "densities",
    "Offer",
    "OFFERS",
    "alternatives",
    "Alternative",
    "ENDINGS",
    "IDIOMS",
    "INTROS",
    "LEFT_ALONE",
    "LineFigures",
    "MEASURES",
    "MOVES",
    "STYLES",
    "Front",
    "Idiom",
    "Harmony",
    "Measures",
    "MelodyRoles",
    "OnTop",
    "Point",
    "Refusal",
    "Rub",
    "Standing",
    "Step",
    "Style",
    "Tradeoff",
    "Weights",
    "chosen_at",
    "find_idioms",
    "framed",
    "harmonise_note",
    "lead_sheet",
    "line",
    "measure",
    "melody_on_top",
    "melody_roles",
    "places_left_alone",
    "read_idioms",
    "revise",
    "rubs_between",
    "to_musicxml",
    "tradeoffs",
]
