"""What tests of studies share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.lessons import few_lessons

HERE = Path(__file__).parent

ON_FEW_LESSONS = {
    "advice/test_honest",
    "bargain/test_bargain",
    "papers/test_likeliest_account",
    "worth/test_kept",
}
"""Files that ask for no figure that a policy learned from more would bring nearer the truth."""


@pytest.fixture(scope="module", autouse=True)
def on_few_lessons(request: pytest.FixtureRequest) -> Iterator[None]:
    if request.path.relative_to(HERE).with_suffix("").as_posix() not in ON_FEW_LESSONS:
        yield
        return
    with few_lessons():
        yield
