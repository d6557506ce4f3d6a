"""What was once found to be odd stays read or refused, and nothing else.

Every file of the corpus is tried, without the search (`python -m tests.fuzz`) that found it.
"""

from pathlib import Path

import pytest

from tests.fuzz.seeds import LONGEST, SEEDS
from tests.fuzz.targets import PROMISES

CORPUS = Path(__file__).with_name("corpus")
KEPT = [(target, path) for target in PROMISES for path in sorted((CORPUS / target).iterdir())]


@pytest.mark.parametrize(("target", "path"), KEPT, ids=[f"{one}/{path.name}" for one, path in KEPT])
def test_what_is_kept_is_read_or_refused(target: str, path: Path) -> None:
    PROMISES[target](path.read_bytes())


@pytest.mark.parametrize("target", PROMISES)
def test_the_search_begins_with_input_of_both_kinds(target: str) -> None:
    both = target not in ("grade", "pipe")
    accepted: list[bool] = []
    for raw in SEEDS[target]():
        if len(raw) <= LONGEST[target]:
            accepted.append(PROMISES[target](raw))
        if sum(accepted) >= 4 and (not both or not all(accepted)):
            return
    pytest.fail(f"{sum(accepted)} of {len(accepted)} are accepted")
