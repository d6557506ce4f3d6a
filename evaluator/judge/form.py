"""Were all the bars there, none missing and none too many?

Looks at how each bar was reached. The frontier is the farthest bar of the song reached so far.
After a jump back, the bars up to the frontier are repeats (extra bars, or part of a restart).
A jump forward leaves bars out (missing): those on the shortest legal way, except for bars heard
earlier and bars that a restart went back to. A passage repeated except for one bar counts as
extra, with that bar missing from it; a bar missing in one place and one doubled in another are
two findings.

Where neighbouring bars sound alike, any of them may be the lost or doubled one. The finding is
moved along the order of playing as far as the song sounds the same without it, as insertions
and deletions in a sequence are normalised, and it names the whole run of bars passed over.

Units: bar numbers of the expanded chart; seconds of the take.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate, groupby, pairwise, takewhile

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path, PlayedBar
from evaluator.judge.again import Again, coming_again
from evaluator.judge.layout import moving_beat
from evaluator.judge.song_form import SongForm
from evaluator.judge.verdict import FormFinding, FormKind
from evaluator.judge.written_halts import AT_PLACE, BREAK_BEATS, BREAK_SECONDS, held_over, is_music

RINGS_ON = 0.5
"""A last chord held over so much of the bars that are left stands for them."""


def judge_form(
    graph: BarGraph, path: Path, *, last_end: float = 0.0, patience: float = 1.0
) -> tuple[FormFinding, ...]:
    """What is to be said of the form, in the order of the take.

    `last_end`: seconds at which the last key was let go; a final chord may be held over the bars
    that are left. A standstill is a halt beyond `patience` times `BREAK_SECONDS` and
    `BREAK_BEATS`.
    """
    if not path.bars:
        return ()
    song = SongForm(graph)
    once = _heard_once(song, path)
    found = [*_opening(song, path.bars[0]), *_halts(graph, path, 0, patience)]
    so_far = _SoFar(path.bars[0].bar, {song.rank(path.bars[0].bar)})
    for index in range(1, len(path.bars)):
        played = path.bars[index]
        if _begins_over(song, path, index):
            found.append(_choice(song, song.graph.written, "through", played.start))
            so_far = _SoFar(played.bar, {song.rank(played.bar)})
            continue
        so_far.leave_passages(song, played.bar)
        if played.entry == "choice" or _goes_round(song, path, index):
            found += _choices(song, path, index)
        elif played.entry == "restart" and not held_over(graph, path, index):
            found.append(_restart(song, path, index, so_far.frontier))
        elif played.entry == "jump":
            found += _jump(song, path, index, once, so_far)
        found += _halts(graph, path, index, patience)
        so_far.reach(song, played.bar)
    found += _ending(song, path, once, last_end)
    return tuple(_merged(found))


def _begins_over(song: SongForm, path: Path, index: int) -> bool:
    """Whether the song, which had come to its end, begins once more from the beginning."""
    played, before = path.bars[index], path.bars[index - 1]
    ends = before.bar in song.graph.finals and song.rank(played.bar) < song.rank(before.bar)
    return ends and played.entry in ("jump", "restart") and played.bar in song.graph.starts


def _goes_round(song: SongForm, path: Path, index: int) -> bool:
    """Whether an open range at the song's end came again: no other way leads on from there."""
    bar, before = path.bars[index].bar, path.bars[index - 1].bar
    return path.bars[index].entry == "onward" and song.rank(bar) <= song.rank(before)


@dataclass(slots=True)
class _SoFar:
    """What of the song has been heard when a bar begins."""

    frontier: int
    """The farthest bar."""
    ranks: set[int]
    """Ranks of the bars that were heard."""
    passages: list[Again] = field(default_factory=list)
    """Those that are coming again, the innermost last."""

    def leave_passages(self, song: SongForm, bar: int) -> None:
        while self.passages and song.rank(self.passages[-1].limit) < song.rank(bar):
            self.passages.pop()

    def reach(self, song: SongForm, bar: int) -> None:
        self.frontier = song.farther(self.frontier, bar)
        self.ranks.add(song.rank(bar))


@dataclass(frozen=True, slots=True)
class _Once:
    """The order of the bars as if nothing had been broken off."""

    order: list[int]
    """Bars; those that a restart went back over stand here once."""
    slot: list[int]
    """Place in `order` of each bar of the path; if a restart went back over it, the place
    where that took up again."""


def _heard_once(song: SongForm, path: Path) -> _Once:
    kept: list[int] = []
    slot = [0] * len(path.bars)
    gone_over: dict[int, int] = {}
    ranks = [song.rank(played.bar) for played in path.bars]
    for index, played in enumerate(path.bars):
        if played.entry == "restart":
            while kept and ranks[kept[-1]] >= ranks[index]:
                gone = kept.pop()
                gone_over[gone] = index
                if kept and ranks[kept[-1]] >= ranks[gone]:
                    break
        slot[index] = len(kept)
        kept.append(index)
    for index in sorted(gone_over, reverse=True):
        slot[index] = slot[gone_over[index]]
    return _Once([path.bars[index].bar for index in kept], slot)


def _jump(song: SongForm, path: Path, index: int, once: _Once, so_far: _SoFar) -> list[FormFinding]:
    bar, at = path.bars[index].bar, path.bars[index].start
    before = path.bars[index - 1].bar
    order, first = once.order, once.slot[index]
    if song.rank(bar) <= song.rank(before):
        again = coming_again(song, order, first, before)
        so_far.passages.append(again)
        whole = [*order[:first], *again.bars, *order[again.after :]]
        return [_counted(song, "extra", whole, (first, first + len(again.bars)), at)]
    if so_far.passages:
        way = so_far.passages[-1].lost.get(first, ())
        runs = [(0, len(way))] if way else []
    else:
        way = _passed_over(song, before, bar)
        # What a restart went back to is left to what comes after it.
        until = song.rank(order[first])
        runs = _runs([song.rank(one) < until and song.rank(one) not in so_far.ranks for one in way])
    with_lost = [*order[:first], *way, *order[first:]]
    return [
        _counted(song, "missing", with_lost, (first + low, first + high), at) for low, high in runs
    ]


def _passed_over(song: SongForm, before: int, bar: int) -> tuple[int, ...]:
    """Bars between, when the player jumps onward."""
    way = None if song.parts_sections(before, bar) else song.between(before, {bar})
    return (song.nominally_between(before, bar) or ()) if way is None else way


def _runs(these: Sequence[bool]) -> list[tuple[int, int]]:
    """First place and the place behind of each run that is true."""
    places = [0, *accumulate(len(list(group)) for _, group in groupby(these))]
    return [(low, high) for low, high in pairwise(places) if these[low]]


def _counted(
    song: SongForm, kind: FormKind, order: Sequence[int], where: tuple[int, int], at: float
) -> FormFinding:
    """Bars `order[first:last]` that are missing from the take or came once too often."""
    run = song.run(order, *where)
    numbers = tuple(song.graph.bars[bar].number for bar in run.bars)
    every = [song.graph.bars[bar].number for bar in run.every]
    reach = (min(every), max(every))
    only = reach == (min(numbers), max(numbers))
    return FormFinding(
        kind=kind,
        bars=numbers,
        count=len(numbers),
        section=song.graph.bars[run.bars[0]].section,
        tail=song.tail(run.bars),
        at=at,
        run=None if only else reach,
        detail=song.unit(set(run.bars)),
    )


def _restart(song: SongForm, path: Path, index: int, frontier: int) -> FormFinding:
    played, before = path.bars[index], path.bars[index - 1]
    bar = song.graph.bars[played.bar]
    ahead = song.rank(played.bar) - song.rank(before.bar)
    if ahead > 0:
        lost = song.between(frontier, {played.bar})
        count = len(lost) if lost is not None else max(0, ahead - 1)
    else:
        count = 1 - ahead
    to_line = played.bar != before.bar and bar.place == 0
    return FormFinding(
        kind="restart",
        bars=(bar.number, song.graph.bars[before.bar].number),
        count=count,
        section=bar.section,
        tail=bar.tail,
        at=played.start,
        halt=max(0.0, played.start - before.end),
        detail="line" if to_line else "bar",
    )


def _halts(graph: BarGraph, path: Path, index: int, patience: float) -> list[FormFinding]:
    """A halt that did not lose the place; while the first chord is held there is none."""
    played = path.bars[index]
    if played.entry == "restart" or played.pause <= patience * BREAK_SECONDS:
        return []
    if _is_opening(path, index):
        return []
    bar = graph.bars[played.bar]
    beat = moving_beat(played)
    if is_music(graph, path, index):
        return []
    if played.pause <= patience * BREAK_BEATS * beat:
        return []
    return [
        FormFinding(
            kind="break",
            bars=(bar.number,),
            count=0,
            section=bar.section,
            tail=bar.tail,
            at=played.start + played.pause_beat * beat - (played.pause - played.halt_within),
            halt=played.pause,
        )
    ]


def _is_opening(path: Path, index: int) -> bool:
    """Whether what came before the halt in a bar stands at one place: nobody has heard a tempo."""
    here = path.bars[index]
    until = (index, here.pause_beat - AT_PLACE)
    struck = (
        (place, strike.beat)
        for place, played in enumerate(path.bars[: index + 1])
        for strike in played.strikes
    )
    return len(set(takewhile(lambda one: one < until, struck))) < 2


def _opening(song: SongForm, played: PlayedBar) -> list[FormFinding]:
    """An optional beginning that was left out; starting later is a partial take."""
    starts = song.graph.starts
    if played.bar not in starts or played.bar == starts[0]:
        return []
    return _chosen(song, None, played.bar, played.start)


def _choices(song: SongForm, path: Path, index: int) -> list[FormFinding]:
    played, before = path.bars[index], path.bars[index - 1].bar
    if song.rank(played.bar) <= song.rank(before):
        again = [
            bar
            for bar in song.graph.written
            if song.rank(played.bar) <= song.rank(bar) <= song.rank(before)
        ]
        return [_choice(song, again, "times", played.start)]
    return _chosen(song, before, played.bar, played.start)


def _chosen(song: SongForm, before: int | None, after: int | None, at: float) -> list[FormFinding]:
    """What was left out on a legal way, and the `or` line that it led to."""
    found = []
    for bars in song.by_section(song.nominally_between(before, after) or ()):
        whole = song.unit(bars) == "section"
        found.append(_choice(song, bars, "left out" if whole else "times", at))
    if after is not None and song.graph.bars[after].alternative:
        found.append(_choice(song, song.line_of(after), "or line", at))
    return found


def _choice(song: SongForm, bars: Sequence[int], detail: str, at: float) -> FormFinding:
    return FormFinding(
        kind="choice",
        bars=tuple(song.graph.bars[bar].number for bar in bars),
        count=0,
        section=song.graph.bars[bars[0]].section,
        tail=song.tail(bars),
        at=at,
        detail=detail,
    )


def _ending(song: SongForm, path: Path, once: _Once, last_end: float) -> list[FormFinding]:
    """A legal early end is a choice; a last tail cut short is said, any other end is partial."""
    last = path.bars[-1]
    graph = song.graph
    if last.bar in graph.finals:
        if last.bar == graph.written[-1] or graph.bars[last.bar].alternative:
            return []
        return _chosen(song, last.bar, None, last.end)
    left = song.between(last.bar, graph.finals)
    if left is None or not graph.bars[last.bar].tail:
        return []
    lost = (*left, min(set(graph.successors[(left or (last.bar,))[-1]]) & set(graph.finals)))
    here, first = graph.bars[last.bar], graph.bars[lost[0]]
    same_line = all(
        (graph.bars[bar].section_index, graph.bars[bar].line) == (here.section_index, here.line)
        for bar in lost
    )
    if not same_line or first.place != 0:
        return []
    seconds = sum(graph.bars[bar].seconds for bar in lost)
    pace = (last.end - last.start) / max(here.seconds, 0.1)
    if last_end - last.end > RINGS_ON * seconds * pace:
        return []
    order = [*once.order, *lost]
    return [_counted(song, "missing", order, (len(once.order), len(order)), last.end)]


def _merged(found: Sequence[FormFinding]) -> list[FormFinding]:
    """One finding for an open range that was played on and on."""
    kept: list[FormFinding] = []
    for finding in sorted(found, key=lambda one: one.at):
        last = kept[-1] if kept else None
        if (
            last is not None
            and finding.kind == last.kind == "choice"
            and finding.detail == last.detail == "times"
            and set(finding.bars) == set(last.bars)
        ):
            kept[-1] = replace(last, bars=last.bars + finding.bars)
        else:
            kept.append(finding)
    return kept
