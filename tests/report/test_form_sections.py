"""Form in the words of the lesson: sections left out, played twice, in place of others.

Takes along their true paths. Wordings are our own.
"""

import pytest

from evaluator.chart import read_chart
from tests.judge.songs import HEAD
from tests.judge.truth_path import judged
from tests.playing import play
from tests.report.builders import report

GRAPH = read_chart(
    HEAD
    + """[Verse 1]
| D | A | Bm7 | G |
| D | A | G | A |
[Chorus]
| G | D/F# | Em7 | A |
| D | x4
[Verse 2]
| Bm7 | G | D | A |
| Em7 | G | Em7 | A |
[Chorus]
[Verse 3]
| D | G | D | G |
| Em7 | G | A | A |
[Chorus] tail x3
"""
)
V1, C1, V2, C2, V3, C3 = range(6)


def sections(*played: int) -> list[int]:
    return [
        index for one in played for index in GRAPH.written if GRAPH.bars[index].section_index == one
    ]


@pytest.mark.parametrize(
    ("played", "said", "brief"),
    [
        ((V1, C1, V2, C2, V3, C3), (), ""),
        (
            (V1, C1, V3, C3),
            ("Verse 2 and Chorus 2 left out (bars 17 to 32).",),
            "Verse 2 and Chorus 2 left out",
        ),
        ((V1, C1, C2, V3, C3), ("Verse 2 left out (bars 17 to 24).",), "Verse 2 left out"),
        (
            (V1, C1, C1, V2, C2, V3, C3),
            ("Chorus 1 played twice (bars 9 to 16).",),
            "Chorus 1 played again",
        ),
        (
            (V1, C1, V2, C2, V2, C2, V3, C3),
            ("Verse 2 and Chorus 2 played twice (bars 17 to 32).",),
            "Verse 2 and Chorus 2 played again",
        ),
        (
            (V1, C1, V1, C2, V3, C3),
            ("Verse 1 was played in place of Verse 2 (bars 17 to 24).",),
            "Verse 1 in place of Verse 2",
        ),
    ],
    ids=lambda value: "" if isinstance(value, str) else "-".join(map(str, value)),
)
def test_whole_sections_are_told_by_their_names(
    played: tuple[int, ...], said: tuple[str, ...], brief: str
) -> None:
    told = report(judged(GRAPH, play(GRAPH, sections(*played))), GRAPH)
    assert tuple(one.say for one in told.form_told) == said
    assert brief in told.headline
    assert told.fix_first == said
