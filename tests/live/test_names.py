"""Is this the piano of last time? Forms of names as RtMidi's systems give them: ALSA's client
and port numbers, Windows' index, the card of JACK's bridge (from the projects' threads)."""

import pytest

from evaluator.live.names import PortName, matching, pianos, plain


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("Digital Piano:Digital Piano MIDI 1 20:0", "Digital Piano:Digital Piano MIDI 1 28:0"),
        ("Digital Piano 0", "Digital Piano 2"),
        ("a2j:Digital Piano [20] (capture): MIDI 1", "a2j:Digital Piano [24] (capture): MIDI 1"),
        ("Digital  Piano", "digital piano"),
    ],
)
def test_numbers_that_change_do_not_make_another_piano(before: str, after: str) -> None:
    assert plain(before) == plain(after)


def test_other_pianos_are_others() -> None:
    assert plain("Piano A 20:0") != plain("Piano B 20:0")
    assert plain("system:midi_capture_1") != plain("system:midi_capture_2")


PORTS = [
    PortName("ALSA", "Midi Through:Midi Through Port-0 14:0"),
    PortName("ALSA", "Upright:Upright MIDI 1 20:0"),
    PortName("ALSA", "Grand:Grand MIDI 1 24:0"),
]


def test_the_loop_back_of_the_system_is_no_piano() -> None:
    assert pianos(PORTS) == PORTS[1:]


@pytest.mark.parametrize(
    "wanted", ["Grand:Grand MIDI 1 24:0", "Grand:Grand MIDI 1 36:0", "grand", "Grand MIDI"]
)
def test_a_port_is_found_by_its_name_or_a_part_of_it(wanted: str) -> None:
    assert matching(PORTS, wanted) == [PORTS[2]]


def test_a_part_that_many_have_finds_them_all() -> None:
    assert matching(PORTS, "MIDI 1") == PORTS[1:]
    assert matching(PORTS, "Celesta") == []
