"""How do messages come from the piano, whatever system it hangs on? Behaviour of RtMidi as
measured with python-rtmidi 1.5.8; a stand-in for it here, the real one in test_jack."""

import sys
from pathlib import Path

import pytest

FAKE = str(Path(__file__).parent / "fake")


@pytest.fixture(autouse=True)
def fake_rtmidi(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(sys.modules, "rtmidi", raising=False)
    monkeypatch.syspath_prepend(FAKE)
    monkeypatch.setenv("FAKE_PORTS", "Midi Through Port-0 14:0;Grand 20:0;Upright 24:0")


def test_every_system_of_the_build_is_asked() -> None:
    from evaluator.live.names import PortName
    from evaluator.live.port import inputs, systems

    assert systems() == {"ALSA": 1, "JACK": 2}
    assert PortName("JACK", "Grand 20:0") in inputs()


def test_a_system_that_does_not_answer_hides_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    from evaluator.live.port import inputs

    monkeypatch.setenv("FAKE_SILENT", "1")
    assert len(inputs()) == 3


def test_every_client_is_deleted() -> None:
    import rtmidi

    from evaluator.live.port import InputPort, PortGoneError, inputs

    inputs()
    with pytest.raises(PortGoneError):
        InputPort("Celesta")
    InputPort("Grand").close()
    assert rtmidi.MidiIn.made == 0  # type: ignore[attr-defined]


def test_a_build_without_a_system_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    from evaluator.live.port import NoBackendError, systems

    monkeypatch.setenv("FAKE_SYSTEMS", "API_RTMIDI_DUMMY")
    with pytest.raises(NoBackendError, match="built without any MIDI system"):
        systems()


def test_a_missing_library_is_told_with_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    from evaluator.live.port import NoBackendError, systems

    monkeypatch.setitem(sys.modules, "rtmidi", None)
    with pytest.raises(NoBackendError, match="pip install"):
        systems()


def test_a_port_that_another_program_holds_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    from evaluator.live.port import InputPort, PortRefusedError

    monkeypatch.setenv("FAKE_HELD", "1")
    with pytest.raises(PortRefusedError, match="error creating"):
        InputPort("Grand")


def test_a_port_is_opened_by_name_whatever_its_number() -> None:
    from evaluator.live.port import InputPort

    assert InputPort("Grand 99:0").name == "Grand 20:0"


def test_a_port_that_leaves_the_list_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    from evaluator.live.port import InputPort, PortGoneError

    now = [0.0]
    port = InputPort("Upright", clock=lambda: now[0])
    now[0] = 0.6
    assert port.poll() == []
    monkeypatch.setenv("FAKE_PORTS", "Grand 20:0")
    now[0] = 0.7
    assert port.poll() == []  # the list is not looked at every time
    now[0] = 1.2
    with pytest.raises(PortGoneError):
        port.poll()


def test_a_port_that_only_changed_its_number_is_still_there(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from evaluator.live.port import InputPort

    now = [0.0]
    port = InputPort("Upright", clock=lambda: now[0])
    monkeypatch.setenv("FAKE_PORTS", "Upright 28:0")
    now[0] = 0.6
    assert port.poll() == []


def test_a_server_that_died_is_noticed_in_silence(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its ports stay in the list; another client cannot be made."""
    from evaluator.live.port import InputPort, ServerGoneError

    now = [0.0]
    port = InputPort("Upright", clock=lambda: now[0])
    monkeypatch.setenv("FAKE_SILENT", "2")
    for step in range(1, 20):
        now[0] = 0.1 * step
        if step > 9:
            break
        port.poll()
    now[0] = 1.6
    with pytest.raises(ServerGoneError):
        port.poll()


def test_what_native_libraries_say_does_not_reach_the_screen(
    capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from evaluator.live.port import inputs, quiet

    with quiet():
        inputs()
    assert capfd.readouterr().err == ""
    inputs()
    assert "noise" in capfd.readouterr().err
