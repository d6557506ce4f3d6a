"""As what is a take to be understood: of both hands or of one, of the passage or of the song?

Each way of understanding it is followed and judged; the take is of one hand alone only if that
makes clearly more of it right, and one of the whole song only if the song explains it.
"""

from dataclasses import dataclass, replace

from evaluator.chart.graph import BarGraph, Hand
from evaluator.errors import TakeError
from evaluator.excerpt.apart import OneHandPass, hands_apart
from evaluator.excerpt.one_hand import follow_hand, heard_alone, may_be_one_hand, side_of
from evaluator.excerpt.rounds import Round, judge_rounds, looped
from evaluator.excerpt.song import Song
from evaluator.excerpt.within import goes_through_song, passage_within
from evaluator.follow import Path, follow
from evaluator.judge import judge
from evaluator.judge.choice import in_played_patterns
from evaluator.judge.gaps import excused, unheard
from evaluator.judge.marks import mean_mark
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import Judgement
from evaluator.take.gaps import Gap
from evaluator.take.model import Take
from evaluator.take.strike import Strike

DOUBTFUL = 75.0
"""A take of which less was right that one hand could have played is tried as one of one hand,"""
CLEARLY = 5.0
"""and is one if so much more of it is right then. Common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """A take, its strikes, and when nothing could be heard."""

    take: Take
    strikes: tuple[Strike, ...]
    gaps: tuple[Gap, ...] = ()
    """When nothing of it could be."""


@dataclass(frozen=True, slots=True)
class Understood:
    """A take understood in one way: as the song, a passage or one hand of it; followed and judged
    so."""

    song: Song
    """What it was played of."""
    path: Path
    judgement: Judgement
    rounds: tuple[Round, ...] = ()
    """Each time through a passage."""
    within: bool = False
    """Whether it is a take of the song in which the passage was found."""
    apart: tuple[OneHandPass, ...] = ()
    """What the hands practised apart before both played it, and is not judged."""
    alone: Hand | None = None
    """The hand that seems to have played alone, without being asked for."""

    @property
    def right(self) -> float:
        """How much of it was right, 0 to 100; 0 for what is no take of this song."""
        judgement = self.judgement
        return mean_mark(judgement.marks, judgement.rubric) if judgement.matches else 0.0


def understand(song: Song, heard: Heard, rubric: Rubric) -> Understood:
    """The take as one of both hands, or of the hand that seems to have played alone.

    Raises `TakeError` for one that does not come to the passage.
    """
    song, path = _in_its_patterns(song, heard)
    try:
        found = _judged(song, heard, rubric, path)
    except TakeError as refusal:
        if song.hand is not None or not may_be_one_hand(song.graph, heard.strikes):
            raise
        return _of_one_hand(song, heard, rubric, refusal)
    alone = None if song.hand else _played_alone(found, heard)
    if alone is not None:
        again = _judged(song.one_handed(alone), heard, rubric)
        if again.right > found.right + CLEARLY:
            found = again
    return replace(_together(found, heard, rubric), alone=alone)


def _together(found: Understood, heard: Heard, rubric: Rubric) -> Understood:
    """The take without what the hands practised apart, if they did."""
    song = found.song
    if song.hand is not None or song.cut_from is not None or not found.judgement.matches:
        return found
    together = hands_apart(song.graph, heard.strikes, found.path, found.judgement)
    if together is None:
        return found
    excusing = replace(heard, gaps=(*heard.gaps, *together.gaps))
    return replace(_judged_on(song, excusing, rubric, together.path), apart=together.apart)


def _in_its_patterns(song: Song, heard: Heard) -> tuple[Song, Path | None]:
    """The song in those patterns, of the ones that the chart allows, that were played.

    And the take's path, if it was followed through them: not if others were played than the
    chart names first, since strikes are placed by the pattern.
    """
    if song.cut_from is not None or not any(bar.others for bar in song.graph.bars):
        return song, None
    path = follow(song.graph, heard.strikes, heard.gaps)
    played = in_played_patterns(song.graph, path, heard.strikes)
    first = all(bar.strikes == song.graph.bars[bar.index].strikes for bar in played.bars)
    known = path if first and song.hand is None else None
    return replace(song, graph=played), known


def _of_one_hand(song: Song, heard: Heard, rubric: Rubric, refusal: TakeError) -> Understood:
    """A passage that two hands do not seem to come to, as one hand plays it round and round."""
    alone = side_of(heard.strikes)
    hint = TakeError(f"{refusal} If only the {alone} hand was played in it, add --hand {alone}.")
    try:
        found = _judged(song.one_handed(alone), heard, rubric)
    except TakeError:
        raise hint from refusal
    if not found.judgement.matches:
        raise hint from refusal
    return replace(found, alone=alone)


def _judged(song: Song, heard: Heard, rubric: Rubric, path: Path | None = None) -> Understood:
    """Follow a take through what is to be played, unless its path is known, and judge it."""
    way = song.graph if song.cut_from is None else looped(song.graph)
    path = _way(song, way, heard) if path is None else unheard(path, heard.gaps)
    found = _judged_on(song, heard, rubric, path)
    if song.cut_from is None or found.right >= DOUBTFUL:
        return found
    whole = _way(song, song.cut_from.graph, heard)
    if not goes_through_song(whole, song.cut_from.kept):
        return found
    within = passage_within(whole, song.graph, song.cut_from.kept)
    return replace(_judged_on(song, heard, rubric, within), within=True)


def _way(song: Song, graph: BarGraph, heard: Heard) -> Path:
    find = follow_hand if song.hand else follow
    return unheard(find(graph, heard.strikes, heard.gaps), heard.gaps)


def _judged_on(song: Song, heard: Heard, rubric: Rubric, path: Path) -> Understood:
    """Judge a take on its path through what is to be played."""
    graph, take = song.graph, heard.take
    judgement = judge(graph, take, heard.strikes, path, rubric=rubric, only=song.hand)
    rounds: tuple[Round, ...] = ()
    if song.cut_from is not None:
        judgement, rounds = judge_rounds(graph, path, judgement, seconds=take.seconds)
    return Understood(song, path, excused(graph, path, judgement, heard.gaps), rounds)


def _played_alone(found: Understood, heard: Heard) -> Hand | None:
    """The hand that a take seems to be of, if it is of one hand."""
    graph = found.song.graph
    alone = heard_alone(graph, found.judgement)
    if alone is None and found.right < DOUBTFUL and may_be_one_hand(graph, heard.strikes):
        return side_of(heard.strikes)
    return alone
