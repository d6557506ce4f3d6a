"""When was nothing recorded? The marker is this program's own."""

from evaluator.take.gaps import Gap, gaps_in, mark, told


def test_a_marker_reads_as_it_was_written() -> None:
    gaps = (Gap(1.25, 9.5), Gap(61.0, 3599.125))
    raw = b"MThd..." + b"...".join(mark(gap).encode() for gap in gaps) + b"\xff\x2f\x00"
    assert gaps_in(raw) == gaps


def test_other_texts_are_no_gaps() -> None:
    assert gaps_in(b"piano away from home") == ()
    assert gaps_in(b"piano away from 9.000 s to 1.000 s") == ()


def test_a_gap_is_told_by_the_clock() -> None:
    assert "from 0:01 to 1:02" in told(Gap(1.25, 62.9)).say
