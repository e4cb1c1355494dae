"""Policies learned from few futures, for tests that ask for no figure of them."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from optioneer.model.case import Case
from optioneer.study.problem import futures


@contextmanager
def few_lessons(least: int = 32) -> Iterator[None]:
    """So many futures are learned from, or as many as are valued on; no more than otherwise.

    Learning takes most of the time of a case on few futures. What is kept is kept under what it
    was learned from, so it is not taken for anything else.
    """
    count = futures.lesson_count

    def as_few(case: Case, *rest: Any) -> int:
        return min(count(case, *rest), max(case.growth.futures, least))

    with pytest.MonkeyPatch.context() as code:
        code.setattr(futures, "lesson_count", as_few)
        yield
