"""The lexicon with weights by which a reading counts where the frames find it and no cue of theirs hinders it.

What frames and cues are meant to do is tested by single sentences.  What is claimed in the end is weighed, and tested
by how many of the judged sentences come out right (`tests/trials/test_levels.py`).
"""

from __future__ import annotations

from auditor.claims.terms.lexicon import Lexicon, cut
from auditor.claims.terms.weights import ALWAYS, ANY, FRAMED
from auditor.rulebook.texts import lexicon_data

FRAMES_ALONE = Lexicon({**lexicon_data(None, cut), "weights": {ANY: {FRAMED: 2.0, ALWAYS: -1.0}}})
