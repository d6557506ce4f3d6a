"""What of that did the piano send back? Rules of this program, no outside source."""

from evaluator.live.echoes import Echoes

STRUCK = bytes((0x90, 60, 48))


def after(echoes: Echoes, *, back: bool, count: int = 20) -> float:
    """So many messages were sent, and came back or not; the time then."""
    for number in range(count):
        echoes.sent(STRUCK, number / 2)
        if back:
            assert echoes.is_echo(STRUCK, number / 2 + 0.02)
    return count / 2


def test_what_comes_back_at_once_to_the_byte_is_an_echo_and_only_once() -> None:
    echoes = Echoes()
    echoes.sent(STRUCK, 1.0)
    assert not echoes.is_echo(bytes((0x90, 60, 47)), 1.01)
    assert echoes.is_echo(STRUCK, 1.02)
    assert not echoes.is_echo(STRUCK, 1.03)


def test_what_comes_later_was_played() -> None:
    echoes = Echoes()
    echoes.sent(STRUCK, 1.0)
    assert not echoes.is_echo(STRUCK, 1.15)


def test_of_a_piano_that_echoes_every_message_is_taken_for_one() -> None:
    echoes = Echoes()
    now = after(echoes, back=True)
    echoes.sent(STRUCK, now)
    assert echoes.is_echo(STRUCK, now + 0.09)


def test_of_a_piano_that_has_no_echo_the_same_key_equally_loud_was_played() -> None:
    echoes = Echoes()
    now = after(echoes, back=False)
    echoes.sent(STRUCK, now)
    assert not echoes.is_echo(STRUCK, now + 0.01)


def test_channels_are_learnt_apart() -> None:
    echoes = Echoes()
    now = after(echoes, back=False)
    click = bytes((0x99, 76, 100))
    echoes.sent(click, now)
    assert echoes.is_echo(click, now + 0.01)
