"""What happens when, from the first look for a piano to the last chord? Rules of this
program, no outside source; the measure of its marks is the report on the whole take."""

import pytest

from evaluator.excerpt.song import Song
from evaluator.grading import Graded, grade_fully, prepare
from evaluator.live.session import Session, Settings
from evaluator.report.faults import bar_faults
from evaluator.show.live_page import LivePage
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from tests.bench.by_hand import Script, played
from tests.bench.kinds import MIXED, play_kind
from tests.bench.students import FEW, simulate
from tests.cli.commands import CHART, take
from tests.end_to_end.rewriting import octave, plain
from tests.live.script import START, gone, in_order, message, opened, stroke
from tests.live.stage import entries_of, perform, performed
from tests.playing import Missed, WrongBass, WrongChord, play, to_midi

SONG = prepare(CHART)
FAULTY = take(WrongBass(2, "A"), WrongChord(6, "Gm"), Missed(9, 0.0, "left"))
CLEAN = read_take(to_midi(play(SONG.graph)))
BAR = 4 * 60 / 96


def pages(session: Session, entries: list, *, until: float = 120.0) -> list[tuple[float, LivePage]]:
    return [(now - START, page) for now, page in perform(session, entries, until=START + until)]


def states(shown: list[tuple[float, LivePage]]) -> list[str]:
    found: list[str] = []
    for _, page in shown:
        if not found or found[-1] != page.state:
            found.append(page.state)
    return found


def test_it_waits_for_the_piano_and_then_for_the_first_note() -> None:
    session = Session(SONG, Settings())
    shown = pages(session, [opened(5.0), *stroke(9.0, 50)], until=10.0)
    assert states(shown) == ["no piano", "ready", "playing"]
    assert next(round(now) for now, page in shown if page.state == "ready") == 5


def test_it_shows_the_bar_being_played_and_the_next() -> None:
    session = Session(SONG, Settings())
    shown = pages(session, entries_of(CLEAN))
    for number in range(3, 16):
        middle = 1.0 + (number - 0.5) * BAR
        page = next(page for now, page in shown if now >= middle)
        assert (page.here, page.then) == (number, number + 1)
        assert page.beat in (2, 3)


def test_a_bar_that_is_right_is_marked_at_once_and_any_other_when_the_next_one_is_over() -> None:
    session = Session(SONG, Settings())
    stood: dict[int, float] = {}
    for now, page in pages(session, entries_of(read_take(FAULTY))):
        for bar in page.played:
            stood.setdefault(bar.number, now)
    late = {number: (stood[number] - 1.0) / BAR - number for number in range(1, 16)}
    assert all(late[number] < 0.5 for number in late if number not in (2, 6, 9))
    assert all(1.0 < late[number] < 1.1 for number in (2, 6, 9))


def test_a_chord_struck_ahead_of_its_bar_is_not_marked_wrong_first() -> None:
    heard = play_kind("pushed chords", 2)
    song, notes = prepare(heard.chart_text), read_take(heard.midi_bytes)
    shown = list(perform(Session(song, Settings()), entries_of(notes), until=START + 20.0))
    assert len(shown[-1][1].played) > 12
    assert not any("chord" in bar.kinds for _, page in shown for bar in page.played)


def test_the_marks_are_those_of_the_report() -> None:
    graded = grade_fully(SONG, FAULTY)
    session, last = performed(SONG, graded.take)
    assert [bar.kinds for bar in last.played] == final_kinds(graded)
    assert last.played[1].says == ("bass A instead of C#",)
    assert session.over


def final_kinds(graded: Graded) -> list[tuple[str, ...]]:
    return [
        tuple(fault.kind for fault in bar_faults(bar, graded.song.graph))
        for bar in graded.judgement.bars
    ]


def test_a_last_line_is_not_short_while_it_is_being_played() -> None:
    session = Session(SONG, Settings())
    for _, page in perform(session, entries_of(CLEAN), until=START + 99):
        states = {bar.state for part in page.sections for row in part.lines for bar in row.bars}
        assert "missing" not in states


def test_it_ends_by_itself_after_the_last_bar_and_a_rest() -> None:
    session = Session(SONG, Settings())
    shown = pages(session, entries_of(CLEAN))
    end = 1.0 + 16 * BAR
    assert session.over
    assert end + 2.0 < shown[-1][0] < end + 4.0
    assert len(shown[-1][1].played) == 16


def test_it_ends_by_itself_when_the_last_line_was_too_short() -> None:
    short = read_take(take(without=(16,)))
    session = Session(SONG, Settings())
    shown = pages(session, entries_of(short))
    assert session.over
    assert shown[-1][0] < 1.0 + 15 * BAR + 6.0
    assert [one.kind for one in session.following.judged.judgement.form] == ["missing"]


def test_a_last_chord_that_is_held_is_waited_for() -> None:
    session = Session(SONG, Settings())
    held = message(1.0 + 15 * BAR + 0.01, 0x90, 38, 60)
    let_go = message(1.0 + 18 * BAR, 0x80, 38, 0)
    shown = pages(session, in_order(*entries_of(CLEAN), held, let_go))
    assert shown[-1][0] > 18 * BAR


def test_noodling_after_the_end_does_not_keep_it_from_ending() -> None:
    session = Session(SONG, Settings())
    end = 1.0 + 16 * BAR
    noodling = [
        entry
        for number in range(60)
        for entry in stroke(end + 1.0 + 0.31 * number, 61 + 6 * (number % 5), lasts=0.1)
    ]
    shown = pages(session, in_order(*entries_of(CLEAN), *noodling))
    assert session.over
    assert shown[-1][0] < end + 12.0
    assert len(shown[-1][1].played) == 16


def test_playing_the_song_again_does() -> None:
    again = [
        entry for entry in entries_of(CLEAN, at=1.0 + 16 * BAR + 1.5) if entry.kind == "message"
    ]
    session = Session(SONG, Settings())
    shown = pages(session, [*entries_of(CLEAN), *again])
    assert shown[-1][0] > 1.0 + 32 * BAR
    assert len(shown[-1][1].played) == 32


def test_a_halt_on_the_way_is_no_end() -> None:
    """Ten seconds of silence after bar 12, before the tail."""
    halted = [
        entry
        for at, bars in ((1.0, slice(0, 12)), (11.0 + 12 * BAR, slice(12, 16)))
        for entry in part(bars, at)
    ]
    session = Session(SONG, Settings())
    shown = pages(session, [opened(), *halted])
    assert [bar.number for bar in shown[-1][1].played] == list(range(1, 17))


def part(bars: slice, at: float) -> list:
    played = read_take(to_midi(play(SONG.graph, SONG.graph.written[bars])))
    return entries_of(played, at=at)[1:]


def test_practising_the_end_is_not_ended_for_the_player() -> None:
    session = Session(SONG, Settings())
    shown = pages(session, [opened(), *part(slice(12, 16), 1.0)], until=30.0)
    assert not session.over
    assert shown[-1][1].state == "playing"


def test_warming_up_is_not_judged() -> None:
    warm_up = [e for n in range(6) for e in stroke(1.0 + 0.4 * n, 61 + 3 * (n % 3), lasts=0.2)]
    session = Session(SONG, Settings())
    shown = pages(session, [opened(), *warm_up, *entries_of(CLEAN, at=6.0)[1:]])
    assert [bar.number for bar in shown[-1][1].played] == list(range(1, 17))
    assert all(bar.kinds == () for bar in shown[-1][1].played)


def test_the_count_in_is_asked_for_by_a_note_that_is_no_part_of_the_take() -> None:
    session = Session(SONG, Settings(count_in=1, bpm=60))
    music = entries_of(CLEAN, at=7.0)[1:]
    counts, clicks = [], []
    waiting = [opened(), *stroke(1.0, 30), *music][::-1]
    now = START
    while now < START + 80 and not session.over:
        while waiting and waiting[-1].host <= now:
            session.take_in(waiting.pop(), now)
        session.step(now)
        while session.orders:
            order, *numbers = session.orders.popleft().split()
            if order == "begin":
                assert float(numbers[0]) == pytest.approx(START + 5.4, abs=0.05)
                from evaluator.live.journal import Entry

                session.take_in(Entry("begin", float(numbers[0])), now)
            else:
                clicks.append((round(now - START, 1), numbers[0]))
        count = session.page(now).count
        if count is not None and (not counts or counts[-1] != count):
            counts.append(count)
        now += 0.02
    assert clicks == [(2.0, "76"), (3.0, "77"), (4.0, "77"), (5.0, "77")]
    assert counts == [(1, 0), (1, 1), (1, 2), (1, 3), (1, 4)]
    assert [bar.number for bar in session.page(now).played] == list(range(1, 17))


def test_the_click_goes_on_if_asked_for() -> None:
    session = Session(SONG, Settings(click=True))
    clicked = 0
    for now, _ in perform_with_orders(session, entries_of(CLEAN), until=START + 11.0):
        clicked = len(now)
    assert clicked == pytest.approx(10 / (60 / 96), abs=1)


def perform_with_orders(session: Session, entries: list, *, until: float):
    """The orders so far, and the page, after every turn."""
    waiting, now, orders = list(entries)[::-1], START, []
    while now < until:
        while waiting and waiting[-1].host <= now:
            session.take_in(waiting.pop(), now)
        session.step(now)
        while session.orders:
            orders.append(session.orders.popleft())
        yield orders, session.page(now)
        now += 0.02


def without(played: Take, start: float, end: float) -> list:
    """A take as it is heard when the cable is out from one moment to another."""
    kept = [entry for entry in entries_of(played) if not START + start < entry.host < START + end]
    return in_order(*kept, gone(start + 0.4), opened(end))


def test_a_cable_that_came_out_is_said_and_playing_goes_on() -> None:
    session = Session(SONG, Settings())
    start, end = 1.0 + 4.5 * BAR, 1.0 + 8.2 * BAR
    shown = pages(session, without(CLEAN, start, end))
    assert states(shown) == ["ready", "playing", "away", "playing", "over"]
    played = {bar.number: bar for bar in shown[-1][1].played}
    assert played[3].kinds == ()
    assert played[12].kinds == ()
    assert all(bar.kinds in ((), ("lost",)) for bar in played.values())
    assert session.following.judged.judgement.form == ()


def test_a_transposed_piano_is_followed() -> None:
    performance = play(SONG.graph).transposed(3)
    session = Session(SONG, Settings())
    shown = pages(session, entries_of(read_take(to_midi(performance))))
    assert [bar.number for bar in shown[-1][1].played] == list(range(1, 17))
    assert all(bar.kinds == () for bar in shown[-1][1].played)


def test_a_take_an_octave_lower_is_followed_on_the_same_way() -> None:
    student = simulate(37, "tidy", faults=FEW)
    ways = []
    for octaves in (0, -1):
        session = Session(prepare(student.chart_text), Settings())
        lower = octave(plain(read_take(student.midi_bytes)), octaves)
        pages(session, entries_of(read_take(lower.midi)), until=60.0)
        ways.append([bar.bar for bar in session.following.judged.path.bars])
    assert ways[0] == ways[1]


def test_ending_it_by_hand_judges_the_bars_so_far() -> None:
    session = Session(SONG, Settings())
    shown = pages(session, entries_of(CLEAN), until=1.0 + 6.2 * BAR)
    session.finish(START + 1.0 + 6.2 * BAR)
    page = session.page(START + 1.0 + 6.2 * BAR)
    assert page.state == "over"
    assert [bar.number for bar in page.played][:6] == [1, 2, 3, 4, 5, 6]
    assert shown[-1][1].state == "playing"


def test_what_is_held_is_named_as_the_chart_would() -> None:
    session = Session(SONG, Settings())
    chord = [message(1.0, 0x90, pitch, 60) for pitch in (49, 57, 64)]
    shown = pages(session, [opened(), *chord], until=2.0)
    assert shown[-1][1].sounding == "A/C#"


def test_a_port_that_is_held_by_another_program_is_told() -> None:
    from evaluator.live.journal import Entry

    session = Session(SONG, Settings())
    shown = pages(session, [Entry("refused", START + 1, text="busy")], until=2.0)
    assert "another program" in shown[-1][1].notes[0]


def test_a_song_can_be_any_song() -> None:
    """No patterns, one bar."""
    song: Song = prepare("title: One\ntempo: 60\n\n[A]\n| C |\n")
    session = Session(song, Settings())
    shown = pages(session, [opened(), *stroke(1.0, 48, lasts=3.0), *stroke(1.0, 64, lasts=3.0)])
    assert shown[-1][1].bars == 1


def test_of_one_channel_only_that_is_followed() -> None:
    song = prepare(CHART, channel=0)
    style = [
        message(0.5 + 0.3 * beat + off, status, 37 + beat % 5, 90)
        for beat in range(100)
        for off, status in ((0.0, 0x93), (0.2, 0x83))
    ]
    session = Session(song, Settings())
    for _ in perform(session, in_order(*entries_of(CLEAN), *style), until=START + 99):
        pass
    assert not any(channel for channel in session.record.take(START + 99).channels)
    alone, last = performed(SONG, CLEAN)
    assert [one.bar for one in session.following.judged.judgement.bars] == [
        one.bar for one in alone.following.judged.judgement.bars
    ]
    assert not any(bar.kinds for bar in last.played)


def test_who_plays_none_of_the_pattern_is_followed_as_in_a_file() -> None:
    heard = played(Script("half notes", "quarry_road", kind="half notes", bars="1-16"))
    graded = grade_fully(prepare(heard.chart_text), heard.midi_bytes)
    assert graded.path.rhythm == "metre"
    session, last = performed(graded.song, graded.take)
    assert session.following.judged.path.rhythm == "metre"
    assert [bar.kinds for bar in last.played] == final_kinds(graded)


def test_nothing_is_marked_while_nothing_of_the_song_is_played() -> None:
    heard = play_kind("whole notes", 1, faults=MIXED)  # some notes are tried out before it
    song, notes = prepare(heard.chart_text), read_take(heard.midi_bytes)
    begins = heard.truth.bars[0].start - float(notes.onsets[0])
    session = Session(song, Settings())
    shown = list(perform(session, entries_of(notes), until=START + 1.0 + begins))
    assert begins > 4.0
    assert session.following.judged.judgement.bars
    assert not any(page.played for _, page in shown)
