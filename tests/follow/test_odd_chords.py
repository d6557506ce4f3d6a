"""How are chords heard that lack a third, or bars that begin after a rest? Common practice."""

from tests.follow.songs import HEAD, followed, numbers, song

FIFTHS = HEAD + "[A]\n| C5 | Ab5 | F5 | G5 |\n| Csus4 | Bb | Esus2 | A5 |\n"
LATE = HEAD + "[A]\n| N.C. / F / | C | G | Am |\n| N.C. / Dm / | F | Bb | Eb |\n"


def test_chords_without_a_third_are_followed_as_others_are() -> None:
    graph = song(FIFTHS)
    path = followed(graph)
    assert numbers(graph, path) == list(range(1, 9))
    assert min(bar.confidence for bar in path.bars[:-1]) > 0.99


def test_which_of_them_is_left_out_is_known() -> None:
    graph = song(FIFTHS)
    path = followed(graph, [1, 2, 3, 4, 5, 7, 8])
    assert numbers(graph, path) == [1, 2, 3, 4, 5, 7, 8]


def test_a_bar_that_begins_with_a_rest_is_one_bar() -> None:
    graph = song(LATE)
    path = followed(graph)
    assert numbers(graph, path) == list(range(1, 9))
    assert [bar.entry for bar in path.bars[1:]] == ["onward"] * 7
