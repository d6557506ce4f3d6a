"""Who counts in on a key has not begun the song. Common practice of teaching, no source."""

from evaluator.chart import read_chart
from evaluator.follow import Path, follow
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from tests.bench.by_hand import Script, played, trying_out
from tests.playing import Restart


def followed(script: Script) -> tuple[Path, tuple[Strike, ...]]:
    take = played(script)
    heard = strikes(read_take(take.midi_bytes))
    return follow(read_chart(take.chart_text), heard), heard


def test_four_times_one_key_before_the_song_is_none_of_its_bars() -> None:
    count = trying_out(67, 67, 67, 67, apart=0.77, rest=0.0)
    path, heard = followed(Script("counted in", "quarry_road", bars="1-20", after=(count,)))
    assert [bar.bar for bar in path.bars] == list(range(20))
    assert path.bars[0].entry == "start"
    assert path.before == (0, 1, 2, 3)
    assert all(heard[at].pitches == (67,) for at in path.before)


def test_a_first_bar_begun_again_is_a_bar() -> None:
    again = Script("begun again", "quarry_road", bars="1 1-20", faults=(Restart(1, 3.0, 1.0),))
    path, _ = followed(again)
    assert [bar.bar for bar in path.bars[:3]] == [0, 0, 1]
