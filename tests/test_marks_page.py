"""Are the numbers on the page that teachers show to parents those of the program?

Each table of `docs/marks.md` is made again from the constants and functions that mark, and
what the text says beside them is looked up. The sources of the values stand in the modules.
"""

import re
from importlib.resources import files
from pathlib import Path

import pytest

from evaluator.judge import bass, chord, form, rhythm
from evaluator.judge.marks import form_mark, give_marks
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.rubric_text import read_rubric
from evaluator.judge.touch.curves import COUNTED, CURVES, PLACE
from evaluator.judge.verdict import BarVerdict, FormFinding, FormKind, PartVerdict, RhythmVerdict
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
    assert rows[name] == [*(f"{100 * share:.0f}" for share in shares), f"{rubric.pass_mark:g}"]


def test_the_sum_on_the_page_is_one() -> None:
    found = re.search(r"^(chord .*) = ([\d.]+)$", PAGE, re.M)
    assert found is not None
    parts = re.findall(r"(\w+) ([\d.]+) × ([\d.]+)", found[1])
    assert {part: float(share) for part, _, share in parts} == STEADY.shares
    assert round(sum(float(mark) * float(share) for _, mark, share in parts), 1) == float(found[2])


def test_what_a_chord_scores() -> None:
    assert table("Chord") == {
        "the chord, in any voicing, or a colour that the chart allows": points(1.0),
        "the same, with a neighbouring key brushed": points(1.0 - chord.SLIP_COST),
        "one tone missing of a chord of three": points(1 - 1 / len(parse_chord("C").essential)),
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
        "the chord's root where the chart wants another bass": points(bass.HALF),
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
    assert said(f"less than about {100 * rhythm.JND_BEATS:g} % of the beat")
    assert said(f"or {1000 * rhythm.JND:g} ms in quick music")
    assert said(f"early or late from {1000 * rhythm.TOLERANCE:g} ms on")
    assert said(f"from up to {1000 * rhythm.MOST_TOLERANCE:g} ms")
    assert said(f"from {100 * rhythm.WRITTEN_BEATS:g} % of a beat on")
    assert said(f"at the latest from {1000 * rhythm.MOST_WRITTEN:g} ms")
    assert said(f"here {1000 * strike.HAND_WINDOW:g} ms in a hand still count as together")
    assert said(f"a rolled chord may take {1000 * strike.ROLL_SPREAD:g} ms")
    assert rhythm.ADDED_COST == 0.5
    assert said("costs half of what a missed one does")
    strict = read_rubric(
        files("evaluator.judge").joinpath("rubrics/concert-ready.toml").read_text("utf-8"),
        file="concert-ready",
    )
    assert said(f"({strict.strike_ms:g} ms in the place of {STEADY.strike_ms:g})")
    easy = read_rubric(
        files("evaluator.judge").joinpath("rubrics/first-steps.toml").read_text("utf-8"),
        file="first-steps",
    )
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
    assert form.BREAK_BEATS == 1.0
    assert said(f"shorter than {form.BREAK_SECONDS:g} seconds or a beat, whichever is longer")


def test_what_the_touch_is_marked_by() -> None:
    rows = {row.split(",")[0].removesuffix("s"): cells for row, cells in table("Touch").items()}
    assert list(rows) == ["hesitation", "steadines", "evennes", "balance"]
    assert len(COUNTED) == 4
    for aspect, cells in zip(COUNTED, rows.values(), strict=True):
        curve = CURVES[aspect]
        free, sixty = curve.free, curve.free + curve.width
        if aspect == "balance":  # told as how much softer, in a piece with a melody
            free, sixty = -PLACE[True] - free, -PLACE[True] - sixty
        assert cells == [f"{free:g}", f"{sixty:g}"]
        assert round(curve.mark(curve.free + curve.width)) == 61


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


@pytest.mark.parametrize(
    ("mistake", "part", "bars", "finding"),
    [
        ("another chord for one bar", "chord", [bar(chord_score=0.0)] + [bar()] * 39, None),
        (
            "the plain root for another bass in one bar",
            "bass",
            [bar(bass_score=bass.HALF)] + [bar()] * 39,
            None,
        ),
        ("one bar left out", "form", [bar()] * 39, lost("missing", 1)),
        ("broken off, and two bars again", "form", [bar()] * 42, lost("restart", 2)),
    ],
)
def test_what_one_mistake_costs_in_a_song_of_forty_bars(
    mistake: str, part: str, bars: list[BarVerdict], finding: FormFinding | None
) -> None:
    timed = [(one, 4.0) for one in bars]
    marks = give_marks(timed, [finding] if finding else [], STEADY, touch=100.0)
    told, whole = table("For example")[mistake]
    assert told == f"{part} {getattr(marks, part):g}"
    assert whole == f"{marks.overall:g}"


def test_the_marks_against_teachers_are_those_of_the_rubric() -> None:
    """They were measured once, and stand where the weight of the touch has its reason."""
    source = Path(str(files("evaluator.judge").joinpath("rubric.py"))).read_text("utf-8")
    for number in ("0.79", "0.77 to 0.80"):
        assert number in source
    assert said("to a correlation of 0.79")
    assert said("between 0.77 and 0.80")
