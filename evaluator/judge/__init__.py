"""Path to verdicts: chord, bass, rhythm, form, tempo, and the marks for them.

judge    a song, a take, its strikes and the way through them -> Judgement
"""

from evaluator.judge.judgement import judge
from evaluator.judge.verdict import (
    BarVerdict,
    FormFinding,
    Judgement,
    Marks,
    PartVerdict,
    RhythmVerdict,
    SpanVerdict,
    StrikeFault,
    Tempo,
)

__all__ = [
    "BarVerdict",
    "FormFinding",
    "Judgement",
    "Marks",
    "PartVerdict",
    "RhythmVerdict",
    "SpanVerdict",
    "StrikeFault",
    "Tempo",
    "judge",
]
