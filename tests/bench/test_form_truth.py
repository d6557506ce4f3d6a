"""Does the benchmark take a finding for the truth when it says the same, and only then?

Common practice, no source: what was done is written down here beside the bars played.
"""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from evaluator.chart import BarGraph
from evaluator.follow.path import Path
from evaluator.judge import Judgement
from evaluator.judge.verdict import FormFinding
from evaluator.take.strike import strikes
from tests.bench.form_truth import COSTED, FormTruth
from tests.bench.scoring import Tally, score
from tests.judge.songs import HEAD, order, song
from tests.judge.truth_path import judged, take_of, truth_path
from tests.playing import Missed, Pause, Restart, TrueForm, Truth, play

# Three lines of four bars, alike, and then two other bars.
ALIKE = HEAD + "[Verse]\n" + 3 * "| D | A | Bm7 | G |\n" + "[End]\n| Em7 | A |\n"

Done = tuple[str, tuple[int, ...], int]
"""A mistake: its kind, its bars by number, and the place in the order of playing where it is
heard."""


def told(graph: BarGraph, numbers: Sequence[int]) -> tuple[Truth, Path, Judgement]:
    """The truth of these bars without their mistakes, the true path, and the verdict on it."""
    performance = play(graph, order(graph, *numbers))
    path = truth_path(graph, performance, strikes(take_of(performance)))
    return performance.truth, path, judged(graph, performance)


def truly(graph: BarGraph, numbers: Sequence[int], *done: Done) -> Truth:
    """The truth of these bars and mistakes, which are none of chord, bass or rhythm."""
    truth, *_ = told(graph, numbers)
    starts = [*(bar.start for bar in truth.bars), truth.bars[-1].end]
    form = tuple(
        TrueForm(kind, bars, len(bars), "", False, starts[place])  # type: ignore[arg-type]
        for kind, bars, place in done
    )
    return replace(truth, form=form)


def counted(graph: BarGraph, truth: Truth, found: Sequence[int]) -> Tally:
    """The tally when the way found goes through these bars."""
    _, path, judgement = told(graph, found)
    return score("", graph, truth, path, judgement)


def counts(tally: Tally, kind: str) -> tuple[int, int, int]:
    """Found, asked for, made up."""
    return tally.hits[kind], tally.wanted[kind], tally.false[kind]


@pytest.mark.parametrize(
    ("numbers", "done"),
    [
        ((1, 2, *range(4, 28)), [("missing", (3,), 2)]),
        (tuple(range(1, 27)), [("missing", (27,), 26)]),
        (
            (*range(1, 9), 1, 2, 4, 5, 6, 7, *range(8, 28)),
            [("extra", tuple(range(1, 9)), 8), ("missing", (3,), 10)],
        ),
        (
            (*range(1, 9), 1, 2, 3, 3, *range(4, 28)),
            [("extra", tuple(range(1, 9)), 8), ("extra", (3,), 11)],
        ),
    ],
)
def test_the_findings_on_the_true_path_are_the_truth(
    numbers: tuple[int, ...], done: list[Done]
) -> None:
    graph = song()
    truth = truly(graph, numbers, *done)
    _, _, judgement = told(graph, numbers)
    found = [one for one in judgement.form if one.kind in COSTED]
    form = FormTruth(graph, truth)
    for true in truth.form:
        assert [one.bars for one in found if form.same(true, one)] == [true.bars]


def test_one_line_lost_among_lines_alike_is_as_right_as_another() -> None:
    graph = song(ALIKE)
    truth = truly(graph, (1, 2, 3, 4, 9, 10, 11, 12, 13, 14), ("missing", (5, 6, 7, 8), 4))
    found = counted(graph, truth, (1, 2, 3, 4, 5, 6, 7, 8, 13, 14))
    assert counts(found, "missing") == (1, 1, 0)


def test_one_longer_passage_lost_is_as_right_as_two_lines_if_it_sounds_the_same() -> None:
    lines = "| G | G | A | A |\n" + 2 * "| D | A | Bm7 | G |\n" + "| Em7 | A | Em7 | A |\n"
    graph = song(HEAD + "[Verse]\n" + lines + "[End]\n| G | D |\n")
    played = (1, 2, 3, 4, 9, 10, 11, 12, 17, 18)
    truth = truly(graph, played, ("missing", (5, 6, 7, 8), 4), ("missing", (13, 14, 15, 16), 8))
    found = counted(graph, truth, (*range(1, 9), 17, 18))
    assert counts(found, "missing") == (0, 0, 0)
    assert counts(counted(graph, truth, played), "missing") == (2, 2, 0)


def test_a_way_with_more_mistakes_than_were_made_is_wrong() -> None:
    graph = song(ALIKE)
    played = (1, 2, 3, 4, 5, 6, 7, 8, 13, 14)
    truth = truly(graph, played, ("missing", (9, 10, 11, 12), 8))
    found = counted(graph, truth, (1, 2, 3, 4, 1, 2, 3, 4, 13, 14))
    assert counts(found, "missing")[:2] == (0, 1)
    assert sum(found.false[kind] for kind in COSTED) == 2


def halted_or_restarted(graph: BarGraph, fault: Pause | Restart) -> tuple[Truth, Path, Judgement]:
    """The first line of `ALIKE`, one fault, the line once more, and the rest."""
    bars = order(graph, 1, 2, 3, 4, *range(1, 15))
    performance = play(graph, bars, faults=(fault,))
    path = truth_path(graph, performance, strikes(take_of(performance)))
    return performance.truth, path, judged(graph, performance)


def test_a_halt_before_bars_that_come_again_is_as_right_as_a_restart() -> None:
    graph = song(ALIKE)
    truth, path, judgement = halted_or_restarted(graph, Pause(5, 0.0, 2.0))
    halt = next(one for one in truth.form if one.kind == "break")
    told_otherwise = FormFinding("restart", (1, 4), 4, "Verse", False, halt.at + halt.halt)
    otherwise = replace(judgement, form=(told_otherwise,))
    again = TrueForm("extra", (1, 2, 3, 4), 4, "Verse", False, halt.at)
    truth = replace(truth, form=(halt, again))
    assert counts(score("", graph, truth, path, otherwise), "break") == (1, 1, 0)
    far = replace(otherwise, form=(replace(told_otherwise, at=halt.at + 9.0),))
    assert counts(score("", graph, truth, path, far), "break") == (0, 1, 0)


def test_a_new_beginning_whose_first_strike_was_missed_is_a_halt_told_where_it_begins() -> None:
    graph = song(ALIKE)
    truth, path, judgement = halted_or_restarted(graph, Restart(4, 2.0, 2.5))
    begun = next(one for one in truth.form if one.kind == "restart")
    assert begun.halt == 2.5
    place = next(at for at, bar in enumerate(truth.bars) if bar.start == begun.at)
    first = min(strike.beat for strike in graph.bars[truth.bars[place].index].strikes)
    missed = replace(truth.bars[place], faults=(Missed(5, float(first), "left"),))
    bars = (*truth.bars[:place], missed, *truth.bars[place + 1 :])
    truth = replace(truth, bars=bars, form=(begun,))
    halt = FormFinding("break", (1,), 0, "Verse", False, begun.at - begun.halt, halt=2.5)
    for at, made_up in ((halt.at, 0), (begun.at + 9.0, 1)):
        found = replace(judgement, form=(replace(halt, at=at),))
        assert counts(score("", graph, truth, path, found), "break") == (0, 0, made_up)


def test_what_sounds_otherwise_is_asked_for() -> None:
    graph = song()
    truth = truly(graph, (1, 2, *range(4, 28)), ("missing", (3,), 2))
    found = counted(graph, truth, (*range(1, 6), *range(7, 28)))
    assert counts(found, "missing") == (0, 1, 1)
