"""How it went from day to day. Common practice among teachers, no source."""

from evaluator.history.progress import Progress, progress
from tests.history.kept import entry


def only(*entries: object) -> Progress:
    (found,) = progress(entries)  # type: ignore[arg-type]
    return found


def test_a_day_has_the_mean_and_the_best_of_its_takes() -> None:
    found = only(entry("a", overall=60), entry("b", overall=80), entry("c", day=2, overall=90))
    assert [(day.day.day, day.takes, day.marks["overall"], day.best) for day in found.days] == [
        (2, 2, 70.0, 80.0),
        (4, 1, 90.0, 90.0),
    ]


def test_a_bar_that_was_wrong_the_last_three_times_stays_wrong() -> None:
    takes = [entry(str(n), day=n, bars={1: "", 2: w}) for n, w in enumerate(("", "bass", "bass"))]
    assert only(*takes).stubborn == ()
    again = entry("x", day=9, bars={1: "", 2: "chord bass"})
    (bar,) = only(*takes, again).stubborn
    assert (bar.number, bar.wrong, bar.takes, bar.kinds) == (2, 3, 4, ("chord", "bass"))


def test_a_bar_that_was_wrong_and_is_right_twice_running_is_mastered() -> None:
    wrong = entry("a", bars={1: "", 2: "bass"})
    right = [entry(str(n), day=n, bars={1: "", 2: ""}) for n in (1, 2)]
    assert only(wrong, right[0]).mastered == ()
    assert only(wrong, *right).mastered == (2,)


def test_bars_that_a_take_did_not_reach_are_left_as_they_were() -> None:
    takes = [entry(str(n), day=n, bars={2: "bass"}) for n in range(3)]
    short = entry("short", day=5, bars={1: ""})
    assert [bar.number for bar in only(*takes, short).stubborn] == [2]


def test_of_a_take_graded_by_two_versions_the_newest_counts() -> None:
    old, new = entry("a", overall=50, scoring=1), entry("a", overall=70, scoring=2)
    assert only(new, old).days[0].best == 70
    assert only(new, old).takes == 1


def test_marks_of_another_scale_make_no_curve_with_the_new_ones() -> None:
    monday, tuesday = entry("a", day=1, overall=95, scoring=2), entry("b", day=2, scoring=3)
    (found,) = progress([monday, tuesday])
    assert found.takes == 2
    assert len(found.days) == 1
    assert found.days[0].marks["overall"] == tuesday.marks["overall"]


def test_students_editions_and_parts_are_told_apart() -> None:
    found = progress(
        [
            entry("a", student="Bo"),
            entry("b", student="Anna"),
            entry("c", student="Anna", part="left hand"),
            entry("d", student="Anna", chart="d" * 64),
        ]
    )
    assert [(one.chart[0], one.part, one.student) for one in found] == [
        ("c", "", "Anna"),
        ("c", "", "Bo"),
        ("c", "left hand", "Anna"),
        ("d", "", "Anna"),
    ]
