"""What happens in a lesson at the piano? Rules of this program, no outside source; what is right
and wrong is what `grade --bars` says."""

import itertools
from collections.abc import Iterable

import pytest

from evaluator.chart.graph import Hand
from evaluator.grading import prepare
from evaluator.live.lesson import Lesson, Wishes
from evaluator.live.rehearsal import rehearse
from evaluator.live.stretch import STUCK
from evaluator.practise import resting
from evaluator.show.lesson import LessonPage
from evaluator.take.midi_file import read_take
from tests.cli.commands import CHART
from tests.live.lessons import Room, drill
from tests.live.script import START, gone, opened
from tests.live.student import GOOD, Student, Time
from tests.playing import WrongBass, play, to_midi

BAD = Time(faults=(WrongBass(2, "A"),))
BREAKS_OFF = Time(stops_after=0.6)
CHORUS = Time(bars=(8, 9, 10, 11), pause=4.0)
FOREVER = itertools.repeat(GOOD)


def room(
    *plan: Time,
    parts: tuple[str, ...] = ("click",),
    then: Iterable[Time] = FOREVER,
    start: float = 88,
    **wishes: object,
) -> Room:
    """A lesson on bars 5 and 6 and a student who plays so, and then well."""
    hand: Hand | None = "right" if "left" in parts else None
    student = Student(
        CHART,
        (4, 5),
        itertools.chain(plan, then),
        hand=hand,
        click_goes_on="click" in parts,
    )
    drills = [drill(CHART, "5-6", hand=hand, start=start)]
    return Room(drills, student, Wishes(parts=parts, **wishes))  # type: ignore[arg-type]


def states(here: Room) -> list[str]:
    """The states that it went through."""
    return [state for state, _ in itertools.groupby(page.state for _, page in here.pages)]


def told(page: LessonPage) -> list[str]:
    """What was said of the playing."""
    return [sentence for sentence in page.said if "time" in sentence.lower()]


def test_three_good_times_lead_up_and_at_the_charts_tempo_to_the_end() -> None:
    here = room()
    page = here.pass_time(120)
    assert page.state == "over"
    assert [(one.bpm, one.in_a_row) for one in here.kept if one.in_a_row == 3] == [(88, 3), (96, 3)]
    assert "Bars 5 and 6 went well at the chart's tempo three times in a row." in page.said
    assert page.said[-1] == "Bars 5 and 6: 6 times through, 6 of them good; 96 of 96 reached."


def test_two_bad_times_lead_down_and_each_is_told_with_what_was_wrong() -> None:
    here = room(BAD, BAD)
    page = here.pass_time(40)
    assert told(page)[:2] == [
        "First time: bar 6, bass A instead of C#; the rest right.",
        "Second time: bar 6, bass A instead of C#; the rest right.",
    ]
    assert "Once more a little slower, at 80." in page.said
    assert (here.kept[1].bpm, here.kept[1].times, here.kept[1].good) == (88, 2, 0)


def test_it_waits_for_a_key_and_counts_a_bar_in_from_the_next_beat_on() -> None:
    here = room()
    here.pass_time(14)
    assert states(here)[:3] == ["ready", "counting", "playing"]
    key = here.student.sent[0][0]
    clicks = [at for at, raw in here.sounded if raw[0] == 0x99][:4]
    beat = 60 / 88
    assert clicks == pytest.approx([key + beat * (1 + at) for at in range(4)], abs=0.03)
    assert here.student.sent[2][0] == pytest.approx(clicks[-1] + beat, abs=0.001)


def test_the_key_that_asks_for_the_count_is_not_judged() -> None:
    here = room(then=[GOOD])
    page = here.pass_time(25)
    assert told(page)[0] == "First time: all right."


@pytest.mark.parametrize("seed", [1, 2, 6])
def test_another_passage_is_named_at_a_quick_tempo_by_hands_that_are_not_quite_even(
    seed: int,
) -> None:
    """Two bars of the chorus are no time through these two that lost a beat."""
    quick = CHART.replace("tempo: 96", "tempo: 208")
    plan = itertools.chain([Time(bars=(8, 9)), BAD], FOREVER)
    uneven = {"jitter_ms": 5.0}
    student = Student(quick, (4, 5), plan, click_goes_on=False, manner=uneven, seed=seed)
    here = Room([drill(quick, "5-6", start=144)], student, Wishes(parts=("chords",)))
    said = [one for one in here.pass_time(25).said if "time" in one or "That was" in one]
    assert said[0].startswith("That was bars 9 and 10, not bars 5 and 6")
    assert said[1] == "First time: bar 6, bass A instead of C#; the rest right."


def test_where_the_click_leads_it_goes_on_through_all_times() -> None:
    here = room()
    here.pass_time(20)
    clicks = [at for at, raw in here.sounded if raw[0] == 0x99]
    steps = [after - before for before, after in itertools.pairwise(clicks[:12])]
    assert steps == pytest.approx([60 / 88] * 11, abs=1e-3)


def test_where_the_student_leads_the_other_hand_is_played_along() -> None:
    here = room(parts=("left",))
    here.pass_time(25)
    begin = here.student.truths[0].begins[0]
    bar = 4 * 60 / 88
    played = [(at - begin) / bar for at, raw in here.sounded if raw[0] == 0x90 and at > begin - 0.1]
    assert played[:8] == pytest.approx([number / 2 for number in range(8)], abs=0.01)
    assert not [at for at, raw in here.sounded if raw[0] == 0x99 and 0 < at - begin < 6 * bar]


def test_the_accompaniment_waits_for_who_stops() -> None:
    here = room(BREAKS_OFF, parts=("left",), then=[])
    here.pass_time(22)
    stopped = max(at for at, raw in here.student.sent if raw[0] == 0x90 and raw[1] < 84)
    after = [at for at, raw in here.sounded if raw[0] == 0x90 and stopped < at < stopped + STUCK]
    assert max(after, default=stopped) - stopped < 60 / 88 * 1.5


def test_who_stops_within_the_passage_is_asked_for_a_key_and_counted_in_again() -> None:
    here = room(BREAKS_OFF)
    page = here.pass_time(40)
    assert told(page)[0] == "First time: broken off in bar 6."
    assert told(page)[1] == "Second time: all right."
    assert states(here)[:6] == ["ready", "counting", "playing", "ready", "counting", "playing"]


def test_another_passage_is_named_and_not_counted() -> None:
    here = room(CHORUS)
    page = here.pass_time(45)
    other = next(said for said in page.said if said.startswith("That was bars"))
    assert other.startswith("That was bars 9")
    assert other.endswith("not bars 5 and 6, so it is not counted.")
    assert told(page)[0] == "First time: all right."
    assert here.kept[-1].good > 0


def test_marks_stand_at_the_bars_after_each_time_through() -> None:
    here = room(BAD)
    here.pass_time(20)
    page = next(page for _, page in here.pages if any("First time" in s for s in page.said))
    assert [(bar.number, bar.kinds) for bar in page.passage.played] == [(5, ()), (6, ("bass",))]


def test_when_the_time_is_over_the_time_through_under_way_is_finished() -> None:
    here = room(seconds=15.0)
    page = here.pass_time(60)
    assert page.state == "over"
    assert "The time is over." in page.said
    assert told(page)[0] == "First time: all right."


def test_after_ten_minutes_on_one_passage_it_says_to_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(resting, "ON_ONE_PASSAGE", 12.0)
    here = room()
    page = here.pass_time(22)
    assert page.state == "resting"
    rest = next(said for said in page.said if "rest" in said)
    assert rest == "Ten minutes on one passage is enough for now: let your hands rest a moment."
    assert "doctor" in page.said[page.said.index(rest) + 1]


def test_after_a_rest_any_key_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(resting, "IN_ALL", 12.0)
    here = room()
    page = here.pass_time(40)
    assert "half an hour" in "".join(page.said)
    at = states(here).index("resting")
    assert states(here)[at : at + 3] == ["resting", "counting", "playing"]


def test_a_piano_that_was_away_is_waited_for_and_nothing_is_held_against_anybody() -> None:
    here = room()
    here.pass_time(12)
    now = here.pages[-1][0]
    times = len(here.kept)
    here.lesson.take_in(gone(now - START), now)
    assert here.lesson.page(now).state == "away"
    here.lesson.take_in(opened(now - START + 5), now + 5)
    assert here.lesson.page(now + 5).state == "ready"
    assert len(here.kept) == times


def test_ending_it_tells_the_time_through_that_was_just_over() -> None:
    here = room(then=[GOOD])
    here.pass_time(10)
    end = here.student.truths[0].begins[-1]
    while here.pages[-1][0] < end:
        here.go_on(0.05)
    here.lesson.finish(end)
    assert told(here.lesson.page(end))[0] == "First time: all right."


def test_two_passages_follow_each_other() -> None:
    student = Student(CHART, (4, 5), FOREVER)
    drills = [drill(CHART, "5-6", start=96), drill(CHART, "9-10", start=60)]
    here = Room(drills, student, Wishes())
    page = here.pass_time(45)
    assert "Bars 9 and 10 (Chorus)." in page.said
    assert page.label == "bars 9 and 10 (Chorus)"


def test_a_recorded_take_goes_through_as_it_comes_and_steps_up_without_a_count() -> None:
    lesson = Lesson("Row", [drill(CHART, "5-6", start=72)], Wishes(counts=False))
    graph = prepare(CHART).graph
    take = read_take(to_midi(play(graph, [4, 5] * 7, tempo=0.9)))
    *_, page = rehearse(lesson, take, "monday.mid")
    assert page.state == "playing" or page.state == "over"
    assert len(told(page)) >= 7
    assert "Three good times in a row: now at 80." in page.said
    assert "Three good times in a row: now at 88." in page.said


def test_following_that_fails_begins_again_as_long_as_there_is_hope() -> None:
    here = room()
    here.pass_time(20)
    assert here.lesson.begin_again()
    assert not here.lesson.begin_again()
