"""What a loop played for an hour costs the judge of the form: work in proportion to its bars, and
the reach of like bars as far as anybody counts. Own bounds, no source."""

from evaluator.chart import read_chart
from evaluator.judge.form import judge_form
from evaluator.judge.song_form import FARTHEST, SongForm
from evaluator.take.strike import strikes
from tests.judge.truth_path import take_of, truth_path
from tests.lines_run import lines_run
from tests.playing import play

ROW = read_chart("title: Row\ntempo: 90\n[A]\n| C | F | G | C |\n| Am | F | G | G |\n| C |\n")


def test_twice_the_rounds_are_about_twice_the_work() -> None:
    def work(times: int) -> int:
        take = play(ROW, [0, 1, 2, 3, *[1, 2] * times])
        path = truth_path(ROW, take, strikes(take_of(take)))
        return lines_run(lambda: judge_form(ROW, path))

    once, twice = work(100), work(200)
    assert twice < 2.6 * once


def test_like_bars_are_moved_no_farther_than_anybody_counts() -> None:
    song = SongForm(read_chart(f"title: Row\ntempo: 90\n[A]\n| C | x{4 * FARTHEST}\n"))
    run = song.run(song.graph.written, 2 * FARTHEST, 2 * FARTHEST + 1)
    assert len(run.every) == 2 * FARTHEST + 1
    assert len(run.bars) == 1
