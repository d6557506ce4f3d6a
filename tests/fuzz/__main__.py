"""Searches for input that breaks a promise, guided by which code each input reaches.

    pip install -e '.[test,fuzz]'
    python -m tests.fuzz midi --seconds 20
    python -m tests.fuzz midi chart history --seconds 10    # one after another, two at a time
    python -m tests.fuzz midi --runs 200                    # the same 200 inputs each time
    python -m tests.fuzz midi --seconds 3600 --into found   # long; keeps what it tried
    python -m tests.fuzz midi --merge found                 # takes what is new into the corpus

All targets are searched by children of one process, since the program has to be prepared for
the search (which takes longer than a short search) only once.

It begins with the seeds and with the kept corpus and ends after the time or the inputs, or with
exit status 1 and beyond at the first broken promise: an exception that is not ours, an assertion,
an input that takes longer than half a minute. The input is then a file of the folder that was
named; with its mending it goes into the corpus under a name that says what it was. The search
is libFuzzer's, called by atheris (Apache License 2.0), which is offered built for Linux alone.
"""

import argparse
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from hashlib import sha1
from pathlib import Path
from typing import NoReturn

import atheris

with atheris.instrument_imports(include=["evaluator"]):
    from tests.fuzz.targets import PROMISES
from tests.fuzz.seeds import LONGEST, SEEDS, WORDS

CORPUS = Path(__file__).with_name("corpus")
AT_A_TIME = 2
STINT = 60
"""Seconds for which one process searches. Under atheris arrays of numpy are not given back, two
megabytes a graded take where the follower's step is not compiled; without it nothing grows."""


def main() -> None:
    """Search as the command line asks."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.fuzz",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("targets", metavar="target", choices=PROMISES, nargs="+")
    parser.add_argument("--seconds", type=int, default=20)
    parser.add_argument("--runs", type=int, help="inputs, instead of seconds, drawn from one seed")
    parser.add_argument("--into", type=Path, help="folder for what was tried and what broke")
    parser.add_argument("--merge", type=Path, help="folder whose new inputs are to be kept")
    parser.add_argument("--inner", nargs=argparse.REMAINDER, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.inner is not None:  # libFuzzer calls itself when it merges
        _hand_over(given.targets[0], given.inner)
    if given.merge:
        if len(given.targets) > 1:
            parser.error("--merge is for one target")
        # A file is worth keeping for code that no smaller one reaches, not for how often it does.
        (target,) = given.targets
        words = ["-merge=1", "-use_counters=0", str(CORPUS / target), str(given.merge)]
        _search(target, words)
    if given.into and len(given.targets) > 1:
        parser.error("--into is for one target")
    if given.runs:
        stints = [[f"-runs={given.runs}", "-seed=1"]]
    else:
        begun = range(0, given.seconds, STINT)
        stints = [[f"-max_total_time={min(STINT, given.seconds - one)}"] for one in begun]
    sys.exit(_searched(given.targets, stints, given.into))


def _searched(targets: Sequence[str], stints: Sequence[list[str]], into: Path | None) -> int:
    """Search all of them; 1 if any broke off."""
    waiting, searching, broken = list(targets), 0, 0
    while waiting or searching:
        while waiting and searching < AT_A_TIME:
            _child(_stints, waiting.pop(0), stints, into)
            searching += 1
        _, status = os.wait()
        searching -= 1
        broken |= status != 0
    return int(broken)


def _stints(target: str, stints: Sequence[list[str]], into: Path | None) -> None:
    """Search in one process after another until one breaks off."""
    found = into or Path(tempfile.mkdtemp(prefix="fuzz-"))
    found.mkdir(parents=True, exist_ok=True)
    for stint in stints:
        words = [*stint, f"-artifact_prefix={found}/broken-", str(found)]
        _, status = os.waitpid(_child(_search, target, words), 0)
        if status:
            sys.exit(1)


def _child(work: Callable[..., object], *given: object) -> int:
    """Work in a process that has everything this one has; its number."""
    sys.stdout.flush()
    child = os.fork()
    if child:
        return child
    # What libFuzzer has to say of a broken promise it says when the process ends by itself.
    work(*given)
    sys.exit()


def _search(target: str, words: list[str]) -> NoReturn:
    """Let libFuzzer begin with the seeds, with the options of every search."""
    scratch = Path(tempfile.mkdtemp(prefix="fuzz-"))
    options = [f"-max_len={LONGEST[target]}", "-timeout=30", "-rss_limit_mb=4096"]
    options += ["-print_final_stats=1", "-verbosity=0", *_words(scratch, target)]
    seeds = _seeds(scratch, target)
    begin = str(seeds) if "-merge=1" in words else _listed(seeds, target)
    _hand_over(target, [*options, *words, begin])


def _hand_over(target: str, words: list[str]) -> NoReturn:
    """Hand the search to libFuzzer, which ends the process."""
    promise = PROMISES[target]

    def once(raw: bytes) -> None:
        promise(raw)

    itself = f"{sys.executable} -m tests.fuzz {target} --inner"
    atheris.Setup([itself, *words], once)
    atheris.Fuzz()
    raise AssertionError("libFuzzer came back")


def _words(folder: Path, target: str) -> list[str]:
    """libFuzzer's dictionary, a quoted word a line, as an option."""
    if not WORDS[target]:
        return []
    quoted = ("".join(f"\\x{byte:02x}" for byte in word) for word in WORDS[target])
    path = folder / f"{target}.dict"
    path.write_text("".join(f'"{word}"\n' for word in quoted), encoding="ascii")
    return [f"-dict={path}"]


def _seeds(folder: Path, target: str) -> Path:
    seeds = folder / "seeds"
    seeds.mkdir()
    for raw in SEEDS[target]():
        if len(raw) <= LONGEST[target]:
            (seeds / sha1(raw).hexdigest()).write_bytes(raw)
    return seeds


def _listed(seeds: Path, target: str) -> str:
    """What a search begins with, in an order that no file system has a say in, as an option."""
    begin = [*sorted((CORPUS / target).iterdir()), *sorted(seeds.iterdir())]
    listed = seeds.with_name("begin")
    listed.write_text(",".join(map(str, begin)), encoding="utf-8")
    return f"-seed_inputs=@{listed}"


if __name__ == "__main__":
    main()
