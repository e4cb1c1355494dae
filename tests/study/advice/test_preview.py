"""A preview is the advice on fewer futures, and says so."""

from typing import Any

import numpy as np
import pytest

from optioneer.study.advice.advice import advice, preview_of
from optioneer.study.advice.answers import Advice, PackageFigures
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.advice.verdicts import advice_on, short_advice_on, sketched_advice_on
from optioneer.study.problem.futures import with_draws
from tests import shop

CASE = with_draws(shop.case(), 512)


def preview(request: AdviceRequest) -> Advice:
    return advice_on(preview_of(request))


def rounded(told: Any) -> Any:
    """The same without the last digits of its figures."""
    if isinstance(told, dict):
        return {key: rounded(each) for key, each in told.items()}
    if isinstance(told, list | tuple):
        return [rounded(each) for each in told]
    return pytest.approx(told, rel=1e-9, abs=1e-6) if isinstance(told, float) else told


def test_a_preview_is_the_advice_on_as_many_futures() -> None:
    """It learns from fewer, which moves the last digits here and nothing else."""
    full = advice(AdviceRequest(with_draws(CASE, 128))).model_dump(mode="json")
    quick = preview(AdviceRequest(CASE, futures=128)).model_dump(mode="json")
    assert quick == rounded(full)
    assert quick["futures"] == 128


def figures(told: Advice) -> PackageFigures:
    """What is told of the advised package, the bounds left out."""
    own = PackageFigures.model_fields
    return PackageFigures(**{name: getattr(told.advised, name) for name in own})


def test_one_of_many_is_told_the_same_short_and_at_length() -> None:
    found = preview_of(AdviceRequest(CASE, futures=128))
    short, whole = short_advice_on(found), advice_on(found)
    assert short.advised == figures(whole)
    assert short.search == whole.search
    for ours, theirs in zip(short.options, whole.options, strict=True):
        assert ours == theirs.model_copy(update={"hangs_on": ours.hangs_on})


def test_a_case_with_fewer_futures_keeps_its_own_number() -> None:
    assert preview(AdviceRequest(with_draws(CASE, 64))).futures == 64


def test_its_standard_error_is_that_of_its_own_futures() -> None:
    few, many = (
        preview(AdviceRequest(CASE, futures=64)).advised,
        advice(AdviceRequest(with_draws(CASE, 2048))).advised,
    )
    assert few.npc_se > 2 * many.npc_se
    assert few.npc == pytest.approx(many.npc, abs=5 * np.hypot(few.npc_se, many.npc_se))


def test_draws_that_are_kept_change_nothing() -> None:
    assert preview(AdviceRequest(CASE, futures=128)) == preview(AdviceRequest(CASE, futures=128))


def test_a_sketch_says_the_same_of_every_option_and_at_least_what_the_other_choice_costs() -> None:
    found = preview_of(AdviceRequest(CASE, futures=128))
    sketch, quick = sketched_advice_on(found), short_advice_on(found)
    assert quick.advised == figures(sketch)
    assert [one.verdict for one in sketch.options] == [one.verdict for one in quick.options]
    costs = [
        (one.otherwise, other.otherwise)
        for one, other in zip(sketch.options, quick.options, strict=True)
    ]
    told = [(ours, theirs) for ours, theirs in costs if ours is not None and theirs is not None]
    assert all(ours >= theirs - 1e-6 for ours, theirs in told)
    assert 0 < len(told) == sum(theirs is not None for _, theirs in costs)
