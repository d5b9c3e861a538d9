"""Many tunes at once: in which key, on which instrument, does each lie best.

``survey`` makes a folder of numbers, and goes on where it was stopped; ``read_survey`` reads it;
``best_keys``, ``class_keys``, ``key_profile`` and ``gains`` say what it shows.
"""

from harmonykit.arrange.survey.run import survey
from harmonykit.arrange.survey.table import (
    best_keys,
    class_keys,
    gains,
    key_profile,
    keys_of,
    read_survey,
)

__all__ = ["best_keys", "class_keys", "gains", "key_profile", "keys_of", "read_survey", "survey"]
