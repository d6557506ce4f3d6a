"""Which bars of the song were played in this take, in which order, and when?

The whole-take form of following: one way through the song, and others where it leaves a doubt:
in another key (the piano's transpose button), from another tempo or without the patterns, from
the beginning, behind what was played before the song, or with the hands put together.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import inf

from evaluator.chart.graph import BarGraph
from evaluator.follow.costs import Costs
from evaluator.follow.form_prices import places
from evaluator.follow.grid import opening
from evaluator.follow.hands_apart import hands_together
from evaluator.follow.keys import in_its_key
from evaluator.follow.likeness import goes_as_well, is_astray, is_certain
from evaluator.follow.otherwise import bending, by_metre, held_back, line_by_line, straighter
from evaluator.follow.outside import after_silence, song_alone
from evaluator.follow.path import Path
from evaluator.follow.playing import Playing
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike

FROM_THE_BEGINNING = Costs(start_section=inf, start_line=inf, start_bar=inf)
"""Prices of a take that begins with no other bar than the song does."""


def follow(graph: BarGraph, strikes: Sequence[Strike], gaps: Sequence[Gap] = ()) -> Path:
    """The path of a take through a song; no bars if not even a part of it fits.

    `gaps`: when nothing could be heard, so that the player may have gone on.
    """
    playing = Playing(graph, strikes, gaps)
    return _with_hands_together(_song_alone(playing), playing)


def _song_alone(playing: Playing) -> Path:
    """The path of a take, and what was played before the song left out of it."""
    return _without_prelude(_heard_whole(playing), playing)


def _with_hands_together(path: Path, playing: Playing) -> Path:
    """The path, or where one hand comes behind the other throughout, one that is followed as if it
    did not, if more of the take is explained so, its chords as well, and it goes as straight."""
    together = None if playing.written_out else hands_together(playing)
    if together is None:
        return path
    meant = replace(playing, strikes=together.strikes)
    other = _song_alone(meant)
    if not (other.bars and goes_as_well(other, path)):
        return path
    # Fits can be compared if the song is laid out for the same rhythm.
    ways = (other, meant.way(path.transposed, path.rhythm))
    explained = max(way.fit for way in ways) * len(meant.strikes)
    more = explained > path.fit * len(playing.strikes)
    return other.renumbered(together.pieces.__getitem__) if more else path


def _heard_whole(playing: Playing) -> Path:
    """The path of a take that begins with the song, or with some part of it."""
    own = playing.way()
    lost = is_astray(own)
    own = straighter(own, playing) if lost else own
    path = in_its_key(own, playing)
    path = path if path is own and lost else straighter(path, playing)
    for better in (_from_the_beginning, by_metre, bending, line_by_line, held_back):
        path = better(path, playing)
    return song_alone(path, playing.strikes)


def _from_the_beginning(path: Path, playing: Playing) -> Path:
    """The path, or where it begins inside the song and comes back there, or to what lies before,
    one that begins with the song, if that misfits less: whoever plays a part plays on."""
    if not _begins_inside(path, playing.graph):
        return path
    place = places(playing.graph)[[bar.bar for bar in path.bars]]
    if place[0] < min(place[1:], default=inf):
        return path
    other = playing.way(path.transposed, path.rhythm, costs=FROM_THE_BEGINNING)
    return other if other.bars and other.misfit < path.misfit else path


def _without_prelude(path: Path, playing: Playing) -> Path:
    """The path, or where something else was played before the song, one that begins after it.

    What misfits its chords up to a silence is none of it, if the song begins behind that, fits
    there, and goes on with fewer jumps. A path straight on from the beginning leaves no doubt.
    """
    inside = _begins_inside(path, playing.graph)
    doubted = (inside or path.strays) and not playing.written_out
    begins = after_silence(path, playing.strikes) if doubted else 0
    if not begins:
        return path
    if is_certain(playing.only(0, begins).way(path.transposed, path.rhythm)):
        return path
    song = _heard_whole(playing.only(begins))
    whole = song.bars and not _begins_inside(song, playing.graph) and is_certain(song)
    straight = song.strays < path.strays + inside and song.misfit < path.misfit
    return song.counted_on(begins) if whole and straight else path


def _begins_inside(path: Path, graph: BarGraph) -> bool:
    """Whether a path begins with another bar than the song does."""
    return bool(path.bars) and path.bars[0].bar not in opening(graph)
