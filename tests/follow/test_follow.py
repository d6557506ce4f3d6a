"""Which bars were played, in which order, and when? The truth is what the player was told.

Common practice, no source: what is a mistake of form and what a legal choice follows from
the chart format.
"""

import random
from collections.abc import Sequence
from dataclasses import replace
from importlib import import_module

import pytest

from evaluator.chart import read_chart
from evaluator.follow import follow
from evaluator.follow.costs import TEMPI
from evaluator.follow.grid import Grid, lay_out
from evaluator.follow.one_way import follow_in
from evaluator.follow.otherwise import straighter
from evaluator.follow.path import Path
from evaluator.follow.playing import Playing
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from tests.bench.invent import invent
from tests.bench.kinds import play_kind, without_patterns
from tests.bench.strangers import OWN
from tests.bench.students import MANY, simulate
from tests.follow.songs import (
    CHORUS,
    FOUR,
    FREE,
    HEAD,
    LINES,
    OPEN,
    OR_LINE,
    PLAIN,
    SOLO,
    TAIL,
    VERSE,
    followed,
    heard,
    numbers,
    order,
    path_of,
    song,
    turns,
)
from tests.playing import Note, Pause, Performance, Restart, WrongChord, play

WHOLE = list(range(1, 25))


@pytest.mark.parametrize("seed", [13, 23])
def test_a_take_that_begins_deep_inside_a_long_song_is_found_there(seed: int) -> None:
    """Any bar, at any tempo: only some bars later it is plain which."""
    text = invent(seed)
    played = read_chart(text)
    first = len(played.written) * 2 // 3
    bars = list(played.written[first : first + 24])
    take = play(played, bars, tempo=1.15, jitter_ms=18, wander_pct=2, spread_ms=10, seed=seed)
    path = follow(read_chart(without_patterns(text)), heard(take))
    assert [bar.bar for bar in path.bars] == bars


@pytest.mark.parametrize("tempo", [0.5, 0.75, 1.0, 1.5, 2.0])
def test_four_bars_at_any_tempo_from_half_to_double(tempo: float) -> None:
    graph = song(FOUR)
    take = play(graph, tempo=tempo)
    path = follow(graph, heard(take))
    assert numbers(graph, path) == [1, 2, 3, 4]
    assert [bar.entry for bar in path.bars] == ["start", "onward", "onward", "onward"]
    for played, true in zip(path.bars, take.truth.bars, strict=True):
        assert played.start == pytest.approx(true.start, abs=0.03)
        assert played.end == pytest.approx(true.end, abs=0.06)
    assert path.complete


def test_every_strike_of_a_clean_take_has_its_beat() -> None:
    graph = song(FOUR)
    path = followed(graph)
    assert [[s.beat for s in bar.strikes] for bar in path.bars] == [[0, 1, 2, 3]] * 4
    assert [s.strike for bar in path.bars for s in bar.strikes] == list(range(16))
    assert path.before == path.after == ()


@pytest.mark.parametrize(
    ("played", "turn"),
    [
        pytest.param([*range(1, 11), *range(12, 25)], ("jump", 12), id="a bar missing"),
        pytest.param([*range(1, 11), *range(10, 25)], ("jump", 10), id="a bar twice"),
        pytest.param([*range(1, 11), *range(13, 25)], ("jump", 13), id="two bars cut"),
        pytest.param([*range(1, 9), *range(13, 25)], ("jump", 13), id="a line missing"),
        pytest.param([*range(1, 13), *range(9, 25)], ("jump", 9), id="a line twice"),
        pytest.param([*range(1, 9), *range(17, 25)], ("jump", 17), id="a section missing"),
        pytest.param([*range(1, 17), *range(9, 25)], ("jump", 9), id="a section twice"),
    ],
)
@pytest.mark.parametrize("tempo", [0.7, 1.3])
def test_bars_lost_and_doubled(played: list[int], turn: tuple[str, int], tempo: float) -> None:
    graph = song(LINES)
    path = followed(graph, played, tempo=tempo, jitter_ms=10, spread_ms=8, seed=3)
    assert numbers(graph, path) == played
    assert turns(graph, path) == [turn]
    assert path.complete


@pytest.mark.parametrize("times", [3, 5])
def test_a_counted_tail_has_the_bars_that_were_played(times: int) -> None:
    graph = song(TAIL)
    played = [1, 2, 3, 4, *[5, 6, 7, 8, 8][5 - times :], 9, 10, 11, 12]
    path = followed(graph, played)
    assert len(path.bars) == len(played)
    assert [graph.bars[bar.bar].tail for bar in path.bars].count(True) == times
    assert [kind for kind, _ in turns(graph, path)] == ["jump"]


def test_a_tail_as_written_is_no_jump() -> None:
    graph = song(TAIL)
    path = followed(graph)
    assert numbers(graph, path) == list(range(1, 13))
    assert turns(graph, path) == []


@pytest.mark.parametrize("times", [2, 3, 4])
def test_a_range_may_have_any_of_its_counts(times: int) -> None:
    graph = song(FREE)
    path = followed(graph, [1, 2, 3, 4, *range(5, 5 + times), 9, 10, 11, 12])
    assert [graph.bars[bar.bar].tail for bar in path.bars].count(True) == times
    assert {kind for kind, _ in turns(graph, path)} == (set() if times == 4 else {"choice"})


@pytest.mark.parametrize("times", [2, 3, 6])
def test_an_open_range_goes_on_as_long_as_it_likes(times: int) -> None:
    graph = song(OPEN)
    path = followed(graph, [1, 2, 3, 4, 5, *[6] * (times - 1), 7, 8, 9, 10])
    assert [graph.bars[bar.bar].tail for bar in path.bars].count(True) == times
    assert turns(graph, path) == [("choice", 6)] * (times - 2)


def test_an_or_line_is_a_choice() -> None:
    graph = song(OR_LINE)
    played = [1, 2, 3, 4, -5, -6, -7, -8, 9, 10, 11, 12]
    path = followed(graph, played)
    assert numbers(graph, path) == played
    assert ("choice", 5) in turns(graph, path)
    assert {kind for kind, _ in turns(graph, path)} == {"choice"}


@pytest.mark.parametrize(
    ("text", "left_out"),
    [
        pytest.param(SOLO + VERSE + CHORUS, [5, 6, 7, 8, 9, 10, 11, 12], id="the first section"),
        pytest.param(VERSE + SOLO + CHORUS, [1, 2, 3, 4, 9, 10, 11, 12], id="one between"),
        pytest.param(VERSE + CHORUS + SOLO, [1, 2, 3, 4, 5, 6, 7, 8], id="the last section"),
    ],
)
def test_an_optional_section_may_be_left_out(text: str, left_out: list[int]) -> None:
    graph = song(HEAD + text)
    path = followed(graph, left_out)
    assert numbers(graph, path) == left_out
    assert {kind for kind, _ in turns(graph, path)} <= {"choice"}
    assert path.complete
    whole = followed(graph)
    assert (len(whole.bars), turns(graph, whole), whole.complete) == (12, [], True)


@pytest.mark.parametrize("seconds", [1.1, 2.3, 4.0])
@pytest.mark.parametrize(
    ("again", "went_on_at"),
    [pytest.param([11], 11, id="the bar"), pytest.param([9, 10, 11], 9, id="the line")],
)
def test_taking_up_again_after_breaking_off(
    again: list[int], went_on_at: int, seconds: float
) -> None:
    graph = song(LINES)
    played = [*range(1, 12), *again, *range(12, 25)]
    path = followed(graph, played, Restart(11, 2.0, seconds))
    assert numbers(graph, path) == played
    assert turns(graph, path) == [("restart", went_on_at)]
    broken = path.bars[10]
    assert broken.beats_played < 4
    assert path.bars[11].start - broken.end >= seconds - 0.1


@pytest.mark.parametrize("beat", [0.0, 2.0, 3.0])
def test_a_halt_does_not_lose_the_place(beat: float) -> None:
    graph = song(LINES)
    path = followed(graph, None, Pause(11, beat, 3.0))
    assert numbers(graph, path) == WHOLE
    assert turns(graph, path) == []
    assert max(bar.pause for bar in path.bars) == pytest.approx(3.0, abs=0.1)
    assert [at for at, bar in enumerate(path.bars, 1) if bar.pause > 0.5] == [11]
    assert path.bars[10].pause_beat == pytest.approx(beat)


def aimless(start: float) -> list[Note]:
    """Six single notes with no beat and no chord in common."""
    gaps, keys = (0.0, 0.31, 0.43, 0.9, 1.17, 1.7), (66, 73, 61, 70, 63, 68)
    return [
        Note(start + gap, start + gap + 0.1, key, 50, "right")
        for gap, key in zip(gaps, keys, strict=True)
    ]


def test_noodling_before_and_after_is_no_part_of_the_song() -> None:
    graph = song(LINES)
    take = play(graph).later(4.0)
    count = len(heard(take))
    notes = (*aimless(0.5), *take.notes, *aimless(take.notes[-1].offset + 2.0))
    path = follow(graph, heard(Performance(notes, (), take.truth)))
    assert numbers(graph, path) == WHOLE
    assert path.before == tuple(range(6))
    assert path.after == tuple(range(6 + count, 12 + count))


def test_a_take_that_stops_early_is_partial() -> None:
    graph = song(LINES)
    path = followed(graph, range(1, 11))
    assert numbers(graph, path) == list(range(1, 11))
    assert not path.complete


def test_a_take_may_begin_at_a_later_section() -> None:
    graph = song(LINES)
    path = followed(graph, range(9, 25))
    assert numbers(graph, path) == list(range(9, 25))
    assert (path.bars[0].entry, turns(graph, path), path.complete) == ("start", [], True)


@pytest.mark.parametrize("semitones", [-5, -2, 1, 3, 6])
def test_the_transpose_button_is_recognised(semitones: int) -> None:
    graph = song(TAIL)
    path = follow(graph, heard(play(graph).transposed(semitones)))
    assert path.transposed == semitones
    assert numbers(graph, path) == list(range(1, 13))


@pytest.fixture
def long_ones(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many strikes were followed each time, where a take of more than forty is long."""
    module = import_module("evaluator.follow.playing")
    monkeypatch.setattr(module, "SAMPLE", 40)
    lengths: list[int] = []

    def counted(grid: Grid, strikes: Sequence[Strike], *rest: object, **named: object) -> Path:
        lengths.append(len(strikes))
        return follow_in(grid, strikes, *rest, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(module, "follow_in", counted)
    return lengths


@pytest.mark.parametrize("semitones", [0, 3])
def test_other_keys_are_tried_on_the_beginning_of_a_long_take(
    semitones: int, long_ones: list[int]
) -> None:
    graph = song(LINES)
    taken = heard(play(graph).transposed(semitones))
    path = follow(graph, taken)
    assert path.transposed == semitones
    assert numbers(graph, path) == WHOLE
    assert long_ones.count(len(taken)) <= (4 if semitones else 1)
    assert len(long_ones) > long_ones.count(len(taken)) or not semitones


def test_noodling_for_long_is_followed_whole_a_few_times_only(long_ones: list[int]) -> None:
    dice = random.Random(1)
    keys = [dice.randrange(36, 90) for _ in range(300)]
    notes = tuple(Note(0.24 * at, 0.24 * at + 0.2, key, 64, "right") for at, key in enumerate(keys))
    follow(song(LINES), heard(Performance(notes, (), play(song(LINES)).truth)))
    assert long_ones.count(300) <= 4 < len(long_ones)


def test_a_take_in_another_key_is_known_by_its_chords_where_the_metre_says_little() -> None:
    """It hardly fits in any key, but in one of them the chords are all there."""
    known = OWN["transposed, in another manner"](1)
    graph = read_chart(known.chart_text)
    assert follow(graph, strikes(read_take(known.midi_bytes))).transposed == -4


@pytest.mark.parametrize(
    ("kind", "seed"), [("transposed, in another manner", 55), ("many mistakes", 33)]
)
def test_a_rhythm_that_the_chart_does_not_have_hides_no_key(kind: str, seed: int) -> None:
    """As the chart has it the take fits in no key, or better in a wrong one."""
    known = OWN[kind](seed)
    graph = read_chart(known.chart_text)
    path = follow(graph, strikes(read_take(known.midi_bytes)))
    assert path.transposed == known.performance.truth.transposed
    assert len(path.bars) == pytest.approx(len(known.performance.truth.bars), abs=6)


def test_a_tempo_does_not_bend_away_from_the_chords() -> None:
    known = OWN["a part in another manner"](67)
    path = follow(read_chart(known.chart_text), strikes(read_take(known.midi_bytes)))
    assert [bar.bar for bar in path.bars[:17]] == [
        true.index for true in known.performance.truth.bars
    ]


def test_a_take_in_the_charts_key_is_not_transposed() -> None:
    assert followed(song(LINES), None, WrongChord(3, "Dm"), WrongChord(9, "Bb")).transposed == 0


def test_wrong_chords_do_not_lose_the_place() -> None:
    graph = song(LINES)
    faults = [WrongChord(bar, "Ab") for bar in (4, 9, 10, 17)]
    path = followed(graph, None, *faults)
    assert numbers(graph, path) == WHOLE
    assert turns(graph, path) == []


def test_bars_of_rest_at_either_end_are_played_by_waiting() -> None:
    graph = song(HEAD + "[Verse]\n| N.C. | N.C. | C | Am | F | G | N.C. |\n")
    path = followed(graph)
    assert numbers(graph, path) == [1, 2, 3, 4, 5, 6, 7]
    assert path.complete
    bar = graph.bars[0].seconds
    assert path.bars[2].start - path.bars[0].start == pytest.approx(2 * bar, rel=0.1)


RESTS = (
    HEAD
    + """[Verse]
| C | Am | F | G |
or | Bb | Eb | Cm | D |
| N.C. |
[Chorus]
| Dm | E | N.C. | A |
[End]
| Bm | C |
"""
)
"""Bars 1 to 4 (or another line), a bar of rest, 6 to 9 with a rest in the third, 10 and 11."""


def test_a_bar_of_rest_passes_after_an_or_line() -> None:
    graph = song(RESTS)
    other = [bar.index for bar in graph.bars if bar.alternative]
    path = follow(graph, heard(play(graph, [*other, *order(graph, *range(5, 12))])))
    assert numbers(graph, path) == [-1, -2, -3, -4, *range(5, 12)]
    assert "jump" not in [bar.entry for bar in path.bars]


@pytest.mark.parametrize(
    ("played", "turn"),
    [
        pytest.param([1, 2, 3, 5, *range(6, 12)], ("jump", 5), id="the bar before a rest"),
        pytest.param([*range(1, 9), 10, 11], ("jump", 10), id="the bar after a rest"),
        pytest.param([*range(1, 6), *range(1, 12)], ("jump", 1), id="again after a rest"),
    ],
)
def test_bars_of_rest_pass_where_bars_are_lost_or_doubled(
    played: list[int], turn: tuple[str, int]
) -> None:
    graph = song(RESTS)
    path = followed(graph, played, jitter_ms=8, spread_ms=5, seed=2)
    assert numbers(graph, path) == played
    assert turns(graph, path) == [turn]


def test_what_goes_on_without_a_silence_belongs_to_the_song() -> None:
    """Two bars after one that came twice, too few to make up for it by themselves."""
    graph = song(TAIL)
    played = [*range(1, 12), 11, 12]
    path = followed(graph, played, jitter_ms=8, seed=1)
    assert numbers(graph, path) == played
    assert path.after == ()


def test_the_last_bar_struck_once_more() -> None:
    graph = song(
        HEAD + "pattern held\n  left  | x |\n  right | x |\n\n"
        "[Verse]\n| C | Am | F | G |\n[End] pattern held\n| C |\n"
    )
    path = followed(graph, [1, 2, 3, 4, 5, 5])
    assert numbers(graph, path) == [1, 2, 3, 4, 5, 5]


@pytest.mark.parametrize("tempo", [0.8, 1.0, 1.45])
def test_double_time_from_the_middle_on(tempo: float) -> None:
    graph = song(LINES)
    slow, fast = (
        play(graph, order(graph, *range(1, 13)), tempo=tempo),
        play(graph, order(graph, *range(13, 25)), tempo=2.0 * tempo, start=0.0),
    )
    fast = fast.later(slow.truth.bars[-1].end)
    both = Performance((*slow.notes, *fast.notes), (), slow.truth)
    path = follow(graph, heard(both))
    assert numbers(graph, path) == WHOLE
    assert turns(graph, path) == []
    true = [bar.start for bar in (*slow.truth.bars, *fast.truth.bars)]
    found = [bar.start for bar in path.bars]
    # The bar line of the change itself belongs to two tempi.
    assert found[:12] + found[13:] == pytest.approx(true[:12] + true[13:], abs=0.15)


def test_a_way_that_goes_astray_is_tried_from_other_tempi() -> None:
    graph = song(PLAIN)
    grid, taken = lay_out(graph), heard(play(song(LINES), jitter_ms=10, spread_ms=8, seed=1))
    right = follow_in(grid, taken, 0, tempi=TEMPI[3:4])
    lost = tuple(replace(bar, bar=bar.bar // 2, entry="jump") for bar in right.bars)
    mistaken = replace(right, bars=lost, fit=right.fit / 2)
    found = straighter(mistaken, Playing(graph, taken))
    assert numbers(graph, found) == WHOLE
    assert found.fit == pytest.approx(right.fit, rel=0.05)


def test_a_way_that_is_straight_is_left_alone() -> None:
    graph = song(PLAIN)
    grid, taken = lay_out(graph), heard(play(song(LINES), seed=1))
    straight = follow_in(grid, taken, 0)
    assert straighter(straight, Playing(graph, taken)) is straight


def test_another_songs_take_fits_badly() -> None:
    graph, other = song(LINES), song(HEAD + "[Verse]\n| F#m | B7 | C#m | G#7 | E | F# | x4\n")
    right = followed(graph).fit
    wrong = follow(graph, heard(play(other, tempo=1.13))).fit
    assert wrong < 0.8 * right


def test_an_empty_take_has_no_bars() -> None:
    path = follow(song(FOUR), ())
    assert (path.bars, path.complete, path.fit) == ((), False, 0.0)
    assert path.before == path.after == ()


def test_one_strike_is_no_song() -> None:
    graph = song(FOUR)
    path = follow(graph, heard(play(graph))[:1])
    assert len(path.bars) <= 1
    assert not path.complete
    placed = sum(len(bar.strikes) + len(bar.ornaments) for bar in path.bars)
    assert placed + len(path.before) + len(path.after) == 1


def test_every_strike_is_accounted_for_once() -> None:
    graph = song(LINES)
    struck = heard(play(graph, jitter_ms=35, spread_ms=25, rolled=0.3, seed=5))
    path = follow(graph, struck)
    inside = [s.strike for bar in path.bars for s in bar.strikes]
    ornaments = [s for bar in path.bars for s in bar.ornaments]
    together = [*path.before, *inside, *ornaments, *path.after]
    assert sorted(together) == list(range(len(struck)))


def test_the_same_strikes_give_the_same_path() -> None:
    graph = song(LINES)
    played = [*range(1, 11), *range(12, 25)]
    first, second = (followed(graph, played, jitter_ms=20, seed=2) for _ in range(2))
    assert first == second


def test_a_take_a_fourth_up_is_not_followed_from_jump_to_jump_in_the_charts_key() -> None:
    """Most of its notes are in the chart's own scale as well; simulated, seed 157."""
    take = simulate(157, "ordinary", faults=MANY)
    path = path_of(take)
    assert take.truth.transposed == path.transposed == 5
    assert sum(bar.entry in ("jump", "restart") for bar in path.bars) <= 2


def test_noodling_before_the_song_does_not_set_its_tempo() -> None:
    """The first bars were found among single notes, and the song was lost at half its tempo."""
    take = play_kind("single notes before", 3)
    path = path_of(take)
    begun = {round(bar.start, 1) for bar in path.bars}
    true = [round(bar.start, 1) for bar in take.truth.bars]
    assert sum(at in begun for at in true) > 0.75 * len(true)


@pytest.mark.parametrize(("kind", "seed"), [("right hand in eighths", 5), ("last chord held", 4)])
def test_a_verse_that_sounds_like_another_is_not_begun_with_and_gone_back_from(
    kind: str, seed: int
) -> None:
    """The rhythm of these players was that of a later verse; simulated."""
    take = play_kind(kind, seed)
    path = path_of(take)
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
