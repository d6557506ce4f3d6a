"""Are the numbers on the page that teachers show to parents those of the program?

Each table of `docs/marks.md` is made again from the constants and functions that mark, and
what the text says beside them is looked up. The sources of the values stand in the modules.
"""

import re
from importlib.resources import files
from math import prod
from pathlib import Path

import pytest

from evaluator.judge import bass, chord, rhythm, slips, written, written_halts
from evaluator.judge.marks import form_mark, give_marks, leaves
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.rubric_text import read_rubric
from evaluator.judge.touch import pulse
from evaluator.judge.touch.curves import (
    COUNTED,
    CURVES,
    LENGTHS,
    PLACE,
    RITARD,
    SAID,
    SHADED,
)
from evaluator.judge.verdict import (
    BarVerdict,
    Extent,
    FormFinding,
    FormKind,
    PartVerdict,
    RhythmVerdict,
    TouchAspect,
)
from evaluator.parts import PARTS, Part
from evaluator.report.reckoning import EVIDENCE
from evaluator.take import strike
from evaluator.theory.symbol import parse_chord

PAGE = (Path(__file__).resolve().parents[1] / "docs/marks.md").read_text(encoding="utf-8")
SONG = 40
"""Bars of a song long enough that its length does not matter."""
MEANING = "What a mark means"


def table(heading: str) -> dict[str, list[str]]:
    """The table under a heading: the first cell of each row, and the cells behind it."""
    section = re.split(r"^#+ .*$", PAGE.split(f"# {heading}\n")[1], maxsplit=1, flags=re.M)[0]
    rows = [line.strip("| ").split(" | ") for line in re.findall(r"^\|.*\|$", section, re.M)]
    return {row[0]: row[1:] for row in rows[2:]}


def said(text: str) -> bool:
    """Whether the page says so, wherever its lines break."""
    return " ".join(text.split()) in " ".join(PAGE.split())


def points(score: float) -> list[str]:
    return [f"{100 * score:.0f}"]


RUBRICS = ("first-steps", "steady", "concert-ready")


def built_in(name: str) -> Rubric:
    text = files("evaluator.judge").joinpath("rubrics", f"{name}.toml").read_text("utf-8")
    return read_rubric(text, file=name)


@pytest.mark.parametrize("name", RUBRICS)
def test_the_weights_and_pass_marks_are_those_of_the_rubrics(name: str) -> None:
    rubric = built_in(name)
    shares = [rubric.shares.get(part, 0.0) for part in ("chord", "rhythm", "form", "bass", "touch")]
    rows = {re.sub(r"`|, the usual one", "", row): cells for row, cells in table(MEANING).items()}
    assert rows[name] == [
        *(f"{100 * share:.0f}" for share in shares),
        *(f"{one:g}" for one in (rubric.strictness, rubric.least_played, rubric.pass_mark)),
    ]


@pytest.mark.parametrize("part", PARTS)
def test_what_is_left_of_the_whole_by_what_was_lost(part: Part) -> None:
    row = f"{part} ({100 * STEADY.shares[part]:.0f} %) leaves"
    lost = [1, 5, 10, 25, 50]
    marks = dict.fromkeys(PARTS, 100.0)
    left = [leaves({**marks, part: 100.0 - points}, STEADY)[part] for points in lost]
    assert table(MEANING)[row] == [f"{one:g}" for one in left]
    assert said(f"for `steady` the strictness is {STEADY.strictness:g}")


def test_the_product_on_the_page_is_one() -> None:
    found = re.search(r"^(100 × .*) = ([\d.]+)$", PAGE, re.M)
    assert found is not None
    parts = re.findall(r"([\d.]+) \((\w+) ([\d.]+)\)", found[1])
    marks = {part: float(mark) for _, part, mark in parts}
    assert {part: float(left) for left, part, _ in parts} == leaves(marks, STEADY)
    assert f"{100 * prod(float(left) for left, _, _ in parts):.1f}" == found[2]


def test_how_much_of_a_song_must_have_been_followed() -> None:
    assert EVIDENCE == 0.5
    assert said("Where less than half of the song's bars could be followed, nobody passes")


def test_what_a_chord_scores() -> None:
    assert table("Chord") == {
        "the chord, in any voicing, or a colour that the chart allows": points(1.0),
        "the same, with a neighbouring key brushed": points(1.0 - slips.SLIP_COST),
        "one tone missing of a chord of three": points(1 - 1 / len(parse_chord("C").essential)),
        "one key missing of two that are written out": points(1 - written.MISSING / 2),
        "one key inside a chord that is written out did not speak": points(1.0 - slips.SLIP_COST),
        "complete, with one foreign tone in it": points(chord.ONE_TOO_MANY),
        "one foreign tone in the place of its own, such as minor for major": points(
            chord.ONE_BESIDE
        ),
        "another chord first, and this one within its time": points(chord.PUT_RIGHT),
        "another chord, or none": points(0.0),
    }


def test_what_another_rhythm_than_the_patterns_costs() -> None:
    prices = [built_in(name).price_of_other_rhythm for name in RUBRICS]
    assert said(
        f"it takes {100 * prices[1]:.0f} percent of that hand's rhythm there; "
        f"{100 * prices[2]:.0f} percent by `concert-ready`, and nothing by `first-steps`"
    )
    assert prices[0] == 0.0


def test_what_a_bass_scores() -> None:
    assert table("Bass") == {
        "the bass note that the chart wants, in any octave": points(1.0),
        "the chord's root instead of another bass note": points(bass.HALF),
        "another note, put right within the chord's time": points(bass.HALF),
        "another note, or none": points(0.0),
    }


def test_how_a_strike_is_graded_by_the_time() -> None:
    rows = table("Rhythm")
    assert len(rows) == 6
    ear = rhythm.Ear(0.0, {}, {}, {})
    called = rows.pop("called early or late from")
    for place, bpm in enumerate((60, 96, 120)):
        beat = 60 / bpm
        assert called[place] == f"{1000 * rhythm._tolerance(beat, ear):.0f} ms"
        for off, cells in rows.items():
            late = float(off.removesuffix(" ms")) / 1000
            assert cells[place] == f"{100 * rhythm._grade(late, beat, STEADY):.0f}", (off, bpm)


def test_why_a_strike_is_graded_so() -> None:
    assert rhythm.FREE_BEATS == 0.1
    assert said(f"A tenth of a beat, or {1000 * rhythm.FREE:g} ms in quick music")
    assert said(f"early or late from {1000 * rhythm.TOLERANCE:g} ms on")
    assert said(f"from up to {1000 * rhythm.MOST_TOLERANCE:g} ms")
    assert said(f"from {100 * rhythm.WRITTEN_BEATS:g} % of a beat on")
    assert said(f"at the latest from {1000 * rhythm.MOST_WRITTEN:g} ms")
    assert said(f"here {1000 * strike.HAND_WINDOW:g} ms in a hand still count as together")
    assert said(f"a rolled chord may take {1000 * strike.ROLL_SPREAD:g} ms")
    assert rhythm.ADDED_COST == 0.5
    assert said("costs half of what a missed one does")
    strict, easy = built_in("concert-ready"), built_in("first-steps")
    assert said(f"({strict.strike_ms:g} ms in the place of {STEADY.strike_ms:g})")
    assert said("With `first-steps` being early or late costs nothing.")
    assert not {"early_strike", "late_strike"} & easy.counts


def lost(kind: FormKind, count: int) -> FormFinding:
    return FormFinding(
        kind=kind, bars=tuple(range(count)), count=count, section="All", tail=False, at=0.0
    )


def cost(kind: FormKind, count: int) -> float:
    """Bars that a finding costs."""
    return SONG * (1 - form_mark([lost(kind, count)], SONG) / 100)


@pytest.mark.parametrize(
    ("row", "kind"),
    [
        ("bars left out, or played once too often", "missing"),
        ("bars left out, or played once too often", "extra"),
        ("broken off and taken up again", "restart"),
        ("a halt that did not lose the place", "break"),
    ],
)
def test_what_the_form_costs(row: str, kind: FormKind) -> None:
    numbers = [float(number) for number in re.findall(r"[\d.]+", table("Form")[row][0])]
    first, each = (*numbers, 0.0)[:2]
    for count in (1, 3):
        assert cost(kind, count) == pytest.approx(first + each * count)


def test_a_short_take_is_marked_as_one_of_sixteen_bars() -> None:
    assert said("(16 at least)")
    assert form_mark([lost("missing", 1)], 4) == form_mark([lost("missing", 1)], 16)
    assert form_mark([lost("missing", 1)], 17) > form_mark([lost("missing", 1)], 16)


def test_how_long_a_hesitation_is() -> None:
    assert written_halts.BREAK_BEATS == 1.0
    assert said(
        f"shorter than {written_halts.BREAK_SECONDS:g} seconds or a beat, whichever is longer"
    )


def test_what_the_touch_is_marked_by() -> None:
    assert COUNTED == ("evenness",)
    rows = {row: cells for row, cells in table("Touch").items() if row[0].isdigit()}
    assert len(rows) == 6
    for astray, cells in rows.items():
        assert cells == [f"{CURVES['evenness'].mark(float(astray)):.0f}"]
    assert said(f"longer by more than {pulse.HESITATION_BEATS:g} beats")
    assert said(f"too short by more than {pulse.HURRY_BEATS:g} beats")
    assert said(f"and by more than {1000 * pulse.HURRY:g} ms in either case")
    assert pulse.HURRY == pulse.HESITATION
    assert pulse.CLOSING == 2
    assert said("The last two bars are left out.")
    assert said(f"one of every {pulse.ONE_OF} steps is free")


def said_from(aspect: TouchAspect) -> float:
    """How far off an aspect must be to be said."""
    return next(off / 100 for off in range(10_000) if CURVES[aspect].mark(off / 100) < SAID)


def test_from_where_on_something_of_the_touch_is_said() -> None:
    numbers = {
        row: [float(number) for number in re.findall(r"[\d.]+", cells[0].replace("eight", ""))]
        for row, cells in table("Touch").items()
        if not (row[0].isdigit() or row in ("what is said", "---"))
    }
    shortest, longest = LENGTHS
    assert numbers == {
        "it halts": [pytest.approx(said_from("hesitation"), abs=0.05)],
        "the tempo wanders": [pytest.approx(said_from("steadiness"), abs=0.05)],
        "the left hand is louder than the right": [
            pytest.approx(PLACE + said_from("balance"), abs=0.05)
        ],
        "the melody is all of one loudness": [
            pytest.approx(SHADED - said_from("loudness"), abs=0.05)
        ],
        "notes are cut short, staccato is held": [
            pytest.approx(shortest - said_from("length"), abs=0.1),
            pytest.approx(longest + said_from("length"), abs=0.1),
        ],
        "repeated notes of a melody are detached": [pytest.approx(said_from("repeats"), abs=0.1)],
        "the pedal carries notes over": [pytest.approx(said_from("blur"), abs=0.05)],
        "a ritard that is written is hardly heard": [
            pytest.approx(RITARD - said_from("ending"), abs=0.05)
        ],
        "the hands are apart": [pytest.approx(said_from("together"), abs=0.1)],
        "slower or faster than the chart": [pytest.approx(said_from("tempo"), abs=0.5)],
    }


def bar(chord_score: float = 1.0, bass_score: float = 1.0) -> BarVerdict:
    """A bar without fault but for these scores."""
    return BarVerdict(
        played=1,
        bar=0,
        start=0.0,
        end=2.5,
        bpm=96.0,
        confidence=1.0,
        judged=True,
        chord=PartVerdict(chord_score, "right", ()),
        bass=PartVerdict(bass_score, "right", ()),
        rhythm=RhythmVerdict(1.0, 1, (), 0.0, 0.0),
    )


WHOLE = Extent(first=1, last=SONG, bars=SONG, unreached=0, played=SONG, judged=SONG)
HALF = Extent(first=1, last=20, bars=SONG, unreached=20, played=20, judged=20)


@pytest.mark.parametrize(
    ("mistake", "part", "bars", "finding", "extent"),
    [
        ("another chord for one bar", "chord", [bar(0.0)] + [bar()] * 39, None, WHOLE),
        (
            "the plain root for another bass in one bar",
            "bass",
            [bar(bass_score=bass.HALF)] + [bar()] * 39,
            None,
            WHOLE,
        ),
        ("one bar left out", "form", [bar()] * 39, lost("missing", 1), WHOLE),
        ("broken off, and two bars again", "form", [bar()] * 42, lost("restart", 2), WHOLE),
        ("half of the song, and it stops there", "form", [bar()] * 20, None, HALF),
    ],
)
def test_what_one_mistake_costs_in_a_song_of_forty_bars(
    mistake: str, part: str, bars: list[BarVerdict], finding: FormFinding | None, extent: Extent
) -> None:
    timed = [(one, 4.0) for one in bars]
    marks = give_marks(timed, [finding] if finding else [], touch=100.0, extent=extent)
    told, whole = table("For example")[mistake]
    assert told == f"{part} {marks[part]:g}"
    assert whole == f"{marks.overall:g}"
