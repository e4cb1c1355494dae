"""`--seconds` holds: what there is no time for is left out, or the request is refused."""

import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.study.problem.futures import with_draws
from optioneer.study.unknowns.ranges import ranged_figures
from optioneer.study.whatif import all_at_once
from optioneer.study.whatif.all_at_once import all_together
from optioneer.study.whatif.answers import AllTogether
from optioneer.study.whatif.trials import TogetherRequest
from optioneer.study.whatif.trials import Trials as Look
from tests.oracle import cases


def driven() -> Case:
    return with_draws(cases.driven(), 64)


class Ticking:
    """A clock that moves on by one second whenever it is looked at."""

    def __init__(self) -> None:
        self.now = 0.0

    def monotonic(self) -> float:
        self.now += 1.0
        return self.now


def test_no_time_at_all_is_refused_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(all_at_once, "time", Ticking())
    with pytest.raises(RequestError, match=r"--seconds 0.5: the time was up before"):
        all_together(TogetherRequest(driven(), trials=Look(futures=32, points=64, seconds=0.5)))


def test_little_time_leaves_out_pairs_and_checks(monkeypatch: pytest.MonkeyPatch) -> None:
    case = driven()
    few = ranged_figures(case)[:3]

    def asked(**more: float) -> AllTogether:
        trials = Look(futures=32, points=64, **more)  # type: ignore[arg-type]  # seconds alone here
        return all_together(TogetherRequest(case, ranges=few, trials=trials))

    whole = asked()
    ticking = Ticking()
    monkeypatch.setattr(all_at_once, "time", ticking)
    asked(seconds=1e9)
    looks = ticking.now
    monkeypatch.setattr(all_at_once, "time", Ticking())
    hurried = asked(seconds=0.8 * looks)
    assert hurried.valuations <= whole.valuations
    assert not hurried.pairs or hurried.checked < whole.checked
